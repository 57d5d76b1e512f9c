"""Cures on a plate, at room temperature, without a bag, under a pad, and through both skins."""

from __future__ import annotations

import json

import pytest

from examples_here import case, case_from, edited, sound, text
from panelmend.job.card.heating import LAGS, ONLY, unpredicted_why
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.cure_plan import cure_plan_data
from panelmend.shapes import least_overlap

ROOM = (
    'heated_by = "room temperature"\nsand_after = "24 h"\nload_after = "5 days"\n'
    'segment = [ { kind = "dwell", to = "21 C", low = "18 C", high = "27 C", least = "12 h" } ]\n'
)


def planned(document: str, *pairs: tuple[str, str]) -> Plan:
    document = edited(document, *pairs)
    return make_plan(case_from(document))


def found(plan: Plan, code: str) -> list[str]:
    return [f.words for f in plan.findings if f.code == code]


def at_room_temperature(document: str, *more: str) -> str:
    """The plies cured without heat."""
    start = document.index('name = "Repair plies"')
    end = document.index("]\n\n", document.index("segment = [", start)) + 2
    block = document[start:end]
    head = block[: block.index('ceiling = "93 C"')]
    return document[:start] + head + "\n".join(more) + ("\n" if more else "") + ROOM + document[end:]


@pytest.fixture(scope="module")
def fairing() -> Plan:
    return make_plan(case("root_fairing"))


def test_the_fifth_example_is_planned_without_a_stop_or_an_open_default(fairing: Plan) -> None:
    assert fairing.stop_reasons == ()
    assert {f.code for f in fairing.draft_reasons} == {"H602"}
    assert fairing.work is not None
    assert [(b.name, b.lays, b.bonds_cap) for b in fairing.work.bag.operations] == [
        ("Cap on a plate", ("cap",), False),
        ("Plug and cap", ("core", "cap"), True),
        ("Fill and repair plies", ("fill", "plies"), False),
    ]


def test_the_cap_is_bagged_on_its_plate_and_not_on_the_panel(fairing: Plan) -> None:
    assert fairing.work is not None
    cap, plug, plies = fairing.work.bag.operations
    assert not cap.on_panel
    assert [x.use for x in cap.layers if x.below] == ["plate", "parting film", "peel ply"]
    assert len(cap.sensors) == 1
    assert cap.sensors[0].at == pytest.approx(cap.frame.centre)
    plate, film = cap.layers[0], cap.layers[1]
    assert plate.outline is not None
    assert film.outline is not None
    assert least_overlap(cap.seal_line, plate.outline)[0] == pytest.approx(0.0508)
    assert least_overlap(film.outline, cap.seal_line)[0] > 0.02, "tape sticks to the bare plate"
    cured = fairing.work.cure.operations[0]
    assert cured.problem is None
    assert cured.missing == ()
    assert plug.patch.area < cap.patch.area, "the cap is trimmed before it is bonded"
    assert plies.on_panel


def test_the_pad_stands_inside_the_opening_and_air_passes_round_it(fairing: Plan) -> None:
    assert fairing.work is not None
    plug = fairing.work.bag.operations[1]
    pad = next(x for x in plug.layers if x.use == "pressure pad")
    collar = next(x for x in plug.layers if x.use == "breather collar")
    opening = fairing.work.plies.sides[0].cutout
    assert pad.outline is not None
    assert least_overlap(pad.outline, opening)[0] == pytest.approx(0.0254 / 32, abs=1e-9)
    assert collar.hole == pad.outline
    assert "proud" in pad.note
    assert plug.air is not None
    assert plug.air.open


def test_paste_is_mixed_for_plug_bottom_and_cap(fairing: Plan) -> None:
    core, ledger = fairing.work.core if fairing.work else None, fairing.ledger
    assert core is not None
    assert core.floor_on == "far skin"
    assert core.splice_volume is not None
    assert core.floor_volume is not None
    assert core.cap_volume is not None
    volumes = float(core.splice_volume) + float(core.floor_volume) + float(core.cap_volume)
    assert float(ledger["kit.adhesive.Plug and cap.mass"]) == pytest.approx(volumes * 900 * 1.1)
    assert core.cap_outline is not None
    assert least_overlap(core.cap_outline, fairing.work.plies.sides[0].cutout)[0] == pytest.approx(
        0.0254 / 32
    )


def test_a_cure_at_room_temperature_has_no_blanket_no_thermocouples_and_no_prediction() -> None:
    plan = make_plan(case_from(at_room_temperature(sound())))
    assert plan.work is not None
    bag = plan.work.bag.operations[-1]
    assert (bag.blanket, bag.sensors) == ("", ())
    assert not [x for x in bag.layers if x.use in ("heat blanket", "edge breather")]
    assert bag.air is not None
    assert bag.air.open
    cured = plan.work.cure.operations[-1]
    assert cured.problem is None
    assert cured.blankets == ()
    assert not [f for f in plan.findings if f.code == "B001"]


def test_a_cure_without_a_bag_has_no_layers_no_leak_test_and_presses_on_nothing() -> None:
    plan = make_plan(case_from(at_room_temperature(sound(), "bagged = false")))
    assert plan.work is not None
    bag = plan.work.bag.operations[-1]
    assert bag.layers == ()
    assert bag.air is None
    assert float(bag.force) == 0.0


OVEN = ('lays = ["plies"]', 'lays = ["plies"]\nheated_by = "oven"')


def test_a_panel_in_an_oven_is_bagged_without_a_blanket_and_with_thermocouples() -> None:
    plan = planned(sound(), OVEN)
    assert plan.work is not None
    bag = plan.work.bag.operations[-1]
    assert not found(plan, "B017")
    assert "heat blanket" not in [x.use for x in bag.all_layers]
    assert bag.blanket == ""
    assert bag.air is not None
    assert bag.air.open
    assert len(bag.sensors) >= 3
    assert float(bag.force) > 0.0
    assert plan.work.cure.operations[-1].problem is None
    kit = {x.name: x.purpose for x in plan.work.kit.lines}
    assert bag.name in next(v for k, v in kit.items() if k.startswith("oven"))
    assert bag.name in next(v for k, v in kit.items() if k.startswith("over-temperature cut-out"))


def test_a_panel_in_an_oven_without_a_bag_is_not_planned_here() -> None:
    plan = planned(sound(), (OVEN[0], OVEN[1] + "\nbagged = false"))
    assert found(plan, "B017")
    assert not found(planned(sound()), "B017")


def test_the_card_of_a_panel_in_an_oven_speaks_of_the_oven_and_of_no_blanket() -> None:
    """The whole panel gets hot: off the aircraft, its whole core looked at, its bag tested again."""
    plan = planned(sound(), OVEN)
    own = [s for s in plan.card.steps if s.operation == 2]
    for step in own:
        words = " ".join(w for line in step.words for w in line if isinstance(w, str))
        assert "blanket" not in f"{words} {step.title} {' '.join(step.tools)}".lower(), step.title
        assert not [c.words for c in step.cautions if "blanket" in c.words]
    survey = next(s for s in own if s.id == "D6")
    assert any("off the aircraft" in b.what for b in survey.blanks)
    assert any("whole core" in b.what for b in survey.blanks)
    heat = next(s for s in own if s.id == "O22")
    assert {"fire", "heat", "pressure"} <= {c.hazard for c in heat.cautions}
    lost = next(b for b in heat.blanks if b.what == "Lost in the oven, before heat")
    assert lost.high is not None
    assert [b.what for b in heat.blanks].index(lost.what) < [b.what for b in heat.blanks].index("Heat on at")
    said = " ".join(w for line in heat.words for w in line if isinstance(w, str))
    assert "NOT PREDICTED" in said
    assert LAGS in said
    other = next(s for s in plan.card.steps if s.id == "O22" and s.operation == 1)
    assert not any("oven" in b.what for b in other.blanks)


def test_nobody_is_sent_to_predict_what_is_never_predicted() -> None:
    plan = planned(sound(), OVEN)
    assert plan.work is not None
    blanket, oven = plan.work.cure.operations
    assert (blanket.never, oven.never) == (False, True)
    assert unpredicted_why(oven) == ONLY
    assert "missing" in unpredicted_why(blanket)
    pages = json.dumps(cure_plan_data(plan)["operations"][1])
    assert LAGS in pages


def test_a_core_cure_is_left_out_where_no_core_is_cut() -> None:
    plan = planned(sound(), ('depth = "skin and core"', 'depth = "skin"'))
    assert plan.work is not None
    assert [b.name for b in plan.work.bag.operations] == ["Repair plies"]
    assert found(plan, "B018") == ["Core and cap"]
    assert not [m for m in plan.work.kit.mixes if m.operation == "Core and cap"]


def test_core_cut_to_less_than_its_depth_stands_on_core() -> None:
    plan = planned(
        sound(), ('side = "outside"\nmoisture', 'side = "outside"\ncore_depth = "12.346 mm"\nmoisture')
    )
    assert plan.work is not None
    assert plan.work.core.floor_on == "core"
    assert plan.work.core.floor_volume is not None
    assert make_plan(case_from(sound())).work.core.floor_on == "far skin"  # type: ignore[union-attr]


def test_a_hole_through_both_skins_has_the_plug_s_bottom_in_its_mix() -> None:
    plan = make_plan(case("cowling"))
    assert plan.work is not None
    core = plan.work.core
    assert core.floor_on == "far plies"
    assert core.floor_volume is not None
    assert float(core.floor_volume) > 0.0


def test_the_open_side_is_closed_and_held_or_it_stops() -> None:
    plan = make_plan(case("cowling"))
    assert plan.work is not None
    first, *others = plan.work.bag.operations
    assert first.side == "inside"
    assert first.behind is not None
    assert (first.behind.kind, first.behind.side, first.behind.bagged) == ("support", "outside", True)
    support = next(x for x in first.behind.layers if x.use == "support")
    assert support.outline is not None
    assert least_overlap(first.behind.patch, support.outline)[0] > 0.03
    assert first.behind.push is not None
    area = first.behind.patch.area
    assert float(first.behind.push) == pytest.approx(5 * 3386.389 * area)
    assert all(b.behind is None for b in others), "closed by then"
    bare = text("cowling")
    line = next(x for x in bare.splitlines() if x.startswith("support ="))
    assert found(planned(bare, (line + "\n", "")), "B019") == ["Inner plies: the outside is open"]
    assert not found(plan, "B019")


def test_both_skins_in_one_cure_get_two_bags() -> None:
    made = text("cowling")
    start = made.index('[[data.cure]]\nname = "Inner plies"')
    end = made.index('[[data.cure]]\nname = "Core and cap"')
    made = made[:start] + made[end:]
    made = made.replace(
        'name = "Outer plies"\nlays = ["plies"]\nside = "outside"', 'name = "Outer plies"\nlays = ["plies"]'
    )
    plan = make_plan(case_from(made))
    assert plan.work is not None
    bag = plan.work.bag.operations[-1]
    assert bag.behind is not None
    assert bag.behind.kind == "other skin"
    assert bag.behind.bagged
    assert bag.behind.air is not None
    assert bag.behind.air.open
    assert {x.use for x in bag.behind.layers} >= {"peel ply", "bleeder", "breather", "bag film"}
    assert {i.split("-")[0] for i in bag.plies} == {"OUT", "IN"}
    assert plan.work.core.floor_on == "nothing", "the far plies are laid on the plug later"
    told = {s.id: str(s.words) for s in plan.card.steps if s.operation == bag.number}
    assert (
        "The stack and the bag on the inside are built dry as for the cure. Draw and test both" in told["D6"]
    )
    assert "Neither bag by itself: draw this one and that on the inside together" in told["O20"]


def test_a_second_blanket_over_a_support_has_its_bag_drawn_with_the_first() -> None:
    """Its bag was to be tested by itself, which pushes on what closes the hole."""
    more = '\n[[choice.heat]]\ncure = "Inner plies"\nblanket = "HB-24"\nblanket_behind = "HB-16"\n'
    plan = make_plan(case_from(text("cowling") + more))
    (survey,) = [str(s.words) for s in plan.card.steps if s.id == "D6" and s.operation == 1]
    assert "HB-16 on the opposite side has a bag" in survey
    assert "its bag is drawn with this one" in survey
    assert "by itself" not in survey


def test_a_second_blanket_behind_has_a_bag_of_its_own() -> None:
    plan = make_plan(case("gear_door"))
    assert plan.work is not None
    bag = plan.work.bag.operations[0]
    assert bag.behind is not None
    assert bag.behind.kind == "second blanket"
    assert [x.use for x in bag.behind.layers] == [
        "glass cloth",
        "heat blanket",
        "breather",
        "vacuum base",
        "sealing tape",
        "bag film",
    ]
    assert float(bag.behind.force) > 0.0
    assert bag.behind.air is not None
    assert bag.behind.air.open
    film = [x for x in plan.work.kit.lines if x.purpose == "bag film"]
    assert film[0].amount is not None
    fronts = sum(
        float(x.length) * float(x.width)
        for b in plan.work.bag.operations
        for x in b.layers
        if x.use == "bag film" and x.length is not None and x.width is not None
    )
    assert float(film[0].amount) > fronts


def test_thermocouples_keep_off_metal() -> None:
    insert = 'at = "1120, 400 mm"'
    free = make_plan(case("gear_door"))
    assert free.work is not None
    x, y = free.work.bag.operations[1].sensors[0].at
    moved = planned(
        text("gear_door"),
        (insert, f'at = "{1e3 * x:.3f}, {1e3 * y:.3f} mm"'),
        ('diameter = "30 mm"\nkeep_out = "25 mm"', 'diameter = "10 mm"'),
    )
    assert moved.work is not None
    spot = moved.case.geometry.spots[0]
    for sensor in moved.work.bag.operations[1].sensors:
        away = ((sensor.at[0] - spot.at[0]) ** 2 + (sensor.at[1] - spot.at[1]) ** 2) ** 0.5
        assert away >= 0.005 + 0.0127 - 1e-9


def test_film_adhesive_lies_on_the_parent_under_everything_and_past_it() -> None:
    plan = make_plan(case_from(_with_film()))
    assert plan.work is not None
    side = plan.work.plies.sides[0]
    film = side.plies[0]
    assert film.role == "film adhesive"
    assert not film.has_warp
    for ply in side.plies[1:]:
        assert least_overlap(ply.outline, film.outline)[0] >= 0.00635 - 1e-9, ply.id
    assert side.plies[1].role == "fill"
    assert plan.work.bag.operations[-1].plies[0] == film.id


def _with_film() -> str:
    made = text("gear_door").replace(
        'scheme = { value = "stepped"',
        'film_adhesive = { value = "demo-film", place = "x 1" }\nscheme = { value = "stepped"',
    )
    return made.replace(
        "[data.plies.outside]\n",
        "[data.plies.outside]\n"
        'fill = { place = "x 1", value = [ { cloth = "demo-glass-8h", warp = "0 deg" } ] }\n',
    )
