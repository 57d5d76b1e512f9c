"""Carbon next to aluminium core is said and signed where it is laid; readings have instruments in the kit.

Common practice, no source.
"""

from __future__ import annotations

import pytest

from card_plans import CHANGES, DOOR, own, planned, said, steps
from examples_here import case_from, edited
from examples_here import text as example
from panelmend.derive.ledger import words_of
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.card import card_data
from panelmend.render.planner import planner_data
from panelmend.render.workings import workings_of
from panelmend.shelves.mirror import mirrored_panel
from panelmend.shelves.model import OtherHand

TICK = "Carbon kept off the aluminium core"
BESIDE = "Carbon kept off the metal named above"


def _signed(plan: Plan) -> list[str]:
    return [s.place.id for s in plan.card.steps for b in s.blanks if b.what == TICK]


def test_the_first_carbon_ply_on_an_aluminium_core_is_kept_off_it_where_it_is_laid() -> None:
    plan = planned("insert")
    assert [f.place for f in plan.findings if f.code == "J360"] == ["data.finishing.isolate"]
    assert _signed(plan) == ["O18"]
    (laid,) = (s for s in steps(plan, "O18") if any(b.what == TICK for b in s.blanks))
    assert "stop, ask the engineer" in said(plan, laid)
    assert [b.what for b in laid.blanks if "keeps carbon off" in b.what]


def test_what_the_data_orders_stands_there_instead() -> None:
    text = own("insert").replace(
        "[data.preparation]\n",
        '[data.finishing]\nisolate = { value = "one ply of glass", place = "n 9" }\n[data.preparation]\n',
    )
    plan = make_plan(case_from(text, "insert.toml"))
    assert "J360" not in {f.code for f in plan.findings}
    (laid,) = (s for s in steps(plan, "O18") if any(b.what == TICK for b in s.blanks))
    assert "one ply of glass (n 9)" in said(plan, laid)
    assert "stop, ask the engineer" not in said(plan, laid)


@pytest.mark.parametrize("kind", ["gear_door", "root_fairing", "cowling", "flap_rib_bay"])
def test_nothing_is_said_of_aluminium_core_where_there_is_none(kind: str) -> None:
    plan = planned(kind)
    assert "J360" not in {f.code for f in plan.findings}
    assert not _signed(plan)


def test_the_static_bonding_says_how_it_is_measured() -> None:
    plan = planned("limits of all")
    (measured,), (joined,) = steps(plan, "E6"), steps(plan, "E2")
    assert "bonding point to structure" in said(plan, measured)
    assert "before anything covers it" in said(plan, joined)
    assert "dust" in {c.hazard for c in joined.cautions}
    assert _instruments(plan) >= {"meter for low resistance, with its leads"}
    assert "meter for low resistance, with its leads" not in _instruments(planned("gear_door"))


def test_every_reading_has_its_instrument_in_the_kit() -> None:
    without = make_plan(case_from(DOOR.replace('hardness = { value = 25, place = "51-30-05 para 4" }\n', "")))
    for plan in (planned("gear_door"), without, planned("dent")):
        asks = any("Barcol" in b.unit for s in plan.card.steps for b in s.blanks)
        assert asks == ("hardness tester" in _instruments(plan))
    assert "tap hammer or coin" in _instruments(planned("gear_door"))
    assert "instrument of the inspection that the data asks for" in _instruments(planned("insert"))


def _instruments(plan: Plan) -> set[str]:
    assert plan.work is not None
    return {x.name for x in plan.work.kit.lines if x.group == "instruments"}


def test_a_pot_life_is_open_only_where_something_is_mixed() -> None:
    assert not [w for w in _open("flap_rib_bay") if "pot life" in w]
    assert [w for w in _open("insert") if "pot life" in w]


def _open(kind: str) -> list[str]:
    plan = planned(kind)
    found: list[str] = planner_data(plan, workings_of(plan))["open"]
    return found


def test_a_part_is_weighed_in_kilograms_or_pounds() -> None:
    """A part of some kilograms is not weighed in grams, and in no grams on an inch page."""
    for view, unit, most in (("mm", "kg", "9.00 kg"), ("in", "lb", "19.84 lb")):
        plan = planned("limits of all") if view == "mm" else make_plan(case_from(_in_inches()))
        for place in ("A6", "E7"):
            (step,) = steps(plan, place)
            assert step.blanks[0].unit == unit
            high = step.blanks[0].high
            assert high is not None
            assert words_of(high, view) == most


def test_no_acid_or_rinsing_water_goes_into_open_core() -> None:
    (treated,) = steps(planned("limits of all"), "B15")
    assert "into a cell" in said(planned("limits of all"), treated)


def _in_inches() -> str:
    text = DOOR.replace('units = "mm"', 'units = "in"')
    assert text != DOOR
    for old, new in CHANGES["limits of all"]:
        assert text.count(old) == 1
        text = text.replace(old, new)
    return text


def test_open_core_is_masked_before_metal_is_treated_and_only_where_there_is_any() -> None:
    (treated,) = steps(planned("lightning"), "B15")
    told = said(planned("lightning"), treated)
    assert 0 <= told.index("Mask open core") < told.index("etch and prime")
    assert ".." not in told
    one_skin = make_plan(case_from(_one_skin(), "one skin.toml"))
    (bare,) = steps(one_skin, "B15")
    assert "Mask open core" not in said(one_skin, bare)


def _one_skin() -> str:
    text = DOOR
    for kind in ("lightning", "one skin"):
        text = edited(text, *CHANGES[kind])
    return text


FRAME = ("-260, 0 mm", "-84.94, 0 mm"), ('metal = "titanium"', 'metal = "aluminium"')
APART = (
    "[data.plies]\n",
    '[data.finishing]\nisolate = { value = "sealant", place = "n 9" }\n\n[data.plies]\n',
)


@pytest.mark.parametrize("named", [False, True])
def test_carbon_near_aluminium_structure_is_signed_where_it_is_laid(named: bool) -> None:
    text = example("cowling")
    for old, new in (*FRAME, *([APART] if named else [])):
        assert text.count(old) == 1
        text = text.replace(old, new)
    plan = make_plan(case_from(text))
    assert ("J440" in {f.code for f in plan.findings}) is not named
    (laid,) = (
        s
        for s in plan.card.steps
        if any(b.what == BESIDE for b in s.blanks) and "rib frame 2" in said(plan, s)
    )
    assert "IN-R2 (inside) is 25.0 mm from aluminium rib frame 2" in said(plan, laid)
    assert ("sealant (n 9)" in said(plan, laid)) is named
    assert ("stop, ask the engineer" in said(plan, laid)) is not named


def test_carbon_over_an_edge_band_or_a_solid_area_asks_whether_aluminium_lies_there() -> None:
    text = example("cowling").replace('edge_band = "40 mm"', 'edge_band = "301 mm"')
    area = (
        '[[panel.solid_area]]\nid = "pad 1"\n'
        'shape = { circle = { centre = "40, -60 mm", diameter = "30 mm" } }\n\n'
    )
    found = {
        f.words
        for t in (text, example("cowling").replace("[damage]\n", area + "[damage]\n", 1))
        for f in make_plan(case_from(t)).findings
        if f.code == "J441"
    }
    assert "IN-R2 (inside) lies over the edge band, whose metal is not typed" in found
    assert "OUT-R1 (outside) lies over solid area pad 1, whose metal is not typed" in found
    glass = [f for f in planned("gear_door").findings if f.code in ("J440", "J441")]
    assert not glass


@pytest.mark.parametrize("metal", ["", "aluminium", "steel", "stainless steel", "none"])
def test_a_metal_nobody_typed_is_said_and_looked_up_where_carbon_is_laid(metal: str) -> None:
    """Left open it is no harmless one: the step has a blank for it; only a harmless metal is silent."""
    typed = f'keep_out = "5 mm"\nmetal = "{metal}"' if metal else 'keep_out = "5 mm"'
    text = example("cowling")
    for old, new in (
        ('keep_out = "20 mm"', typed),
        ('at = "-120, -410 mm"', 'at = "40.13, -177.10 mm"'),
        ("outer_skin = { plies", 'outer_skin = { metal = "none", plies'),
        ("inner_skin = { plies", 'inner_skin = { metal = "copper", plies'),
    ):
        assert text.count(old) == 1
        text = text.replace(old, new)
    plan = make_plan(case_from(text))
    steps_ = [s for s in plan.card.steps if any(b.what == BESIDE for b in s.blanks)]
    codes = {f.code for f in plan.findings} & {"J440", "J450"}
    if metal in ("stainless steel", "none"):
        assert not steps_
        assert not codes
        return
    (laid,) = steps_
    asked = [b.what for b in laid.blanks if b.what.startswith("Metal of fastener quarter turn 7")]
    told = said(plan, laid)
    assert codes == ({"J440"} if metal else {"J450"})
    assert bool(asked) is not bool(metal)
    assert ("look it up in the drawing before carbon goes there" in told) is not bool(metal)
    assert f"{metal} fastener quarter turn 7".strip() in told


def test_the_other_hand_of_a_panel_keeps_its_metals() -> None:
    text = example("cowling").replace('keep_out = "20 mm"', 'keep_out = "20 mm"\nmetal = "steel"')
    text = text.replace("outer_skin = { plies", 'outer_skin = { metal = "aluminium", plies')
    text = text.replace('edge_band = "40 mm"', 'edge_band = "40 mm"\nedge_metal = "titanium"')
    made = mirrored_panel(case_from(text).document.panel, OtherHand(name="right", part_number="Q-2"))
    assert (made.fastener[0].metal, made.outer_skin.metal, made.edge_metal) == (
        "steel",
        "aluminium",
        "titanium",
    )


def test_what_is_ordered_in_words_stands_on_the_kit_list() -> None:
    def kit(plan: Plan) -> dict[str, str]:
        assert plan.work is not None
        return {x.name: x.purpose for x in plan.work.kit.lines if x.group == "finish"}

    door = kit(planned("gear_door"))
    by_stores = "; no rate is given: stores fill the amount in, by the data or the maker's sheet"
    seal = "edge sealant all round, 5 mm wide, over the feathered edge (51-30-06 para 1)"
    assert door["Sealant"] == seal + by_stores
    assert door["Primer and paint"].startswith("epoxy primer and topcoat of the door (51-30-06 para 3); over")
    assert door["Primer and paint"].endswith(by_stores)
    assert set(door) == {"Sealant", "Primer and paint", "What closes drain holes, where any are drilled"}
    assert "look it up" in kit(planned("cowling"))["Sealant"]
    whole = kit(planned("limits of all"))
    assert "Conductive layer with its adhesive" in whole


def test_hardness_and_moisture_name_their_instrument_and_its_calibration() -> None:
    for kind in ("gear_door", "root_fairing", "cowling"):
        plan = planned(kind)
        for step in plan.card.steps:
            units, named = {b.unit for b in step.blanks}, {b.what for b in step.blanks}
            if "Barcol" in units:
                assert "Hardness tester, calibrated to" in named
            if "meter" in units:  # in the step itself: another day may bring another meter
                assert "Method, instrument, calibrated to" in named


def test_a_skin_that_stays_between_carbon_and_metal_is_looked_at_where_carbon_is_laid() -> None:
    seen = "Skin below the carbon found whole, no metal bare"
    assert not [s for s in planned("flap_rib_bay").card.steps for b in s.blanks if b.what == seen]
    text = example("flap_rib_bay").replace('fibre = "aramid"', 'fibre = "aluminium"')
    plan = make_plan(case_from(text, "flap.toml"))
    assert "J360" not in {f.code for f in plan.findings}
    (laid,) = (s for s in plan.card.steps if any(b.what == seen for b in s.blanks))
    assert "OUT-F1 (outside) lies over aluminium core, with a skin that stays between" in said(plan, laid)
    assert "sanded through" in said(plan, laid)


def test_what_no_rate_is_given_for_has_a_blank_and_an_area() -> None:
    """The amount is never left out without a word: an area where there is one, and a blank for the stores."""
    plan = planned("cowling")
    assert plan.work is not None
    rows = [r for r in card_data(plan)["kit"] if r["group"] == "finish"]
    assert {"Sealant", "Primer and paint"} <= {r["name"] for r in rows}
    assert all(r["amount"] == ["__________"] for r in rows)
    assert all(
        r["purpose"].endswith("stores fill the amount in, by the data or the maker's sheet") for r in rows
    )
    paint = next(r for r in rows if r["name"] == "Primer and paint")
    assert "422.4 cm2 of the outside and 332.2 cm2 of the inside" in paint["purpose"]
