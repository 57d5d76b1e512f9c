"""A log, a recipe and a verdict in their smallest parts: what is kept as it was read, what is set to nothing,
and which rules are applied; each answer is written by hand."""

from __future__ import annotations

import dataclasses
import json
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from judge_readings import book_of, dwell, shown, stretch
from judge_whole import NO, OPEN, YES
from panelmend.errors import InputError
from panelmend.plan.judge import (
    ChannelRole,
    SegmentKind,
    codes,
    judge,
    judging,
    no_readings,
    order,
    report,
    said,
)
from panelmend.plan.judge.doubt import SeenOfSensor
from panelmend.plan.judge.evidence import Evidence
from panelmend.plan.judge.log import Channel, CureLog, matrix
from panelmend.plan.judge.recipe import LeakRule, RecipeLimit, RecipeSegment, VacuumRule
from panelmend.plan.judge.rule_names import RuleName
from panelmend.plan.judge.spans import Span

NAN = float("nan")


def _couple(name: str, values: Any, role: ChannelRole = ChannelRole.THERMOCOUPLE) -> Channel:
    return Channel(name, role, "temperature", np.asarray(values, float))


# a log


def test_nobody_can_change_what_was_read() -> None:
    log = CureLog(np.arange(3.0), (_couple("T1", [300.0, 301.0, 302.0]),))
    for kept in (log.channels[0].values, log.times, log.lines):
        with pytest.raises(ValueError, match="read-only"):
            kept[0] = 0


def test_lines_of_a_log() -> None:
    """As given; else counted from one; none of an empty one."""
    times, couple = np.arange(3.0), _couple("T1", [300.0, 301.0, 302.0])
    given = np.array([7, 9, 12], np.int32)
    assert CureLog(times, (couple,), lines=given).lines.tolist() == [7, 9, 12]
    assert CureLog(times, (couple,)).lines.tolist() == [1, 2, 3]
    empty = CureLog(np.zeros(0), (_couple("T1", []),))
    assert (empty.lines.tolist(), empty.usual_step) == ([], 0.0)


@pytest.mark.parametrize(
    ("times", "step"),
    [
        ([0.0, 0.0, 0.0, 0.0, 10.0], 10.0),  # steps of no length are none
        ([0.0, 10.0, 30.0, 0.0], 15.0),  # nor are steps back
        ([0.0, 0.0], 0.0),
        ([0.0, 10.0, 20.0, 50.0], 10.0),
    ],
)
def test_the_usual_step(times: list[float], step: float) -> None:
    log = CureLog(np.array(times), (_couple("T1", np.zeros(len(times))),))
    assert log.usual_step == step


def test_channels_side_by_side_in_whatever_order_they_lie_in_memory() -> None:
    base = np.asfortranarray(np.arange(12.0).reshape(4, 3))
    columns = [_couple(f"T{i}", base[:, i]) for i in range(3)]
    other = _couple("T3", np.array([20.0, 21.0, 22.0, 23.0]))
    for wanted in ((0, 1, 2), (1, 2), (2, 0), (0, 2), (1, 0), (2,)):
        found = matrix(tuple(columns[i] for i in wanted), 4)
        assert found.tolist() == base[:, list(wanted)].tolist()
    assert matrix((columns[1], other), 4).tolist() == np.column_stack([base[:, 1], other.values]).tolist()
    assert matrix((other, columns[1]), 4).tolist() == np.column_stack([other.values, base[:, 1]]).tolist()
    assert np.shares_memory(matrix(tuple(columns[:2]), 4), base)
    assert not np.shares_memory(matrix((columns[2], columns[0]), 4), base)


@pytest.mark.parametrize(
    ("step", "back"),
    [
        (25.0, 0),  # two and a half steps are no gap
        (25.5, 0),
        (0.0, 0),
        (-5.0, 1),
    ],
)
def test_steps_of_a_log_of_which_one_goes_back_elsewhere(step: float, back: int) -> None:
    """It is put right and said; all others stand as they are."""
    first = [0.0, 10.0, 20.0, 30.0, 26.0, 40.0, 50.0]
    then = [50.0 + step + 10.0 * i for i in range(8)]
    log = CureLog(np.array([*first, *then]), (_couple("T1", np.arange(15.0)),))
    found = order.times_in_order(log)
    right = [30.0 if t == 26.0 else t for t in first]
    assert found.log.times.tolist() == [*right, *(max(t, 50.0) if back else t for t in then)]
    (fault,) = found.faults
    assert f"{1 + back} stamps step back" in fault.finding.words


@pytest.mark.parametrize(("ahead", "waits"), [(600.0, 0), (600.5, 1)])
def test_a_newest_stamp_that_waits_where_one_went_back_before(ahead: float, waits: int) -> None:
    times = [*(10.0 * i for i in range(20)), 186.0, 200.0, 210.0, 210.0 + ahead]
    log = CureLog(np.array(times), (_couple("T1", np.arange(24.0)),))
    found = order.times_in_order(log, live=True)
    assert (found.waiting, len(found.log)) == (waits, 24 - waits)


def test_codes_of_one_channel_are_set_to_nothing() -> None:
    values = np.full(30, 300.0)
    odd = values.copy()
    odd[3] = 9999.0
    log = CureLog(np.arange(30.0), (_couple("T1", values), _couple("T2", odd)))
    found = no_readings.without_codes(log, 101e3, 200.0, 500.0)
    assert found.channels[0].values.tolist() == values.tolist()
    assert np.flatnonzero(np.isnan(found.channels[1].values)).tolist() == [3]


@pytest.mark.parametrize(("apart", "taken"), [(2.0, True), (2.5, False)])
def test_codes_that_differ_by_a_millionth_are_one(apart: float, taken: bool) -> None:
    values = np.full(100, 80e3)
    values[:40] = 2e6
    values[20:40] += apart
    assert no_readings.no_vacuum(values).sum() == 40 * taken


# a recipe


@pytest.mark.parametrize("missing", ["band_low", "dwell_least"])
def test_a_dwell_needs_both_its_band_and_its_time(missing: str) -> None:
    given: dict[str, Any] = {"band_low": limit(385.0), "dwell_least": limit(100.0)}
    with pytest.raises(InputError, match="needs the low end of its band and its least time"):
        RecipeSegment("hold", SegmentKind.DWELL, 390.0, **(given | {missing: None}))


@pytest.mark.parametrize(
    ("more", "top"),
    [
        ({}, 390.0),
        ({"ceiling": limit(401.0)}, 401.0),
        ({"dwell": {"band_high": limit(396.0)}}, 396.0),
        ({"ramp": {"ceiling": limit(399.0)}, "dwell": {"band_high": limit(396.0)}}, 399.0),
        ({"ramp": {"ceiling": limit(380.0)}}, 390.0),
        ({"ramp": {"target": 402.0}, "dwell": {"target": 402.0}, "ceiling": limit(401.0)}, 402.0),
    ],
)
def test_the_hottest_that_a_recipe_names(more: dict[str, Any], top: float) -> None:
    assert recipe(**more).top() == top


# what is said


def test_times_are_in_minutes_unless_another_unit_is_asked_for() -> None:
    assert said.show(7200.0, "time", decimals=0) == "120 min"
    assert said.show(7200.0, "time", unit="h", decimals=0) == "2 h"


def test_a_reason_has_the_clock_of_its_time_or_the_one_that_is_given() -> None:
    e = shown([390.0] * 3)
    book = book_of(e)
    of_log = book.enter(NO, "it", "words", time=20.0)
    given = book.enter(NO, "it", "words", time=20.0, clock="2026-11-25 08:00")
    assert (of_log.clock, of_log.time, of_log.line) == ("0:00:20", 20.0, 3)
    assert (given.clock, given.line) == ("2026-11-25 08:00", 0)
    assert np.isnan(given.time)


@pytest.mark.parametrize(
    ("bagged", "release", "told"),
    [(False, True, True), (False, False, False), (True, True, False), (True, False, False)],
)
def test_what_held_a_part_without_a_bag_came_off_unseen(bagged: bool, release: bool, told: bool) -> None:
    cycle = recipe(bagged=bagged, release_most=limit(330.0) if release else None)
    verdict: Any = judge(recipe(), _short())
    assert (report.TAKEN_OFF in report.not_judged(cycle, verdict)) is told


def _short() -> CureLog:
    m = made()
    few = slice(None, None, 6)
    log = m.log()
    channels = tuple(dataclasses.replace(c, values=c.values[few].copy()) for c in log.channels)
    return dataclasses.replace(log, times=log.times[few], channels=channels, lines=log.lines[few])


@pytest.mark.parametrize(
    ("rule", "by", "counts"),
    [
        (RuleName.GAUGE_COUNTS, "B. Lind", True),
        (RuleName.GAUGE_COUNTS, "", False),
        ("thermocouple in doubt", "B. Lind", False),
        ("thermocouple in doubt", "", False),
    ],
)
def test_how_a_gauge_counts_rests_on_one_answer_or_on_a_statement_too(
    rule: str, by: str, counts: bool
) -> None:
    log = CureLog(
        np.arange(3.0),
        (
            _couple("T1", [300.0, 300.1, 300.3]),
            Channel("VAC", ChannelRole.VACUUM, "pressure", np.full(3, 80e3)),
        ),
    )
    verdict: Any = Made(reasons=(Made(sensor="VAC", states="read on the gauge", rule=rule, by=by),))
    told = report._not_seen(recipe(vacuum=VacuumRule(limit(70e3))), log, verdict)[0]
    assert told.endswith("and one statement: read on the gauge") is counts
    assert told.endswith("the head of the file alone") is not counts


@pytest.mark.parametrize(
    ("least", "told"),
    [
        (385.0, True),
        (385.24, True),  # nearer than half of the coarsest digit, which is half a kelvin
        (385.25, False),
        (384.9, False),  # it does not keep it at all: another rule says so
    ],
)
def test_a_limit_kept_by_less_than_half_a_digit(least: float, told: bool) -> None:
    fine, coarse = np.arange(300.0, 310.0, 0.1), np.arange(300.0, 350.0, 0.5)
    log = CureLog(np.arange(100.0), (_couple("T1", fine), _couple("T2", coarse)))
    verdict: Any = Made(segments=(Made(name="hold", least=least, most=390.0),))
    assert bool(report._on_the_digit(recipe(), log, verdict)) is told


def test_a_report_is_written_in_one_way_alone() -> None:
    """Names in order, signs of other alphabets as they are, what is no number as null."""
    log = _short()
    log = dataclasses.replace(
        log, channels=(dataclasses.replace(log.channels[0], name="T1 L\u00f6t\u00b0"), *log.channels[1:])
    )
    text = report.make_report(recipe(), log, judge(recipe(), log)).to_json()
    assert text == json.dumps(json.loads(text), indent=1, sort_keys=True, ensure_ascii=False) + "\n"
    assert "T1 L\u00f6t\u00b0" in text
    assert "NaN" not in text


@pytest.mark.parametrize(("end", "least"), [(100.0, 386.0), (60.0, 386.0), (40.0, 388.0)])
def test_the_least_of_a_dwell_is_of_what_counts(end: float, least: float) -> None:
    """Of both ends the sooner: from 20 s on, up to 60 s or to its own end."""
    e = shown([300.0, 384.0, 390.0, 389.0, 388.0, 387.0, 386.0, 385.0, 384.0, 383.0, 382.0])
    row = judging._row(e, stretch(dwell(), 0.0, end, Span(20.0, 60.0), entries=[("T1", 20.0)]), YES)
    assert row.least == least


# which rules are applied


def _doubt() -> tuple[SeenOfSensor, ...]:
    return (SeenOfSensor("T2", "it lay beside a vent", "B. Lind", "inspector", ran="A. Reyes"),)


@pytest.mark.parametrize("back", [False, True])
@pytest.mark.parametrize("doubt", [False, True])
@pytest.mark.parametrize("lost", [False, True])
def test_what_is_weighed_only_where_the_order_of_time_is_sure(
    back: bool, doubt: bool, lost: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    called: list[str] = []
    monkeypatch.setattr(judging, "weigh_doubts", lambda *given: called.append("doubts"))
    monkeypatch.setattr(judging, "weigh_lost", lambda *given: called.append("lost"))
    log = _short()
    gather = judging.gather

    def gathered(*given: Any, **more: Any) -> Evidence:
        found = gather(*given, **more)
        if lost:
            found = dataclasses.replace(found, lost_at=(("T3", 600.0),))
        return dataclasses.replace(found, order=not back)

    monkeypatch.setattr(judging, "gather", gathered)
    monkeypatch.setattr(judging, "_applied", lambda e, asked: (book_of(e), (), (), (), NAN, NAN))
    judging.judge(recipe(), log, statements=_doubt() if doubt else ())
    assert called == [*(["doubts"] if doubt and not back else []), *(["lost"] if lost and not back else [])]


@pytest.mark.parametrize(
    ("ambient", "vacuum", "told"),
    [
        (98e3, True, False),
        (97.9e3, True, True),
        (104e3, True, False),
        (104.1e3, True, True),
        (97.9e3, False, False),
    ],
)
def test_an_air_other_than_that_of_the_bay(
    ambient: float, vacuum: bool, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three kilopascals are weather and a barometer."""
    monkeypatch.setattr(judging, "_applied", lambda e, asked: (book_of(e), (), (), (), NAN, NAN))
    cycle = recipe(vacuum=VacuumRule(limit(70e3)) if vacuum else None)
    found = judging.judge(cycle, dataclasses.replace(_short(), ambient=101e3), ambient=ambient)
    assert (codes.V_AMBIENT.code in [f.code for f in found.findings]) is told
    assert ([r.outcome for r in found.reasons if r.rule == "air pressure"]) == [OPEN] * told


@pytest.mark.parametrize(("less", "told"), [(0.0, True), (0.001, False)])
def test_how_long_readings_stand_at_one_value_is_told(
    less: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A quarter of an hour."""
    monkeypatch.setattr(judging, "_applied", lambda e, asked: (book_of(e), (), (), (), NAN, NAN))
    monkeypatch.setattr(judging, "longest_stay", lambda log, temps: 900.0 - less)
    found = judging.judge(recipe(), _short())
    assert (codes.STOOD.code in [f.code for f in found.findings]) is told
    assert any("a logger card that has stopped reads the same" in x for x in found.rests) is told


@pytest.mark.parametrize(
    ("kind", "found", "low", "high", "told"),
    [
        (SegmentKind.DWELL, True, 385.0, 395.0, True),
        (SegmentKind.RAMP, True, 385.0, 395.0, False),
        (SegmentKind.DWELL, False, 385.0, 395.0, False),
        (SegmentKind.DWELL, True, None, 395.0, False),
        (SegmentKind.DWELL, True, 385.0, None, False),
        (SegmentKind.DWELL, True, 380.0, 395.0, False),  # at the foot of the band
        (SegmentKind.DWELL, True, 375.0, 380.0, False),
    ],
)
def test_a_set_point_outside_of_the_band_it_stands_for(
    kind: SegmentKind, found: bool, low: float | None, high: float | None, told: bool
) -> None:
    e = shown([390.0] * 11)
    point = _couple("SP", np.full(11, 380.0), ChannelRole.SET_POINT)
    e = dataclasses.replace(e, log=dataclasses.replace(e.log, channels=(*e.log.channels, point)))
    ends = [None if x is None else limit(x) for x in (low, high)]
    s: Any = Made(
        segment=Made(kind=kind, band_low=ends[0], band_high=ends[1], name="hold"),
        found=found, spans=(), start=0.0, end=100.0,
    )  # fmt: skip
    book = book_of(e)
    judging._program(e, book, (s,))
    assert [f.code for f in book.findings] == [codes.PROGRAM.code] * told


@pytest.mark.parametrize(("value", "told"), [(394.0, False), (394.001, True), (395.0, True)])
def test_a_temperature_nearer_to_its_limit_than_the_wire_is_good_to(
    value: float, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(judging, "tolerance", lambda wire, at: 1.0)
    book = book_of(shown([390.0] * 3))
    book.enter(
        YES, "top of the band", "words", limit=RecipeLimit(395.0, "table 1"), value=value, kind="temperature"
    )
    judging._near(book, "K")
    assert [f.code for f in book.findings] == [codes.NEAR.code] * told


def test_a_leak_rule_may_ask_for_no_fall_at_all() -> None:
    assert LeakRule(limit(0.0), 300.0).fall_most.value == 0.0
    for fall, over in ((-1.0, 300.0), (0.0, 0.0)):
        with pytest.raises(InputError, match="needs a time and a fall"):
            LeakRule(limit(fall), over)
