"""The evidence of an exact cure and an empty book of reasons, for rules of the judge asked one by one."""

from __future__ import annotations

import functools

from judge_lines import made
from panelmend.plan.judge import evidence
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder

YES, NO, OPEN = Outcome.CONFORMS, Outcome.DOES_NOT, Outcome.UNKNOWN


@functools.cache
def whole() -> evidence.Evidence:
    """The evidence of a cure that was made as asked."""
    return evidence.gather(made().log())


def blank() -> VerdictRecorder:
    """A book in which nothing is written yet."""
    return VerdictRecorder(whole().log)
