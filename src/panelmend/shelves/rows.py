"""The rows that the measured damage chooses, put into a job's data."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any

from panelmend.document.approved import ApprovedData
from panelmend.document.fault import Fault, fault_at
from panelmend.document.fields import inner_model, wrapper
from panelmend.document.model import Document
from panelmend.document.people import answers_for, same_person
from panelmend.document.places import Path
from panelmend.document.reader import Loaded
from panelmend.errors import DocumentError, InputError, PanelmendError
from panelmend.shapes import Outline
from panelmend.shelves.beyond import furthest
from panelmend.shelves.checks import X210, X211, X212, X538
from panelmend.shelves.choose import Chosen, DamageMeasured, choose_rows, placed, ranged_of
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.hands import Turn, typed_document
from panelmend.shelves.job import ShelvedJob
from panelmend.shelves.referenced import OfJob, stated, unseen_finding
from panelmend.shelves.zones import zone_of, zones_at
from panelmend.units import show


@dataclass(frozen=True)
class DamageSizes:
    """Sizes of a damage as the plan judges them: largest dimension [m] and area [m2]; and its outlines in the
    axes the panel is typed in [m], () where those do not run along its surface."""

    largest: float
    area: float
    outlines: tuple[Outline, ...] = ()


Measure = Callable[[Loaded], DamageSizes]


def chosen_rows(
    job: ShelvedJob, data: ShelfEntry, turn: Turn | None, measure: Measure
) -> tuple[list[Chosen], DamageSizes | None]:
    """Choose a row of each table by the measured damage and put its data in; those that go by size last.

    Returns the rows and the sizes they were chosen by, None where neither a size nor a drawn zone chose.
    """
    tables = data.typed.choose
    by_size = tuple(i for i, t in enumerate(tables) if ranged_of(t) in ("largest", "area"))
    by_words = tuple(i for i in range(len(tables)) if i not in by_size)
    damage = job.raw.get("damage")
    if not isinstance(damage, dict):
        typed_document(job, turn, whole=False)  # says what is missing
    document = typed_document(job, turn, whole=False)
    d = document.damage
    view = document.repair.units
    zone = job.head.use.zone
    sizes: DamageSizes | None = None
    if data.typed.zone:
        sizes = _measured(job, document, turn, measure)
        zone = _drawn_zone(job, data, turn, sizes, view)
    measured = DamageMeasured(d.depth, d.side, zone, d.plies, core_depth=d.core_depth)
    made = _rows(job, data, measured, view, by_words)
    if by_size:
        document = typed_document(job, turn, whole=False)
        sizes = _measured(job, document, turn, measure)
        measured = replace(measured, largest=sizes.largest, area=sizes.area)
        made += _rows(job, data, measured, view, by_size)
    return made, sizes


def sizes_kept(
    job: ShelvedJob, turn: Turn | None, measure: Measure, before: DamageSizes, at: Path
) -> list[Fault]:
    """A fault where with deviations or answers the damage measures otherwise than when its rows were chosen.

    Args:
        job: with the deviations, or the answers of engineering, put in.
        turn: how the job was mirrored.
        measure: sizes of the damage of a document.
        before: the sizes the rows were chosen by [m, m2].
        at: where the first of them stands.
    """
    document = typed_document(job, turn, whole=False)
    after = _measured(job, document, turn, measure)
    if after == before:
        return []
    view = document.repair.units
    told = [f"{show(s.largest, 'length', view)}, {show(s.area, 'area', view)}" for s in (before, after)]
    return [
        fault_at(
            at,
            f"with its {at[0]}s this damage measures otherwise, and the data chooses by its size or place",
            f"{told[0]} without, {told[1]} with them",
            "the same size with them and without",
            "ask the engineer which row holds; type its data as an entry of its own, checked by two people",
        )
    ]


def _measured(job: ShelvedJob, document: Document, turn: Turn | None, measure: Measure) -> DamageSizes:
    try:
        return measure(Loaded(job.opened.name, job.opened.text, "", document))
    except DocumentError:
        raise
    except PanelmendError as error:
        typed_document(job, turn, whole=True)  # says where, if something that was typed is wrong
        raise DocumentError([InputError(f"the damage cannot be measured: {error}")]) from None


def _drawn_zone(job: ShelvedJob, data: ShelfEntry, turn: Turn | None, sizes: DamageSizes, view: str) -> str:
    """The zone that the outlines of the data say, checked against the one that the job names."""
    at: Path = ("use", "zone")
    try:
        if not sizes.outlines:
            raise InputError(
                "zones that are drawn cannot be held against coordinates in plan",
                expected="coordinates along the surface",
            )
        if turn is not None and turn.panel is not None and not turn.data:
            raise InputError(
                "the zones are drawn, and nothing says for which hand",
                expected='hand = "left" or "right" in the entry of the data',
            )
        found = zones_at(data.typed, sizes.outlines, mirrored=turn is not None and turn.data)
        try:
            zone, asked = zone_of(found, job.head.use.zone, view)
        except InputError as error:
            if not job.beyond:
                raise
            words = ": ".join(x for x in (error.words, error.read) if x)
            job.told.append(X538(words, place="use.zone"))
            return ""
    except InputError as error:
        job.found.append((at, error))
        job.stop()
        raise
    places = ", ".join(dict.fromkeys(z.place for z in data.typed.zone))
    engineer = answers_for(job.raw.get("people"))
    said = job.head.zone_said
    if asked and said is not None and said.zone == zone and engineer and same_person(said.by, engineer):
        words = f"{asked} ({places}), {said.by}, {said.on}, reference {said.reference}"
        lines = (("zone", f"{zone}; {asked} ({places})"), ("data", data.words), ("reference", said.reference))
        statement = stated(said, ("zone_said",), lines, OfJob.of(job.raw))
        job.statements.append(statement)
        seen = not statement.open
        job.told.append(
            X212(words, place="use.zone") if seen else unseen_finding(words, statement, "use.zone")
        )
    elif asked:
        typed_ = job.head.use.zone_reference.strip()
        alone = f"; {typed_} is a reference without the engineer's word under [zone_said]" if typed_ else ""
        job.told.append(X211(f"{asked} ({places}){alone}", place="use.zone"))
    else:
        job.told.append(X210(f"zone {zone} ({places}), by the outline of the damage", place="use.zone"))
    return zone


def _rows(
    job: ShelvedJob, data: ShelfEntry, measured: DamageMeasured, view: str, tables: tuple[int, ...]
) -> list[Chosen]:
    made, wrong = choose_rows(data.typed, measured, view, tables)
    stand_in = []
    for fault_ in tuple(wrong) if job.beyond else ():
        row = furthest(data.typed, int(fault_[0][1]), measured, view)
        if row is not None:
            wrong.remove(fault_)
            stand_in.append(row)
            if measured.zone or "zone" not in data.typed.choose[row.table].by:
                job.told.append(X538(row.words, place=f"choose[{row.table + 1}]"))
    file = job.files[data.file]
    if wrong:
        for path, _ in wrong:
            job.standing.rule(path, file, path)
        job.found += wrong
        job.stop()
    for c in (*made, *stand_in):
        table = data.typed.choose[c.table]
        place = table.row[c.row].place or table.place
        _merge(job, placed(c.data, place), ("data",), file, ("choose", c.table, "row", c.row, "data"))
    return made


def _merge(job: ShelvedJob, value: dict[str, Any], path: Path, file: int, at: Path) -> None:
    here: Any = job.raw
    for part in path:
        here = here.setdefault(part, {})
    for key, inner in value.items():
        if isinstance(inner, dict) and "value" not in inner and inner and _table_stands_at((*path[1:], key)):
            _merge(job, inner, (*path, key), file, (*at, key))
        else:
            here[key] = deepcopy(inner)
            job.standing.rule((*path, key), file, (*at, key))


def _table_stands_at(path: Path) -> bool:
    """Whether the data has a table of tables there rather than a value."""
    model: Any = ApprovedData
    for part in path:
        field = getattr(model, "model_fields", {}).get(part)
        if field is None or wrapper(field.annotation) is not None:
            return False
        model, many = inner_model(field.annotation)
        if many:
            return False
    return model is not None
