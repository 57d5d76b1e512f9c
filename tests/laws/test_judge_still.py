"""Thermocouples that stood at one value in a dwell while others moved or changed: a caution, and what the
verdict rests on."""

from __future__ import annotations

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from judge_readings import book_of, dwell, shown, stretch
from panelmend.plan.judge import codes, judge, rules_still
from panelmend.plan.judge.log import FloatArray
from panelmend.plan.judge.rules_still import Still, judge_still, stood_beside
from panelmend.plan.judge.spans import Span


def _flicker(stands: dict[int, tuple[float, float]], m: int = 5) -> tuple[FloatArray, FloatArray]:
    """An hour of readings each 10 s in tenths that change every third row, but where they stand [s]."""
    times = np.arange(0.0, 3600.0, 10.0)
    temps = 390.0 + np.arange(m) + 0.1 * ((np.arange(times.size)[:, None] + np.arange(m)) % 6 < 3)
    for i, (a, b) in stands.items():
        temps[(times >= a) & (times <= b), i] = 390.0 + i
    return times, temps


@pytest.mark.parametrize(
    ("stands", "told"),
    [
        ({0: (600.0, 1500.0), 1: (600.0, 1500.0), 2: (600.0, 1500.0)}, [0, 1, 2]),
        ({0: (600.0, 2800.0), 1: (900.0, 2900.0), 2: (700.0, 3000.0)}, [0, 1, 2]),
        ({0: (600.0, 1500.0), 1: (600.0, 1500.0)}, []),  # two of five
        ({0: (600.0, 1450.0), 1: (600.0, 1450.0), 2: (600.0, 1450.0)}, []),
        ({0: (600.0, 1600.0), 1: (1800.0, 2800.0), 2: (1000.0, 2000.0)}, []),  # one after the other
        (dict.fromkeys(range(5), (600.0, 2800.0)), []),  # all: V576
    ],
)
def test_half_that_stood_for_a_quarter_of_an_hour_while_another_changed(
    stands: dict[int, tuple[float, float]], told: list[int]
) -> None:
    """A quiet log: no stay is beyond chance by its noise, and the verdict conformed without a word."""
    assert [x.column for x in stood_beside(*_flicker(stands))] == told


def test_a_log_that_stands_as_long_elsewhere_is_held_for_quiet() -> None:
    times, temps = _flicker(dict.fromkeys(range(3), (600.0, 1600.0)))
    temps[(times >= 2000.0) & (times <= 2400.0), :3] = 390.0 + np.arange(3)
    assert stood_beside(times, temps) == []


def test_one_that_moves_far_beside_those_that_stand_leaves_the_dwell_open() -> None:
    """T4 goes 7 or 4 K up and comes back, in ten minutes each, while T1 and then T2 show one value."""
    for far, open_ in ((7.0, True), (4.0, False)):
        m = made()
        m.temps += np.array([0.0, -0.3, 0.01, 0.3])
        m.temps += np.random.default_rng(2).normal(0.0, 0.03, m.temps.shape)
        for k in range(2):
            here = (m.times >= 3200.0 + 300.0 * k) & (m.times < 5500.0 + 300.0 * k)
            m.temps[here, k] = m.temps[here, k][0]
        m.temps[:, 3] += np.interp(m.times, [4000.0, 4600.0, 5200.0], [0.0, far, 0.0])
        m.temps = np.round((m.temps - 273.15) * 10.0) / 10.0 + 273.15
        found = [r for r in judge(recipe(), m.log()).against() if r.rule == "readings that stand"]
        assert bool(found) is open_, far
        rests = [x for x in judge(recipe(), m.log()).rests_on() if x.startswith("readings that may have")]
        assert any("T1, T2 stood at one value in hold" in x for x in rests) is not open_


def _row(before: int, stay: int, after: int, other: int = 1) -> FloatArray:
    """Readings each 10 s: so many changes, a stay of so many steps, one of ``other``, and so many changes."""
    flicker = [390.0 + 0.1 * (k % 2) for k in range(before)]
    return np.array(
        [*flicker, *[395.0] * (stay + 1), *[394.0] * (other + 1), *[390.0 + k for k in range(after)]]
    )


@pytest.mark.parametrize(
    ("row", "told"),
    [
        (_row(8, 90, 8), [True]),
        (_row(8, 89, 8), []),  # 890 s
        (_row(8, 90, 8, 30), [True]),  # three times as long as any other
        (_row(8, 90, 8, 31), [False]),
        (_row(6, 90, 0), [True]),  # six changes before it
        (_row(5, 90, 0), [False]),
        (_row(0, 90, 5), [True]),  # or behind it
        (_row(0, 90, 4), [False]),
        (np.array([395.0] * 5), []),
    ],
)
def test_a_stay_that_is_told_and_one_that_is_longer_than_others(row: FloatArray, told: list[bool]) -> None:
    assert [x.longer for x in rules_still._stays(10.0 * np.arange(row.size), row, 0)] == told


def _third(changes: int) -> FloatArray:
    """Two of four stand from 600 s to 1500 s; the others change so often meanwhile."""
    times, temps = _flicker({0: (600.0, 1500.0), 1: (600.0, 1500.0)}, 4)
    inside = np.flatnonzero((times >= 600.0) & (times <= 1500.0))
    temps[[inside[0] - 1, inside[-1] + 1], :2] = 395.0
    steps = 0.1 * (np.minimum(np.arange(inside.size), changes) % 2)
    temps[inside, 2:] = 392.0 + steps[:, None]
    return temps


@pytest.mark.parametrize(("changes", "told"), [(6, [0, 1]), (5, [])])
def test_half_of_them_and_another_that_changed_six_times(changes: int, told: list[int]) -> None:
    assert [x.column for x in stood_beside(10.0 * np.arange(360), _third(changes))] == told


@pytest.mark.parametrize(("m", "told"), [(1, []), (2, []), (3, [])])
def test_one_alone_is_not_half_of_them(m: int, told: list[int]) -> None:
    assert [x.column for x in stood_beside(*_flicker({0: (600.0, 2800.0)}, m))] == told


@pytest.mark.parametrize(("late", "told"), [(0.0, [0, 1]), (10.0, [])])
def test_they_stood_together_for_a_quarter_of_an_hour(late: float, told: list[int]) -> None:
    """Both for 1000 s; 900 s of it together, or 890 s."""
    times, temps = _flicker({}, 4)
    for i, begin in enumerate((600.0, 700.0 + late)):
        here = (times >= begin) & (times <= begin + 1000.0)
        temps[:, i] = 390.0 + i + 0.1 * (1 + np.arange(times.size) % 2)
        temps[here, i] = 390.0 + i
    assert [x.column for x in stood_beside(times, temps)] == told


@pytest.mark.parametrize(
    ("moved", "digit", "told"),
    [(0.5, 0.1, True), (0.499, 0.1, False), (0.6, 0.2, True), (0.598, 0.2, False)],
)
def test_another_that_moved_by_three_last_digits_and_half_a_kelvin(
    moved: float, digit: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rules_still, "moved_meanwhile", lambda *_: moved)
    monkeypatch.setattr(rules_still, "digit_of", lambda _: digit)
    temps = np.column_stack([np.full(100, 390.0), np.linspace(390.0, 392.0, 100)])
    found = rules_still._beside(10.0 * np.arange(100), temps, Still(0, 0.0, 990.0, False))
    assert (found.other, found.moved) == ((1, moved) if told else (-1, 0.0))


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ([390.0, 390.5, 390.0, 390.0, 390.0, 390.0], True),
        ([390.0, 390.4, 390.0, 390.0, 390.0, 390.0], False),
        ([390.0, 390.5, 390.0, 390.0, 390.0, np.nan], False),  # five that are read
    ],
)
def test_what_of_another_is_looked_at(
    values: list[float], told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(rules_still, "moved_meanwhile", lambda *_: 9.0)
    temps = np.column_stack([np.full(6, 390.0), values])
    assert (rules_still._beside(np.arange(6.0), temps, Still(0, 0.0, 5.0, False)).other == 1) is told


@pytest.mark.parametrize(("moved", "open_"), [(5.0, False), (5.001, True)])
def test_a_dwell_cannot_be_judged_where_another_moved_by_more_than_five_kelvin(
    moved: float, open_: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The one beside which another moved most is named, of those the longest."""
    both = [Still(1, 500.0 - x, 1450.0 - 0.9 * x, True, 0, moved) for x in (0.0, 500.0)]  # 950 and 1000 s
    found = [*both, Still(2, 0.0, 2000.0, True, 0)]
    monkeypatch.setattr(rules_still, "stood_beside", lambda *_: found)
    e = shown(*[[390.0] * 6] * 3)
    book, s = book_of(e), stretch(dwell(band_high=limit(395.0)), 0.0, 50.0, Span(0.0, 50.0))
    (said,) = judge_still(e, book, (s,))
    words = "T2, T3 stood at one value in hold, T2 for 17 min, while T1 moved by 5.0 C"
    assert said == f"readings that may have stopped: {words}"
    assert [r.words for r in book.reasons] == [words] * open_
    assert [f.code for f in book.findings][:1] == [codes.STOOD_BESIDE.code]


@pytest.mark.parametrize(("moved", "said"), [(0.6, "moved by 0.6 C"), (0.0, "went on changing")])
def test_what_another_did_meanwhile_is_said(moved: float, said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rules_still, "stood_beside", lambda *_: [Still(1, 0.0, 950.0, True, 0, moved)])
    e = shown(*[[390.0] * 6] * 2)
    (words,) = judge_still(e, book_of(e), (stretch(dwell(), 0.0, 50.0, Span(0.0, 50.0)),))
    assert words.endswith(f"while T1 {said}")
    assert judge_still(e, book_of(e), (stretch(dwell(), 0.0, 50.0),)) == (), "never in its band"


def test_another_that_moved_by_less_than_a_kelvin_is_told() -> None:
    """By 0.8 K in the middle of 1000 s, by tenths; T1 stands."""
    times = 10.0 * np.arange(101)
    way = np.round(np.interp(times, [400.0, 600.0], [0.0, 0.8]), 1)
    (found,) = stood_beside(times, np.column_stack([np.full(101, 391.0), 390.0 + way, 392.0 - way]))
    assert (found.column, found.other in (1, 2)) == (0, True)
    assert found.moved == pytest.approx(0.8)


def test_six_readings_can_be_a_stay() -> None:
    for count, told in ((6, 1), (5, 0)):
        assert len(rules_still._stays(300.0 * np.arange(count), np.full(count, 395.0), 0)) == told


def test_another_is_looked_at_over_the_length_of_the_stay(monkeypatch: pytest.MonkeyPatch) -> None:
    spans: list[float] = []
    monkeypatch.setattr(rules_still, "moved_meanwhile", lambda *given: spans.append(given[2]) or 0.0)
    temps = np.column_stack([np.full(100, 390.0), np.linspace(390.0, 392.0, 100)])
    rules_still._beside(10.0 * np.arange(100), temps, Still(0, 90.0, 990.0, False))
    assert spans == [900.0]
