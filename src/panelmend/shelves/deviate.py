"""Departures of one job from its shelves: each with its reason; an engineer answers for some."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from typing import Any

from panelmend.document.answers import is_given
from panelmend.document.fault import Fault, fault_at
from panelmend.document.people import is_name, same_person
from panelmend.document.places import Path
from panelmend.document.shelved import Statement
from panelmend.document.wording import shown, value_at
from panelmend.shelves.model import ShelfDeviation
from panelmend.shelves.referenced import OfJob, stated

SHOP = ("bay", "stores")
# What says which data and which panel it is: another one is another entry.
IDENTITY = (
    ("data", "manual"),
    ("data", "repair"),
    ("panel", "part_number"),
    ("panel", "name"),
    ("panel", "serial"),
)
OTHERS = ("panel", "data", "materials")
# What a label, a certificate or a rating plate says: no value of the shop's own, though its shelf holds it.
FACTS = frozenset(
    {
        "expires",
        "out_life",
        "out_time",
        "opened",
        "calibrated_until",
        "id",
        "material",
        "lot",
        "kind",
        "limit",
        "rating",
        "continuous",
        "supply",
        "voltage",
        "power",
        "power_density",
        "type",
        "tolerance",
        "uncertainty",
    }
)
LONG = 2000  # characters of a table in a finding
_PART = re.compile(r"([^.\[\]]+)|\[(\d{1,5})\]")
# In a job on a mirrored panel these would be mirrored with it.
TURNED = (("panel",), ("data", "plies", "outside"), ("data", "plies", "inside"), ("data", "core", "cap"))
TURNED_TOO = ("data", "strength")


@dataclass(frozen=True)
class Departure:
    """A deviation that was taken: where, what the shelf has, and whether the one who must answered for it."""

    path: Path
    given: ShelfDeviation
    was: str
    of_shop: bool
    statement: Statement | None = None  # where the engineer's reference stands beside it

    @property
    def answered(self) -> bool:
        """Whether it stands: the shop's own, or the engineer's and seen by a second person."""
        return self.of_shop or (self.statement is not None and not self.statement.open)

    @property
    def words(self) -> str:
        """Value, what it stands in for, why and by whom."""
        d = self.given
        reference = f", reference {d.reference}" if d.reference else ""
        return (
            f"{d.of} = {_value_words(d.value)} in place of {self.was}: {d.reason} ({d.by}, {d.on}{reference})"
        )

    @property
    def place(self) -> str:
        """What is printed as the place of the value."""
        d = self.given
        if self.answered:
            by = f"reference {d.reference}, {d.by}; held against {d.checked_against} by {d.checked_by}"
        elif self.statement is not None:
            by = f"NOT APPROVED: reference {d.reference}, {d.by}, which no second person has seen"
        else:
            by = "NOT APPROVED, no engineer's reference"
        return f"deviation ({by}); the data has {self.was}"


def _value_words(value: Any) -> str:
    """A value as it was typed, a table with all it says: nobody answers for what is not shown."""
    if not isinstance(value, dict | list):
        return shown(value)
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= LONG else text[: LONG - 3] + "..."


def _has_place(value: Any) -> bool:
    if isinstance(value, dict):
        return "place" in value or any(_has_place(v) for v in value.values())
    return isinstance(value, list) and any(_has_place(v) for v in value)


def path_from_message(text: str) -> Path | None:
    """A path as it is written in messages, counted from one; None for what is none."""
    parts: list[str | int] = []
    at = 0
    for match in _PART.finditer(text):
        if text[at : match.start()] not in ("", ".") or (match[2] is not None and int(match[2]) < 1):
            return None
        parts.append(match[1] if match[1] is not None else int(match[2]) - 1)
        at = match.end()
    return tuple(parts) if parts and at == len(text) else None


def depart(
    raw: dict[str, Any],
    given: tuple[ShelfDeviation, ...],
    from_shelf: set[str],
    engineer: str,
    *,
    mirrored: bool,
) -> tuple[list[Departure], list[Fault]]:
    """Put a job's deviations into its resolved raw values, in place; the departures, and what is wrong."""
    made: list[Departure] = []
    found: list[Fault] = []
    for i, deviation in enumerate(given):
        at: Path = ("deviation", i)
        departure, wrong = _one(raw, deviation, at, from_shelf, engineer, mirrored)
        found += wrong
        if departure is not None:
            if any(_nested(departure.path, d.path) for d in made):
                found.append(fault_at((*at, "of"), "two deviations of one value", deviation.of, "one"))
            made.append(departure)
    return made, found


def _nested(a: Path, b: Path) -> bool:
    return a[: len(b)] == b or b[: len(a)] == a


def _one(
    raw: dict[str, Any],
    deviation: ShelfDeviation,
    at: Path,
    from_shelf: set[str],
    engineer: str,
    mirrored: bool,
) -> tuple[Departure | None, list[Fault]]:
    def refused(field: str, words: str, expected: str) -> tuple[None, list[Fault]]:
        return None, [fault_at((*at, field), words, shown(getattr(deviation, field)), expected)]

    path = path_from_message(deviation.of)
    if path is not None and path[0] == "materials":
        path = _of_material(raw, deviation.of)
    if path is None or len(path) < 2 or path[0] not in (*SHOP, *OTHERS):
        return refused(
            "of",
            "this names no value of a shelf",
            "a path such as bay.air_temperature, data.plies.first_margin or "
            "materials.some-cloth.cured_thickness",
        )
    if path[0] not in from_shelf:
        return refused(
            "of",
            f"[{path[0]}] stands in this job: there is nothing to deviate from",
            "the value itself, where it stands",
        )
    if any(path[: len(t)] == t for t in IDENTITY):
        return refused(
            "of", "this says which data or which panel it is", "the entry of that data or panel under [use]"
        )
    if mirrored and any(path[: len(t)] == t for t in (*TURNED, TURNED_TOO)):
        return refused(
            "of",
            "this panel is mirrored from its other hand: outlines and angles are not changed in a job",
            "an entry of its own for this hand",
        )
    if _has_place(deviation.value):
        return refused(
            "value",
            "a deviation has no place in the approved data",
            "one value alone, without a place; each of several values is a [[deviation]] of its own",
        )
    above = value_at(raw, path[:-1])
    if not (isinstance(above, dict) and isinstance(path[-1], str)):
        return refused("of", "nothing stands there", "a value that the shelf has or may have")
    old = above.get(path[-1])
    place = isinstance(old, dict) and "place" in old and "value" in old
    before = old["value"] if isinstance(old, dict) and place else old
    if type(before) is type(deviation.value) and before == deviation.value:
        return refused("value", "this is what the shelf says", "another value, or none")
    found = []
    if not is_name(deviation.by):
        found.append(fault_at((*at, "by"), "this is not a name", shown(deviation.by), "who says so"))
    of_shop = path[0] in SHOP and not (_names({str(path[-1]): [deviation.value, old]}) & FACTS)
    was = "nothing" if old is None else shown(before)
    if place and isinstance(old, dict):
        was += f" ({old['place']})"
    statement = None
    if not of_shop and deviation.reference.strip() and engineer and same_person(deviation.by, engineer):
        statement = _stated(deviation, at, was, _value_words(before), OfJob.of(raw))
    departure = Departure(path, deviation, was, of_shop, statement)
    above[path[-1]] = _new(departure)
    _beside(raw, departure)
    return departure, found


def _stated(given: ShelfDeviation, at: Path, was: str, before: str, of_job: OfJob) -> Statement:
    lines = (
        ("value", given.of),
        ("taken", _value_words(given.value)),
        ("in place of", f"{was}, in full {before}" if before not in was and was != "nothing" else was),
        ("because", given.reason),
        ("reference", f"{given.reference}, {given.by}, {given.on}"),
    )
    return stated(given, at, lines, of_job)


def _names(value: Any) -> set[str]:
    """Every key that stands in raw values, at any depth."""
    if isinstance(value, dict):
        return {str(k) for k in value}.union(*(_names(v) for v in value.values()))
    return set[str]().union(*map(_names, value)) if isinstance(value, list) else set()


def _new(departure: Departure) -> Any:
    """The value as it stands in the document; an approved one says in its place what it departs from."""
    value, path = departure.given.value, departure.path
    if path[0] != "data" or not is_given(path) or (isinstance(value, dict) and "value" in value):
        return value
    return {"value": value, "place": departure.place}


def _beside(raw: dict[str, Any], departure: Departure) -> None:
    """A recipe, or the category, has one place for all its values: it says so there."""
    path = departure.path
    table = value_at(raw, path[:3] if path[:2] == ("data", "cure") else path[:-1])
    if path[0] == "data" and isinstance(table, dict) and isinstance(table.get("place"), str):
        table["place"] += f"; {departure.given.of}: {departure.place}"


def _of_material(raw: dict[str, Any], text: str) -> Path | None:
    rest = text.removeprefix("materials.")
    for kind, rows in (raw.get("materials") or {}).items():
        for i, row in enumerate(rows if isinstance(rows, list) else []):
            ident = row.get("id") if isinstance(row, dict) else None
            if isinstance(ident, str) and rest.startswith(f"{ident}."):
                inner = path_from_message(rest[len(ident) + 1 :])
                if inner is not None:
                    return ("materials", kind, i, *inner)
    return None
