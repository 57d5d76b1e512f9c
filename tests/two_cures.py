"""The gear door with made-up cures and blankets, no two figures alike, to read pages by."""

from __future__ import annotations

import math
from dataclasses import replace

from examples_here import case_from, edited, text
from made_prediction import made_prediction
from panelmend.job.cure.prediction import Advice, CureState, Limit, LimitRow, PlannedSensor, Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan

BAND = (333.15, 350.15)  # [K] 60 C and 77 C
OTHER_BLANKETS = (
    (
        '{ id = "HB-21", length = "508 mm", width = "508 mm", power_density = "7750 W/m2"',
        '{ id = "HB-21", length = "508 mm", width = "508 mm", power_density = "6000 W/m2"',
    ),
    ('{ id = "socket 5", rating = "16 A"', '{ id = "socket 5", rating = "20 A"'),
    ('cure = "Repair plies"\nset_point', 'cure = "Repair plies"\nblanket = "HB-24"\nset_point'),
)


def celsius(value: float) -> float:
    return value + 273.15


def placed(problem: HeatProblem, ahead: float, left: float) -> tuple[float, float]:
    """A place in standard axes from its two measures [m] along and across the opening, from outside."""
    (x, y), a = problem.frame
    return x + ahead * math.cos(a) - left * math.sin(a), y + ahead * math.sin(a) + left * math.cos(a)


def first(problem: HeatProblem) -> Prediction:
    """Of the first cure: it holds."""
    made = made_prediction(problem)
    return replace(
        made,
        coldest=replace(made.coldest, kelvin=celsius(61.4)),
        hottest=replace(made.hottest, kelvin=celsius(72.8)),
        worst=1.4,
        duration=4 * 3600.0 + 11 * 60.0,
        overshoot=3.7,
        dwell_from=95 * 60.0,
        dwell_to=217 * 60.0,
        coldest_arrives=93 * 60.0,
        duty=(0.83, 0.31),
        limits=(
            LimitRow("too cold", "bond", BAND[0], celsius(61.4), "temperature", "above", 1.4, Limit.COLDEST),
            LimitRow("too slow", "paste", 7500.0, 5580.0, "time", "below", 1920.0, Limit.HELD_LONG),
        ),
        sensors=(
            PlannedSensor(
                "T7", placed(problem, 0.031, -0.022), "repair side", "coldest", "by the rib",
                celsius(62), celsius(65), 5640.0, 0.6, 7.1,
            ),
            PlannedSensor(
                "T8", placed(problem, -0.042, 0.013), "far face", "hottest", "by the lead",
                celsius(67), celsius(71), 4920.0, 5.2, -0.9,
            ),
        ),
        cured=(CureState("paste of the plug", 0.87, 0.94, celsius(98)),),
        advice=(Advice("go slower", "choice.heat.rate", 1.4, 4.1, 18000.0, True, (11, 17, 20)),),
    )  # fmt: skip


def second(problem: HeatProblem) -> Prediction:
    """Of the second cure: it does not."""
    made = made_prediction(problem)
    assert made.likelihood is not None
    return replace(
        made,
        coldest=replace(made.coldest, kelvin=celsius(75.2)),
        hottest=replace(made.hottest, kelvin=celsius(85.9)),
        worst=-1.8,
        duration=5 * 3600.0 + 23 * 60.0,
        overshoot=6.1,
        dwell_from=125 * 60.0,
        dwell_to=251 * 60.0,
        coldest_arrives=121 * 60.0,
        duty=(0.77, 0.29),
        limits=(
            LimitRow("too cold", "bond", BAND[1], celsius(75.2), "temperature", "above", -1.8, Limit.COLDEST),
            LimitRow("too fast", "skin", 3 / 60, 2.45 / 60, "rate", "below", 0.55 / 60, Limit.RISE),
        ),
        sensors=(
            PlannedSensor(
                "T7", placed(problem, 0.051, 0.062), "repair side", "coldest", "by the hinge",
                celsius(76), celsius(79), 7320.0, 1.1, 8.3,
            ),
        ),
        cured=(CureState("laminating resin", 0.81, 0.9, celsius(111)),),
        advice=(),
        likelihood=replace(made.likelihood, everything=255, firm=241),
    )  # fmt: skip


def two_cures() -> Plan:
    """The plan: its first cure holds every limit, its second does not."""
    document = edited(text("gear_door"), *OTHER_BLANKETS)
    made = case_from(document)
    work = make_plan(made).work
    assert work is not None
    core, plies = (o.problem for o in work.cure.operations)
    assert core is not None
    assert plies is not None
    return make_plan(made, predictions={core.digest(): first(core), plies.digest(): second(plies)})
