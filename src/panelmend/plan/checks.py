"""Findings of the plan as a whole: open defaults and confirmations."""

from __future__ import annotations

import math

from panelmend.derive import Figure, Ledger
from panelmend.derive.ledger import words_of
from panelmend.document.model import Confirmation
from panelmend.errors import Finding, UnitError, caution_code, confirm_code, note_code
from panelmend.job.case import Case
from panelmend.job.cure.prediction import may_be_accepted
from panelmend.job.defaults import is_default
from panelmend.job.work import Work
from panelmend.plan.asked import keys_asked
from panelmend.plan.heat_asked import heat_asked
from panelmend.units import read

J001 = confirm_code(
    "J001",
    "The plan uses a default where the approved data gives no value",
    "find the value in the approved data, or have a named person confirm it under [[confirm]]",
)
J002 = note_code("J002", "A named person confirmed a default", "check that this person may confirm it")
J003 = caution_code(
    "J003",
    "A confirmation names a figure that is not a default and that nobody asked about",
    "correct the figure's key or remove the confirmation",
)
X110 = confirm_code(
    "X110",
    "The value that was confirmed is not the value in the plan",
    "have the value in the plan confirmed, or correct what was confirmed",
)
X114 = note_code(
    "X114",
    "Shop practice, not approved, is used where the data gives nothing",
    "check that its conditions are met in this repair",
)
X391 = confirm_code(
    "X391",
    "Shop practice gives conditions only in words: nothing compared them with this job",
    "have the sheet name bay, data, materials or temperatures under only = { ... } and have it checked "
    "again, or have a named person confirm the usual value in this job under [[confirm]]",
)


def check_defaults(case: Case, ledger: Ledger, work: Work | None = None) -> tuple[Finding, ...]:
    """One finding for each default: open, or confirmed by whom; one for each row of a practice sheet."""
    confirmed = {c.figure: c for c in case.document.confirm}
    found = []
    rows: dict[str, list[str]] = {}
    words_alone: dict[str, list[str]] = {}
    compared = case.shelved.compared if case.shelved is not None else frozenset()
    unused = _of_no_bag(case, ledger)
    for figure in ledger.defaults():
        if figure.key in unused:
            continue
        value = words_of(figure, case.view)
        c = confirmed.get(figure.key)
        if c is not None and c.value and not _is_value(c, figure):
            words = f"{figure.key} = {value}; {c.by} confirmed {c.value} on {c.on}"
            found.append(X110(f"{words} ({c.sheet})" if c.sheet else words, place=figure.key))
        elif c is not None and c.sheet:
            said = f"{c.sheet}, {c.reason}, {c.by}, {c.on} until {c.until}, for {c.conditions}"
            rows.setdefault(said, []).append(f"{figure.key} = {value}")
            if figure.key not in compared:
                words_alone.setdefault(f"{c.sheet}: {c.conditions}", []).append(figure.key)
        elif c is not None:
            when = f", for {c.conditions}" if c.conditions else ""
            words = f"{figure.key} = {value}, confirmed by {c.by} on {c.on}{when}"
            found.append(J002(words, place=figure.key))
        else:
            found.append(J001(f"{figure.key} = {value} ({figure.source})", place=figure.key))
    found += [X114(f"{', '.join(keys)} ({said})", place="use.practice") for said, keys in rows.items()]
    found += [X391(f"{said} ({', '.join(keys)})", place="use.practice") for said, keys in words_alone.items()]
    defaults, asked = {f.key for f in ledger.defaults()}, keys_asked(case)
    heat = set(heat_asked(case, work).values())
    for i, c in enumerate(case.document.confirm):
        # a count of cases: the cure stage says who accepted it, once there is a prediction
        cure = c.figure.rpartition(".")[0]
        counted = may_be_accepted(c.figure) and (c.figure in ledger or f"{cure}.prediction" not in ledger)
        known = c.figure in defaults | asked | heat or counted or _of_the_log(c.figure)
        # a sheet speaks for many repairs, and not for each of them in full: what no repair has is a slip
        if not known and not (c.sheet and is_default(c.figure)):
            where = "use.practice" if c.sheet else f"confirm[{i + 1}]"
            by = f"{c.by} ({c.sheet})" if c.sheet else c.by
            found.append(J003(f"{c.figure} is confirmed by {by}", place=where))
    return tuple(found)


def _of_no_bag(case: Case, ledger: Ledger) -> frozenset[str]:
    """Defaults of a bag, a blanket or a thermocouple that no cure of the data has: nobody answers for it."""
    cures = case.document.data.cure
    if not cures:
        return frozenset()
    unused: set[str] = set()
    if not any(c.bagged for c in cures):
        unused |= {"bag.least_vacuum", "bag.leak_drop", "bag.leak_time"}
    if not any(c.heated_by == "blanket" for c in cures):
        unused.add("bag.blanket_margin")
    if all(c.heated_by == "room temperature" for c in cures):
        unused.add("bag.sensor_margin")
        piece = any(
            "bag.adhesive_margin" in dict(f.inputs).values() for f in ledger if f.key.startswith("plies.")
        )
        unused |= set() if piece else {"bag.adhesive_margin"}
    return frozenset(unused)


def _is_value(confirmed: Confirmation, figure: Figure) -> bool:
    """Whether what was confirmed is the value of a figure, whatever unit it was written in."""
    value = figure.value
    if isinstance(value, str):
        return " ".join(confirmed.value.split()) == value
    if not isinstance(value, int | float):
        return False
    try:
        number = read(confirmed.value, figure.kind) if figure.kind else float(confirmed.value)
    except (UnitError, ValueError):
        try:
            number = float(confirmed.value) if figure.kind == "ratio" else math.nan
        except ValueError:
            return False
    return math.isclose(number, float(value), rel_tol=1e-9, abs_tol=1e-12)


def _of_the_log(figure: str) -> bool:
    """Whether it is a usual value that a cure log is judged by."""
    from panelmend.plan.judge.judging import USUAL  # late: few plans confirm one

    return figure in USUAL.values()
