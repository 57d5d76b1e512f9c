"""The rows that the measured damage chooses, put into a job's data."""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from dataclasses import dataclass, replace
from typing import Any

from panelmend.document.approved import ApprovedData
from panelmend.document.fields import inner_model, wrapper
from panelmend.document.places import Path
from panelmend.document.reader import Loaded
from panelmend.errors import DocumentError, InputError, PanelmendError
from panelmend.shelves.choose import Chosen, Measured, choose, placed, ranged_of
from panelmend.shelves.entry import Entry
from panelmend.shelves.hands import Turn, typed_document
from panelmend.shelves.job import Job


@dataclass(frozen=True)
class Sizes:
    """Sizes of a damage as the plan judges them: largest dimension [m] and area [m2]."""

    largest: float
    area: float


Measure = Callable[[Loaded], Sizes]


def chosen_rows(job: Job, data: Entry, turn: Turn | None, measure: Measure) -> list[Chosen]:
    """Choose a row of each table by the measured damage and put its data in; those that go by size last."""
    tables = data.typed.choose
    by_size = tuple(i for i, t in enumerate(tables) if ranged_of(t) in ("largest", "area"))
    by_words = tuple(i for i in range(len(tables)) if i not in by_size)
    damage = job.raw.get("damage")
    if not isinstance(damage, dict):
        typed_document(job, turn, whole=False)  # says what is missing
    document = typed_document(job, turn, whole=False)
    d = document.damage
    measured = Measured(d.depth, d.side, job.head.use.zone, d.plies, core_depth=d.core_depth)
    view = document.repair.units
    made = _rows(job, data, measured, view, by_words)
    if by_size:
        document = typed_document(job, turn, whole=False)
        try:
            sizes = measure(Loaded(job.opened.name, job.opened.text, "", document))
        except DocumentError:
            raise
        except PanelmendError as error:
            typed_document(job, turn, whole=True)  # says where, if something that was typed is wrong
            raise DocumentError([InputError(f"the damage cannot be measured: {error}")]) from None
        measured = replace(measured, largest=sizes.largest, area=sizes.area)
        made += _rows(job, data, measured, view, by_size)
    return made


def _rows(job: Job, data: Entry, measured: Measured, view: str, tables: tuple[int, ...]) -> list[Chosen]:
    made, wrong = choose(data.typed, measured, view, tables)
    file = job.files[data.file]
    if wrong:
        for path, _ in wrong:
            job.standing.rule(path, file, path)
        job.found += wrong
        job.stop()
    for c in made:
        table = data.typed.choose[c.table]
        place = table.row[c.row].place or table.place
        _merge(job, placed(c.data, place), ("data",), file, ("choose", c.table, "row", c.row, "data"))
    return made


def _merge(job: Job, value: dict[str, Any], path: Path, file: int, at: Path) -> None:
    here: Any = job.raw
    for part in path:
        here = here.setdefault(part, {})
    for key, inner in value.items():
        if isinstance(inner, dict) and "value" not in inner and inner and _is_table((*path[1:], key)):
            _merge(job, inner, (*path, key), file, (*at, key))
        else:
            here[key] = deepcopy(inner)
            job.standing.rule((*path, key), file, (*at, key))


def _is_table(path: Path) -> bool:
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
