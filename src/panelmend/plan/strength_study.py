"""The strength study of a plan: apart from the plan, so that a plan stays quick and its digest its own."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass

from panelmend.derive import Figure, Ledger
from panelmend.errors import Finding, InputError
from panelmend.job import strength
from panelmend.job.strength.part import StrengthPart
from panelmend.plan.plan import Plan


@dataclass(frozen=True)
class StrengthStudy:
    """A strength study: the plan it belongs to, its part, the plan's figures with its own, its findings."""

    plan: Plan
    part: StrengthPart
    ledger: Ledger
    findings: tuple[Finding, ...]

    @property
    def digest(self) -> str:
        """Digest of the plan and of every figure of the study."""
        rows = [
            repr((f.key, f.value if isinstance(f.value, int | float | str) else f.value.digest()))
            for f in self.ledger
        ]
        return hashlib.sha256("\n".join([self.plan.digest, *rows]).encode("utf8")).hexdigest()


def joined(ledger: Ledger, more: Iterable[Figure]) -> Ledger:
    """A ledger of its own with the figures of another and more."""
    whole = Ledger()
    for figure in (*ledger, *more):
        whole.add(figure)
    return whole


def study_strength(plan: Plan) -> StrengthStudy:
    """Compare the repaired panel with the sound one, computed anew.

    Raises:
        InputError: the plan lays nothing.
    """
    if plan.work is None:
        raise InputError("this repair lays nothing: there is no strength to compare", where=plan.case.name)
    ledger = joined(plan.ledger, ())
    work = plan.work
    part = strength.make(plan.case, ledger, work.cutout, work.plies, work.core)
    return StrengthStudy(plan, part, ledger, strength.check(plan.case, ledger, part))
