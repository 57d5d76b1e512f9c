"""The kit list, its files, the labels and the tables of plies and cures of a card: each cell under its head.

Read off the page and out of the files. Values are written by hand and no two are alike, so that two columns,
two sides, two lots or two operations exchanged show.
"""

from __future__ import annotations

import csv
import io
import math
import re
from dataclasses import replace

import openpyxl
import pytest

from examples_here import case_from, text
from made_cures import figure
from panelmend.app.telling import summary
from panelmend.job.kit.part import KitLine, Mix, Pick
from panelmend.job.plies.part import Ply, SideLayup
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.amounts import handed_out, pick_words
from panelmend.render.card import card_pdf
from panelmend.render.files import kit_tables
from panelmend.render.labels import labels_sheets
from panelmend.render.papers import A4
from panelmend.render.pieces import heading_of, templates_of
from panelmend.render.strokes import Label, Stroke
from panelmend.render.tables import to_csv, to_xlsx
from panelmend.render.templates import templates_sheets
from panelmend.render.views import bag_plan, panel_view
from render_pages import flat, page_words

CARBON = "Carbon, plain weave, 193 g/m2"
SATIN = "E-glass, 8-harness satin, 300 g/m2"
PLAIN = "E-glass, plain weave, 105 g/m2"
INNER = """ceiling = "94 C"
control = "lagging"
release_below = "52 C"
thermocouples_least = 4
segment = [
  { kind = "ramp", to = "82 C", rate_most = "3 C/min", rate_least = "0.5 C/min", rate = "2 C/min" },
  { kind = "dwell", to = "82 C", low = "77 C", high = "88 C", least = "120 min" },
  { kind = "cool", to = "49 C", rate_most = "3 C/min" },
"""
OTHER = """ceiling = "96 C"
control = "lagging"
release_below = "50 C"
thermocouples_least = 4
segment = [
  { kind = "ramp", to = "81 C", rate_most = "2.5 C/min", rate_least = "0.6 C/min", rate = "2 C/min" },
  { kind = "dwell", to = "81 C", low = "76 C", high = "87 C", least = "180 min" },
  { kind = "cool", to = "47 C", rate_most = "2.8 C/min" },
"""
# of each ply: trimmed off its corners, least overlap [mm]
LAID = {"OUT-R1": (7.1, 21.3), "OUT-R2": (8.2, 31.4), "OUT-R3": (9.3, 41.5), "OUT-S": (0.0, 51.6),
        "IN-R1": (5.1, 22.7), "IN-R2": (6.2, 32.8), "IN-E1": (0.0, 42.9)}  # fmt: skip


def _line(
    plan: Plan, n: int, kind: str, amount: float, picks: tuple[float, ...], short: float, held: str = ""
) -> KitLine:
    """``held``: the kind that stores count in, where it is another."""

    def made(what: str, value: float) -> object:
        return figure(plan, f"made.{n}.{what}", value, kind if what == "amount" else held or kind)

    return KitLine(
        group={"length": "cloth", "area": "bagging"}.get(kind, "resin"),  # type: ignore[arg-type]
        material=f"id {n}",
        name=f"stuff {n}",
        purpose=f"for thing {n}",
        amount=made("amount", amount),  # type: ignore[arg-type]
        picks=tuple(
            Pick(f"S-{n}{i}", f"LOT-{n}{i}", made(f"pick{i}", v), f"life {n}{i}", "mass")  # type: ignore[arg-type]
            for i, v in enumerate(picks)
        ),
        short=made("short", short) if short else None,  # type: ignore[arg-type]
        stocked=bool(picks),
        caution=f"mind {n}",
    )


def _ply(plan: Plan, ply: Ply) -> Ply:
    trim, overlap = LAID[ply.id]
    return replace(
        ply,
        trim=figure(plan, f"made.{ply.id}.trim", 1e-3 * trim, "length"),
        overlap=figure(plan, f"made.{ply.id}.overlap", 1e-3 * overlap, "length"),
    )


def _side(plan: Plan, side: SideLayup) -> SideLayup:
    return replace(side, plies=tuple(_ply(plan, p) for p in side.plies))


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The cowling, through both skins; its inner cure has limits of its own, its kit is made up."""
    document = text("cowling")
    assert document.index(INNER) < document.index('name = "Core and cap"')
    made = make_plan(case_from(document.replace(INNER, OTHER, 1)))
    assert made.work is not None
    work = made.work
    lines = (
        _line(made, 1, "length", 1.23404, (0.90004, 0.20001), 0.13402),
        _line(made, 2, "fine mass", 0.043212, (0.04111,), 0.002112, "mass"),
        _line(made, 3, "length", 0.5678, (), 0.0),
        _line(made, 4, "area", 1.2312, (1.1101,), 0.1211),
    )
    plies = replace(work.plies, sides=tuple(_side(made, s) for s in work.plies.sides))
    return replace(made, work=replace(work, plies=plies, kit=replace(work.kit, lines=lines)))


@pytest.fixture(scope="module")
def card(plan: Plan) -> str:
    return flat(*page_words(card_pdf(plan)))


def test_the_kit_list_of_a_card(card: str) -> None:
    head = flat("Group", "Material and purpose", "Amount", "Taken from")
    kit = card[card.index(head) :]
    for row in (
        ("cloth", "stuff 1", "for thing 1", "mind 1", "1234.1 mm", "S-10, lot LOT-10: 900.1 mm (life 10)",
         "S-11, lot LOT-11: 200.1 mm (life 11)", "short of 134.1 mm"),
        ("resin", "stuff 2", "for thing 2", "mind 2", "43.21 g", "S-20, lot LOT-20: 41.11 g (life 20)",
         "short of 2.11 g"),
        ("cloth", "stuff 3", "for thing 3", "mind 3", "567.8 mm", "not listed in the stores"),
        ("bagging", "stuff 4", "for thing 4", "mind 4", "1.24 m2", "S-40, lot LOT-40: 1.12 m2 (life 40)",
         "short of 0.13 m2"),
    ):  # fmt: skip
        assert flat(*row) in kit, row


def test_a_sheet_is_never_cut_shorter_than_the_kit_list_has_it(plan: Plan, card: str) -> None:
    assert plan.work is not None
    sheets = plan.work.kit.sheets
    assert len(sheets) == 6
    for s in sheets:
        long, wide = (math.ceil(1e4 * float(v) - 1e-6) / 10.0 for v in (s.length, s.width))
        words = (f"from {s.strip}: a sheet ", f"{long:.1f} mm", " along the warp by ", f"{wide:.1f} mm")
        assert flat(*words) in card, s.strip


HEADS = ["Group", "Material", "Purpose", "Amount", "Unit", "Lots", "Short", "Caution"]
LOTS = "S-10, lot LOT-10: 900.1 mm (life 10); S-11, lot LOT-11: 200.1 mm (life 11)"
ROWS = [  # as the card has it: what is cut never less than it takes, what is weighed as in its step
    ["cloth", "stuff 1", "for thing 1", 1234.1, "mm", LOTS, 134.1, "mind 1"],
    ["resin", "stuff 2", "for thing 2", 43.21, "g", "S-20, lot LOT-20: 41.11 g (life 20)", 2.11, "mind 2"],
    ["cloth", "stuff 3", "for thing 3", 567.8, "mm", "not listed in the stores", None, "mind 3"],
    ["bagging", "stuff 4", "for thing 4", 1.24, "m2", "S-40, lot LOT-40: 1.12 m2 (life 40)", 0.13, "mind 4"],
]


def test_the_kit_list_as_files(plan: Plan) -> None:
    tables = kit_tables(plan)
    head, *rows = csv.reader(io.StringIO(to_csv(tables[0]).decode("utf-8-sig")))
    assert head == [*HEADS, "Repair", "Panel", "Plan"]
    assert len(rows) == 4
    for row, wanted in zip(rows, ROWS, strict=True):
        assert row[:8] == [f"{v:.2f}" if isinstance(v, float) else v or "" for v in wanted]
        assert row[8:10] == ["TAS-26-0440", "Engine cowling, left, side panel"]
        assert row[10].startswith(plan.short_digest)
    book = openpyxl.load_workbook(io.BytesIO(to_xlsx(tables, title="kit")))
    cells = [[c.value for c in row] for row in book["Kit"].iter_rows()]
    at = cells.index(HEADS)
    assert [row for row in cells[:at] if row[0]][1][:2] == ["Repair", "TAS-26-0440"]
    for row, wanted in zip(cells[at + 1 :], ROWS, strict=True):
        assert row == [pytest.approx(v) if isinstance(v, float) else v or None for v in wanted]


@pytest.mark.parametrize(
    ("value", "kind", "view", "unit", "wanted"),
    [
        (22.73 * 0.0254, "length", "in", "in", 22.75),  # the card has 22 3/4 in
        (22.02 * 0.0254, "length", "in", "in", 22.04),  # 22 1/32 in is 22.03125
        (0.4 * 0.0254, "length", "in", "in", 0.41),  # 13/32 in
        (1.2340001, "length", "mm", "mm", 1234.1),
        (1.234, "length", "mm", "mm", 1234.0),
        (0.09999, "area", "mm", "cm2", 999.9),
        (0.1234, "area", "mm", "cm2", 1300.0),  # 0.13 m2
        (0.0432612, "mass", "mm", "g", 43.3),  # the card has 43.3 g, the nearest
        (0.0432112, "fine mass", "mm", "g", 43.21),
        (1.2343e-5, "volume", "mm", "cm3", 12.3),
    ],
)
def test_a_list_never_hands_out_less_than_the_card_asks(
    value: float, kind: str, view: str, unit: str, wanted: float
) -> None:
    assert handed_out(value, kind, view, unit) == pytest.approx(wanted, abs=1e-9)


def test_the_mixes_of_the_workbook_show_the_decimals_of_the_balance(plan: Plan) -> None:
    book = openpyxl.load_workbook(io.BytesIO(to_xlsx(kit_tables(plan), title="kit")))
    rows = list(book["Mixes"].iter_rows())
    at = next(i for i, row in enumerate(rows) if row[0].value == "Mix")
    assert all(c.number_format == "0.00" for row in rows[at + 1 :] for c in row[1:4] if c.value is not None)


def test_mixes_on_card_and_in_the_file(plan: Plan, card: str) -> None:
    """Resin and hardener 100 to 30; the window is 3 % each way less what the balance is off."""
    head = ("Batch", "In all", "Batches", "Resin", "Hardener", "Filler", "Pot life", "Lay by: mixed at +")
    assert flat(*head, "Mixing to tight bag") in card
    assert plan.work is not None
    mixes = {m.id: m for m in plan.work.kit.mixes}
    (_, sheet) = kit_tables(plan)
    heads = ["Mix", "Resin in all g", "Hardener in all g", "Filler in all g", "Batches"]
    assert [c.heading for c in sheet.columns] == heads
    listed = {row[0]: row[1:] for row in sheet.rows}
    assert set(listed) == set(mixes)
    for name, mix in mixes.items():
        resin, hardener, filler = _masses(mix)
        row = [flat(name), rf"{resin + hardener:.2f}g", "1", rf"{resin:.2f}g"]
        low, high = (1e3 * float(v) for v in (mix.hardener_low, mix.hardener_high))
        assert low < hardener < high
        pattern = re.escape("".join(row)) + r"([\d.]+)gto([\d.]+)g" + (rf"{filler:.2f}g" if filler else "–")
        found = re.search(pattern + ("45min" if filler else "40min"), card)
        assert found, name
        assert 0.97 * hardener - 0.02 < float(found[1]) < hardener < float(found[2]) < 1.03 * hardener + 0.02
        assert listed[name] == (
            pytest.approx(resin), pytest.approx(hardener), pytest.approx(filler) if filler else None, 1,
        )  # fmt: skip


def _masses(mix: Mix) -> tuple[float, float, float]:
    """Resin, hardener and filler [g] from what is mixed in all: 100 to 30, or 100 to 40 with 12 of both."""
    total = 1e3 * float(mix.total)
    if mix.filler is None:
        return total / 1.3, total * 0.3 / 1.3, 0.0
    return total / 1.4, total * 0.4 / 1.4, total * 0.12


def test_the_tables_of_the_plies(card: str) -> None:
    """Margins 25.4, 19.05 more each, 12.7 for sanding; seen from the inside a warp turns the other way."""
    head = ("Beyond, per side", "Trim", "Least overlap")
    outer = flat("Lay", "Ply", "Material", "Warp, seen from outside, within 3.0°", *head)
    inner = flat("Lay", "Ply", "Material", "Warp, seen from inside, within 3.0°", *head)
    out, into = card[card.index(outer) :], card[card.index(inner) :]
    carbon, satin, plain = CARBON, SATIN, PLAIN
    rows = (
        ("1", "OUT-R1 repair", carbon, "0.0°", "25.4 mm", "7.1 mm", "21.3 mm"),
        ("2", "OUT-R2 repair", carbon, "45.0°", "44.5 mm", "8.2 mm", "31.4 mm"),
        ("3", "OUT-R3 repair", satin, "0.0°", "63.5 mm", "9.3 mm", "41.5 mm"),
        ("4", "OUT-S sanding", plain, "0.0°", "76.2 mm", "none", "51.6 mm"),
    )
    assert out.startswith(
        flat(outer, "1CAP-1 cap", plain, "0.0°", "25.0 mm", "none", "trimmed", *map(flat, rows[0]))
    )
    assert flat(*(c for row in rows for c in row)) in out
    seen = (
        ("1", "IN-R1 repair", carbon, "-45.0°", "25.4 mm", "5.1 mm", "22.7 mm"),
        ("2", "IN-R2 repair", carbon, "0.0°", "44.5 mm", "6.2 mm", "32.8 mm"),
        ("3", "IN-E1 extra", satin, "45.0°", "63.5 mm", "none", "42.9 mm"),
    )
    assert into.startswith(flat(inner, *(c for row in seen for c in row)))


def test_opening_core_and_plug_on_the_card(card: str) -> None:
    for row in (
        ("Form", "ellipse", "Length", "82.0 mm", "Width", "77.0 mm", "Turned", "23.0°"),
        (
            "Depth stop, at most",
            "0.65 mm",
            "Core out, at most",
            "12.00 mm",
            "Core edge chamfer",
            "45.0°",
            "Plug",
            "12.00 mm",
        ),
        ("Gap round it", "1.0 mm", "Ribbon", "90.0°", "Ribbon within", "5.0°"),
    ):
        assert flat(*row) in card, row
    outside = ("509.9 mm from the edge towards 0°", ", ", "391.2 mm from the edge towards 270°")
    inside = ("509.9 mm from the edge towards 0°", ", ", "392.5 mm from the edge towards 90°")
    assert (
        flat("Centre, seen from the outside: ", *outside, "Centre, seen from the inside: ", *inside) in card
    )


def test_the_cure_cycles_on_the_card_each_with_its_own_limits(card: str) -> None:
    head = flat("Operation", "Stages", "Vacuum, leak, force", "Maximum", "Vacuum off below")
    cures = card[card.index(head) :]
    bag = ("at least 22.0 inHg", "at most 1.0 inHg in 1 min")
    for name, letter, blanket, stages, ends in (
        ("Inner plies", "A", "HB-16",
         ("1. heat to 81 C at most 2.5 C/min at least 0.6 C/min", "2. hold at 81 C (76 C to 87 C) for 3 h",
          "3. cool to 47 C at most 2.8 C/min"), ("96 C", "50 C")),
        ("Core and cap", "B", "HB-12",
         ("1. heat to 66 C at most 3.0 C/min at least 0.5 C/min", "2. hold at 66 C (61 C to 72 C) for 2 h",
          "3. cool to 49 C at most 3.0 C/min"), ("78 C", "52 C")),
        ("Outer plies", "C", "HB-16",
         ("1. heat to 82 C at most 3.0 C/min at least 0.5 C/min", "2. hold at 82 C (77 C to 88 C) for 2 h",
          "3. cool to 49 C at most 3.0 C/min"), ("94 C", "52 C")),
    ):  # fmt: skip
        start = flat(name, f"51-30-04 fig 3, cure {letter}", f"{blanket} on socket 4", *stages, *bag)
        assert re.search(re.escape(start) + r"upto\d+N" + re.escape(flat(*ends)), cures), name


PIECES = {  # title, material, arrow, side, face, operation, its number there, lot
    "CAP-1": ("Cap", PLAIN, "warp 0°", "outside", False, "Core and cap", 1, "GP-1107"),
    "OUT-R1": ("Repair ply, corners trimmed", CARBON, "warp 0°", "outside", False,
               "Outer plies", 1, "CW-7714"),
    "OUT-R2": ("Repair ply, corners trimmed", CARBON, "warp 45°", "outside", False,
               "Outer plies", 2, "CW-7714"),
    "OUT-R3": ("Repair ply, corners trimmed", SATIN, "warp 0°", "outside", True,
               "Outer plies", 3, "G8-2291"),
    "OUT-S": ("Sanding ply", PLAIN, "warp 0°", "outside", False,
              "Outer plies", 4, "GP-1107"),
    "IN-R1": ("Repair ply, corners trimmed", CARBON, "warp -45°", "inside", False,
              "Inner plies", 1, "CW-7714"),
    "IN-R2": ("Repair ply, corners trimmed", CARBON, "warp 0°", "inside", False,
              "Inner plies", 2, "CW-7714"),
    "IN-E1": ("Extra ply", SATIN, "warp 45°", "inside", True,
              "Inner plies", 3, "G8-2291"),
}  # fmt: skip


def test_each_label_is_that_of_its_piece(plan: Plan) -> None:
    pieces = [t for t in templates_of(plan) if t.operation == "cut cloth"]
    assert [t.id for t in pieces] == list(PIECES)
    said = flat(*page_words(labels_sheets(heading_of(plan), pieces, paper=A4).pdf()))
    for name, (title, material, arrow, side, faced, operation, lay, lot) in PIECES.items():
        face = "do not mirror" if faced else ""
        row = flat(name, plan.mark, title, material, arrow, f"{side} up", face, f"{operation}: lay {lay}")
        assert row + flat("TAS-26-0440", plan.short_digest, f"lot {lot}") in said, name
    twice = flat(
        *page_words(labels_sheets(heading_of(plan), [replace(pieces[1], quantity=2)], paper=A4).pdf())
    )
    assert flat("OUT-R1.1", "1 of 2") in twice
    assert flat("OUT-R1.2", "2 of 2") in twice


def test_the_list_of_templates_has_each_piece_in_its_row(plan: Plan) -> None:
    pieces = [t for t in templates_of(plan) if t.operation == "cut cloth"]
    pdf = templates_sheets(
        heading_of(plan), [replace(t, quantity=n + 2) for n, t in enumerate(pieces)], A4
    ).pdf()
    pages = page_words(pdf)
    cover = flat(pages[0])
    assert flat("Id", "Template", "Material", "Direction", "Seen from", "Cut", "Pages") in cover
    for n, (name, (title, material, arrow, side, faced, *_)) in enumerate(PIECES.items()):
        face = ", faced" if faced else ""
        assert flat(name, title, material, arrow, side + face, str(n + 2)) in cover, name
        mirror = "Do not mirror" if faced else ""
        sheet = next(flat(p) for p in pages[1:] if flat(name, title) in flat(p) and "Thissideup" in flat(p))
        assert flat(name, title, f"{material} Cut {n + 2}", arrow) in sheet, "the head of the sheet"
        assert flat(f"This side up, seen from {side}", mirror, "Repair TAS-26-0440") in sheet, name


def test_no_line_strikes_through_the_words_of_a_drawing(plan: Plan) -> None:
    """The panel's edge ran through the 0 of the arrow beside it, ribs through their own names."""
    work = plan.work
    assert work is not None
    bag = work.bag.operations[-1]
    views = [panel_view(plan.case, work, "outside", (54.0, 54.0)), bag_plan(plan.case, bag, (), (88.0, 64.0))]
    for flats in (v.flats for v in views):
        for words in ("0°", "rib frame 2"):
            (at,) = [i for i, f in enumerate(flats) if isinstance(f, Label) and f.words == words]
            patch, label = flats[at - 1], flats[at]
            assert isinstance(patch, Stroke)
            assert patch.fill == "paper"
            (x0, y0, x1, y1), (a, b, c, d) = patch.box(), label.box()
            assert x0 < a < c < x1
            assert y0 < b < d < y1
            over = [f for f in flats[at + 1 :] if isinstance(f, Stroke) and f.ink is not None]
            assert not any(f.inks(label.box()) for f in over), words


def test_the_terminal_takes_no_less_cloth_than_the_card(plan: Plan) -> None:
    assert plan.work is not None
    said = summary(plan)
    for item in plan.work.nest.cloths:
        taken = math.ceil(1e4 * item.nest.roll_length - 1e-6) / 10.0
        assert f"Cloth    {item.problem.name}: {taken:.1f} mm of roll" in said
    assert any(
        round(1e3 * n.nest.roll_length, 1) < 1e3 * n.nest.roll_length - 1e-6 for n in plan.work.nest.cloths
    )
    assert "hardener, one batch" in said


def test_what_two_lots_give_is_not_less_than_the_line(plan: Plan) -> None:
    """10.04 g and 9.93 g of 19.97 g: 10.0 and 9.9 were a tenth less than the 20.0 of the line."""

    def shown(*grams: float) -> list[str]:
        made = _line(plan, 90 + len(grams), "mass", sum(grams) * 1e-3, tuple(g * 1e-3 for g in grams), 0.0)
        return [pick_words(made, p, "mm").split(": ")[1].split(" (")[0] for p in made.picks]

    assert shown(10.04, 9.93) == ["10.1 g", "10.0 g"]
    assert shown(10.04) == ["10.0 g"]
