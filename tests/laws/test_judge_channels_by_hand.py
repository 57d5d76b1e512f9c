"""Channels with another role and cells that are codes, exactly at what tells them and one step to either
side; each answer is written by hand."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_whole import NO, YES, blank, whole
from panelmend.plan.judge import ChannelRole, SegmentKind, aside, codes, no_readings, spans
from panelmend.plan.judge.log import Channel, CureLog
from panelmend.plan.judge.recipe import RecipeSegment, VacuumRule
from panelmend.plan.judge.verdict import VerdictRecorder

NAN = float("nan")


def _channel(name: str, values: Any, role: ChannelRole = ChannelRole.THERMOCOUPLE) -> Channel:
    return Channel(name, role, "temperature", np.asarray(values, float).copy())


# no program


def _kinked(kinks: int) -> np.ndarray:
    """Twenty-two readings in steps of 2 K, of whose twenty places inside so many bend, above 398 K."""
    steps = np.full(21, 2.0)
    for k in range(kinks):
        steps[-1 - k :] += 4.0
    return 400.0 + np.concatenate([[0.0], np.cumsum(steps)])


@pytest.mark.parametrize(
    ("values", "high", "answer"),
    [
        (_kinked(1), 398.0, False),  # one in twenty is still a program's
        (_kinked(2), 398.0, True),
        (
            396.0 + 2.0 * np.resize([0.0, 1.0, 0.0, -1.0], 22),
            396.0,
            False,
        ),  # at the top of the band it is in it
        (396.0 + 2.0 * np.resize([0.0, 1.0, 0.0, -1.0], 22), 395.99, True),
        (396.0 + 2.0 * np.resize([0.0, 1.0, 0.0, -1.0], 22), None, False),
    ],
)
def test_a_set_point_above_the_band_with_a_noise_of_its_own(
    values: np.ndarray, high: float | None, answer: bool
) -> None:
    segment = Made(
        kind=SegmentKind.DWELL, band_low=limit(385.0), band_high=None if high is None else limit(high)
    )
    s: Any = Made(segment=segment, found=True, spans=(spans.Span(0.0, 210.0),), end=210.0)
    log: Any = Made(times=np.arange(22) * 10.0)
    assert aside.no_program(log, values, s) is answer


def test_a_set_point_below_the_band_of_one_dwell_of_two_is_no_program(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(aside, "follows_thermocouples", lambda log, values: True)
    monkeypatch.setattr(aside, "no_program", lambda log, values, s: s.below)
    log = whole().log
    point = dataclasses.replace(log.channels[0], name="SP2", role=ChannelRole.SET_POINT)
    log = dataclasses.replace(log, channels=(*log.channels, point))
    for first, second in ((True, False), (False, True), (True, True), (False, False)):
        walked: Any = (Made(below=first), Made(below=second))
        book = blank()
        aside.weigh_points(log, book, lambda x: blank(), recipe(), walked)
        told = [f.code for f in book.findings if "SP2" in f.words]
        assert told == [codes.POINT_FOLLOWS.code] * (first or second)


# gauges


@pytest.mark.parametrize(
    ("most", "ambient", "said"),
    [
        (35e3, NAN, "with its readings"),  # half of the least vacuum: a pumped bag
        (34.99e3, NAN, "it never showed more"),
        (150e3, 100e3, "with its readings"),  # once and a half the air: still one
        (150.01e3, 100e3, "more than the air can give"),
        (30e3, 20e3, "it never showed more"),
        (30.01e3, 20e3, "more than the air can give"),
    ],
)
def test_a_gauge_with_another_role_on_a_pumped_bag(most: float, ambient: float, said: str) -> None:
    log = whole().log
    values = np.zeros(len(log))
    values[100] = -most  # read the other way round it is as strong
    gauge = Channel("G2", ChannelRole.VACUUM, "pressure", values)
    log = dataclasses.replace(log, set_aside=(gauge,), ambient=ambient)
    book = blank()
    book.enter(YES, "it", "as it was found")
    asked: list[CureLog] = []

    def applied(other: CureLog) -> VerdictRecorder:
        asked.append(other)
        against = blank()
        against.enter(NO, "vacuum", "too low")
        return against

    aside.weigh_gauges(log, book, applied, recipe(vacuum=VacuumRule(limit(70e3))), ())
    assert said in book.findings[0].words
    pumped = said == "with its readings"
    assert [len(x.channels) - len(log.channels) for x in asked] == [1] * pumped
    assert len(book.reasons) == 1 + pumped


# what follows the heat, and what is a program


def test_a_channel_follows_where_it_is_more_alike_than_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    log = whole().log
    middle = log.of_role(ChannelRole.THERMOCOUPLE)[0].values
    other = middle + 5.0 * np.sin(np.arange(middle.size))
    found: list[float] = []
    alike = np.corrcoef

    def heard(*given: Any) -> Any:
        out = alike(*given)
        found.append(float(out[0, 1]))
        return out

    with monkeypatch.context() as patch:
        patch.setattr(aside, "ALIKE", 2.0)
        patch.setattr(np, "corrcoef", heard)
        assert not aside.follows_thermocouples(log, other)
    assert len(found) == 5  # at once, and 10, 20, 30 and 40 minutes late
    assert max(found) == found[0] > 0.9
    monkeypatch.setattr(aside, "ALIKE", found[0])
    assert not aside.follows_thermocouples(log, other)
    monkeypatch.setattr(aside, "ALIKE", float(np.nextafter(found[0], 0.0)))
    assert aside.follows_thermocouples(log, other)


@pytest.mark.parametrize(("top", "answer"), [(390.0, True), (350.0, False)])
def test_a_program_is_held_against_the_hottest_dwell(top: float, answer: bool) -> None:
    """In whole kelvins; one that stands in the band of the cooler dwell alone does not ask for this cure."""
    whole_recipe = recipe(dwell={"band_high": limit(395.0)})
    first = RecipeSegment(
        "first",
        SegmentKind.DWELL,
        350.0,
        band_low=limit(345.0),
        band_high=limit(355.0),
        dwell_least=limit(60.0),
    )
    up, hold, down = whole_recipe.segments
    cycle = dataclasses.replace(
        whole_recipe, segments=(dataclasses.replace(up, name="to it", target=350.0), first, up, hold, down)
    )
    program = np.interp(np.arange(250.0), [10.0, 60.0, 110.0, 150.0], [300.0, 350.0, 350.0, 390.0])
    beside = np.concatenate([np.full(15, 300.0), program[:-15]]) + np.resize([2.0, -2.0], 250)
    couples = tuple(_channel(f"T{i}", beside + i) for i in range(2))
    assert aside.programmed(np.minimum(program, top), couples, cycle) is answer


def test_a_bend_is_more_than_the_last_digit(monkeypatch: pytest.MonkeyPatch) -> None:
    """And a hundredth of it; here that comes to 2 K exactly."""
    monkeypatch.setattr(aside, "digit_of", lambda v: 2.0 / 1.01)
    assert aside._bends(np.array([400.0, 401.0, 400.0, 401.0])) == 0.0
    assert aside._bends(np.array([400.0, 401.0, 399.75, 401.0])) == 1.0
    assert aside._bends(np.array([400.0, 401.0, 400.0, 401.5])) == 0.5


@pytest.mark.parametrize(
    ("values", "count"),
    [
        ([400.0, 402.0, 401.0], 1),  # a line that rises by 1 K a reading just meets both
        ([400.0, 402.0, 400.9], 2),
        ([400.0, 404.0, 401.0, 401.0], 2),  # the second falls by 3 K a reading, by 2 at the least
        ([400.0, 404.0, 401.0, 401.1], 3),
        ([400.0, 404.0, 401.0, 397.0], 2),  # by 4 K at the most
        ([400.0, 404.0, 401.0, 393.9], 3),
    ],
)
def test_how_many_straight_pieces_follow_a_channel(
    values: list[float], count: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """To one kelvin, each piece from the reading at which the last one ended."""
    monkeypatch.setattr(aside, "digit_of", lambda v: 1.0 / 1.01)
    assert aside._pieces(np.asarray(values)) == count


def test_a_piece_is_a_hundredth_of_a_digit_wider_than_its_last_digit(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(aside, "digit_of", lambda v: 1.0)
    assert aside._pieces(np.array([400.0, 402.0, 400.98])) == 1
    assert aside._pieces(np.array([400.0, 402.0, 400.96])) == 2
    monkeypatch.setattr(aside, "digit_of", lambda v: 2.0)
    assert aside._pieces(np.array([400.0, 404.0, 402.0])) == 1
    assert aside._pieces(np.array([400.0, 404.0, 401.9])) == 2


@pytest.mark.parametrize(
    ("top", "pieces", "digit", "answer"),
    [
        (395.0, 11, 1.0, True),  # within the band nothing more is asked
        (395.01, 10, 0.3, True),  # two for each segment, and four
        (395.01, 11, 0.3, False),
        (395.01, 10, 0.31, False),
    ],
)
def test_a_program_above_the_band_in_few_straight_pieces(
    top: float, pieces: int, digit: float, answer: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(aside, "_pieces", lambda v: pieces)
    monkeypatch.setattr(aside, "digit_of", lambda v: digit)
    bends = iter([0.0, 1.0])
    monkeypatch.setattr(aside, "_bends", lambda v: next(bends))
    program = np.minimum(300.0 + np.arange(150.0), top)
    couple = _channel("T1", np.concatenate([np.full(10, 300.0), program[:-10]]))
    assert aside.programmed(program, (couple,), recipe(dwell={"band_high": limit(395.0)})) is answer


# cells that are no readings


def test_what_the_air_can_just_give_is_a_reading_beside_a_missing_one() -> None:
    few = np.full(200, 80e3)
    few[:3] = (NAN, 120e3, -120e3)
    assert not no_readings.no_vacuum(few).any()
    few[:3] = (NAN, 120.001e3, -120.001e3)
    assert np.flatnonzero(no_readings.no_vacuum(few)).tolist() == [1, 2]
    few[:3] = (NAN, 101e3, -120e3)
    assert not no_readings.no_vacuum(few, 101e3).any()
    few[1] = 101.001e3
    assert np.flatnonzero(no_readings.no_vacuum(few, 101e3)).tolist() == [1]


@pytest.mark.parametrize(
    ("first", "second", "none"),
    [
        (500.0, 500.0, False),  # at the end of what they can read it is a reading
        (500.001, 500.001, True),
        (200.0, 200.0, False),
        (199.999, 199.999, True),
        (500.001, 500.002, False),  # not one value
    ],
)
def test_rows_in_which_all_thermocouples_say_one_thing(first: float, second: float, none: bool) -> None:
    temps = np.full((30, 2), 300.0)
    temps[7] = first, second
    log = CureLog(np.arange(30) * 10.0, (_channel("T1", temps[:, 0]), _channel("T2", temps[:, 1])))
    made = no_readings.without_codes(log, 101e3, 200.0, 500.0)
    for channel in made.channels:
        assert np.flatnonzero(np.isnan(channel.values)).tolist() == [7] * none
    assert (made is log) is not none
