"""Edges of single rules that planted faults showed untested, and clocks that carry an offset."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from made_curelog import made_cure, written
from panelmend.curelog import propose, read_log
from panelmend.physics.cure_chemistry import integrate, n_order
from panelmend.plan.judge import Outcome, ResinConstants, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.rules_job import JobTimes
from recipe_curelog import RECIPE

# written out: a number taken from the code would move with it
MOST_NAMED = 8


LAW = n_order(6e4, 6e4, 1.2)


def test_degree_of_cure_is_the_integral_of_the_readings() -> None:
    m = made(length=7900.0)  # fewer readings than are thinned
    m.temps[:, 1] -= 3.0
    log = m.log()
    coldest = m.temps[:, 1]
    degree = integrate(LAW, (m.times - m.times[0]).tolist(), coldest.tolist()).degree[-1]
    assert judge(recipe(), log, resin=ResinConstants(LAW)).degree == pytest.approx(degree, abs=1e-9)


def test_degree_of_cure_in_a_gap_is_what_is_sure() -> None:
    """From 336 K at 1500 s to 372 K at 2400 s: down at 0.5 K/s to 300 K, the coldest, up at 3 K/s."""
    m = made(length=7900.0)
    kept = (m.times <= 1500.0) | (m.times >= 2400.0)  # on the way up
    m.times, m.temps, m.vacuum, m.set_point = (x[kept] for x in (m.times, m.temps, m.vacuum, m.set_point))
    at, floor = int(np.argmax(m.times > 2000.0)), float(m.temps[:, 0].min())
    (a, b), (hot, hotter) = m.times[at - 1 : at + 1], m.temps[at - 1 : at + 1, 0]
    times = np.insert(m.times, [at, at], [a + (hot - floor) / 0.5, b - (hotter - floor) / 3.0])
    cold = np.insert(m.temps[:, 0], [at, at], [floor, floor])
    degree = integrate(LAW, times.tolist(), cold.tolist()).degree[-1]
    straight = integrate(LAW, m.times.tolist(), m.temps[:, 0].tolist()).degree[-1]
    assert judge(recipe(), m.log(), resin=ResinConstants(LAW)).degree == pytest.approx(degree, abs=1e-9)
    assert degree < straight - 1e-3


@pytest.mark.parametrize(
    ("least", "outcome"), [(0.41, Outcome.CONFORMS), (0.55, Outcome.UNKNOWN), (0.8, Outcome.DOES_NOT)]
)
def test_a_degree_that_only_a_gap_can_have_given_cannot_be_judged(least: float, outcome: Outcome) -> None:
    """No reading for 67 min of a long dwell: its two sides gave 0.634; 40 K less in it is 0.491."""
    m = made(length=16000.0, held=8200.0)
    m.temps[(m.times > 6800.0) & (m.times < 10800.0)] = np.nan
    how = recipe(degree_least=limit(least), ceiling=limit(400.0))
    verdict = judge(how, m.log(), resin=ResinConstants(n_order(1.2e4, 6e4, 1.0)))
    reason = next(r for r in verdict.reasons if r.rule.startswith("degree"))
    assert reason.outcome is outcome
    assert ("is sure, least 0.550; in the gaps" in reason.words) is (outcome is Outcome.UNKNOWN)
    hotter = judge(recipe(degree_least=limit(least)), m.log(), resin=ResinConstants(n_order(1.2e4, 6e4, 1.0)))
    found = next(r for r in hotter.reasons if r.rule.startswith("degree"))
    assert found.outcome is (Outcome.CONFORMS if least == 0.41 else Outcome.UNKNOWN), (
        "nothing bounds its heat"
    )


def test_many_dips_are_named_once_each_up_to_eight_and_then_counted() -> None:
    m = made(held=6000.0)
    for i in range(20):
        m.temps[400 + 12 * i : 403 + 12 * i] -= 6.5
    found = [f.words for f in judge(recipe(dwell={"summed": True}), m.log()).findings]
    dips = [x for x in found if x.startswith(c.BELOW_BAND.title)]
    assert len(dips) == MOST_NAMED + 1
    assert "20 times in all" in dips[-1]


@pytest.mark.parametrize(("stamp", "offset"), [("+02:00", "+02:00"), ("-0730", "-07:30"), ("Z", "+00:00")])
def test_times_of_the_job_are_told_by_the_clock_the_stamps_show(
    tmp_path: Path, stamp: str, offset: str
) -> None:
    """Stamps of 08:00+02:00 were compared as 06:00 with the times that people read off the wall."""
    path = tmp_path / "log.csv"
    path.write_text(written(made_cure(5, step=20.0), stamp=f"%Y-%m-%d %H:%M:%S{stamp}"), "utf8")
    proposed = propose(path)
    log = read_log(path, proposed.confirm(proposed.suggested()))
    assert log.started == f"2026-11-25T08:00:00{offset}"
    job = JobTimes(datetime(2026, 11, 25, 8), datetime(2026, 11, 25, 11, 30))
    verdict = judge(RECIPE, log, job=job)
    assert verdict.outcome is Outcome.CONFORMS
    (told,) = [r.words for r in verdict.reasons if r.rule == "log of this job"]
    assert told.endswith(f"all by the log's clock, UTC{offset}")
    apart = JobTimes(datetime(2026, 11, 25, 11), datetime(2026, 11, 25, 14))
    assert judge(RECIPE, log, job=apart).outcome is Outcome.UNKNOWN
