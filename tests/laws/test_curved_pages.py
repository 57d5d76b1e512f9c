"""Pages of a panel that is bent both ways: strain, mismatch, shear and darts stand where the template is."""

from __future__ import annotations

from functools import lru_cache

import pytest

from examples_here import case_from, text
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.card import card_data
from panelmend.render.curved import bent_of
from panelmend.render.drawing import DrawnShape, Text
from panelmend.render.dxf import templates_dxf
from panelmend.render.papers import A4
from panelmend.render.pieces import heading_of, templates_of
from panelmend.render.template import Template, drawing_of
from panelmend.render.templates import pages_data

BEND = 'bulges = "outside", coordinates = "surface"'
TWO = 'bulges = "outside", second_radius = "2000 mm", second_bulges = "outside"'
STRICT = '[data.plies]\nstrain_most = { value = "0.3 %", place = "fig 9" }\n'
ALLOWED = 'darts = { value = true, place = "fig 9" }\n'


@lru_cache(maxsize=4)
def plan(more: str = "") -> Plan:
    """The cowling bent both ways; ``more`` stands under data.plies."""
    made = text("cowling").replace(BEND, TWO).replace('surface = "single"', 'surface = "double"')
    return make_plan(case_from(made.replace("[data.plies]\n", STRICT + more)))


def by_id(made: Plan) -> dict[str, Template]:
    return {t.id: t for t in templates_of(made)}


def test_every_template_says_what_the_bend_does_to_it() -> None:
    made = plan(ALLOWED)
    bent, shown = bent_of(made), by_id(made)
    assert set(shown) - set(bent) == {"OUT-TAPE", "IN-TAPE"}
    for ident, b in bent.items():
        words = "; ".join(shown[ident].curve)
        assert f"strain {100.0 * float(b.strain):.2f} %" in words
        assert f"out by {1e3 * float(b.mismatch):.1f} mm" in words
        assert ("cloth shears" in words) == (b.shear is not None)
    assert "not by this line" in shown["OUT-TAPE"].curve[0]


def test_the_printed_sheets_carry_the_words() -> None:
    made = plan(ALLOWED)
    data = pages_data(heading_of(made), templates_of(made), A4)
    assert all(row["curve"] for row in data["list"])
    assert "Try each template dry" in data["curve-note"]
    sheet = next(s for s in data["sheets"] if s["title"].startswith("OUT-S"))
    assert "double bend: strain" in sheet["words"]
    assert "2 darts, up to 0.9 mm wide: slit, try, cut only what overlaps" in sheet["words"]


def test_a_dart_is_told_from_the_cut_line_without_its_colour() -> None:
    """By dots and dashes and by its name, on grey paper as well."""
    made = plan(ALLOWED)
    shown = next(t for t in by_id(made).values() if t.darts)
    items = drawing_of(shown, heading_of(made)).items
    drawn = [x for x in items if isinstance(x, DrawnShape) and x.outlines[0] in shown.darts]
    cut = [x for x in items if isinstance(x, DrawnShape) and x.outlines[0] in shown.outlines]
    assert len(drawn) == len(shown.darts) > 0
    assert all(x.ink is not None and x.ink.dash for x in drawn)
    assert not any(x.ink is not None and x.ink.dash for x in cut)
    names = [x.words for x in items if isinstance(x, Text) and x.words.startswith("dart ")]
    assert names == [f"dart {i}" for i in range(1, len(drawn) + 1)]


def test_darts_are_drawn_only_where_the_data_permits_them() -> None:
    """Wedges on the plies that strain too much, on their rim, in paper and in the cutter's file."""
    permitted, denied = by_id(plan(ALLOWED)), by_id(plan())
    assert {t.id for t in permitted.values() if t.darts} == {"OUT-R3", "OUT-S", "IN-E1"}
    assert not any(t.darts for t in denied.values())
    assert any("NOT permitted" in line for line in denied["OUT-S"].curve)
    ply = permitted["OUT-S"]
    assert len(ply.darts) == 2
    for dart in ply.darts:
        reach = [ply.outlines[0].reach(v.x, v.y)[0] for v in dart.vertices]
        assert min(reach) < 1e-4  # its mouth lies on the rim
    heading = heading_of(plan(ALLOWED))
    for t, wedges in ((ply, 2), (denied["OUT-S"], 0)):
        red = [
            i
            for i in drawing_of(t, heading).items
            if isinstance(i, DrawnShape) and i.ink and i.ink.colour == "warn"
        ]
        assert len(red) == wedges
    lines = templates_dxf(heading, [ply]).decode().count("LWPOLYLINE")
    assert lines == templates_dxf(heading, [denied["OUT-S"]]).decode().count("LWPOLYLINE") + 2


def test_the_card_lists_every_bent_piece_with_its_figures() -> None:
    made = plan(ALLOWED)
    rows = [row for layup in card_data(made)["bench"]["layups"] for row in layup["bent"]]
    assert {row[0] for row in rows} == set(bent_of(made))
    shear = next(row[3] for row in rows if row[0] == "OUT-S")
    assert shear["text"] == "0.3°"
    assert shear["n"] > 0


@pytest.mark.parametrize("name", ["gear_door", "cowling"])
def test_pages_of_other_panels_say_nothing_of_a_double_bend(name: str) -> None:
    made = make_plan(case_from(text(name)))
    assert not any(t.curve or t.darts for t in templates_of(made))
    assert not any(layup["bent"] for layup in card_data(made)["bench"]["layups"])
