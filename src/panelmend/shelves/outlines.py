"""The outline of a damage as people write it in one line: ``circle 52 mm at 262, 222 mm``."""

from __future__ import annotations

import re
from typing import Any

from pydantic import ValidationError

from panelmend.document.shape import Shape
from panelmend.document.wording import did_you_mean, plain_complaint
from panelmend.errors import InputError
from panelmend.units import read
from panelmend.units.written import as_read

EXAMPLE = "circle 52 mm at 262, 222 mm; or ellipse 70 x 48 mm at 40, -60 mm turned 20 deg"
TRACED = "outline mm: 412 377; 437 352; 478 341"
_FORMS = {
    "circle": "circle",
    "round": "circle",
    "ellipse": "ellipse",
    "oval": "oval",
    "rectangle": "rectangle",
    "outline": "outline",
    "traced": "outline",
}
_TURNED = re.compile(
    r"[,;]?\s+(?:turned(?:\s+by)?|angle|at\s+an\s+angle\s+of)?\s*([+-]?\d[\d.,]*\s*(?:deg|degrees|°))$"
)
_CORNERS = re.compile(r",?\s*(?:with\s+)?(?:corners|corner radius|radius)\s+(?:of\s+)?(.+)$")
_AXIS = re.compile(r"\b([xy])\s*=?\s*(?=[+-]?[\d.])")
_UNIT = re.compile(r'(?<=[\d\s])((?:mm|cm|m|in|inch|inches|ft)|")$')
_MOST_BULGE = 1.0  # half a circle; a larger one is far likelier a decimal comma


def outline_value(text: str) -> dict[str, Any]:
    """The outline in the words of a document.

    Args:
        text: one line: its form, its size, ``at``, and where its centre lies; or a traced outline.

    Returns:
        A table with one form, every quantity with its unit.

    Raises:
        InputError: what was read, what was expected and what to do.
    """
    line = as_read(text).strip().rstrip(".;").lower()  # no unit of a length or an angle has a capital
    form, rest = _form(line)
    made = {"outline": _traced(rest)} if form == "outline" else {form: _sized(form, rest, line)}
    try:
        Shape.model_validate(made)
    except ValidationError as error:
        raise plain_complaint(error.errors(include_url=False)[0], made, Shape)[1] from None
    return made


def _form(line: str) -> tuple[str, str]:
    word = re.match(r"[A-Za-z]+", line)
    form = _FORMS.get(word[0].casefold()) if word else None
    if word is None or form is None:
        raise InputError(
            "no form of a damage",
            read=repr(line[:60]),
            expected=f"{EXAMPLE}; or {TRACED}",
            todo=did_you_mean(word[0], list(_FORMS)) if word else "",
        )
    return form, line[word.end() :].strip(" :,")


def _sized(form: str, rest: str, line: str) -> dict[str, str]:
    size, at, place = _parted(rest)
    if not (size and at and place):
        raise InputError(
            "a damage needs its size, 'at', and where its centre lies", read=repr(line[:80]), expected=EXAMPLE
        )
    made: dict[str, str] = {}
    turned = _TURNED.search(place)
    if turned:
        place = place[: turned.start()]
        if form == "circle":
            raise InputError("a circle has no angle", read=turned[1], expected="its centre alone")
    corners = _CORNERS.search(size)
    if corners and form == "rectangle":
        made["corner_radius"], size = _checked_length(corners[1]), size[: corners.start()]
    size = re.sub(r"^(?:ø|dia\.?|diameter)\s*|\s*(?:dia\.?|diameter)$", "", size.strip())
    made["centre"] = _place(place)
    if form == "circle":
        made["diameter"] = _checked_length(size)
        return made
    first, second = _two(size, form)
    made["length"], made["width"] = first, second
    if turned:
        read(turned[1], "angle")
        made["angle"] = turned[1]
    if form in ("ellipse", "oval") and read(first, "length") < read(second, "length"):
        raise InputError(
            f"the width of the {form} is longer than its length",
            read=size,
            expected="the longer one first; the angle is that of the longer one",
        )
    return made


def _parted(rest: str) -> tuple[str, str, str]:
    parts = re.split(r"\s+(?:at|@)\s+(?!an angle)", rest)
    if len(parts) != 2:
        return rest, "", ""
    return parts[0].strip(" ,;"), "at", parts[1].strip(" ,;")


def _two(size: str, form: str) -> tuple[str, str]:
    parts = re.split(r"\s*(?:\bx\b|(?<=[\d\"])x(?=[\d\s])|\bby\b)\s*", size)
    if len(parts) != 2 or not all(parts):
        raise InputError(
            f"an {form} has two sizes" if form[0] in "eo" else f"a {form} has two sizes",
            read=repr(size),
            expected="length x width, such as 70 x 48 mm",
        )
    first, second = (p.strip(" ,") for p in parts)
    unit = _UNIT.search(second)
    if first[-1].isdigit() and unit:
        first = f"{first} {unit[1]}"
    return _checked_length(first), _checked_length(second)


def _checked_length(text: str) -> str:
    read(text.strip(), "length")
    return text.strip()


def _place(text: str) -> str:
    """A point as the document reads it; with decimal commas a blank tells the two numbers apart."""
    named = [m[1] for m in _AXIS.finditer(text)]
    if named not in ([], ["x"], ["x", "y"]):
        raise InputError(
            "where the centre lies is x first and y second", read=repr(text[:60]), expected="x 262, y 222 mm"
        )
    text = _AXIS.sub("", text).strip()
    if ";" in text:
        return text
    parts = re.split(r",\s+", text)
    if len(parts) == 2:
        return "; ".join(parts)
    if "," not in text:
        raise InputError(
            "where the centre lies needs two numbers with a comma between them",
            read=repr(text[:60]),
            expected="262, 222 mm",
        )
    return text


def _traced(rest: str) -> dict[str, Any]:
    unit = re.match(r'(mm|cm|m|ft|inches|inch|in|")[:,]?\s+(?=[+-]?\d)', rest)
    last = re.search(r'(?<=[\d\s])\s*(mm|cm|m|ft|inches|inch|in|")$', rest)
    if bool(unit) == bool(last):
        raise InputError(
            "a traced outline names its unit once, at its beginning or at its end",
            read=repr(rest[:40]),
            expected=TRACED,
        )
    found = unit or last
    assert found is not None, "one of the two"
    rest = rest[unit.end() :] if unit else rest[: found.start()]
    name = {"inches": "in", "inch": "in", '"': "in"}.get(found[1], found[1])
    return {"unit": name, "points": [_point(p) for p in rest.strip("; ").split(";")]}


def _point(part: str) -> list[float]:
    """One point: numbers with a blank between them, or with commas alone; else commas are decimal ones."""
    words = [w for w in re.split(r",\s+|\s+", part.strip(" ,")) if w]
    alone = len(words) == 1
    if alone:
        words = words[0].split(",")
    try:
        numbers = [float(w.replace(",", ".")) for w in words]
    except ValueError:
        numbers = []
    if len(numbers) not in (2, 3) or any(w.count(",") > 1 for w in words):
        raise InputError(
            "not a point", read=repr(part.strip()[:40]), expected="x y, or x y and the bulge of an arc"
        )
    unsure = alone and not any("." in w for w in words)  # 12,5,0 may be 12.5 and 0
    if len(numbers) == 3 and (unsure or abs(numbers[2]) > _MOST_BULGE):
        raise InputError(
            "three numbers that may be two" if unsure else "a bulge of more than half a circle",
            read=repr(part.strip()[:40]),
            expected="x y, or x y and a bulge from -1 to 1",
            todo="with decimal commas leave a blank between the numbers: 412,5 377,2",
        )
    return numbers
