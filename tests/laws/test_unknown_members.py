"""A member of an enumeration that nobody knows raises: a new form never falls through to an old one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from examples_here import case
from panelmend.derive import Ledger
from panelmend.document.geometry import shape_outline
from panelmend.document.given import Given
from panelmend.document.recipe import Cure, Segment
from panelmend.document.shape import Circle, Shape
from panelmend.errors import InputError, ShapeError
from panelmend.job.basis import Basis
from panelmend.job.core.part import CorePart
from panelmend.job.cure.recipe import legs
from panelmend.job.forms import Form, smallest
from panelmend.job.layup import scheme_of
from panelmend.job.operations import operations_of
from panelmend.materials.cure_law import law_of
from panelmend.materials.model import Kinetics
from panelmend.physics.laminate.failure import Criterion
from panelmend.physics.sandwich import field
from panelmend.physics.sandwich.modes import wrinkling_stress
from panelmend.shapes import circle


def test_a_form_of_cut_out() -> None:
    odd = Form("hexagon", (0.0, 0.0), 0.1, 0.1, 0.0, 0.01)  # type: ignore[arg-type]
    with pytest.raises(AssertionError, match="hexagon"):
        _ = odd.outline
    with pytest.raises(AssertionError, match="hexagon"):
        smallest("hexagon", (circle((0.0, 0.0), 0.05),), 0.005, 0.001, 0.0, None)  # type: ignore[arg-type]


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
