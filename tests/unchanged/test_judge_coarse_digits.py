"""Logs of coarse digits with a few faults each: all that the judge, the search for faults and the watch say
of them is what they said before."""

from __future__ import annotations

import dataclasses
import hashlib
from typing import Any

import numpy as np
import pytest

from coarse_logs import coarse
from digits_kept import unchanged
from judge_seen import Answer, told_of
from panelmend.errors import PanelmendError
from panelmend.plan.judge import CureLog, find_faults, judge, look

COUNT = 54
SHARES = (0.12, 0.37, 0.6, 0.97)  # of the log at which the watch looks


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
    try:
        return f(*given, **named)
    except PanelmendError as refusal:
        return type(refusal).__name__


@pytest.mark.parametrize("number", range(1, COUNT + 1))
def test_coarse_logs_are_told_as_before(number: int) -> None:
    log, how = coarse(number)
    of = how.pop("recipe")
    said = [asked(find_faults, log), asked(judge, of, log, **how)]
    said += [
        asked(look, of, until(log, max(2, int(s * len(log)))), silent=float(number % 3) * 60.0)
        for s in SHARES
    ]
    unchanged("judge_coarse_digits", str(number), [short(a) for a in said])
