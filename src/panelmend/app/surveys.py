"""Surveys: from a file of readings straight to the outline, and into a repair document."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

import numpy as np
from pydantic import ValidationError

from panelmend.app.service import load, read_text
from panelmend.document.survey import SurveyPass, TapGrid
from panelmend.errors import InputError, OutputError, RangeError, ReadingError
from panelmend.files import replace_whole
from panelmend.job.survey.coverage import ROOT2, closest_spacing
from panelmend.job.survey.next_taps import NextTap, next_taps, set_of
from panelmend.job.survey.readings import DULL_FROM, measures, pass_places, reading_ratios, taps
from panelmend.job.survey.trace import TracedSurvey, trace
from panelmend.survey import HIGHER, ReadingTable, dull_taps, higher_than, read_taps
from panelmend.survey.wav import HeardTap
from panelmend.units import show
from panelmend.units.fundamental import QUARTER_TURN

MOST_SURVEY_PLACES = 100_000  # places; more take minutes and help nobody
SHOWN = 8  # places told of a long list
MOST_TYPED = 20_000  # places a document holds
CONFIDENCES = {"80 %": 0.8, "90 %": 0.9, "95 %": 0.95, "99 %": 0.99}


@dataclass(frozen=True)
class DrawnGrid:
    """The drawn grid of a table with rows and columns: origin and spacing as typed, with their units."""

    origin: str
    spacing: str


def trace_survey(
    table: ReadingTable,
    confidence: str = "95 %",
    reference: tuple[float, ...] = (),
    dull_from: float | None = None,
) -> TracedSurvey:
    """The areas of a table of readings with x and y.

    Args:
        table: the readings.
        confidence: "80 %", "90 %", "95 %" or "99 %".
        reference: readings on a sound place, for contact times [unit of the readings].
        dull_from: ratio to the sound place from which a reading counts as damage [1]; the usual 1.15 if None.

    Raises:
        InputError: moisture, too many places, contact times without reference, or nothing to outline.
    """
    kind, name = table.proposal.kind, table.proposal.name
    if kind == "moisture":
        raise InputError(
            "moisture readings give no outline of damage", where=name,
            todo="--into puts them into a document, where they are held against the line",
        )  # fmt: skip
    if table.proposal.on_grid:
        raise InputError(
            "nothing says yet where the rows and columns are on the panel",
            where=name,
            todo="give the grid's spacing",
        )
    if len(table.rows) > MOST_SURVEY_PLACES:
        raise InputError(
            "too many readings",
            where=name,
            read=f"{len(table.rows):,}",
            expected=f"at most {MOST_SURVEY_PLACES:,}",
        )
    rows = np.array(table.in_metres(), float)
    if kind == "tap":
        read = taps(rows[:, :2], rows[:, 2])
    else:
        if kind == "time" and not reference:
            raise InputError("contact times need a reference on a sound place", where=name)
        sound = float(np.median(reference)) if reference else 1.0
        read = measures(rows[:, :2], rows[:, 2] / sound, dull_from or DULL_FROM)
    try:
        return trace(read, CONFIDENCES[confidence])
    except RangeError as error:
        raise ReadingError(str(error), where=name) from None


def drawn_grid(origin: str, spacing: str) -> TapGrid:
    """A grid from its typed origin and spacing; InputError where a length has no unit or is none."""
    try:
        return TapGrid.model_validate({"origin": origin, "spacing": spacing})
    except ValidationError as error:
        first = error.errors()[0]
        inner = first.get("ctx", {}).get("error")
        if isinstance(inner, InputError):
            raise inner from None
        raise InputError("the grid cannot be used", read=str(first["input"]), expected=first["msg"]) from None


def doubts(table: ReadingTable, reference: tuple[float, ...], dull_from: float | None) -> list[str]:
    """What speaks against the numbers of an instrument, in words; nothing for taps."""
    if table.proposal.kind not in ("time", "ratio"):
        return []
    r = reading_ratios(np.array([v for *_, v in table.rows]), reference, dull_from)
    told = []
    if r.low.any():
        told.append(
            f"  S130 {int(r.low.sum())} of {len(r.value)} readings lie below {1.0 / r.limit:.2f} of the "
            f"sound place, the lowest {r.value.min():.2g} of it: reference, unit or instrument?"
        )
    if r.unsteady:
        told.append(
            f"  S131 the readings on the sound place run from {r.reference.min():.2f} to "
            f"{r.reference.max():.2f} of their median"
        )
    if r.overlooked.any():
        told.append(
            f"  S132 {int(r.overlooked.sum())} readings from {DULL_FROM:.2f} to the limit of {r.limit:.2f} "
            "were taken as sound"
        )
    return told


def on_its_grid(table: ReadingTable, grid: DrawnGrid) -> ReadingTable:
    """A table with rows and columns put on its grid: x and y in metres along the panel's axes."""
    part = SurveyPass(
        kind=table.proposal.kind,
        side="outside",
        grid=drawn_grid(grid.origin, grid.spacing),
        readings=table.rows,
        reference=(1.0,),
    )
    points, values = pass_places(part)
    rows = tuple((x, y, v) for (x, y), v in zip(points, values, strict=True))
    return replace(table, proposal=replace(table.proposal, on_grid=False, unit="m"), rows=rows)


def survey_told(traced: TracedSurvey, view: str = "mm") -> str:
    """Areas, doubts and the next taps in words."""

    def length(value: float) -> str:
        return show(value, "length", view)

    def at(p: tuple[float, float]) -> str:
        return f"{length(p[0])}, {length(p[1])}"

    lines = [
        f"Spacing near the damage {length(traced.spacing)}; outer line "
        + ("without a per cent:" if traced.withheld else f"at {100 * traced.confidence:.0f} %"),
        *(f"  S112 {w.words()}" for w in traced.withheld),
        f"{len(traced.areas)} damaged area{'s' if len(traced.areas) != 1 else ''}",
    ]
    if not traced.areas:
        room = length(ROOT2 * closest_spacing(traced.posterior.at))
        lines = [f"No damaged area: no line. Between the readings lies room for damage {room} across"]
    for i, a in enumerate(traced.areas, 1):
        o = a.outer
        lines.append(
            f"  area {i} at {at(o.centroid)}: {length(o.extent(0.0))} along 0°, "
            f"{length(o.extent(QUARTER_TURN))} across, largest {length(o.largest_extent())}"
        )
        if a.runs_off:
            lines.append("    S101 it may run off the survey: tap further out")
    if traced.doubtful:
        lines.append(f"  S105 tap again, damaged readings in no area: {'; '.join(map(at, traced.doubtful))}")
    if traced.gaps:
        lines.append(f"  S111 nobody tapped here: {'; '.join(map(at, traced.gaps))}")
    if traced.contradictory:
        lines.append(f"  S102 contradictory repeats: {'; '.join(map(at, traced.contradictory[:8]))}")
    more: tuple[NextTap, ...] = next_taps(traced)
    together = set_of(traced)
    if together is not None:
        now = sum(a.outer.area for a in traced.areas)
        lines.append(
            f"To narrow the line, tap all these {len(more)} places, nearest to the damage first: it comes "
            f"from {show(now, 'area', view)} to {show(together.area, 'area', view)} where all of them sound; "
            "where one is dull it goes round that too"
        )
        if not together.whole:
            lines[-1] = (
                f"To narrow the line, many taps are needed; the first {len(more)}, nearest to the damage:"
            )
        rest = f"; and {len(more) - SHOWN} more (--next writes all)" if len(more) > SHOWN else ""
        lines.append("Tap next at " + "; ".join(at(t.at) for t in more[:SHOWN]) + rest)
    elif more and traced.areas:
        lines.append("Tap next at " + "; ".join(at(t.at) for t in more))
    return "\n".join(lines)


def write_next(traced: TracedSurvey, target: Path) -> int:
    """Write the places to tap next as a table with an empty column for what is heard; how many there are.

    Raises:
        OutputError: the table is there already or cannot be written.
    """
    if target.exists():
        raise OutputError(f"{target.name} is there already: nothing was changed")
    places_ = [t.at for t in next_taps(traced)]
    lines = ["x mm;y mm;tap", *(f"{1e3 * x:.1f};{1e3 * y:.1f};" for x, y in places_)]
    replace_whole(target, ("\n".join(lines) + "\n").encode("utf8"))
    return len(places_)


def into_document(
    table: ReadingTable,
    document: Path,
    target: Path,
    side: Literal["outside", "inside"],
    grid: DrawnGrid | None = None,
    reference: tuple[float, ...] = (),
    dull_from: float | None = None,
) -> None:
    """Write a copy of a repair document with the readings as a sweep; the typed text stays as it is.

    Raises:
        DocumentError: the document, or the document with the readings, has faults; nothing is written.
        InputError: more readings than a document holds, or a grid is needed.
        OutputError: the target is there already or cannot be written.
    """
    loaded, p = load(document), table.proposal
    if len(table.rows) > MOST_TYPED:
        raise InputError(
            "too many for a document", read=f"{len(table.rows):,}", expected=f"at most {MOST_TYPED:,}"
        )
    if p.on_grid and grid is None:
        raise InputError("rows and columns need the grid", expected="its origin and spacing with units")
    place = (
        f'grid = {{ origin = "{grid.origin}", spacing = "{grid.spacing}" }}'
        if p.on_grid and grid is not None
        else f'unit = "{p.unit}"'
    )
    rows = "\n".join(f"  [{x!r}, {y!r}, {v!r}]," for x, y, v in table.rows)
    limit = f"dull_from = {dull_from!r}\n" if dull_from is not None and p.kind != "tap" else ""
    known = f"reference = [{', '.join(map(repr, reference))}]\n" if reference else ""
    text = (
        f'{loaded.text.rstrip()}\n\n[[survey.sweep]]\nname = "from a table of {len(table.rows)} readings"\n'
        f'kind = "{p.kind}"\nside = "{side}"\n{place}\n{known}{limit}readings = [\n{rows}\n]\n'
    )
    read_text(text.encode("utf8"), target)
    try:
        with target.open("x", encoding="utf8") as file:
            file.write(text)
    except FileExistsError:
        raise OutputError(f"{target.name} is there already: nothing was changed") from None
    except OSError as error:
        raise OutputError(f"{target.name} cannot be written: {error.strerror}") from None


def recorded(
    recording: Path, reference: Path
) -> tuple[tuple[HeardTap, ...], tuple[bool, ...], tuple[bool, ...]]:
    """The taps of a recording in order, which are dull by those on a reference spot, which ring above it."""
    found, spot = read_taps(recording), read_taps(reference)
    return found, dull_taps(found, spot), higher_than(found, spot)


def reference_doubt(higher: tuple[bool, ...]) -> str:
    """Why the reference spot is not believed; nothing where it is."""
    if sum(higher) <= HIGHER * len(higher):
        return ""
    return (
        f"{sum(higher)} of {len(higher)} taps ring as far above the reference spot as dull ones below it: "
        "it may itself be damaged"
    )


def write_grid(dull: tuple[bool, ...], columns: int | None, there_and_back: bool, target: Path) -> None:
    """Write taps in the order of a grid as a table of rows and columns that a survey reads.

    Args:
        dull: which taps are dull, in the order they were tapped.
        columns: taps in a row.
        there_and_back: every second row was tapped backwards.
        target: the table; one that is there is left alone.

    Raises:
        InputError: no columns, or taps that do not fill whole rows: one was missed or found twice.
        OutputError: the table is there already or cannot be written.
    """
    if columns is None:
        raise InputError(
            "the grid's order is not known", read="no columns", expected="--columns: taps in a row"
        )
    rows, rest = divmod(len(dull), columns)
    if rest:
        raise InputError(
            "the taps do not fill whole rows: one was missed or heard twice",
            read=f"{len(dull)} taps",
            expected=f"a multiple of {columns}",
            todo="listen to the recording where the listed times are uneven, and record that row again",
        )
    lines = ["row;column;tap"]
    for row in range(rows):
        part = dull[row * columns : (row + 1) * columns]
        if there_and_back and row % 2:
            part = part[::-1]
        lines += [f"{row + 1};{i + 1};{'dull' if d else 'sound'}" for i, d in enumerate(part)]
    if target.exists():
        raise OutputError(f"{target.name} is there already: nothing was changed")
    replace_whole(target, ("\n".join(lines) + "\n").encode("utf8"))
