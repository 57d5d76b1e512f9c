"""The nest's formulas agree with the measured layout."""

from __future__ import annotations

import pytest

from panelmend.job.nest.formulas import cloth_yield, used_length, wet_out_side
from panelmend.job.nest.part import Piece, Problem, Strip
from panelmend.job.nest.shelf import shelf_nest


def test_formulas_give_what_the_layout_measures() -> None:
    piece = Piece("A", ((0, 0), (0.5, 0), (0.5, 0.2), (0, 0.2)), 0.0, True, False, 3)
    (layout,) = shelf_nest(Problem("c", (piece,), (Strip("roll", 0.5, None, 0.01, 0.005),))).layouts
    assert used_length(reach=1.015, edge=0.01) == pytest.approx(layout.used_length)
    assert cloth_yield(area=0.3, width=0.5, length=layout.used_length) == pytest.approx(layout.density)
    assert wet_out_side(size=layout.used_length, margin=0.025) == pytest.approx(layout.used_length + 0.05)
