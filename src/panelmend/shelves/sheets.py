"""What practice sheets confirm in a job."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from panelmend.document.fault import fault
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.document.wording import shown
from panelmend.errors import InputError
from panelmend.shelves.job import ShelvedJob
from panelmend.shelves.practice import confirmations, guarded


def practice_of(job: ShelvedJob) -> list[Any]:
    """Put in what the practice sheets confirm; the rows that do not hold on the day."""
    own = job.raw.get("confirm")
    rows = own if isinstance(own, list) else []
    for i, row in enumerate(rows):
        if isinstance(row, dict) and "sheet" in row:
            job.found.append(
                fault(
                    ("confirm", i, "sheet"),
                    "a sheet is named under use.practice",
                    shown(row["sheet"]),
                    "no sheet here",
                )
            )
    sheets = [(e, job.files[e.file]) for e in job.entries.get("practice", [])]
    day = _day(job.raw.get("repair"))
    if not sheets or day is None:
        return []
    figures = {row.get("figure") for row in rows if isinstance(row, dict)}
    made, ended = confirmations([e.typed for e, _ in sheets], {f for f in figures if isinstance(f, str)}, day)
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
    return ended


def practice_values(document: Document) -> dict[str, tuple[str, Path, str]]:
    """What the sheets put in the place of usual values, by figure; of cure, vacuum, drying, sensors and plies
    they put nothing: there they confirm the usual value or none."""
    return {
        c.figure: (c.value, ("confirm", i), f"{c.sheet}, {c.by}, until {c.until}")
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
