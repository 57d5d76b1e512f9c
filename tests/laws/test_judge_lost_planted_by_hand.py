"""Thermocouples that were lost, at the very edges of what is said of them and of their places: each figure is
reckoned by hand. Readings are ten seconds apart where nothing else is said, and a gap is longer than 25 s."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, recipe
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import YES
from panelmend.plan.judge import codes, evidence, lost
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.recipe import VacuumRule
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.spans import Span
from panelmend.plan.judge.verdict import Reason
from panelmend.plan.judge.walk import Stretch

NAN = float("nan")
ROWS = 61


def _row(value: float, *changed: tuple[int, int, float]) -> FloatArray:
    """Sixty-one readings [K], other ones from a row to before another."""
    out = np.full(ROWS, value)
    for begin, end, other in changed:
        out[begin:end] = other
    return out


def _weighed(own: FloatArray, others: FloatArray, at: float, *walked: Stretch) -> list[Reason]:
    """What is said of T1, lost at a time [s], beside two others."""
    fault = Made(
        sensor_lost=True, channel="T1", time=at, until=at, doubt=False, reckoned=False,
        finding=Made(code=codes.OPEN.code),
    )  # fmt: skip
    e = shown(own, others, others, faults=(fault,))
    book = book_of(e)
    again = evidence.gather(e.log, e.gap, checked=e.checked, back=True)
    lost.weigh_lost(e, again, book, lambda _: book_of(e), walked, recipe())
    return book.reasons


# readings after the loss


@pytest.mark.parametrize(
    ("hottest", "start", "end", "told"),
    [
        (30, 300.0, 500.0, 300.0),  # where the dwell begins
        (30, 301.0, 500.0, 400.0),
        (50, 300.0, 500.0, 500.0),  # where it ends
        (50, 300.0, 499.0, 400.0),
    ],
)
def test_a_reading_at_the_very_edge_of_a_dwell_counts_in_it(
    hottest: int, start: float, end: float, told: float
) -> None:
    """At 300, 400 and 500 s; all above the top of 395 K, one of them the most."""
    own = _row(390.0, (11, ROWS, NAN), (30, 31, 396.0), (40, 41, 396.5), (50, 51, 396.0))
    own[hottest] = 397.0
    s = stretch(dwell(band_high=limit(395.0)), start, end)
    found = _weighed(own, _row(390.0), 110.0, s)
    assert [(r.time, r.code) for r in found] == [(told, codes.LOST_ABOVE.code)]
    assert found[0].words.startswith("T1 counts as lost, and read 12")


def _read_above(value: float, *tops: float) -> list[tuple[str, float]]:
    e = shown([390.0, value, 380.0])
    book = book_of(e)
    single = np.array([False, True, False])
    lost._read_above(e, book, "hold", "T1", e.temps[:, 0], single, [limit(x) for x in tops])
    return [(r.words.partition(" read ")[2], r.limit) for r in book.reasons]


def test_a_reading_is_held_against_the_lowest_top() -> None:
    assert _read_above(396.15, 400.15, 395.15) == [("123.0 C after that, most 122.0 C", 395.15)]
    assert _read_above(396.15, 395.15, 400.15) == [("123.0 C after that, most 122.0 C", 395.15)]


def test_a_reading_at_the_top_itself_is_not_above_it() -> None:
    assert _read_above(395.15, 395.15) == []
    assert _read_above(395.25, 395.15) == [("122.1 C after that, most 122.0 C", 395.15)]


def test_a_reading_just_above_is_told_with_as_many_digits_as_show_it() -> None:
    assert _read_above(395.18, 395.15) == [("122.03 C after that, most 122.00 C", 395.15)]


# its place


@pytest.mark.parametrize(("before", "code"), [(390.0, None), (389.5, codes.LOST_BELOW)])
def test_a_place_is_carried_back_as_far_below_the_slowest_as_it_was_read(before: float, code: Any) -> None:
    """First read at 400 s, 4.8 K below the others at 390 K: 385.2 K before that, or 384.7 beside 389.5; the
    band begins at 385 K."""
    own = _row(385.2, (0, 40, NAN))
    s = stretch(dwell(dwell_least=limit(550.0)), 0.0, 600.0, Span(0.0, 600.0))
    found = _weighed(own, _row(390.0, (0, 38, before)), 0.0, s)
    assert [r.code for r in found] == ([] if code is None else [code.code])


@pytest.mark.parametrize(("before", "code"), [(390.0, None), (390.3, codes.LOST_ABOVE)])
def test_a_place_is_carried_back_as_far_above_the_hottest_as_it_was_read(before: float, code: Any) -> None:
    """4.8 K above the others: 394.8 K before that, or 395.1 beside 390.3; the band ends at 395 K."""
    own = _row(394.8, (0, 40, NAN))
    s = stretch(dwell(band_high=limit(395.0)), 0.0, 600.0, Span(0.0, 600.0))
    found = _weighed(own, _row(390.0, (0, 38, before)), 0.0, s)
    assert [r.code for r in found] == ([] if code is None else [code.code])


@pytest.mark.parametrize(("least", "told"), [(200.0, True), (200.1, False)])
def test_a_dwell_that_was_too_short_anyway_is_not_told_again_for_a_cold_place(
    least: float, told: bool
) -> None:
    """200 s by those that were read."""
    e = shown(_row(386.0, (20, ROWS, NAN)), _row(390.0))
    book = book_of(e)
    s = stretch(dwell(dwell_least=limit(least)), 100.0, 300.0, Span(100.0, 300.0))
    place = [(19, slice(20, 31), np.full(11, 380.0))]
    lost._short(e, book, s, "T1", e.temps[:, 0], place)
    assert bool(book.reasons) is told


# the words


def _entered(column: list[float], last: int, times: list[float]) -> str:
    e = shown(column, [390.0] * len(column), times=times)
    book = book_of(e)
    column_ = np.array(column)
    lost._enter(e, book, "hold", "T1", column_, last, "rule", codes.LOST_BELOW, limit(385.0), "so it is")
    return book.reasons[0].words


@pytest.mark.parametrize(
    ("column", "last", "times", "words"),
    [
        ([388.15, NAN, NAN], 0, [100.0, 110.0, 120.0], "lost"),  # read in the first row, whatever its stamp
        ([NAN, 388.15, NAN], 1, [100.0, 125.0, 150.0], "lost"),  # as late as counts as unbroken
        ([NAN, 388.15, NAN], 1, [100.0, 125.1, 150.0], "late"),
        ([388.15, NAN, 388.15], 2, [100.0, 140.0, 150.0], "lost"),
    ],
)
def test_one_is_first_read_late_after_more_than_a_gap(
    column: list[float], last: int, times: list[float], words: str
) -> None:
    told = {
        "lost": "T1 was lost at 115.0 C; carried on beside the others, so it is",
        "late": "T1 was first read at 115.0 C; carried back beside the others, so it is",
    }
    assert _entered(column, last, times) == told[words]


@pytest.mark.parametrize(
    ("came", "words"),
    [
        (395.15, None),
        (395.18, "its place may have come to 122.03 C, most 122.00 C"),
        (395.25, "its place may have come to 122.1 C, most 122.0 C"),
    ],
)
def test_a_place_just_above_its_top_is_told_with_as_many_digits_as_show_it(
    came: float, words: str | None
) -> None:
    """It read "122.0 C, most 122.0 C"."""
    e = shown([390.0, NAN, NAN], [390.0] * 3)
    book = book_of(e)
    s = stretch(dwell(band_high=limit(395.15)), 0.0, 20.0)
    carried = [(0, slice(1, 3), np.array([390.0, came]))]
    lost._passed(e, book, s, "T1", e.temps[:, 0], carried, recipe())
    assert [r.words.partition("the others, ")[2] for r in book.reasons] == ([] if words is None else [words])


def test_nothing_carried_within_a_dwell_passes_no_limit() -> None:
    e = shown([390.0, NAN, NAN], [390.0] * 3)
    book = book_of(e)
    s = stretch(dwell(band_high=limit(395.15)), 0.0, 20.0)
    lost._passed(e, book, s, "T1", e.temps[:, 0], [(0, slice(3, 3), np.zeros(0))], recipe())
    assert book.reasons == []


def test_a_place_just_too_hot_at_the_release_is_told_with_as_many_digits_as_show_it() -> None:
    """T1 lost at 333.18 K, with the others, which stand, 23.03 K above 310.15 K; 60.0 C are allowed."""
    others = [310.15] * 10
    e = shown([333.18] * 4 + [NAN] * 6, others, others, vacuum=[80e3] * 7 + [0.0] * 3)
    e = dataclasses.replace(e, lost_at=(("T1", 40.0),))
    how = recipe(vacuum=VacuumRule(limit(70e3)), release_most=limit(333.15))
    book = book_of(e)
    book.enter(YES, RuleName.RELEASED, "as asked")
    lost._released(e, e, book, how)
    words = [r.words for r in book.reasons if r.code == codes.LOST_ABOVE.code]
    assert [x.partition("the others, ")[2] for x in words] == [
        "its place may still have been at 60.03 C when the vacuum was released, most 60.00 C"
    ]


@pytest.mark.parametrize(
    ("most", "rule", "told"), [(None, RuleName.VACUUM, "41.9"), (320.15, RuleName.RELEASED, "47.0")]
)
def test_a_place_at_the_release_is_held_against_the_data_else_against_the_end_of_the_cool_down(
    most: float | None, rule: RuleName, told: str
) -> None:
    """T1 lost at 330 K; the cool-down ends at 315 K, 41.85 C."""
    e = shown([330.0] * 4 + [NAN] * 6, [310.0] * 10, [310.0] * 10, vacuum=[80e3] * 7 + [0.0] * 3)
    e = dataclasses.replace(e, lost_at=(("T1", 40.0),))
    release = None if most is None else limit(most)
    how = recipe(vacuum=VacuumRule(limit(70e3)), release_most=release)
    book = book_of(e)
    book.enter(YES, rule, "as asked")
    lost._released(e, e, book, how)
    words = [r.words for r in book.reasons if r.code == codes.LOST_ABOVE.code]
    assert len(words) == 1
    assert words[0].endswith(f"when the vacuum was released, most {told} C")


# a dwell that is cooler than the one before


@pytest.mark.parametrize(("target", "told"), [(390.0, False), (391.0, True)])
def test_only_from_a_hotter_dwell_a_place_has_to_come_down(target: float, told: bool) -> None:
    """T1 is lost at 396 K, in the first of two dwells; the second begins at 395 K if it is the cooler one."""
    first = dataclasses.replace(dwell(dwell_least=limit(200.0)), name="first", target=target)
    walked = (
        stretch(first, 0.0, 300.0, Span(0.0, 300.0)),
        stretch(dwell(), 400.0, 600.0, Span(400.0, 600.0)),
    )
    found = _weighed(_row(396.0, (21, ROWS, NAN)), _row(390.0), 210.0, *walked)
    assert [r.code for r in found] == [codes.LOST_ABOVE.code] * told
    assert all("nobody read when its place came down to 121.9 C" in r.words for r in found)


Carried = list[tuple[int, slice, FloatArray]]


def _come_down(
    column: FloatArray,
    last: int,
    gone: slice,
    place: float | FloatArray,
    *,
    least: float = 200.0,
    end: float = 600.0,
    left: float = 200.0,
) -> tuple[list[str], Carried]:
    """What is entered of a dwell at 360 K from 300 s on, with a top of 365.15 K, and what is carried in
    it; the hotter one before was left at 200 s."""
    segment = dataclasses.replace(
        dwell(band_low=limit(355.0), dwell_least=limit(least), band_high=limit(365.15)), target=360.0
    )
    e: Evidence = shown(column, _row(360.0))
    book = book_of(e)
    s = stretch(segment, 300.0, 600.0, Span(300.0, end))
    values = np.full(gone.stop - gone.start, place) if isinstance(place, float) else place
    out = lost._come_down(e, book, s, "T1", column, [(last, gone, values)], left)
    return [r.words for r in book.reasons], out


@pytest.mark.parametrize(
    ("last", "read", "place", "told"),
    [
        (20, 370.15, 360.0, True),  # hot when it was lost
        (19, 364.15, 366.0, True),  # its place may have been hot after that
        (19, 365.15, 365.15, False),  # at the top itself it had come down
        (19, 365.25, 365.15, True),
        (19, 365.15, 365.25, True),
        (19, 365.15, 370.15, True),  # read at the top before the hotter dwell was left
        (20, 365.15, 370.15, False),  # when it was left
        (21, 365.15, 370.15, False),
        (20, 365.25, 370.15, True),
        (29, 370.15, 370.15, True),
        (30, 370.15, 370.15, False),  # read at the begin: the rule itself says where it was
    ],
)
def test_of_one_lost_hot_before_a_cooler_dwell_nobody_knows_when_it_began(
    last: int, read: float, place: float, told: bool
) -> None:
    column = _row(read, (last + 1, ROWS, NAN))
    words, out = _come_down(column, last, slice(last + 1, ROWS), place)
    shown_at = {365.15: "92.0", 365.25: "92.1", 364.15: "91.0", 370.15: "97.0"}[read]
    said = f"T1 was lost at {shown_at} C: nobody read when its place came down to 92.0 C, where this cooler"
    assert words == [f"{said} dwell begins"] * told
    assert len(out) == (not told)


def test_of_a_place_that_had_come_down_what_lies_within_the_dwell_is_carried() -> None:
    """Lost at 200 s, the hole from the 21st row on, the dwell from the 30th."""
    place = 350.0 + 0.1 * np.arange(29)
    words, out = _come_down(_row(360.0, (21, 50, NAN)), 20, slice(21, 50), place)
    assert words == []
    ((last, gone, values),) = out
    assert (last, gone) == (20, slice(30, 50))
    assert values.tolist() == pytest.approx([350.9 + 0.1 * k for k in range(20)])
    assert _come_down(_row(360.0, (21, 29, NAN)), 20, slice(21, 29), 360.0)[1][0][2].size == 0


def test_of_one_lost_in_the_dwell_all_is_carried() -> None:
    place = np.concatenate([[370.0], np.full(14, 360.0)])
    words, out = _come_down(_row(360.0, (40, 55, NAN)), 39, slice(40, 55), place)
    assert words == []
    ((last, gone, values),) = out
    assert (last, gone) == (39, slice(40, 55))
    assert values.tolist() == [370.0] + [360.0] * 14


@pytest.mark.parametrize(("stop", "told"), [(30, False), (31, True)])
def test_one_read_again_where_a_cooler_dwell_begins_hides_nothing_of_it(stop: int, told: bool) -> None:
    """Read again, at 366 K up to 310 s and 360 at 320: at 365.15 K at 311.4 s, 288.6 s before the end."""
    column = _row(360.0, (0, 11, 370.0), (11, stop, NAN), (stop, 32, 366.0))
    words, _ = _come_down(column, 10, slice(11, stop), 370.0, least=295.0)
    assert bool(words) is told


@pytest.mark.parametrize(("least", "told"), [(290.0, False), (290.1, True)])
def test_what_is_left_of_a_cooler_dwell_behind_the_first_reading_at_its_top(least: float, told: bool) -> None:
    """Read again in the 31st row, at 310 s: 290 s are left."""
    column = _row(360.0, (0, 11, 370.0), (11, 31, NAN))
    words, _ = _come_down(column, 10, slice(11, 31), 370.0, least=least)
    assert bool(words) is told


@pytest.mark.parametrize(("end", "told"), [(600.0, True), (599.0, False)])
def test_a_cooler_dwell_that_was_too_short_anyway_is_not_told_again(end: float, told: bool) -> None:
    """300 s are asked, and shown by those that were read."""
    column = _row(370.0, (11, ROWS, NAN))
    assert bool(_come_down(column, 10, slice(11, ROWS), 370.0, least=300.0, end=end)[0]) is told


def test_what_is_shown_since_it_was_read_again_is_told_where_there_is_any() -> None:
    """At 383.95 K at 590 s and 363.95 at 600: at 365.15 K six tenths of a second before the end; or never."""
    column = _row(370.0, (11, 55, NAN), (59, 60, 383.95), (60, ROWS, 363.95))
    (words,), _ = _come_down(column, 10, slice(11, 55), 370.0)
    assert words.endswith("this cooler dwell begins; since it was read again 1 s are shown, 3 min are asked")
    column[60] = 383.95
    (words,), _ = _come_down(column, 10, slice(11, 55), 370.0)
    assert words.endswith("where this cooler dwell begins")
