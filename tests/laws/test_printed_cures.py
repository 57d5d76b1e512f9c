"""The tables of a printed cure plan and cure report, each cell under its own head: read off the page.

Every value below is another one and written by hand, so that two columns or two cures exchanged show.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from examples_here import case
from made_curelog import made_cure as made_log_of
from panelmend.plan.judge import Outcome, judge, make_report
from panelmend.plan.judge.report import ChannelRow, Provenance
from panelmend.plan.judge.verdict import Reason, SegmentRow
from panelmend.plan.plan import Plan
from panelmend.render.cure_plan import cure_plan_pdf
from panelmend.render.cure_report import cure_sheets
from recipe_curelog import RECIPE
from render_pages import flat, page_words
from two_cures import celsius, two_cures


@pytest.fixture(scope="module")
def plan() -> Plan:
    return two_cures()


@pytest.fixture(scope="module")
def pages(plan: Plan) -> list[str]:
    """The words of the first cure, of the second, and of what comes behind."""
    said = flat(*page_words(cure_plan_pdf(plan)))
    one, two, air = said.index("1.Coreandcap"), said.index("2.Repairplies"), said.index("Whatthevacuummeans")
    return [said[:one], said[one:two], said[two:air], said[air:]]


def test_the_first_page_has_each_cure_with_its_own_figures(pages: list[str]) -> None:
    head = ("Operation", "Every limit", "Coldest in the dwell", "Hottest", "Least margin", "Whole cycle")
    assert flat(*head, "Cases that keep all limits") in pages[0]
    assert flat("61.4 C", "72.8 C", "+1.4 C", "4 h 11", "301 of 400 (290)") in pages[0]
    assert flat("75.2 C", "85.9 C", "-1.8 C", "5 h 23", "255 of 400 (241)") in pages[0]
    assert pages[0].index("61.4C") < pages[0].index("Repairplies") < pages[0].index("75.2C")


def test_what_is_set_and_expected_of_each_cure(pages: list[str]) -> None:
    one = (
        "Set point", "64 C", "Rate of the ramp", "0.53 C/min", "Follows", "the lagging thermocouple",
        "Least vacuum", "22.0 inHg",
    )  # fmt: skip
    assert flat(*one) in pages[1]
    assert flat("Coldest place enters the band", "1 h 33") in pages[1]
    assert flat("Dwell as the controller counts it", "1 h 35 to 3 h 37") in pages[1]
    assert flat("Hottest beyond the set point", "+3.7 C") in pages[1]
    assert flat("Duty of the blanket, at most", "83 %, in the dwell 31 %") in pages[1]
    assert flat("Set point", "79 C", "Rate of the ramp", "0.55 C/min") in pages[2]
    assert flat("Coldest place enters the band", "2 h 01") in pages[2]
    assert flat("Dwell as the controller counts it", "2 h 05 to 4 h 11") in pages[2]
    assert flat("Hottest beyond the set point", "+6.1 C") in pages[2]
    assert flat("Duty of the blanket, at most", "77 %, in the dwell 29 %") in pages[2]
    assert flat("51-30-04 fig 2, cure A") in pages[1]
    assert flat("51-30-04 fig 2, cure B") in pages[2]


def test_each_blanket_stands_with_its_own_circuit_and_load(pages: list[str]) -> None:
    """7750 and 6000 W/m2 over 0.508 m squared, 7750 over 0.61 m squared; 230 V; 80 % of 16 A and of 20 A."""
    assert flat("Blanket", "Circuit", "Power", "Current", "Allowed for hours") in pages[1]
    assert flat("HB-20", "socket 4", "2000 W", "8.7 A", "12.8 A") in pages[1]
    assert flat("HB-21", "socket 5", "1548 W", "6.7 A", "16.0 A") in pages[1]
    assert flat("HB-24", "socket 4", "2884 W", "12.5 A", "12.8 A") in pages[2]
    assert "HB-24" not in pages[1]


def test_each_limit_stands_beside_what_is_predicted_against_it(pages: list[str]) -> None:
    head = flat("What", "Where", "Limit", "Predicted", "Margin")
    one, two = pages[1][pages[1].index(head) :], pages[2][pages[2].index(head) :]
    assert flat("too cold", "bond", "at least 60.0 C", "61.4 C", "+1.4 C", "✓ held") in one
    assert flat("too slow", "paste", "at most 2 h 05", "1 h 33", "+32 min", "✓ held") in one
    assert flat("too cold", "bond", "at least 77.0 C", "75.2 C", "-1.8 C", "✗ NOT HELD") in two
    assert flat("too fast", "skin", "at most 3.00 C/min", "2.45 C/min", "+0.55 C/min", "✓ held") in two


def test_a_thermocouple_stands_with_its_place_and_readings(pages: list[str], plan: Plan) -> None:
    """Ahead and left are positive along and across the opening; distances from the edge by points of it."""
    head = ("No.", "Where", "Why there", "Reads in the dwell", "Enters the band", "Unseen, at most")
    assert flat(*head) in pages[1]
    assert plan.work is not None
    for page, number, row in (
        (1, 1, ("T7", "31.0 mm ahead, 22.0 mm right", "repair side", "by the rib", "62 to 65 C", "1 h 34",
                "coldest 0.6 C colder, hottest 7.1 C hotter")),
        (1, 1, ("T8", "42.0 mm back, 13.0 mm left", "opposite side", "by the lead", "67 to 71 C", "1 h 22",
                "coldest 5.2 C colder, hottest 0.9 C cooler")),
        (2, 2, ("T7", "51.0 mm ahead, 62.0 mm left", "repair side", "by the hinge", "76 to 79 C", "2 h 02",
                "coldest 1.1 C colder, hottest 8.3 C hotter")),
    ):  # fmt: skip
        name, where, face, *rest = row
        found = re.search(
            re.escape(flat(name, where)) + r"([\d.]+)mminsidethepatch'sedge," + re.escape(flat(face, *rest)),
            pages[page],
        )
        assert found, row
        operation = plan.work.cure.operations[number - 1]
        at = (
            next(s.at for s in operation.prediction.sensors if s.id == name) if operation.prediction else None
        )
        assert at is not None
        patch = next(b.patch for b in plan.work.bag.operations if b.number == number)
        off = min(math.dist(at, s.at(i / 400.0)) for s in patch.segments() for i in range(401))
        assert float(found[1]) == pytest.approx(1e3 * off, abs=0.06)


def test_what_would_change_it_and_how_far_it_cures(pages: list[str]) -> None:
    head = ("Change", "Margin now", "Then", "Gain", "Whole cycle then", "Every limit, likely values")
    assert flat(*head, "Quick cases that hold") in pages[1]
    row = (
        "go slower",
        "choice.heat.rate",
        "+1.4 C",
        "+4.1 C",
        "+2.7 C",
        "5 h",
        "✓ held",
        "17 of 20 (now 11)",
    )
    assert flat(*row) in pages[1]
    cured = ("Resin", "Degree of cure", "Glass transition of the least cured")
    assert flat(*cured, "paste of the plug", "87 % to 94 %", "98 C") in pages[1]
    assert flat(*cured, "laminating resin", "81 % to 90 %", "111 C") in pages[2]


def test_each_kind_of_limit_has_its_own_count_of_cases(pages: list[str]) -> None:
    for row in (
        ("the whole bond line stays in the band through the dwell", "322 of 400"),
        ("nothing of it passes the maximum temperature", "380 of 400"),
        ("panel, structure, blanket and insulation keep their limits", "310 of 400"),
        ("times, rates, spread, other dwells and a blanket behind keep theirs", "330 of 400"),
        ("the temperatures as the thermocouples show them would conform", "350 of 400"),
        ("so they would while a limit is broken: a good log of a bad cure", "74 of 400"),
    ):
        assert flat(*row) in pages[1]
    assert flat("Unknown", "Taken", "Range looked at", "Ground") in pages[1]


def test_what_the_vacuum_means_in_each_operation(pages: list[str]) -> None:
    """22 inHg are 74.5 kPa and leave 24.0 of 98.5; 1 inHg in 60 s from 924 and 1260 cm3 of gas.

    The gas stands in 2.5 mm of breather under 0.608 and 0.710 m squared: 0.924 l and 1.260 l.
    """
    head = (
        "Operation", "Least at the gauge", "Pressure on the lay-up", "Left under the bag, absolute",
        "Water boils there at", "Cannot be reached above", "Leak that still passes",
    )  # fmt: skip
    assert flat(*head) in pages[3]
    one, two = (3386.389 * 2.5e-3 * side**2 / 60.0 for side in (0.608, 0.710))
    for name, leak in (("Core and cap", one), ("Repair plies", two)):
        row = (name, "22.0 inHg", "74.5 kPa", "24.0 kPa", "64 C", "2519 m", f"{leak:.3f} Pa m3/s")
        assert flat(*row) in pages[3]


def reason(outcome: Outcome, rule: str, value: float, limit: float, kind: str, line: int) -> Reason:
    return Reason(
        outcome, rule, "cure", "TC3", 6000.0, f"10:1{line}:00", line, value, limit, kind,
        f"fig {line}", False, f"{rule}: seen {line}",
    )  # fmt: skip


@pytest.fixture(scope="module")
def report() -> str:
    """The words of a report whose every cell is another one."""
    log = made_log_of(4).log()
    verdict = judge(RECIPE, log)
    dwell = SegmentRow(
        "hold", "dwell", 3600.0, 7260.0, "TC2", "TC1", celsius(77), celsius(83), 3630.0, "does not conform"
    )
    ramp = replace(
        dwell, name="ramp", kind="ramp", start=300.0, end=3540.0, slowest="TC4", least=celsius(21),
        most=celsius(76), outcome="conforms",
    )  # fmt: skip
    reasons = (
        reason(Outcome.DOES_NOT, "Too warm", celsius(91.3), celsius(88), "temperature", 3),
        reason(Outcome.CONFORMS, "Ramp kept", 2.41 / 60, 3 / 60, "temperature rate", 5),
        reason(Outcome.CONFORMS, "Bag tight", 23.4 * 3386.389, 22 * 3386.389, "vacuum", 7),
        reason(Outcome.CONFORMS, "Held on", 7500.0, 7200.0, "time", 8),
    )
    channels = (
        ChannelRow("TC1", "thermocouple", celsius(20), celsius(84), 3, 7260.0),
        ChannelRow("VAC", "vacuum", 22.4 * 3386.389, 25.1 * 3386.389, 5, float("nan")),
    )
    columns = (("TC1", "thermocouple", "C", ""), ("VAC", "vacuum", "inHg", "falls"))
    provenance = Provenance(
        "the-file.csv", "an encoding", "a zone", columns, "somebody", "some air", "a leak", "a window",
        "a logger", "on what", "0.0.1",
    )  # fmt: skip
    made = replace(
        make_report(RECIPE, log, verdict),
        title="cure Q",
        started="2026-11-25T08:00:00",
        length=17220.0,
        samples=288,
        verdict=replace(
            verdict, segments=(ramp, dwell), reasons=reasons, degree=0.9137, glass=celsius(101.6)
        ),
        channels=channels,
        provenance=provenance,
    )
    return flat(*page_words(cure_sheets(made, case("gear_door").document).pdf()))


def test_the_head_of_a_report_says_each_thing_of_its_own(report: str) -> None:
    for fact in (
        ("Repair", "TAS-26-0417"),
        ("Panel", "Main gear door, left"),
        ("Approved data", "M3-SRM rev 11"),
        ("Cure cycle", "cure Q"),
        ("Log begins", "2026-11-25 08:00:00"),
        ("Length", "287 min, 288 samples"),
        ("Panel part number", "M3-5201-17-1"),
        ("Panel serial number", "0088"),
        ("Aircraft, registration", "Marlet 3, QT-MLA"),
        ("Judged on", "on what"),
        ("Degree of cure, slowest", "91.3 %"),
        ("Glass transition, slowest", "101.6 C"),
    ):
        assert flat(*fact) in report, fact


def test_segments_rules_and_channels_stand_under_their_heads(report: str) -> None:
    segments = ("Segment", "From", "To", "Least", "Most", "Slowest", "Held", "Outcome")
    ramp = ("ramp", "08:05:00", "08:59:00", "21.0 C", "76.0 C", "TC4", "conforms")
    dwell = ("hold", "09:00:00", "10:01:00", "77.0 C", "83.0 C", "TC2", "60.5 min", "does not conform")
    assert flat(*segments, *ramp, *dwell) in report
    rules = ("Outcome", "Rule", "What was seen", "Value", "Limit", "When")
    first_row = ("does not conform", "Too warm", "cure, TC3 seen 3", "fig 3", "91.3 C", "88.0 C")
    assert flat(*rules, *first_row, "10:13:00, line 3") in report
    for row in (
        ("Ramp kept", "cure, TC3 seen 5", "fig 5", "2.41 C/min", "3.00 C/min", "10:15:00, line 5"),
        ("Bag tight", "cure, TC3 seen 7", "fig 7", "23.4 inHg", "22.0 inHg", "10:17:00, line 7"),
        ("Held on", "cure, TC3 seen 8", "fig 8", "125.0 min", "120.0 min", "10:18:00, line 8"),
    ):
        assert flat("conforms", *row) in report, row
    channels = ("Channel", "Taken as", "Least", "Most", "Missing", "Lost at")
    one = ("TC1", "thermocouple, C", "20.0 C", "84.0 C", "3", "10:01:00")
    two = ("VAC", "vacuum, inHg, falls", "22.4 inHg", "25.1 inHg", "5")
    assert flat(*channels, *one, *two, "Log file") in report


def test_where_a_log_came_from_stands_line_by_line(report: str) -> None:
    for row in (
        ("Log file", "the-file.csv", "SHA-256"),
        ("Encoding", "an encoding", "Time zone as written", "a zone"),
        ("Reading answered by", "somebody", "Air pressure", "some air", "Leak test as typed", "a leak"),
        ("Times of the job", "a window", "Logger and gauges", "a logger", "Judged by", "panelmend 0.0.1"),
    ):
        assert flat(*row) in report, row
