"""Left and right hand: mirror images in outlines and angles, without retyping; no cloth is turned over."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from examples_here import FOLDER
from panelmend.app import service
from panelmend.document import Loaded, shape_outline
from panelmend.document.approved import ApprovedData
from panelmend.document.fields import inner_model, quantity_kind, wrapper
from panelmend.document.panel import Panel
from panelmend.document.shape import Shape
from panelmend.errors import DocumentError
from panelmend.job.case import case_of
from panelmend.materials.quantities import Typed
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.shapes import Outline
from panelmend.shelves.mirror import mirrored_data, mirrored_panel, mirrored_shape
from panelmend.shelves.model import OtherHand
from shelf_files import Shop

OTHER = OtherHand(part_number="R", name="right")
REPAIR_7 = "M3-SRM rev 11 / Repair 7"
LEFT_POINTS = re.compile(r"\[(\d+), (\d+)\]")
RIGHT = (('serial = "0088"', 'serial = "0042", hand = "right"'),)


def right_job(shop: Shop) -> Loaded:
    """The same damage on the right-hand door: every point of it mirrored by hand."""
    shop.text = LEFT_POINTS.sub(lambda m: f"[{m[1]}, -{m[2]}]", shop.text)
    return shop.load(*RIGHT)


@pytest.fixture(scope="module")
def both(tmp_path_factory: pytest.TempPathFactory) -> tuple[Plan, Plan]:
    """The plans of the same damage on the left and on the right door."""
    left, right = Shop(tmp_path_factory.mktemp("left")), Shop(tmp_path_factory.mktemp("right"))
    return make_plan(case_of(left.load())), make_plan(case_of(right_job(right)))


def same(a: Outline, b: Outline) -> bool:
    """One outline, wherever it begins: area, centre, and its reach in sixteen directions."""
    ways = [i * math.pi / 8 for i in range(16)]
    pairs = [(a.area, b.area), *zip(a.centroid, b.centroid, strict=True)]
    pairs += [(a.support(w), b.support(w)) for w in ways]
    return all(abs(x - y) < 1e-9 for x, y in pairs)


def test_outlines_are_mirror_images(both: tuple[Plan, Plan]) -> None:
    left, right = both
    a, b = left.case.geometry, right.case.geometry
    assert same(a.outline.mirrored_y(), b.outline)
    assert a.damage is not None
    assert b.damage is not None
    assert same(a.damage.mirrored_y(), b.damage)
    for one, other in zip(a.structure, b.structure, strict=True):
        assert same(one.outline.mirrored_y(), other.outline)
    assert [(s.at[0], -s.at[1], s.diameter) for s in a.spots] == [(*s.at, s.diameter) for s in b.spots]
    assert left.work is not None
    assert right.work is not None
    mine = {p.id: p for p in left.work.plies.plies}
    for ply in right.work.plies.plies:
        assert same(mine[ply.id].outline.mirrored_y(), ply.outline), ply.id


def test_angles_change_sign_and_sizes_do_not(both: tuple[Plan, Plan]) -> None:
    left, right = both
    assert left.work is not None
    assert right.work is not None
    mine = {p.id: float(p.warp) for p in left.work.plies.plies}
    assert {p.id: float(p.warp) for p in right.work.plies.plies} == {k: -v or 0.0 for k, v in mine.items()}
    assert any(v == pytest.approx(math.pi / 4) for v in mine.values()), "a ply at +45 is among them"
    for key in ("limits.along", "limits.across", "limits.largest", "limits.area"):
        assert float(left.ledger[key]) == pytest.approx(float(right.ledger[key]), abs=1e-9)
    assert [
        (p.warp, q.warp) for p, q in zip(left.case.geometry.outer, right.case.geometry.outer, strict=True)
    ] == [
        (0.0, 0.0),
        (math.pi / 4, -math.pi / 4),
        (0.0, 0.0),
    ]
    assert right.case.document.panel.directions.at_90 == "DOWN"
    assert right.case.document.panel.part_number == "M3-5201-17-2"
    assert "X113" in {f.code for f in right.findings}


def test_a_cloth_with_a_face_is_never_mirrored(both: tuple[Plan, Plan]) -> None:
    """The cloth on the roll is the same cloth: no piece of it lies turned over, in either hand's layout."""
    left, right = both
    assert left.case.document.materials == right.case.document.materials
    for plan in both:
        assert plan.work is not None
        assert plan.case.catalogue.cloth("demo-glass-8h").faced
        for item in plan.work.nest.cloths:
            for layout in item.nest.layouts:
                assert layout.placements
                assert not any(p.mirrored for p in layout.placements)


def test_twice_mirrored_is_what_was_typed() -> None:
    document = service.load(FOLDER / "gear_door" / "repair.toml").document
    back = OtherHand(part_number=document.panel.part_number, name=document.panel.name)
    assert mirrored_panel(mirrored_panel(document.panel, OTHER), back) == document.panel
    assert mirrored_data(mirrored_data(document.data)) == document.data
    assert mirrored_data(document.data) != document.data


SHAPES: tuple[dict[str, Any], ...] = (
    {"circle": {"centre": "10, 20 mm", "diameter": "5 mm"}},
    {"ellipse": {"centre": "10, 20 mm", "length": "9 mm", "width": "5 mm", "angle": "30 deg"}},
    {"oval": {"centre": "-10, 20 mm", "length": "9 mm", "width": "5 mm", "angle": "-70 deg"}},
    {
        "rectangle": {
            "centre": "1, 2 mm",
            "length": "9 mm",
            "width": "5 mm",
            "angle": "10 deg",
            "corner_radius": "1 mm",
        }
    },
    {"outline": {"unit": "in", "points": [[0, 0], [2, 0, 0.3], [2, 1], [1.2, 1.4, -0.2], [0, 1]]}},
)


@pytest.mark.parametrize("given", SHAPES, ids=lambda s: next(iter(s)))
def test_every_shape_is_mirrored_exactly(given: dict[str, Any]) -> None:
    shape = Shape.model_validate(given)
    assert same(shape_outline(mirrored_shape(shape)), shape_outline(shape).mirrored_y())


# Angles that have no hand: tolerances, limits, and the angle of a dressed mouth.
NO_HAND = {
    "CutoutData.mouth_angle",
    "PliesData.angle_tolerance",
    "PliesData.shear_most",
    "CoreData.ribbon_tolerance",
}
TURNED = {
    "RepairPly.warp",
    "SkinPly.warp",
    "PanelCore.ribbon",
    "Curvature.axis",
    "Fastener.at",
    "Hinge.start",
    "Hinge.end",
    *(f"{s}.{f}" for s in ("Circle", "Ellipse", "Oval", "Rectangle") for f in ("centre", "angle")),
} - {"Circle.angle"}


def _directed(model: type[Typed], seen: set[type]) -> Iterator[str]:
    if model in seen:
        return
    seen.add(model)
    for name, field in model.model_fields.items():
        given = wrapper(field.annotation)
        if quantity_kind(given.model_fields["value"] if given else field) in ("angle", "point"):
            yield f"{model.__name__}.{name}"
        inner, _ = inner_model(field.annotation)
        if inner is not None:
            yield from _directed(inner, seen)


def test_no_angle_and_no_point_of_the_model_is_forgotten() -> None:
    """A field with a direction that the model gains later must be mirrored, or stand here with its reason."""
    seen: set[type] = set()
    found = {*_directed(Panel, seen), *_directed(ApprovedData, seen)}
    assert found == NO_HAND | TURNED


def test_the_running_shear_of_a_load_case_changes_sign(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    loads = '[data.strength]\ncase = [ { name = "A", nx = "10 N/mm", nxy = "5 N/mm" } ]\n'
    shop.put("data", REPAIR_7, shop.read("data", REPAIR_7).replace("[data.limits]", loads + "[data.limits]"))
    (case,) = right_job(shop).document.data.strength.case
    assert (case.nx, case.nxy) == (pytest.approx(10_000.0), pytest.approx(-5000.0))


@pytest.mark.parametrize(
    ("panel_hand", "data_hand", "asked", "ribbon", "warp"),
    [
        ("left", "left", "", 1, 1),
        ("left", "left", "left", 1, 1),
        ("left", "left", "right", -1, -1),
        ("left", "right", "left", 1, -1),
        ("left", "right", "", 1, -1),
        ("left", "right", "right", -1, 1),
        ("left", "both", "right", -1, 1),
        ("right", "left", "left", -1, 1),
    ],
)
def test_panel_and_data_turn_each_by_its_own_hand(
    tmp_path: Path, panel_hand: str, data_hand: str, asked: str, ribbon: int, warp: int
) -> None:
    shop = Shop(tmp_path)
    shop.edit(
        "panels",
        "M3-5201-17-1",
        ('hand = "left"', f'hand = "{panel_hand}"'),
        ('ribbon = "0 deg"', 'ribbon = "30 deg"'),
    )
    shop.edit("data", REPAIR_7, ('hand = "left"', f'hand = "{data_hand}"'))
    pair = (('serial = "0088"', f'serial = "0042", hand = "{asked}"'),) if asked else ()
    if asked not in ("", panel_hand):
        shop.text = LEFT_POINTS.sub(lambda m: f"[{m[1]}, -{m[2]}]", shop.text)
    document = shop.load(*pair).document
    assert document.panel.core.ribbon == pytest.approx(ribbon * math.radians(30))
    outside = document.data.plies.outside
    assert outside is not None
    assert outside.repair is not None
    assert outside.repair.value[1].warp == pytest.approx(warp * math.radians(45))


def test_what_nobody_said_of_hands_is_asked_and_never_guessed(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.edit("data", REPAIR_7, ('hand = "left"\n', ""))
    shop.load()  # as it was typed
    with pytest.raises(DocumentError, match="for which hand its ply angles are drawn"):
        shop.load(*RIGHT)
    shop.edit("panels", "M3-5201-17-1", ("other_hand", "# other_hand"))
    with pytest.raises(DocumentError, match="says nothing of its other hand"):
        shop.load(*RIGHT)
    shop.edit("panels", "M3-5201-17-1", ('hand = "left"\n', ""))
    with pytest.raises(DocumentError, match="has no hand"):
        shop.load(*RIGHT)
    shop.edit("data", REPAIR_7, ("invented = true", 'hand = "right"\ninvented = true'))
    with pytest.raises(DocumentError, match="nothing says which hand this panel is"):
        shop.load()


def test_a_mirrored_panel_is_not_changed_in_the_job(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.text += (
        '\n[[deviation]]\nof = "data.plies.outside.sanding"\n'
        'value = { cloth = "demo-glass-plain", warp = "45 deg" }\n'
        'reason = "r 1"\nby = "D. Aune"\non = 2026-11-25\nreference = "ED-1"\n'
    )
    shop.load()
    with pytest.raises(DocumentError, match="an entry of its own for this hand"):
        shop.load(*RIGHT)


def test_the_repairs_in_a_mirrored_panel_stay_where_the_job_has_them(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shape = 'shape = { circle = { centre = "900, -300 mm", diameter = "60 mm" } }'
    repairs = f'[panel]\nearlier_repair = [ {{ id = "E", {shape} }} ]\n'
    shop.text = shop.text.replace("\n[damage]", f"\n{repairs}\n[damage]", 1)
    document = right_job(shop).document
    circle = document.panel.earlier_repair[0].shape.circle
    assert circle is not None
    assert circle.centre == pytest.approx((0.9, -0.3))
    assert document.panel.serial == "0042"


def test_the_part_number_of_the_other_hand_says_how_it_is_named(tmp_path: Path) -> None:
    """`new` lists it; a job that names it was told only that there is no such entry."""
    shop = Shop(tmp_path)
    with pytest.raises(DocumentError, match=r'expected panel = "M3-5201-17-1", hand = "right" under \[use\]'):
        shop.load(('panel = "M3-5201-17-1"', 'panel = "M3-5201-17-2"'))
    with pytest.raises(DocumentError) as refused:
        shop.load(('panel = "M3-5201-17-1"', 'panel = "M3-5201-17-3"'))
    assert "other hand" not in str(refused.value)
