"""The places of lost thermocouples, at the very edges of what tells where they went: each outcome is written
by hand for what lies exactly on the edge, and beside it."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_whole import NO, YES, blank, whole
from panelmend.plan.judge import codes, lost
from panelmend.plan.judge.log import CureLog, FloatArray
from panelmend.plan.judge.recipe import RecipeSegment, SegmentKind, VacuumRule
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.walk import Stretch

NAN = float("nan")


# the place of a lost thermocouple


def _placed(
    column: list[float],
    other: list[float],
    course: list[float],
    monkeypatch: pytest.MonkeyPatch,
    sign: float = 1.0,
) -> list[float]:
    """What a place may have come to, of readings a minute apart, the eleventh the last; a mean is given as
    the reading itself."""
    n = len(other)
    times = np.arange(n + len(course)) * 60.0
    e: Any = Made(times=times, index_at=lambda t: max(0, int(np.searchsorted(times, t, side="right")) - 1))
    monkeypatch.setattr(lost, "_level", lambda e, values, at: float(values[at]))
    monkeypatch.setattr(lost, "_half_way", lambda e, other, last, now: 4)
    gone = slice(n, times.size)
    own = np.array([*column, *[NAN] * len(course)])
    found = lost._place(e, own, np.array([*other, *course]), sign, n - 1, gone)
    return np.asarray(found).tolist()


def test_others_that_rose_by_two_kelvin_stand(monkeypatch: pytest.MonkeyPatch) -> None:
    """A place that came nearer by one in five minutes goes on to; while they rise it goes on at its rate."""
    others, own = [388.0] * 10 + [390.0], [382.0] * 10 + [385.0]
    assert _placed(own, others, [390.0], monkeypatch) == pytest.approx([390.0 - 5.0 + 0.2], rel=1e-12)
    others[:10] = [387.5] * 10
    assert _placed(own, others, [390.0], monkeypatch) == pytest.approx([385.0 + 0.6], rel=1e-12)


@pytest.mark.parametrize(("away", "place"), [(-0.7, 20.0 - 1.4), (-0.69, 20.0)])
def test_a_distance_that_grew_by_seven_tenths_grows_on(
    away: float, place: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the others from 20 below to here, and with them 20 further."""
    others = [-40.0] * 4 + [-20.0] * 6 + [0.0]
    own = [*others[:10], away]
    assert _placed(own, others, [20.0], monkeypatch) == pytest.approx([place], rel=1e-12)


@pytest.mark.parametrize(("away", "place"), [(3.0, 400.0), (3.5, 390.0 - 3.5 + 1.2)])
def test_a_place_three_kelvin_behind_is_like_theirs(
    away: float, place: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One further behind rises on at its rate of the last five minutes, six kelvins."""
    others = [370.0] * 4 + [384.0] * 6 + [390.0]
    own = [x - away for x in others]
    assert _placed(own, others, [400.0], monkeypatch) == pytest.approx([place], rel=1e-12)


@pytest.mark.parametrize(("before", "place"), [(0.75, -0.75 - 0.1875), (0.625, -0.75)])
def test_a_distance_that_grew_while_the_others_stand(
    before: float, place: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The room and the time are given here, so that they are met to the last bit."""
    monkeypatch.setattr(lost, "GROWS", 0.75)
    monkeypatch.setattr(lost, "RISING", 240.0)
    others, own = [0.0] * 11, [before - 0.75] * 10 + [-0.75]
    assert _placed(own, others, [0.0], monkeypatch) == pytest.approx([place], rel=1e-12)


def _stretch(
    end: float = 7600.0, *, least: float = 3600.0, summed: bool = False, spans: Any = None
) -> Stretch:
    segment = RecipeSegment(
        "hold", SegmentKind.DWELL, 390.0, band_low=limit(385.0), dwell_least=limit(least), summed=summed
    )
    return Stretch(segment, 4000.0, end, (), spans or (Span(4000.0, end),), True, 385.0)


def test_one_lost_at_the_very_end_of_a_dwell_was_lost_in_it(monkeypatch: pytest.MonkeyPatch) -> None:
    called: list[str] = []
    monkeypatch.setattr(lost, "_short", lambda e, book, s, name, *_: called.append(name))
    monkeypatch.setattr(lost, "_passed", lambda *_: None)
    for time, told in ((7600.0, ["T1"]), (7601.0, [])):
        called.clear()
        made = {
            "lost_at": (("T1", time),),
            "names": whole().names,
            "times": whole().times,
            "temps": whole().temps,
        }
        read = {"checked": whole().checked, "highest": whole().highest}
        e: Any = Made(**made, **read, working=whole().working, gap=60.0, index_at=whole().index_at)
        lost.weigh_lost(e, e, blank(), lambda e: blank(), (_stretch(),), recipe())
        assert called == told


def _short(
    low: FloatArray, place: list[tuple[int, slice, FloatArray]], s: Stretch, column: FloatArray | None = None
) -> list[tuple[float, float]]:
    """Value and time of what is entered, for a slowest and the places of a lost one."""
    times = np.arange(low.size) * 400.0
    e: Any = Made(times=times, log=CureLog(times, ()))
    book = blank()
    column = np.full(low.size, NAN) if column is None else column
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lost, "slowest_at_least", lambda e, level: (low, np.ones(low.size - 1, np.bool_)))
        lost._short(e, book, s, "T1", column, place)
    assert {r.code for r in book.reasons} <= {codes.LOST_BELOW.code}
    return [(r.value, r.time) for r in book.reasons]


def test_a_dwell_that_is_as_long_as_asked_is_too_short_with_a_cold_place() -> None:
    """From 4000 s, the eleventh sample, to 7600 s; in the last sample alone the place is below the band."""
    low = np.full(30, 390.0)
    column = np.full(30, 386.0)
    column[16:] = NAN
    end = [(15, slice(19, 20), np.array([380.0]))]
    assert _short(low, end, _stretch(), column) == [(386.0, 6000.0)]
    late = [(15, slice(20, 21), np.array([380.0]))]
    assert _short(low, late, _stretch(), column) == []
    assert _short(low, [], _stretch(), column) == []


def test_what_was_in_the_band_before_the_dwell_takes_nothing_from_a_sum() -> None:
    low = np.full(30, 390.0)
    low[6:9] = 300.0
    column = np.full(30, 390.0)
    place = [(15, slice(16, 17), np.array([390.0]))]
    assert _short(low, place, _stretch(summed=True), column) == []
    colder = [(15, slice(16, 17), np.array([380.0]))]
    assert _short(low, colder, _stretch(summed=True), column) == [(390.0, 6000.0)]


def test_of_several_losses_that_below_the_band_is_named() -> None:
    """At the foot of the band it was in it still."""
    low = np.full(30, 390.0)
    column = np.full(30, 390.0)
    column[[12, 15]] = 384.0, 385.0
    place = [(k, slice(k + 1, k + 2), np.array([380.0])) for k in (12, 15)]
    assert _short(low, place, _stretch(), column) == [(384.0, 4800.0)]


def _released(
    *, most: float | None = 320.0, vacuum: bool = True, met: str = RuleName.RELEASED, outcome: Any = YES,
    lost_at: float = 1000.0, place: float = 330.0, gauge: float = 70e3, stop: int = 5,
) -> list[str]:  # fmt: skip
    """What is entered of a place at the release: ten samples five minutes apart, vacuum to the fifth."""
    times = np.arange(10) * 300.0
    v = np.where(np.arange(10) < 5, gauge, 0.0)
    temps = np.full((10, 2), 310.0)
    e: Any = Made(
        times=times, vacuum=v, lost_at=(("T1", lost_at),), names=("T1", "T2"), temps=temps,
        working=np.ones((10, 2), np.bool_), log=CureLog(times, ()),
    )  # fmt: skip
    rule = VacuumRule(limit(70e3)) if vacuum else None
    asked: Any = Made(release_most=None if most is None else limit(most), vacuum=rule)
    book = blank()
    book.enter(outcome, met, "as it was found")
    book.enter(YES, RuleName.ENTRY, "in the band")
    count = len(book.reasons)
    carried = [(3, slice(4, stop), np.array([place]))]
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lost, "_carried", lambda *_: iter(carried))
        lost._released(e, e, book, asked)
    return [r.code for r in book.reasons[count:]]


@pytest.mark.parametrize(
    ("how", "told"),
    [
        ({}, True),  # the vacuum exactly at its least
        ({"gauge": 69.9e3}, False),
        ({"most": None}, False),
        ({"vacuum": False}, False),
        ({"met": "dwell"}, False),
        ({"outcome": NO}, False),  # the rule itself says so
        ({"met": RuleName.RELEASE}, True),
        ({"lost_at": 1200.0}, True),  # at the last sample with vacuum
        ({"lost_at": 1201.0}, False),
        ({"place": 320.0}, False),
        ({"place": 320.5}, True),
        ({"stop": 4}, False),  # it read again before
        ({"stop": 6}, False),
    ],
)
def test_a_place_that_may_still_have_been_hot_at_the_release(how: dict[str, Any], told: bool) -> None:
    assert _released(**how) == [codes.LOST_ABOVE.code] * told


def _carried(
    lost_at: float, end: float, gap: float = 15.0, column: FloatArray | None = None
) -> list[tuple[int, slice]]:
    """Each time without readings of twenty samples ten seconds apart, of which 6 to 11 and 16 to 19 are
    missing, with the samples after its last reading."""
    times = np.arange(20) * 10.0
    if column is None:
        column = np.full(20, 390.0)
        column[6:12] = column[16:] = NAN
    e: Any = Made(times=times, gap=gap)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lost, "_place", lambda e, c, o, sign, last, gone: np.zeros(gone.stop - gone.start))
        found = list(lost._carried(e, column, column, 1.0, lost_at, end))
    return [(last, gone) for last, gone, _ in found]


@pytest.mark.parametrize(
    ("lost_at", "end", "gap", "found"),
    [
        (50.0, 190.0, 15.0, [(5, slice(6, 12)), (15, slice(16, 20))]),
        (50.0, 170.0, 15.0, [(5, slice(6, 12)), (15, slice(16, 18))]),  # to the end of the dwell
        (50.0, 160.0, 15.0, [(5, slice(6, 12)), (15, slice(16, 17))]),
        (50.0, 150.0, 15.0, [(5, slice(6, 12))]),  # it read to the end
        (50.0, 90.0, 15.0, [(5, slice(6, 10))]),
        (50.0, 55.0, 15.0, []),
        (119.0, 190.0, 15.0, [(5, slice(6, 12)), (15, slice(16, 20))]),
        (120.0, 190.0, 15.0, [(15, slice(16, 20))]),  # it read again when it was lost
        (50.0, 190.0, 70.0, [(15, slice(16, 20))]),  # as long as counts as unbroken
        (50.0, 190.0, 69.0, [(5, slice(6, 12)), (15, slice(16, 20))]),
    ],
)
def test_each_time_without_readings_after_a_loss(
    lost_at: float, end: float, gap: float, found: list[tuple[int, slice]]
) -> None:
    assert _carried(lost_at, end, gap) == found
    assert _carried(lost_at, end, gap, np.full(20, NAN)) == []


def test_what_was_read_after_a_loss_and_changes_nothing_is_said() -> None:
    book, other = blank(), blank()
    other.enter(YES, RuleName.ENTRY, "in the band")
    lost._read_again(book, other, ("T1", "T2"), recipe())
    (found,) = book.findings
    assert found.code == codes.LOST_SAME.code
    assert "T1, T2: " in found.words
    assert ": the same verdict" in found.words


@pytest.mark.parametrize(("half", "index"), [(350.0, 5), (349.5, 6)])
def test_half_way_is_where_the_others_stand_at_half_of_their_rise(half: float, index: int) -> None:
    others = np.array([300.0, 310.0, 320.0, 330.0, 340.0, half, 360.0, 370.0, 380.0, 390.0, 400.0])
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lost, "_level", lambda e, values, at: float(values[at]))
        patch.setattr(lost, "heat_start", lambda e: 0.0)
        e: Any = Made(index_at=lambda time: 0)
        assert lost._half_way(e, others, 10, 400.0) == index


def test_others_that_did_not_rise_since_half_way_tell_no_growth(monkeypatch: pytest.MonkeyPatch) -> None:
    others = [370.0] * 4 + [390.0] * 7
    others[5] = 380.0
    own = [x - 1.0 for x in others[:10]] + [388.0]
    assert _placed(own, others, [395.0], monkeypatch) == [395.0]


@pytest.mark.parametrize(("rise", "place"), [(2.5, 385.5), (2.25, 385.0)])
def test_a_place_ten_minutes_behind_follows(
    rise: float, place: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One later than that stays as far away: five kelvins, of which it rises by 2.5 in five minutes."""
    others = [386.0] * 10 + [390.0]
    own = [385.0 - rise] * 10 + [385.0]
    others[4] = 390.0
    assert _placed(own, others, [390.0], monkeypatch) == pytest.approx([place], rel=1e-12)


@pytest.mark.parametrize(
    ("away", "before", "place"),
    [(2.0, 2.0, 400.0), (2.0, 1.0, 400.0), (-2.0, -2.0, 398.0), (0.0, 0.0, 400.0)],
)
def test_a_place_that_is_no_colder_and_comes_no_nearer_is_taken_for_theirs(
    away: float, before: float, place: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    others = [400.0] * 11
    own = [400.0 + before] * 10 + [400.0 + away]
    assert _placed(own, others, [400.0], monkeypatch) == pytest.approx([place], rel=1e-12)
