"""The report keeps gaps as gaps and peaks as peaks, and gives the same bytes each time."""

from __future__ import annotations

import json

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from made_curelog import made_cure
from panelmend.plan.judge import RecipeLimit, codes, judge, make_report
from panelmend.plan.judge.verdict import VerdictRecorder
from panelmend.render.cure_report import _degree, _moment, _reason, _value
from recipe_curelog import RECIPE


def test_report() -> None:
    made = made_cure(4, step=5.0)
    made.temps[700, 1] += 6.0  # one high reading
    made.temps[900:960, 0] = np.nan
    keep = (made.times < 6000) | (made.times > 6300)
    made.times, made.temps = made.times[keep], made.temps[keep]
    made.vacuum, made.set_point = made.vacuum[keep], made.set_point[keep]
    log = made.log()
    verdict = judge(RECIPE, log)
    report = make_report(RECIPE, log, verdict)
    traces = {t.name: t for t in report.traces}
    assert len(traces["TC1"].pieces) == 3
    assert len(traces["TC2"].pieces) == 2
    for trace, channel in zip(report.traces, log.channels, strict=True):
        values = [v for p in trace.pieces for v in p.values]
        assert len(values) < 1000 < len(log)
        assert max(values) == np.nanmax(channel.values)
        assert min(values) == np.nanmin(channel.values)
        for piece in trace.pieces:
            assert np.all(np.diff(piece.times) > 0)
            assert np.all(np.isin(piece.times, log.times))
    assert [b.name for b in report.bands] == ["cure"]
    assert report.channels[0].missing == 60
    assert report.digest == log.digest
    data = json.loads(report.to_json())
    assert data["verdict"]["outcome"] == verdict.outcome.value
    assert report.to_json() == make_report(RECIPE, log, judge(RECIPE, log)).to_json()


def test_what_was_not_judged_is_told_in_the_readers_units() -> None:
    """A report in inches named wires "told from 90 C"."""
    log = made_cure(4).log()
    verdict = judge(RECIPE, log)
    for view, unit, other in (("mm", " C)", " F)"), ("in", " F)", " C)")):
        words = " ".join(make_report(RECIPE, log, verdict, view=view).not_judged)
        assert unit in words
        assert other not in words


@pytest.mark.parametrize(
    ("low", "high", "told"), [(0.6, 0.6, ""), (0.4, 0.6, "least of"), (0.6, 0.4, "most of")]
)
def test_a_limit_kept_by_less_than_half_a_digit_is_told(low: float, high: float, told: str) -> None:
    """In whole degrees 109.75 C reads 110 C and keeps a least of 110 C."""
    m = made()
    m.temps = np.round(m.temps - 273.15 + np.array([0.0, 1.0, 0.0, 1.0])) + 273.15
    hold = m.temps[(m.times > 3000) & (m.times < 6500)]
    dwell = {"band_low": limit(float(hold.min()) - low), "band_high": limit(float(hold.max()) + high)}
    r = recipe(dwell=dwell)
    words = [x for x in make_report(r, m.log(), judge(r, m.log())).not_judged if "as written keeps" in x]
    assert len(words) == bool(told)
    assert all(told in x and "steps of 1.0 C" in x for x in words)


def test_what_a_log_filled_up_or_exchanged_does_not_show_is_told() -> None:
    log = made_cure(4).log()
    words = " ".join(make_report(RECIPE, log, judge(RECIPE, log)).not_judged)
    parts = [
        "exchanged on the way",
        "clock ran at its rate",
        "exchanged from the first row",
        "fewer than three",
        "on straight lines",
        "within 0.5 C",
        "1 C;",
    ]
    for part in parts:
        assert part in words


def test_moments_of_a_report_are_told_by_the_clock_and_lengths_in_minutes() -> None:
    """From 0:09 h to 1:46 h, held 2.17 h, stood beside 08:49 and 60 s."""
    assert _moment(6359.6, "2026-11-25T08:40:00") == "10:26:00"
    assert _moment(6359.4, "T08:40:00") == "10:25:59"
    assert _moment(16 * 3600.0, "2026-11-25T08:40:00") == "00:40:00 (+1 d)"
    assert _moment(90.0, "") == "1.5 min"
    assert _moment(float("nan"), "T08:40:00") == ""


def test_values_have_as_many_digits_as_the_words_beside_them() -> None:
    """0.55 C/min beside a least of 0.50 read 0.5 beside 0.5."""
    assert _value(0.55 / 60, "temperature rate", "mm") == "0.55 C/min"
    assert _value(7812.0, "time", "mm") == _value(7812.0, "time", "in") == "130.2 min"
    assert _value(float("nan"), "time", "mm") == ""
    assert _value(1.0, "", "mm") == ""


def test_a_degree_of_cure_is_rounded_down_and_never_whole() -> None:
    """The report of an example read "100 %"."""
    assert [_degree(x) for x in (0.9, 0.94999, 0.9989, 0.99951, 1.0)] == [
        "90.0 %", "94.9 %", "99.8 %", "99.9 %", "99.9 %",
    ]  # fmt: skip
    assert _degree(float("nan")) == "not computed"
    book = VerdictRecorder(made_cure(4).log())
    book.measure("degree", 0.99996, RecipeLimit(0.95, "x"), "ratio", codes.DEGREE, most=False, decimals=3)
    assert "0.999, least 0.950" in book.reasons[0].words
    assert _reason(book.reasons[0], "mm")["value"] == "0.999"


def test_a_value_that_fails_never_reads_like_its_limit() -> None:
    """95.04 C over a maximum of 95 C read 95.0 C, most 95.0 C."""
    book = VerdictRecorder(made_cure(4).log())
    for value, words in (
        (368.19, "95.04 C, most 95.00 C"),
        (368.21, "95.1 C, most 95.0 C"),
        (368.15, "95.0 C, most"),
    ):
        book.measure("top", value, RecipeLimit(368.15, "x"), "temperature", codes.CEILING, most=True)
        assert words in book.reasons[-1].words
    shown = [(r["value"], r["limit"]) for r in (_reason(x, "mm") for x in book.reasons)]
    assert shown == [("95.04 C", "95.00 C"), ("95.1 C", "95.0 C"), ("95.0 C", "95.0 C")]
