"""Thermocouples that stopped at one value in a dwell: what is carried on, and what jumps, at the very edges.
Readings are ten seconds apart, and a gap is longer than 25 s; each figure is reckoned by hand."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_lost import made
from judge_readings import book_of, dwell, shown, stretch
from panelmend.plan.judge import Outcome, codes, judge, stays
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.spans import Span

NAN = float("nan")
ROWS = 201


def _ripple(value: float = 390.0, rows: int = ROWS) -> FloatArray:
    """Readings [K] that no two rows repeat, and that go to and fro between no two."""
    return value + 1e-3 * np.mod(np.linspace(0.0, rows - 1.0, rows), 3.0)


def _stays(values: FloatArray, start: float = 0.0, end: float = 2000.0, step: float = 10.0) -> list[Any]:
    e: Any = Made(times=np.arange(values.size) * step)
    return [(x.start, x.stop) for x in stays.stays(e, values, start, end)]


# what is a stay


@pytest.mark.parametrize(("last", "found"), [(80, [(20, 81)]), (79, [])])
def test_ten_minutes_are_a_stay(last: int, found: list[Any]) -> None:
    values = _ripple()
    values[20 : last + 1] = 390.5
    assert _stays(values) == found


@pytest.mark.parametrize(("last", "found"), [(26, [(20, 27)]), (25, [])])
def test_six_steps_are_a_stay(last: int, found: list[Any]) -> None:
    """Two minutes apart, 12 min; or ten."""
    values = _ripple(rows=40)
    values[20 : last + 1] = 391.0
    assert _stays(values, end=4000.0, step=120.0) == found


@pytest.mark.parametrize(
    ("start", "end", "told"),
    [(900.0, 2000.0, True), (901.0, 2000.0, False), (0.0, 200.0, True), (0.0, 199.0, False)],
)
def test_a_stay_touches_the_time_that_is_looked_at(start: float, end: float, told: bool) -> None:
    """From 200 s to 900 s."""
    values = _ripple()
    values[20:91] = 391.0
    assert bool(_stays(values, start, end)) is told


def test_each_stay_is_found_and_rows_without_a_reading_end_none() -> None:
    values = _ripple()
    values[20:91] = 391.0
    values[100:181] = 392.0
    values[150] = NAN
    assert _stays(values) == [(20, 91), (100, 181)]
    assert _stays(np.full(30, NAN)) == []


def _after(*before: float, stood: int = 31, step: float = 10.0) -> bool:
    """Whether so many readings are a stay, of 390 K after the last of some that are so much above it."""
    values = _ripple(300.0, 120)
    values[20 - len(before) : 20] = 390.0 + np.array(before)
    values[20 : 20 + stood] = 390.0
    return bool(_stays(values, end=1e5, step=step))


@pytest.mark.parametrize(("stood", "told"), [(31, True), (30, False)])
def test_after_a_steep_way_five_minutes_are_a_stay(stood: int, told: bool) -> None:
    assert _after(0.7, 0.6, 0.5, 0.4, 0.2, 0.1, stood=stood) is told
    assert _after(-0.7, -0.6, -0.5, -0.4, -0.2, -0.1, stood=stood) is told


@pytest.mark.parametrize(("most", "told"), [(0.7, True), (0.69, False)])
def test_a_way_is_steep_that_can_be_told_in_the_last_minute(most: float, told: bool) -> None:
    assert _after(most, 0.6, 0.5, 0.4, 0.2, 0.1) is told
    assert not _after(most, 0.6, 0.6, 0.5, 0.4, 0.2, 0.1), "seventy seconds"


def test_a_single_step_is_no_steep_way() -> None:
    assert not _after(3.0, 3.0, 3.0, 3.0, 3.0, 3.0)
    assert _after(3.0, 3.0, 3.0, 3.0, 3.0, 2.9)


@pytest.mark.parametrize(("stood", "told"), [(7, True), (6, False)])
def test_a_short_stay_is_told_by_three_readings_in_a_minute(stood: int, told: bool) -> None:
    """Fifty seconds apart five minutes are six steps; but a minute is one, which tells of no steep way."""
    assert not _after(3.0, 2.0, stood=stood, step=50.0)
    assert _after(3.0, 2.0, stood=stood + 4, step=30.0) is told


def _flickers(stay: Any, digit: float = 0.1) -> FloatArray:
    """Readings in tenths that go up by three of them in each row; those from the 21st on as given, after a
    minute near them."""
    values = np.round(390.0 + digit * (3 * np.arange(220) % 100), 4)
    values[13:20] = np.round(380.0 + digit * (6.0 - 2.0 * (np.arange(7) % 2)), 4)
    values[20 : 20 + stay.size] = np.round(380.0 + digit * stay, 4)
    return values


@pytest.mark.parametrize("up", [0.0, 1.0])
def test_to_and_fro_between_two_a_last_digit_apart_is_a_stay(up: float) -> None:
    """Sixty-one rows, ten minutes; of two values two digits apart, or of three, none."""
    rows = np.arange(61)
    assert _stays(_flickers(up + rows % 2)) == [(20, 81)]
    assert _stays(_flickers(up + (rows // 7) % 2)) == [(20, 81)]
    assert _stays(_flickers(up + rows[:-1] % 2)) == []
    assert _stays(_flickers(up + 2.0 * (rows % 2))) == []
    assert _stays(_flickers(up + rows % 3)) == []


@pytest.mark.parametrize(("digit", "told"), [(0.01, True), (1 / 18, True), (0.1, True), (0.11, False)])
def test_in_steps_wider_than_a_tenth_a_place_comes_to_rest_so(digit: float, told: bool) -> None:
    assert bool(_stays(_flickers(np.arange(61) % 2.0, digit))) is told


@pytest.mark.parametrize(("last", "found"), [(1.0, []), (0.0, [(20, 81)])])
def test_one_step_of_the_last_digit_is_no_flicker(last: float, found: list[Any]) -> None:
    """Five minutes at one value and five at the next creep; back in the last row is to and fro."""
    stay = np.repeat([0.0, 1.0], [31, 30])
    stay[-1] = last
    assert _stays(_flickers(stay)) == found


def test_one_value_for_ten_minutes_within_a_flicker_is_a_stay_too() -> None:
    stay = np.concatenate([np.arange(15) % 2, np.zeros(61), 1 - np.arange(14) % 2])
    assert _stays(_flickers(stay)) == [(34, 96), (20, 110)], "with the last 0 of the flicker before it"


# what jumps


def _jump(by: float, *, moved: float = 0.0, at: int = 91, silent: int = 0, gap: float = 25.0) -> float:
    """Stood until 900 s, and goes on so much further up; another moves in the row ``at``."""
    column, other = _ripple(), np.full((ROWS, 2), 390.0)
    stay = slice(20, 91)
    column[91:] += by
    column[20], column[21:91] = 390.0, NAN
    column[91 : 91 + silent] = NAN
    other[at, 1] += moved
    e: Any = Made(times=np.arange(ROWS) * 10.0, gap=gap)
    return stays.jump_after(e, column, other, stay)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_kelvin_is_a_jump(sign: float) -> None:
    assert _jump(sign - 1e-3) == pytest.approx(sign)
    assert _jump(sign * 0.99 - 1e-3) == 0.0


def test_more_than_the_others_move_in_five_minutes_is_a_jump() -> None:
    """To five minutes after the next reading, at 910 s; and the same way."""
    for row, counts in ((91, True), (121, True), (122, False), (89, False)):
        assert bool(_jump(1.9, moved=1.0, at=row)) is not counts
        assert _jump(2.1, moved=1.0, at=row) != 0.0
        assert _jump(1.9, moved=-1.0, at=row) != 0.0


def test_a_hole_behind_a_stay_says_nothing_of_a_jump() -> None:
    assert _jump(5.0, silent=1) == 0.0
    assert _jump(5.0, gap=10.0) != 0.0
    assert _jump(5.0, gap=9.0) == 0.0


def test_a_stay_to_the_end_has_no_jump() -> None:
    column = np.full(ROWS, NAN)
    column[0] = 390.0
    e: Any = Made(times=np.arange(ROWS) * 10.0, gap=25.0)
    assert stays.jump_after(e, column, np.full((ROWS, 1), 390.0), slice(0, ROWS)) == 0.0


def test_a_jump_is_told_by_the_last_digit_and_the_noise(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(stays, "least_told", lambda column: 3.0)
    assert _jump(3.0) != 0.0
    assert _jump(2.9) == 0.0


# what is carried on


@pytest.mark.parametrize(("place", "told"), [(395.0, False), (395.1, True)])
def test_a_place_above_the_least_of_the_tops(place: float, told: bool) -> None:
    s = stretch(dwell(band_high=limit(395.0), ceiling=limit(400.0)), 0.0, 100.0)
    found = stays._hotter(s, np.array([390.0, NAN, place]), recipe(ceiling=limit(397.0)))
    assert (None if found is None else found[0].value) == (395.0 if told else None)
    assert stays._hotter(s, np.array([NAN]), recipe()) is None
    assert stays._hotter(stretch(dwell(), 0.0, 100.0), np.array([500.0]), recipe()) is None


@pytest.mark.parametrize(("least", "place", "told"), [
    (400.0, 384.9, True),  # at 385 K 0.2 s after the last below it, at 400 s: 399.8 s
    (390.0, 384.9, False),
    (400.0, 385.1, False),
    (601.0, 384.9, False),  # too short anyway
])  # fmt: skip
def test_a_place_below_the_band_takes_its_time_from_the_dwell(least: float, place: float, told: bool) -> None:
    e = shown(_ripple(rows=81), _ripple(391.0, 81))
    s = stretch(dwell(dwell_least=limit(least)), 200.0, 800.0, Span(200.0, 800.0))
    found = stays._colder(e, s, slice(21, 41), np.full(20, place))
    assert (found is not None) is told


def _said(
    *, top: bool = True, moves: float, stands: float = 47.0, jump: float = 0.0, flicker: float = 0.0
) -> Any:
    """T3 at 390.01 K moves by so much in the minute before 4000 s, stands for so many minutes, or goes to and
    fro between two values every two readings, goes on with a jump and comes back to the others in ten
    minutes."""
    m = made()
    until = 4000.0 + 60.0 * stands
    m.temps[:, 2] += 0.15 * np.sin(m.times / 40.0) * (flicker > 0.0)
    m.temps[:, 2] += np.interp(m.times, [3940.0, 4000.0, until, until + 600.0], [0.0, moves, moves, 0.0])
    stood = (m.times >= 4000.0) & (m.times <= until)
    m.temps[stood, 2] = 390.01 + moves + flicker * (np.arange(stood.sum()) // 2 % 2)
    m.temps[:, 2] += np.interp(m.times, [until + 10.0, until + 610.0], [jump, 0.0]) * (m.times > until)
    if flicker:
        m.temps[:, 2] = np.round(m.temps[:, 2] - 0.01, 1)
    asked = recipe(dwell={"band_high": limit(395.0)} if top else {})
    return judge(asked, m.log())


@pytest.mark.parametrize(
    ("moves", "stands", "jump", "code"),
    [
        (3.0, 10.0, 0.0, codes.STOOD_MOVING),
        (-3.0, 20.0, 0.0, codes.STOOD_MOVING),
        (3.0, 9.0, 0.0, codes.STOOD_MOVING),  # five minutes after a steep way
        (3.0, 4.0, 0.0, None),
        (3.0, 9.0, 2.0, codes.STOOD_MOVING),  # a jump counts after ten
        (3.0, 10.0, 2.0, codes.STOOD_JUMPED),
        (0.5, 47.0, 0.0, None),
        (0.0, 47.0, 0.0, None),
        (0.0, 30.0, 2.0, codes.STOOD_JUMPED),
        (0.0, 30.0, -2.0, codes.STOOD_JUMPED),
        (0.0, 9.0, 2.0, None),
    ],
)
def test_a_stay_is_no_milder_than_a_loss(moves: float, stands: float, jump: float, code: Any) -> None:
    verdict = _said(moves=moves, stands=stands, jump=jump)
    assert [r.code for r in verdict.against()] == ([] if code is None else [code.code])
    assert verdict.outcome is (Outcome.CONFORMS if code is None else Outcome.UNKNOWN)


@pytest.mark.parametrize(
    ("moves", "stands", "flicker", "jump", "code"),
    [
        (3.0, 10.0, 1.0, 0.0, codes.STOOD_MOVING),
        (-3.0, 20.0, 1.0, 0.0, codes.STOOD_MOVING),
        (3.0, 4.0, 1.0, 0.0, None),
        (0.5, 47.0, 1.0, 0.0, None),
        (0.0, 47.0, 1.0, 0.0, None),
        (3.0, 20.0, 2.0, 0.0, None),  # two last digits: a place that is read
        (0.0, 30.0, 1.0, 2.0, codes.STOOD_JUMPED),
        (0.0, 9.0, 1.0, 2.0, None),
    ],
)
def test_a_hang_whose_last_digit_flickers_is_a_stay(
    moves: float, stands: float, flicker: float, jump: float, code: Any
) -> None:
    """In tenths, and waves of 0.15 K in four minutes."""
    verdict = _said(moves=moves, stands=stands, jump=jump, flicker=0.1 * flicker)
    assert [r.code for r in verdict.against()] == ([] if code is None else [code.code])


def test_without_a_top_nothing_was_too_hot() -> None:
    assert _said(top=False, moves=3.0).outcome is Outcome.CONFORMS


def test_one_alone_and_one_that_counts_as_lost_are_told_by_other_rules(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    called: list[int] = []
    monkeypatch.setattr(stays, "_weigh", lambda e, book, s, at, kept, stay, recipe: called.append(at))
    stood = np.full(81, 390.0)
    s = stretch(dwell(), 0.0, 800.0, Span(0.0, 800.0))
    for columns, lost, told in (
        ((stood, _ripple(391.0, 81)), (), [0]),
        ((stood, _ripple(391.0, 81)), (("T1", 800.0),), []),
        ((stood,), (), []),
    ):
        called.clear()
        e = dataclasses.replace(shown(*columns), lost_at=lost)
        stays.weigh_stays(e, book_of(e), (s,), recipe())
        assert called == told
    called.clear()
    e = shown(stood, _ripple(391.0, 81))
    stays.weigh_stays(e, book_of(e), (dataclasses.replace(s, found=False),), recipe())
    assert called == []


@pytest.mark.parametrize("stuck", [True, False])
def test_one_stuck_by_its_noise_is_carried_as_a_lost_one_at_rest_too(
    stuck: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its own place stays as far away; at 396 K it may have been above the top."""
    monkeypatch.setattr(
        stays, "place_of_lost", lambda e, c, o, sign, last, gone: np.full(60, 390.0 - 6.0 * sign)
    )
    fault = Made(
        sensor_lost=False, channel="T1", time=200.0 if stuck else 210.0, until=800.0, doubt=True,
        reckoned=False,
        finding=Made(code=codes.STUCK.code),
    )  # fmt: skip
    own = _ripple()
    own[20:81] = 390.0
    e = shown(own, _ripple(391.0), faults=(fault,))
    book = book_of(e)
    s = stretch(dwell(band_high=limit(395.0), dwell_least=limit(1800.0)), 0.0, 2000.0, Span(0.0, 2000.0))
    stays._weigh(e, book, s, 0, [1], slice(20, 81), recipe())
    assert [(r.code, r.time) for r in book.reasons] == [(codes.STOOD_MOVING.code, 200.0)] * (2 * stuck)


@pytest.mark.parametrize(
    ("digit", "away", "told"), [(1.0, 3.0, True), (1.0, 2.0, False), (0.1, 2.0, True), (0.1, 3.0, True)]
)
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_in_whole_degrees_only_one_apart_from_the_others_is_told_from_one_that_came_to_rest(
    digit: float, away: float, told: bool, sign: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Beside another that changes by its last digit, below or above it; carried on, it breaks a limit."""
    monkeypatch.setattr(
        stays,
        "moved_further",
        lambda e, c, o, s, last, gone: np.full(60, 390.0 - 10.0 * s if s == sign else np.nan),
    )
    other = 390.0 + digit * (np.arange(ROWS) % 2)
    own = other - sign * away
    own[20:81] = own[20]
    e = shown(own, other)
    book = book_of(e)
    s = stretch(dwell(band_high=limit(395.0), dwell_least=limit(1800.0)), 0.0, 2000.0, Span(0.0, 2000.0))
    stays._weigh(e, book, s, 0, [1], slice(20, 81), recipe())
    assert [r.code for r in book.reasons] == [codes.STOOD_MOVING.code] * told
