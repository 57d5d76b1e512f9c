"""More of the cure plan's drawings: the enlarged dwell, the bars of what moves it, a panel's edge, drafts."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from examples_here import case
from made_cures import predicted_plan, pretended_plan
from made_prediction import made_map
from panelmend.job.cure.prediction import Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.plan.plan import Plan
from panelmend.render.cure_plan import MAP, cure_plan_pdf, map_scales
from panelmend.render.strokes import Stroke
from panelmend.render.views.drivers import drivers_view, sorted_drivers
from panelmend.render.views.heat_map import MapsShown, heat_map, map_frame, map_scale
from panelmend.render.views.heat_traces import clipped, curves_of, dwell_axes, whole_axes
from panelmend.render.views.sheet import Looking
from panelmend.shapes import polygon
from panelmend.units import KINDS
from render_pages import page_words


@pytest.fixture(scope="module")
def demo() -> Plan:
    return predicted_plan(case("gear_door"))


def _first(plan: Plan) -> tuple[HeatProblem, Prediction]:
    assert plan.work is not None
    operation = plan.work.cure.operations[0]
    assert operation.problem is not None
    assert operation.prediction is not None
    return operation.problem, operation.prediction


@pytest.mark.parametrize("view", ["mm", "in"])
def test_what_is_left_of_a_curve_in_a_frame_lies_on_the_curve(demo: Plan, view: str) -> None:
    problem, prediction = _first(demo)
    curves = curves_of(prediction, problem)
    drawn = 0
    for axes in (
        whole_axes(prediction, problem, curves, view, 165.0),
        dwell_axes(prediction, problem, curves, view, 165.0),
    ):
        x0, y0 = axes.base
        scale, offset = KINDS["temperature"].units[axes.unit]
        for curve in curves:
            for x, y in (p for piece in clipped(curve, axes) for p in piece):
                assert x0 - 1e-9 <= x <= x0 + axes.width + 1e-9
                assert y0 - 1e-9 <= y <= y0 + axes.height + 1e-9
                time = axes.start + (axes.end - axes.start) * (x - x0) / axes.width
                shown = axes.bottom + (axes.top - axes.bottom) * (y - y0) / axes.height
                assert shown * scale + offset == pytest.approx(curve.value(time), abs=1e-6)
                drawn += 1
    assert drawn > 500


def test_the_enlarged_dwell_cuts_no_peak_of_the_bond_line(demo: Plan) -> None:
    problem, prediction = _first(demo)
    curves = curves_of(prediction, problem)
    axes = dwell_axes(prediction, problem, curves, "mm", 165.0)
    assert prediction.dwell_from is not None
    times = [t for t in prediction.times if prediction.dwell_from <= t <= axes.end]
    shown = [c for c in curves if c.kind in ("hottest", "coldest", "sensor")]
    assert len(shown) >= 5
    assert max(c.value(t) for c in shown for t in times) <= axes.top + 273.15


def test_bars_are_as_long_as_what_they_stand_for_moves(demo: Plan) -> None:
    _, prediction = _first(demo)
    assert prediction.likelihood is not None
    drivers = prediction.likelihood.drivers
    view = drivers_view(drivers, prediction.unknowns, "mm")
    bars = [f for f in view.flats if isinstance(f, Stroke) and f.fill in ("warn", "less")]
    lengths = [f.box()[2] - f.box()[0] - (f.ink.width if f.ink else 0.0) for f in bars]
    moved = [abs(v) for d in sorted_drivers(drivers) for v in (d.hottest, d.coldest)]
    assert len(bars) == 2 * len(drivers)
    assert [a / lengths[0] for a in lengths] == pytest.approx([m / moved[0] for m in moved], rel=1e-9)


def test_nothing_is_coloured_beyond_the_panel(demo: Plan) -> None:
    problem, prediction = _first(demo)
    x0, y0, _, y1 = problem.panel.bounds
    (cx, _), _ = problem.frame
    cut = replace(problem, panel=polygon([(x0, y0), (cx, y0), (cx, y1), (x0, y1)]))
    m = made_map(cut, "at some time", prediction.hottest.time, "repair side")
    assert any(k is None for row in m.kelvin for k in row)
    scale = map_scales(cut, (m,), "mm")[0]
    view = heat_map(MapsShown(demo.case, cut, cut.bond, (), ()), m, scale, MAP)
    wx0, wy0, wx1, wy1 = map_frame(cut, Looking(cut.side))
    k = 1e3 * map_scale(wx1 - wx0, wy1 - wy0, MAP)
    fields = [f for f in view.flats if isinstance(f, Stroke) and f.fill in scale.colours and f.ink is None]
    assert fields
    cell = math.hypot(m.u[1] - m.u[0], m.v[1] - m.v[0])
    assert max(f.box()[2] for f in fields) <= k * (cx + cell)


def test_every_page_of_a_stop_says_so() -> None:
    plan = pretended_plan(case("access_door_no_fit"))
    assert plan.mark == "STOP"
    for page in page_words(cure_plan_pdf(plan)):
        words = "".join(page.split())
        assert "STOP" in words
        assert "INVENTED" in words
        assert plan.short_digest in words
