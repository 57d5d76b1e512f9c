"""Small questions of the judge that no quick test asked, each by hand."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_case import noisy
from judge_lines import made, recipe
from panelmend.plan.judge import Outcome, codes, rules_heats
from panelmend.plan.judge.faults import check_readings
from panelmend.plan.judge.faults_drawn import _cuts
from panelmend.plan.judge.unread import _can_be


def test_fewest_rows_are_cut_off_first() -> None:
    assert _cuts(1) == ((0, 0), (0, 1), (1, 0), (1, 1))
    assert _cuts(2)[:6] == ((0, 0), (0, 1), (1, 0), (0, 2), (1, 1), (2, 0))


def test_a_hole_is_left_from_the_reading_behind_it() -> None:
    """50, 80 and 60 K with a hole between the last two. 100 K can be there 20 K later, at 3 K/s at most, and
    until 40 K before the end, at 0.5 K/s at most."""
    times, values = np.array([0.0, 10.0, 1000.0]), np.array([50.0, 80.0, 60.0])
    ((begin, end), *_) = _can_be(times, values, np.ones(3, np.bool_), 100.0, 60.0)
    assert begin == pytest.approx(10.0 + 20.0 / 3.0)
    assert end == pytest.approx(1000.0 - 80.0)


def test_where_all_channels_stood_still_the_vacuum_is_not_read_either() -> None:
    """Nothing moved in time and nothing was filled in: that all stood still is enough."""
    cure = noisy(made())
    cure.temps[300:500], cure.vacuum[300:500] = cure.temps[300], cure.vacuum[300]
    checked = check_readings(cure.log())
    assert not np.isfinite(checked.vacuum[310:490]).any()
    assert np.isfinite(checked.vacuum[:290]).all()
    assert np.isfinite(check_readings(noisy(made()).log()).vacuum[310:490]).all()


@pytest.mark.parametrize("pulled_off", [True, False])
def test_a_jump_of_all_is_asked_about_unless_they_were_pulled_off(
    pulled_off: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    entered: list[tuple[Outcome, str]] = []
    jump = SimpleNamespace(finding=codes.JUMPED("at once"), time=600.0)
    other = SimpleNamespace(finding=codes.FROZEN("for 5 min"), time=700.0)
    evidence: Any = SimpleNamespace(
        checked=SimpleNamespace(faults=(other, jump)), log=SimpleNamespace(clock=lambda time: f"{time:.0f} s")
    )
    book: Any = SimpleNamespace(enter=lambda outcome, rule, words, **more: entered.append((outcome, words)))
    monkeypatch.setattr(rules_heats, "_pulled_off", lambda e, time, recipe, walked: pulled_off)
    rules_heats.judge_scale(evidence, book, recipe(), ())
    assert [outcome for outcome, _ in entered] == ([] if pulled_off else [Outcome.UNKNOWN])
    assert all("600 s" in words and "700 s" not in words for _, words in entered)
