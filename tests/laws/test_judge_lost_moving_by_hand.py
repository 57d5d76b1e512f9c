"""Thermocouples that moved when they were lost, or that are read again elsewhere than they were carried to:
each figure is reckoned by hand. Readings are ten seconds apart, and a gap is longer than 25 s."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_lost import made
from panelmend.plan.judge import Outcome, SensorRule, codes, judge, lost_moving
from panelmend.plan.judge.log import FloatArray

NAN = float("nan")
LEAST = 0.7
ASKED = dataclasses.replace(
    recipe(dwell={"band_high": limit(395.0), "dwell_least": limit(3600.0)}),
    sensors=SensorRule(3, "table 1", may_fail=1),
)


def _evidence(rows: int) -> Any:
    return Made(times=np.arange(rows) * 10.0, gap=25.0)


def _falls(*ways: tuple[float, float]) -> FloatArray:
    """Forty-one readings up to 400 s: five, less what is fallen in the last so many seconds, evenly."""
    times = np.arange(41) * 10.0
    out = np.full(41, 5.0)
    for seconds, by in ways:
        out -= by * np.clip((times - (400.0 - seconds)) / seconds, 0.0, 1.0)
    return out


def _long(seconds: float, by: float) -> FloatArray:
    """A hundred and sixty-one readings up to 1600 s: five below the others, less what is fallen evenly in
    the last so many seconds."""
    times = np.arange(161) * 10.0
    return np.asarray(-5.0 - by * np.clip((times - (1600.0 - seconds)) / seconds, 0.0, 1.0))


def _rate(apart: FloatArray, own: FloatArray | None = None) -> float:
    own = apart if own is None else own
    return lost_moving.steepest_way(np.linspace(0.0, 400.0, 41), 25.0, own, apart, 40, LEAST)


# how it moved


@pytest.mark.parametrize(
    ("seconds", "by", "rate"),
    [
        (60.0, 0.7, 0.7 / 60.0),
        (60.0, 0.69, 0.0),
        (120.0, 0.7, 0.7 / 120.0),
        (120.0, 0.69, 0.0),
        (300.0, 0.7, 0.7 / 300.0),
        (300.0, 0.69, 0.0),
        (10.0, 0.7, 0.7 / 60.0),  # a minute is the shortest that is looked at
        (300.0, 7.0, 7.0 / 300.0),  # as fast in each of them
        (60.0, -5.0, 0.0),  # nearer to the others
    ],
)
def test_the_steepest_of_one_two_and_five_minutes(seconds: float, by: float, rate: float) -> None:
    assert _rate(_falls((seconds, by)) - 10.0) == pytest.approx(-rate, abs=1e-12)


@pytest.mark.parametrize(
    ("seconds", "by", "rate"),
    [
        (1200.0, 0.7, 0.7 / 1200.0),
        (1200.0, 0.69, 0.0),
        (600.0, 0.7, 0.7 / 600.0),
        (600.0, 0.69, 0.0),
        (1500.0, 0.7, 0.0),  # 0.56 K in twenty minutes, the longest that are looked at
        (1500.0, 0.875, 0.7 / 1200.0),
    ],
)
def test_a_slow_drift_is_seen_in_ten_and_twenty_minutes(seconds: float, by: float, rate: float) -> None:
    apart = _long(seconds, by)
    found = lost_moving.steepest_way(np.linspace(0.0, 1600.0, 161), 25.0, apart, apart, 160, LEAST)
    assert found == pytest.approx(-rate, abs=1e-12)


@pytest.mark.parametrize(("others", "rate"), [(2.0, 0.7 / 1200.0), (2.1, 0.0)])
def test_over_more_than_five_minutes_a_place_drifts_only_beside_others_that_stand(
    others: float, rate: float
) -> None:
    """It falls by 0.7 K from others that fall too, evenly in twenty minutes."""
    times, away = np.linspace(0.0, 1600.0, 161), _long(1200.0, 0.7)
    own = away + _long(1200.0, others)
    assert lost_moving.steepest_way(times, 25.0, own, away, 160, LEAST) == pytest.approx(-rate, abs=1e-12)


def test_one_that_slowly_comes_nearer_from_the_far_side_is_not_carried_past_the_others() -> None:
    """By 3 K in twenty minutes, and still 2 K on the other side; or level with them."""
    apart = _long(1200.0, 3.0)
    times = np.linspace(0.0, 1600.0, 161)
    assert lost_moving.steepest_way(times, 25.0, apart, apart + 10.0, 160, LEAST) == 0.0
    assert lost_moving.steepest_way(times, 25.0, apart, apart + 8.0, 160, LEAST) == pytest.approx(
        -3.0 / 1200.0
    )


def test_one_that_itself_stands_is_carried_by_no_way_of_the_others() -> None:
    apart = _falls((60.0, 3.0)) - 10.0
    assert _rate(apart, np.full(41, 390.0)) == 0.0
    assert _rate(apart, _falls((60.0, 0.69))) == 0.0
    assert _rate(apart, _falls((60.0, 0.7))) == pytest.approx(-0.05)


@pytest.mark.parametrize(("more", "rate"), [(0.87, 0.0), (0.88, 1.48 / 60.0)])
def test_one_that_still_comes_nearer_must_fall_faster_than_before(more: float, rate: float) -> None:
    """By 3 K in five minutes, and more in the last: of 0.6 K and that it fell a fifth of all anyway."""
    assert _rate(_falls((300.0, 3.0), (60.0, more))) == pytest.approx(-rate, abs=1e-12)


def test_one_level_with_the_others_is_no_longer_coming_nearer() -> None:
    assert _rate(_falls((300.0, 3.0)) - 2.0) == pytest.approx(-0.01)
    assert _rate(_falls((300.0, 3.0)) - 1.99) == 0.0


@pytest.mark.parametrize(("last", "rate"), [(32, 3.0 / 80.0), (31, 0.0)])
def test_a_reading_further_back_than_a_gap_tells_no_way(last: int, rate: float) -> None:
    """Missing from then to the last reading at 400 s: 80 s for a minute, or 90; none five minutes ago."""
    apart = _falls((50.0, 3.0)) - 10.0
    apart[:31] = apart[last + 1 : 40] = NAN
    assert _rate(apart) == pytest.approx(-rate)


@pytest.mark.parametrize(
    ("values", "noise", "least"),
    [
        ([390.0, 390.1, 390.2], 0.0, 0.7),
        ([390.0, 390.25, 390.5], 0.0, 0.75),  # three last digits
        ([390.0, 391.0, 392.0], 0.0, 3.0),
        ([390.0, 390.1, 390.2], 0.0875, 0.7),  # eight times the noise
        ([390.0, 390.1, 390.2], 0.1, 0.8),
        ([390.0, NAN, 390.0], 0.0, 0.7),
    ],
)
def test_from_what_on_a_move_is_told(
    values: list[float], noise: float, least: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lost_moving, "noise_of", lambda values: noise)
    assert lost_moving.least_told(np.array(values)) == pytest.approx(least)


# where it came to


def _on(sign: float, first: float = 0.0, later: float = 100.0, rows: int = 70) -> FloatArray:
    """One at 94 beside others at 100, or at 106, that fell, or rose, by 6 K in the last minute, and was read
    for 400 s; the others came from ``first`` to 100 and go to ``later`` ten seconds after."""
    other = np.full(41 + rows, 100.0)
    other[0], other[41:] = first, later
    own = np.full(41 + rows, NAN)
    own[:41] = 100.0 - sign * (5.0 - _falls((60.0, 6.0)))
    return lost_moving.moved_further(_evidence(41 + rows), own, other, sign, 40, slice(41, 41 + rows))


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_it_goes_on_from_its_last_reading_for_ten_minutes(sign: float) -> None:
    """6 K a minute: a kelvin in ten seconds, sixty in ten minutes."""
    away = sign * (100.0 - _on(sign))
    assert away[0] == pytest.approx(7.0)
    assert away[58:61] == pytest.approx([65.0, 66.0, 66.0])


@pytest.mark.parametrize(("later", "told"), [(200.0, True), (200.1, False)])
def test_before_the_others_are_half_way_up_it_tells_nothing(later: float, told: bool) -> None:
    assert np.isfinite(_on(1.0, 0.0, later)).tolist() == [told] * 70


def test_one_that_stood_is_not_carried_so() -> None:
    own = np.array([*[94.0] * 41, NAN])
    out = lost_moving.moved_further(_evidence(42), own, np.full(42, 100.0), 1.0, 40, slice(41, 42))
    assert np.isnan(out).all()


@pytest.mark.parametrize(
    ("level", "code"), [(385.6, codes.LOST_BELOW), (386.1, None), (394.5, codes.LOST_ABOVE), (393.9, None)]
)
def test_one_that_drifted_slowly_until_it_was_lost_cannot_be_judged(level: float, code: Any) -> None:
    """T3 goes from 390.01 K at 3100 s to so far at 5500 s, evenly, and is read no more: at most 0.56 K in
    five minutes, and in ten more on by a quarter of its way: to 384.5 K or 385.1, to 395.6 K or 394.9. From
    385 to 395 K is right, and an hour is asked."""
    m = made()
    m.temps[:, 2] += np.interp(m.times, [3100.0, 5500.0], [0.0, level - 390.01])
    m.temps[m.times > 5500.0, 2] = NAN
    found = {r.code for r in judge(ASKED, m.log()).against()}
    assert found == (set() if code is None else {code.code})


# where it was read again


def _back(
    own: float, other: FloatArray, sign: float, *, before: FloatArray | None = None, stop: int = 20
) -> FloatArray:
    """Read again at 200 s, as it stands; not read from 100 s on."""
    column = np.full(other.size, NAN)
    column[:10] = other[:10] if before is None else before
    column[20:] = own
    return lost_moving.came_back(_evidence(other.size), column, other, sign, slice(10, stop), 20)


def test_it_is_carried_back_as_far_away_as_it_was_read_again() -> None:
    assert _back(384.0, np.full(60, 390.0), 1.0).tolist() == pytest.approx([384.0] * 10)
    assert _back(396.0, np.full(60, 390.0), -1.0).tolist() == pytest.approx([396.0] * 10)
    assert _back(384.0, np.full(60, 390.0), 1.0, stop=15).tolist() == pytest.approx([384.0] * 5)


def test_one_never_read_again_is_carried_back_from_nowhere() -> None:
    column = np.array([*[390.0] * 10, *[NAN] * 10])
    out = lost_moving.came_back(_evidence(20), column, np.full(20, 390.0), 1.0, slice(10, 20), 20)
    assert np.isnan(out).all()
    assert out.size == 10


def _nears(sign: float, by: float, *, others: float = 0.0, rows: int = 70) -> FloatArray:
    """Where one may have been that is first read 5 K below others at 390 K (``sign`` 1), or above (-1), and
    comes nearer by so much in a minute, then stays; the others go by so much its way within ten seconds."""
    times = np.arange(rows + 40) * 10.0
    since = times - rows * 10.0
    other = 390.0 + sign * others * np.clip(since / 10.0, 0.0, 1.0)
    own = np.where(since < 0.0, NAN, other - sign * (5.0 - by * np.clip(since / 60.0, 0.0, 1.0)))
    gone, place = lost_moving.back_at_worst(_evidence(times.size), own, other, sign, rows, 0.0)
    assert gone == slice(0, rows)
    return sign * (390.0 - place)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_it_is_carried_back_from_its_very_first_reading_as_it_moves_then(sign: float) -> None:
    """3 K in a minute: half a kelvin in ten seconds, thirty in ten minutes and none before that."""
    away = _nears(sign, 3.0)
    assert away[[69, 68, 10, 9, 0]] == pytest.approx([5.5, 6.0, 35.0, 35.0, 35.0])


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_one_that_comes_back_by_less_than_can_be_told_is_carried_back_as_before(sign: float) -> None:
    """0.7 K in a minute; or 0.69, of which the first two minutes show 4.43 K in the mean of thirteen: seven
    of 5 to 4.31, six of 4.31."""
    assert _nears(sign, 0.7)[0] == pytest.approx(5.0 + 7.0)
    assert _nears(sign, 0.69)[0] == pytest.approx((7 * 4.655 + 6 * 4.31) / 13)


@pytest.mark.parametrize(("others", "told"), [(2.0, True), (2.1, False), (-2.5, False), (-2.1, True)])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_where_the_others_go_its_way_one_that_is_late_comes_nearer_anyhow(
    sign: float, others: float, told: bool
) -> None:
    """By 3 K in a minute nearer, and its own readings by 0.5 K, less than can be told, where they go 2.5 K
    the other way; by 0.9 K where they go 2.1 K."""
    assert bool(_nears(sign, 3.0, others=others)[0] > 10.0) is told


def _cooling(late: float, *, fall: float = 2.1, seen: float = 386.0) -> bool:
    """Others that come up by a kelvin each ten seconds to 390 K, and from 100 s on go down by one; back at
    380 K at 290 s, where they were at 200 s, 90 s before. On the way up it came to that so much later."""
    times = np.arange(80) * 10.0
    other = np.where(times < 100.0, 380.0 + times / 10.0, 390.0 - (times - 100.0) / 10.0)
    other[30:] = np.maximum(other[30:], other[29] - fall)
    column = np.full(80, NAN)
    column[: int(late / 10.0)] = 379.0
    column[int(late / 10.0) : 15] = seen
    column[29:] = 380.0
    return lost_moving._as_on_the_way_up(_evidence(80), column, other, -1.0, 29)


@pytest.mark.parametrize(("late", "as_before"), [(10.0, True), (0.0, False)])
def test_one_hotter_while_all_cool_that_was_as_late_on_the_way_up_is_late(
    late: float, as_before: bool
) -> None:
    """A minute and a gap, 85 s, may lie between; 90 s do."""
    assert _cooling(late) is as_before


def test_others_that_fell_by_two_kelvin_in_five_minutes_stand() -> None:
    assert _cooling(10.0, fall=2.1)
    assert not _cooling(10.0, fall=2.0)


def test_one_that_never_was_so_hot_before_was_hot() -> None:
    assert not _cooling(10.0, seen=379.9)


@pytest.mark.parametrize(("early", "as_before"), [(10.0, True), (0.0, False)])
def test_one_colder_while_all_cool_that_was_as_early_on_the_way_up_is_early(
    early: float, as_before: bool
) -> None:
    """Others at 380 K at 50 s, and last at 290 s; back at that at 200 s, 90 s before."""
    times = np.arange(80) * 10.0
    other = np.where(times < 50.0, 375.0, np.where(times <= 290.0, 385.0, 370.0))
    column = np.full(80, NAN)
    column[:10] = np.where(times[:10] < 50.0 - early, 370.0, 380.0)
    column[20:] = 380.0
    assert lost_moving._as_on_the_way_up(_evidence(80), column, other, 1.0, 20) is as_before


def test_of_all_ways_the_worst_is_taken(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lost_moving, "moved_further", lambda *_: np.array([2.0, NAN, 1.0]))
    monkeypatch.setattr(lost_moving, "came_back", lambda *_: np.array([3.0, NAN, 0.0]))
    carried = (0, slice(1, 4), np.array([1.0, 2.0, 3.0]))
    e, none = _evidence(4), np.zeros(4)
    assert lost_moving.at_worst(e, none, none, 1.0, carried, 4).tolist() == [1.0, 2.0, 0.0]
    assert lost_moving.at_worst(e, none, none, -1.0, carried, 4).tolist() == [3.0, 2.0, 3.0]


# whole logs: in the band from 385 K to 395 K the others stand at 390 K from 2850 s on


def _said(moves: float, *, back: bool) -> tuple[Outcome, set[str]]:
    """T3, at 390.01 K, moves by so much in the minute before 4000 s, goes on to twice and stands there; from
    4010 s on, for 47 minutes or for good, it is not read, and is where the others are after that."""
    m = made()
    way = np.interp(
        m.times, [3940.0, 4000.0, 4060.0, 6700.0, 6800.0], [0.0, moves, 2 * moves, 2 * moves, 0.0]
    )
    m.temps[:, 2] += way
    m.temps[(m.times > 4000.0) & ((m.times < 6830.0) | (not back)), 2] = NAN if not back else 1645.0
    verdict = judge(ASKED, m.log())
    return verdict.outcome, {r.code for r in verdict.against()}


@pytest.mark.parametrize("back", [True, False])
@pytest.mark.parametrize(
    ("moves", "code"), [(3.0, codes.LOST_ABOVE), (-3.0, codes.LOST_BELOW), (0.5, None), (-0.5, None)]
)
def test_one_lost_three_kelvin_from_where_it_was_a_minute_before_cannot_be_judged(
    moves: float, code: Any, back: bool
) -> None:
    """It was put where it had been on average of two minutes before, and conformed."""
    outcome, found = _said(moves, back=back)
    assert found == (set() if code is None else {code.code})
    assert outcome is (Outcome.CONFORMS if code is None else Outcome.UNKNOWN)


@pytest.mark.parametrize("late", [True, False])
@pytest.mark.parametrize(
    ("by", "code"), [(2.0, codes.LOST_ABOVE), (-2.0, codes.LOST_BELOW), (0.4, None), (-0.4, None)]
)
def test_one_on_its_way_back_when_it_is_read_again_was_further_away(late: bool, by: float, code: Any) -> None:
    """T3 was hotter, or colder, by 6 K from 4000 s on, when nobody read it, or ever before; it is read again
    at 6000 s, by so much away still, and within a minute is with the others, which stand at 390 K: 2 K a
    minute are 22 K ten minutes before, and 0.4 K is less than can be told."""
    m = made()
    m.temps[:, 2] += by * np.clip((6060.0 - m.times) / 60.0, 0.0, 1.0) * (m.times >= 6000.0)
    m.temps[((m.times > 4000.0) | late) & (m.times < 6000.0), 2] = NAN if late else 1645.0
    found = {r.code for r in judge(ASKED, m.log()).against()} - {codes.READS_AGAIN.code}
    assert found == (set() if code is None else {code.code})


@pytest.mark.parametrize(
    ("off", "code"), [(-4.9, None), (-5.1, codes.LOST_BELOW), (4.9, None), (5.1, codes.LOST_ABOVE)]
)
def test_where_it_is_read_again_it_may_have_been_all_the_time(off: float, code: Any) -> None:
    """Open from 4000 s on, and read again at 6000 s so far off, where it stays; 33 min of 71 are not read."""
    m = made()
    m.temps[(m.times > 4000.0) & (m.times < 6000.0), 2] = 1645.0
    m.temps[:, 2] += off * (m.times >= 6000.0)
    found = {r.code for r in judge(ASKED, m.log()).against()}
    assert found - {codes.READS_AGAIN.code} == (set() if code is None else {code.code})
