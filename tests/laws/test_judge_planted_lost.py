"""Numbers of what is said of lost thermocouples, each from both sides, that a sweep of the judge changed
unnoticed."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from panelmend.plan.judge import (
    Outcome,
    VacuumRule,
)
from panelmend.plan.judge import lost as lost_ones
from panelmend.plan.judge.evidence import gather
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.lost import _carried, _half_way, _place
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.verdict import VerdictRecorder
from panelmend.plan.judge.walk import Stretch

LOG = made().log()
E = gather(LOG)
N = len(E.times)
UP, HOLD, DOWN = recipe().segments
NAN = math.nan
LAST = 300


def beside(other: FloatArray, apart_: FloatArray, sign: float = 1.0) -> FloatArray:
    gone = slice(LAST + 1, LAST + 61)
    return _place(E, other + sign * apart_, other, sign, LAST, gone) - other[gone]


def rising(by: float) -> FloatArray:
    return np.asarray(350.0 + by / 30.0 * (np.arange(N) - LAST), np.float64)


def test_three_kelvins_below_the_others_on_the_way_are_no_place_of_its_own() -> None:
    for behind, at_once in ((2.95, 0.0), (3.05, -3.0)):
        assert beside(rising(12.0), np.full(N, -behind))[0] == pytest.approx(at_once, abs=0.4)


def test_one_that_is_behind_by_more_than_ten_minutes_rise_stays_so() -> None:
    for behind, last in ((4.9, True), (5.1, False)):
        left = beside(np.minimum(rising(2.5), 350.0), np.full(N, -behind))
        assert bool(np.ptp(left) > 0.1) is last


def test_one_that_draws_ahead_of_others_at_rest_is_ahead() -> None:
    """None of the slowest, that is: nothing is taken off."""
    grows = np.full(N, 0.5) + 1e-3 * (np.arange(N) - LAST)
    assert beside(np.full(N, 350.0), grows).tolist() == [0.0] * 60
    comes = np.full(N, -0.5) + 0.03 * (np.arange(N) - LAST)
    assert beside(np.full(N, 350.0), comes)[-1] == pytest.approx(0.0, abs=1e-9)


def test_the_others_had_risen_by_half(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lost_ones, "heat_start", lambda _: 600.0)
    other = 300.0 + 0.5 * np.clip(np.arange(N) - 60.0, 0.0, 200.0)
    assert _half_way(E, other, 260, 400.0) == 160


def test_one_reading_at_the_end_ends_a_hole() -> None:
    e: Any = SimpleNamespace(**{n: getattr(E, n) for n in ("times", "gap", "index_at", "temps", "checked")})
    column = E.temps[:, 0].copy()
    column[100 : N - 1] = NAN
    found = list(_carried(e, column, E.temps[:, 1], 1.0, 990.0, float(E.times[-1])))
    assert [gone for _, gone, _ in found] == [slice(100, N - 1)]


def lost_at(time: float, column: FloatArray, other: FloatArray) -> tuple[Any, Any]:
    """What is left of two thermocouples of which the first was lost, and what it read."""
    facts: dict[str, Any] = {n: getattr(E, n) for n in ("times", "gap", "index_at", "checked", "log")}
    temps = np.column_stack([column, other])
    facts |= {"names": ("T1", "T2"), "temps": temps, "working": np.ones(temps.shape, np.bool_)}
    facts |= {"lost_at": (("T1", time),), "lowest": other, "highest": other}
    facts["vacuum"] = np.where(np.arange(N) <= 400, 85e3, 0.0)
    return SimpleNamespace(**facts), SimpleNamespace(**facts)


def test_a_hotter_place_that_was_lost_is_as_much_hotter_at_the_release() -> None:
    """Ten kelvins above the others at 350 K until it was lost."""
    column = np.where(np.arange(N) <= LAST, 360.0, NAN)
    e, again = lost_at(3000.0, column, np.full(N, 350.0))
    for most, said in ((359.0, 2), (361.0, 1)):
        how = recipe(vacuum=VacuumRule(limit(80e3)), release_most=limit(most))
        book = VerdictRecorder(LOG)
        book.enter(Outcome.CONFORMS, RuleName.RELEASED, "")
        lost_ones._released(e, again, book, how)
        assert len(book.reasons) == said


def test_the_loss_below_the_band_is_named_before_a_later_one_in_it(monkeypatch: pytest.MonkeyPatch) -> None:
    low = np.full(N, 384.0)
    monkeypatch.setattr(lost_ones, "slowest_at_least", lambda *_: (low, np.ones(N - 1, np.bool_)))
    column = np.full(N, 386.0)
    column[100] = 384.0
    e, _ = lost_at(0.0, column, np.full(N, 386.0))
    s = Stretch(HOLD, 0.0, 4000.0, (), (Span(0.0, 4000.0),), True)
    book = VerdictRecorder(LOG)
    carried = [(at, slice(at + 1, at + 2), np.full(1, 384.0)) for at in (100, 200)]
    lost_ones._short(e, book, s, "T1", column, carried)
    assert [r.time for r in book.reasons] == [1000.0]
