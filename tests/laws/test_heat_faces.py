"""Film coefficients of a row of temperatures at once are those of each by itself."""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.physics.film import Facing, convection, convection_row
from panelmend.physics.heat import FaceCover

ROW = np.array([220.0, 290.0, 293.15, 293.2, 310.0, 350.0, 420.0, 700.0, 1090.0])


@pytest.mark.parametrize("facing", list(Facing))
def test_convection_of_a_row_is_that_of_each(facing: Facing) -> None:
    row = convection_row(ROW, 293.15, 0.2, facing, 9.0e4)
    each = [convection(float(t), 293.15, 0.2, facing, 9.0e4) for t in ROW]
    assert row == pytest.approx(each, rel=1e-12)
    assert row[2] == 0.0


@pytest.mark.parametrize(
    "cover",
    [
        FaceCover(295.0, emissivity=0.9, facing="down", draught=3.0),
        FaceCover(295.0, emissivity=0.9, length=0.5, facing="side"),
        FaceCover(295.0, film=8.0, emissivity=0.85),
        FaceCover(295.0, emissivity=0.9, insulation=0.1),
        FaceCover(293.15, film=0.0),
    ],
)
def test_a_cover_of_a_row_is_that_of_each(cover: FaceCover) -> None:
    assert cover.coefficients(ROW) == pytest.approx([cover.coefficient(float(t)) for t in ROW], rel=1e-12)
