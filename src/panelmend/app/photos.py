"""Photographs of a panel: measured and shown, before a person confirms anything."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from panelmend.errors import InputError, OutputError
from panelmend.files import replace_whole
from panelmend.photo import Measured, Picture, measure, picture_of, read_picture, read_places, spots_as_table
from panelmend.render.marks import PAPERS, marks_sheets
from panelmend.units import show

MOST_PICTURES = 12


@dataclass(frozen=True)
class PicturesRead:
    """Pictures and what they gave."""

    pictures: tuple[Picture, ...]
    measured: Measured
    places_digest: str


def print_marks(target: Path, numbers: Sequence[int], items: Sequence[int], side: float, paper: str) -> None:
    """Write the sheets of marks.

    Args:
        target: the PDF.
        numbers: marks for measured places.
        items: marks that point at things.
        side: of a mark [m].
        paper: a4 or letter.

    Raises:
        InputError: a number or side that cannot be printed.
        NoPhotoPartError: the picture library is not installed.
        OutputError: the file cannot be written.
    """
    replace_whole(target, marks_sheets(numbers, items, side, PAPERS[paper]).pdf())


def look_at_pictures(
    pictures: Sequence[Path], places: Path, pens: dict[str, str], inks: bool = True
) -> PicturesRead:
    """Read pictures and the file of marks, and measure. Raises InputError, MissingError, NoPhotoPartError."""
    if len(pictures) > MOST_PICTURES:
        raise InputError("too many pictures", read=str(len(pictures)), expected=f"at most {MOST_PICTURES}")
    known = read_places(places)
    read = tuple(read_picture(p) for p in pictures)
    measured = measure(read, known, pens, inks)
    return PicturesRead(read, measured, hashlib.sha256(places.read_bytes()).hexdigest())


def pictures_told(looked: PicturesRead, view: str = "mm") -> str:
    """Cameras, marks and what was found in words."""

    def length(v: float) -> str:
        return show(v, "length", view)

    m = looked.measured
    fitted = m.fitted
    lines = []
    for k, (p, shot) in enumerate(zip(looked.pictures, fitted.shots, strict=True)):
        middle = [sum(v) / len(fitted.setup.placed) for v in zip(*fitted.setup.placed.values(), strict=True)]
        import numpy as np

        slant = math.degrees(float(fitted.view(k).slants(fitted.setup.face, np.array([middle]))[0]))
        lines.append(
            f"{p.name} ({p.digest[:12]}): {len(shot.marks)} marks, {slant:.0f} degrees from square on, "
            f"corners to {fitted.noise:.2f} picture elements"
        )
    apart = max(fitted.left_out.items(), key=lambda i: i[1][0])
    lines.append(
        f"Left out one by one, each mark came back where it was measured; the worst, mark {apart[0]}, "
        f"within {length(apart[1][0])} (expected {length(apart[1][1])})"
    )
    lines += [f"note: {n}" for n in m.notes]
    for item in m.items:
        for at, r in zip(item.points, item.radii, strict=True):
            lines.append(
                f"{item.item.kind} {item.item.name}: {length(at[0])}, {length(at[1])} "
                f"(95 % within {length(r)})"
            )
        if item.missing:
            lines.append(
                f"{item.item.kind} {item.item.name}: mark {', '.join(map(str, item.missing))} not found"
            )
    counts = {k: [s for s in m.spots if s.meaning == k and not s.doubt] for k in ("dull", "sound", "line")}
    if m.spots:
        worst = max((s.radius for s in m.spots), default=0.0)
        lines.append(
            f"Found: {len(counts['dull'])} dull, {len(counts['sound'])} sound, {len(counts['line'])} lines; "
            f"95 % within {length(worst)} at worst"
        )
    for s in m.doubtful:
        lines.append(f"  look at {s.id} at {length(s.at[0])}, {length(s.at[1])}: {s.doubt.value}")
    return "\n".join(lines)


def write_found(looked: PicturesRead, folder: Path, inks: bool = True) -> tuple[list[Path], Path]:
    """Write the pictures laid flat and, where dots were looked for, the table to be corrected.

    Raises:
        OutputError: the folder holds a table that a person may have corrected, or cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"{folder} cannot be made: {error.strerror}") from None
    table = folder / "found.csv"
    text = spots_as_table(looked.measured.spots).encode("utf8")
    if inks and table.exists() and table.read_bytes() != text:
        raise OutputError(
            f"{table} is there already and differs: nothing was changed. If it was corrected, give it with "
            "--corrected; else move it away"
        )
    made = []
    for k, _ in enumerate(looked.pictures):
        path = folder / (f"found-{k + 1}.png" if inks else f"items-{k + 1}.png")
        replace_whole(path, picture_of(looked.measured, k))
        made.append(path)
    if inks:
        replace_whole(table, text)
    return made, table
