"""What a person confirmed of photographs, written into a copy of a repair document with its record."""

from __future__ import annotations

import hashlib
import json
import re
import tomllib
from collections.abc import Sequence
from pathlib import Path

from shapely import Polygon

from panelmend.app.photo_rows import fits, in_document_axes, outline_row, refuse_undecided, taps_of
from panelmend.app.photos import PicturesRead
from panelmend.app.service import load
from panelmend.app.surveys import into_document
from panelmend.document import parse
from panelmend.errors import InputError, OutputError
from panelmend.files import replace_whole
from panelmend.photo import PlaceRow


def with_outline(text: str, row: PlaceRow, name: str, source: str = "") -> str:
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
    looked: PicturesRead,
    found: Sequence[PlaceRow],
    document: Path,
    target: Path,
    outline: str | None,
    who: str,
) -> list[Path]:
    """Write a copy of a repair document with what was confirmed, and keep the pictures beside it by digest.

    Raises:
        InputError: undecided rows, nothing to use, or the document does not fit the file of marks.
        OutputError: a file is there already or cannot be written.
    """
    refuse_undecided(found)
    line = outline_row(found, outline)
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
    return keep_pictures(looked, found, target, who)


def _named(target: Path, looked: PicturesRead, taps: Sequence[PlaceRow]) -> None:
    """Let the sweep's name say which picture it came from and how well its places are known."""
    text = target.read_text("utf8")
    old = f'name = "from a table of {len(taps)} readings"'
    pictures = ", ".join(p.digest[:12] for p in looked.pictures)
    worst = max(r.radius for r in taps)
    new = f'name = "photograph {pictures}: {len(taps)} dots, 95 % within {1e3 * worst:.1f} mm"'
    at = text.rfind(old)
    if at >= 0:
        replace_whole(target, (text[:at] + new + text[at + len(old) :]).encode("utf8"))


def keep_pictures(
    looked: PicturesRead, found: Sequence[PlaceRow], document: Path, who: str = ""
) -> list[Path]:
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


def record_of(looked: PicturesRead, found: Sequence[PlaceRow], document: Path, who: str) -> dict[str, object]:
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
