"""What a verdict says: defaults, reasons, the reader's units."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from judge_lines import limit, made, recipe
from made_curelog import made_cure
from panelmend.plan.judge import Outcome, SensorRule, judge
from panelmend.plan.judge import codes as c
from panelmend.plan.judge.fault import length, length_up
from panelmend.plan.judge.said import apart, in_units, lengths_apart, show, time_left
from panelmend.plan.judge.verdict import VerdictRecorder
from recipe_curelog import LEAKY, RECIPE, against, cut, f

UNKNOWN, CONFORMS, DOES_NOT = Outcome.UNKNOWN, Outcome.CONFORMS, Outcome.DOES_NOT


def test_a_default_is_marked_and_waits_for_a_person() -> None:
    rule = SensorRule(
        3, "note 4", may_fail=0, may_fail_place="common practice, no source", may_fail_default=True
    )
    made = made_cure(1)
    made.temps[500:, 5] = np.nan
    verdict = judge(dataclasses.replace(RECIPE, sensors=rule), made.log())
    lost = next(r for r in verdict.against() if r.rule == "thermocouples lost")
    assert (lost.place, lost.default) == ("common practice, no source", True)
    assert c.UNCONFIRMED.code in {x.code for x in verdict.findings}


def test_a_conforming_dwell_shows_no_least_below_its_band() -> None:
    row = next(r for r in judge(RECIPE, made_cure(1).log()).segments if r.name == "cure")
    assert row.least >= f(240) - 0.5
    assert row.outcome == "conforms"


def test_a_cool_down_that_one_thermocouple_does_not_end_says_which() -> None:
    made = made_cure(1)
    low = made.temps[:, 3] < 330.0
    made.temps[low & (made.times > 5000), 3] = 330.0 + 0.01 * np.sin(made.times[low & (made.times > 5000)])
    verdict = judge(RECIPE, made.log())
    words = against(verdict)["cool-down"]
    assert "TC4" in words
    assert "TC1" not in words


def test_every_limit_of_a_reason_has_its_kind() -> None:
    made = made_cure(1)
    made.vacuum[:] = np.nan
    for log in (
        made.log(),
        cut(made_cure(2), 4000.0, 5500.0).log(),
        cut(made_cure(2), 3000.0, 99999.0).log(),
    ):
        for r in judge(LEAKY, log).reasons:
            assert math.isnan(r.limit) or r.kind, r.rule


def test_words_are_in_the_units_of_the_reader() -> None:
    made = made_cure(1, hold=f(235))
    metric, inch = (judge(LEAKY, made.log(), view=v) for v in ("mm", "in"))
    assert metric.outcome is inch.outcome is DOES_NOT
    words = "; ".join(r.words for r in inch.reasons) + "; ".join(x.words for x in inch.findings)
    assert " F" in words
    assert " C," not in words
    assert "kPa" not in words
    assert "never reached 115.6 C" in "; ".join(r.words for r in metric.reasons)
    assert "never reached 240.0 F" in words


@pytest.mark.parametrize(
    ("shown", "limit", "digits", "words"),
    [
        (3600.0, 4600.0, 0, ("60 min", "77 min")),
        (3930.0, 3990.0, 0, ("65.5 min", "66.5 min")),
        (3961.0, 3990.0, 0, ("66.0 min", "66.5 min")),
        (3989.0, 3990.0, 0, ("66.48 min", "66.50 min")),
        (30.0, 60.0, 0, ("30 s", "60 s")),
        (59.8, 60.0, 0, ("59.8 s", "60.0 s")),
        (90.0, 3600.0, 0, ("90 s", "60 min")),
        (119.8, 120.0, 0, ("1.997 min", "2.000 min")),
        (90000.0, 90010.0, 0, ("25.000 h", "25.003 h")),
        (3598.0, 3600.0, 1, ("59.97 min", "60.00 min")),
        (3500.0, 3600.0, 1, ("58.3 min", "60.0 min")),
        (3600.0, 3600.0, 0, ("3600.000000 s", "3600.000000 s")),
    ],
)
def test_a_time_that_does_not_keep_to_its_limit_is_told_apart_from_it(
    shown: float, limit: float, digits: int, words: tuple[str, str]
) -> None:
    """ "66 min are shown, 66 min are required" was said of 65.5 and 66.5."""
    assert lengths_apart(shown, limit, digits) == words


def test_a_dwell_short_by_a_second_says_so_wherever_it_is_told() -> None:
    m = made()
    m.temps[(m.times > 4000.0) & (m.times < 4100.0)] = np.nan
    how = recipe(dwell={"summed": True, "dwell_least": limit(4201.0)})  # 4291.7 s less 90 in the hole
    words = next(r.words for r in judge(how, m.log()).reasons if r.rule == "dwell")
    shown, required = words.split(" (summed) are shown, ")
    assert shown != required.split(" are required")[0], words
    assert (required.split(" are")[0], shown) == ("70.0 min", "69.9 min")


def test_the_end_that_a_gap_leaves_open_is_told_apart_from_its_limit() -> None:
    """The most was printed like the limit that it passes."""
    book = VerdictRecorder(made().log())
    most, code = limit(4600.0), c.DWELL_LONG
    out = book.measure("r", 4300.0, most, "time", code, most=True, decimals=1, between=(4300.0, 4601.0))
    assert out is UNKNOWN
    assert book.reasons[-1].words.endswith("from 71.7 min to 76.68 min")
    near = {"most": True, "decimals": 1, "between": (4300.0, 4600.1)}
    assert book.measure("r", 4300.0, most, "time", code, **near) is UNKNOWN  # type: ignore[arg-type]
    assert book.reasons[-1].words.endswith("from 71.7 min to 76.668 min"), "beside 76.667"
    least = {"most": False, "decimals": 1, "between": (4599.0, 4700.0)}
    assert book.measure("r", 4700.0, most, "time", c.DWELL_SHORT, **least) is UNKNOWN  # type: ignore[arg-type]
    assert book.reasons[-1].words.endswith("from 76.65 min to 78.3 min")


@pytest.mark.parametrize(
    ("shown", "limit", "words"),
    [
        (119.9, 120.0, ("1.998 min", "2.000 min")),  # two minutes are minutes
        (119.9, 119.99, ("119.9 s", "120.0 s")),
        (86401.0, 86400.0, ("24.0003 h", "24.0000 h")),
        (120.0, 86400.0, ("2 min", "24.0 h")),  # minutes beside hours, as each is told
        (119.6, 200.0, ("2 min", "3 min")),  # not "120 s" beside "3 min"
        (119.4, 200.0, ("119 s", "3 min")),
    ],
)
def test_two_times_apart_at_two_minutes_and_a_day(shown: float, limit: float, words: tuple[str, str]) -> None:
    assert lengths_apart(shown, limit) == words


def test_temperatures_apart_and_times_left_as_people_read_them() -> None:
    assert (apart(10.0), apart(10.0, decimals=1, signed=True)) == ("10 K", "+10.0 K")
    with in_units("in"):
        assert (apart(10.0), apart(-10.0, decimals=1, signed=True)) == ("18 F", "-18.0 F")
    assert [time_left(x) for x in (119.0, 119.9999999, 119.99, 150.0)] == ["119 s", "2 min", "119 s", "2 min"]
    assert (show(7200.0, "time"), show(7200.0, "time", unit="h")) == ("120 min", "2 h")


@pytest.mark.parametrize(
    ("seconds", "up", "near"),
    [
        (85.0, "85 s", "85 s"),
        (85.1, "86 s", "85 s"),
        (180.0, "3 min", "3 min"),
        (180.0000001, "3 min", "3 min"),  # of floating arithmetic
        (180.01, "4 min", "3 min"),
        (200.0, "4 min", "3 min"),  # 3 min was printed of a gap of 200 s
        (86400.0, "24.0 h", "24.0 h"),
        (86500.0, "24.1 h", "24.0 h"),
    ],
)
def test_how_long_something_was_hidden_is_rounded_up(seconds: float, up: str, near: str) -> None:
    assert (length_up(seconds), length(seconds)) == (up, near)
