"""What practice sheets confirm in a job."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.document.wording import shown
from panelmend.errors import InputError, UnitError
from panelmend.materials import builtin
from panelmend.materials.model import MaterialSet
from panelmend.shelves.job import ShelvedJob
from panelmend.shelves.model import PracticeRow
from panelmend.shelves.practice import Used, confirmations, guarded, practice_rows
from panelmend.shelves.sections import references
from panelmend.units import read


@dataclass(frozen=True)
class Practice:
    """What of the sheets is not put in: rows that do not hold on the day, and those for another job."""

    ended: Sequence[tuple[str, PracticeRow, str]] = ()
    elsewhere: Sequence[tuple[str, str, str]] = ()
    compared: frozenset[str] = frozenset()  # figures whose conditions were compared with the job


def practice_of(job: ShelvedJob) -> Practice:
    """Put in what the practice sheets confirm."""
    own = job.raw.get("confirm")
    rows = own if isinstance(own, list) else []
    for i, row in enumerate(rows):
        if isinstance(row, dict) and "sheet" in row:
            job.wrong(
                ("confirm", i, "sheet"),
                "a sheet is named under use.practice",
                shown(row["sheet"]),
                "no sheet here",
            )
    sheets = [(e, job.files[e.file]) for e in job.entries.get("practice", [])]
    day = _day(job.raw.get("repair"))
    if not sheets or day is None:
        return Practice()
    figures = {row.get("figure") for row in rows if isinstance(row, dict)}
    typed = [e.typed for e, _ in sheets]
    named = {f for f in figures if isinstance(f, str)}
    made, ended, elsewhere = confirmations(typed, named, day, _used(job))
    said: dict[str, str] = {}
    confirm: list[dict[str, Any]] = []
    for row, k, path in made:
        entry, file = sheets[k]
        other = said.setdefault(row["figure"], row["sheet"])
        if other != row["sheet"]:
            words = f"{row['figure']}: {other} and {row['sheet']}"
            error = InputError(
                "two practice sheets speak for this figure", read=words, expected="one of them"
            )
            job.wrong_in(entry, path, error)
            continue
        job.standing.rule(("confirm", len(confirm)), file, path)
        confirm.append(row)
    for i in range(len(rows)):
        job.standing.rule(("confirm", len(confirm) + i), 0, ("confirm", i))
    job.raw["confirm"] = [*confirm, *rows]
    compared = {f for e in typed for _, f, _, row in practice_rows(e) if row.only is not None}
    return Practice(ended, elsewhere, frozenset(compared - named))


def _used(job: ShelvedJob) -> Used:
    """The job's bay, data and materials; a material whose kind is not known counts as of each kind."""
    kinds: dict[str, set[str]] = {}
    groups = job.raw.get("materials")
    given = groups if isinstance(groups, dict) else {}
    for kind, rows in (*given.items(), *((k, list(getattr(builtin(), k))) for k in MaterialSet.model_fields)):
        for row in rows if isinstance(rows, list) else ():
            ident = row.get("id") if isinstance(row, dict) else getattr(row, "id", None)
            kinds.setdefault(str(ident), set()).add(kind)
    found: dict[str, set[str]] = {}
    for path, ident in references(job.raw):
        if path[0] != "stores":  # what is counted there is not all used
            for kind in kinds.get(ident, set(MaterialSet.model_fields)):
                found.setdefault(kind, set()).add(ident)
    names = {s: next((e.head.name for e in job.entries.get(s, [])), "") for s in ("bays", "data")}
    materials = {k: frozenset(v) for k, v in found.items()}
    return Used(names["bays"], names["data"], materials, *_temperatures(job))


def _temperatures(job: ShelvedJob) -> tuple[float | None, tuple[float, ...]]:
    """The air of the bay, and what the cures of the data dwell at or ramp to [K]; what cannot be read is said
    where it is read."""
    bay, data = job.raw.get("bay"), job.raw.get("data")
    air = _kelvin_or_none(bay.get("air_temperature")) if isinstance(bay, dict) else None
    cures = data.get("cure") if isinstance(data, dict) else None
    found = []
    for cure in cures if isinstance(cures, list) else ():
        rows = cure.get("segment") if isinstance(cure, dict) else None
        for row in rows if isinstance(rows, list) else ():
            if isinstance(row, dict) and row.get("kind") != "cool":
                found.append(_kelvin_or_none(row.get("to")))
    return air, tuple(t for t in found if t is not None)


def _kelvin_or_none(text: Any) -> float | None:
    try:
        return read(text, "temperature")
    except UnitError:
        return None


def practice_values(document: Document) -> dict[str, tuple[str, Path, str]]:
    """What the sheets put in the place of usual values, by figure; of cure, vacuum, drying, sensors and plies
    they put nothing: there they confirm the usual value or none."""
    return {
        c.figure: (c.value, ("confirm", i), f"{c.sheet}, {c.by}, until {c.until}, for {c.conditions}")
        for i, c in enumerate(document.confirm)
        if c.sheet and not guarded(c.figure)
    }


def _day(repair: Any) -> date | None:
    given = repair.get("work_date") if isinstance(repair, dict) else None
    if isinstance(given, str):
        try:
            return date.fromisoformat(given)
        except ValueError:
            return None
    return given if isinstance(given, date) and not isinstance(given, datetime) else None
