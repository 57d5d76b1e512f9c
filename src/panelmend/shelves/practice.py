"""Practice sheets: defaults that the shop confirmed. They never speak for what only the data may decide."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from panelmend.document.fault import Fault, fault_at
from panelmend.document.people import is_name
from panelmend.document.places import Path
from panelmend.document.wording import shown
from panelmend.errors import InputError
from panelmend.materials.model import MaterialSet
from panelmend.shelves.model import EntryFile, PracticeRow, Within
from panelmend.units.fundamental import ZERO_CELSIUS

# Figures begin with the stage that makes them. For what is not listed here no practice sheet may
# speak: what was measured, how large a damage may be, how many cases of a cure must hold.
LONGEST_CONFIRMED = 5 * 366  # days from a confirmation to its end; common practice, no source
STAGES = ("cutout", "plies", "core", "nest", "kit", "surface", "bag", "drying", "cure", "materials")
# Of these every figure is confirmed by itself: a sheet may repeat the usual value and set no other.
GUARDED_STAGES = ("cure", "drying", "plies")
GUARDED = ("bag.least_vacuum", "bag.leak_drop", "bag.leak_time", "bag.sensor_margin")


def guarded(figure: str) -> bool:
    """Whether a figure belongs to cure, vacuum, drying, sensors or plies."""
    return (
        figure.split(".")[0] in GUARDED_STAGES
        or figure in GUARDED
        or "vacuum" in figure
        or "sensor" in figure
    )


def practice_rows(entry: EntryFile) -> Iterator[tuple[Path, str, Any, PracticeRow]]:
    """Every figure of a sheet with the path of its value, that value and its row."""
    for i, row in enumerate(entry.practice):
        if row.figure:
            yield ("practice", i), row.figure, row.value, row
        for name, value in row.values.items():
            yield ("practice", i, "values", name), f"{row.stage}.{name}", value, row


def practice_faults(entry: EntryFile) -> Iterator[Fault]:
    """Everything wrong with the rows of a sheet."""
    for i, row in enumerate(entry.practice):
        yield from _row(row, ("practice", i))
    seen: set[str] = set()
    for path, figure, value, _ in practice_rows(entry):
        if figure in seen:
            yield fault_at(path, "this figure stands on the sheet twice", shown(figure), "it once")
        seen.add(figure)
        yield from _figure(path, figure, value)


def refuse_rows_after(entry: EntryFile, file: str, on: date) -> None:
    """Nobody holds a sheet against its paper before what it says was confirmed.

    Raises:
        InputError: a row of the sheet is dated after the day of the check.
    """
    for _, figure, _, row in practice_rows(entry):
        if row.on > on:
            raise InputError(
                "it was checked before it was confirmed",
                where=f"{file}, {figure}",
                read=f"confirmed {row.on}, checked {on}",
                expected="the day of the check, not before any row of the sheet",
            )


def _row(row: PracticeRow, at: Path) -> Iterator[Fault]:
    if bool(row.figure) == bool(row.stage):
        yield fault_at(
            at,
            "a row confirms one figure, or the listed figures of one stage",
            "both" if row.figure else "neither",
            'figure = "bag.film_allowance" and value, or stage = "kit" and values',
        )
    elif row.figure and row.value is None:
        yield fault_at(at, "a confirmation names its value", "no value", 'value = "20 %"')
    elif row.stage and (row.value is not None or not row.values):
        yield fault_at(at, "a stage is confirmed value by value", "no values", "values = { allowance = ... }")
    if not row.stage and row.values:
        yield fault_at((*at, "values"), "values belong to a stage", "no stage", "stage, or figure and value")
    if not is_name(row.by):
        yield fault_at((*at, "by"), "this is not a name", shown(row.by), "who confirms it")
    only = row.only
    if only is not None and not (only.bays or only.data or only.materials or only.air or only.cure):
        yield fault_at(
            (*at, "only"), "it names nothing to compare", "nothing", "bays, data, materials, air or cure"
        )
    for name, within in (("air", only.air), ("cure", only.cure)) if only is not None else ():
        if within is None:
            continue
        ends = [e for e in (within.low, within.high) if e is not None]
        if not ends or ends != sorted(ends):
            yield fault_at(
                (*at, "only", name), "no range of temperature", _range(within), 'low = "18 C", high = "26 C"'
            )
    for kind in row.only.materials if row.only is not None else ():
        if kind not in MaterialSet.model_fields:
            yield fault_at(
                (*at, "only", "materials", kind),
                "no kind of material",
                shown(kind),
                ", ".join(MaterialSet.model_fields),
            )
    if (row.until - row.on).days > LONGEST_CONFIRMED:
        yield fault_at(
            (*at, "until"),
            "a confirmation for longer than five years",
            f"{row.on} to {row.until}",
            f"at most {LONGEST_CONFIRMED} days (common practice, no source)",
            "correct the year; who confirms it looks at it again when it ends",
        )
    if row.until < row.on:
        yield fault_at(
            (*at, "until"),
            "it ends before it was confirmed",
            f"{row.on} to {row.until}",
            "the later day last",
        )


def _figure(path: Path, figure: str, value: Any) -> Iterator[Fault]:
    stage = figure.split(".")[0]
    if stage not in STAGES or "holds_" in figure:
        yield fault_at(
            path,
            "no practice sheet may speak for this figure",
            shown(figure),
            f"a figure of {', '.join(STAGES)}",
            "confirm it in the job, by name, for this repair",
        )
    elif path[-2:-1] == ("values",) and guarded(figure):
        yield fault_at(
            path,
            "vacuum and sensors are never confirmed with a whole stage",
            shown(figure),
            "a row of its own: figure and value",
        )
    if isinstance(value, bool) or not isinstance(value, str | int | float | None):
        yield fault_at(
            path, "no value of a figure", shown(value), 'a quantity, a word or a count, such as "20 %"'
        )


@dataclass(frozen=True)
class Used:
    """What a job uses of what a row may be held to: its bay, its data, its materials by kind, the air of the
    bay and the temperatures of its cures [K]."""

    bay: str
    data: str
    materials: Mapping[str, frozenset[str]]
    air: float | None = None
    cure: tuple[float, ...] = ()


def other_than(row: PracticeRow, used: Used) -> str:
    """In what a job differs from what a row is for, in words; "" where it does not or nothing is said."""
    if row.only is None:
        return ""
    if row.only.bays and used.bay not in row.only.bays:
        return f"it is for {', '.join(row.only.bays)}; the bay is {used.bay or 'on no shelf'}"
    if row.only.data and used.data not in row.only.data:
        return f"it is for {', '.join(row.only.data)}; the data is {used.data or 'on no shelf'}"
    for kind, ids in row.only.materials.items():
        here = used.materials.get(kind, frozenset())
        if not here or here - set(ids):
            read = ", ".join(sorted(here)) or "none"
            return f"it is for {kind} {', '.join(ids)}; the job uses {read}"
    held = (
        ("air of the bay", row.only.air, () if used.air is None else (used.air,)),
        ("the cures", row.only.cure, used.cure),
    )
    for what, within, found in held:
        if within is None:
            continue
        outside = [t for t in found if not _inside(t, within)]
        if outside or not found:
            read = ", ".join(f"{t - ZERO_CELSIUS:.1f} C" for t in outside) or "not typed"
            return f"it is for {_range(within)}, {what}; here it is {read}"
    return ""


def _inside(temperature: float, within: Within) -> bool:
    low, high = within.low, within.high
    slack = 1e-6  # K: the last digit of a unit that was converted
    return (low is None or temperature >= low - slack) and (high is None or temperature <= high + slack)


def _range(within: Within) -> str:
    low, high = ("" if e is None else f"{e - ZERO_CELSIUS:.1f} C" for e in (within.low, within.high))
    return f"{low or 'any'} to {high or 'any'}"


def confirmations(
    sheets: list[EntryFile], own: set[str], day: date, used: Used
) -> tuple[
    list[tuple[dict[str, Any], int, Path]], list[tuple[str, PracticeRow, str]], list[tuple[str, str, str]]
]:
    """What the sheets confirm on a day, each with its sheet and path; the rows that do not hold then;
    and those that are for another job, each with its figure, what differs and its sheet.

    A figure that the job confirms itself is left to the job.
    """
    made: list[tuple[dict[str, Any], int, Path]] = []
    ended: list[tuple[str, PracticeRow, str]] = []
    elsewhere: list[tuple[str, str, str]] = []
    for k, sheet in enumerate(sheets):
        for path, figure, value, row in practice_rows(sheet):
            if figure in own:
                continue
            if not row.on <= day <= row.until:
                ended.append((figure, row, sheet.entry.name))
                continue
            differs = other_than(row, used)
            if differs:
                elsewhere.append((figure, differs, sheet.entry.name))
                continue
            confirm = {
                "figure": figure,
                "by": row.by,
                "on": row.on,
                "reason": row.reason,
                "value": value if isinstance(value, str) else f"{value:g}",
                "conditions": row.conditions,
                "until": row.until,
                "sheet": sheet.entry.name,
            }
            made.append((confirm, k, path))
    return made, ended, elsewhere
