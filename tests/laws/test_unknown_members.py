"""A member of an enumeration that nobody knows raises: a new form never falls through to an old one."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import get_args

import numpy as np
import pytest

from examples_here import case
from made_cures import predicted_plan
from panelmend.derive import Ledger
from panelmend.document.geometry import shape_outline
from panelmend.document.given import Given
from panelmend.document.recipe import Cure, Segment
from panelmend.document.shape import Circle, Shape
from panelmend.errors import InputError, ShapeError
from panelmend.job.bag.part import Frame, LayerUse
from panelmend.job.bag.pile import AIR, Pile
from panelmend.job.basis import Basis
from panelmend.job.card.thermocouples import JOBS
from panelmend.job.core.part import CorePart
from panelmend.job.cure.bag_inputs import COUNTED
from panelmend.job.cure.checks import GROSS, NO_MATTER, _predicted
from panelmend.job.cure.prediction import Limit, LimitRow, SensorRole, TraceKind
from panelmend.job.cure.recipe import legs
from panelmend.job.forms import Form, smallest
from panelmend.job.kit.lines import NOT_CUT, SAME_STOCK
from panelmend.job.layup import scheme_of
from panelmend.job.operations import operations_of
from panelmend.job.strength.limits import lacks
from panelmend.materials.cure_law import law_of
from panelmend.materials.model import Kinetics
from panelmend.physics.laminate.failure import Criterion
from panelmend.physics.sandwich import field
from panelmend.physics.sandwich.modes import wrinkling_stress
from panelmend.plan.judge.log import ChannelRole
from panelmend.render.cure_report import CHANNEL_KIND
from panelmend.render.views.bag import LAYER_FILL
from panelmend.render.views.heat_traces import PENS
from panelmend.shapes import circle


def test_a_form_of_cut_out() -> None:
    odd = Form("hexagon", (0.0, 0.0), 0.1, 0.1, 0.0, 0.01)  # type: ignore[arg-type]
    with pytest.raises(AssertionError, match="hexagon"):
        _ = odd.outline
    with pytest.raises(AssertionError, match="hexagon"):
        smallest("hexagon", (circle((0.0, 0.0), 0.05),), 0.005, 0.001, 0.0, None)  # type: ignore[arg-type]


def test_a_layer_of_the_bag() -> None:
    """Each says what air does in it and how it is drawn; another raises before anything is laid."""
    uses = set(get_args(LayerUse))
    assert set(AIR) == set(LAYER_FILL) == uses
    assert {*NOT_CUT, *SAME_STOCK, *SAME_STOCK.values(), *NO_MATTER, *COUNTED} <= uses
    made = case("gear_door")
    pile = Pile(Basis(made, Ledger()), "bag.1", Frame((0.0, 0.0), 0.0))
    with pytest.raises(KeyError, match="felt"):
        pile.put("felt", None, None, "", material="felt", drawn=False)  # type: ignore[arg-type]


def test_tables_of_all_members() -> None:
    assert set(JOBS) == set(get_args(SensorRole))
    assert set(PENS) == {"set point", *get_args(TraceKind)}
    assert set(CHANNEL_KIND) == set(ChannelRole)


def test_an_ability_of_the_repair() -> None:
    """What each lacks of a core is said of every one; another raises."""
    with pytest.raises(KeyError, match="buckling"):
        lacks("buckling", SimpleNamespace(core=SimpleNamespace(Ez=1.0, cell=1.0, FL=1.0, FW=1.0, Fc=1.0)))  # type: ignore[arg-type]


TOLD_BY = {  # within GROSS of the limit; a temperature beyond it by another code
    Limit.COLDEST: "H023",
    Limit.HOTTEST: "H023",
    Limit.OTHER_DWELL: "H023",
    Limit.PEAK: "H023",
    Limit.SHOWN: "H023",
    Limit.HELD: "H023",
    Limit.HELD_LONG: "H023",
    Limit.SPREAD: "H032",
    Limit.AROUND: "H024",
    Limit.BEHIND: "H024",
    Limit.INSULATION: "",
    Limit.SPLICE: "H381",
    Limit.RISE: "H027",
    Limit.FALL: "H030",
    Limit.MEAN_RISE: "H031",
    Limit.MEAN_FALL: "H031",
}


def test_a_limit_that_is_broken_is_told_by_its_own_finding() -> None:
    """One beside H051 for each limit, none for insulation, which has its own check; another raises."""
    plan = predicted_plan(case("gear_door"))
    assert plan.work is not None
    operation = next(o for o in plan.work.cure.operations if o.prediction is not None)
    made = operation.prediction
    assert made is not None

    def told(code: Limit, margin: float) -> str:
        row = LimitRow("x", "y", 350.0, 340.0, "temperature", "above", margin, code)
        found = _predicted(plan.case, operation, replace(made, limits=(row,)), "cure.1")
        return ", ".join(f.code for f in found if f.code in {*TOLD_BY.values(), "H022", "H029"})

    assert {c: told(c, -GROSS) for c in Limit} == TOLD_BY
    beyond = {c: told(c, -1.001 * GROSS) for c in Limit}
    assert {c for c in Limit if beyond[c] == "H022"} == {
        Limit.COLDEST,
        Limit.HOTTEST,
        Limit.OTHER_DWELL,
        Limit.PEAK,
        Limit.SHOWN,
    }
    assert {c for c in Limit if beyond[c] == "H029"} == {Limit.AROUND, Limit.BEHIND}
    with pytest.raises(AssertionError, match="humidity"):
        told("humidity", -1.0)  # type: ignore[arg-type]


def test_a_shape() -> None:
    round_one = Shape(circle=Circle.model_construct(centre=(0.0, 0.0), diameter=0.1))
    assert shape_outline(round_one).area > 0.0
    with pytest.raises(ShapeError, match="nobody can draw"):
        shape_outline(Shape.model_construct())


def test_a_law_of_cure() -> None:
    with pytest.raises(AssertionError, match="third order"):
        law_of(Kinetics.model_construct(law="third order"))


def test_a_segment_of_a_recipe() -> None:
    dwell = Segment.model_construct(kind="dwell", to=350.0, least=3600.0)
    odd = Segment.model_construct(kind="soak", to=350.0, least=3600.0)
    made = Cure.model_construct(name="x", segment=(dwell, odd))
    with pytest.raises(AssertionError, match="soak"):
        legs(made, 350.0, None, chosen=False)


NO_CORE = CorePart("none", "outside", None, None, "", "", None, None, (), "")


@pytest.mark.parametrize(("field", "odd"), [("heated_by", "lamp"), ("cured_on", "mould")])
def test_a_way_of_heating_and_a_place_of_curing(field: str, odd: str) -> None:
    document = case("gear_door").document
    assert operations_of(document, NO_CORE)
    strange = document.data.cure[0].model_copy(update={field: odd})
    data = document.data.model_copy(update={"cure": (strange,)})
    with pytest.raises(AssertionError, match=odd):
        operations_of(document.model_copy(update={"data": data}), NO_CORE)


def test_a_scheme_of_plies() -> None:
    made = case("gear_door")
    assert scheme_of(Basis(made, Ledger())).value in ("stepped", "scarf", "external")
    plies = made.document.data.plies
    odd = plies.model_copy(update={"scheme": Given.model_construct(value="woven in", place="figure 1")})
    data = made.document.data.model_copy(update={"plies": odd})
    strange = replace(made, document=made.document.model_copy(update={"data": data}))
    with pytest.raises(AssertionError, match="woven in"):
        scheme_of(Basis(strange, Ledger()))


def test_a_formula_for_wrinkling() -> None:
    with pytest.raises(AssertionError, match="by eye"):
        wrinkling_stress("by eye", 70e9, 1e9, 1e8, 1e-3, 0.02)  # type: ignore[arg-type]


@pytest.mark.parametrize("criterion", [Criterion.MAX_STRAIN, Criterion.TSAI_HILL])
def test_a_criterion_that_fields_do_not_know_is_not_another_one(criterion: Criterion) -> None:
    with pytest.raises(InputError, match=criterion.value):
        field._face(None, np.zeros((1, 3)), np.zeros((1, 3)), criterion)  # type: ignore[arg-type]
