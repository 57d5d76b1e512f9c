"""Both hands of a whole plan: every figure of the right hand is the left hand's, or its mirror image."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from examples_here import names, text
from panelmend.document import Loaded, parse
from panelmend.document.approved import LoadCase
from panelmend.document.model import Document
from panelmend.errors import Finding
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.plan.strength_study import study_strength
from panelmend.shapes import Outline
from panelmend.shelves.mirror import mirrored_data, mirrored_panel, mirrored_shape
from panelmend.shelves.model import OtherHand
from strength_made import changes_left_out, coarse

LOADS = (
    LoadCase.model_validate(
        {
            "name": "A",
            "nx": "8 N/mm",
            "ny": "-3 N/mm",
            "nxy": "5 N/mm",
            "pressure": "500 Pa",
            "place": "a test",
        }
    ),
    LoadCase.model_validate({"name": "B", "nxy": "-4 N/mm", "place": "a test"}),
)
STUDIED = ("gear_door",)  # a study takes as long as all plans
# Places that are found by going round the panel one way, and the sides that change names with them.
ONE_WAY = re.compile(r"cure\.\d+\.T\d+\.(along|across)|card\.position\.\w+\.along_90\.[01]|bag\.\d+\.across")
# Of two fasteners at one distance either is the nearest.
ONE_OF = re.compile(r"\bfastener\.")


def _other_hand(document: Document) -> Document:
    """The document of the same damage on the panel's mirror image."""
    panel = document.panel
    earlier = tuple(r.model_copy(update={"shape": mirrored_shape(r.shape)}) for r in panel.earlier_repair)
    damage = document.damage
    shapes = {
        name: mirrored_shape(shape)
        for name, shape in (("shape", damage.shape), ("far_shape", damage.far_shape))
        if shape is not None
    }
    turned = mirrored_panel(panel, OtherHand(part_number=panel.part_number, name=panel.name))
    pinned = document.choice.cutout
    cutout = None if pinned is None else mirrored_shape(pinned)
    return document.model_copy(
        update={
            "choice": document.choice.model_copy(update={"cutout": cutout}),
            "panel": turned.model_copy(update={"earlier_repair": earlier}),
            "data": mirrored_data(document.data),
            "damage": damage.model_copy(update=shapes),
        }
    )


def _loaded(name: str) -> Loaded:
    loaded = parse(text(name).encode(), "repair.toml")
    data = loaded.document.data
    data = data.model_copy(update={"strength": data.strength.model_copy(update={"case": LOADS})})
    return replace(loaded, document=loaded.document.model_copy(update={"data": data}))


def _plans(name: str) -> tuple[Plan, Plan]:
    left = _loaded(name)
    right = replace(left, document=_other_hand(left.document))
    return make_plan(case_of(left)), make_plan(case_of(right))


def _reach(a: Outline, b: Outline) -> bool:
    """Whether one outline is the mirror image of the other: area, and reach in sixteen directions."""
    ways = [i * math.pi / 8 for i in range(16)]
    return abs(a.area - b.area) < 1e-9 and all(abs(a.support(w) - b.support(-w)) < 1e-8 for w in ways)


def _factors(findings: tuple[Finding, ...]) -> dict[str, float]:
    """Factor of each failure mode, by its words; the mesh of the two differs by some tenths of a percent."""
    found = [re.match(r"([\d.]+): (failure mode: .*)", f.words) for f in findings if f.code == "T109"]
    return {m[2]: float(m[1]) for m in found if m}


@pytest.mark.parametrize("name", names())
def test_every_figure_of_a_plan_is_the_same_or_mirrored(name: str) -> None:
    left, right = _plans(name)
    assert {f.code for f in left.findings} == {f.code for f in right.findings}
    if name in STUDIED:
        with coarse((12, 16)), changes_left_out():
            one, two = (_factors(study_strength(p).findings) for p in (left, right))
        assert len(one) > 50
        assert two == pytest.approx(one, rel=0.01)
    turned = set()
    mine, other = {f.key: f for f in left.ledger}, {f.key: f for f in right.ledger}
    assert {k for k in set(mine) ^ set(other) if not ONE_OF.search(k)} == set()
    for key in set(mine) & set(other):
        figure = mine[key]
        x, y = figure.value, other[key].value
        if isinstance(x, Outline):
            assert isinstance(y, Outline)
            assert _reach(x, y), key
        elif isinstance(x, int | float) and isinstance(y, int | float):
            if abs(x - y) <= 1e-6 * max(abs(x), 1e-9):
                continue
            if not ONE_WAY.fullmatch(key):
                assert y == pytest.approx(-x, rel=1e-6), key
                turned.add(key)
        elif isinstance(x, str):
            assert x == y, key
    assert turned, "an angle or a distance across changed its sign"
