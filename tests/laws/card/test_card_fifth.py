"""A cap cured on a plate, bonded under a pad, plies over it: what its steps say, and in which order."""

from __future__ import annotations

import math
from functools import cache

import pytest

from card_plans import door, operations, places, planned, said, steps
from examples_here import case_from, text
from panelmend.job.bag.part import BagOperation
from panelmend.job.card.order import Place, must_precede
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.card import card_data

FAIRING = text("root_fairing")
KINDS = ("root_fairing", "gear_door", "cut then wet", "cap on a plate")


@cache
def fairing(*changes: tuple[str, str]) -> Plan:
    of = FAIRING
    for old, new in changes:
        assert of.count(old) == 1, old
        of = of.replace(old, new)
    return make_plan(case_from(of))


def codes(plan: Plan) -> set[str]:
    return {f.code for f in plan.findings}


@pytest.mark.parametrize("kind", KINDS)
def test_the_cloth_gets_what_the_data_asks_not_what_is_mixed(kind: str) -> None:
    """Allowance is for brush, cup and rollers: all of it on the sheet would leave nothing for them."""
    plan = planned(kind)
    assert plan.work is not None
    ratio = plan.case.document.data.resin.resin_to_cloth
    assert ratio is not None
    for bag in plan.work.bag.operations:
        sheets = [s for s in plan.work.kit.sheets if s.operation == bag.name]
        for s in sheets:
            if s.way == "wet then cut":
                areal = plan.case.catalogue.cloth(s.cloth).areal_mass.value
                cloth = areal * float(s.length) * float(s.width)
                assert float(s.resin) == pytest.approx(ratio.value * cloth, rel=1e-6)
        mixes = [
            m for m in plan.work.kit.mixes if m.operation == bag.name and m.purpose == "laminating resin"
        ]
        if sheets:
            on = math.fsum(float(s.resin) for s in sheets)
            beside = _brushed(plan, bag) + _in_coupons(plan)
            assert float(mixes[0].need) == pytest.approx(1.1 * (on + beside), rel=1e-6)
            for step in (x for x in steps(plan, "O14", bag.number) if "brush" in x.title):
                assert "Leave in the cup what the cloth takes" in said(plan, step)


def _brushed(plan: Plan, bag: BagOperation) -> float:
    """Resin [kg] brushed under the largest piece of each skin, or under a cap as far as its opening."""
    assert plan.work is not None
    coat = plan.case.document.data.resin.brush_coat
    if not bag.on_panel or coat is None:
        return 0.0
    sides = [[p for p in s.plies if p.id in bag.plies] for s in plan.work.plies.sides]
    largest = [max(p.outline.area for p in s) for s in sides if s]
    cap = [p for p in plan.work.core.cap if p.id in bag.plies]
    return coat.value * math.fsum(largest or [plan.work.cutout.opening.outline.area if cap else 0.0])


def _in_coupons(plan: Plan) -> float:
    coupon = plan.case.document.data.inspection.coupon
    return 0.0 if coupon is None else coupon.value.number * (coupon.value.resin or 0.002)


def test_every_batch_serves_cloth_brush_and_coupons_and_says_so() -> None:
    """7.32 g for 6.65 g of resin on cloth, three coupons and a brush coat: the cloth was robbed."""
    plan = planned("gear_door")
    assert plan.work is not None
    for bag in plan.work.bag.operations:
        own = [m for m in plan.work.kit.mixes if m.operation == bag.name]
        for i, mix in enumerate(own, 1):
            beside = _in_coupons(plan) + (_brushed(plan, bag) if mix.purpose == "laminating resin" else 0.0)
            used = {s.code: float(s.amount) for s in mix.shares}
            on = used.get("cloth", used.get("spread", 0.0))
            assert on > 0
            whole = float(mix.total) + (float(mix.filler) if mix.filler is not None else 0.0)
            assert whole >= 1.1 * (on + beside) - 1e-9, mix.id
            assert used["coupons"] == pytest.approx(0.006)
            told = said(plan, steps(plan, "O11", bag.number)[i - 1])
            assert "6.0 g in the coupons" in told
            if mix.left is not None and mix.bled is not None:
                kept = sum(used.get(c, 0.0) for c in ("brush", "coupons"))
                laid = float(plan.ledger[f"kit.resin.{bag.name}.laid"])
                assert float(mix.left) == pytest.approx(float(mix.total) - laid - kept)
    coat = said(plan, steps(plan, "O14", 2)[0])
    assert "9.2 g in all" in coat
    assert "largest ply" in coat, "the rim of each larger ply lies on the parent too"


def test_a_coupon_whose_resin_nobody_gave_takes_a_usual_mass() -> None:
    kinds = {"lap shear": 0.002, "flatwise tension": 0.005, "laminate": 0.03}
    for kind, each in kinds.items():
        old = 'kind = "lap shear", number = 3, resin = "2 g", least = "14 MPa"'
        plan = door((old, f'kind = "{kind}", number = 4'))
        assert plan.work is not None
        used = {s.code: float(s.amount) for s in plan.work.kit.mixes[0].shares}
        assert used["coupons"] == pytest.approx(4 * each)
        assert [f for f in plan.findings if f.code == "J001" and "kit.coupon" in f.words]


def test_a_coupon_leaves_the_cloth_its_resin() -> None:
    plan = planned("gear_door")
    wet = steps(plan, "O12", 2)
    assert wet
    assert all("Leave in the cup" in said(plan, s) for s in wet)


@pytest.mark.parametrize("kind", KINDS)
def test_what_comes_out_of_a_bag_is_counted_in_pieces_less_what_stays_on_the_cap(kind: str) -> None:
    plan = planned(kind)
    assert plan.work is not None
    for bag in plan.work.bag.operations:
        cut = next(b.said for s in steps(plan, "D4", bag.number) for b in s.blanks if b.what == "Pieces cut")
        laid = next(
            b.said for s in steps(plan, "O19", bag.number) for b in s.blanks if b.what == "Pieces laid"
        )
        out = next(b.said for s in steps(plan, "O25", bag.number) for b in s.blanks if b.what == "Pieces out")
        assert laid.split(",")[0] == cut
        own = (
            sum(1 for x in bag.layers if x.use == "peel ply")
            if "cap" in bag.lays and not bag.bonds_cap
            else 0
        )
        assert int(out.split(" ")[0].rstrip(",")) == int(cut) - own


def test_peel_plies_of_the_cap_are_followed_to_the_bond() -> None:
    plan = planned("root_fairing")
    trim = steps(plan, "D10")[0]
    assert "with its peel plies on" in said(plan, trim)
    assert not [b for b in trim.blanks if "off" in b.what]
    bonded = steps(plan, "O10", 2)[0]
    assert "peel ply off the cap's bond face" in said(plan, bonded)
    assert [
        b
        for b in bonded.blanks
        if b.what.startswith("Peel ply off the cap's bond face") and b.said.startswith("1")
    ]
    later = steps(plan, "O1", 3)[0]
    assert next(b.said for b in later.blanks if b.what == "Peel plies off") == "1"
    upper = fairing(('peel_plies = "both faces"', 'peel_plies = "upper face"'))
    assert "bond face" not in said(upper, steps(upper, "O10", 2)[0])
    assert next(
        b.said for b in steps(upper, "D10")[0].blanks if b.what == "Peel plies on the cap"
    ).startswith("1")


def test_the_plate_is_ready_before_anything_is_laid_or_heated_on_it() -> None:
    plan = planned("root_fairing")
    order = places(plan)
    ready = order.index(Place("D9"))
    assert ready < order.index(Place("D6", 1))
    assert order.index(Place("O27", 1)) < order.index(Place("D10"))
    assert must_precede(Place("D9"), Place("D6", 1), operations(plan))
    assert not must_precede(Place("D9"), Place("D6", 2), operations(plan))
    for ident in ("D6", "O10"):
        words = said(plan, steps(plan, ident, 1)[0])
        assert "middle of the blanket" in words
        assert "never on it" not in words
        assert "on the panel" not in words
    lay = said(plan, steps(plan, "O18", 1)[0])
    assert lay.startswith("First, in the order of the bag's table: 1 plate")
    bag = said(plan, steps(plan, "O19", 1)[0])
    assert "plate;" not in bag
    assert not [c for c in steps(plan, "O20", 1)[0].cautions if "crushes bare core" in c.words]
    assert [c for c in steps(plan, "O20", 2)[0].cautions if "crushes bare core" in c.words]
    assert not [c for c in steps(plan, "O20", 3)[0].cautions if "crushes bare core" in c.words], (
        "covered by then"
    )


def test_no_survey_heats_wet_core() -> None:
    plan = planned("gear_door")
    assert must_precede(Place("C5"), Place("D6", 1), operations(plan))


def test_nobody_is_told_to_watch_a_cup_that_must_be_empty() -> None:
    """Left-over resin is spread thin at once; the wait for its heat does not ask for a full cup."""
    for kind in ("gear_door", "root_fairing"):
        plan = planned(kind)
        for step in steps(plan, "O21"):
            assert "left in the cup" not in said(plan, step)
            assert "leave none in the cup" in said(plan, step)


def test_drying_asks_for_no_reading_that_its_caution_forbids() -> None:
    """Not at least the drying temperature and never above it at once: a reading with a tolerance."""
    plan = planned("gear_door")
    held = next(b for b in steps(plan, "C4")[0].blanks if b.what == "Coldest held at")
    assert held.low is None
    assert held.aim is not None


def test_paste_goes_on_the_floor_of_the_opening_too() -> None:
    plan = planned("root_fairing")
    assert "the far skin in the opening" in said(plan, steps(plan, "O14", 2)[0])


@pytest.mark.parametrize(
    ("thickness", "expected"),
    [
        ("0.39 mm", "B140"),  # skin 0.80 less cap 0.20 and its adhesive 0.20: level at 0.40 mm
        ("0.42 mm", ""),
        ("1.98 mm", ""),  # 1.58 mm proud, 2 x 1/32 in = 1.59 mm
        ("2.01 mm", "B141"),
        ("3/16 in", "B141"),
    ],
)
def test_pad_thickness_against_the_recess(thickness: str, expected: str) -> None:
    plan = fairing(('thickness = "3/64 in", proud', f'thickness = "{thickness}", proud'))
    assert codes(plan) & {"B140", "B141"} == ({expected} if expected else set())
    assert bool(plan.stop_reasons) is (expected == "B140")


def test_what_is_covered_is_what_is_open() -> None:
    for kind, words in (
        ("cowling", "the hole on both sides"),
        ("flap_rib_bay", "film over the opening"),
        ("gear_door", "the far skin and the opening"),
    ):
        plan = planned(kind)
        assert words in said(plan, steps(plan, "B13")[0]), kind


def test_a_caul_over_plies_is_not_told_to_stay_inside_the_opening() -> None:
    plan = planned("cowling")
    over, recessed = (steps(plan, "D3", n)[0] for n in (1, 2))
    assert "must not touch the skin" not in said(plan, over)
    assert not [b for b in over.blanks if "proud" in b.what]
    assert "must not touch the skin" in said(plan, recessed)


def test_the_first_comparison_prints_the_far_skin_of_a_hole_through_both() -> None:
    plan = planned("cowling")
    first = steps(plan, "A2")[0]
    far = next(b for b in first.blanks if b.what.startswith("Far skin"))
    assert plan.limits.far is not None
    assert far.high is plan.limits.far.largest
    assert "in the skin on the inside" in said(plan, first)


def test_the_cut_out_does_not_end_a_cure_that_is_hotter_than_another_may_be() -> None:
    """The lowest maximum of all cures, 180 F, would trip in the dwell of the hotter ones (170 F to 190 F)."""
    plan = planned("root_fairing")
    assert plan.work is not None
    (laid,) = steps(plan, "D5")
    trips = {b.what: b for b in laid.blanks if b.what.startswith("Cut-out trips at")}
    assert len(trips) == len(plan.work.bag.operations) == 3
    for bag in plan.work.bag.operations:
        blank = trips[f"Cut-out trips at, {bag.name}"]
        assert blank.low is not None
        assert blank.high is not None
        assert float(blank.high) == bag.cure.ceiling
        assert float(blank.low) == max(s.high for s in bag.cure.segment if s.kind == "dwell" and s.high)
        (heat,) = steps(plan, "O22", bag.number)
        assert any("cut-out set for this cure" in b.what for b in heat.blanks)
    assert "again for each cure" in said(plan, laid)
    alike = steps(planned("gear_door"), "D5")[0]
    assert [b.what for b in alike.blanks if "Cut-out" in b.what] == ["Cut-out trips at"]


def test_nothing_is_asked_of_a_panel_that_is_not_there() -> None:
    """The cap's survey is on a plate: no earlier bond, no wiring beside it."""
    plan = planned("root_fairing")
    asked = {k: {b.what for b in steps(plan, "D6", k)[0].blanks} for k in (1, 2, 3)}
    beside = {
        "Hottest beside the repair",
        "Heat cycles of earlier bonds so far",
        "Limits of wiring and sealant known",
    }
    assert not beside & asked[1]
    assert beside <= asked[2]
    assert beside <= asked[3]


def test_grease_goes_before_sanding_and_the_plug_is_level_with_the_core() -> None:
    plan = planned("root_fairing")
    words = said(plan, steps(plan, "O1", 3)[0])
    assert words.index("Degrease before any sanding") < words.index("sand flush")
    assert "flush with the panel's core" in said(plan, steps(plan, "D2")[0])


def test_a_hold_on_plug_and_cap_speaks_of_plug_and_cap() -> None:
    plan = planned("root_fairing")
    (laid,) = steps(plan, "O17", 2)
    assert laid.hold is not None
    assert "ribbon" in laid.hold.accepted
    assert "cloth" not in laid.hold.accepted
    shown = [h for h in card_data(plan)["bench"]["holds"] if h["code"] == "H7"]
    assert [h["steps"] for h in shown] == [
        [s.number for s in steps(plan, "O18")],
        [laid.number],
    ]


@pytest.mark.parametrize("kind", KINDS)
def test_the_kit_has_two_films_for_each_wetted_sheet(kind: str) -> None:
    plan = planned(kind)
    assert plan.work is not None
    film = next(x for x in plan.work.kit.lines if x.material == "polythene-film")
    assert film.amount is not None
    assert float(film.amount) == 2 * len(plan.work.kit.sheets)
