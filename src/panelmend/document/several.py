"""Several damages in one job: one document for each, as if it stood alone, and the others beside it.

``[[damage]]`` instead of ``[damage]`` makes a list. Each damage has a short name (``id``, by default A, B, C
in order); the number and title of the repair carry it on every page. What goes for the panel, the data, the
bay and the stores goes for all of them.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import replace
from typing import Any

from panelmend.document.fault import Fault, fault_at
from panelmend.document.places import Path
from panelmend.document.reader import InFile, OpenedFile, refusal
from panelmend.document.wording import shown
from panelmend.errors import UnitError
from panelmend.units import read

MOST_DAMAGES = 8  # damages in one job: more is a panel for the shop that made it; common practice, no source
NAME = re.compile(r"[A-Z][A-Z0-9]{0,3}")
# What is typed for one damage and cannot stand for all of them.
ALONE = (
    (("survey",), "a survey finds one outline", "each damage its shape, or each in a document of its own"),
    (("choice", "cutout"), "a pinned cut-out goes with one damage", "no pinned cut-out, or one damage"),
)


def several(opened: OpenedFile) -> tuple[OpenedFile, ...]:
    """A document for each damage of a job; the document itself where it has one damage.

    Raises:
        DocumentError: the list cannot be read as one: no table, too many, a name used twice.
    """
    given = opened.raw.get("damage")
    if not isinstance(given, list):
        return (opened,)
    found = _faults(opened.raw, given)
    if found:
        raise refusal([*opened.found, *found], InFile(opened.name, opened.text), opened.name)
    names = names_of(given)
    if len(given) == 1:
        alone = {**opened.raw, "damage": given[0]}
        return (replace(opened, raw=alone, found=_own(opened.found, 0), part=0),)
    return tuple(_one(opened, given, names, i) for i in range(len(given)))


def names_of(given: list[Any]) -> tuple[str, ...]:
    """The short names of the damages of a list, A, B, C where none is typed."""
    return tuple(str(d.get("id") or chr(ord("A") + i)) for i, d in enumerate(given))


def as_one(parts: tuple[OpenedFile, ...], points: list[list[float]], words: str) -> OpenedFile:
    """Several damages as one, with an outline round them.

    Args:
        parts: their documents; what is said of the first goes for all, but for outline, area and notes.
        points: the outline [m].
        words: why they are planned as one.
    """
    first = parts[0]
    name = "+".join(p.damage for p in parts)
    damage = {**first.raw["damage"], "id": name}
    damage["shape"] = {"outline": {"unit": "m", "points": points}}
    for key in ("wet_area", "moisture", "how_found", "notes"):
        given = [p.raw["damage"].get(key) for p in parts]
        damage.pop(key, None)
        if key == "moisture":
            worst = ("found", "not checked", "none found")
            damage[key] = min(given, key=lambda g: worst.index(g) if g in worst else -1)
        elif key == "wet_area":
            wet = _wet_areas([p.raw["damage"] for p in parts])
            damage |= {key: wet} if wet else {}
        else:
            damage[key] = "; ".join(dict.fromkeys(str(g) for g in given if g))
    repair = dict(first.raw["repair"])
    repair["number"] = f"{repair['number'].rpartition('-')[0]}-{name}"
    repair["title"] = repair["title"].replace(f"DAMAGE {first.damage} ", f"DAMAGE {name} ", 1)
    digest = hashlib.sha256(" ".join(p.digest for p in parts).encode()).hexdigest()
    raw = {**first.raw, "damage": damage, "repair": repair}
    return replace(first, raw=raw, digest=digest, damage=name, joined=words)


def _wet_areas(given: list[dict[str, Any]]) -> str:
    """All that was found wet, in all: no less than what is wet of both; "" where one of them gives none."""
    wet = [d.get("wet_area") for d in given if d.get("moisture") == "found"]
    try:
        return f"{sum(read(area, 'area') for area in wet):.9g} m2" if wet else ""
    except UnitError:  # not typed, or told where it is read
        return ""


def _one(opened: OpenedFile, given: list[Any], names: tuple[str, ...], i: int) -> OpenedFile:
    raw = {**opened.raw, "damage": {**given[i], "id": names[i]}}
    repair = raw.get("repair")
    if isinstance(repair, dict):
        number, title = repair.get("number"), repair.get("title")
        repair = dict(repair)
        if isinstance(number, str):
            repair["number"] = f"{number}-{names[i]}"
        if isinstance(title, str):
            repair["title"] = f"DAMAGE {names[i]} of {', '.join(names)}: {title}"[:200]
        raw["repair"] = repair
    digest = hashlib.sha256(f"{opened.digest} {names[i]}".encode()).hexdigest()
    return replace(
        opened, digest=digest, raw=raw, found=_own(opened.found, i), part=i, damage=names[i], damages=names
    )


def _own(found: tuple[Fault, ...], i: int) -> tuple[Fault, ...]:
    """Faults that are this damage's or everybody's, at the paths of a document with one damage."""
    rows: list[Fault] = []
    for path, error in found:
        if path[:1] != ("damage",) or len(path) < 2:
            rows.append((path, error))
        elif path[1] == i:
            rows.append((("damage", *path[2:]), error))
    return tuple(rows)


def _faults(raw: dict[str, Any], given: list[Any]) -> list[Fault]:
    at: Path = ("damage",)
    if not given or len(given) > MOST_DAMAGES:
        return [fault_at(at, "not a list of damages", f"{len(given)} damages", f"1 to {MOST_DAMAGES}")]
    wrong = [
        fault_at((*at, i), "not a damage", shown(d), "a table, [[damage]]")
        for i, d in enumerate(given)
        if not isinstance(d, dict)
    ]
    if wrong:
        return wrong
    names = names_of(given)
    for i, name in enumerate(names):
        if not NAME.fullmatch(name):
            wrong.append(
                fault_at(
                    (*at, i, "id"),
                    "not a short name of a damage",
                    repr(name[:40]),
                    "a capital letter, such as A",
                )
            )
        elif name in names[:i]:
            wrong.append(fault_at((*at, i, "id"), "two damages have one name", name, "a name for each"))
    if len(given) > 1:
        for path, words, expected in ALONE:
            here: Any = raw
            for part in path:
                here = here.get(part) if isinstance(here, dict) else None
            if here is not None:
                wrong.append(
                    fault_at(path, f"{words}, and this job has several", f"{len(given)} damages", expected)
                )
        wrong += _by_hand(raw)
    return wrong


def _by_hand(raw: dict[str, Any]) -> list[Fault]:
    """Blankets and thermocouples that are placed by hand, in a job where each damage has its own."""
    choice = raw.get("choice")
    heat = choice.get("heat") if isinstance(choice, dict) else None
    return [
        fault_at(
            ("choice", "heat", i, field),
            "a place by hand goes with one damage, and this job has several",
            shown(row[field]),
            "no place by hand, or each damage in a document of its own",
        )
        for i, row in enumerate(heat if isinstance(heat, list) else [])
        for field in ("blanket_centre", "thermocouples")
        if isinstance(row, dict) and row.get(field)
    ]
