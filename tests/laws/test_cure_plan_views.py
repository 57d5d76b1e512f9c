"""The drawings of the cure plan: things stand where their values say, colours keep their order."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest
from shapely import Point as ShapelyPoint
from shapely import Polygon

from examples_here import case
from made_cures import predicted_plan, pretended_plan
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import Prediction, Trace
from panelmend.job.cure.problem import HeatProblem
from panelmend.plan.plan import Plan
from panelmend.render.cure_plan import MAP, PLACES, bench_of, map_scales
from panelmend.render.heat_colours import COLDER, HeatScale, even_colours, scale_for
from panelmend.render.heat_field import Field
from panelmend.render.strokes import Label, Stroke
from panelmend.render.views.heat_map import SAME, MapsShown, heat_map, triangle
from panelmend.render.views.heat_places import places_view
from panelmend.render.views.heat_traces import PENS, curves_of, dwell_view, whole_view
from panelmend.render.views.sheet import View
from panelmend.units import KINDS, to_unit, unit_for

ROOM = 0.35  # [mm] box of a label judged wider than its letters


@pytest.fixture(scope="module", params=["gear_door", "flap_rib_bay", "cowling"])
def plan(request: pytest.FixtureRequest) -> Plan:
    """In mm, in inches, and worked from the inside."""
    made = case(request.param)
    return pretended_plan(made) if request.param == "cowling" else predicted_plan(made)


def _operations(plan: Plan) -> list[tuple[CureOperation, HeatProblem, Prediction]]:
    assert plan.work is not None
    found = [(o, o.problem, o.prediction) for o in plan.work.cure.operations]
    made = [(o, p, q) for o, p, q in found if p is not None and q is not None]
    assert made, "nothing is predicted"
    return made


def _shown(plan: Plan, problem: HeatProblem, found: Prediction) -> MapsShown:
    assert plan.work is not None
    cutout = plan.work.cutout.opening.outline
    return MapsShown(plan.case, problem, cutout, found.sensors, (found.hottest, found.coldest))


def _views(plan: Plan) -> list[View]:
    made = []
    for operation, problem, found in _operations(plan):
        view = plan.case.view
        made += [whole_view(found, problem, view), dwell_view(found, problem, view)]
        shown = _shown(plan, problem, found)
        scales = map_scales(problem, found.maps, view)
        made += [heat_map(shown, m, s, MAP) for m, s in zip(found.maps, scales, strict=True)]
        bench = bench_of(plan, operation)
        made.append(places_view(plan.case, bench, problem.source.heated, operation.sensors, PLACES))
    return made


def _labels(view: View) -> list[Label]:
    return [f for f in view.flats if isinstance(f, Label)]


def _kelvin(value: float, view: str) -> float:
    scale, offset = KINDS["temperature"].units[unit_for("temperature", view)]
    return value * scale + offset


def _minutes(words: str) -> float | None:
    """A tick of the time axis: ``45 min``, ``2 h``, ``2 h 30``."""
    parts = words.split()
    if parts[1:] == ["min"]:
        return float(parts[0])
    if len(parts) in (2, 3) and parts[1] == "h":
        return 60.0 * float(parts[0]) + float(parts[2] if len(parts) == 3 else 0)
    return None


def test_curves_stand_where_the_axes_say(plan: Plan) -> None:
    """Read back through the numbers printed on the axes, not through the code that placed them."""
    unit = unit_for("temperature", plan.case.view)
    for _, problem, found in _operations(plan):
        view = whole_view(found, problem, plan.case.view)
        rows = [
            (f.y, float(f.words.removesuffix(f" {unit}")))
            for f in _labels(view)
            if f.anchor == "right" and f.words.removesuffix(f" {unit}").lstrip("-").isdigit()
        ]
        marks = [
            (f.x, m) for f in _labels(view) if f.colour == "grey" and (m := _minutes(f.words)) is not None
        ]
        assert len(rows) > 4
        assert len(marks) > 3
        (y0, v0), (y1, v1) = rows[0], rows[-1]
        (x0, m0), (x1, m1) = marks[0], marks[-1]
        for name, ink in (
            ("hottest", PENS["hottest"]),
            ("coldest", PENS["coldest"]),
            ("set point", PENS["set point"]),
        ):
            kelvin = (
                found.set_point
                if name == "set point"
                else next(t.kelvin for t in found.traces if t.kind == name)
            )
            strokes = [f for f in view.flats if isinstance(f, Stroke) and f.ink == ink]
            points = max((s.loops[0].rows for s in strokes), key=len)
            assert len(points) == len(found.times)
            for (x, y, _), time, value in zip(points, found.times, kelvin, strict=True):
                assert m0 + (m1 - m0) * (x - x0) / (x1 - x0) == pytest.approx(time / 60.0, abs=0.05)
                assert _kelvin(v0 + (v1 - v0) * (y - y0) / (y1 - y0), plan.case.view) == pytest.approx(
                    value, abs=0.05
                )


def test_marks_of_a_map_stand_where_they_belong(plan: Plan) -> None:
    """The scale written on a map gives every place back; from the inside everything is turned over."""
    for _, problem, found in _operations(plan):
        shown, turned = _shown(plan, problem, found), 1.0 if problem.side == "outside" else -1.0
        for m, scale in zip(found.maps, map_scales(problem, found.maps, plan.case.view), strict=True):
            view = heat_map(shown, m, scale, MAP)
            assert f"seen from the {problem.side}" in view.words
            k = 1e3 / float(view.words.rsplit("1:", 1)[1])
            dots = [f for f in view.flats if isinstance(f, Stroke) and len(f.loops[0].rows) == 2 and f.fill]
            drawn = {
                (
                    round(0.5 * (d.loops[0].rows[0][0] + d.loops[0].rows[1][0]), 3),
                    round(d.loops[0].rows[0][1], 3),
                )
                for d in dots
            }
            face = {"repair side": "repair side", "far skin": "far face"}.get(m.layer)
            wanted = {
                (round(k * s.at[0], 3), round(-turned * k * s.at[1], 3))
                for s in found.sensors
                if s.face == face
            }
            assert drawn == wanted
            words = {f.words for f in _labels(view)}
            assert {s.id for s in found.sensors if s.face == face} <= words
            for extreme in (found.hottest, found.coldest):
                within = Field(m, problem.frame).extremes(problem.bond)
                assert within is not None
                own = within[1 if extreme is found.hottest else 0][0]
                same = abs(own - extreme.kelvin) < SAME  # the invented extremes are looked for more coarsely
                if m.layer == "repair side" and abs(extreme.time - m.time) < 1.0 and same:
                    at = (k * extreme.at[0], -turned * k * extreme.at[1])
                    assert any(
                        (isinstance(f, Stroke) and f == triangle(*at, hot=extreme is found.hottest))
                        or _near(f, at)
                        for f in view.flats
                    )


def _near(flat: object, at: tuple[float, float]) -> bool:
    """Whether a stroke is a triangle round a place."""
    if not isinstance(flat, Stroke) or len(flat.loops[0].rows) != 3:
        return False
    xs, ys = [r[0] for r in flat.loops[0].rows], [r[1] for r in flat.loops[0].rows]
    return abs(sum(xs) / 3.0 - at[0]) < 0.3 and abs(0.5 * (min(ys) + max(ys)) - at[1]) < 0.6


def test_a_map_is_filled_with_the_colour_of_its_value(plan: Plan) -> None:
    """At the middle of a cell the topmost colour is that of the scale for the cell's temperature."""
    _, problem, found = _operations(plan)[0]
    for m, scale in zip(found.maps, map_scales(problem, found.maps, plan.case.view), strict=True):
        view, field = heat_map(_shown(plan, problem, found), m, scale, MAP), Field(m, problem.frame)
        k, turned = 1e3 / float(view.words.rsplit("1:", 1)[1]), 1.0 if problem.side == "outside" else -1.0
        colours = set(scale.colours)
        fills = [
            (f.fill, [Polygon([(r[0], r[1]) for r in loop.rows]) for loop in f.loops])
            for f in view.flats
            if isinstance(f, Stroke) and f.fill in colours and f.ink is None
        ]
        u, v, kelvin = field.cells
        checked = 0
        x0, y0, x1, y1 = view.window
        for j, i in itertools.product(range(1, len(v) - 1, 3), range(1, len(u) - 1, 3)):
            value, (x, y) = float(kelvin[j, i]), field.place(float(u[i]), float(v[j]))
            here = ShapelyPoint(k * x, -turned * k * y)
            edges = [abs(scale.kelvin(e) - value) for e in scale.edges]
            if (
                math.isnan(value)
                or min(edges) < 0.05
                or not (x0 + 2 < here.x < x1 - 21 and y0 + 2 < here.y < y1 - 9)
            ):
                continue
            inside = [c for c, loops in fills if sum(p.contains(here) for p in loops) % 2]
            assert (inside[-1] if inside else COLDER) == scale.colour(value), (m.layer, value, scale.edges)
            checked += 1
        assert checked > 20


def test_no_words_cover_others(plan: Plan) -> None:
    for view in _views(plan):
        labels = [f for f in _labels(view) if f.words.strip()]
        for a, b in itertools.combinations(labels, 2):
            (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) = a.box(), b.box()
            wide = min(ax1, bx1) - max(ax0, bx0)
            high = min(ay1, by1) - max(ay0, by0)
            assert wide <= ROOM or high <= ROOM, f"{view.title}: {a.words!r} and {b.words!r}"


def _lightness(colour: str) -> float:
    """L* of an sRGB colour (CIE 15)."""
    linear = [
        c / 12.92 if (c := int(colour[i : i + 2], 16) / 255.0) <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4
        for i in (1, 3, 5)
    ]
    y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116.0 * y ** (1.0 / 3.0) - 16.0 if y > 0.008856 else 903.3 * y


@pytest.mark.parametrize("count", range(2, 10))
def test_colours_keep_their_order_in_grey(count: int) -> None:
    """Hotter is darker, by enough to tell two steps apart in a grey print; white lies above them all."""
    lights = [_lightness(c) for c in (COLDER, *even_colours(count))]
    steps = [a - b for a, b in itertools.pairwise(lights)]
    assert all(s > 0.0 for s in steps)
    assert min(steps[1:]) > 3.0, "two steps that a grey print cannot tell apart"


def test_a_scale_holds_its_temperatures_and_colours_follow_them() -> None:
    for low, high, view in ((330.0, 360.0, "mm"), (295.1, 295.4, "mm"), (310.0, 420.0, "in")):
        scale: HeatScale = scale_for(low, high, view)
        assert scale.kelvin(scale.edges[0]) <= low
        assert scale.kelvin(scale.edges[-1]) >= high
        assert len(scale.colours) <= 9
        found = [_lightness(scale.colour(low + (high - low) * i / 40)) for i in range(41)]
        assert found == sorted(found, reverse=True)
        assert scale.colour(low - 60.0) == COLDER


def test_a_scale_reaches_the_hottest_of_its_maps(plan: Plan) -> None:
    for _, problem, found in _operations(plan):
        for m, scale in zip(found.maps, map_scales(problem, found.maps, plan.case.view), strict=True):
            hottest = max(k for row in m.kelvin for k in row if k is not None)
            assert to_unit(hottest, "temperature", scale.unit) <= scale.edges[-1]


def test_structure_that_never_warms_outside_the_maps_is_left_out() -> None:
    _, problem, found = _operations(predicted_plan(case("gear_door")))[0]
    rib = problem.ribs[0]
    cold = Trace(rib.id, "structure", tuple(problem.air for _ in found.times))
    warm = replace(cold, kelvin=tuple(problem.air + 0.01 * t / 60.0 * 10 for t in found.times))
    other = tuple(t for t in found.traces if t.kind != "structure")

    def names(trace: Trace, p: HeatProblem) -> set[str]:
        return {c.name for c in curves_of(replace(found, traces=(*other, trace)), p)}

    assert rib.id not in names(cold, problem)
    assert rib.id in names(warm, problem)
    x, y = problem.bond.centroid
    rx, ry = rib.outline.centroid
    under = replace(
        problem, ribs=(replace(rib, outline=rib.outline.moved(x - rx, y - ry)), *problem.ribs[1:])
    )
    assert rib.id in names(cold, under), "what the maps show is in the chart too"


def test_a_view_from_the_inside_is_the_mirror_of_one_from_the_outside() -> None:
    plan = predicted_plan(case("gear_door"))
    operation, problem, _ = _operations(plan)[1]
    bench = bench_of(plan, operation)
    other = replace(bench, side="inside" if bench.side == "outside" else "outside")
    for sensor in operation.sensors:
        (u, v), (mu, mv) = bench.measured(sensor.at), other.measured(sensor.at)
        assert (mu, mv) == pytest.approx((u, -v), abs=1e-12)
        assert math.hypot(u, v) == pytest.approx(math.dist(sensor.at, bench.centre), abs=1e-12)
    drawn = [
        places_view(plan.case, b, problem.source.heated, operation.sensors, PLACES) for b in (bench, other)
    ]
    dots = [
        sorted(
            (round(f.loops[0].rows[0][0], 2), round(f.loops[0].rows[0][1], 2))
            for f in view.flats
            if isinstance(f, Stroke) and f.fill == "warn"
        )
        for view in drawn
    ]
    assert dots[1] == sorted((x, -y) for x, y in dots[0])
    assert "seen from the inside" in drawn[1].words
