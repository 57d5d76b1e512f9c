"""What was found as a table that a person corrects with any program, and read back."""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass

from panelmend.errors import ReadingError
from panelmend.photo.joined import FoundSpot

HEADER = ("id", "means", "use", "x mm", "y mm", "95 % within mm", "across mm", "look at", "outline mm")
MEANINGS = ("dull", "sound", "line", "hidden", "unknown")
LARGEST_MARKS_FILE = 4_000_000


@dataclass(frozen=True)
class PlaceRow:
    """A line of the table as a person left it [m]; ``settled`` false where a doubt is still open."""

    id: str
    meaning: str
    use: bool
    settled: bool
    at: tuple[float, float]
    radius: float
    outline: tuple[tuple[float, float], ...]


def spots_as_table(spots: tuple[FoundSpot, ...]) -> str:
    """The table of what was found; ``use`` is yes, or ? where a person must write yes or no."""
    out = io.StringIO()
    table = csv.writer(out, delimiter=";", lineterminator="\n")
    table.writerow(HEADER)
    for s in spots:
        outline = " ".join(f"{1e3 * x:.2f},{1e3 * y:.2f}" for x, y in s.outline)
        table.writerow(
            [
                s.id, s.meaning, "?" if s.doubt else "yes", f"{1e3 * s.at[0]:.2f}", f"{1e3 * s.at[1]:.2f}",
                f"{1e3 * s.radius:.2f}", f"{1e3 * s.across:.1f}", s.doubt.value, outline,
            ]
        )  # fmt: skip
    return out.getvalue()


def rows_of_spots(spots: tuple[FoundSpot, ...]) -> tuple[PlaceRow, ...]:
    """The same rows without the detour over a file."""
    return tuple(
        PlaceRow(s.id, s.meaning, not s.doubt, not s.doubt, s.at, s.radius, s.outline) for s in spots
    )


def read_back(text: str, name: str, spots: tuple[FoundSpot, ...]) -> tuple[PlaceRow, ...]:
    """A corrected table.

    Args:
        text: of the file.
        name: of the file, for messages.
        spots: what was found in the pictures: a row that is gone is asked for, ``use`` = no takes one out.

    Raises:
        ReadingError: with the line of the first fault; rows missing; another survey's table.
    """
    if len(text) > LARGEST_MARKS_FILE:
        raise ReadingError("too large for a table of points", where=name)
    lines = text.lstrip("\ufeff").splitlines()
    mark = ";" if lines and lines[0].count(";") >= lines[0].count(",") else ","
    if mark == "," and any(s.outline for s in spots):
        raise ReadingError(
            "the table was saved with commas between cells", where=name, todo="save it with semicolons"
        )
    rows = list(csv.reader(lines, delimiter=mark))
    if not rows or [c.strip().lower() for c in rows[0]][: len(HEADER)] != list(HEADER):
        raise ReadingError(
            "this is not the table of what was found", where=f"{name}, line 1", expected="; ".join(HEADER)
        )
    made = []
    for i, cells in enumerate(rows[1:], 2):
        if not any(c.strip() for c in cells):
            continue
        made.append(_row(cells, f"{name}, line {i}", {s.id: s for s in spots}))
    ids = [r.id for r in made]
    twice = sorted({i for i in ids if ids.count(i) > 1})
    if twice:
        raise ReadingError("an id stands twice", where=name, read=", ".join(twice[:5]))
    gone = [s.id for s in spots if s.id not in ids]
    if gone:
        raise ReadingError(
            "rows are missing: nothing that was found is dropped without a word",
            where=name,
            read=", ".join(gone[:8]),
            todo="write no under use instead of taking a row out",
        )
    return tuple(made)


def _row(cells: list[str], where: str, spots: dict[str, FoundSpot]) -> PlaceRow:
    if len(cells) < 5:
        raise ReadingError("cells are missing", where=where, read=str(len(cells)), expected=str(len(HEADER)))
    cells = [c.strip() for c in cells] + [""] * (len(HEADER) - len(cells))
    meaning, use = cells[1].lower(), cells[2].lower()
    if not cells[0]:
        raise ReadingError("a row without id", where=where, todo="give a point you add an id of its own")
    if meaning not in MEANINGS:
        raise ReadingError("not a meaning", where=where, read=cells[1], expected=", ".join(MEANINGS))
    if use not in ("yes", "no", "?"):
        raise ReadingError("use is neither yes nor no", where=where, read=cells[2], expected="yes or no")
    if use == "yes" and meaning in ("unknown", "hidden"):
        raise ReadingError(
            f"a place that is {meaning} cannot be used as it is",
            where=where,
            expected="dull, sound or line; or use no",
        )
    at = _metres_typed(cells[3], where), _metres_typed(cells[4], where)
    radius = _metres_typed(cells[5], where) if cells[5] else 0.0025
    outline = []
    for pair in cells[8].split():
        x, _, y = pair.partition(",")
        outline.append((_metres_typed(x, where), _metres_typed(y, where)))
    old = spots.get(cells[0])
    if meaning == "line" and use == "yes" and len(outline) < 3:
        raise ReadingError(
            "a line that goes round nothing has no outline", where=where, todo="close it on the panel"
        )
    if old is None and use == "?":
        raise ReadingError("a row that was added is not decided", where=where, expected="yes or no under use")
    return PlaceRow(cells[0], meaning, use == "yes", use != "?", at, radius, tuple(outline))


def _metres_typed(cell: str, where: str) -> float:
    try:
        value = float(cell.replace(",", "."))
    except ValueError:
        raise ReadingError(
            "not a number", where=where, read=repr(cell)[:40], expected="millimetres"
        ) from None
    if not math.isfinite(value) or abs(value) > 1e5:
        raise ReadingError("not a likely place", where=where, read=cell)
    return 1e-3 * value
