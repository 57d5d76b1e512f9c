"""Readings of rows that were left out because their time or channel is not certain: one that breaks a limit
where it can belong in the log is not ignored."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.plan.judge import codes
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.fault import BoolArray
from panelmend.plan.judge.faults_sensor import HIGHEST
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.no_readings import NO_AIR
from panelmend.plan.judge.recipe import CureRecipe, RecipeLimit, SegmentKind
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.rules_vacuum import needed_until
from panelmend.plan.judge.said import show
from panelmend.plan.judge.unread import heat_ends
from panelmend.plan.judge.verdict import Outcome, VerdictRecorder, told_apart, worst_outcome
from panelmend.plan.judge.walk import Stretch, heat_start


@dataclass(frozen=True)
class _Asked:
    """A limit and the part of the log [s] that it is asked of."""

    rule: str
    limit: RecipeLimit
    start: float = -math.inf
    end: float = math.inf
    segment: str = ""


def judge_left_out(
    e: Evidence, book: VerdictRecorder, recipe: CureRecipe, walked: tuple[Stretch, ...]
) -> Outcome | None:
    """Compare each reading of a row that was left out with the upper limits and the least vacuum that apply
    between the samples above and below it in the file. A limit broken there cannot be judged. None where no
    row was left out."""
    log = e.log
    if not log.left_lines.size:
        return None
    at = np.searchsorted(log.lines, log.left_lines)
    begin = np.concatenate([[-math.inf], e.times])[at]
    end = np.concatenate([e.times, [math.inf]])[at]
    out = [_held(e, book, asked, begin, end) for asked in _tops_asked(e, recipe, walked)]
    if recipe.vacuum is not None:
        rule = recipe.vacuum
        asked = _Asked(RuleName.VACUUM, rule.least, heat_start(e), needed_until(e, recipe, walked)[0])
        # a dip that is allowed, and shorter than that between the samples beside it
        dip = rule.dip_least if rule.dip_least is not None else rule.least.value
        least = np.where(end - begin <= rule.dip_longest, dip, rule.least.value) * (1 - 1e-9)
        out.append(_held(e, book, asked, begin, end, least))
    return worst_outcome(out)


def _tops_asked(e: Evidence, recipe: CureRecipe, walked: tuple[Stretch, ...]) -> list[_Asked]:
    out = [_Asked("maximum temperature", recipe.ceiling)] if recipe.ceiling is not None else []
    for s in walked:
        if not s.found:
            continue
        dwells = s.segment.kind is SegmentKind.DWELL
        until = heat_ends(e, s) if dwells and s.spans else s.end
        for rule, top in (
            (RuleName.BAND_TOP, s.segment.band_high if dwells else None),
            ("maximum temperature", s.segment.ceiling),
        ):
            if top is not None:
                out.append(_Asked(rule, top, s.start, until, s.segment.name))
    return out


def _held(
    e: Evidence,
    book: VerdictRecorder,
    asked: _Asked,
    begin: FloatArray,
    end: FloatArray,
    least: FloatArray | None = None,
) -> Outcome:
    """``begin`` and ``end`` (k,) [s] of the rows; ``least`` (k,) [Pa] for vacuum, else a top is asked of."""
    there = (begin <= asked.end) & (end >= asked.start)
    found: list[tuple[float, int, str]] = []
    for c in e.log.left_out:
        v = c.values
        with np.errstate(invalid="ignore"):
            if least is not None and c.name in e.checked.vacuum_names:
                breaks = (v < least) & (v >= -NO_AIR)
            elif least is None and c.name in e.names:
                breaks = (v > asked.limit.value + 1e-6) & (v <= HIGHEST)
                breaks &= _works(e, c.name, begin, end)
            else:
                continue
        found += [(float(v[k]), k, c.name) for k in np.flatnonzero(there & breaks).tolist()]
    if not found:
        return Outcome.CONFORMS
    value, k, name = max(found) if least is None else min(found)
    kind, side = ("temperature", "most") if least is None else ("pressure", "least")
    shown, bound = told_apart(
        True,
        lambda finer: show(value, kind, decimals=1 + finer),
        lambda finer: show(asked.limit.value, kind, decimals=1 + finer),
    )
    words = (
        f"{name} {shown}, {side} {bound}, in line {int(e.log.left_lines[k])}, which was left out: when it "
    )
    words += "was read, or by which sensor, is not certain"
    book.enter(
        Outcome.UNKNOWN,
        asked.rule,
        words,
        limit=asked.limit,
        value=value,
        kind=kind,
        segment=asked.segment,
        sensor=name,
        time=max(float(begin[k]), float(e.times[0])),
        code=codes.LEFT_OUT,
    )
    return Outcome.UNKNOWN


def _works(e: Evidence, name: str, begin: FloatArray, end: FloatArray) -> BoolArray:
    """Whether a thermocouple is not lost at the sample before or at the one after each row (k,)."""
    works = e.working[:, e.names.index(name)]
    last = len(e.times) - 1
    beside = (np.clip(np.searchsorted(e.times, x), 0, last) for x in (begin, end))
    before, after = (works[k] for k in beside)
    return np.asarray(before | after)
