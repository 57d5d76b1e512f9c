"""Joints of two logs and jumps of all thermocouples: each number from both sides, told by sizes put in."""

from __future__ import annotations

import numpy as np
import pytest

from judge_channels import rows_of
from panelmend.plan.judge import faults_joint
from panelmend.plan.judge.faults_joint import joined_faults, jump_faults
from panelmend.plan.judge.log import FloatArray


def joints(patch: pytest.MonkeyPatch, *sizes: float, rows: int = 400, channels: int = 3) -> int:
    """How many places are told where the lines lie so far apart [K] at places well away from one another."""
    apart = np.zeros(rows - 17)
    apart[10 : 10 + 40 * len(sizes) : 40] = sizes

    def given(times: FloatArray, temps: FloatArray, count: int, gap: float) -> FloatArray:
        assert count == 9
        return apart.copy()

    patch.setattr(faults_joint, "_apart", given)
    log = rows_of(rows)
    return len(joined_faults(log, np.full((rows, channels), 390.0), 60.0))


def test_eight_tenths_of_a_kelvin_are_a_joint(monkeypatch: pytest.MonkeyPatch) -> None:
    assert [joints(monkeypatch, x) for x in (0.79, 0.8, 0.81)] == [0, 1, 1]


def test_a_joint_is_twice_what_lines_lie_apart_at_the_fourth_place(monkeypatch: pytest.MonkeyPatch) -> None:
    assert [joints(monkeypatch, 2.0, x, x, x) for x in (0.99, 1.0, 1.01)] == [1, 1, 0]
    assert [joints(monkeypatch, 2.0, 2.0, 2.0, x) for x in (0.99, 1.01)] == [3, 0]
    assert joints(monkeypatch, 2.0, 2.0, 2.0, 0.9, 0.9, 0.9) == 3


def test_a_joint_asks_sixty_rows_of_three_thermocouples(monkeypatch: pytest.MonkeyPatch) -> None:
    assert [joints(monkeypatch, 2.0, rows=n) for n in (59, 60)] == [0, 1]
    assert [joints(monkeypatch, 2.0, channels=n) for n in (2, 3)] == [0, 1]


def test_places_nearer_than_two_lines_are_one(monkeypatch: pytest.MonkeyPatch) -> None:
    for beside, told in ((17, 1), (18, 2)):
        apart = np.zeros(383)
        apart[100], apart[100 + beside] = 3.0, 2.0
        monkeypatch.setattr(faults_joint, "_apart", lambda *_, a=apart: a.copy())
        log = rows_of(400)
        assert len(joined_faults(log, np.full((400, 3), 390.0), 60.0)) == told


def jumps(by: float, *, channels: int = 2, step: float = 10.0, gap: float = 60.0) -> bool:
    """Whether a step of all thermocouples by so many kelvins is told."""
    temps = np.full((50, channels), 390.0)
    temps[25:] += by
    log = rows_of(50, step)
    return bool(jump_faults(log, temps, gap))


def test_all_jump_by_eight_kelvins_more_than_a_blanket_can_do() -> None:
    """In ten seconds 30 K with the blanket fully on, 5 K with it off."""
    assert [jumps(x) for x in (37.9, 38.1, -12.9, -13.1)] == [False, True, False, True]
    assert [jumps(40.0, channels=n) for n in (1, 2)] == [False, True]
    assert [jumps(400.0, step=x) for x in (60.0, 61.0)] == [True, False]
