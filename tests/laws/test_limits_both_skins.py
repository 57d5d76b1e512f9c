"""A hole through both skins is judged on both; a far damage elsewhere is a second damage."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from examples_here import case_from, edited, text
from panelmend.derive import Ledger
from panelmend.job import limits

NEAR = 'ellipse = { centre = "40, -60 mm", length = "70 mm", width = "48 mm", angle = "20 deg" }'
EARLIER = 'circle = { centre = "350, 240 mm", diameter = "160 mm" }'
FAR = 'circle = { centre = "42, -58 mm", diameter = "66 mm" }'


def judged(*pairs: tuple[str, str], name: str = "cowling") -> tuple[limits.LimitsPart, set[str]]:
    made = edited(text(name), *pairs)
    case, ledger = case_from(made), Ledger()
    part = limits.make(case, ledger)
    return part, {f.code for f in limits.check(case, ledger, part)}


@pytest.mark.parametrize(("far", "disposition"), [("119 mm", "repair"), ("121 mm", "engineering")])
def test_the_far_skin_alone_can_pass_the_limit(far: str, disposition: str) -> None:
    part, codes = judged(
        (NEAR, 'circle = { centre = "42, -58 mm", diameter = "20 mm" }'),
        (FAR, FAR.replace("66 mm", far)),
        ('repairable_area = { value = "100 cm2"', 'repairable_area = { value = "900 cm2"'),
    )
    assert part.disposition == disposition
    assert ("L101" in codes) == (disposition == "engineering")
    assert part.far is not None
    assert float(part.far.largest) > float(part.largest)


def test_the_area_of_the_far_skin_is_judged() -> None:
    part, codes = judged((NEAR, FAR.replace("66 mm", "20 mm")), (FAR, FAR.replace("66 mm", "118 mm")))
    assert part.disposition == "engineering"
    assert "L101" in codes
    broken = [r for r in part.reasons if r.holds is False and r.kind != "allowable size"]
    assert [(r.kind, r.side) for r in broken] == [("repairable area", "inside")]


def test_both_skins_must_be_small_to_need_no_repair() -> None:
    small, large = FAR.replace("66 mm", "5 mm"), FAR.replace("66 mm", "30 mm")
    assert judged((NEAR, small), (FAR, small))[0].disposition == "no structural repair"
    assert judged((NEAR, small), (FAR, large))[0].disposition == "repair"


def test_a_far_damage_elsewhere_is_refused_and_counted() -> None:
    part, codes = judged((FAR, FAR.replace("42, -58", "182, -58")))
    assert part.elsewhere
    assert "L109" in codes
    assert part.disposition == "engineering"
    count = next(r for r in part.reasons if r.kind == "number of repairs")
    assert count.figure.value == 3
    touching, found = judged((FAR, FAR.replace("42, -58", "62, -58")))
    assert not touching.elsewhere
    assert "L109" not in found


def test_an_earlier_repair_near_the_far_damage_counts_as_one() -> None:
    rule = (
        'resolution = { value = "1 mm"',
        'merge_distance = { value = "150 mm", place = "x 1" }\nresolution = { value = "1 mm"',
    )
    assert "L106" not in judged(rule)[1]
    part, codes = judged(
        rule, (FAR, FAR.replace('42, -58 mm", diameter = "66', '100, -10 mm", diameter = "300'))
    )
    assert "L106" in codes
    assert {r.side for r in part.reasons if r.kind == "distance to a repair" and r.holds is False} == {
        "inside"
    }


def test_of_a_bent_panel_the_gap_is_measured_on_the_skin_it_is_of() -> None:
    """160 mm to the repair round a bend of 600 mm are 156.52 mm on the inner skin, which lies 13.05 mm deeper
    (0.25 + 2 x 0.2 mm, 12 mm of core, 2 x 0.2 mm); the far damage, 40 mm the other way, counts as typed."""
    box = 'rectangle = { centre = "40, -60 mm", length = "60 mm", width = "40 mm" }'
    repair = 'rectangle = { centre = "40, 240 mm", length = "160 mm", width = "160 mm" }'
    part, _ = judged(MERGE, (NEAR, box), (FAR, box), (EARLIER, repair))
    found = {r.side: float(r.figure) for r in part.reasons if r.kind == "distance to a repair"}
    assert found["outside"] == pytest.approx(0.200, abs=1e-9)
    assert found["inside"] == pytest.approx(0.15652 + 0.040, abs=1e-9)


def test_a_depth_that_the_data_does_not_cover_is_for_the_engineer() -> None:
    """However small it is; a size within what may stay does not make good for it."""
    depths = 'depths = { value = ["plies", "skin", "skin and core"'
    for covered, disposition in ((depths, "repair"), ('depths = { value = ["plies", "skin"', "engineering")):
        part, codes = judged((depths, covered), name="gear_door")
        assert part.disposition == disposition
        assert ("L101" in codes) is (disposition == "engineering")


@pytest.mark.parametrize("first", [True, False])
def test_every_earlier_repair_is_measured_whichever_was_typed_first(first: bool) -> None:
    """Of two the one 40 mm away (195 - 60 - 95 mm) passes the limit of 150 mm, the other does not."""
    near = 'circle = { centre = "195, -60 mm", diameter = "120 mm" }'
    added = f'[[panel.earlier_repair]]\nid = "E9"\nshape = {{ {near if first else EARLIER} }}\n\n'
    made = text("cowling")
    begin = made.index("[[panel.earlier_repair]]")
    made = made[:begin] + added + (made[begin:] if first else made[begin:].replace(EARLIER, near, 1))
    box = 'rectangle = { centre = "40, -60 mm", length = "110 mm", width = "40 mm" }'
    made = made.replace(NEAR, box).replace(FAR, box).replace(*MERGE)
    case, ledger = case_from(made), Ledger()
    part = limits.make(case, ledger)
    told = [r for r in part.reasons if r.kind == "distance to a repair" and r.side == "outside"]
    assert sorted(r.holds is True for r in told) == [False, True]
    assert min(float(r.figure) for r in told) == pytest.approx(0.040, abs=1e-9)
    assert "L106" in {f.code for f in limits.check(case, ledger, part)}


@pytest.mark.parametrize(("bulges", "grown"), [("outside", 1.0), ("inside", 613.05 / 600)])
def test_a_far_outline_typed_counts_as_large_as_it_may_be(bulges: str, grown: float) -> None:
    """Where the inner skin lies outside the bend, 13.05 mm farther from its axis, 66 mm are 67.4 mm there."""
    part, _ = judged(('bulges = "outside"', f'bulges = "{bulges}"'))
    assert part.far is not None
    assert float(part.far.area) == pytest.approx(math.pi / 4 * 0.066**2 * grown, rel=1e-4)
    assert float(part.far.across) == pytest.approx(math.ceil(66 * grown) / 1e3)  # rounded up to 1 mm


def test_along_and_across_are_a_quarter_turn_apart() -> None:
    part, _ = judged(
        (NEAR, 'rectangle = { centre = "40, -60 mm", length = "60 mm", width = "40 mm" }'),
        ('resolution = { value = "1 mm"', 'resolution = { value = "0.001 mm"'),
    )
    assert float(part.along) == pytest.approx(0.060, abs=2e-6)
    assert float(part.across) == pytest.approx(0.040, abs=2e-6)


MERGE = (
    'resolution = { value = "1 mm"',
    'merge_distance = { value = "150 mm", place = "x 1" }\nresolution = { value = "1 mm"',
)


def test_of_two_skins_each_reason_names_its_own() -> None:
    part, _ = judged(MERGE)
    told = [r for r in part.reasons if r.side is not None]
    assert {r.side for r in told} == {"outside", "inside"}
    assert all(r.what.endswith(f", {r.side} skin") for r in told if r.limit is not None)
    near, far = (
        next(r for r in told if r.kind == "distance to a repair" and r.side == side)
        for side in ("outside", "inside")
    )
    assert far.figure.key == near.figure.key.replace("limits.distance.", "limits.distance.inside.")


def test_of_one_skin_no_reason_names_a_skin() -> None:
    shape = 'shape = { circle = { centre = "900, 600 mm", diameter = "60 mm" } }'
    earlier = f'[[panel.earlier_repair]]\nid = "E1"\n{shape}\n\n[damage]\n'
    part, _ = judged(MERGE, ("[damage]\n", earlier), name="gear_door")
    assert part.far is None
    assert any(r.kind == "distance to a repair" for r in part.reasons)
    assert [r.what for r in part.reasons if r.what.endswith(" skin")] == []


def test_a_far_outline_that_was_typed_is_not_said_to_be_missing() -> None:
    assert "L530" not in judged()[1]
    assert "L530" in judged((f"far_shape = {{ {FAR} }}", ""))[1]


def test_only_a_far_outline_that_was_typed_is_said_to_be_of_a_face_nobody_typed() -> None:
    """One taken from taps lies where the panel was tapped."""
    case, ledger = case_from(text("cowling")), Ledger()
    part = limits.make(case, ledger)
    assert "L495" in {f.code for f in limits.check(case, ledger, part)}
    damage = case.document.damage.model_copy(update={"far_shape": None})
    tapped = replace(case, document=case.document.model_copy(update={"damage": damage}))
    assert "L495" not in {f.code for f in limits.check(tapped, ledger, part)}


def test_a_distance_that_is_too_short_is_not_printed_as_the_one_required() -> None:
    """49.96 mm are 49.9 beside 50.0 required; nobody reads "50.0 of 50.0: too near"."""
    shape = 'shape = { circle = { centre = "900, 600 mm", diameter = "60 mm" } }'
    earlier = f'[[panel.earlier_repair]]\nid = "E1"\n{shape}\n\n[damage]\n'
    part, _ = judged(MERGE, ("[damage]\n", earlier), name="gear_door")
    (far,) = (r.figure.value for r in part.reasons if r.kind == "distance to a repair")
    asked = f'merge_distance = {{ value = "{1e3 * float(far) + 0.04:.3f} mm"'
    near, _ = judged(
        (MERGE[0], MERGE[1].replace('merge_distance = { value = "150 mm"', asked)),
        ("[damage]\n", earlier),
        name="gear_door",
    )
    (told,) = (r for r in near.reasons if r.kind == "distance to a repair")
    shown, required = (float(x) for x in re.findall(r"([\d.]+) mm", told.words))
    assert told.holds is False
    assert shown <= 1e3 * float(far) < required
