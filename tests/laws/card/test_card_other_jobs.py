"""Jobs unlike the examples: pieces cut dry, core that stays closed, stock with hours left."""

from __future__ import annotations

import re

import pytest

from card_plans import KINDS, changed, planned, said, steps
from examples_here import case_from, text
from panelmend.derive.ledger import words_of
from panelmend.job.card import cautions as c
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.drawing import EDGE
from panelmend.render.strokes import Label, Stroke
from panelmend.render.views.bag import bag_plan

WET_FLAP = ('moisture = "none found"', 'moisture = "found"\nwet_area = "13 cm2"')


@pytest.mark.parametrize("kind", ["gear_door", "cut then wet"])
def test_what_is_weighed_is_what_is_wetted(kind: str) -> None:
    """A sheet that the pieces are cut from weighs more than they do: there is resin for the pieces alone."""
    plan = planned(kind)
    assert plan.work is not None
    for sheet in plan.work.kit.sheets:
        bag = next(b for b in plan.work.bag.operations if b.name == sheet.operation)
        (wet,) = steps(plan, "O15", bag.number)
        words = said(plan, wet)
        pieces = [
            p.piece
            for n in plan.work.nest.cloths
            if (n.problem.cloth, n.problem.operation) == (sheet.cloth, sheet.operation)
            for lay in n.nest.layouts
            if lay.strip.id == sheet.strip
            for p in lay.placements
        ]
        cloth = plan.case.catalogue.cloth(sheet.cloth)
        if kind == "cut then wet":
            assert "sheet" not in words
            assert all(p in words for p in pieces)
            area = sum(float(plan.ledger[f"plies.{p}.area"]) for p in pieces)
        else:
            assert "sheet" in words
            assert not any(p in words for p in pieces)
            area = float(sheet.length) * float(sheet.width)
        assert float(sheet.dry) == pytest.approx(area * cloth.areal_mass.value)


def test_pieces_are_named_in_the_order_they_are_laid() -> None:
    words = said(planned("cut then wet"), steps(planned("cut then wet"), "O15", 2)[0])
    assert "3 pieces (OUT-R1, OUT-R3, OUT-E1), " in words
    assert "piece OUT-S, " in words


def test_core_that_stays_closed_is_not_held_at_its_edge() -> None:
    shut, cut = changed("flap_rib_bay", WET_FLAP), planned("gear_door")
    for plan, opened in ((shut, False), (cut, True)):
        assert plan.work is not None
        assert plan.work.drying.opened is opened
        (setting,) = steps(plan, "C3")
        assert ("open core" in said(plan, setting)) is opened
        assert ("The core stays closed" in said(plan, setting)) is not opened
        assert (c.BURST in setting.cautions) is opened
        assert (c.VACUUM in setting.cautions) is not opened
        assert c.STEAM in setting.cautions


def _flap(out: str) -> Plan:
    return changed("flap_rib_bay", WET_FLAP, ('out_time = "30 h"', f'out_time = "{out} h"'))


def test_frozen_stock_comes_out_after_drying_and_survey_and_before_it_is_cut() -> None:
    order = [s.id for s in _flap("237").card.steps]
    assert order.index("C5") < order.index("D6") < order.index("A5")
    assert order[order.index("A5") + 1] == "D8"


@pytest.mark.parametrize(("out", "left"), [("237", "3.0 h"), ("238", "2.0 h")])
def test_the_blank_holds_each_label_and_the_step_says_what_is_left(out: str, left: str) -> None:
    plan = _flap(out)
    (warm,) = steps(plan, "A5")
    assert f"R-204 {left}" in said(plan, warm)
    held = {b.what: b for b in warm.blanks if b.entry == "number"}
    assert set(held) == {f"Accumulated out-time, {r}" for r in ("R-204", "R-207", "R-211")}
    high = held["Accumulated out-time, R-204"].high
    assert high is not None
    assert float(high) == 240 * 3600


def test_a_label_that_is_not_typed_is_read_at_the_bench() -> None:
    plan = changed("flap_rib_bay", ('out_life = "240 h"\n', ""), ('out_life = "480 h"\n', ""))
    (warm,) = steps(plan, "A5")
    assert [(b.what, b.high, b.said) for b in warm.blanks if b.entry == "number"] == [
        ("Accumulated out-time", None, "limit: the label")
    ]
    assert "left when planned" not in said(plan, warm)


@pytest.mark.parametrize("kind", KINDS)
def test_the_kit_leaves_frozen_stock_where_it_is(kind: str) -> None:
    plan = planned(kind)
    kits, warm = steps(plan, "A4"), steps(plan, "A5")
    if kits:
        assert ("stays in the freezer" in said(plan, kits[0])) is bool(warm)


def test_only_the_operation_that_uses_it_takes_it_out() -> None:
    """A lot of the adhesive of the core is kept cold: not warmed up again for plies that take none of it."""
    lot = '[[stores.lot]]\nid = "EA-9"\nmaterial = "{}"\nlot = "9"\nmass = "1 kg"\nout_life = "100 h"\n'
    plan = planned("gear_door")
    assert plan.work is not None
    assert not steps(plan, "A5")
    adhesive = plan.work.core.adhesive
    cold = changed("gear_door", more="\n" + lot.format(adhesive))
    assert [s.operation for s in steps(cold, "A5")] == [1]


@pytest.mark.parametrize(("kind", "mixed"), [("gear_door", True), ("flap_rib_bay", False)])
def test_where_nothing_is_mixed_nothing_of_mixing_is_said(kind: str, mixed: bool) -> None:
    """Prepreg and film: what cannot be taken back is the first ply."""
    plan = planned(kind)
    for laid_out in steps(plan, "O10"):
        assert laid_out.title.endswith(f"before anything is {'mixed' if mixed else 'laid'}")


@pytest.mark.parametrize(("kind", "verb"), [("gear_door", "mix"), ("flap_rib_bay", "lay")])
def test_a_bag_that_has_no_seal_as_drawn_holds_up_what_cannot_be_taken_back(kind: str, verb: str) -> None:
    plan = changed(kind, ('tape_distance = { value = "50 mm"', 'tape_distance = { value = "260 mm"'))
    told = [said(plan, s) for s in plan.card.steps if "NO SEAL AS DRAWN" in said(plan, s)]
    assert told
    assert all(f"data allows; {verb} nothing until it has held vacuum dry" in words for words in told)


def _wet_room(*heated: str) -> Plan:
    """The gear door found wet, its cures at room temperature but those named."""
    of = text("gear_door")
    of = re.sub(r"\[\[choice\.heat\]\]\n(?:(?!\[).*\n)*", "", of)
    head, *cures = of.split("[[data.cure]]\n")
    tail = cures[-1][cures[-1].index("\n[bay]") :]
    cures[-1] = cures[-1][: cures[-1].index("\n[bay]")]
    dwell = 'segment = [{ kind = "dwell", to = "21 C", low = "18 C", high = "30 C", least = "8 h" }]\n'
    made = [
        c
        if any(f'"{name}"' in c for name in heated)
        else 'heated_by = "room temperature"\n'
        + re.sub(r"segment = \[\n(?:  .*\n)+\]\n|release_below.*\n|ceiling.*\n|caul_sheet.*\n", "", c)
        + dwell
        for c in cures
    ]
    return make_plan(case_from("[[data.cure]]\n".join([head, *made]) + tail))


def test_what_room_temperature_never_needs_is_not_said() -> None:
    """A cut-out set again for a cure that nothing heats, and thermocouples counted that nobody laid."""
    cold, one = _wet_room(), _wet_room("Repair plies")
    assert "Set it again" not in said(cold, steps(cold, "C3")[0])
    assert "Set it again before each heated cure" in said(one, steps(one, "C3")[0])
    for plan, hot in ((cold, set[int]()), (one, {2})):
        for opened in steps(plan, "O25"):
            counted = any(b.what == "Thermocouples out" for b in opened.blanks)
            assert counted is (opened.operation in hot)
            assert ("thermocouples off" in said(plan, opened)) is (opened.operation in hot)


def test_a_cure_that_nothing_heats_is_not_told_to_stay_unheated() -> None:
    cold, hot = _wet_room(), planned("gear_door")
    for plan, wait in ((cold, "do not fill it yet"), (hot, "do not heat it yet")):
        told = [f.words for f in plan.findings if f.code == "H602"]
        assert told
        assert all(wait in words for words in told)
    assert not any("do not heat" in f.words for f in cold.findings if f.code == "H602")


@pytest.mark.parametrize("kind", KINDS)
def test_a_step_says_once_that_its_temperatures_are_not_predicted(kind: str) -> None:
    plan = planned(kind)
    for heat in steps(plan, "O22"):
        words = said(plan, heat)
        assert words.count("The temperatures of this cure are NOT PREDICTED") <= 1
        if "NOT PREDICTED" in words:
            assert "Go by the thermocouples" in words or "the tool never predicts" in words


def test_a_force_has_three_figures_and_none_less_than_it_is() -> None:
    """36412 N from three sizes and an air pressure: nobody knows the last two."""
    plan = planned("gear_door")
    assert plan.work is not None
    force = plan.work.bag.operations[0].force
    assert float(force) == pytest.approx(36412.0, rel=1e-3)
    assert words_of(force, "mm") == "36500 N"
    assert words_of(force, "in") == "8190 lbf"
    assert 36500 >= float(force) > 36400


def test_a_vacuum_base_stands_off_thermocouples_where_there_are_any() -> None:
    for plan, hot in ((planned("gear_door"), True), (_wet_room(), False)):
        for built in steps(plan, "O19"):
            assert ("off every thermocouple" in said(plan, built)) is hot


@pytest.mark.parametrize("kind", ["root_fairing", "gear_door", "cowling", "flap_rib_bay"])
def test_no_number_of_a_thermocouple_covers_a_vacuum_base(kind: str) -> None:
    """T1 and its words lay over the base beside it in the plan of the bag."""
    plan = planned(kind)
    assert plan.work is not None
    for bag in plan.work.bag.operations:
        sensors = next(o.sensors for o in plan.work.cure.operations if o.number == bag.number)
        shown = bag_plan(plan.case, bag, sensors, (60.0, 50.0))
        bare = bag_plan(plan.case, bag, (), (60.0, 50.0))
        named = [f.box() for f in shown.flats if isinstance(f, Label) and f.words in {s.id for s in sensors}]
        assert len(named) == len(sensors)
        rings = [
            f.box()
            for f in bare.flats
            if isinstance(f, Stroke) and f.ink == EDGE and f.box()[2] - f.box()[0] < 3.6
        ]
        assert rings
        for a in named:
            for b in rings:
                wide, high = min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1])
                assert wide <= 1e-6 or high <= 1e-6, (bag.name, a, b)
