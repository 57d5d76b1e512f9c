"""What may have happened in a hole: bounds from the readings either side and the blanket fully on or off."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from judge_lines import HELD, STEP, TOP, limit, made, recipe
from made_curelog import INHG, Made
from panelmend.plan.judge import Outcome, VacuumRule, judge, make_report
from panelmend.plan.judge.holes import peak, trough

# written out: a number taken from the code would move with it
OFF, ON = 0.5, 3.0


CONFORMS, UNKNOWN = Outcome.CONFORMS, Outcome.UNKNOWN
LOW = 340.0  # K, low end of a wide band
# down by OFF and up again by ON between equal readings: the lowest is s * ON * OFF / (ON + OFF) below them
LONGEST = (TOP - LOW) * (ON + OFF) / (ON * OFF)


def hole(seconds: float, channel: int | None = None) -> Made:
    """A dwell with a hole in its middle, of all that is logged or of one thermocouple."""
    m = made()
    at = 500
    if channel is None:
        m.times[at:] += seconds - STEP
        return m
    m.temps[at : at + round(seconds / STEP) - 1, channel] = np.nan
    return m


def verdict(m: Made, **dwell: object) -> Outcome:
    how = {"band_low": limit(LOW), "dwell_least": limit(HELD), **dwell}
    return judge(recipe(dwell=how), m.log()).outcome


def test_the_bounds_are_what_they_say() -> None:
    assert trough(390.0, 390.0, LONGEST) == pytest.approx(LOW)
    assert peak(390.0, 390.0, 70.0) == pytest.approx(390.0 + 70.0 * ON * OFF / (ON + OFF))
    assert trough(390.0, 380.0, 5.0) == 380.0, "the readings themselves are the least that was"
    assert peak(380.0, 390.0, 1.0) == 390.0


def test_time_in_a_hole_counts_where_the_slowest_cannot_have_left_the_band() -> None:
    assert verdict(hole(LONGEST - 1.0)) is CONFORMS
    assert verdict(hole(LONGEST + 1.0)) is UNKNOWN


def test_so_it_does_where_one_thermocouple_has_a_hole() -> None:
    assert LONGEST > 110.0 + STEP / 2
    assert verdict(hole(110.0, channel=2)) is CONFORMS
    assert verdict(hole(130.0, channel=2)) is UNKNOWN


def test_an_upper_bound_above_the_band_cannot_be_judged() -> None:
    could = peak(TOP, TOP, 80.0)
    assert verdict(hole(80.0), band_high=limit(could + 0.1)) is CONFORMS
    assert verdict(hole(80.0), band_high=limit(could - 0.1)) is UNKNOWN


def test_vacuum_in_a_hole_is_not_known() -> None:
    how = recipe(dwell={"band_low": limit(LOW), "dwell_least": limit(HELD)})
    with_vacuum = dataclasses.replace(how, vacuum=VacuumRule(limit(22 * INHG)))
    assert judge(how, hole(80.0).log()).outcome is CONFORMS
    assert judge(with_vacuum, hole(80.0).log()).outcome is UNKNOWN


def test_a_report_says_what_its_log_cannot_show() -> None:
    how = dataclasses.replace(recipe(), vacuum=VacuumRule(limit(22 * INHG)))

    def told(m: Made) -> str:
        log = m.log()
        return "; ".join(make_report(how, log, judge(how, log)).not_judged)

    released, held, whole = made(), made(), made()
    held.vacuum[:] = 24.0 * INHG + np.sin(held.times)
    whole.temps = np.round(whole.temps - 273.15) + 273.15
    assert "below ambient or absolute rests on" not in told(released)
    assert "below ambient or absolute rests on" in told(held)
    assert "copied from another part" not in told(released)
    assert "copied from another part" in told(whole)


def thinned(every: int) -> Made:
    m = made()
    here = slice(None, None, every)
    m.times, m.temps, m.vacuum, m.set_point = m.times[here], m.temps[here], m.vacuum[here], m.set_point[here]
    return m


@pytest.mark.parametrize(("every", "outcome"), [(30, CONFORMS), (31, UNKNOWN), (60, UNKNOWN)])
def test_samples_further_apart_than_five_minutes_show_no_dwell_and_no_vacuum(
    every: int, outcome: Outcome
) -> None:
    """Between two samples of a quarter of an hour a part can be spoilt and the vacuum be lost, unseen."""
    of_heat = recipe(dwell={"band_low": limit(LOW), "dwell_least": limit(3000.0)})
    with_vacuum = dataclasses.replace(recipe(), vacuum=VacuumRule(limit(22 * INHG)))
    m = thinned(every)
    assert m.times[1] == every * STEP
    assert judge(of_heat, m.log()).outcome is outcome
    assert judge(with_vacuum, m.log()).outcome is outcome
    said = judge(with_vacuum, m.log(), longest_gap=every * STEP)
    assert said.outcome is CONFORMS, "where the approved data says that they count as unbroken"


def late(begin: float, until: float, *, up: float = 0.04, rows: bool = True) -> Made:
    """A cure whose readings between two times [s] are missing, as rows or as cells."""
    m = made(up=up)
    gone = (m.times > begin) & (m.times < until)
    if rows:
        here = ~gone
        m.times, m.temps, m.vacuum, m.set_point = (x[here] for x in (m.times, m.temps, m.vacuum, m.set_point))
    else:
        m.temps[gone] = np.nan
    return m


@pytest.mark.parametrize("rows", [True, False])
@pytest.mark.parametrize(
    ("least", "outcome"),
    [(0.0384, CONFORMS), (0.0386, UNKNOWN), (0.0481, UNKNOWN), (0.0484, Outcome.DOES_NOT)],
)
def test_a_ramp_that_ends_in_a_hole_is_held_against_the_hole_s_bounds(
    least: float, outcome: Outcome, rows: bool
) -> None:
    """It comes to 385 K between 2400 s (372 K) and 2800 s (388 K), so between 2404.3 and 2799 s: its mean
    rise from 309.8 K at 845 s is 0.0385 K/s at least and 0.0482 at most."""
    how = recipe(ramp={"rate_least": limit(least)})
    assert judge(how, late(2400.0, 2800.0, rows=rows).log()).outcome is outcome


@pytest.mark.parametrize(("most", "outcome"), [(0.041, CONFORMS), (0.039, Outcome.DOES_NOT)])
def test_a_ramp_that_was_too_fast_before_its_hole_fails(most: float, outcome: Outcome) -> None:
    how = recipe(ramp={"rate_most": limit(most)})
    assert judge(how, late(2600.0, 2800.0).log()).outcome is outcome


@pytest.mark.parametrize(("most", "outcome"), [(0.061, CONFORMS), (0.059, UNKNOWN)])
def test_a_hole_into_the_band_that_only_together_is_too_fast_cannot_be_judged(
    most: float, outcome: Outcome
) -> None:
    """In 200 s from 380 to 394 K after 0.04 K/s: 18 K in 300 s."""
    m = late(2600.0, 2800.0)
    m.temps[m.times >= 2800.0] += 6.0
    how = recipe(ramp={"rate_most": limit(most)})
    assert judge(how, m.log()).outcome is outcome


@pytest.mark.parametrize(
    ("most", "outcome"),
    [(4295.0, CONFORMS), (4285.0, UNKNOWN), (4095.0, UNKNOWN), (4085.0, Outcome.DOES_NOT)],
)
def test_the_longest_dwell_counts_a_hole_where_that_decides(most: float, outcome: Outcome) -> None:
    """In the band from 2725 to 7017 s; a hole of 200 s."""
    m = late(4000.0, 4200.0)
    how = recipe(dwell={"dwell_most": limit(most), "dwell_least": limit(600.0)})
    assert judge(how, m.log()).outcome is outcome


@pytest.mark.parametrize(("most", "outcome"), [(400.0, CONFORMS), (390.0, UNKNOWN)])
def test_the_last_into_the_band_is_as_late_as_its_hole_allows(most: float, outcome: Outcome) -> None:
    how = recipe(dwell={"lag_most": limit(most)})
    assert judge(how, late(2400.0, 2800.0).log()).outcome is outcome
