"""Findings of the plan as a whole: open defaults and confirmations."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.derive.ledger import words_of
from panelmend.errors import Finding, Severity, finding_code
from panelmend.job.case import Case
from panelmend.job.cure.prediction import may_be_accepted
from panelmend.plan.judge.judging import USUAL

J001 = finding_code(
    "J001",
    Severity.CONFIRM,
    "A usual value of the trade is used where the approved data gives none",
    "find the value in the approved data, or have a named person confirm it under [[confirm]]",
)
J002 = finding_code(
    "J002",
    Severity.NOTE,
    "A usual value of the trade was confirmed by a named person",
    "check that the person may confirm it",
)
J003 = finding_code(
    "J003",
    Severity.CAUTION,
    "A confirmation names a figure that does not stand on a default",
    "correct the figure's key or take the confirmation out",
)


def check_defaults(case: Case, ledger: Ledger) -> tuple[Finding, ...]:
    """One finding for each default: open, or confirmed by whom."""
    confirmed = {c.figure: c for c in case.document.confirm}
    found = []
    for figure in ledger.defaults():
        value = words_of(figure, case.view)
        if figure.key in confirmed:
            c = confirmed[figure.key]
            found.append(J002(f"{figure.key} = {value}, confirmed by {c.by} on {c.on}", place=figure.key))
        else:
            found.append(J001(f"{figure.key} = {value} ({figure.source})", place=figure.key))
    defaults = {f.key for f in ledger.defaults()}
    for i, c in enumerate(case.document.confirm):
        # a count of cases: the cure stage says who accepted it, once there is a prediction
        cure = c.figure.rpartition(".")[0]
        counted = may_be_accepted(c.figure) and (c.figure in ledger or f"{cure}.prediction" not in ledger)
        if c.figure not in defaults and c.figure not in USUAL.values() and not counted:
            found.append(J003(f"{c.figure} is confirmed by {c.by}", place=f"confirm[{i + 1}]"))
    return tuple(found)
