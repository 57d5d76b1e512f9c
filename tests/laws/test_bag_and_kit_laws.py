"""Laws of bag and kit: layers nest as they must, shares add up, picks never exceed the stock."""

from __future__ import annotations

import re
from datetime import date, timedelta
from types import SimpleNamespace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from examples_here import case, case_from, edited, names, text
from panelmend.derive import Ledger
from panelmend.derive.figure import PRACTICE
from panelmend.document.bay import Lot
from panelmend.errors import RangeError
from panelmend.job.basis import Basis
from panelmend.job.kit.stores import Shelf, lots_in_order, usable
from panelmend.job.stock_fit import best_blanket
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.predict.model import MEDIUM
from panelmend.predict.predict import predict
from panelmend.render.card import _kit
from panelmend.render.files import _kit_row
from panelmend.render.workings import workings_of
from panelmend.screen.pages_kit import _line, _stored
from panelmend.shapes import inside, least_overlap, rectangle

REPEATABLE = settings(derandomize=True, database=None, deadline=None, max_examples=60)
DAY = date(2026, 11, 25)


@pytest.fixture(scope="module", params=names())
def plan(request: pytest.FixtureRequest) -> Plan:
    return make_plan(case(request.param))


def test_layers_lie_over_each_other_as_they_must(plan: Plan) -> None:
    assert plan.work is not None
    for bag in plan.work.bag.operations:
        assert [layer.order for layer in bag.layers] == list(range(1, len(bag.layers) + 1))
        layers = {layer.use: layer for layer in bag.layers if not layer.below}
        peel, blanket, breather = (layers[use].outline for use in ("peel ply", "heat blanket", "breather"))
        film = layers["parting film"].outline if "parting film" in layers else None
        assert (film is None) == (bag.cure.pad is not None)
        assert peel is not None
        assert blanket is not None
        assert breather is not None
        assert least_overlap(bag.patch, peel)[0] >= 0.02
        assert film is None or inside(bag.patch, film, -1e-9), "solid film must still cover the patch"
        if "bleeder" in layers:
            assert film is not None
            bleeder = layers["bleeder"].outline
            assert bleeder is not None
            assert least_overlap(film, bleeder)[0] > 0.005, "air must pass round the solid film"
        assert inside(bag.sensor_line, blanket)
        assert inside(blanket, breather)
        assert inside(breather, bag.seal_line), "breather under the sealing tape would leak"
        tape, cut = layers["sealing tape"], layers["bag film"]
        assert tape.length is not None
        assert cut.length is not None
        assert cut.width is not None
        x = plan.ledger[f"bag.{bag.number}.seal_length"], plan.ledger[f"bag.{bag.number}.seal_width"]
        assert float(cut.length) > float(x[0])
        assert float(cut.width) > float(x[1])
        assert float(tape.length) >= 2 * (float(x[0]) + float(x[1]))


def test_thermocouples_are_on_their_line_and_spread(plan: Plan) -> None:
    assert plan.work is not None
    for bag in (b for b in plan.work.bag.operations if b.on_panel):
        assert len(bag.sensors) >= max(3, bag.cure.thermocouples_least or 0)
        for sensor in bag.sensors:
            assert bag.sensor_line.reach(*sensor.at)[0] < 1e-6
        apart = [
            ((a.at[0] - b.at[0]) ** 2 + (a.at[1] - b.at[1]) ** 2) ** 0.5
            for i, a in enumerate(bag.sensors)
            for b in bag.sensors[:i]
        ]
        assert min(apart) > 0.3 * bag.sensor_line.perimeter / len(bag.sensors) / 2


def test_shares_and_pots_add_up(plan: Plan) -> None:
    assert plan.work is not None
    for mix in plan.work.kit.mixes:
        assert float(mix.resin) + float(mix.hardener) == pytest.approx(float(mix.total))
        assert sum(float(r) for r, _, _ in mix.pots) == pytest.approx(float(mix.resin))
        assert sum(float(h) for _, h, _ in mix.pots) == pytest.approx(float(mix.hardener))
        material = plan.case.catalogue.get(mix.material)
        most = getattr(material, "pot_mass", None)
        if most is not None:
            step = float(mix.step)  # a pot is weighed to whole steps
            assert all(float(r) + float(h) <= most.value + step for r, h, _ in mix.pots)
        if mix.hardener_low is not None and mix.hardener_high is not None:
            assert float(mix.hardener_low) < float(mix.pots[0][1]) < float(mix.hardener_high)


def test_resin_follows_the_sheets(plan: Plan) -> None:
    assert plan.work is not None
    ledger = plan.ledger
    for sheet in plan.work.kit.sheets:
        cloth = plan.case.catalogue.cloth(sheet.cloth)
        mass = float(sheet.length) * float(sheet.width) * cloth.areal_mass.value
        ratio = float(ledger["kit.resin_to_cloth"]) * (1 + float(ledger["kit.allowance"]))
        assert float(sheet.mixed) == pytest.approx(mass * ratio)
    cut = {(n.strip.id, c.problem.name) for c in plan.work.nest.cloths for n in c.nest.layouts}
    wet = {(s.strip, f"{s.cloth} for {s.operation}") for s in plan.work.kit.sheets}
    assert wet == {(strip, name) for strip, name in cut if " for " in name}
    for mix in plan.work.kit.mixes:
        if mix.purpose == "laminating resin":
            mine = [float(s.mixed) for s in plan.work.kit.sheets if s.operation == mix.operation]
            beside = [float(s.amount) for s in mix.shares if s.code in ("brush", "coupons")]
            losses = 1 + float(ledger["kit.allowance"])
            assert float(mix.need) == pytest.approx(sum(mine) + losses * sum(beside))
            assert float(mix.total) >= float(mix.need) - 1e-9


def test_pieces_lie_with_their_warp_along_the_roll(plan: Plan) -> None:
    import math

    assert plan.work is not None
    plies = {p.id: p for p in (*plan.work.plies.plies, *plan.work.core.cap)}
    for item in plan.work.nest.cloths:
        for layout in item.nest.layouts:
            for at in layout.placements:
                ply = plies[at.piece]
                off = math.remainder(float(ply.warp_seen) * (-1 if at.mirrored else 1) + at.turn, math.pi)
                assert abs(off) < 1e-9, at.piece
                assert not (at.mirrored and ply.faced)


def test_remnants_are_used_once(plan: Plan) -> None:
    assert plan.work is not None
    used = [n.strip.id for c in plan.work.nest.cloths for n in c.nest.layouts if n.strip.remnant]
    assert len(used) == len(set(used))


def lots() -> st.SearchStrategy[list[Lot]]:
    one = st.builds(
        lambda i, grams, days, opened, out, life: Lot.model_construct(
            id=f"L{i}",
            material="m",
            lot=f"N{i}",
            mass=grams / 1e3,
            hardener_mass=None,
            volume=None,
            area=None,
            thickness=None,
            count=None,
            expires=None if days is None else DAY + timedelta(days=days),
            opened=opened,
            out_time=out * 3600.0,
            out_life=None if life is None else life * 3600.0,
        ),
        st.integers(0, 10**6),
        st.integers(1, 900),
        st.none() | st.integers(-40, 400),
        st.booleans(),
        st.integers(0, 50),
        st.none() | st.integers(1, 60),
    )
    return st.lists(one, max_size=6, unique_by=lambda lot: lot.id)


@REPEATABLE
@given(lots(), st.integers(1, 2500))
def test_picks_never_exceed_the_stock_and_never_use_what_is_past(stock: list[Lot], grams: int) -> None:
    base = case("gear_door")
    stores = base.document.stores.model_copy(update={"lot": tuple(stock)})
    made = base.__class__(
        base.document.model_copy(update={"stores": stores}),
        base.digest,
        base.name,
        base.geometry,
        base.catalogue,
    )
    ledger = Ledger()
    needed = ledger.typed("needed", grams / 1e3, "mass", source=PRACTICE)
    picks, short = Shelf(Basis(made, ledger)).take("kit.x", "m", needed, "mass")
    by_id = {lot.id: lot for lot in stock}
    taken = 0.0
    for pick in picks:
        lot = by_id[pick.store]
        assert usable(lot, DAY)
        assert lot.mass is not None
        assert float(pick.amount) <= lot.mass + 1e-12
        taken += float(pick.amount)
    missing = float(short) if short is not None else 0.0
    assert taken + missing == pytest.approx(grams / 1e3, abs=1e-9)
    good = [lot for lot in stock if usable(lot, DAY)]
    if short is not None:
        assert taken == pytest.approx(sum(lot.mass or 0.0 for lot in good), abs=1e-9)
    order = [lot.id for lot in lots_in_order(good)]
    assert [p.store for p in picks] == order[: len(picks)]
    assert ledger.replay() == []


def test_opened_goes_before_sealed_and_the_first_to_expire_before_the_next() -> None:
    def lot(ident: str, opened: bool, days: int | None) -> Lot:
        when = None if days is None else DAY + timedelta(days=days)
        return Lot(id=ident, material="m", lot=ident, expires=when, opened=opened)

    shelf = [lot("c", False, 10), lot("d", False, None), lot("b", True, 90), lot("a", True, 30)]
    assert [x.id for x in lots_in_order(shelf)] == ["a", "b", "c", "d"]


def _changed(*pairs: tuple[str, str]) -> Plan:
    made = edited(text("gear_door"), *pairs)
    return make_plan(case_from(made))


def codes(plan: Plan) -> set[str]:
    return {f.code for f in plan.findings}


def test_no_blanket_large_enough_stops_and_names_the_size() -> None:
    made = text("gear_door")
    start, end = made.index("blanket = ["), made.index("instrument = [")
    none = (made[:start] + made[end:]).replace('blanket_behind = "HB-21"\n', "")
    plan = make_plan(case_from(none))
    found = [f for f in plan.findings if f.code == "B001"]
    assert len(found) == 2
    assert all(re.search(r"\d+\.\d mm by \d+\.\d mm", f.words) for f in found)


def test_the_planner_s_own_blanket_is_checked() -> None:
    plan = _changed(("[stores]", '[choice]\nblanket = "HB-12"\n\n[stores]'))
    assert "B009" in codes(plan)
    plan = _changed(("[stores]", '[choice]\nblanket = "HB-24"\n\n[stores]'))
    assert plan.work is not None
    assert {b.blanket for b in plan.work.bag.operations} == {"HB-24"}


def test_what_is_short_is_named_with_its_amount() -> None:
    plan = _changed(('mass = "900 g"', 'mass = "60 g"'))
    short = [f for f in plan.findings if f.code == "Q001"]
    assert len(short) == 1
    assert "resin" in short[0].words
    total = (
        sum(float(m.resin) for m in plan.work.kit.mixes if m.purpose == "laminating resin")
        if plan.work
        else 0
    )
    assert f"{1e3 * (total - 0.06):.1f} g" in short[0].words
    # Every page a storekeeper holds has both: what is picked (12 g of the 60 g went before), what is short.
    assert plan.work is not None
    lines = [x for x in plan.work.kit.lines if x.short is not None]
    assert [[p.lot for p in x.picks] for x in lines] == [["LR-5520"]]
    line, lacks = lines[0], 1e3 * (total - 0.06)
    shown = workings_of(plan)
    card, screen, sheet = _kit(shown, line), _line(line, shown), _kit_row(line, "mm")
    assert card["picks"][0].startswith("L-77, lot LR-5520: 48.07 g")  # to the digit of the batch
    assert card["short"] == f"{lacks:.2f} g"
    assert screen["short"]["text"] == f"{lacks:.2f} g"
    assert screen["picks"][0][:2] == ("L-77", "LR-5520")
    assert "lot LR-5520" in str(sheet[5])
    assert sheet[6] == pytest.approx(float(f"{lacks:.2f}"))


def test_an_expired_lot_is_left_out_and_named() -> None:
    plan = _changed(("expires = 2027-04-30", "expires = 2026-11-24"))
    assert {"Q003", "Q001"} <= codes(plan)


def test_dry_cloth_without_a_resin_stops() -> None:
    plan = _changed(('system = { value = "demo-laminating-resin", place = "52-10-17 para 5A" }\n', ""))
    assert "Q004" in codes(plan)


def test_a_bag_that_runs_off_the_panel_says_by_how_much() -> None:
    plan = _changed(('bay pump 1"', 'bay pump 1"'), ("508 mm", "790 mm"))
    found = [f for f in plan.findings if f.code == "B003"]
    assert found
    assert "mm too far out" in found[0].words


def test_a_material_whose_limit_is_below_the_recipe_is_named() -> None:
    weak = (
        '\n[[materials.bagging]]\nid = "weak-film"\nname = "Weak film"\nsource = "invented for a test"\n'
        'dated = 2026-11-25\nuse = "bag film"\nlimit_temperature = "60 C"\n'
    )
    assert "B005" in codes(make_plan(case_from(text("gear_door") + weak)))


def test_a_figure_key_is_given_once() -> None:
    ledger = Ledger()
    ledger.typed("a", 1.0, source=PRACTICE)
    with pytest.raises(RangeError):
        ledger.typed("a", 2.0, source=PRACTICE)


def test_the_kit_has_a_thermocouple_for_every_place_of_the_plan() -> None:
    plan = make_plan(case("gear_door"))
    assert plan.work is not None
    places = max(len(o.sensors) for o in plan.work.cure.operations)
    line = next(x for x in plan.work.kit.lines if x.material == "thermocouple-wire")
    assert line.amount is not None
    assert float(line.amount) >= places >= 3
    problem = plan.work.cure.operations[0].problem
    assert problem is not None
    made = predict(problem, advice=False, fine=MEDIUM)
    predicted = make_plan(case("gear_door"), predictions={made.problem: made})
    assert predicted.work is not None
    line = next(x for x in predicted.work.kit.lines if x.material == "thermocouple-wire")
    assert line.amount is not None
    heated = plan.work.cure.operations[0]
    assert len(heated.blankets) == 2, "the second blanket's cut-out has a thermocouple of its own too"
    assert float(line.amount) == len(made.sensors) + len(heated.blankets) > places


def test_a_blanket_heats_up_to_its_border_at_both_ends() -> None:
    """A ply of 340 by 200 mm with 3 x 10 mm all round is 400 by 260 mm; of 430 by 310 mm with a border of
    20 mm 390 mm are hot, 10 mm short: the next one is taken, of which 420 by 270 mm are."""
    blankets = [
        SimpleNamespace(id=n, length=a, width=0.31, border=0.02) for n, a in (("A", 0.43), ("B", 0.46))
    ]
    data = SimpleNamespace(adhesive_margin=None, sensor_margin=None, blanket_margin=None)
    document = SimpleNamespace(bay=SimpleNamespace(blanket=blankets), data=SimpleNamespace(bag=data))
    basis = SimpleNamespace(
        case=SimpleNamespace(document=document),
        usual=lambda key, given: 0.01,
        typed=lambda key, value, kind, path: value,
        ledger=SimpleNamespace(
            derive=lambda key, by, outline, angle, **sizes: by(outline=outline.value, angle=angle, **sizes)
        ),
    )
    ply = SimpleNamespace(value=rectangle((0.0, 0.0), 0.34, 0.20))
    found = best_blanket(basis, "key", ply, 0.0)  # type: ignore[arg-type]
    assert found == ("B", pytest.approx(0.010))
    blankets.pop()
    assert best_blanket(basis, "key", ply, 0.0) == ("A", pytest.approx(-0.010))  # type: ignore[arg-type]


def test_no_roll_or_remnant_is_shown_longer_than_it_is(plan: Plan) -> None:
    """The storekeeper cuts by what the page says there is: 1249.97 mm are no 1250.0."""
    rolls = [x for x in plan.case.document.stores.roll if x.remnant]
    for roll in rolls[:1]:
        rest = roll.remnant[0].model_copy(update={"length": 1.24997, "width": 0.40096})
        shown = _stored(plan, roll.model_copy(update={"length": 4.99996, "remnant": [rest]}))
        if plan.case.view == "mm":
            assert shown["amounts"] == [f"{1e3 * roll.width:.1f} mm × 4999.9 mm"]
            assert shown["remnants"] == [(rest.id, "1249.9 mm", "400.9 mm")]
