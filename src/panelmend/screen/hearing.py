"""Taps heard through a device's microphone: samples as they come, each tap told against a sound place.

What is told is a proposal: a person looks at it and says Dull or Sound. Samples are kept in memory for as
long as a tap takes, and nowhere else.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from panelmend.app.surveys import reference_doubt
from panelmend.errors import InputError, ReadingError
from panelmend.screen.gate import digest
from panelmend.survey.listen import Frames, Listener
from panelmend.survey.wav import HeardTap, dull_taps, higher_than

LEAST_RATE, MOST_RATE = 8000, 96000  # [Hz]
LONGEST = 1.0  # [s] of one piece
EARS = 16  # devices that listen at a time
LAPSE = 60.0  # [s] without a piece
KEPT = 400  # taps that the doubt about the reference is judged by
ENOUGH = 5  # taps heard before it is


@dataclass(frozen=True)
class TapHeard:
    """A tap as it was told: ``frequency`` [Hz], whether dull; None where it is not told."""

    frequency: float
    dull: bool | None


@dataclass
class Told:
    """What a piece of sound came to. ``reference`` [Hz] of the sound place, None while it is not known;
    ``doubt`` says why it is not, or not believed."""

    heard: list[TapHeard]
    count: int
    reference: float | None
    doubt: str


@dataclass
class _Ear:
    listener: Listener
    last: float
    frames: Frames = field(default_factory=Frames)
    part: int = 0
    reference: list[HeardTap] = field(default_factory=list)
    taps: list[HeardTap] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)


class Hearing:
    """The ears of a screen, one for each session and repair."""

    def __init__(self, clock: Callable[[], float] = time.monotonic) -> None:
        self.clock = clock
        self._ears: dict[tuple[str, str], _Ear] = {}
        self._lock = threading.Lock()

    def take(self, token: str, name: str, part: int, rate: int, data: bytes, *, on_sound: bool) -> Told:
        """Listen to a piece.

        Args:
            token: of the session.
            name: of the repair.
            part: number of the piece; 0 begins anew.
            rate: of the samples [Hz].
            data: little-endian samples of 16 bit, one channel.
            on_sound: tapped on the place that is known to be sound.

        Raises:
            InputError: a piece is missing before this one, it is too long, or too many devices listen.
            ReadingError: the rate is too low.
        """
        if len(data) % 2 or len(data) > 2 * rate * LONGEST:
            raise InputError(
                "no piece of sound",
                read=f"{len(data)} bytes",
                expected=f"samples of 16 bit, at most {LONGEST:g} s",
            )
        ear = self._ear((digest(token), name), part, rate)
        with ear.lock:
            if part != ear.part or rate != ear.listener.rate:
                raise InputError(
                    "a piece of the sound is missing", read=f"piece {part}", expected=f"piece {ear.part}",
                    todo="listen anew, from the sound place on",
                )  # fmt: skip
            ear.part += 1
            found = ear.listener.feed(ear.frames.take(data))
            (ear.reference if on_sound else ear.taps).extend(found)
            del ear.taps[:-KEPT], ear.reference[:-KEPT]
            return _told(ear, found, on_sound)

    def _ear(self, key: tuple[str, str], part: int, rate: int) -> _Ear:
        now = self.clock()
        with self._lock:
            self._ears = {k: e for k, e in self._ears.items() if now - e.last <= LAPSE}
            if part == 0:
                self._ears.pop(key, None)
                if len(self._ears) >= EARS:
                    raise InputError("too many devices listen", read=f"{EARS}", todo="end it on another")
                self._ears[key] = _Ear(Listener(rate), now)
            if key not in self._ears:
                raise InputError(
                    "nobody listens here", read=f"piece {part}", expected="piece 0",
                    todo="listen anew, from the sound place on",
                )  # fmt: skip
            self._ears[key].last = now
            return self._ears[key]


def _told(ear: _Ear, found: tuple[HeardTap, ...], on_sound: bool) -> Told:
    reference, doubt = tuple(ear.reference), ""
    frequency: float | None = None
    told: tuple[bool | None, ...] = (None,) * len(found)
    try:
        dull = dull_taps(found, reference)
    except ReadingError as error:
        doubt = error.words if not error.read else f"{error.words}: {error.read}"
    else:
        kept = sorted(t.frequency for t in reference if not t.doubtful)
        frequency = (kept[(len(kept) - 1) // 2] + kept[len(kept) // 2]) / 2
        told = tuple(None if t.doubtful or on_sound else d for t, d in zip(found, dull, strict=True))
        clear = tuple(t for t in ear.taps if not t.doubtful)
        if len(clear) >= ENOUGH:
            doubt = reference_doubt(higher_than(clear, reference))
    return Told(
        [TapHeard(t.frequency, d) for t, d in zip(found, told, strict=True)],
        sum(not t.doubtful for t in reference), frequency, doubt,
    )  # fmt: skip
