"""A few readings made for one rule of the judge: evidence, a book for it, a dwell and where it lies."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

import numpy as np

from judge_lines import limit
from panelmend.plan.judge import ChannelRole, SegmentKind, evidence
from panelmend.plan.judge.log import Channel, CureLog
from panelmend.plan.judge.recipe import RecipeSegment
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.verdict import VerdictRecorder
from panelmend.plan.judge.walk import Stretch


def shown(
    *couples: Any,
    vacuum: Any = None,
    times: Any = None,
    gap: float = 25.0,
    faults: tuple[Any, ...] = (),
    stamp_step: float = 0.0,
) -> evidence.Evidence:
    """What a log of these thermocouples [K], every ten seconds, and of one gauge shows."""
    temps = np.array(couples, float).T
    at = np.arange(len(temps)) * 10.0 if times is None else np.asarray(times, float)
    names = tuple(f"T{i + 1}" for i in range(len(couples)))
    gauge = np.full(at.size, 80e3) if vacuum is None else np.asarray(vacuum, float)
    channels = [
        Channel(n, ChannelRole.THERMOCOUPLE, "temperature", temps[:, i].copy()) for i, n in enumerate(names)
    ]
    channels.append(Channel("VAC", ChannelRole.VACUUM, "pressure", gauge.copy()))
    log = CureLog(at, tuple(channels), stamp_step=stamp_step)
    checked: Any = Made(
        faults=faults, names=names, temps=temps, vacuum=gauge[:, None], step=10.0, sure=True, log=log,
        vacuum_names=("VAC",),
    )  # fmt: skip
    return evidence.gather(log, gap, checked=checked)


def book_of(e: evidence.Evidence) -> VerdictRecorder:
    """A book in which nothing is written yet."""
    return VerdictRecorder(e.log)


def dwell(**more: Any) -> RecipeSegment:
    """A dwell at 390 K, in its band from 385 K on, for 100 s at least."""
    given: dict[str, Any] = {"band_low": limit(385.0), "dwell_least": limit(100.0)} | more
    return RecipeSegment("hold", SegmentKind.DWELL, 390.0, **given)


def stretch(segment: RecipeSegment, start: float, end: float, *inside: Span, entries: Any = ()) -> Stretch:
    """A segment from its start to its end [s] with the stays of the slowest in its band."""
    return Stretch(segment, start, end, tuple(entries), inside, True, 385.0)
