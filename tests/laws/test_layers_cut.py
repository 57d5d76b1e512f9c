"""Which plies of a skin are cut, and how deep: counted from the face that is worked on, on either side."""

from __future__ import annotations

from dataclasses import replace

import pytest

from examples_here import case_from, text
from panelmend.derive import Ledger
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.layup import cut_layers, skin_depth, thickness_figures

LAST = '  { cloth = "demo-carbon-plain", warp = "0 deg" },\n] }\ncore'


def _case() -> Case:
    """Outside in: glass 0.25 mm, carbon 0.2, carbon 0.2; core; carbon 0.2, glass 0.25 at the inner face."""
    document = text("cowling")
    assert document.count(LAST) == 1
    return case_from(document.replace(LAST, LAST.replace("carbon-plain", "glass-8h")))


def _plies(case: Case, number: int) -> Case:
    damage = case.document.damage.model_copy(update={"depth": "plies", "plies": number})
    return replace(case, document=case.document.model_copy(update={"damage": damage}))


def test_the_plies_of_each_skin_are_cut_from_its_own_face_down() -> None:
    basis = Basis(_case(), Ledger())
    glass, carbon = "demo-glass-8h", "demo-carbon-plain"
    assert [x.cloth for x in cut_layers(basis, "outside")] == [glass, carbon, carbon]
    assert [x.cloth for x in cut_layers(basis, "inside")] == [glass, carbon]
    thick = {s: [float(t) for t in thickness_figures(basis, s)] for s in ("outside", "inside")}
    assert thick["outside"] == pytest.approx([0.25e-3, 0.2e-3, 0.2e-3])
    assert thick["inside"] == pytest.approx([0.25e-3, 0.2e-3])


@pytest.mark.parametrize(("number", "deep"), [(1, 0.25e-3), (2, 0.45e-3)])
def test_of_some_plies_the_outermost_of_the_side_are_cut(number: int, deep: float) -> None:
    """One ply from inside is the glass that lies there, not the carbon against the core."""
    for side in ("outside", "inside"):
        basis = Basis(_plies(_case(), number), Ledger())
        assert float(skin_depth(basis, side)) == pytest.approx(deep)  # type: ignore[arg-type]
