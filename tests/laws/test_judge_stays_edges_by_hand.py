"""Thermocouples that stopped at one value, or that moved when they were lost: which stays are weighed,
and limits that stand exactly where a log can. Readings are ten seconds apart; figures reckoned by hand."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import book_of, dwell, shown, stretch
from panelmend.plan.judge import Outcome, codes, lost_moving, stays
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.spans import Span

NAN = float("nan")
ROWS = 201
LEAST = 0.7


def _ripple(value: float = 390.0, rows: int = ROWS) -> FloatArray:
    """Readings [K] that no two rows repeat."""
    return value + 1e-3 * np.mod(np.linspace(0.0, rows - 1.0, rows), 3.0)


def _dwell(**more: Any) -> Any:
    """All of the log, in the band throughout, with a top of 395 K and half an hour to keep."""
    given: dict[str, Any] = {"band_high": limit(395.0), "dwell_least": limit(1800.0)} | more
    return stretch(dwell(**given), 0.0, 2000.0, Span(0.0, 2000.0))


# which stays are weighed


@pytest.mark.parametrize(
    ("found", "told", "weighed"),
    [
        ([(20, 40), (40, 60)], True, 2),  # one ends where the next begins
        ([(40, 60), (20, 40)], True, 2),
        ([(20, 40), (50, 60)], True, 2),
        ([(50, 60), (20, 40)], True, 2),
        ([(20, 40), (39, 60)], True, 1),  # they share a row: told once
        ([(39, 60), (20, 40)], True, 1),
        ([(20, 40), (25, 30)], True, 1),
        ([(20, 40), (39, 60)], False, 2),  # nothing was told of the first
    ],
)
def test_a_stay_that_shares_rows_with_one_that_was_told_is_not_told_again(
    found: list[tuple[int, int]], told: bool, weighed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[slice] = []

    def weigh(e: Any, book: Any, s: Any, at: int, kept: Any, stay: slice, asked: Any) -> None:
        seen.append(stay)
        if told:
            book.enter(Outcome.UNKNOWN, "any", "words", code=codes.STOOD_MOVING)

    def two(e: Any, values: FloatArray, start: float, end: float) -> list[slice]:
        return [slice(a, b) for a, b in found] if values[0] == 390.0 else []

    monkeypatch.setattr(stays, "stays", two)
    monkeypatch.setattr(stays, "_weigh", weigh)
    e = shown(_ripple(), _ripple(391.0))
    stays.weigh_stays(e, book_of(e), (_dwell(),), recipe())
    assert len(seen) == weighed


# what becomes of one


def _weighed(
    stay: slice, *, faults: Any = (), jump: float = 0.0, until: float = np.inf, monkeypatch: Any
) -> list[tuple[Any, str]]:
    """What is told of T1 that stood so; carried on as it moved it goes nowhere, as a lost one above 395 K."""
    monkeypatch.setattr(stays, "jump_after", lambda *_: jump)
    monkeypatch.setattr(
        stays,
        "place_of_lost",
        lambda e, c, o, sign, last, gone: np.full(gone.stop - gone.start, 390.0 - 6.0 * sign),
    )
    own = _ripple()
    own[stay] = 390.0
    e = shown(own, _ripple(391.0), faults=faults)
    book = book_of(e)
    s = dataclasses.replace(_dwell(dwell_least=limit(1e5)), until=until, end=min(2000.0, until))
    stays._weigh(e, book, s, 0, [1], stay, recipe())
    return [(r.code, r.words) for r in book.reasons]


def _fault(*, code: Any = codes.STUCK, channel: str = "T1", time: float = 200.0, doubt: bool = True) -> Any:
    finding = Made(code=code.code)
    return Made(
        sensor_lost=False,
        channel=channel,
        time=time,
        until=800.0,
        doubt=doubt,
        reckoned=False,
        finding=finding,
    )


@pytest.mark.parametrize(
    ("faults", "stuck"),
    [
        ((_fault(),), True),
        ((_fault(), _fault(channel="T2")), True),  # one of several
        ((_fault(channel="T2"),), False),
        ((_fault(doubt=False),), False),  # sure: it counts as lost, which another rule weighs
        ((_fault(code=codes.JUMPED),), False),
        ((), False),
    ],
)
def test_who_is_stuck_by_its_noise(faults: Any, stuck: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    found = _weighed(slice(20, 81), faults=faults, monkeypatch=monkeypatch)
    assert [code for code, _ in found] == [codes.STOOD_MOVING.code] * stuck
    assert all(words.startswith("T1 stood at 116.9 C for 10 min; carried on") for _, words in found)


@pytest.mark.parametrize(("stop", "told"), [(81, True), (80, False)])
def test_a_jump_counts_after_ten_minutes(stop: int, told: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """From 200 s to 800 s, or to 790 s."""
    found = _weighed(slice(20, stop), jump=2.0, monkeypatch=monkeypatch)
    assert [code for code, _ in found] == [codes.STOOD_JUMPED.code] * told


@pytest.mark.parametrize(("until", "told"), [(200.0, False), (210.0, True)])
def test_one_that_stopped_as_the_heat_ended_is_carried_nowhere(
    until: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It reads last at 200 s."""
    found = _weighed(slice(20, 81), faults=(_fault(),), until=until, monkeypatch=monkeypatch)
    assert [code for code, _ in found] == [codes.STOOD_MOVING.code] * told


@pytest.mark.parametrize(
    ("least", "told"),
    [
        (600.0, True),  # as long as it was in the band, by what was read
        (600.1, False),  # too short anyway
        (395.0004, True),
        (395.000385, False),  # so long is left
    ],
)
@pytest.mark.parametrize("summed", [True, False])
def test_a_place_below_the_band_takes_its_time(least: float, told: bool, summed: bool) -> None:
    """From 200 s to 800 s, at 380 K to 400 s and at 390 K at 410 s: at 385 K less a millionth of
    that, 0.000385 K, half way between them less 0.000385 s. In the band to 100 s too, which is before it."""
    own = np.full(81, 390.0)
    own[11:20] = 300.0
    e = shown(own, _ripple(391.0, 81))
    s = stretch(dwell(dwell_least=limit(least), summed=summed), 200.0, 800.0, Span(200.0, 800.0))
    found = stays._colder(e, s, slice(20, 41), np.full(21, 380.0))
    assert (found is not None) is told


def test_what_is_told_apart_from_the_top_has_the_digits_for_it() -> None:
    """120.003 C beside 120 C."""
    s = stretch(dwell(band_high=limit(393.15)), 0.0, 100.0)
    found = stays._hotter(s, np.array([393.153]), recipe())
    assert found is not None
    assert found[1] == "its place may have come to 120.003 C, most 120.000 C"


# how one moved that was lost


def _falls(*ways: tuple[float, float], rows: int = 41) -> FloatArray:
    """Readings to the last: nothing, less what is fallen in the last so many seconds, evenly."""
    since = (np.arange(rows) - (rows - 1.0)) * 10.0
    return np.asarray(-sum(by * np.clip(since / seconds + 1.0, 0.0, 1.0) for seconds, by in ways))


def _rate(apart: FloatArray, own: FloatArray | None = None, gap: float = 25.0) -> float:
    own = apart if own is None else own
    times = np.arange(apart.size) * 10.0
    return lost_moving.steepest_way(times, gap, own, apart, apart.size - 1, LEAST)


@pytest.mark.parametrize(("gap", "rate"), [(20.0, 3.0 / 80.0), (19.0, 0.0)])
def test_a_reading_as_far_back_as_a_gap_tells_a_way(gap: float, rate: float) -> None:
    """The last but one is 80 s before the last: a minute and 20 s."""
    apart = _falls((50.0, 3.0)) - 10.0
    apart[:32] = apart[33:40] = NAN
    assert _rate(apart, gap=gap) == pytest.approx(-rate)


@pytest.mark.parametrize(("others", "rate"), [(2.0, 0.75 / 1200.0), (2.0078125, 0.0)])
def test_others_that_fell_by_two_kelvin_in_twenty_minutes_stand(others: float, rate: float) -> None:
    """Of figures that are exact in halves."""
    apart = _falls((1200.0, 0.75), rows=161) - 5.0
    assert _rate(apart, apart + _falls((1200.0, others), rows=161)) == pytest.approx(-rate, abs=1e-12)


def test_over_five_minutes_it_does_not_matter_what_the_others_do() -> None:
    """It falls by 0.7 K from others that fall by 2.1 K."""
    apart = _falls((300.0, 0.7)) - 10.0
    assert _rate(apart, apart + _falls((300.0, 2.1))) == pytest.approx(-0.7 / 300.0)


@pytest.mark.parametrize(("last", "rate"), [(0.6, 0.0), (0.7, 0.7 / 60.0)])
def test_one_on_the_far_side_that_went_further_away_before_is_told_by_its_last_way_alone(
    last: float, rate: float
) -> None:
    """5 K further in five minutes, and nearer by so much in the last."""
    apart = 20.0 - _falls((300.0, 5.0)) + _falls((60.0, last))
    apart[-7:-1] = apart[-7]  # of the last minute all in one step
    apart[-1] = apart[-7] - last
    assert _rate(apart, _falls((60.0, 3.0))) == pytest.approx(-rate, abs=1e-12)


@pytest.mark.parametrize(("last", "rate"), [(0.3, 0.0), (0.7, 0.7 / 60.0)])
def test_one_on_the_far_side_that_was_not_read_five_minutes_ago_was_at_rest(last: float, rate: float) -> None:
    """Read ten minutes ago, and in the last minute, in which it falls by 1 K itself."""
    apart = _falls((60.0, last), rows=121) + 5.0
    apart[61:114] = NAN
    assert _rate(apart, _falls((60.0, 1.0), rows=121)) == pytest.approx(-rate, abs=1e-12)


@pytest.mark.parametrize(("later", "told"), [(150.0, True), (150.1, False)])
def test_half_of_the_way_up_is_counted_from_the_coldest(later: float, told: bool) -> None:
    """From 50 K to 100 K, of so much."""
    other = np.full(50, 100.0)
    other[0], other[41:] = 50.0, later
    own = other - 5.0
    own[:41] += _falls((60.0, 6.0))
    own[41:] = NAN
    e: Any = Made(times=np.arange(50) * 10.0, gap=25.0)
    place = lost_moving.moved_further(e, own, other, 1.0, 40, slice(41, 50))
    assert np.isfinite(place).tolist() == [told] * 9


def test_others_that_never_were_colder_are_up() -> None:
    """They come down to 100 K with its last reading, the coldest of all, and stay."""
    other = np.full(50, 120.0)
    other[40:] = 100.0
    own = other - 5.0
    own[:41] += _falls((60.0, 6.0))
    own[41:] = NAN
    e: Any = Made(times=np.arange(50) * 10.0, gap=25.0)
    place = lost_moving.moved_further(e, own, other, 1.0, 40, slice(41, 50))
    assert place[0] == pytest.approx(100.0 - 11.0 - 1.0)


@pytest.mark.parametrize(("count", "least"), [(3999, 0.75), (4000, 3.0)])
def test_of_four_thousand_readings_every_second_one_tells_the_last_digit(
    count: int, least: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each second one in whole degrees, and the others a quarter above them; three last digits are asked."""
    monkeypatch.setattr(lost_moving, "noise_of", lambda values: 0.0)
    rows = np.arange(count)
    assert lost_moving.least_told(390.0 + rows // 2 % 3 + 0.25 * (rows % 2)) == pytest.approx(least)


# where it was read again


@pytest.mark.parametrize(("by", "place"), [(0.7, 384.65), (0.6, 385.03)])
def test_one_that_comes_back_in_twenty_minutes_is_carried_back_so(by: float, place: float) -> None:
    """First read at 700 s, 5 K below others at 390 K, and nearer by so much twenty minutes later: half of
    0.7 K further away in ten minutes. 0.6 K cannot be told: where it was in the mean of two minutes, a
    twentieth of its way."""
    times = np.arange(70 + 121) * 10.0
    own = 385.0 + by * np.clip((times - 700.0) / 1200.0, 0.0, 1.0)
    own[:70] = NAN
    e: Any = Made(times=times, gap=25.0)
    _, found = lost_moving.back_at_worst(e, own, np.full(191, 390.0), 1.0, 70, 0.0)
    assert found[0] == pytest.approx(place)


@pytest.mark.parametrize(("gap", "as_before"), [(30.0, True), (29.0, False)])
def test_a_minute_and_a_gap_may_lie_between_the_way_up_and_the_way_down(gap: float, as_before: bool) -> None:
    """Others come up by a kelvin each ten seconds to 390 K, and from 100 s on go down by one; at 380 K at
    200 s, and one that was as early there is read at that at 290 s: 90 s later."""
    times = np.arange(80) * 10.0
    other = np.where(times < 100.0, 380.0 + times / 10.0, 390.0 - (times - 100.0) / 10.0)
    column = np.full(80, NAN)
    column[:15] = 386.0
    column[29:] = 380.0
    e: Any = Made(times=times, gap=gap)
    assert lost_moving._as_on_the_way_up(e, column, other, -1.0, 29) is as_before
