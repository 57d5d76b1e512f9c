"""Readings that an instrument publishes over MQTT (needs the ``live`` extra)."""

from __future__ import annotations

import asyncio
import json
import math
from collections import deque
from collections.abc import AsyncIterator, Sequence
from datetime import UTC, datetime

from panelmend.curelog.live.buffer import Point, Sample
from panelmend.errors import InputError, ReadingError

LONGEST = 65536  # bytes of one message
MOST_KEPT = 100  # refused messages: a storm of them must not fill the memory


def parse_message(payload: bytes, points: Sequence[Point]) -> Sample:
    """One message as a sample.

    A message is JSON with the time of the reading (seconds since 1970, or ISO 8601 with its offset) and the
    values by name: ``{"time": 1795600000.0, "values": {"TC1": 121.4}}``. A missing name is a missing reading.

    Raises:
        ReadingError: anything else.
    """
    if len(payload) > LONGEST:
        raise ReadingError("a message longer than 64 kB")
    try:
        data = json.loads(payload)
        stamp, given = data["time"], data["values"]
        if isinstance(stamp, str):
            moment = datetime.fromisoformat(stamp)
            if moment.tzinfo is None:
                raise ReadingError("a time without its offset from UTC", read=stamp[:40])
            stamp = moment.astimezone(UTC).timestamp()
        if isinstance(stamp, bool) or not math.isfinite(stamp) or not 0 < stamp < 1e11:
            raise ReadingError("no time of a reading", read=repr(stamp)[:40])
        values = tuple(_value(given.get(p.address or p.name)) for p in points)
    except ReadingError:
        raise
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError, RecursionError):
        raise ReadingError(
            "a message that is no reading",
            read=repr(payload[:60]),
            expected='{"time": 1795600000.0, "values": {"TC1": 121.4}}',
        ) from None
    if all(math.isnan(v) for v in values):
        raise ReadingError("a message with none of the channels", read=repr(payload[:60]))
    return Sample(float(stamp), values)


def _value(given: object) -> float:
    if isinstance(given, bool) or not isinstance(given, int | float):
        return math.nan
    return float(given) if math.isfinite(given) else math.nan


class Mqtt:
    """Listens to a topic. The session is kept at the broker under ``client_id`` and messages are asked for at
    quality of service 1, so that messages published while the line is down arrive once it is back; the buffer
    drops duplicates."""

    def __init__(
        self,
        host: str,
        port: int,
        topic: str,
        points: Sequence[Point],
        *,
        client_id: str,
        retry: float = 1.0,
        user: str | None = None,
        password: str | None = None,
    ) -> None:
        if not points or not topic or not client_id:
            raise InputError("MQTT needs a topic, points and a client id", where=host)
        self.host, self.port, self.topic, self.client_id, self.retry = host, port, topic, client_id, retry
        self.points = tuple(points)
        self.user, self.password = user, password
        self.refused: deque[str] = deque(maxlen=MOST_KEPT)
        self.turned_away = 0  # messages that were no readings; the newest stand in ``refused``
        self.dropped_out = 0
        self.connected = False

    async def samples(self) -> AsyncIterator[Sample]:
        """Samples for as long as the caller goes on; messages that are no readings go to ``refused``."""
        import aiomqtt

        while True:
            try:
                async with aiomqtt.Client(
                    self.host,
                    self.port,
                    identifier=self.client_id,
                    clean_session=False,
                    username=self.user,
                    password=self.password,
                    keepalive=10,
                    timeout=5.0,
                ) as client:
                    await client.subscribe(self.topic, qos=1)
                    self.connected = True
                    async for message in client.messages:
                        try:
                            raw = message.payload
                            yield parse_message(
                                raw if isinstance(raw, bytes) else str(raw).encode(), self.points
                            )
                        except ReadingError as error:
                            self.turned_away += 1
                            self.refused.append(error.sentence())
            except aiomqtt.MqttError:
                self.dropped_out += self.connected
                self.connected = False
            await asyncio.sleep(self.retry)
