"""What a verdict says: defaults, reasons, the reader's units."""

from __future__ import annotations

import dataclasses
import math

import numpy as np

from made_curelog import made_cure
from panelmend.plan.judge import Outcome, SensorRule, judge
from panelmend.plan.judge import codes as c
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
