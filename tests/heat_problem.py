"""Cure problems for tests: the demo's, and the same changed, mirrored, or made plain."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from examples_here import case, case_from, edited, text
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.problem import HeatProblem, HeatSource
from panelmend.plan.make import make_plan
from panelmend.predict.model import SensorSpot
from panelmend.shapes import Outline


@cache
def operations(*changes: tuple[str, str], name: str = "gear_door") -> tuple[CureOperation, ...]:
    """The cure operations of an example, with changes of its text."""
    if not changes:
        plan = make_plan(case(name))
    else:
        made = edited(text(name), *changes)
        plan = make_plan(case_from(made))
    assert plan.work is not None
    return plan.work.cure.operations


def demo(number: int = 2, *changes: tuple[str, str]) -> HeatProblem:
    """The problem of one operation of the demo."""
    problem = operations(*changes)[number - 1].problem
    assert problem is not None
    return problem


# The demo's plies without the caul sheet, cooler: the resin's own heat shows in full.
BARE = (
    ('caul_sheet = { material = "demo-caul-sheet", margin = "25 mm" }\n', ""),
    ('set_point = "79 C"\nrate = "0.55 C/min"', 'set_point = "77.3 C"\nrate = "0.52 C/min"'),
)


def bare() -> HeatProblem:
    """The problem of the demo's plies without its caul sheet."""
    return demo(2, *BARE)


def mirrored(problem: HeatProblem) -> HeatProblem:
    """The same turned over about the 0-degree direction."""

    def m(outline: Outline) -> Outline:
        return outline.mirrored_y()

    def maybe(outline: Outline | None) -> Outline | None:
        return None if outline is None else m(outline)

    def source(s: HeatSource) -> HeatSource:
        return replace(s, heated=m(s.heated), outer=m(s.outer))

    (x, y), angle = problem.frame
    core = problem.core
    assert core is not None
    return replace(
        problem,
        frame=((x, -y), -angle),
        panel=m(problem.panel),
        sheets=tuple(replace(s, outline=maybe(s.outline), without=maybe(s.without)) for s in problem.sheets),
        core=replace(core, ribbon=-core.ribbon, solid=tuple(m(o) for o in core.solid), band=maybe(core.band)),
        curing=tuple(replace(c, parts=tuple((h, m(o)) for h, o in c.parts)) for c in problem.curing),
        ribs=tuple(replace(r, outline=m(r.outline)) for r in problem.ribs),
        source=source(problem.source),
        source_behind=None if problem.source_behind is None else source(problem.source_behind),
        larger=None if problem.larger is None else source(problem.larger),
        bled=None
        if problem.bled is None
        else replace(
            problem.bled,
            parts=tuple((mass, m(o)) for mass, o in problem.bled.parts),
            bleeder=m(problem.bled.bleeder),
        ),
        bond=m(problem.bond),
        floor=maybe(problem.floor),
        seal_line=m(problem.seal_line),
        sensor_line=m(problem.sensor_line),
        sensors=tuple((n, (px, -py)) for n, (px, py) in problem.sensors),
    )


def spots(problem: HeatProblem) -> tuple[SensorSpot, ...]:
    """Its thermocouples as the model takes them."""
    return tuple(SensorSpot(n, at) for n, at in problem.sensors)
