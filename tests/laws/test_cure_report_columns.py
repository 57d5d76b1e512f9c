"""What stands in which column of a cure report, each number another one."""

from __future__ import annotations

from dataclasses import replace

import pytest

from examples_here import case
from made_curelog import made_cure
from panelmend.plan.judge import CureReport, judge, make_report
from panelmend.plan.judge.report import ChannelRow
from panelmend.plan.judge.verdict import SegmentRow
from panelmend.render.cure_report import cure_data
from recipe_curelog import RECIPE


@pytest.fixture(scope="module")
def report() -> CureReport:
    """A dwell half an hour after midnight, 77 to 83 C, and a thermocouple that was lost at its end."""
    log = made_cure(4).log()
    verdict = judge(RECIPE, log)
    dwell = SegmentRow(
        "cure", "dwell", 3600.0, 7260.0, "TC2", "TC1", 350.15, 356.15, 3630.0, "does not conform"
    )
    cool = replace(dwell, name="cool-down", kind="cool", outcome="conforms")
    lost = ChannelRow("TC1", "thermocouple", 293.15, 357.15, 3, 7260.0)
    gauge = ChannelRow("VAC", "vacuum", 2.2 * 33863.89, 2.5 * 33863.89, 0, float("nan"))
    return replace(
        make_report(RECIPE, log, verdict),
        started="2026-11-25T23:30:00",
        verdict=replace(verdict, segments=(dwell, cool)),
        channels=(lost, gauge),
    )


def test_each_figure_of_a_segment_and_a_channel_stands_under_its_own_head(report: CureReport) -> None:
    """23:30 and an hour is half past midnight of the next day; the least is the colder of the two."""
    shown = cure_data(report, case("gear_door").document)
    dwell, cool = shown["segments"]
    assert dwell == {
        "name": "cure",
        "start": "00:30:00 (+1 d)",
        "end": "01:31:00 (+1 d)",
        "least": "77.0 C",
        "most": "83.0 C",
        "slowest": "TC2",
        "held": "60.5 min",
        "outcome": "does not conform",
    }
    assert (cool["held"], cool["outcome"]) == ("", "conforms")
    couple, gauge = shown["channels"]
    assert (couple["least"], couple["most"], couple["missing"]) == ("20.0 C", "84.0 C", "3")
    assert couple["lost"] == "01:31:00 (+1 d)"
    assert (gauge["least"], gauge["most"], gauge["lost"]) == ("22.0 inHg", "25.0 inHg", "")
