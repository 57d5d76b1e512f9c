"""Three thermocouples: sound ones are not blamed for the wrong one, and what cannot be told is said."""

from __future__ import annotations

import numpy as np
import pytest

from made_curelog import Made, made_cure
from panelmend.physics.thermocouple import reading, twice_reversed_reading
from panelmend.plan.judge import codes
from panelmend.plan.judge.faults import find_faults


def _shown(made: Made, by: object) -> np.ndarray:
    return np.array([by(float(t)) for t in made.temps[:, 1]])  # type: ignore[operator]


def _codes(made: Made) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for f in find_faults(made.log()):
        found.setdefault(f.finding.code, set()).add(f.channel)
    return found


@pytest.mark.parametrize("seed", range(1, 6))
@pytest.mark.parametrize("wires", [("J", "K"), ("K", "J")])
def test_one_wrong_wire_of_three_is_named_alone(seed: int, wires: tuple[str, str]) -> None:
    made = made_cure(seed, sensors=3)
    clean = _codes(made)
    made.temps[:, 1] = _shown(made, lambda t: reading(*wires, t, 294.0))
    found = _codes(made)
    assert found.get(codes.WRONG_WIRE.code) == {"TC2"}
    blamed = {c for code, channels in found.items() if code not in clean for c in channels}
    assert blamed == {"TC2"}


def test_where_no_two_of_three_agree_nobody_is_blamed() -> None:
    made = made_cure(1, sensors=3)
    for n, off in ((0, 14.0), (2, -17.0)):
        made.temps[:, n] += off
    found = _codes(made)
    assert found[codes.UNDECIDED.code] == {"TC1, TC2, TC3"}, "said of all three, not of the first"
    assert not {codes.WRONG_WIRE.code, codes.OFFSET.code, codes.DRIFT.code, codes.COLD.code} & set(found)


@pytest.mark.parametrize("dead", [False, True], ids=["two in the log", "the third reads nothing"])
def test_one_wrong_wire_of_two_accuses_nobody_and_is_said(dead: bool) -> None:
    """A channel that reads nothing is no witness; both are in doubt, so the log cannot show a good cure."""
    made = made_cure(1, sensors=3 if dead else 2)
    if dead:
        made.temps[:, 2] = np.nan
    assert codes.FEW_TOLD.code in _codes(made)
    assert codes.UNDECIDED.code not in _codes(made)
    made.temps[:, 1] = _shown(made, lambda t: reading("J", "K", t, 294.0))
    found = _codes(made)
    assert found[codes.UNDECIDED.code] == {"TC1", "TC2"}
    assert not {codes.WRONG_WIRE.code, codes.COLD.code, codes.OFFSET.code} & set(found)
    assert {f.channel for f in find_faults(made.log()) if f.doubt} == {"TC1", "TC2"}


def test_a_lead_swapped_at_both_ends_is_named_and_not_left_out() -> None:
    made = made_cure(1)
    top = made.temps[:, 1].max() - 294.0
    made.temps[:, 1] = _shown(
        made, lambda t: twice_reversed_reading("K", t, 294.0 + 4.0 * (t - 294.0) / top, 294.0)
    )
    faults = [f for f in find_faults(made.log()) if f.finding.code == codes.LEAD_SWAPPED.code]
    assert [f.channel for f in faults] == ["TC2"]
    assert not faults[0].lost, "a cold place would look the same"
    assert "cold place" in faults[0].finding.words
    assert codes.LEAD_SWAPPED.code not in _codes(made_cure(1))
