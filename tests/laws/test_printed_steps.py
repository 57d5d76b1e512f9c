"""The tables within the steps of a printed card, each cell under its own head: read off the page.

Every value is written by hand; the cures, blankets and thermocouples are made up and no two are alike.
"""

from __future__ import annotations

import re

import pytest

from examples_here import case_from, text
from panelmend.plan.make import make_plan
from panelmend.render.card import card_pdf, card_sheets
from panelmend.render.pieces import templates_of
from render_pages import flat, page_words
from two_cures import two_cures


@pytest.fixture(scope="module")
def card() -> str:
    return flat(*page_words(card_pdf(two_cures())))


def test_the_card_has_each_blanket_and_clock_in_its_row(card: str) -> None:
    rows = (
        "Core and cap: HB-20", "socket 4", "8.7 A", "12.8 A",
        "Core and cap: HB-21", "socket 5", "6.7 A", "16.0 A",
        "Repair plies: HB-24", "socket 4", "12.5 A", "12.8 A",
    )  # fmt: skip
    assert flat("Blanket", "Circuit", "Draws", "Circuit may carry", *rows) in card
    rows = (
        "Core and cap: plug adhesive", "45 min", "31 min",
        "Core and cap: laminating resin", "40 min", "22 min",
    )  # fmt: skip
    assert flat("Batch", "Pot life", "Planned", *rows) in card
    assert flat("Batch", "Pot life", "Planned", "Repair plies: laminating resin", "40 min", "36 min") in card


def test_the_card_has_each_layer_of_a_bag_with_its_size(card: str) -> None:
    """An opening of 163 by 102 mm: its cap 25 mm wider all round, its largest ply 101.6 mm."""
    first, behind, other = (
        said.split(flat("Pieces cut"))[0] for said in card.split(flat("Layer", "Pieces", "Size"))[1:]
    )
    pad = ("5. pressure pad or caul (rubber pad the size of the cut-out)", "1", "by template, see its step")
    caul = ("5. caul sheet (bare, flat, its edges rounded: evens out the heat)", "1", "416.2 mm × 355.2 mm")
    for said, (x, y), blanket, on_top in (
        (first, (263.0, 202.0), 508.0, pad),
        (other, (416.2, 355.2), 610.0, caul),
    ):
        rows = (
            "1. peel ply (on the last ply, over its edges)", "1", size(x, y),
            "2. release film, perforated (lets the resin through)", "1", size(x, y),
            "3. bleeder (takes up resin that is too much)", "1", size(x + 70.0, y + 70.0),
            "4. release film, non-porous (parting film)",
            "(solid, smaller than the bleeder so that air passes round it)", "1", size(x + 20.0, y + 20.0),
            *on_top,
            "6. edge breather (from the bare rim out past the blanket, one at each end along the opening)",
            "2", size(0.5 * (blanket - x - 70.0) + 50.0, 50.0),
            "7. edge breather (from the bare rim out past the blanket, one at each end across the opening)",
            "2", size(0.5 * (blanket - y - 70.0) + 50.0, 50.0), "8. heat blanket",
        )  # fmt: skip
        assert said.startswith(flat(*rows))
        assert flat(size(blanket, blanket), "9. breather (over everything, out to the vacuum bases)") in said
        assert flat("out to the vacuum bases)", "1", size(blanket + 50.0, blanket + 50.0)) in said
    assert flat("2. heat blanket (blanket HB-21)", "1", size(508.0, 508.0)) in behind
    assert flat("8. heat blanket (blanket HB-24)", "1") in other


def size(x: float, y: float) -> str:
    return f"{x:.1f} mm × {y:.1f} mm"


def test_the_card_has_each_thermocouple_with_its_place_and_readings(card: str) -> None:
    """Ahead and left are positive; seconds to the minute, from two hours on to a tenth of an hour."""
    first, other = card.split(flat("No., why there", "Along", "Across", "From the patch's edge", "Face"))[1:]
    far = r"[\d.]+mm(?:in|out)side"
    for said, name, place, face in (
        (first, "T7: by the rib", "31.0 mm ahead 22.0 mm right", "repair side"),
        (first, "T8: by the lead", "42.0 mm back 13.0 mm left", "opposite side"),
        (other, "T7: by the hinge", "51.0 mm ahead 62.0 mm left", "repair side"),
    ):
        assert re.search(re.escape(flat(name, place)) + far + re.escape(flat(face)), said), name
    head = flat("No.", "In the dwell", "Enters the band after")
    two = ("T7: counts", "62 C to 65 C", "94 min", "T8: as T7", "67 C to 71 C", "82 min")
    assert flat(head, *two) in card
    assert flat(head, "T7: counts", "76 C to 79 C", "2.0 h") in card


def test_half_a_minute_of_a_clock_goes_to_its_safe_side_everywhere() -> None:
    """Above 90 F a pot life of 45 min is 22.5 min; bag 6, leak test 1 and hold 3 leave 12.5 min to lay."""
    document = text("gear_door")
    (own,) = [x for x in document.splitlines() if x.startswith("kinetics =") and '"58 kJ/mol"' in x]
    document = document.replace(own + "\n", "")  # the paste's own constants of cure leave less than half
    old = 'air_temperature = "18 C"'
    assert document.count(old) == 1
    card = card_sheets(make_plan(case_from(document.replace(old, 'air_temperature = "34 C"')))).data
    (mix,) = [m for m in card["bench"]["mixes"] if "plug adhesive" in m["id"]]
    assert [mix[k][0]["text"] for k in ("life", "lay", "needed")] == ["22 min", "12 min", "31 min"]
    (step,) = [s for s in card["steps"] if s["title"].endswith("weigh and mix plug adhesive")]
    said = str([*step["words"], *step["blanks"]])
    for words in ("'22 min'", "'12 min'", "mixed at + 12 min", "mixed at + 22 min"):
        assert words in said, words
    assert "23 min" not in str(card)
    assert "13 min" not in said


def test_a_ply_has_one_number_on_step_bench_page_and_label() -> None:
    """A film adhesive goes down first and counts: its step began the plies at 1 again."""
    plan = make_plan(case_from(text("flap_rib_bay")))
    card = card_sheets(plan).data
    order = ["OUT-A", "OUT-F1", "OUT-F2", "OUT-R1", "OUT-R2", "OUT-S"]
    (layup,) = card["bench"]["layups"]
    assert [(r["order"], r["id"]) for r in layup["rows"]] == [(str(i), p) for i, p in enumerate(order, 1)]
    said = str([s["words"] for s in card["steps"] if "lay the" in s["title"]])
    assert re.findall(r"(\d)\. (OUT-\w+)", said) == [(str(i), p) for i, p in enumerate(order, 1)]
    labels = {t.id: t.lay for t in templates_of(plan) if t.operation == "cut cloth"}
    assert labels == {p: i for i, p in enumerate(order, 1)}
    # 2125.92 mm of sealing tape are 83.70 in: to the next mark of a rule where it is cut and on the kit list
    (layers,) = [t for s in card["steps"] for t in s["tables"] if t["title"].startswith("Layers")]
    (long,) = [r[2][0]["text"] for r in layers["rows"] if "sealing tape" in r[0][0]]
    (listed,) = [k["amount"][0]["text"] for k in card["kit"] if k["purpose"] == "sealing tape"]
    assert long == listed == "83 23/32 in"
