"""From document to heat model: every operation, layer, side, rib and place lands where it is."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np
import pytest

from heat_problem import demo, operations
from panelmend.job.cure.problem import Curing, HeatProblem, Sheet
from panelmend.physics import film
from panelmend.physics.cure_chemistry.laws import RateLaw, n_order
from panelmend.physics.fin import fin_conductance
from panelmend.predict import sensors
from panelmend.predict.cases import solve
from panelmend.predict.limits import limit_rows
from panelmend.predict.model import MEDIUM, QUICK, SensorSpot, model_of
from panelmend.predict.outer_faces import FIN_RISE
from panelmend.predict.predict import predict
from panelmend.predict.problem_grid import layout
from panelmend.predict.sensors import candidates, choose
from panelmend.shapes import Outline, circle, rectangle

CORE_ALONE = (
    ('lays = ["core", "cap"]', 'lays = ["core"]'),
    ('lays = ["plies"]', 'lays = ["cap", "plies"]'),
)
AT_THE_EDGE = (
    (
        'centre = "600, 400 mm", length = "1200 mm", width = "800 mm"',
        'centre = "600, 800 mm", length = "1200 mm", width = "1000 mm"',
    ),
)
THROUGH = (
    ('depth = "skin and core"', 'depth = "through"'),
    ('lays = ["plies"]', 'lays = ["plies"]\nside = "outside"'),
    (
        "[data.core]",
        '[data.plies.inside]\nrepair = { place = "fig 204", value = [ { cloth = "demo-glass-8h", '
        'warp = "0 deg" }, { cloth = "demo-glass-8h", warp = "45 deg" } ] }\n\n[data.core]',
    ),
    (
        "[bay]\nelevation",
        '[[data.cure]]\nname = "Inside plies"\nlays = ["plies"]\nside = "inside"\nplace = "fig 2, cure C"\n'
        'segment = [\n  { kind = "ramp", to = "82 C" },\n'
        '  { kind = "dwell", to = "82 C", least = "120 min" },\n]\n\n[bay]\nelevation',
    ),
)


@pytest.fixture(scope="module", autouse=True)
def quick_places() -> Iterator[None]:
    """Thermocouples placed by a quick run: these laws hold for any places."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sensors, "MEDIUM", QUICK)
        yield


def test_core_without_plies_is_predicted_by_its_floor() -> None:
    problem = operations(*CORE_ALONE)[0].problem
    assert problem is not None
    made = predict(problem, advice=False, fine=QUICK)
    assert made.finished
    assert made.coldest.layer == "floor of the opening"


def test_a_repair_whose_bag_runs_off_the_panel_is_predicted() -> None:
    for operation in operations(*AT_THE_EDGE):
        problem = operation.problem
        assert problem is not None
        offered = candidates(problem)
        assert offered
        assert all(problem.panel.contains(s.at) for s in offered)
        made = predict(problem, advice=False, fine=QUICK)
        assert max(made.traces[0].kelvin) > problem.air + 20.0
        assert abs(made.energy_unbalanced) < 1e-2


def test_plies_of_each_side_are_laid_once() -> None:
    first, second, third = operations(*THROUGH)
    for operation, own in ((first, 1), (second, 5), (third, 2)):
        problem = operation.problem
        assert problem is not None
        assert sum(s.layer == "patch" for s in problem.sheets) == own
    assert third.problem is not None
    assert third.problem.side == "inside"
    laid = [s for s in third.problem.sheets if s.layer == "near skin" and s.outline is not None]
    assert laid == [], "nothing was laid on the inside before"
    assert any("taken as closed" in n for n in third.problem.notes)


def test_what_was_taken_for_what_reaches_the_prediction() -> None:
    problem = operations(name="flap_rib_bay")[0].problem
    assert problem is not None
    made = predict(problem, advice=False, fine=QUICK)
    assert any("no heat of cure for Film adhesive" in n for n in made.notes)
    third = operations(*THROUGH)[2].problem
    assert third is not None
    words = " ".join(third.notes)
    assert "no thermocouple to control by" in words
    assert "10 F" in words
    assert "no cool-down" in words


def _with_rib(angle: float, height: float | None, kind: str = "rib") -> HeatProblem:
    problem = demo()
    centre = problem.frame[0]
    rib = replace(
        problem.ribs[0], kind=kind, outline=rectangle(centre, 0.30, 0.037, angle), height=height, near=False
    )
    return replace(problem, ribs=(rib,), attitude="upright")


@pytest.mark.parametrize("angle", [0.0, 0.4, 1.3])
@pytest.mark.parametrize("height", [0.06, None])
def test_a_web_draws_its_own_heat_however_the_grid_cuts_it(angle: float, height: float | None) -> None:
    problem = _with_rib(angle, height)
    bare = replace(problem, ribs=())
    for fine in (MEDIUM, QUICK):
        drawn = _given_off(problem, fine) - _given_off(bare, fine)
        rib = problem.ribs[0]
        wide = _bare_film(problem)
        asked = fin_conductance(wide, rib.conductivity, rib.thickness, rib.height)
        length = rib.outline.largest_extent()
        assert asked * length * 0.98 < drawn < asked * length * 1.15


def _bare_film(problem: HeatProblem) -> float:
    seal = problem.seal_line.bounds
    size = max(seal[3] - seal[1], seal[2] - seal[0])
    likely = {u.name: u.likely for u in problem.unknowns}
    hot = problem.air + FIN_RISE
    still = film.convection(hot, problem.air, size, "side", problem.pressure)
    return still + likely["draught behind"] + film.radiation(hot, problem.air, likely["emissivity"])


def _given_off(problem: HeatProblem, fine: Any) -> float:
    """What the far face gives off for each kelvin, 40 K over the air [W/K]."""
    model = model_of(problem, [SensorSpot(n, at) for n, at in problem.sensors], {}, fine)
    film_of = np.array([c.coefficient(problem.air + FIN_RISE) for c in model.covers])
    bottom = np.broadcast_to(model.bottom, model.grid.shape)
    return float((film_of[bottom] * model.grid.area).sum())


def test_insulation_behind_lies_on_flange_and_web_and_does_not_stop_the_fin() -> None:
    problem = replace(_with_rib(0.0, 0.06), insulation_behind=0.25)
    drawn = _given_off(problem, MEDIUM) - _given_off(replace(problem, ribs=()), MEDIUM)
    rib = problem.ribs[0]
    each = 1.0 / (1.0 / _bare_film(problem) + 0.25)
    asked = fin_conductance(each, rib.conductivity, rib.thickness, rib.height) * rib.outline.largest_extent()
    assert drawn == pytest.approx(asked, rel=0.15)


def test_insulation_over_the_bag_leaves_the_panel_beside_it_bare() -> None:
    problem = replace(demo(), insulation_over=0.25)
    model = model_of(problem, [SensorSpot(n, at) for n, at in problem.sensors], {}, MEDIUM)
    on = layout(problem, MEDIUM.spacing)
    top = np.broadcast_to(model.top, model.grid.shape)
    insulated = np.array([c.insulation > 0.0 for c in model.covers])[top]
    assert np.array_equal(insulated, on.layers["bag"].thickness > 0.0)
    assert insulated.any()
    assert not insulated.all()


def test_the_blanket_behind_lies_on_the_skin_and_its_breather_outside() -> None:
    problem = demo(1)
    assert problem.source_behind is not None
    model = model_of(problem, [SensorSpot(n, at) for n, at in problem.sensors], {}, MEDIUM)
    names = [layer.name for layer in model.layers]
    assert names.index("far skin") < names.index("blanket behind") < names.index("bag behind")
    hot = replace(problem, source_behind=replace(problem.source_behind, limit=330.0))
    spots = choose(hot)
    _, result = solve(hot, spots, {}, MEDIUM)
    row = next(r for r in limit_rows(hot, spots, result) if r.place == "blanket behind")
    assert not row.holds
    assert row.predicted == pytest.approx(float(result.regions["blanket behind"].temperature.max()))


def test_resins_of_patch_and_film_adhesive_are_told_apart() -> None:
    problem = demo()
    patch = problem.curing[0]
    assert patch.layer == "patch"
    film_sheet = Sheet("bond line", "film", 1.3e-4, 0.2, 0.2, 1.3e6, problem.bond)
    done = Curing("bond line", "film", ((1e3, problem.bond),), n_order(1e9, 60e3, 1.0), None)
    made = predict(
        replace(problem, sheets=(*problem.sheets, film_sheet), curing=(patch, done)), advice=False, fine=QUICK
    )
    plain = predict(problem, advice=False, fine=QUICK)
    cured = {c.name: c for c in made.cured}
    assert cured["film"].least > 0.999
    assert cured[patch.name].most == pytest.approx(plain.cured[0].most, abs=2e-3)
    assert cured[patch.name].most < 0.995


def test_thermocouples_keep_off_what_stands_there() -> None:
    problem = demo()
    line = problem.sensor_line.segments()[0].at(0.5)
    avoided = circle(line, 0.06)
    rib = replace(problem.ribs[0], near=True, outline=circle(problem.sensors[1][1], 0.05))
    for s in candidates(replace(problem, avoid=(avoided,), ribs=(rib,))):
        assert not avoided.contains(s.at)
        assert not rib.outline.contains(s.at)


@pytest.mark.parametrize("count", [3, 40, 64])
def test_as_many_places_as_the_data_asks(count: int) -> None:
    problem = replace(demo(), least_sensors=count, sensors=_spread(demo(), count))
    spots = [s for s in choose(problem) if s.face != "far face"]
    assert len({s.at for s in spots}) == count


def _spread(problem: HeatProblem, count: int) -> tuple[tuple[str, tuple[float, float]], ...]:
    segments = problem.sensor_line.segments()
    return tuple(
        (f"T{n + 1}", segments[n % len(segments)].at((n // len(segments) + 0.5) / count))
        for n in range(count)
    )


def test_where_the_line_has_no_room_there_are_fewer_and_it_is_said() -> None:
    problem = demo()
    some = [s.at for s in candidates(problem)]
    keep = some[0]
    mostly = tuple(circle(at, 0.02) for at in some if np.hypot(at[0] - keep[0], at[1] - keep[1]) > 0.02)
    made = predict(replace(problem, avoid=mostly, least_sensors=40), advice=False, fine=QUICK)
    there = [s for s in made.sensors if s.face == "repair side"]
    assert 1 <= len(there) < 40
    assert any(f"room for {len(there)} of 40" in n for n in made.notes)


def test_a_cool_down_to_below_the_air_comes_to_an_end() -> None:
    problem = demo()
    cold = replace(problem.legs[-1], target=problem.air - 3.0, low=problem.air - 3.0)
    made = predict(replace(problem, legs=(*problem.legs[:-1], cold)), advice=False, fine=QUICK)
    assert made.finished
    assert any("above the air" in n for n in made.notes)


def _changed(value: Any) -> Iterator[tuple[str, Any]]:
    """A value with each of its parts changed in turn."""
    if isinstance(value, bool):
        yield "", not value
    elif isinstance(value, int | float):
        yield "", value * 1.001 + 0.001
    elif isinstance(value, str):
        yield "", value + "x"
    elif value is None:
        yield "", 1.5
    elif isinstance(value, Outline):
        yield "", value.moved(0.001, 0.0)
    elif isinstance(value, tuple):
        for i, item in enumerate(value):
            for path, other in _changed(item):
                yield f"[{i}]{path}", (*value[:i], other, *value[i + 1 :])
        yield "[:]", (*value, 1.5)
    elif is_dataclass(value) and not isinstance(value, type | RateLaw):
        for f in fields(value):
            if getattr(value, f.name) is None:  # what comes there has a class of its own, or a name before it
                yield f".{f.name}", replace(value, **{f.name: f.type})
                continue
            for path, other in _changed(getattr(value, f.name)):
                yield f".{f.name}{path}", replace(value, **{f.name: other})


def test_whatever_changes_in_a_problem_changes_its_name() -> None:
    problem = demo(1)
    digests = {problem.digest()}
    for path, other in _changed(problem):
        assert other.digest() not in digests, path
        digests.add(other.digest())
    law = replace(problem.curing[0], law=n_order(1e9, 60e3, 1.0))
    assert replace(problem, curing=(law, *problem.curing[1:])).digest() not in digests
    assert len(digests) > 200


def test_a_cool_down_ends_though_the_coldest_thermocouple_is_followed() -> None:
    nearer = operations(('centre = "880, 400 mm"', 'centre = "600, 400 mm"'))
    for operation in nearer:
        assert operation.problem is not None
        made = predict(operation.problem, advice=False, fine=QUICK)
        assert made.finished, "a rib keeps one thermocouple colder than the others by more than a kelvin"
        assert made.dwell_to is not None
        assert made.duration < made.dwell_to + 4 * 3600.0
