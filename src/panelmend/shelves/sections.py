"""What a job takes from the shelves: panel, data, bay, stores, and the materials they refer to."""

from __future__ import annotations

from copy import deepcopy
from typing import Any

from panelmend.document.people import same_person
from panelmend.document.places import Path
from panelmend.document.wording import shown
from panelmend.errors import InputError
from panelmend.shelves.checks import X350
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.job import ShelvedJob
from panelmend.shelves.model import Shelf

# Fields that hold the id of a material; a test looks for others in the model.
REFERS = (
    "cloth",
    "material",
    "bond",
    "system",
    "adhesive",
    "floor_adhesive",
    "film_adhesive",
    "solvent",
    "insulation_over",
    "insulation_behind",
)
# What a job says of its own panel beside the entry.
OF_THE_PANEL = ("serial", "earlier_repair")


def take_sections(job: ShelvedJob) -> ShelfEntry | None:
    """Take panel, data, bay, stores and what they bring; the data's entry."""
    use = job.head.use
    _twice(job)
    panel = _section(job, "panels", "panel", use.panel)
    data = _section(job, "data", "data", use.data)
    bay = _section(job, "bays", "bay", use.bay)
    _of_the_panel(job, panel)
    for entry in (panel, bay):
        if entry is not None:
            _shared(job, entry)
    if use.stores:
        _section(job, "stores", "stores", use.stores)
    elif bay is not None and "stores" not in job.raw:
        _section(job, "stores", "stores", bay.head.stores, bay)
    for entry in (bay, panel, data):
        if entry is not None:
            for k, name in enumerate(entry.head.materials):
                _add_materials(job, _named_by(job, "materials", name, entry, ("entry", "materials", k)))
    for k, name in enumerate(use.materials):
        _add_materials(job, job.take("materials", name, ("use", "materials", k)))
    if use.practice is not None:
        for k, name in enumerate(use.practice):
            job.take("practice", name, ("use", "practice", k))
    elif bay is not None:
        for k, name in enumerate(bay.head.practice):
            _named_by(job, "practice", name, bay, ("entry", "practice", k))
    return data


def _twice(job: ShelvedJob) -> None:
    """Refuse a material of the job that stands on the shelf, too: the checked one would not be used."""
    groups = job.raw.get("materials")
    for kind, rows in groups.items() if isinstance(groups, dict) and job.shelves is not None else ():
        for i, row in enumerate(rows if isinstance(rows, list) else ()):
            ident = row.get("id") if isinstance(row, dict) else None
            if isinstance(ident, str) and job.shelves is not None and job.shelves.has("materials", ident):
                job.wrong(
                    ("materials", kind, i, "id"),
                    "this material stands on the shelf and in the job, too",
                    shown(ident),
                    "it on the shelf alone; a single value that differs is a [[deviation]]",
                )


def _section(
    job: ShelvedJob, shelf: Shelf, key: str, name: str, by: ShelfEntry | None = None
) -> ShelfEntry | None:
    """One section of the document from its entry; what stands in the job, too, is refused."""
    if not name.strip():
        return None
    own = job.raw.get(key)
    if key == "panel" and isinstance(own, dict) and own:
        own = {k: v for k, v in own.items() if k not in OF_THE_PANEL} or None
    if own is not None:
        job.wrong(
            (key,),
            f"the {key} comes from a shelf and stands in the job, too",
            shown(own),
            f"use.{key} alone, or [{key}] alone; a single value that differs is a [[deviation]]",
        )
        return None
    if by is None:
        entry = job.take(shelf, name, ("use", key))
    else:
        entry = _named_by(job, shelf, name, by, ("entry", key))
    if entry is None:
        return None
    before = job.raw.get(key)
    value = entry.raw[key]
    if isinstance(before, dict) and isinstance(value, dict):
        value = {**value, **before}
    job.lay((key,), value, entry, (key,))
    for own_key in before if isinstance(before, dict) else ():
        job.standing.rule((key, own_key), 0, (key, own_key))
    job.from_shelf.add(key)
    return entry


def _of_the_panel(job: ShelvedJob, panel: ShelfEntry | None) -> None:
    serial = job.head.use.serial
    if not serial:
        return
    here = job.raw.get("panel")
    if panel is None or not isinstance(here, dict):
        if not job.found and not job.errors:
            job.wrong(("use", "serial"), "a serial number without use.panel", shown(serial), "use.panel")
        return
    if "serial" in here:
        job.wrong(("use", "serial"), "the serial number is given twice", shown(serial), "it once")
    here["serial"] = serial
    job.standing.rule(("panel", "serial"), 0, ("use", "serial"))


def _shared(job: ShelvedJob, entry: ShelfEntry) -> None:
    """What every repair of a panel or in a bay has in common, where the job does not say it."""
    for table in ("repair", "people"):
        given = entry.raw.get(table)
        own = job.raw.setdefault(table, {})
        if not isinstance(given, dict) or not isinstance(own, dict):
            continue
        for key, value in given.items():
            if key not in own:
                job.lay((table, key), value, entry, (table, key))
            elif (table, key) == ("people", "engineer") and not same_person(str(own[key]), str(value)):
                words = f"{own[key]}; {entry.file} has {value}"
                job.told.append(X350(words, place="people.engineer"))
            elif table == "repair" and own[key] != value:
                job.wrong(
                    (table, key),
                    f"{entry.file} says otherwise",
                    f"{shown(own[key])}; there {shown(value)}",
                    "the same, or nothing here",
                )


def _named_by(job: ShelvedJob, shelf: Shelf, name: str, by: ShelfEntry, path: Path) -> ShelfEntry | None:
    """An entry that another entry names: what is wrong stands there."""
    before = len(job.found)
    entry = job.take(shelf, name, ())
    if len(job.found) > before:
        job.wrong_in(by, path, job.found.pop()[1])
    return entry


def _add_materials(job: ShelvedJob, entry: ShelfEntry | None) -> None:
    """All the materials of an entry."""
    if entry is None or entry.file in job.added:
        return
    job.added.add(entry.file)
    groups, into = entry.raw["materials"], job.raw.setdefault("materials", {})
    if not isinstance(groups, dict) or not isinstance(into, dict):
        job.wrong_in(
            entry,
            ("materials",),
            InputError("a table of materials belongs here", expected="[[materials.cloth]]"),
        )
        return
    for kind, rows in groups.items():
        here = into.setdefault(kind, [])
        if not isinstance(here, list) or not isinstance(rows, list):
            job.wrong_in(
                entry,
                ("materials", kind),
                InputError("a list belongs here", expected=f"[[materials.{kind}]]"),
            )
            continue
        for i, row in enumerate(rows):
            job.standing.rule(("materials", kind, len(here)), job.files[entry.file], ("materials", kind, i))
            here.append(deepcopy(row))
    job.from_shelf.add("materials")


def bring_materials(job: ShelvedJob) -> None:
    """Take every material that is referred to and not there yet; one of the shelf before a built-in one."""
    if job.shelves is None:
        return
    for path, ident in references(job.raw, ()):
        groups = job.raw.get("materials")
        here = {
            row.get("id")
            for rows in (groups.values() if isinstance(groups, dict) else ())
            for row in (rows if isinstance(rows, list) else ())
            if isinstance(row, dict)
        }
        if ident not in here and job.shelves.has("materials", ident):
            _add_materials(job, job.take("materials", ident, path))


def references(value: Any, path: Path = ()) -> list[tuple[Path, str]]:
    """Every material that raw values refer to, with the path it is named at."""
    found: list[tuple[Path, str]] = []
    if isinstance(value, dict):
        for key, inner in value.items():
            if path == () and key in ("materials", "repair", "people"):
                continue
            bare = inner.get("value") if isinstance(inner, dict) and "value" in inner else inner
            if key in REFERS and isinstance(bare, str):
                found.append(((*path, key), bare))
            found += references(inner, (*path, key))
    elif isinstance(value, list):
        for i, inner in enumerate(value):
            found += references(inner, (*path, i))
    return found
