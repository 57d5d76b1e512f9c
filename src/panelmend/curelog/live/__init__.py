"""Live readings: a growing file, Modbus TCP, MQTT; and the view of a running cure."""

from panelmend.curelog.live.buffer import Buffer, Point, Sample
from panelmend.curelog.live.frame import follow, follow_samples, frame
from panelmend.curelog.live.growing import GrowingFile

__all__ = ["Buffer", "GrowingFile", "Point", "Sample", "follow", "follow_samples", "frame"]
