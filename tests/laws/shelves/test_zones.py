"""Zones that the data draws: the damage says which one, its limits follow; surveyed damage; curved hands."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from examples_here import FOLDER
from new_jobs import made_by
from panelmend.errors import DocumentError, Severity, all_codes
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.shapes import circle
from panelmend.shelves.model import Shelf
from panelmend.shelves.zones import zone_of, zones_at
from shelf_files import Shop, entry, head

REPAIR_7 = "M3-SRM rev 11 / Repair 7"
DATA: Shelf = "data"
ZONES = """
[[zone]]
name = "A"
place = "52-10-17 fig 101"
shape = { rectangle = { centre = "350, 400 mm", length = "700 mm", width = "800 mm" } }

[[zone]]
name = "B"
place = "52-10-17 fig 101"
shape = { rectangle = { centre = "950, 400 mm", length = "500 mm", width = "800 mm" } }

[[choose]]
title = "Largest damage by zone"
place = "52-10-17 table 101"
by = ["zone"]

[[choose.row]]
zone = ["A"]
data.limits.repairable = "200 mm"

[[choose.row]]
zone = ["B"]
data.limits.repairable = "120 mm"
"""
HANDS = 'hand = "left"\nother_hand = { part_number = "M3-7110-03-2", name = "Right" }\n'


def zoned(tmp_path: Path, more: str = ZONES) -> Shop:
    """The gear door with the limit by zone; the damage is a circle of 60 mm about x."""
    shop = Shop(tmp_path)
    lines = shop.read("data", REPAIR_7).split("\n[entry.check]")[0].split("\n")
    shop.put("data", REPAIR_7, "\n".join(x for x in lines if not x.startswith("repairable =")) + "\n" + more)
    start, end = shop.text.index("shape.outline"), shop.text.index('depth = "skin')
    shop.text = (
        shop.text[:start] + 'shape.circle = { centre = "CX, 400 mm", diameter = "60 mm" }\n' + shop.text[end:]
    )
    return shop


SAID = """
[zone_said]
zone = "A"
by = "D. Aune"
on = 2026-11-25
reference = "ED-9"
typed_by = "J. Hale"
"""


def at(x: str, use: str = "") -> tuple[tuple[str, str], ...]:
    return (("CX", x), *((('bay = "door cell"', f'bay = "door cell", {use}'),) if use else ()))


@pytest.mark.parametrize(
    ("x", "zone", "limit"), [("400", "A", 0.2), ("670", "A", 0.2), ("730", "B", 0.12), ("900", "B", 0.12)]
)
def test_the_limits_are_those_of_the_zone_the_damage_lies_in(
    tmp_path: Path, x: str, zone: str, limit: float
) -> None:
    """A damage that reaches its zone's line exactly lies in that zone alone."""
    shop = zoned(tmp_path)
    loaded = shop.load(*at(x))
    assert loaded.document.data.limits.repairable is not None
    assert loaded.document.data.limits.repairable.value == pytest.approx(limit)
    assert loaded.shelved is not None
    (told,) = [f.words for f in loaded.shelved.findings if f.code == "X210"]
    assert told == f"zone {zone} (52-10-17 fig 101), by the outline of the damage"


@pytest.mark.parametrize("x", ["671", "700", "729"])
def test_over_the_line_of_two_zones_it_is_asked_and_never_guessed(tmp_path: Path, x: str) -> None:
    shop = zoned(tmp_path)
    with pytest.raises(DocumentError, match="the damage lies in 2 zones: A, B"):
        shop.load(*at(x))
    assert shop.codes(*at(x, 'zone = "A"')) == ["X211", "X112"]
    assert {c.severity for c in all_codes() if c.code == "X211"} == {Severity.CONFIRM}
    assert shop.codes(*at(x, 'zone = "B", zone_reference = "ED-9"')) == ["X211", "X112"], "typed text alone"
    plain = shop.text
    shop.text += SAID.replace('"A"', '"B"')
    there = at(x, 'zone = "B"')
    assert shop.codes(*there) == ["X582", "X112"]
    assert shop.seen() == ()
    assert shop.codes() == ["X212", "X112"]
    shop.text = plain + SAID
    assert shop.codes(*there) == ["X211", "X112"], "it says another zone"
    shop.text = plain + SAID.replace('"A"', '"B"')
    text = shop.read("bays", "door cell").replace('engineer = "D. Aune"\n', "")
    shop.put("bays", "door cell", text.split("\n[entry.check]")[0] + "\n")
    assert shop.codes(*there) == ["X211", "X112"], "whose reference"


def test_a_zone_typed_wrong_and_a_damage_in_no_zone_are_refused(tmp_path: Path) -> None:
    shop = zoned(tmp_path)
    with pytest.raises(DocumentError, match=r"names another zone than the one.*read \"B\"; expected \"A\""):
        shop.load(*at("400", 'zone = "B"'))
    gap = ZONES.replace(
        'centre = "950, 400 mm", length = "500 mm"', 'centre = "1000, 400 mm", length = "400 mm"'
    )
    shop = zoned(tmp_path, gap)
    with pytest.raises(DocumentError, match="lies in no zone that the data draws"):
        shop.load(*at("750"))
    with pytest.raises(DocumentError, match=r"reaches out of zone A and lies in no other.*by 10\.0 mm"):
        shop.load(*at("680"))
    assert "X210" in shop.codes(*at("670"))


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('zone = ["B"]', 'zone = ["C"]', "stands in a table and is not drawn"),
        ('name = "B"', 'name = "A"', "a zone is drawn twice"),
        ('width = "800 mm" } }\n\n[[zone]]', 'width = "8 00 mm" } }\n\n[[zone]]', "zone"),
        ("rectangle = { centre", "square = { centre", "square"),
    ],
)
def test_zones_that_cannot_be_are_refused_when_they_are_read(
    tmp_path: Path, old: str, new: str, words: str
) -> None:
    assert old in ZONES
    with pytest.raises(DocumentError, match=words):
        zoned(tmp_path, ZONES.replace(old, new, 1))


def test_zones_turn_with_the_hand_the_data_is_drawn_for(tmp_path: Path) -> None:
    """On the right-hand door the same zones lie mirrored; typed coordinates are those of that door."""
    lower = ZONES.replace(
        '"350, 400 mm", length = "700 mm", width = "800 mm"',
        '"600, 200 mm", length = "1200 mm", width = "400 mm"',
    )
    lower = lower.replace(
        '"950, 400 mm", length = "500 mm", width = "800 mm"',
        '"600, 600 mm", length = "1200 mm", width = "400 mm"',
    )
    shop = zoned(tmp_path, lower)
    shop.text = shop.text.replace("CX, 400 mm", "600, CY mm")
    assert "zone A" in _told(shop, ("CY", "300"))
    right = ('serial = "0088"', 'serial = "0042", hand = "right"')
    assert "zone A" in _told(shop, ("CY", "-300"), right)
    assert "zone B" in _told(shop, ("CY", "-500"), right)
    shop.edit("data", REPAIR_7, ('hand = "left"', 'hand = "both"'))
    with pytest.raises(DocumentError, match="the zones are drawn, and nothing says for which hand"):
        shop.load(("CY", "-300"), right)


def _told(shop: Shop, *pairs: tuple[str, str]) -> str:
    shelved = shop.load(*pairs).shelved
    assert shelved is not None
    return next(f.words for f in shelved.findings if f.code == "X210")


def test_a_hole_in_both_skins_lies_where_either_outline_does() -> None:
    made = entry(head("data", "d") + f'[data]\nrepair = "r"\n{ZONES}', DATA, "d")
    near, far = circle((0.65, 0.4), 0.06), circle((0.73, 0.4), 0.1)
    assert zones_at(made.typed, (near,), mirrored=False).zones == ("A",)
    assert zones_at(made.typed, (near, far), mirrored=False).zones == ("A", "B")
    assert zone_of(zones_at(made.typed, (near,), mirrored=False), "", "mm") == ("A", "")


def test_surveyed_damage_chooses_its_plies_by_size(tmp_path: Path) -> None:
    """No outline was typed: the line of the survey is what the table goes by, and what the plan judges."""
    surveyed = (FOLDER / "gear_door" / "surveyed.toml").read_text("utf8")
    damage = surveyed[surveyed.index("[damage]") : surveyed.index("[data]")]
    shop = Shop(tmp_path)
    shop.text = shop.text[: shop.text.index("[damage]")] + damage
    plain = make_plan(case_of(shop.load()))
    size = round(1e3 * float(plain.limits.largest))
    table = (
        '\n[[choose]]\ntitle = "Extra plies by size"\nplace = "t 201"\nby = ["largest"]\n'
        '[[choose.row]]\nup_to = "EDGE mm"\ndata.plies.outside.extra = []\n'
        '[[choose.row]]\nover = "EDGE mm"\nup_to = "400 mm"\n'
        'data.plies.outside.extra = [ { cloth = "demo-glass-8h", warp = "45 deg" } ]\n'
    )
    text = shop.read("data", REPAIR_7).split("\n[entry.check]")[0]
    base = "\n".join(x for x in text.split("\n") if not x.startswith("extra")) + "\n"
    for edge, extra in ((size, 0), (size - 1, 1)):
        shop.put("data", REPAIR_7, base + table.replace("EDGE", str(edge)))
        loaded = shop.load()
        outside = loaded.document.data.plies.outside
        assert outside is not None
        assert outside.extra is not None
        assert len(outside.extra.value) == extra
        assert loaded.shelved is not None
        assert any(f"largest dimension {size}.0 mm" in f.words for f in loaded.shelved.findings)


def test_both_hands_of_a_curved_panel_are_mirror_images(tmp_path: Path) -> None:
    """The cowling with another hand: radius and bulge stay, its axis and the templates turn."""
    left, right = Shop(tmp_path / "l", "cowling"), Shop(tmp_path / "r", "cowling")
    for shop in (left, right):
        shop.edit(
            "panels", "M3-7110-03-1",
            ("invented = true", f"{HANDS}invented = true"),
            ('axis = "0 deg"', 'axis = "30 deg"'),
        )  # fmt: skip
        both = 'hand = "left"\npanels = ["M3-7110-03-1", "M3-7110-03-2"]\n'
        shop.edit("data", "M3-SRM rev 11 / Repair 12", ('panels = ["M3-7110-03-1"]\n', both))
    made = make_plan(case_of(left.load()))
    pairs = (
        ('centre = "350, 240 mm"', 'centre = "350, -240 mm"'),
        ('centre = "40, -60 mm"', 'centre = "40, 60 mm"'),
        ('angle = "20 deg"', 'angle = "-20 deg"'),
        ('centre = "42, -58 mm"', 'centre = "42, 58 mm"'),
        ('serial = "0131"', 'serial = "0131"\nhand = "right"'),
    )
    other = make_plan(case_of(right.load(*pairs)))
    a, b = made.case.geometry, other.case.geometry
    assert a.cylinder is not None
    assert b.cylinder is not None
    assert b.cylinder.radius == a.cylinder.radius
    assert math.sin(a.cylinder.axis_angle) == pytest.approx(0.5)
    assert math.remainder(a.cylinder.axis_angle + b.cylinder.axis_angle, math.pi) == pytest.approx(
        0.0, abs=1e-9
    )
    assert made.work is not None
    assert other.work is not None
    assert made.mark == other.mark
    ours = {p.id: p for s in made.work.plies.sides for p in s.plies}
    theirs = {p.id: p for s in other.work.plies.sides for p in s.plies}
    assert set(ours) == set(theirs)
    assert len(ours) > 4
    for name, ply in ours.items():
        mirror = theirs[name]
        assert mirror.outline.area == pytest.approx(ply.outline.area, rel=1e-7), name
        assert mirror.outline.centroid[1] == pytest.approx(-ply.outline.centroid[1], abs=1e-7)
        assert mirror.outline.centroid[0] == pytest.approx(ply.outline.centroid[0], abs=1e-7)


def test_the_zone_is_asked_only_where_the_data_does_not_draw_it(tmp_path: Path) -> None:
    shop = zoned(tmp_path)
    lines = (
        "gear left",
        "0088",
        "Repair 7",
        "c",
        "T-1",
        "R. Osk",
        "M. Verrin",
        "none",
        "skin and core",
        "outside",
    )
    lines = (*lines, "circle 60 mm at 400, 400 mm", "none found")
    drawn, text = made_by(lines, shop.folder / "shelves")
    assert drawn.asked == len(lines)
    assert "zone" not in text
    shop.edit("data", REPAIR_7, (ZONES[: ZONES.index("[[choose]]")], "\n"))
    typed, text = made_by((*lines[:3], "A", *lines[3:]), shop.folder / "shelves")
    assert typed.asked == len(lines) + 1
    assert 'zone = "A"' in text


def _narrowed(tmp_path: Path, edge: str) -> Shop:
    """Both zones end at a line of y = ``edge`` that the damage (430 mm at the top) may reach over."""
    half = f"{float(edge) / 2:g}"
    more = ZONES.replace(
        '"350, 400 mm", length = "700 mm", width = "800 mm"',
        f'"350, {half} mm", length = "700 mm", width = "{edge} mm"',
    )
    more = more.replace(
        '"950, 400 mm", length = "500 mm", width = "800 mm"',
        f'"950, {half} mm", length = "500 mm", width = "{edge} mm"',
    )
    return zoned(tmp_path, more)


@pytest.mark.parametrize(
    ("edge", "inside"), [("430", True), ("429.9", True), ("429.5", False), ("400", False)]
)
def test_a_damage_in_two_zones_that_reaches_into_none_is_refused(
    tmp_path: Path, edge: str, inside: bool
) -> None:
    """A tenth of a millimetre over the line is a segment of 0.33 mm2 of the circle, half of one 3.6 mm2."""
    shop = _narrowed(tmp_path, edge)
    shop.text += SAID
    reference = at("700", 'zone = "A"')
    if inside:
        assert shop.codes(*reference) == ["X582", "X112"]
    else:
        with pytest.raises(DocumentError, match="lies in zones A and B, and part of it in none"):
            shop.load(*reference)


def test_no_confirmation_and_no_blank_reference_settles_which_zone_counts(tmp_path: Path) -> None:
    shop = zoned(tmp_path)
    assert shop.codes(*at("700", 'zone = "A", zone_reference = "  "')) == ["X211", "X112"]
    who = shop.text
    shop.text += '\n[[confirm]]\nfigure = "use.zone"\nby = "D. Aune"\non = 2026-11-24\nvalue = "A"\n'
    plan = make_plan(case_of(shop.load(*at("700", 'zone = "A"'))))
    assert {"X211", "J003"} <= {f.code for f in plan.findings}
    assert plan.is_draft
    shop.text = who
    assert "X210" in shop.codes(*at("400")), "a reference is asked for only over a line"


def test_who_does_the_work_answers_for_no_zone(tmp_path: Path) -> None:
    shop = zoned(tmp_path)
    does = next(x for x in shop.text.splitlines() if "technician" in x)
    name = does.split("technician")[1].split('"')[1]
    bay = shop.read("bays", "door cell").replace('engineer = "D. Aune"', f'engineer = "{name}"')
    shop.put("bays", "door cell", bay.split("\n[entry.check]")[0] + "\n")
    shop.text += SAID.replace("D. Aune", name)
    found = shop.codes(*at("700", 'zone = "A"'))
    assert "X211" in found
    assert "X212" not in found
