"""The cure log as the judge reads it: times and channels in SI, with nothing filled in."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from enum import StrEnum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError, MissingError

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
LineArray = NDArray[np.int32]  # a file has less than two thousand million lines


class ChannelRole(StrEnum):
    """What a channel of the log measures."""

    THERMOCOUPLE = "thermocouple"  # at or beside the bond line: judged
    AIR = "air"  # shop air or oven air: not judged
    VACUUM = "vacuum"
    SET_POINT = "set point"
    POWER = "power"
    OTHER = "other"


KIND_OF = {
    ChannelRole.THERMOCOUPLE: "temperature",
    ChannelRole.AIR: "temperature",
    ChannelRole.SET_POINT: "temperature",
    ChannelRole.VACUUM: "pressure",
    ChannelRole.POWER: "ratio",
    ChannelRole.OTHER: "",
}


@dataclass(frozen=True, eq=False)
class Channel:
    """One column of the log.

    ``values`` has shape (n,): [K] for temperatures, [Pa] below ambient (positive) for vacuum, the number as
    read for other roles; a missing reading is NaN. ``kind`` is a kind of :data:`panelmend.units.KINDS` or "".
    """

    name: str
    role: ChannelRole
    kind: str
    values: FloatArray

    def __post_init__(self) -> None:
        self.values.setflags(write=False)


@dataclass(frozen=True, eq=False)
class CureLog:
    """A whole log.

    ``times`` [s] from the first sample, shape (n,), in the order of the file, never sorted; ``started`` the
    clock of the first sample (ISO 8601; "T09:30:00" without a date), "" when the file has elapsed time only;
    ``lines`` the line or row of the file each sample stood in; ``digest`` the SHA-256 of the file;
    ``stamp_step`` [s] the smallest step the file's time stamps can show; ``set_back`` [s] by how much samples
    without room between their stamps were put later in all; ``ambient`` [Pa] the air pressure,
    NaN when not known; ``set_aside``: channels that look like thermocouples and were given another role, as
    thermocouples, and those that look like vacuum gauges, as such; ``ends_twice`` (n,): the last two cells of
    the row say the same number, as where a cell was left out and the last one written again; empty where that
    was not looked at; ``sense_answered``: vacuum gauges of which a person said how they count, and nothing in
    the head of the file; ``overruled``: those of which the file says another unit or sense than they are read
    in, with what it says; ``sense_open``: those set aside of which nobody said how they count; ``left_out``:
    thermocouples and vacuum as read in rows that are no samples, shape (k,), which stand in the lines
    ``left_lines`` of the file.
    """

    times: FloatArray
    channels: tuple[Channel, ...]
    started: str = ""
    digest: str = ""
    lines: LineArray = field(default_factory=lambda: np.zeros(0, np.int32))
    stamp_step: float = 0.0
    set_back: float = 0.0
    ambient: float = float("nan")
    notes: tuple[str, ...] = ()
    set_aside: tuple[Channel, ...] = ()
    ends_twice: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, np.bool_))
    sense_answered: tuple[str, ...] = ()
    overruled: tuple[tuple[str, str], ...] = ()
    sense_open: tuple[str, ...] = ()
    left_lines: LineArray = field(default_factory=lambda: np.zeros(0, np.int32))
    left_out: tuple[Channel, ...] = ()

    def __post_init__(self) -> None:
        if self.lines.size == 0 and self.times.size:
            object.__setattr__(self, "lines", np.arange(1, self.times.size + 1, dtype=np.int32))
        self.times.setflags(write=False)
        self.lines.setflags(write=False)
        names = [c.name for c in self.channels]
        if len(set(names)) != len(names):
            raise InputError("two channels have the same name", read=", ".join(sorted(names)))
        wanted = [(c, self.times.shape) for c in (*self.channels, *self.set_aside)]
        for c, shape in (*wanted, *((c, self.left_lines.shape) for c in self.left_out)):
            if c.values.shape != shape:
                raise InputError(
                    "channel and time have different lengths",
                    where=c.name,
                    read=str(c.values.shape),
                    expected=str(shape),
                )
        if not np.all(np.isfinite(self.times)):
            raise InputError("a sample without a time", todo="leave such samples out")

    def __len__(self) -> int:
        return int(self.times.size)

    def channel(self, name: str) -> Channel:
        """The channel of that name.

        Raises:
            MissingError: the log has none.
        """
        for c in self.channels:
            if c.name == name:
                return c
        raise MissingError(
            f"the log has no channel {name!r}; it has {', '.join(c.name for c in self.channels)}"
        )

    @cached_property
    def usual_step(self) -> float:
        """The usual time between samples [s]: the median of the steps forward."""
        steps = np.diff(self.times)
        forward = steps if steps.size and steps.min() > 0 else steps[steps > 0]
        return float(np.median(forward, overwrite_input=True)) if forward.size else 0.0

    def of_role(self, role: ChannelRole) -> tuple[Channel, ...]:
        """The channels of a role, in the order of the file."""
        return tuple(c for c in self.channels if c.role is role)

    def clock(self, time: float) -> str:
        """The clock at ``time`` [s] from the first sample (ISO 8601), or elapsed h:mm:ss without a clock."""
        if self.started.startswith("T"):
            at = datetime.fromisoformat("2000-01-01" + self.started) + timedelta(seconds=round(time))
            return at.time().isoformat()
        if self.started:
            return (datetime.fromisoformat(self.started) + timedelta(seconds=round(time))).isoformat(" ")
        whole = round(abs(time))
        return f"{'-' if time < 0 else ''}{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"

    def started_at(self, time: float) -> str:
        """The start of a log that begins at ``time`` [s] of this one; "" without a clock."""
        return (
            self.clock(time).replace(" ", "T")
            if self.started and not self.started.startswith("T")
            else ("T" + self.clock(time) if self.started else "")
        )

    def line_at(self, time: float) -> int:
        """The line of the file of the last sample at or before ``time`` [s]; the first line before that."""
        where = int(np.searchsorted(self.times, time, side="right")) - 1
        return int(self.lines[max(where, 0)])


def without_rows(log: CureLog, keep: NDArray[np.bool_], held: NDArray[np.bool_] | None = None) -> CureLog:
    """A log of some of its rows: ``keep`` (n,) [1]. What the others hold is kept as left out, of those of
    ``held`` (n,) only, where that is given."""
    out = ~keep if held is None else held

    def kept(channels: tuple[Channel, ...], rows: NDArray[np.bool_]) -> tuple[Channel, ...]:
        return tuple(replace(c, values=c.values[rows].copy()) for c in channels)

    there = {c.name: c.values for c in log.left_out}
    blank = np.full(log.left_lines.size, np.nan)
    counted = (c for c in log.channels if c.role in (ChannelRole.THERMOCOUPLE, ChannelRole.VACUUM))
    return replace(
        log,
        times=log.times[keep],
        channels=kept(log.channels, keep),
        lines=log.lines[keep],
        set_aside=kept(log.set_aside, keep),
        ends_twice=log.ends_twice[keep] if log.ends_twice.size == keep.size else log.ends_twice,
        left_lines=np.concatenate([log.left_lines, log.lines[out]]),
        left_out=tuple(
            replace(c, values=np.concatenate([there.get(c.name, blank), c.values[out]])) for c in counted
        ),
    )


class LogReadings:
    """Readings (n, m) of which some turn out to be none. They are the log's own until one is blanked: most
    logs need no copy."""

    def __init__(self, table: FloatArray) -> None:
        self.table = table
        self._own = False

    def blank(self, rows: NDArray[np.bool_] | slice, column: int | slice = slice(None)) -> None:
        """Make readings [rows, column] missing."""
        if not self._own:
            self.table, self._own = self.table.copy(order="F"), True
        self.table[rows, column] = np.nan


def matrix(channels: tuple[Channel, ...], count: int) -> FloatArray:
    """The values [SI] of channels side by side, shape (n, channels), each column in one piece; to be read
    only: it
    is no copy where the channels stand side by side in memory already."""
    if not channels or not count:
        return np.empty((count, len(channels)))
    base, first = channels[0].values.base, channels[0].values
    if isinstance(base, np.ndarray) and base.ndim == 2 and base.flags.f_contiguous and len(base) == count:
        width = first.itemsize * count
        at = [(c.values.ctypes.data - base.ctypes.data) / width for c in channels]
        same = all(c.values.base is base and c.values.size == count for c in channels)
        if same and at[0].is_integer() and at == [at[0] + i for i in range(len(channels))]:
            return base[:, int(at[0]) : int(at[0]) + len(channels)]
    out = np.empty((count, len(channels)), order="F")
    for i, c in enumerate(channels):
        out[:, i] = c.values
    return out
