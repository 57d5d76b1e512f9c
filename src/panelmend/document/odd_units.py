"""A unit that is unlike all the others near it: an inch among millimetres, a centimetre, an F among C.

Drawings and manuals keep to one system, whatever the values are; so this finds what no range can.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from panelmend.document.places import Path, dotted
from panelmend.document.question import Asked
from panelmend.document.typed_out import free_words

LEAST_OTHERS = 3  # others of a kind before one is odd; fewer where the reader's own units speak, too
ODD_SHARE = 0.12  # of all of a kind: what is that seldom is odd
_TYPED = re.compile(r"^\s*[+-]?[\d.,][\d.,/ eE+-]*\s*(?P<unit>[^\d\s].*?)\s*$")
_BARE = re.compile(r"^\s*[+-]?(?:[.,]\d|\d+\.(?!\d))")
_POINT = re.compile(r"^[^a-z]*[\d.,/ +-]+(?P<unit>mm|cm|m|in|ft)\s*$")

# Families with the system each unit belongs to. Vacuum and air pressure are read off gauges of either kind.
SIZES = (
    dict.fromkeys(("mm", "um", "mm2", "cm2", "cm3", "mm3", "ml", "l", "m", "m2", "m3"), "metric")
    | dict.fromkeys(
        ("in", '"', "inch", "inches", "ft", "yd", "mil", "in2", "ft2", "yd2", "in3", "ft3"), "inch"
    )
    | dict.fromkeys(("cm",), "cm")
)
MASSES = dict.fromkeys(("g", "kg", "mg"), "metric") | dict.fromkeys(("lb", "oz"), "inch")
SHEETS = dict.fromkeys(("g/m2", "gsm", "kg/m2", "kg/m3", "g/cm3"), "metric") | dict.fromkeys(
    ("oz/yd2", "lb/ft2", "lb/ft3", "pcf", "lb/in3", "lb/gal"), "inch"
)
HEATS = dict.fromkeys(("C", "degC", "°C", "C/min", "°C/min", "degC/min", "C/s"), "C") | dict.fromkeys(
    ("F", "degF", "°F", "F/min", "°F/min", "degF/min"), "F"
)
STRENGTHS = dict.fromkeys(("MPa", "GPa"), "metric") | dict.fromkeys(("psi", "ksi", "Msi"), "inch")
NAMED = {"metric": "metric units", "inch": "inch units", "C": "C", "F": "F", "cm": "cm"}
Rows = tuple[tuple[Path, str, str], ...]  # path, what was typed, its unit
FAMILIES = (SIZES, MASSES, SHEETS, HEATS, STRENGTHS)
GAUGES = ("inHg", "mmHg", "mbar", "hPa", "kPa", "Pa", "bar", "psi")


def odd_units(raw: dict[str, Any]) -> tuple[Asked, ...]:
    """A question for every typed value whose unit is of another system than those near it.

    Args:
        raw: the values of a document as they were typed.
    """
    repair = raw.get("repair")
    mine = {"mm": "metric", "in": "inch"}.get(
        str(repair.get("units")) if isinstance(repair, dict) else "", ""
    )
    groups: dict[tuple[Path, int], list[tuple[Path, str, str, str]]] = defaultdict(list)
    free = {path for path, _ in free_words(raw)}  # names and places of the data are no values
    every = tuple(row for row in _typed(raw, ()) if row[0] not in free)
    for path, text, unit in every:
        for i, systems in enumerate(FAMILIES):
            if unit in systems:
                groups[_near(path), i] += [(path, text, unit, systems[unit])] * (
                    2 if path[-1] == "unit" else 1
                )
    found = []
    for rows in groups.values():
        count: dict[str, int] = defaultdict(int)
        for *_, system in rows:
            count[system] += 1
        most = max(count, key=lambda s: count[s])
        for path, text, _, system in rows:
            least = 2 if most == mine else LEAST_OTHERS
            if system != most and count[most] >= least and count[system] <= max(1.0, ODD_SHARE * count[most]):
                found.append(_question(raw, path, text, count[most], most))
    return (*found, *_gauges(raw, every), *_changed_about(raw, free), *_bare_points(raw, every))


def _gauges(raw: dict[str, Any], every: Rows) -> Iterator[Asked]:
    """Vacuum and leak are read off one gauge: two units on one page are asked about."""
    rows = [(p, text, unit) for p, text, unit in every if p[:2] == ("data", "bag") and unit in GAUGES]
    units = list(dict.fromkeys(unit for _, _, unit in rows))
    for path, text, unit in rows[1:]:
        if unit != units[0]:
            yield _question(raw, path, text, 1, units[0])


def _changed_about(raw: dict[str, Any], free: set[Path]) -> Iterator[Asked]:
    """In a list of like things, a number with two digits of another one's changed about."""
    for place in (("bay", "blanket"), ("bay", "circuit"), ("data", "cure")):
        below: Any = raw
        for part in place:
            below = below.get(part, {}) if isinstance(below, dict) else {}
        seen: dict[Path, list[tuple[Path, str]]] = defaultdict(list)
        for i, item in enumerate(below if isinstance(below, list) else ()):
            for path, text, _ in _typed(item, ()):
                if (*place, i, *path) not in free:
                    seen[path].append(((*place, i, *path), text))
        for rows in seen.values():
            for path, text in rows:
                same = sum(t == text for _, t in rows)
                twin = next((t for p, t in rows if p != path and _digits_swapped(text, t)), "")
                if twin and same == 1 and sum(t == twin for _, t in rows) >= same:
                    words = f"typed as {text}, and {twin} beside it: were two digits changed about?"
                    key = dotted(tuple(p for p in path if p != "value"))
                    words += " (common practice, no source)"
                    yield Asked(f"{key}.digits", dotted(path), words, 0.0, "", text)


def _bare_points(raw: dict[str, Any], every: Rows) -> Iterator[Asked]:
    """A point with no digit before or behind it, where others are written out: was a digit lost?"""
    rows = [(p, text) for p, text, _ in every]
    bare = [(p, text) for p, text in rows if _BARE.match(text)]
    written = sum("." in text or "," in text for _, text in rows) - len(bare)
    for path, text in bare if len(bare) <= max(1.0, ODD_SHARE * written) else ():
        side = "before" if text.lstrip(" +-")[0] in ".," else "behind"
        words = f"typed as {text}: was the digit {side} the point lost? write 0.5 or 2.0 where none was"
        words += " (common practice, no source)"
        yield Asked(f"{_key(raw, path)}.point", dotted(path), words, 0.0, "", text)


def _digits_swapped(a: str, b: str) -> bool:
    """Whether two texts differ in two neighbouring digits that changed places."""
    if len(a) != len(b) or a == b:
        return False
    off = [i for i in range(len(a)) if a[i] != b[i]]
    if len(off) != 2 or off[1] != off[0] + 1 or not (a[off[0]] + a[off[1]]).isdigit():
        return False
    return a[off[0]] == b[off[1]] and a[off[1]] == b[off[0]]


def _near(path: Path) -> Path:
    """What is typed from one sheet: a section, one material, one blanket or lot."""
    if path[0] == "materials":
        return path[:3]
    return path[:1]


def _typed(value: Any, path: Path) -> Iterator[tuple[Path, str, str]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            if path == () and key in ("confirm", "repair", "people"):
                continue
            yield from _typed(inner, (*path, str(key)))
    elif isinstance(value, list):
        for i, inner in enumerate(value):
            yield from _typed(inner, (*path, i))
    elif isinstance(value, str) and len(value) < 60:
        if path and path[-1] == "unit":
            yield path, value, value
            return
        match = _TYPED.match(value) or _POINT.match(value)
        if match:
            yield path, value, match["unit"]


def _key(raw: dict[str, Any], path: Path) -> str:
    """What a confirmation names: a material by its id, which stays when another one is typed above it."""
    plain = tuple(p for p in path if p != "value")
    if path[0] == "materials" and len(path) > 2:
        ident = raw["materials"][path[1]][path[2]].get("id", path[2])
        return ".".join(["materials", str(ident), *(str(p) for p in plain[3:])])
    return dotted(plain)


def _question(raw: dict[str, Any], path: Path, text: str, others: int, most: str) -> Asked:
    words = (
        f"typed as {text}, where {others} values beside it are in {NAMED.get(most, most)}: is the unit right?"
    )
    key = f"{_key(raw, path)}.unit"
    return Asked(key, dotted(path), f"{words} (common practice, no source)", 0.0, "", text)
