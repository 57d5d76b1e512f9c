"""Names: ids used twice, materials nobody knows, people who inspect their own work."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date
from difflib import get_close_matches

from panelmend.document.fault import Fault, fault_at
from panelmend.document.faults.plies import repair_plies
from panelmend.document.model import Document
from panelmend.document.people import same_person
from panelmend.document.places import Path
from panelmend.materials import Material, MaterialSet, builtin

GROUPS: tuple[tuple[tuple[str, str], str], ...] = (
    (("panel", "fastener"), "id"),
    (("panel", "insert"), "id"),
    (("panel", "structure"), "id"),
    (("panel", "earlier_repair"), "id"),
    (("panel", "solid_area"), "id"),
    (("bay", "blanket"), "id"),
    (("bay", "circuit"), "id"),
    (("bay", "instrument"), "id"),
    (("stores", "roll"), "id"),
    (("stores", "lot"), "id"),
)


def _ids_in(section: str) -> Callable[[Document], Iterator[Fault]]:
    def check(document: Document) -> Iterator[Fault]:
        for (owner, field), key in GROUPS:
            if owner == section:
                rows = getattr(getattr(document, owner), field)
                yield from _twice((owner, field), [getattr(row, key) for row in rows])

    return check


def _twice(path: Path, names: list[str]) -> Iterator[Fault]:
    seen: set[str] = set()
    for i, name in enumerate(names):
        if name in seen:
            yield fault_at((*path, i), "this name is used twice", repr(name), "a name of its own")
        seen.add(name)


def _cure_names(document: Document) -> Iterator[Fault]:
    yield from _twice(("data", "cure"), [c.name for c in document.data.cure])


def _confirmed(document: Document) -> Iterator[Fault]:
    yield from _twice(("confirm",), [c.figure for c in document.confirm])
    for i, c in enumerate(document.confirm):
        if c.until is not None and c.until < c.on:
            yield fault_at(
                ("confirm", i, "until"), "it ends before it was confirmed", str(c.until), f"{c.on} or later"
            )


def _still_confirmed(document: Document) -> Iterator[Fault]:
    for i, c in enumerate(document.confirm):
        if c.until is not None and c.until < document.repair.work_date:
            yield fault_at(
                ("confirm", i, "until"),
                "this confirmation ended before the day of the work",
                str(c.until),
                f"{document.repair.work_date} or later",
                "have it confirmed again, or take it out",
            )


def _material_ids(document: Document) -> Iterator[Fault]:
    seen: set[str] = set()
    for kind in MaterialSet.model_fields:
        for i, material in enumerate(getattr(document.materials, kind)):
            if material.id in seen:
                path = ("materials", kind, i, "id")
                yield fault_at(path, "two materials have the same id", repr(material.id), "a new id")
            seen.add(material.id)


def known_materials(document: Document) -> dict[str, Material]:
    """Materials by id: what the document types goes before the tables."""
    found: dict[str, Material] = {}
    for group in (document.materials, builtin()):
        for kind in MaterialSet.model_fields:
            for material in getattr(group, kind):
                found.setdefault(material.id, material)
    return found


def _known(known: dict[str, Material], path: Path, kind: str, ident: str) -> Iterator[Fault]:
    found = known.get(ident)
    is_a = type(found).__name__.lower()
    if found is not None and kind in ("material", is_a):
        return
    article = "an" if kind[0] in "aeiou" else "a"
    near = get_close_matches(
        ident, [i for i, m in known.items() if kind in ("material", type(m).__name__.lower())], 1
    )
    yield fault_at(
        path,
        f"no {kind} has this id" if found is None else f"this is a material of another kind ({is_a})",
        repr(ident),
        f"{article} {kind} of the tables or of [[materials.{'...' if kind == 'material' else kind}]]",
        f"did you mean '{near[0]}'?" if near else "",
    )


def _panel_materials(document: Document) -> Iterator[Fault]:
    known = known_materials(document)
    for side in ("outer_skin", "inner_skin"):
        for i, ply in enumerate(getattr(document.panel, side).plies):
            yield from _known(known, ("panel", side, "plies", i, "cloth"), "cloth", ply.cloth)
    yield from _known(known, ("panel", "core", "material"), "core", document.panel.core.material)
    if document.panel.core.bond:
        yield from _known(known, ("panel", "core", "bond"), "adhesive", document.panel.core.bond)


def _ply_materials(document: Document) -> Iterator[Fault]:
    known = known_materials(document)
    for path, ply in repair_plies(document.data.plies):
        yield from _known(known, (*path, "cloth"), "cloth", ply.cloth)
    film = document.data.plies.film_adhesive
    if film is not None:
        yield from _known(known, ("data", "plies", "film_adhesive", "value"), "adhesive", film.value)


def _core_materials(document: Document) -> Iterator[Fault]:
    known, core = known_materials(document), document.data.core
    for field, kind in (("material", "core"), ("adhesive", "adhesive"), ("floor_adhesive", "adhesive")):
        given = getattr(core, field)
        if given is not None:
            yield from _known(known, ("data", "core", field, "value"), kind, given.value)
    if core.cap is not None:
        for i, ply in enumerate(core.cap.value.plies):
            path = ("data", "core", "cap", "value", "plies", i, "cloth")
            yield from _known(known, path, "cloth", ply.cloth)


def _resin_material(document: Document) -> Iterator[Fault]:
    system = document.data.resin.system
    if system is not None:
        yield from _known(
            known_materials(document), ("data", "resin", "system", "value"), "resin", system.value
        )


def _solvent(document: Document) -> Iterator[Fault]:
    solvent = document.data.surface.solvent
    if solvent is not None:
        path = ("data", "surface", "solvent", "value")
        yield from _known(known_materials(document), path, "consumable", solvent.value)


def _store_materials(document: Document) -> Iterator[Fault]:
    known = known_materials(document)
    for field in ("roll", "lot"):
        for i, row in enumerate(getattr(document.stores, field)):
            yield from _known(known, ("stores", field, i, "material"), "material", row.material)


def _people(document: Document) -> Iterator[Fault]:
    people = document.people
    if same_person(people.inspector, people.technician):
        yield fault_at(
            ("people", "inspector"),
            "nobody may inspect their own work",
            repr(people.inspector),
            "somebody else than the technician",
        )


def _dates(document: Document) -> Iterator[Fault]:
    manual, work = document.data.manual, document.repair.work_date
    if manual.dated > work:
        yield fault_at(
            ("data", "manual", "dated"),
            "the revision is dated after the day of the work",
            str(manual.dated),
            f"{work} or earlier",
            "look up the date of the revision, or correct repair.work_date",
        )


def _after_the_work(document: Document) -> Iterator[Fault]:
    """What was written down before the work cannot be dated after it."""
    work = document.repair.work_date
    rows: list[tuple[Path, date]] = [(("confirm", i, "on"), c.on) for i, c in enumerate(document.confirm)]
    rows += [(("answer", i, "on"), a.on) for i, a in enumerate(document.answer) if a.on is not None]
    checked = [(("answer", i, "checked_on"), a.checked_on) for i, a in enumerate(document.answer)]
    rows += [(at, on) for at, on in checked if on is not None]
    for kind in MaterialSet.model_fields:
        for i, material in enumerate(getattr(document.materials, kind)):
            rows.append((("materials", kind, i, "dated"), material.dated))
    for path, day in rows:
        if day > work:
            yield fault_at(
                path,
                "dated after the day of the work",
                str(day),
                f"{work} or earlier",
                "a day is year-month-day; or correct repair.work_date",
            )


CHECKS = (
    (_ids_in("panel"), ("panel",)),
    (_ids_in("bay"), ("bay",)),
    (_ids_in("stores"), ("stores",)),
    (_cure_names, ("data.cure",)),
    (_confirmed, ("confirm",)),
    (_still_confirmed, ("confirm", "repair")),
    (_material_ids, ("materials",)),
    (_panel_materials, ("panel", "materials")),
    (_ply_materials, ("data.plies", "materials")),
    (_core_materials, ("data.core", "materials")),
    (_resin_material, ("data.resin", "materials")),
    (_solvent, ("data.surface", "materials")),
    (_store_materials, ("stores", "materials")),
    (_people, ("people",)),
    (_dates, ("repair", "data.manual")),
    (_after_the_work, ("repair", "confirm", "answer", "materials")),
)
