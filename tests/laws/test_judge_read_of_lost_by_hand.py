"""What a lost thermocouple did read, where the data allow one that is lost: single readings of a loose
contact, and the first ones of a thermocouple that was plugged in late. Each outcome is written by hand."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from judge_whole import NO, OPEN, YES
from made_curelog import Made
from panelmend.plan.judge import CureRecipe, SensorRule, Verdict, codes, judge, lost_read
from panelmend.plan.judge.verdict import Outcome

NAN = float("nan")


def _apart(by: float, rows: slice | None = None, gone: tuple[float, float] = (0.0, 0.0)) -> Made:
    """A cure of five at 390 K from 2850 to 6850 s, T1 apart from the others by so much [K] in the heat; it
    reads only in the rows given, and not between two moments [s]."""
    m = made(sensors=5)
    m.temps += np.random.default_rng(3).normal(0.0, 0.1, m.temps.shape)
    m.temps[:, 0] += by * np.clip((m.temps[:, 1] - 300.0) / 90.0, 0.0, 1.0)
    if rows is not None:
        read = np.zeros(m.times.size, np.bool_)
        read[rows] = True
        m.temps[~read, 0] = NAN
    m.temps[(m.times >= gone[0]) & (m.times < gone[1]), 0] = NAN
    return m


def _judged(m: Made, **more: Any) -> Verdict:
    dwell = {"band_high": limit(395.0), **more}
    return judge(_one_may_fail(recipe(dwell=dwell, ceiling=limit(400.0))), m.log())


def _one_may_fail(how: CureRecipe) -> CureRecipe:
    return dataclasses.replace(how, sensors=SensorRule(3, "t", may_fail=1))


@pytest.mark.parametrize("every", [7, 30])
@pytest.mark.parametrize(
    ("by", "code"),
    [
        (-6.5, codes.LOST_BELOW),
        (-30.0, codes.LOST_BELOW),
        (15.0, codes.LOST_ABOVE),
        (-3.5, None),
        (3.0, None),
    ],
)
def test_single_readings_of_a_loose_contact_out_of_the_limits_leave_it_open(
    by: float, code: Any, every: int
) -> None:
    """The band is 385 to 395 K: a contact that came once in 70 or 300 s was asked nothing."""
    verdict = _judged(_apart(by, slice(0, None, every)))
    assert verdict.outcome is (YES if code is None else OPEN)
    assert {r.code for r in verdict.against()} == (set() if code is None else {code.code})


def test_single_readings_count_where_a_longer_gap_is_allowed() -> None:
    """They are joined by lines then, and leave no hole."""
    m = _apart(-6.5, slice(0, None, 7))
    assert judge(_one_may_fail(recipe()), m.log(), longest_gap=300.0).outcome is OPEN


def test_a_reading_above_the_top_is_told_with_its_own_words() -> None:
    words = [r.words for r in _judged(_apart(15.0, slice(0, None, 7))).against()]
    assert [x.split(" after")[1] for x in words] == [" that, most 126.9 C", " that, most 121.9 C"]
    assert all(x.startswith("T1 counts as lost, and read 13") for x in words)


def test_the_row_of_the_dwell_names_none_that_was_lost_in_it() -> None:
    """T1 comes last into the band; it was lost at 4000 s."""
    m = _apart(-2.0, None, (4000.0, 1e9))
    row = next(r for r in _judged(m).reasons if r.rule.startswith("dwell by the slowest"))
    assert row.outcome is YES
    assert row.sensor in ("T2", "T3", "T4", "T5")
    assert next(r for r in _judged(_apart(-2.0)).reasons if r.rule == row.rule).sensor == "T1"


@pytest.mark.parametrize(
    ("by", "first", "outcome"),
    [
        (-6.5, 6700.0, OPEN),  # 383.5 K, after 3600 s of the others
        (-30.0, 6700.0, OPEN),
        (-3.5, 6700.0, YES),
        (-6.5, 5000.0, NO),  # 38 of 60 min: what is read of it is too short whatever came before
        (15.0, 7200.0, OPEN),  # 395 K on the way down, with the others at 380 K: 405 K in the dwell
    ],
)
def test_the_place_of_one_first_read_late_is_carried_back(by: float, first: float, outcome: Outcome) -> None:
    assert _judged(_apart(by, None, (0.0, first))).outcome is outcome


def test_a_place_carried_back_is_told_as_that() -> None:
    words = [r.words for r in _judged(_apart(-6.5, None, (0.0, 6700.0))).against()]
    assert len(words) == 1
    assert words[0].startswith("T1 was first read at 110.")
    assert words[0].endswith(
        "carried back beside the others, the dwell by the slowest may have been 0 s, 60 min are asked"
    )


@pytest.mark.parametrize(
    ("values", "followed"),
    [
        # 60 s apart: 182 K up, 32 K down
        ([300.0, 482.0], [True, True]),
        ([300.0, 482.1], [False, False]),
        ([332.0, 300.0], [True, True]),
        ([332.1, 300.0], [False, False]),
        ([300.0, 600.0, 300.0], [False, False, False]),
        ([390.0, 390.0, 300.0, 310.0], [True, True, True, True]),  # what follows it speaks for it
        ([390.0], [False]),
    ],
)
def test_readings_that_the_part_could_have_followed(values: list[float], followed: list[bool]) -> None:
    times = np.arange(2 * len(values)) * 30.0
    spaced = np.full(times.size, NAN)
    spaced[::2] = values
    assert lost_read._followed(times, spaced)[::2].tolist() == followed
    assert not lost_read._followed(times, spaced)[1::2].any()


@pytest.mark.parametrize(("count", "told"), [(2, 0), (3, 3)])
def test_three_single_readings_are_no_flicker(count: int, told: int) -> None:
    times = np.arange(20) * 60.0
    raw = np.full(20, NAN)
    raw[2 : 2 + 5 * count : 5] = 380.0
    gone = np.full((20, 1), NAN)
    e: Any = SimpleNamespace(
        times=times, names=("T1",), gap=60.0, checked=SimpleNamespace(temps=raw[:, None]), temps=gone
    )
    column, single = lost_read.readings_of_lost(e, e, "T1", 60.0)
    assert int(single.sum()) == int(np.isfinite(column).sum()) == told


@pytest.mark.parametrize(("lost", "told"), [(119.0, 3), (120.0, 0)])
def test_what_was_read_at_the_loss_itself_is_no_reading_after_it(lost: float, told: int) -> None:
    """At 120, 420 and 720 s: without the first there are two."""
    times = np.arange(20) * 60.0
    raw = np.full(20, NAN)
    raw[[2, 7, 12]] = 380.0
    e: Any = SimpleNamespace(
        times=times,
        names=("T1",),
        gap=60.0,
        checked=SimpleNamespace(temps=raw[:, None]),
        temps=np.full((20, 1), NAN),
    )
    assert int(lost_read.readings_of_lost(e, e, "T1", lost)[1].sum()) == told


@pytest.mark.parametrize(
    ("own", "back"),
    [
        ([380.0] * 8, [380.0] * 6),  # ten below: it was ten below
        ([392.0] * 8, [390.0] * 6),  # above the slowest: none knows, not below it
        # 1 K nearer in five minutes: 0.2 K a minute further away before that
        ([380.0 + 0.2 * k for k in range(8)], [378.8, 379.0, 379.2, 379.4, 379.6, 379.8]),
    ],
)
def test_the_place_before_the_first_reading(
    own: list[float], back: list[float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Readings a minute apart, the others at 390 K; a mean is given as its first reading here."""
    times = np.arange(14) * 60.0
    column, other = np.concatenate([np.full(6, NAN), own]), np.full(14, 390.0)
    monkeypatch.setattr(lost_read, "_mean_from", lambda e, values, t: float(values[int(t // 60)]))
    e: Any = SimpleNamespace(times=times)
    gone, place = lost_read.carried_back(e, column, other, 1.0, 6, 0.0)
    assert (gone.start, gone.stop) == (0, 6)
    assert place == pytest.approx(np.array(back), abs=1e-9)


@pytest.mark.parametrize(
    ("away", "others", "back"),
    [
        # 0.75 K nearer in five minutes: for five minutes before, as much further away
        ([-6.0, -5.25], [390.0, 390.0], 390.0 - 6.75),
        ([-6.0, -5.25], [390.0, 392.0], 390.0 - 6.75),  # others that moved by two kelvins stand
        ([-6.0, -5.25], [392.0, 390.0], 390.0 - 6.75),
        ([-6.0, -5.25], [390.0, 392.1], 390.0 - 6.0),  # on the way, one that is late comes nearer anyhow
        ([-6.0, -5.25], [392.1, 390.0], 390.0 - 6.0),
        ([-0.7, 0.0], [390.0, 390.0], 390.0 - 1.4),  # seven tenths to the last bit
        ([-0.69, 0.0], [390.0, 390.0], 390.0 - 0.69),
        ([-6.0, -6.0], [390.0, 390.0], 390.0 - 6.0),
        ([-6.0, -6.0], [390.0, 400.0], 390.0 - 6.0),
    ],
)
def test_what_came_nearer_to_others_that_stand_was_further_away_before(
    away: list[float], others: list[float], back: float
) -> None:
    """Read every five minutes, so that each mean is of one reading; not read in the first five."""
    e: Any = SimpleNamespace(times=np.array([0.0, 300.0, 600.0]))
    other = np.array([390.0, *others])
    column = other + np.array([NAN, *away])
    apart = np.array([NAN, *away])
    with pytest.MonkeyPatch.context() as patch:
        mean = lost_read._mean_from
        # the differences as they are written above, to the last bit
        patch.setattr(lost_read, "_mean_from", lambda e, v, t: mean(e, v if v is other else apart, t))
        gone, place = lost_read.carried_back(e, column, other, 1.0, 1, 0.0)
    assert gone == slice(0, 1)
    assert place.tolist() == pytest.approx([back], abs=1e-9)


def test_the_first_reading_itself_counts_among_those_of_the_first_two_minutes() -> None:
    """A minute apart: 3 K below the others at first, then 9 and 9, in the mean 7."""
    e: Any = SimpleNamespace(times=np.arange(9) * 60.0)
    other = np.full(9, 390.0)
    column = np.array([NAN, NAN, 387.0, 381.0, 381.0, *[380.0] * 4])
    assert lost_read.carried_back(e, column, other, 1.0, 2, 0.0)[1].tolist() == [383.0, 383.0]


@pytest.mark.parametrize(("first", "back"), [(391.0, 384.0 - 0.2), (390.2, 384.0)])
def test_whether_the_others_stand_is_told_from_the_first_reading_on(first: float, back: float) -> None:
    """From 390.33 K, the mean of 391, 390 and 390, to 392.2 they stand, and one that came nearer by a kelvin
    in five minutes was a fifth of one further away a minute before; from 390.07 K they do not."""
    e: Any = SimpleNamespace(times=np.arange(10) * 60.0)
    other = np.array([390.0, first, 390.0, 390.0, 391.0, 391.0, *[392.2] * 4])
    away = np.array([NAN, *[-6.0] * 5, *[-5.0] * 4])
    assert lost_read.carried_back(e, other + away, other, 1.0, 1, 0.0)[1].tolist() == pytest.approx([back])


@pytest.mark.parametrize(("lost_at", "last"), [(499.0, "T2"), (500.0, "T2"), (501.0, "T1")])
def test_one_lost_at_the_very_end_of_a_dwell_is_not_named_as_the_last_into_it(
    lost_at: float, last: str
) -> None:
    e: Any = SimpleNamespace(lost_at=(("T1", lost_at),))
    s: Any = SimpleNamespace(end=500.0, entries=(("T1", 100.0), ("T2", 90.0), ("T3", None)))
    assert lost_read.last_into_band(e, s) == last


def test_of_two_that_came_at_once_the_first_by_name_is_named_and_of_none_none() -> None:
    e: Any = SimpleNamespace(lost_at=())
    for entries, last in (
        ((("T2", 90.0), ("T1", 90.0)), "T1"),
        ((("T1", None), ("T2", 90.0)), "T2"),
        ((("T1", None),), ""),
        ((), ""),
    ):
        s: Any = SimpleNamespace(end=500.0, entries=entries)
        assert lost_read.last_into_band(e, s) == last


def test_the_first_reading_within_a_dwell_is_late_after_more_than_a_gap() -> None:
    e: Any = SimpleNamespace(times=np.arange(10) * 60.0, gap=120.0)
    column = np.full(10, NAN)
    column[5:] = 390.0
    assert lost_read.read_late(e, column, 60.0, 540.0) == 5
    assert lost_read.read_late(e, column, 180.0, 540.0) is None  # two minutes
    assert lost_read.read_late(e, column, 0.0, 240.0) is None  # not read in it
    assert lost_read.read_late(e, column, 360.0, 540.0) is None  # read before
