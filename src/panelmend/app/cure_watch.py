"""A watch that goes on in the background: it follows a running cure, looks again and again, and remembers
what it saw and who heeded which alarm. It switches nothing."""

from __future__ import annotations

import asyncio
import contextlib
import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Protocol

from panelmend.app.log_answers import air_pressure, cure_named
from panelmend.app.log_reading import kept_read_as
from panelmend.app.service import load
from panelmend.app.watching import (
    Keeper,
    LiveInstrument,
    expected_of,
    instrument_of,
    instrument_points,
    source_of,
)
from panelmend.curelog.live import Buffer, GrowingFile
from panelmend.errors import InputError, PanelmendError, Severity
from panelmend.plan.judge import Alarm, CureLog, CureRecipe, Now, Predicted, look
from panelmend.plan.judge.approved import recipe_of
from panelmend.plan.judge.evidence import Evidence, gather
from panelmend.plan.judge.walk import Stretch, heat_start, walk

LOOK_EVERY = 2.0  # [s] between looks
LEAST_REST = 4.0  # a look that takes long is followed by a rest of so many times its length
SOUNDS_AGAIN_AFTER = 180.0  # [s]: a stop that was heeded and is still there sounds again


class Feed(Protocol):
    """Where readings come from."""

    @property
    def notes(self) -> Sequence[str]: ...

    def __len__(self) -> int: ...

    def poll(self) -> object: ...

    def log(self) -> CureLog: ...

    def age(self) -> float: ...

    def close(self) -> None: ...


class FileFeed(GrowingFile):
    """A log file that grows."""

    def age(self) -> float:
        """How long ago the file was written, by this machine's clock [s]."""
        try:
            return max(0.0, time.time() - self.path.stat().st_mtime)
        except OSError:
            return 0.0

    def close(self) -> None:
        """Nothing is held open."""


class InstrumentFeed:
    """A live instrument, listened to in a thread of its own; every reading is written to a file beside its
    description, so that the cure can be judged afterwards."""

    def __init__(self, described: Path, ambient: float | None, kept: Path) -> None:
        self.instrument: LiveInstrument = instrument_of(described)
        points = instrument_points(self.instrument)
        self.buffer = Buffer(points, ambient=ambient if ambient is not None else float("nan"))
        self.keeper = Keeper(kept, points, self.buffer)
        self.before = self.keeper.again()
        self._broken = kept.stat().st_mtime if self.before else 0.0
        if self.before:
            at = datetime.fromtimestamp(self._broken).astimezone()
            self.buffer.note(
                f"the watch was broken off at {at:%H:%M:%S} and went on: nothing was read between"
            )
        self.source = source_of(self.instrument, points)
        self.trouble = ""
        self._lock = threading.Lock()
        self._loop = asyncio.new_event_loop()
        self._task = self._loop.create_task(self._collect())
        self._thread = threading.Thread(target=self._listen, daemon=True, name=f"instrument {described.name}")
        self._thread.start()

    async def _collect(self) -> None:
        async for sample in self.source.samples():
            with self._lock:
                try:
                    if self.buffer.add(sample):
                        self.keeper.keep(sample)
                        self.trouble = ""
                except PanelmendError as error:  # a full disk must not end the watch
                    self.trouble = f"readings are not kept: {error}"

    def _listen(self) -> None:
        asyncio.set_event_loop(self._loop)
        try:
            self._loop.run_until_complete(self._task)
        except asyncio.CancelledError:
            pass
        except Exception as error:  # whatever a driver throws: the watch says so and alarms
            self.trouble = f"the instrument is no longer listened to: {type(error).__name__}: {error}"
        finally:
            self._loop.run_until_complete(self._loop.shutdown_asyncgens())
            self._loop.close()

    @property
    def notes(self) -> list[str]:
        """What happened to the connection."""
        return self.buffer.notes

    def __len__(self) -> int:
        return len(self.buffer)

    def poll(self) -> object:
        """Raise what went wrong. Raises InputError."""
        if self.trouble:
            raise InputError(self.trouble)
        return None

    def log(self) -> CureLog:
        """The log so far."""
        with self._lock:
            return self.buffer.log()

    def age(self) -> float:
        """How long nothing was read when the watch went on after it was broken off [s]; live, what is not
        read is silence."""
        if self.before and len(self.buffer) <= self.before:
            return max(0.0, time.time() - self._broken)
        return 0.0

    def close(self) -> None:
        """Listen no more."""
        with contextlib.suppress(RuntimeError):  # it ended by itself, and its loop is closed
            self._loop.call_soon_threadsafe(self._task.cancel)


@dataclass(frozen=True)
class Looked:
    """What was seen at one look: ``at`` [s] by the machine's own running clock, ``on`` by its wall clock;
    ``now`` None before two samples; ``trouble`` why nothing new can be read; ``silent`` [s] since a reading
    that counts; ``samples`` how many came."""

    at: float
    on: datetime
    now: Now | None
    evidence: Evidence | None
    stretches: tuple[Stretch, ...]
    heat: float
    trouble: str
    silent: float
    samples: int
    notes: tuple[str, ...]


@dataclass
class Heeded:
    """Who said that they are on an alarm, and when (machine's clocks)."""

    by: str
    on: datetime
    at: float


@dataclass(frozen=True)
class Sounding:
    """An alarm as it stands: ``key`` names it, ``heeded`` by whom; ``sounds`` whether it is to be heard."""

    key: str
    alarm: Alarm
    heeded: Heeded | None
    sounds: bool


@dataclass
class CureWatch:
    """A watch of one cure. ``start`` begins it in the background; ``close`` ends it."""

    document: Path
    operation: str
    source: Path
    kept: Path
    clock: Callable[[], float] = time.monotonic
    every: float = LOOK_EVERY
    recipe: CureRecipe = field(init=False)
    view: str = field(init=False)
    predicted: Predicted | None = field(init=False)
    looked: Looked | None = field(init=False, default=None)
    _heeded: dict[str, Heeded] = field(init=False, default_factory=dict)
    _judged: int = field(init=False, default=-1)
    _last: float = field(init=False, default=0.0)

    def __post_init__(self) -> None:
        loaded = load(self.document).document
        cure = cure_named(loaded, self.operation)
        self.operation = cure.name
        self.recipe, self.view = recipe_of(loaded.data, cure), loaded.repair.units
        self.predicted = expected_of(self.document, self.operation)
        self.feed = self._feed(air_pressure(loaded))
        self._last = self.clock() - self.feed.age()
        self._ended = threading.Event()
        self._lock = threading.Lock()
        self._thread = threading.Thread(target=self._go, daemon=True, name=f"cure watch {self.operation}")

    def _feed(self, ambient: float | None) -> Feed:
        if self.source.suffix == ".toml":
            return InstrumentFeed(self.source, ambient, self.kept)
        return FileFeed(self.source, kept_read_as(self.source))

    def start(self) -> CureWatch:
        """Watch in the background."""
        self._thread.start()
        return self

    def close(self) -> None:
        """Watch no more."""
        self._ended.set()
        self.feed.close()

    @property
    def alive(self) -> bool:
        """Whether it still looks."""
        return self._thread.is_alive()

    def _go(self) -> None:
        while not self._ended.is_set():
            begun = time.monotonic()
            self.once()
            took = time.monotonic() - begun
            self._ended.wait(max(self.every, LEAST_REST * took))

    def once(self) -> Looked:
        """Look once; a fault of any kind is said and never ends the watch."""
        trouble = ""
        try:
            self.feed.poll()
        except PanelmendError as error:
            trouble = str(error)
        try:
            made = self._seen(trouble)
        except (
            Exception
        ) as error:  # a watch that stops looking says nothing any more: it goes on and says why
            words = trouble or f"the readings cannot be judged: {type(error).__name__}: {error}"
            made = self._blind(words)
        with self._lock:
            self.looked = made
            there = {key(a) for a in made.now.alarms} if made.now is not None else set()
            there |= {TROUBLE} if trouble or made.trouble else set()
            self._heeded = {k: h for k, h in self._heeded.items() if k in there}
        return made

    def _blind(self, trouble: str) -> Looked:
        now = self.clock()
        notes = tuple(self.feed.notes[-3:])
        return Looked(
            now, datetime.now(UTC), None, None, (), 0.0, trouble, now - self._last, len(self.feed), notes
        )

    def _seen(self, trouble: str) -> Looked:
        if len(self.feed) < 2:
            return self._blind(trouble)
        log = self.feed.log()
        now = look(self.recipe, log, predicted=self.predicted, view=self.view)
        if now.judged != self._judged:
            first, self._judged = self._judged < 0, now.judged
            self._last = self.clock() - (self.feed.age() if first else 0.0)
        silent = self.clock() - self._last
        if silent > 1.0:
            now = look(self.recipe, log, silent=silent, predicted=self.predicted, view=self.view)
        evidence = gather(log, self.recipe.longest_gap, live=True)
        notes = (*now.said, *log.notes[-3:])
        return Looked(
            self.clock(),
            datetime.now(UTC),
            now,
            evidence,
            walk(evidence, self.recipe),
            heat_start(evidence),
            trouble,
            silent,
            len(self.feed),
            notes,
        )

    def sounding(self) -> tuple[Sounding, ...]:
        """The alarms as they stand, stops first."""
        with self._lock:
            alarms = self.looked.now.alarms if self.looked is not None and self.looked.now is not None else ()
            return tuple(self._sounding(key(a), a) for a in alarms)

    def _sounding(self, name: str, alarm: Alarm) -> Sounding:
        heeded = self._heeded.get(name)
        stop = alarm.finding.severity is Severity.STOP
        sounds = heeded is None or (stop and self.clock() - heeded.at > SOUNDS_AGAIN_AFTER)
        return Sounding(name, alarm, heeded, sounds)

    def heed(self, names: Sequence[str], by: str) -> None:
        """A person says that they are on these alarms."""
        with self._lock:
            for name in names:
                self._heeded[name] = Heeded(by, datetime.now(UTC), self.clock())

    def troubled(self) -> tuple[Heeded | None, bool]:
        """Who is on what keeps the watch from reading, and whether it is to be heard."""
        with self._lock:
            heeded = self._heeded.get(TROUBLE)
            return heeded, heeded is None or self.clock() - heeded.at > SOUNDS_AGAIN_AFTER


TROUBLE = "trouble"


def key(alarm: Alarm) -> str:
    """What an alarm is known by while it stands: its code and place."""
    return f"{alarm.finding.code} {alarm.finding.place}".strip()
