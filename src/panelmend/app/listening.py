"""Tapping by ear of the tool: each tap of a running recording told as it comes, and where to tap next."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from panelmend.app.surveys import drawn_grid, reference_doubt
from panelmend.errors import InputError, OutputError, RangeError
from panelmend.files import replace_whole
from panelmend.job.survey.next_taps import next_taps, set_of
from panelmend.job.survey.readings import taps
from panelmend.job.survey.trace import trace
from panelmend.long_work import Tell
from panelmend.survey.listen import Listener, growing, raw
from panelmend.survey.wav import RINGS_ON, Array, HeardTap, dull_taps, higher_than, read_taps
from panelmend.units import show

MOST_ASKED = 200  # places asked for beyond the grid
ENOUGH = 5  # taps heard before the reference is judged by them
AGAIN = 2  # a lone dull tap is tapped so many times more
Point = tuple[float, float]


@dataclass
class Guide:
    """Where the next tap belongs: the grid in its order, then lone dull taps again, then where it narrows.

    Lengths in m along the panel's axes; row 1, column 1 at ``origin``.
    """

    columns: int
    rows: int
    spacing: float
    origin: Point = (0.0, 0.0)
    there_and_back: bool = False
    at: list[Point] = field(default_factory=list)
    dull: list[bool] = field(default_factory=list)
    asked: list[Point] = field(default_factory=list)
    ended: bool = False
    narrowed: bool = False

    def next(self) -> Point | None:
        """Where to tap now; None when nothing is left to ask."""
        n = len(self.at)
        if n < self.rows * self.columns:
            row, column = divmod(n, self.columns)
            if self.there_and_back and row % 2:
                column = self.columns - 1 - column
            return (self.origin[0] + column * self.spacing, self.origin[1] + row * self.spacing)
        if not self.asked and not self.ended:
            self._ask()
        return self.asked[0] if self.asked else None

    def take(self, dull: bool) -> None:
        """The tap at :meth:`next` was heard."""
        at = self.next()
        if at is None:
            return
        if self.asked:
            self.asked.pop(0)
        self.at.append(at)
        self.dull.append(dull)

    def place(self, at: Point, view: str = "mm") -> str:
        """A place in words: row and column while the grid is tapped, else x and y."""
        x, y = ((at[i] - self.origin[i]) / self.spacing for i in (0, 1))
        on = abs(x - round(x)) < 1e-6 and abs(y - round(y)) < 1e-6
        grid = f"row {round(y) + 1}, column {round(x) + 1}, " if on else ""
        return f"{grid}{show(at[0], 'length', view)}, {show(at[1], 'length', view)}"

    def _ask(self) -> None:
        read = taps(np.array(self.at), np.array(self.dull, float))
        try:
            found = trace(read)
        except RangeError:
            self.ended = True
            return
        counts = {p: self.at.count(p) for p in self.at}
        lone = [p for p in found.doubtful for _ in range(AGAIN) if counts.get(p, 0) <= AGAIN]
        more = [] if self.narrowed else [t.at for t in next_taps(found, 3) if t.at not in counts]
        self.narrowed = self.narrowed or (not lone and set_of(found) is not None)
        beyond = len(self.at) - self.rows * self.columns
        self.asked = (lone or more)[: MOST_ASKED - beyond] if beyond < MOST_ASKED else []
        self.ended = not self.asked


def guide_of(
    columns: int | None, rows: int | None, spacing: str | None, origin: str, there_and_back: bool
) -> Guide | None:
    """The guide of a grid as typed; None where no grid is given.

    Raises:
        InputError: a part of the grid is missing, or a length without unit.
    """
    if columns is None and rows is None and spacing is None:
        return None
    if columns is None or rows is None or spacing is None:
        raise InputError(
            "half a grid", read="not all of --columns, --rows, --spacing", expected="all three, or none"
        )
    typed = drawn_grid(origin, spacing)
    return Guide(columns, rows, typed.spacing, typed.origin, there_and_back)


def write_places(guide: Guide | None, target: Path) -> None:
    """Write the taps a guide took as a table of x, y and tap.

    Raises:
        InputError: no grid was given: the taps have no places.
        OutputError: the table is there already or cannot be written.
    """
    if guide is None:
        raise InputError("the taps have no places", expected="--columns, --rows and --spacing")
    if target.exists():
        raise OutputError(f"{target.name} is there already: nothing was changed")
    lines = ["x mm;y mm;tap"]
    for (x, y), d in zip(guide.at, guide.dull, strict=True):
        lines.append(f"{1e3 * x:.2f};{1e3 * y:.2f};{'dull' if d else 'sound'}")
    replace_whole(target, ("\n".join(lines) + "\n").encode("utf8"))


def samples_of(source: str, rate: int | None, quiet: float) -> tuple[int, Iterator[Array]]:
    """Rate [Hz] and samples of a growing WAV file, or of raw 16-bit mono samples on standard input ("-").

    Raises:
        InputError: standard input without its rate.
        MissingError, ReadingError: no such file, or no uncompressed WAV file.
    """
    if source != "-":
        return growing(Path(source), quiet)
    if rate is None:
        raise InputError(
            "raw samples do not say their rate", read="no rate", expected="--rate, for 16 bit, one channel"
        )
    return rate, raw(sys.stdin.buffer)


def listen(
    source: str,
    reference: Path,
    say: Tell,
    guide: Guide | None = None,
    rate: int | None = None,
    quiet: float = 30.0,
    believed: bool = False,
) -> tuple[tuple[HeardTap, ...], tuple[bool, ...]]:
    """Tell every tap of a running recording as it comes, until it ends or is silent for ``quiet`` [s].

    A tap too near to the noise is not taken: the same place is asked for again.

    Args:
        source: a WAV file that is being written, or "-" for raw samples on standard input.
        reference: recording on a place known to be sound.
        say: takes each line.
        guide: the grid's order; None to tell the taps alone.
        rate: of raw samples [Hz].
        quiet: how long a file may stand still [s].
        believed: the taps are to be written down, so the reference spot must be believed at the end.

    Returns:
        The taps taken, and which of them are dull.

    Raises:
        InputError: ``believed``, and too many taps ring well above the reference spot.
    """
    sound = read_taps(reference)
    found_rate, pieces = samples_of(source, rate, quiet)
    listener, taken, dull, higher = Listener(found_rate), list[HeardTap](), list[bool](), list[bool]()

    def heard(tap: HeardTap) -> None:
        at = None if guide is None else guide.next()
        where = "" if guide is None or at is None else f"  {guide.place(at)}"
        start = f"{len(taken) + 1:4d}  {tap.onset:8.2f} s  {tap.frequency:6.0f} Hz"
        if tap.doubtful:
            say(f"{start}  not told: {why_not_told(tap)}; tap again{where}")
            return
        is_dull = dull_taps((tap,), sound)[0]
        taken.append(tap)
        dull.append(is_dull)
        higher.append(higher_than((tap,), sound)[0])
        high = ", well above the reference" if higher[-1] else ""
        say(f"{start}  {'DULL' if is_dull else 'sound'}{where}{high}")
        why = reference_doubt(tuple(higher))
        if why and len(higher) >= ENOUGH:
            say(f"      do not go on: {why}")
        if guide is not None:
            guide.take(is_dull)
            following = guide.next()
            say(f"      next: {guide.place(following)}" if following else "      nothing more to ask")

    if guide is not None:
        first = guide.next()
        say(f"      first: {guide.place(first)}" if first else "      nothing to ask")
    for piece in pieces:
        for tap in listener.feed(piece):
            heard(tap)
    for tap in listener.finish():
        heard(tap)
    doubt = reference_doubt(tuple(higher))
    if believed and doubt:
        raise InputError(
            "the reference spot cannot be trusted, and nothing was written",
            where=str(reference),
            read=doubt,
            expected="a recording on skin that is known to be sound, then every place tapped again",
        )
    return tuple(taken), tuple(dull)


def why_not_told(tap: HeardTap) -> str:
    """Why a tap's sound is not told."""
    if tap.clipped:
        return "clipped, too loud"
    if tap.decay > RINGS_ON:
        return "too long for a tap: a voice, a scrape"
    return f"only {tap.above:.0f} dB above the noise"
