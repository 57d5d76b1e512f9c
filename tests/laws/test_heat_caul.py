"""A caul sheet evens out the heat; a plug of another core; strips of breather; what is not counted."""

from __future__ import annotations

from dataclasses import replace

import pytest

from examples_here import case, case_from, text
from heat_problem import demo, operations
from made_cures import predicted_plan
from panelmend.errors import DocumentError, InputError
from panelmend.job.clearances import OFF_METAL
from panelmend.job.cure.bag_inputs import COUNTED
from panelmend.job.cure.checks import _predicted
from panelmend.job.cure.problem import HeatProblem
from panelmend.plan.make import make_plan
from panelmend.predict.cases import CaseVerdict, outcome, verdict
from panelmend.predict.model import QUICK, SensorSpot
from panelmend.predict.problem_grid import layout
from panelmend.predict.sensors import candidates
from panelmend.shapes import circle, distance_to_point

SHEET = 'caul_sheet = { material = "demo-caul-sheet", margin = "25 mm" }\n'


def _run(*changes: tuple[str, str]) -> CaseVerdict:
    problem = demo(2, *changes)
    case = outcome(problem, tuple(SensorSpot(n, at) for n, at in problem.sensors), {}, QUICK)
    return verdict(problem, case)


def test_a_sheet_of_metal_evens_out_the_resin_s_own_heat() -> None:
    bare, under = _run((SHEET, "")), _run()
    assert bare.hottest - bare.coldest > 8.0
    assert under.hottest - under.coldest < 0.6 * (bare.hottest - bare.coldest)


def test_it_lies_over_the_film_and_inside_its_rim() -> None:
    work = make_plan(case("gear_door")).work
    assert work is not None
    layers = work.bag.operations[1].layers
    names = [x.use for x in layers]
    assert names.index("parting film") < names.index("caul sheet") < names.index("heat blanket")
    sheet, film = (next(x for x in layers if x.use == use) for use in ("caul sheet", "parting film"))
    assert sheet.length is not None
    assert film.length is not None
    assert float(sheet.length) < float(film.length)
    card = make_plan(case("gear_door")).card
    said = " ".join(str(w) for s in card.steps if s.place.id == "O19" for line in s.words for w in line)
    assert "a cut or worn blanket makes it live" in said


@pytest.mark.parametrize(("margin", "fits"), [("35 mm", True), ("35.2 mm", False)])
def test_a_sheet_over_the_rim_that_air_comes_out_of_is_refused(margin: str, fits: bool) -> None:
    made = case_from(
        text("gear_door").replace('margin = "25 mm" }\nceiling', f'margin = "{margin}" }}\nceiling')
    )
    if fits:
        assert make_plan(made).work is not None
        return
    with pytest.raises(
        InputError, match=r"covers the rim that air comes out of.*data\.cure\[2\]\.caul_sheet|data"
    ):
        make_plan(made)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("demo-caul-sheet", "no-such-sheet", "no caul sheet material has this id"),
        ("demo-caul-sheet", "demo-bleeder", "this material is not for caul sheets"),
        ('margin = "25 mm" }\nceiling', 'margin = "1 m" }\nceiling', "margin of a caul sheet"),
    ],
)
def test_slips_are_refused(old: str, new: str, words: str) -> None:
    with pytest.raises(DocumentError, match=words):
        case_from(text("gear_door").replace(old, new, 1))


def test_a_plug_of_another_core_conducts_as_its_own() -> None:
    problem = demo()
    assert problem.core is not None
    assert problem.core.plug is None, "the demonstration's plug is of the panel's core"
    base = text("gear_door")
    block = base[base.index('[[materials.core]]\nid = "demo-aramid-48"') :]
    block = block[: block.index("[[materials.consumable]]")]
    other = block.replace("demo-aramid-48", "demo-dense").replace('k_through = "0.07', 'k_through = "0.35')
    lot = (
        '[[stores.lot]]\nid = "C-10"\nmaterial = "demo-dense"\nlot = "AC-9"\n'
        'area = "0.8 m2"\nthickness = "20 mm"\n\n'
    )
    changed = (
        base.replace("[[materials.consumable]]", other + "[[materials.consumable]]", 1)
        .replace(
            "[data.resin]",
            'material = { value = "demo-dense", place = "52-10-17 fig 203" }\n\n[data.resin]',
            1,
        )
        .replace('[[stores.lot]]\nid = "C-09"', lot + '[[stores.lot]]\nid = "C-09"', 1)
    )
    work = make_plan(case_from(changed)).work
    assert work is not None
    made = work.cure.operations[1].problem
    assert made is not None
    assert made.core is not None
    assert made.core.plug is not None
    assert made.core.plug.k_through == pytest.approx(0.35)
    on = layout(made, 0.030)
    inside, outside = on.layers["core"].k_z.max(), on.layers["core"].k_z.min()
    assert inside == pytest.approx(0.35)
    assert outside == pytest.approx(0.07)
    spots = tuple(SensorSpot(n, at) for n, at in made.sensors)
    plain = replace(made, core=replace(made.core, plug=None))
    dense, light = (verdict(p, outcome(p, spots, {}, QUICK)) for p in (made, plain))
    assert dense.hottest < light.hottest - 0.3, "more heat leaves through it"


def test_strips_of_breather_are_counted() -> None:
    for name in ("gear_door", "flap_rib_bay"):
        work = make_plan(case(name)).work
        assert work is not None
        for bag, operation in zip(work.bag.operations, operations(name=name), strict=True):
            strips = sum(len(x.outlines) for x in bag.layers if x.use == "edge breather")
            assert operation.problem is not None
            assert sum(s.name == "edge breather" for s in operation.problem.sheets) == strips


def test_a_layer_that_is_not_counted_is_named() -> None:
    plan = predicted_plan(case("gear_door"))
    found = [f for f in plan.findings if f.code == "H052"]
    assert [f.place for f in found] == ["cure.1"], "glass cloth on the other side under the second blanket"
    assert "glass cloth" in found[0].words
    assert "glass cloth" not in COUNTED


def _beside(places: tuple[tuple[float, float], ...], size: float) -> HeatProblem:
    problem = demo()
    return replace(problem, avoid=tuple(circle(at, size) for at in places))


def test_no_thermocouple_goes_near_metal_while_there_is_other_room() -> None:
    line = candidates(demo())
    metal = _beside((line[0].at,), 0.010)
    kept = candidates(metal)
    assert kept
    for spot in kept:
        assert distance_to_point(metal.avoid[0], spot.at) <= -OFF_METAL
    crowded = _beside(tuple(s.at for s in line[::2]), 0.008)
    assert candidates(crowded), "nearer than that rather than nowhere"


def test_no_thermocouple_goes_under_a_strip_of_breather() -> None:
    problem = operations(name="flap_rib_bay")[0].problem
    assert problem is not None
    strips = [s.outline for s in problem.sheets if s.name == "edge breather" and s.outline is not None]
    line = [s.at(0.5) for s in problem.sensor_line.segments()]
    assert any(o.contains(at) for o in strips for at in line), "they do lie across the line"
    assert not any(o.contains(s.at) for o in strips for s in candidates(problem))


@pytest.mark.parametrize(("off", "told"), [(0.0126, True), (0.0128, False)])
def test_one_near_metal_is_told(off: float, told: bool) -> None:
    plan = predicted_plan(case("gear_door"))
    assert plan.work is not None
    operation = plan.work.cure.operations[1]
    assert operation.problem is not None
    assert operation.prediction is not None
    x, y = operation.prediction.sensors[0].at
    problem = replace(operation.problem, avoid=(circle((x + off + 0.005, y), 0.010),))
    found = _predicted(plan.case, replace(operation, problem=problem), operation.prediction, "cure.2")
    assert ("H135" in {f.code for f in found}) == told
