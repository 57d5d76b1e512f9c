"""Rows left out, held against a limit: just on it, just beyond it, and of several which is told."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from panelmend.plan.judge import ChannelRole, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.log import Channel

TOP = 393.1  # K


def told(*temps: float) -> list[str]:
    """What is said (V645) of rows left out in the middle of the hold, each below a sample of the log."""
    log = made().log()
    hot = Channel("T2", ChannelRole.THERMOCOUPLE, "temperature", np.array(temps))
    log = dataclasses.replace(log, left_lines=log.lines[500 : 500 + len(temps)] + 1, left_out=(hot,))
    found = judge(recipe(dwell={"band_high": limit(TOP)}), log).findings
    return [f.words for f in found if f.code == c.LEFT_OUT.code]


@pytest.mark.parametrize(("kelvin", "said"), [(TOP, 0), (TOP + 5e-7, 0), (TOP + 2e-6, 1), (TOP + 5.0, 1)])
def test_a_reading_on_the_top_keeps_to_it(kelvin: float, said: int) -> None:
    assert len(told(kelvin)) == said


def test_of_several_the_hottest_is_told_with_its_line() -> None:
    log = made().log()
    for temps, row in (((396.0, 394.0, 395.0), 0), ((394.0, 396.0, 395.0), 1), ((394.0, 395.0, 396.0), 2)):
        (words,) = told(*temps)
        assert "T2 122.9 C, most 120.0 C" in words, words  # 396 and 393.1 K
        assert f"in line {int(log.lines[500 + row]) + 1}, which was left out" in words


def test_what_is_told_apart_from_the_top_has_the_digits_for_it() -> None:
    (words,) = told(TOP + 0.003)
    assert "119.953 C, most 119.950 C" in words, words
