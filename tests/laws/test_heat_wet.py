"""Water left in the core: vapour that carries heat, the wet cure beside the dry one, what is said of it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from examples_here import case_from, text
from heat_problem import operations
from made_prediction import made_prediction
from panelmend.errors import RangeError
from panelmend.job.cure.prediction import Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.physics import steam
from panelmend.physics.wet_core import vapour_conductivity
from panelmend.plan.make import make_plan
from panelmend.predict.cases import read_run, solve, verdict
from panelmend.predict.model import Fineness, SensorSpot
from panelmend.render.cure_plan import cure_plan_data
from panelmend.render.cure_rows import wet_words

ROUGH = Fineness(0.030, 30.0, 2)


def test_vapour_by_hand_at_80_c() -> None:
    """Air closed in at 20 C and 1 atm, heated to 353.15 K: 119.2 kPa of it, beside 47.4 kPa of vapour."""
    air, vapour, latent, gas, at = 1.192e5, 4.741e4, 2.308e6, 461.5, 353.15
    diffusivity = 2.3e-5 * 98066.5 / (air + vapour) * (at / 273.15) ** 1.81
    slope = steam.saturation_pressure(at + 0.5) - steam.saturation_pressure(at - 0.5)  # Pa/K
    by_hand = latent * diffusivity * (air + vapour) / air / (gas * at) * slope
    assert vapour_conductivity(at, air) == pytest.approx(by_hand, rel=0.01)
    assert 0.7 < by_hand < 0.9, "ten times what an aramid core conducts"


def test_without_air_there_is_no_such_limit() -> None:
    with pytest.raises(RangeError, match="without air"):
        vapour_conductivity(350.0, 0.0)
    assert vapour_conductivity(350.0, 1e3) > 50.0 * vapour_conductivity(350.0, 1e5)


def _plies() -> tuple[HeatProblem, HeatProblem]:
    """The demo's plies, dry and wet."""
    operation = operations()[1]
    assert operation.problem is not None
    assert operation.wet is not None
    return operation.problem, operation.wet


def _run(problem: HeatProblem) -> tuple[float, float, float, float]:
    """Coldest and hottest in the dwell and hottest of the far skin [K], and heat not accounted for [1]."""
    spots = tuple(SensorSpot(n, at) for n, at in problem.sensors)
    _, result = solve(problem, spots, {}, ROUGH, maps=False)
    found = verdict(problem, read_run(problem, spots, result))
    far = float(result.regions["far skin"].hottest.max())
    return found.coldest, found.hottest, far, abs(result.energy.unbalanced)


def test_wet_core_leaves_the_bond_line_colder_and_the_far_side_warmer() -> None:
    dry, wet = _plies()
    assert wet.wet is not None
    own, soaked = _run(dry), _run(wet)
    still = _run(replace(wet, wet=replace(wet.wet, conductivity=0.0)))
    assert soaked[0] < own[0] - 3.0, "vapour carries the heat to the far skin"
    assert soaked[2] > own[2] + 3.0
    assert abs(still[0] - own[0]) < 1.0, "water that only stores heat matters little"
    assert max(own[3], soaked[3], still[3]) < 1e-6, "the latent heat is in the balance"


def test_no_water_leaves_the_problem_and_its_name_as_they_were() -> None:
    dry, wet = _plies()
    assert wet.digest() != dry.digest()
    assert replace(wet, wet=None, notes=dry.notes).digest() == dry.digest()
    lines = text("gear_door").replace('moisture = "found"', 'moisture = "none found"').splitlines()
    plan = make_plan(case_from("\n".join(x for x in lines if not x.startswith("wet_area"))))
    assert plan.work is not None
    assert [o.wet for o in plan.work.cure.operations] == [None, None]
    for looked in ("found", "not checked"):
        there = "\n".join(lines).replace('"none found"', f'"{looked}"', 1)
        plan = make_plan(
            case_from(there if looked == "found" else there.replace("\nwet_area", "\n# wet_area"))
        )
        assert plan.work is not None
        assert all(o.wet is not None for o in plan.work.cure.operations)


def _held(problem: HeatProblem, short: float) -> Prediction:
    made = made_prediction(problem)
    rows = tuple(replace(r, margin=abs(r.margin) + 1.0) for r in made.limits)
    return replace(
        made, limits=(replace(rows[0], margin=short), *rows[1:]), worst=min(short, 1.0), likelihood=None
    )


@pytest.mark.parametrize(
    ("dry", "wet", "code"), [(0.1, 0.0, ""), (0.1, -0.1, "H331"), (-0.1, -0.1, ""), (0.1, None, "H332")]
)
def test_what_is_said_of_it(dry: float, wet: float | None, code: str) -> None:
    document = case_from(text("gear_door"))
    before = make_plan(document)
    assert before.work is not None
    kept: dict[str, Prediction] = {}
    for o in before.work.cure.operations:
        assert o.problem is not None
        assert o.wet is not None
        kept[o.problem.digest()] = _held(o.problem, dry)
        if wet is not None:
            kept[o.wet.digest()] = _held(o.wet, wet)
    plan = make_plan(document, predictions=kept)
    assert plan.work is not None
    assert {f.code for f in plan.findings} & {"H331", "H332"} == ({code} if code else set())
    own = plan.work.cure.operations[1]
    words = wet_words(own, "mm")
    assert ("NOT PREDICTED yet" in words) == (wet is None)
    page = cure_plan_data(plan)["operations"][1]
    assert words in page["notes"]
    assert ("With water left in the core" in page["outcome"]) == (code == "H331")
    steps = [s for s in plan.card.steps if s.place.id == "O22"]
    told = ["water left in the core" in " ".join(map(str, (w for x in s.words for w in x))) for s in steps]
    assert told == [code == "H331"] * 2, "where heat goes on, not on a page nobody has at hand"
