"""The stages of a document one after another, no further than a finding code needs."""

from __future__ import annotations

from functools import cache
from typing import Any

from examples_here import case_from
from panelmend.derive import Ledger
from panelmend.errors import Finding
from panelmend.job import core, cutout, drying, limits, plies
from panelmend.job.case import Case
from panelmend.job.survey import checks as survey_checks
from panelmend.job.survey import make as survey_make
from panelmend.plan.make import make_plan

STAGES = "SLCPKD"  # made here one by one; for a code of any later stage the whole plan is made


class Staged:
    """One document; each stage is made when it is first asked for."""

    def __init__(self, document: str) -> None:
        self.case: Case = case_from(document)
        self.ledger = Ledger()
        self.parts: dict[str, Any] = {}
        self.found: dict[str, tuple[Finding, ...]] = {}

    def findings(self, letter: str) -> tuple[Finding, ...]:
        """Findings of the stages up to the one of a letter; of the whole plan for later ones."""
        if letter not in STAGES:
            if "plan" not in self.found:
                self.found["plan"] = make_plan(self.case).findings
            return self.found["plan"]
        for stage in STAGES[: STAGES.index(letter) + 1]:
            if stage not in self.found:
                self.found[stage] = self._make(stage)
        return tuple(f for s in STAGES[: STAGES.index(letter) + 1] for f in self.found[s])

    def _make(self, stage: str) -> tuple[Finding, ...]:
        case, ledger, p = self.case, self.ledger, self.parts
        if stage == "S":
            p["S"] = survey_make.make(case, ledger)
            return survey_checks.check(case, ledger, p["S"])
        if stage == "L":
            p["L"] = limits.make(case, ledger)
            return limits.check(case, ledger, p["L"])
        if p["L"].disposition == "no structural repair" or case.document.damage.depth == "surface":
            return drying.check_without_work(case) if stage == "D" else ()
        if stage == "C":
            p["C"] = cutout.make(case, ledger, p["L"])
            return cutout.check(case, ledger, p["C"], p["L"])
        if stage == "P":
            p["P"] = plies.make(case, ledger, p["C"])
            return plies.check(case, ledger, p["P"], p["C"])
        if stage == "K":
            p["K"] = core.make(case, ledger, p["C"], p["P"])
            return core.check(case, ledger, p["K"], p["C"], p["P"])
        p["D"] = drying.make(case, ledger, p["K"])
        return drying.check(case, ledger, p["D"])


@cache
def staged(document: str) -> Staged:
    """The stages of a document, kept for the next case of the same one."""
    return Staged(document)
