"""A member of an enumeration that nobody knows raises: a new form never falls through to an old one."""

from __future__ import annotations

import pytest

from panelmend.document.geometry import shape_outline
from panelmend.document.recipe import Cure, Segment
from panelmend.document.shape import Circle, Shape
from panelmend.errors import ShapeError
from panelmend.job.cure.recipe import legs
from panelmend.job.forms import Form, smallest
from panelmend.materials.cure_law import law_of
from panelmend.materials.model import Kinetics
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
