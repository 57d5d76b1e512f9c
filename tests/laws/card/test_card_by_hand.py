"""Cards read page by page with gloves on: what was missing, impossible or misleading on them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest

from card_plans import changed, door, in_the_air, planned, said, steps
from panelmend.derive.figure import Origin
from panelmend.derive.ledger import words_of
from panelmend.plan.plan import Plan
from panelmend.render.bench import bench_data
from panelmend.render.card import gathered
from panelmend.render.planner import planner_data
from panelmend.render.views.heat_places import PlacingAxes, words_for_place
from panelmend.render.workings import workings_of
from panelmend.shapes import rectangle
from panelmend.units import on_a_rule

IN_OVEN = ('lays = ["plies"]', 'lays = ["plies"]\nheated_by = "oven"')
AS_SET = ('[[choice.heat]]\ncure = "Repair plies"\nset_point = "79 C"\nrate = "0.55 C/min"\n', "")


@pytest.fixture(scope="module")
def mixed() -> Plan:
    """The gear door with its core under blankets and its plies in an oven."""
    return door(IN_OVEN, AS_SET)


@pytest.fixture(scope="module")
def cap_in_oven() -> Plan:
    """The fairing with its cap cured on a plate in an oven."""
    return changed("root_fairing", ('cured_on = "plate"', 'cured_on = "plate"\nheated_by = "oven"'))


def _blanks(plan: Plan, ident: str, operation: int | None = None) -> dict[str, str]:
    return {b.what: b.said for s in steps(plan, ident, operation) for b in s.blanks}


def test_an_oven_beside_blankets_is_laid_out_and_cut_out_by_itself(mixed: Plan) -> None:
    """The title named blankets alone, and one trip value stood for the blankets' cut-out and the oven's."""
    (laid,) = steps(mixed, "D5")
    assert laid.title.startswith("Lay out blankets, oven, controllers")
    assert any("An oven ignites" in c.words for c in laid.cautions)
    trips = [b.what for b in laid.blanks if b.what.startswith("Cut-out trips at")]
    assert trips == ["Cut-out trips at, Core and cap", "Cut-out trips at, Repair plies"]


def test_a_failed_oven_has_an_order_of_its_own(mixed: Plan) -> None:
    """The data's order for a blanket that fails was printed for the oven."""
    (table,) = [t for t in steps(mixed, "O22", 2)[0].tables if t.title == "When the cure is interrupted"]
    assert [row[0][0] for row in table.rows] == ["Power fails", "Pump stops", "Bag leaks"]
    assert "Oven or its controller fails: what the data says, before heat" in _blanks(mixed, "O22", 2)
    (blanket,) = [t for t in steps(mixed, "O22", 1)[0].tables if t.title == "When the cure is interrupted"]
    assert "Blanket or controller fails" in [row[0][0] for row in blanket.rows]
    still = " ".join(planner_data(mixed, workings_of(mixed))["open"])
    assert "an interrupted cure (oven)" in still
    given = (
        "[data.interruption]\n",
        '[data.interruption]\noven = { value = "cool shut", place = "x 1" }\n',
    )
    typed = door(IN_OVEN, AS_SET, given)
    (table,) = [t for t in steps(typed, "O22", 2)[0].tables if t.title == "When the cure is interrupted"]
    assert "Oven or its controller fails" in [row[0][0] for row in table.rows]


@pytest.mark.parametrize("which", ["mixed", "cap_in_oven"])
def test_thermocouples_that_an_ovens_survey_adds_stay_and_are_counted(
    which: str, request: pytest.FixtureRequest
) -> None:
    """The survey asked for more than the card had places for, and counted fewer in and out."""
    plan, at = request.getfixturevalue(which), 2 if which == "mixed" else 1
    assert "leave a thermocouple at each" in said(plan, steps(plan, "D6", at)[0])
    for ident, what in (("O10", "Thermocouples at their places"), ("O25", "Thermocouples out")):
        assert "survey added" in _blanks(plan, ident, at)[what]
        assert "survey" not in _blanks(plan, ident, 3 - at)[what]


def test_a_plate_has_the_caution_of_a_plate(cap_in_oven: Plan) -> None:
    """On a plate in the oven stood: support the panel."""
    for plan in (cap_in_oven, planned("root_fairing")):
        for ident in ("D6", "O19", "O20"):
            told = " ".join(c.words for c in steps(plan, ident, 1)[0].cautions)
            assert "lay the plate flat and hold it" in told
            assert "support the panel" not in told
            assert "support the panel" in " ".join(c.words for c in steps(plan, ident, 2)[0].cautions)


def test_bare_core_is_cautioned_until_it_is_filled() -> None:
    """Plies over a cured cap still had the caution of bare core."""
    for kind, bare in (("gear_door", {1: True, 2: False}), ("cowling", {1: True, 2: True, 3: False})):
        plan = planned(kind)
        for at, expected in bare.items():
            found = any("crushes bare core" in c.words for c in steps(plan, "O20", at)[0].cautions)
            assert found is expected, (kind, at)


def _trips(ceiling: str) -> list[tuple[str, str, bool]]:
    plan = changed("cowling", ('ceiling = "78 C"', f'ceiling = "{ceiling}"'))
    blanks = [b for b in steps(plan, "D5")[0].blanks if b.what.startswith("Cut-out trips at")]
    return [(b.what, b.said, b.low is not None) for b in blanks]


def test_a_cut_out_without_room_is_not_given_a_window_it_cannot_be_set_in() -> None:
    """Band and maximum at one temperature printed "72 C to 72 C": nothing can be set so."""
    name = "Cut-out trips at, Core and cap"
    assert (name, "", True) in _trips("75 C")
    for tight in ("74.9 C", "72 C"):
        assert (name, "may end the cure: ask the planner first", False) in _trips(tight)


def test_what_is_to_be_written_down_has_a_place_to_write_it() -> None:
    """Where the document is silent the card said "write it here", with no line to write on."""
    plan = planned("cowling")
    assert "Forming core: what the data says, its place" in _blanks(plan, "D2")
    assert "Sealing: what the data says, its place" in _blanks(plan, "E3")
    assert "Coating: what the data says, its place" in _blanks(plan, "E5")
    for at in (1, 2, 3):
        asked = [w for w in _blanks(plan, "O22", at) if w.endswith("what the data says, before heat")]
        assert len(asked) == 4
    for kind in ("gear_door", "cowling", "insert"):
        made = planned(kind)
        for step in made.card.steps:
            if "write it down" in said(made, step):
                assert any(b.entry == "text" for b in step.blanks), (kind, step.id)
    full = planned("gear_door")
    asks = ("what the data says, its place", "what the data says, before")
    assert not [b.what for s in full.card.steps for b in s.blanks if any(a in b.what for a in asks)]


def test_peel_plies_are_ordered_off_only_where_some_were_left_on() -> None:
    """All layers of the bag were counted out before, or there had been no bag at all."""
    for kind, at, on in (("gear_door", 2, "1"), ("cowling", 3, "1"), ("cowling", 2, ""), ("insert", 2, "")):
        plan = planned(kind)
        blanks = _blanks(plan, "O1", at)
        assert blanks.get("Peel plies off", "") == on, (kind, at)
        assert ("Peel ply off" in said(plan, steps(plan, "O1", at)[0])) is bool(on)


def test_the_inside_of_a_hole_has_its_datum_marks_and_sizes_and_its_bag_is_tried() -> None:
    """Plies were laid from datum marks that nobody had set there, to a cut-out without a size."""
    plan = planned("cowling")
    marked = said(plan, steps(plan, "B4")[0])
    assert "Datum marks on the inside too" in marked
    assert "seen from the inside" in marked
    assert "Datum marks on the inside stay clear" in _blanks(plan, "B4")
    (cut,) = steps(plan, "B11")
    length, width = (next(b for b in cut.blanks if b.what == what).aim for what in ("Length", "Width"))
    assert length is not None
    assert width is not None
    assert float(length) == pytest.approx(0.0817, abs=5e-5)
    assert float(width) == pytest.approx(0.0756, abs=5e-5)
    assert "Plies counted" in _blanks(plan, "B11")
    assert "built dry as for the cure" in said(plan, steps(plan, "D6", 1)[0])
    assert "Opposite side: loss when dry" in _blanks(plan, "D6", 1)
    assert "Opposite side: loss when dry" not in _blanks(plan, "D6", 2)
    one_skin = planned("gear_door")
    assert "on the inside too" not in said(one_skin, steps(one_skin, "B4")[0])


def test_an_open_hole_is_not_brushed() -> None:
    """Resin was to be brushed into a hole through both skins before anything closed it."""
    plan = planned("cowling")
    coats = {s.operation: said(plan, s) for s in steps(plan, "O14") if "brush" in s.title}
    assert "the opening too" not in coats[1]
    assert "in the opening and on its edge" in coats[2]
    assert "the opening too" in coats[3]


def test_tips_on_tape_are_told_in_the_step_that_sets_them() -> None:
    """The finding alone said so; the step then told to cut the tape, with the skin right under it."""
    for kind, at, tips in (("gear_door", 2, "T1, T2, T3"), ("cowling", 3, "T1, T2, T3, T4")):
        words = said(planned(kind), steps(planned(kind), "O10", at)[0])
        assert f"The tips of {tips} stand on the PTFE tape" in words
        assert "No knife on the skin" in words
    assert "The tips of" not in said(planned("gear_door"), steps(planned("gear_door"), "O10", 1)[0])


def test_the_bench_page_gives_the_rate_that_is_set() -> None:
    """Who works from it alone saw the data's greatest rate, at which the paste round the plug overheats."""
    for kind, rates in (("gear_door", ["0.53 C/min", "0.55 C/min"]), ("cowling", [None, None, None])):
        plan = planned(kind)
        bench = bench_data(plan, workings_of(plan))
        assert bench is not None
        for cure, rate in zip(bench["cures"], rates, strict=True):
            heat, *others = cure["stages"]
            assert (f"set to {rate}" in _flat(heat)) is (rate is not None)
            assert "at most 3.0 C/min" in _flat(heat)
            assert not [o for o in others if "set to" in _flat(o)]


def _flat(row: list[Any]) -> str:
    return "".join(x if isinstance(x, str) else x["text"] for x in row)


def test_the_bench_page_shows_the_cap() -> None:
    """Section and table of plies had every ply but those of the cap on the plug."""
    for kind, ids, overlap in (
        ("gear_door", ["CAP-1"], None),
        ("root_fairing", ["CAP-1", "CAP-2"], "trimmed"),
    ):
        plan = planned(kind)
        bench = bench_data(plan, workings_of(plan))
        assert bench is not None
        (layup,) = bench["layups"]
        rows = layup["rows"][: len(ids)]
        wanted = [(ident, "cap", str(n)) for n, ident in enumerate(ids, 1)]
        assert [(row["id"], row["role"], row["order"]) for row in rows] == wanted
        assert layup["rows"][len(ids)]["order"] == "1"
        if overlap is not None:
            assert {row["overlap"] for row in rows} == {overlap}
        drawn = str(layup["section"])
        assert all(f"{i}   cap" in drawn for i in ids)
    cowling = bench_data(planned("cowling"), workings_of(planned("cowling")))
    assert cowling is not None
    capped = [[r["id"] for r in one["rows"] if r["role"] == "cap"] for one in cowling["layups"]]
    assert capped == [["CAP-1"], []]


@pytest.mark.parametrize("kind", ["root_fairing", "flap_rib_bay", "insert"])
def test_a_computed_length_on_an_inch_page_is_one_that_a_rule_has(kind: str) -> None:
    """22.739 in stood beside 5 7/16 in: nobody's rule has it."""
    plan = planned(kind)
    shown = workings_of(plan)
    data = gathered(plan, shown)
    keys = {n: k for k, n in shown._numbers.items()}
    looked = 0
    for part in _parts(data):
        figure = plan.ledger[keys[part["n"]]]
        if (
            figure.kind != "length"
            or figure.origin is not Origin.COMPUTED
            or figure.key.startswith("limits.")
        ):
            continue
        assert isinstance(figure.value, float)
        if abs(figure.value) < 0.0254 - 1e-9:
            continue
        looked += 1
        assert re.fullmatch(r"[0-9]+( [0-9]+/(2|4|8|16|32))? in", part["text"]), (figure.key, part["text"])
    assert looked > 20


def _parts(data: object) -> Iterator[dict[str, Any]]:
    """Every figure on the card's pages."""
    if isinstance(data, dict):
        if "text" in data and "n" in data:
            yield data
        for value in data.values():
            yield from _parts(value)
    elif isinstance(data, list):
        for value in data:
            yield from _parts(value)


def test_a_rule_reads_to_its_nearest_mark_and_a_limit_to_its_safe_side() -> None:
    inch = 0.0254
    assert on_a_rule(22.739 * inch) == "22 3/4 in"
    assert on_a_rule(22.739 * inch, "most") == "22 23/32 in"
    assert on_a_rule(22.733 * inch, "least") == "22 3/4 in"
    for limit in ("", "most", "least"):
        assert on_a_rule(2.0 * inch, limit) == "2 in"
        assert on_a_rule(1.03125 * inch, limit) == "1 1/32 in"
        assert on_a_rule(0.999 * inch, limit) == "", "a caliper's, not a rule's"
    assert on_a_rule(0.722 * inch, short=True) == "23/32 in", "a place is laid out with a rule, however near"
    assert on_a_rule(0.722 * inch, "least", short=True) == "3/4 in"
    assert on_a_rule(-0.286 * inch, short=True) == "-9/32 in"
    assert on_a_rule(0.01 * inch, short=True) == "0 in"


def test_a_place_at_a_whole_mark_is_told() -> None:
    """Along, across: a measure that is a fraction alone could not be read back as a number."""
    square = rectangle((0.0, 0.0), 0.2, 0.2)
    bench = PlacingAxes("outside", (0.0, 0.0), 0.0, square, square)
    assert words_for_place(bench, (0.75 * 0.0254, -0.5 * 0.0254), "in")[:2] == (
        "3/4 in ahead",
        "1/2 in right",
    )


def test_the_kit_holds_what_cautions_and_steps_ask_for() -> None:
    """Face shield, apron, cut-resistant and heat-proof gloves, tray and bin were asked for, and not drawn."""
    wet, prepreg = planned("gear_door"), planned("flap_rib_bay")
    assert wet.work is not None
    assert prepreg.work is not None
    drawn, dry = ({x.name for x in p.work.kit.lines} for p in (wet, prepreg) if p.work is not None)
    resin = {"Face shield", "Apron and sleeves", "Metal tray"}
    assert resin <= drawn
    assert not resin & dry
    assert {"Cut-resistant gloves", "Heat-proof gloves", "Closed metal bin", "Grounding lead"} <= drawn & dry
    assert "Core knife, or router with template" in drawn - dry
    assert "moisture meter or indicator" not in drawn, "the bay has one"


def test_the_kit_of_an_oven_has_what_goes_through_its_port(mixed: Plan) -> None:
    assert mixed.work is not None
    names = {x.name for x in mixed.work.kit.lines}
    assert "Hoses and thermocouple leads for the port" in names
    caul = next(x for b in mixed.work.bag.operations for x in b.layers if x.use == "caul sheet")
    assert "blanket" not in caul.note


def test_a_cap_on_a_plate_is_looked_at_as_a_laminate() -> None:
    """Squeeze-out all round was asked of a piece that bonds nothing yet, and its lack rejected it."""
    plan = planned("root_fairing")
    assert "Squeeze-out all round" not in _blanks(plan, "O26", 1)
    assert "squeeze-out" not in said(plan, steps(plan, "O26", 1)[0]).lower()
    assert "Squeeze-out all round" in _blanks(plan, "O26", 2)
    assert "inspect the cap" in steps(plan, "O27", 1)[0].title
    assert steps(plan, "O27", 1)[0].hold is not None


def test_a_caul_that_may_be_metal_is_cautioned_under_a_blanket() -> None:
    """An aluminium caul came under a blanket with no word of what a worn blanket does to it."""
    insert, door = planned("insert"), planned("gear_door")
    assert "makes it live" in said(insert, steps(insert, "O19", 2)[0])
    assert "makes it live" not in said(door, steps(door, "O19", 1)[0]), "a rubber pad in the cut-out"
    assert "makes it live" in said(door, steps(door, "O19", 2)[0]), "a caul sheet"


def test_a_coupon_is_looked_at_where_there_is_one() -> None:
    for kind, has in (("gear_door", True), ("cowling", False), ("root_fairing", False)):
        assert {"coupon" in s.title for s in steps(planned(kind), "O26")} == {has}


def test_what_no_bag_holds_is_covered_and_held_before_it_is_left() -> None:
    """Release film and weights came off in a step and went on in none."""
    plan = in_the_air()
    covered, left = steps(plan, "O21", 1)
    assert "Release film over all that was laid" in said(plan, covered)
    assert "If it says nothing: stop, ask the engineer" in said(plan, covered)
    assert {"Held or weighed down with, place in the data", "Covered and held at"} <= {
        b.what for b in covered.blanks
    }
    warmest = next(b for b in left.blanks if b.what == "Warmest air meanwhile")
    assert warmest.high is not None
    assert words_of(warmest.high, "mm") == "30 C"
    (judged,) = steps(plan, "O24", 1)
    assert judged.hold is not None
    assert "bag" not in judged.hold.accepted
    aid = in_the_air('pressure_aid = { what = "sandbag in film", covers = "plies" }\n')
    assert "sandbag in film" in said(aid, steps(aid, "O21", 1)[0])
    assert "If it says nothing" not in said(aid, steps(aid, "O21", 1)[0])
    bagged = planned("room temperature")
    assert not [s for s in steps(bagged, "O21", 2) if "cover it" in s.title]


@pytest.mark.parametrize("kind", ["gear_door", "edge", "cowling"])
def test_sealant_is_tack_free_before_anything_covers_it(kind: str) -> None:
    (sealed,) = steps(planned(kind), "E3")
    assert "Sealant tack-free at" in {b.what for b in sealed.blanks if b.unit == "h:min"}


def test_defaults_of_a_bag_wait_for_nobody_where_nothing_is_bagged() -> None:
    """Vacuum, leak and blanket of a cure in the air of the room, without bag, waited for a name."""

    def bag(plan: Plan) -> set[str]:
        return {f.place for f in plan.findings if f.code == "J001" and f.place.startswith("bag.")}

    assert not bag(in_the_air())
    assert {"bag.least_vacuum", "bag.leak_drop", "bag.blanket_margin", "bag.sensor_margin"} <= bag(
        planned("edge")
    )
    bagged = bag(in_the_air(bagged=True))
    assert "bag.least_vacuum" in bagged
    assert not bagged & {"bag.blanket_margin", "bag.sensor_margin", "bag.adhesive_margin"}


@pytest.mark.parametrize(("until", "good"), [("2026-11-25", True), ("2026-11-24", False)])
def test_a_gauge_past_its_day_is_not_listed_as_in_calibration(until: str, good: bool) -> None:
    """The step that draws the kit called a gauge in calibration that had run out the day before."""
    gauge = 'id = "VG-03", kind = "vacuum gauge", calibrated_until = '
    plan = door((f"{gauge}2027-03-31", f"{gauge}{until}"))
    within, _, past = said(plan, steps(plan, "A4")[0]).partition("Out of calibration")
    assert ("VG-03" in within, "VG-03" in past) == (good, not good)
