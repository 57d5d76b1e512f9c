"""Where nothing was read, and channels beside the rules: numbers just inside and just outside."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from panelmend.plan.judge import Channel, ChannelRole, Outcome, rules_rate, unjudged
from panelmend.plan.judge.faults_frozen import _steady
from panelmend.plan.judge.holes import crossing_between
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.verdict import VerdictRecorder
from panelmend.plan.judge.walk import Stretch

LOG = made().log()
UP, HOLD, _ = recipe().segments
T = 10.0 * np.arange(200)


def test_a_part_that_moves_by_a_kelvin_and_a_half_in_two_minutes_does_not_stand() -> None:
    for rate, coarse, said in (
        (1.4 / 120.0, False, True),
        (1.6 / 120.0, False, False),
        (0.48 / 600.0, True, True),
        (0.52 / 600.0, True, False),
    ):
        assert bool(_steady(T, 350.0 + rate * T, coarse)[100]) is said


def came(
    before: float, after: float, level: float, time: float, *, falling: bool = False
) -> tuple[float, float]:
    """When a level was reached between the first reading and one 200 s later."""
    values = np.full(40, np.nan)
    values[0], values[20:] = before, after
    e: Any = SimpleNamespace(times=T[:40], gap=25.0)
    return crossing_between(e, values, level, time, falling=falling)


def test_a_level_in_a_hole_was_reached_as_soon_and_as_late_as_the_blanket_allows() -> None:
    """On 3 K/s, off 0.5 K/s."""
    assert came(300.0, 360.0, 350.0, 180.0) == pytest.approx((50.0 / 3.0, 200.0 - 10.0 / 3.0))
    assert came(360.0, 300.0, 350.0, 50.0, falling=True) == pytest.approx((20.0, 100.0))
    assert came(350.0, 360.0, 350.0, 50.0)[0] == 0.0
    assert came(300.0, 350.0, 350.0, 190.0)[1] == 200.0


def test_a_rate_that_a_hole_hides_into_the_band_is_not_known(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rules_rate, "crossing_between", lambda *_, **__: (90.0, 110.0))
    up = dataclasses.replace(UP, rate_most=limit(0.05))
    s = Stretch(up, 0.0, 200.0, (), (), True, 385.0)
    e: Any = SimpleNamespace(times=T, gap=25.0)
    for unseen, said in ((0.0, Outcome.CONFORMS), (0.5, Outcome.UNKNOWN)):
        shown = (np.zeros(1), np.full(1, 0.05), unseen)
        monkeypatch.setattr(rules_rate, "window_rates", lambda *_, shown=shown: shown)
        values = np.full(T.size, 380.0)
        assert rules_rate._into_hole(e, VerdictRecorder(LOG), s, "T1", values, 100.0) is said


def test_a_channel_beside_the_rules_is_told_where_it_leaves_the_band_now(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(unjudged, "follows_thermocouples", lambda *_: True)
    now = Stretch(
        dataclasses.replace(HOLD, band_high=limit(395.0)), 0.0, 900.0, (), (Span(0.0, 900.0),), True
    )
    e: Any = SimpleNamespace(log=LOG)
    for here, said in ((384.9, True), (385.1, False), (394.9, False), (395.1, True)):
        channel = Channel("A", ChannelRole.AIR, "temperature", np.full(9, here))
        found = unjudged._out(e, channel, recipe(), now)
        assert [a.within for a in found] == [0.0] * said
    for unread, told in ((2, True), (3, False)):
        values = np.full(9, 400.0)
        values[9 - unread :] = np.nan
        channel = Channel("A", ChannelRole.AIR, "temperature", values)
        assert bool(unjudged._out(e, channel, recipe(), now)) is told
