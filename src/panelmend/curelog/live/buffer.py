"""Readings as they come in, kept once each and in order, with what happened to the connection."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise

import numpy as np

from panelmend.errors import InputError, UnitError
from panelmend.plan.judge.log import KIND_OF, Channel, ChannelRole, CureLog
from panelmend.units import KINDS


@dataclass(frozen=True)
class Point:
    """A channel of an instrument: ``unit`` of the raw number after ``raw * scale``; ``sense`` of a vacuum as
    in :class:`panelmend.curelog.ColumnAs`; ``address`` names it at the source (register or topic)."""

    name: str
    role: ChannelRole
    unit: str = ""
    address: str = ""
    scale: float = 1.0
    sense: str = "below ambient"

    def __post_init__(self) -> None:
        if self.kind and self.unit not in KINDS[self.kind].units:
            raise UnitError(f"{self.unit!r} is no unit of {self.kind}", where=self.name)

    @property
    def kind(self) -> str:
        """The kind of quantity, "" for none."""
        return KIND_OF[self.role] if self.role is not ChannelRole.POWER else ""

    def si(self, raw: float, ambient: float = math.nan) -> float:
        """A raw number as [K] or [Pa]; NaN stays NaN."""
        if not math.isfinite(raw):
            return math.nan
        if not self.kind:
            return raw * self.scale
        scale, offset = KINDS[self.kind].units[self.unit]
        value = raw * self.scale * scale + offset
        if self.role is ChannelRole.VACUUM and self.sense == "absolute":
            return ambient - value
        return (
            -value if self.role is ChannelRole.VACUUM and self.sense == "below ambient, negative" else value
        )


@dataclass(frozen=True)
class Sample:
    """One reading of all points: ``time`` [s] since 1970 by the instrument's or the reader's clock; values as
    raw numbers, NaN for those that did not come."""

    time: float
    values: tuple[float, ...]


class Buffer:
    """Collects samples and gives the log so far. A sample that came twice is kept once."""

    def __init__(self, points: Sequence[Point], *, ambient: float = math.nan) -> None:
        if not points:
            raise InputError("a live log needs channels")
        if any(p.sense == "absolute" and p.role is ChannelRole.VACUUM for p in points) and not ambient > 0:
            raise InputError("an absolute pressure needs the ambient pressure")
        self.points, self.ambient = tuple(points), ambient
        self._times: list[float] = []
        self._rows: list[tuple[float, ...]] = []
        self._seen: set[tuple[float, tuple[float, ...]]] = set()
        self.twice = 0
        self.late = 0
        self.placed = -1  # where the newest sample was put
        self.notes: list[str] = []

    def __len__(self) -> int:
        return len(self._times)

    def add(self, sample: Sample) -> bool:
        """Keep a sample; False for a duplicate. A late one is put where its time belongs.

        Raises:
            InputError: not one value for each channel, or a time that is no number.
        """
        if len(sample.values) != len(self.points) or not math.isfinite(sample.time):
            raise InputError("a sample that does not fit the channels", read=repr(sample)[:80])
        key = (sample.time, tuple(v if v == v else math.inf for v in sample.values))
        if key in self._seen:
            self.twice += 1
            return False
        self._seen.add(key)
        row = tuple(p.si(v, self.ambient) for p, v in zip(self.points, sample.values, strict=True))
        at = self._place(sample.time)
        self.late += at < len(self._times)
        self.placed = at
        self._times.insert(at, sample.time)
        self._rows.insert(at, row)
        return True

    def _place(self, time: float) -> int:
        """Where a sample belongs: after the newest, unless it fills a gap in which nothing was read. After a
        clock is set back the samples are not late ones: they stay in the order they came."""
        end = len(self._times)
        if not end or time >= self._times[-1]:
            return end
        steps = np.diff(np.array(self._times[-200:]))
        usual = float(np.percentile(steps[steps > 0], 25)) if (steps > 0).any() else 0.0
        at = end
        while at and self._times[at - 1] > time:
            at -= 1
        before = self._times[at - 1] if at else -math.inf
        free = self._times[at] - before > 1.5 * usual
        sorted_here = at == 0 or all(a <= b for a, b in pairwise(self._times[max(0, at - 1) :]))
        near = (
            end - at >= 2 or self._times[-1] - before <= 5.0 * usual
        )  # a lone stamp far ahead proves nothing
        return at if at and free and near and sorted_here else end

    def note(self, words: str) -> None:
        """Note an event of the connection."""
        self.notes.append(words)

    def log(self) -> CureLog:
        """The log so far.

        Raises:
            InputError: before the first sample.
        """
        if not self._times:
            raise InputError("no reading has come yet")
        rows = np.array(self._rows, np.float64)
        times = np.array(self._times, np.float64)
        channels = tuple(
            Channel(p.name, p.role, p.kind, rows[:, i].copy()) for i, p in enumerate(self.points)
        )
        notes = list(self.notes)
        if self.twice:
            notes.append(f"{self.twice} samples came twice and were kept once")
        if self.late:
            notes.append(f"{self.late} samples came late and were put in their place")
        started = datetime.fromtimestamp(times[0], UTC).isoformat()
        return CureLog(times - times[0], channels, started, ambient=self.ambient, notes=tuple(notes))
