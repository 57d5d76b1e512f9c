"""Photographs of a panel: measured, shown, confirmed by a person, and only then part of a repair document."""

from __future__ import annotations

import hashlib
import json
import math
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from shapely import Polygon

from panelmend.app.service import load
from panelmend.app.surveys import into_document
from panelmend.document import parse
from panelmend.document.model import Document
from panelmend.document.panel import Curvature
from panelmend.errors import InputError, MissingError, OutputError, ReadingError
from panelmend.files import replace_whole
from panelmend.job.survey.coverage import PLACE
from panelmend.photo import (
    AROUND,
    MarksFile,
    Measured,
    Picture,
    Row,
    measure,
    picture_of,
    read_back,
    read_picture,
    read_places,
    rows_of,
    written,
)
from panelmend.render.marks import PAPERS, marks_pdf
from panelmend.shapes.cylinder import Cylinder
from panelmend.survey import Table, propose, read_table
from panelmend.units import show

MOST_PICTURES = 12
_TURN_APART = math.radians(3.0)


@dataclass(frozen=True)
class Looked:
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
    replace_whole(target, marks_pdf(numbers, items, side, PAPERS[paper]))


def look(pictures: Sequence[Path], places: Path, pens: dict[str, str], inks: bool = True) -> Looked:
    """Read pictures and the file of marks, and measure. Raises InputError, MissingError, NoPhotoPartError."""
    if len(pictures) > MOST_PICTURES:
        raise InputError("too many pictures", read=str(len(pictures)), expected=f"at most {MOST_PICTURES}")
    known = read_places(places)
    read = tuple(read_picture(p) for p in pictures)
    measured = measure(read, known, pens, inks)
    return Looked(read, measured, hashlib.sha256(places.read_bytes()).hexdigest())


def told(looked: Looked, view: str = "mm") -> str:
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


def write_found(looked: Looked, folder: Path, inks: bool = True) -> tuple[list[Path], Path]:
    """Write the pictures laid flat and, where dots were looked for, the table to be corrected.

    Raises:
        OutputError: the folder holds a table that a person may have corrected, or cannot be written.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(f"{folder} cannot be made: {error.strerror}") from None
    table = folder / "found.csv"
    text = written(looked.measured.spots).encode("utf8")
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


def rows(looked: Looked, corrected: Path | None) -> tuple[Row, ...]:
    """What is to be used, corrected by a person if there is a table. Raises ReadingError, MissingError."""
    if corrected is None:
        return rows_of(looked.measured.spots)
    try:
        data = corrected.read_bytes()
    except FileNotFoundError:
        raise MissingError(f"no file {corrected.name}") from None
    except OSError as error:
        raise ReadingError("cannot be opened", where=corrected.name, read=error.strerror or "") from None
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        text = data.decode("cp1252", errors="replace")
    made = read_back(text, corrected.name, looked.measured.spots)
    _within(made, looked.measured.places, corrected.name)
    return made


def _within(found: Sequence[Row], places: MarksFile, name: str) -> None:
    """Refuse places that the pictures cannot show: a slip of the decimal point."""
    x, y = zip(*(m.at for m in places.mark), strict=True)
    low, high = (min(x) - AROUND, min(y) - AROUND), (max(x) + AROUND, max(y) + AROUND)
    for r in found:
        out = any(not a <= v <= b for a, v, b in zip(low, r.at, high, strict=True))
        if r.use and out:
            raise ReadingError(
                "a place that lies far outside the marks",
                where=f"{name}, {r.id}",
                read=f"{show(r.at[0], 'length')}, {show(r.at[1], 'length')}",
                expected=f"at most {show(AROUND, 'length')} outside them",
            )


def settled(found: Sequence[Row]) -> None:
    """Refuse while anything is undecided. Raises InputError."""
    open_ = [r.id for r in found if not r.settled]
    if open_:
        raise InputError(
            "not everything that was found is decided",
            read=", ".join(open_[:10]) + (" ..." if len(open_) > 10 else ""),
            todo="look at the picture, write yes or no under use in the table, and give it with --corrected; "
            "or take one more picture from another side",
        )


def placed_lines(found: Sequence[Row], wanted: str | None) -> None:
    """Refuse a used line that would go nowhere: a document holds one outline. Raises InputError."""
    outline_of(found, wanted)
    over = [r.id for r in found if r.use and len(r.outline) > 2 and r.id != wanted]
    if over:
        raise InputError(
            "a drawn line would be left out of the document",
            read=", ".join(over),
            todo="name it with --outline, or write no under use in the table and give it with --corrected",
        )


def taps_of(found: Sequence[Row]) -> Table:
    """The dots as a table of taps, as a survey reads it. Raises InputError, ReadingError."""
    taps = [r for r in found if r.use and r.meaning in ("dull", "sound")]
    if not taps:
        raise InputError(
            "no dot is used", expected="dots where it was tapped: dull in one colour, sound in another"
        )
    loose = [r.id for r in taps if r.radius > PLACE]
    if loose:
        raise InputError(
            "dots whose place is not known well enough for the survey's line",
            read=", ".join(loose[:10]),
            expected=f"95 % within {show(PLACE, 'length')}",
            todo="take one more picture, nearer and squarer, or write no and measure them with a ruler",
        )
    text = "x mm;y mm;tap\n" + "\n".join(
        f"{1e3 * r.at[0]:.2f};{1e3 * r.at[1]:.2f};{'d' if r.meaning == 'dull' else 's'}" for r in taps
    )
    return read_table(propose(text))


def outline_of(found: Sequence[Row], wanted: str | None) -> Row | None:
    """The line that is to be the outline of the damage.

    Raises:
        InputError: no such line, or several and none is named.
    """
    lines = [r for r in found if r.use and len(r.outline) > 2]
    if wanted is None:
        return None
    for r in lines:
        if r.id == wanted:
            return r
    raise InputError(
        "no used line has this id", read=wanted, expected=", ".join(r.id for r in lines) or "none was found"
    )


def fits(places: MarksFile, document: Document) -> None:
    """Refuse a file of marks that says another face or bend than the document. Raises InputError."""
    panel = document.panel
    if places.seen_from != panel.seen_from:
        raise InputError(
            "the marks' axes are drawn from another side than the document's",
            read=f"seen_from {places.seen_from}",
            expected=panel.seen_from,
        )
    curve, surface = panel.curvature, places.surface
    if curve is not None and curve.second_radius is not None:
        raise InputError(
            "a panel bent both ways is not measured from photographs",
            read="panel.curvature.second_radius",
            todo="measure along the surface with a tape",
        )
    if (curve is None) != (surface is None):
        raise InputError(
            "document and file of marks do not agree whether the panel is curved",
            read="curved in the document" if curve else "curved in the file of marks",
            todo="give [surface] in the file of marks the radius, axis and bulge of the face",
        )
    if curve is None or surface is None:
        return
    turn = abs((curve.axis - surface.axis + math.pi / 2) % math.pi - math.pi / 2)
    if abs(curve.radius / surface.radius - 1.0) > 0.1 or turn > _TURN_APART or curve.bulges != surface.bulges:
        raise InputError(
            "the file of marks bends the panel otherwise than the document",
            read=f"{show(surface.radius, 'length')}, {math.degrees(surface.axis):.0f} deg, {surface.bulges}",
            expected=f"{show(curve.radius, 'length')}, {math.degrees(curve.axis):.0f} deg, {curve.bulges}",
        )
    if curve.second_radius is not None:
        raise InputError(
            "a picture of a panel that is bent both ways is not measured here",
            read=f"second_radius {show(curve.second_radius, 'length')}",
            todo="measure the places along the surface with a tape",
        )
    if curve.coordinates == "plan" and places.side == "inside":
        raise InputError(
            "places projected in plan cannot be taken from a picture of the inside",
            todo="measure along the surface (panel.curvature.coordinates)",
        )


def in_document_axes(found: Sequence[Row], document: Document) -> tuple[Row, ...]:
    """Rows as the document counts: projected in plan where it says so."""
    curve = document.panel.curvature
    if curve is None or curve.coordinates == "surface":
        return tuple(found)
    cylinder = _cylinder(curve)
    return tuple(
        Row(
            r.id, r.meaning, r.use, r.settled, cylinder.project(r.at), r.radius,
            tuple(cylinder.project(p) for p in r.outline),
        )
        for r in found
    )  # fmt: skip


def _cylinder(curve: Curvature) -> Cylinder:
    return Cylinder(curve.radius, curve.axis)


def with_outline(text: str, row: Row, name: str, source: str = "") -> str:
    """A document's text with the line, moved outward by its 95 % radius, as the shape of its damage.

    Raises:
        InputError: the damage has a shape already, or its table cannot be found.
        DocumentError: the new text has faults.
    """
    try:
        raw = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError) as error:
        raise InputError("this is no TOML", where=name, read=str(error)[:100]) from None
    grown = Polygon(row.outline).buffer(row.radius, join_style="mitre")
    if grown.geom_type != "Polygon" or not Polygon(row.outline).is_valid:
        raise InputError("the line crosses itself", where=row.id, todo="correct it in the table or redraw it")
    ring = tuple(grown.exterior.coords)[:-1]
    points = ", ".join(f"[{1e3 * x:.2f}, {1e3 * y:.2f}]" for x, y in ring)
    shape = f'shape = {{ outline = {{ unit = "mm", points = [{points}] }} }}'
    damage = raw.get("damage")
    head = re.search(r"^[ \t]*\[damage\][ \t]*(#.*)?$", text, re.MULTILINE)
    if not isinstance(damage, dict) or head is None:
        raise InputError("no [damage] table to put the outline in", where=name)
    if "shape" in damage:
        raise InputError(
            "the damage has a shape already: nothing was changed",
            where=f"{name}, damage.shape",
            todo="take the old shape out first",
        )
    made = (
        text[: head.end()]
        + f"\n# from a line drawn on the panel{source}"
        + f"\n# moved out by its 95 % error of {1e3 * row.radius:.1f} mm"
        + f"\n{shape}"
        + text[head.end() :]
    )
    parse(made.encode("utf8"), name)
    return made


def into(
    looked: Looked, found: Sequence[Row], document: Path, target: Path, outline: str | None, who: str
) -> list[Path]:
    """Write a copy of a repair document with what was confirmed, and keep the pictures beside it by digest.

    Raises:
        InputError: undecided rows, nothing to use, or the document does not fit the file of marks.
        OutputError: a file is there already or cannot be written.
    """
    settled(found)
    line = outline_of(found, outline)
    taps = [r for r in found if r.use and r.meaning in ("dull", "sound") and not r.outline]
    if target.exists():
        raise OutputError(f"{target.name} is there already: nothing was changed")
    places = looked.measured.places
    if line is not None:
        try:
            text = document.read_text("utf8")
        except (OSError, UnicodeDecodeError) as error:
            raise InputError(
                "the document cannot be read", where=document.name, read=str(error)[:80]
            ) from None
        source = ", photograph " + ", ".join(p.digest[:12] for p in looked.pictures)
        read = parse(with_outline(text, line, document.name).encode("utf8"), document.name).document
        fits(places, read)
        line = in_document_axes([line], read)[0]
        made = with_outline(text, line, document.name, source)
        if taps:  # a dull tap outside the line must be seen by the plan
            into_document(taps_of(in_document_axes(taps, read)), document, target, places.side)
            try:
                made = with_outline(target.read_text("utf8"), line, document.name, source)
            except InputError:
                target.unlink()
                raise
        replace_whole(target, made.encode("utf8"))
        if taps:
            _named(target, looked, taps)
    else:
        read = load(document).document
        fits(places, read)
        if not taps:
            raise InputError("nothing is used that a document can hold", todo="name a line with --outline")
        into_document(taps_of(in_document_axes(taps, read)), document, target, places.side)
        _named(target, looked, taps)
    return keep(looked, found, target, who)


def _named(target: Path, looked: Looked, taps: Sequence[Row]) -> None:
    """Let the sweep's name say which picture it came from and how well its places are known."""
    text = target.read_text("utf8")
    old = f'name = "from a table of {len(taps)} readings"'
    pictures = ", ".join(p.digest[:12] for p in looked.pictures)
    worst = max(r.radius for r in taps)
    new = f'name = "photograph {pictures}: {len(taps)} dots, 95 % within {1e3 * worst:.1f} mm"'
    at = text.rfind(old)
    if at >= 0:
        replace_whole(target, (text[:at] + new + text[at + len(old) :]).encode("utf8"))


def keep(looked: Looked, found: Sequence[Row], document: Path, who: str = "") -> list[Path]:
    """The pictures as they were, by digest, and a record of what was read from them, beside the document."""
    folder = document.with_name(document.stem + "-photos")
    try:
        folder.mkdir(exist_ok=True)
    except OSError as error:
        raise OutputError(f"{folder} cannot be made: {error.strerror}") from None
    kept = []
    for p in looked.pictures:
        path = folder / f"{p.digest}{Path(p.name).suffix.lower()}"
        if not path.exists():
            replace_whole(path, p.data)
        kept.append(path)
    text = (json.dumps(record_of(looked, found, document, who), indent=1) + "\n").encode("utf8")
    record = folder / f"record-{hashlib.sha256(text).hexdigest()[:12]}.json"
    replace_whole(record, text)
    return [*kept, record]


def record_of(looked: Looked, found: Sequence[Row], document: Path, who: str) -> dict[str, object]:
    """What was read from which picture, as plain data [SI]."""
    m = looked.measured
    return {
        "version": 1,
        "document": document.name,
        "confirmed_by": who,
        "pictures": [{"name": p.name, "sha256": p.digest} for p in looked.pictures],
        "marks_file_sha256": looked.places_digest,
        "corner_noise_picture_elements": round(m.fitted.noise, 4),
        "marks_left_out_m": {str(n): [round(v, 6) for v in d] for n, d in m.fitted.left_out.items()},
        "points": [
            {
                "id": r.id, "means": r.meaning, "used": r.use,
                "x_m": round(r.at[0], 6), "y_m": round(r.at[1], 6),
                "within_95_m": round(r.radius, 6), "outline_m": [[round(v, 6) for v in p] for p in r.outline],
            }
            for r in found
        ],
        "items": [
            {
                "name": i.item.name, "kind": i.item.kind,
                "points_m": [[round(v, 6) for v in p] for p in i.points],
                "within_95_m": [round(v, 6) for v in i.radii], "missing_marks": list(i.missing),
            }
            for i in m.items
        ],
    }  # fmt: skip
