"""One input changed at a time: the bond line moves the right way, and by about as much as it should."""

from __future__ import annotations

from dataclasses import replace

import pytest

from examples_here import case_from, text
from heat_problem import bare, demo
from panelmend.job.cure.prediction import Limit
from panelmend.job.cure.problem import HeatProblem
from panelmend.plan.make import make_plan
from panelmend.predict.advice import with_blanket
from panelmend.predict.cases import BEHIND, OVER, CaseVerdict, outcome, read_run, solve, verdict
from panelmend.predict.limits import limit_rows
from panelmend.predict.model import QUICK, SensorSpot
from panelmend.predict.predict import predict
from panelmend.predict.reading import CaseValues, case_verdict, drawn, least_margin, run_case


def _run(problem: HeatProblem, **values: float) -> tuple[CaseVerdict, float]:
    named = {name.replace("_", " "): value for name, value in values.items()}
    case = outcome(problem, tuple(SensorSpot(n, at) for n, at in bare().sensors), named, QUICK)
    return verdict(problem, case), case.duration


@pytest.fixture(scope="module")
def base() -> tuple[CaseVerdict, float]:
    return _run(bare())


def test_colder_air_takes_longer_and_the_controller_holds_the_bond_line(
    base: tuple[CaseVerdict, float],
) -> None:
    made, duration = _run(replace(bare(), air=bare().air - 10.0))
    assert duration - base[1] == pytest.approx(10.0 / bare().legs[0].rate, rel=0.25), "10 K more of ramp"
    assert made.hottest == pytest.approx(base[0].hottest, abs=0.6)


def test_insulation_over_the_bag_keeps_the_heat_of_cure_in(base: tuple[CaseVerdict, float]) -> None:
    over, _ = _run(replace(bare(), insulation_over=0.27))
    behind, _ = _run(replace(bare(), insulation_behind=0.27))
    assert 8.0 < over.hottest - base[0].hottest < 15.0
    assert 0.4 < behind.hottest - base[0].hottest < 2.0


def test_a_rib_under_the_patch_makes_a_cold_place(base: tuple[CaseVerdict, float]) -> None:
    problem = bare()
    rib = problem.ribs[0]
    x0, _, x1, _ = rib.outline.bounds
    under = replace(rib, outline=rib.outline.moved(problem.frame[0][0] - 0.5 * (x0 + x1), 0.0))
    made, _ = _run(replace(problem, ribs=(under,)))
    assert 1.5 < base[0].coldest - made.coldest < 5.0


def test_a_metal_core_carries_heat_away_from_the_thermocouples(base: tuple[CaseVerdict, float]) -> None:
    problem = bare()
    core = problem.core
    assert core is not None
    metal = replace(
        core, k_ribbon=60 * core.k_ribbon, k_across=40 * core.k_across, k_through=40 * core.k_through
    )
    made, _ = _run(replace(problem, core=metal))
    assert 3.0 < made.coldest - base[0].coldest < 9.0, (
        "beside the blanket's middle they lose most, so it heats more"
    )


def test_two_plies_more_bring_their_own_heat(base: tuple[CaseVerdict, float]) -> None:
    problem = bare()
    assert problem.bled is not None
    ply = [s for s in problem.sheets if s.layer == "patch"][-1]
    bled = replace(problem.bled, parts=problem.bled.parts + 2 * problem.bled.parts[:1])
    curing = tuple(
        replace(c, parts=c.parts + 2 * c.parts[-1:]) if c.layer == "patch" else c for c in problem.curing
    )
    made, _ = _run(replace(problem, sheets=(*problem.sheets, ply, ply), curing=curing, bled=bled))
    assert 2.0 < made.hottest - base[0].hottest < 8.0


def test_the_blanket_20_mm_off_breaks_what_held_and_the_thermocouples_do_not_see_it(
    base: tuple[CaseVerdict, float],
) -> None:
    made = [_run(bare(), blanket_along=off)[0] for off in (-0.02, 0.02)]
    assert 2.0 < max(v.hottest for v in made) - base[0].hottest < 5.0
    assert 0.5 < base[0].coldest - min(v.coldest for v in made) < 2.0
    assert all(v.seen for v in made)


def test_insulation_past_its_own_limit_is_told() -> None:
    chosen = 'set_point = "79 C"\nrate = "0.55 C/min"'
    insulated = chosen + '\ninsulation_over = "demo-insulation"'
    limit = 'use = "insulation"\nthickness'
    for most, told in (("80 C", True), ("250 C", False)):
        made = text("gear_door").replace(chosen, insulated)
        made = made.replace(limit, f'use = "insulation"\nlimit_temperature = "{most}"\nthickness')
        document = case_from(made)
        work = make_plan(document).work
        assert work is not None
        operation = work.cure.operations[1]
        assert operation.problem is not None
        found = predict(operation.problem, advice=False, fine=QUICK)
        plan = make_plan(document, predictions={found.problem: found})
        assert ("H036" in {f.code for f in plan.findings}) == told, most


@pytest.mark.parametrize("where", [0, 1])
def test_insulation_is_held_against_its_limit_in_every_case(where: int) -> None:
    """A case whose insulation passes its limit by a hair holds no longer, and one just inside it does."""
    problem = replace(bare(), **{("insulation_over", "insulation_behind")[where]: 0.27})
    spots = tuple(SensorSpot(n, at) for n, at in problem.sensors)
    values = tuple(u.likely for u in drawn(problem, spots))
    _, result = solve(
        problem, spots, dict(zip([u.name for u in drawn(problem, spots)], values, strict=True)), QUICK
    )
    name = (OVER, BEHIND)[where]
    case = read_run(problem, spots, result)
    top = float(case.others[:, case.other_names.index(name)].max())
    assert top > problem.air + 10.0
    for off, holds in ((0.01, True), (-0.01, False)):
        limits = (top + off, None) if where == 0 else (None, top + off)
        limited = replace(problem, insulation_limits=limits)
        assert limited.digest() != problem.digest(), "a kept prediction of other insulation is not taken"
        found = run_case(CaseValues(limited, spots, QUICK, values))
        made = case_verdict(limited, found.kelvin, found.rest, found.began)
        assert made.limits is holds
        assert least_margin(limited, found.kelvin, found.rest, found.began) <= off + 1e-9
        row = next(r for r in limit_rows(limited, spots, result) if r.code is Limit.INSULATION)
        assert (row.place, row.holds) == (name, holds)
    assert not any(r.code is Limit.INSULATION for r in limit_rows(problem, spots, result)), "none is known"


def test_a_larger_blanket_brings_its_own_mass() -> None:
    problem = bare()
    assert problem.larger is not None
    heavy = replace(problem.larger, stuff=(0.003, 0.4, 3.0e6))
    sheet = next(s for s in with_blanket(problem, heavy).sheets if s.layer == "blanket")
    assert (sheet.thickness, sheet.k_through, sheet.heat) == (0.003, 0.4, 3.0e6)
    assert sheet.outline == heavy.outer


def test_a_larger_blanket_without_constants_of_its_own_is_not_tried() -> None:
    whole = '{ id = "HB-24", length = "610 mm", width = "610 mm", power_density = "7750 W/m2", '
    whole += 'voltage = "230 V", border = "0 mm", thickness = "1.6 mm", areal_mass = "2.1 kg/m2", '
    whole += 'specific_heat = "1300 J/kgK", '
    lacking = whole.replace('specific_heat = "1300 J/kgK", ', "")
    assert demo(2).larger is not None
    assert demo(2, (whole, lacking)).larger is None
