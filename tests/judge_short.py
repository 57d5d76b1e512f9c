"""What the judge, the search for faults and the watch say of a log, short enough to be kept."""

from __future__ import annotations

import dataclasses
import hashlib
from typing import Any

import numpy as np

from judge_seen import Answer, told_of
from panelmend.errors import PanelmendError
from panelmend.plan.judge import CureLog


def until(log: CureLog, count: int) -> CureLog:
    """The first samples of a log."""
    channels, aside = (
        tuple(dataclasses.replace(c, values=c.values[:count].copy()) for c in some)
        for some in (log.channels, log.set_aside)
    )
    return dataclasses.replace(
        log,
        times=log.times[:count].copy(),
        channels=channels,
        set_aside=aside,
        lines=log.lines[:count].copy(),
    )


def short(answer: Answer | str) -> Any:
    """What was said in eight letters, and its numbers in six sums."""
    if isinstance(answer, str):
        return answer
    rows = told_of(answer)
    sums = np.zeros(6)
    for k, value in enumerate(rows.values()):
        sums[k % 6] += float(value)
    return [hashlib.sha256("\n".join(rows).encode()).hexdigest()[:8], [float(s) for s in sums]]


def asked(f: Any, *given: Any, **named: Any) -> Any:
    """What a function answers, or the name of its refusal."""
    try:
        return f(*given, **named)
    except PanelmendError as refusal:
        return type(refusal).__name__
