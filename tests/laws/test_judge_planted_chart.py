"""What a chart keeps, what stands, what a program is: numbers that a sweep of the judge changed unnoticed."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np

from judge_channels import couples_log
from judge_lines import recipe
from panelmend.plan.judge import Channel, ChannelRole
from panelmend.plan.judge.aside import _pieces
from panelmend.plan.judge.log import matrix
from panelmend.plan.judge.report import _keep, _on_the_digit, thinned
from panelmend.plan.judge.standing import _backwards, _unanswered

NAN = float("nan")


def test_a_chart_keeps_the_ends_and_the_extremes_of_each_slice() -> None:
    assert _keep(np.array([5.0, 1.0, 9.0, 5.0]), 100.0).tolist() == [0, 1, 2, 3]
    assert _keep(np.array([5.0, 5.0, 1.0, 5.0, 9.0, 5.0, 8.0, 2.0, 5.0]), 100.0).tolist() == [0, 2, 4, 8]
    assert _keep(np.arange(9.0), 3.0).tolist() == [0, 2, 3, 5, 6, 8]


def test_a_chart_has_about_as_many_points_as_asked() -> None:
    lively = 300.0 + 10.0 * np.random.default_rng(6).random(6000)
    for rows, points, least, most in ((6000, 600, 590, 602), (500, 600, 500, 500), (6000, 2, 3, 4)):
        log = couples_log(10.0, lively[:rows])
        (piece,) = thinned(log, log.channels[0], points).pieces
        assert least <= len(piece.times) <= most


def test_two_readings_have_a_last_digit_and_none_have_none() -> None:
    row = SimpleNamespace(name="hold", least=385.3, most=NAN)
    verdict: Any = SimpleNamespace(segments=(row,))
    for couples, said in ((([300.0, 301.0],), 1), ((), 0)):
        log = couples_log(
            10.0, *couples, more=(Channel("V", ChannelRole.VACUUM, "pressure", np.full(2, 8e4)),)
        )
        assert len(_on_the_digit(recipe(), log, verdict)) == said


def test_what_stands_is_due_at_once() -> None:
    temps = np.full((100, 2), 300.0)
    temps[50:, 1] = 280.0
    e: Any = SimpleNamespace(names=("A", "B"), temps=temps)
    assert [a.within for a in _backwards(e)] == [0.0]
    wanted = np.where(np.arange(100) < 20, 300.0, 340.0)
    log = couples_log(10.0, more=(Channel("SP", ChannelRole.SET_POINT, "temperature", wanted),))
    flat = np.full((100, 1), 300.0)
    e = SimpleNamespace(log=log, times=log.times, temps=flat, highest=flat[:, 0])
    assert [a.within for a in _unanswered(e)] == [0.0]


def test_the_first_step_of_a_program_is_a_piece_of_it() -> None:
    values = 300.0 + np.concatenate([[0.0, 1.0], 0.1 * np.arange(30)])
    assert _pieces(values) > 1


def test_a_log_without_a_row_has_a_column_for_each_channel() -> None:
    whole = np.empty((0, 2), order="F")
    channels = tuple(Channel(f"T{i}", ChannelRole.THERMOCOUPLE, "temperature", whole[:, i]) for i in range(2))
    assert matrix(channels, 0).shape == (0, 2)
