"""Faults that a reader planted and no nearest test noticed: each answer here is written by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace as Made
from typing import Any

import numpy as np
import pytest

from examples_here import case_from, edited, sound, text
from panelmend.curelog.unstamped import NO_SAMPLE, NO_STAMP, timed_by_place
from panelmend.derive import Ledger
from panelmend.job import limits
from panelmend.job.basis import Basis
from panelmend.job.card import clocks
from panelmend.job.card.mixing import own_heat
from panelmend.job.card.part import WarmAir
from panelmend.job.cure.circuit import assign_circuits
from panelmend.job.cure.wet import WATER_LEFT, wet_problem
from panelmend.job.forms import Form
from panelmend.job.plies import cure
from panelmend.job.stock_fit import best_blanket
from panelmend.job.strength.mismatch import cooling
from panelmend.materials import Resin
from panelmend.physics.steam import saturation_pressure
from panelmend.physics.wet_core import vapour_conductivity
from panelmend.plan.judge import alarms, codes
from panelmend.records import events as e
from panelmend.render.papers import A4
from panelmend.render.strokes import Ink, Loop, Stroke
from panelmend.render.tiles import best_tiling, tiling
from panelmend.shapes import rectangle
from records_made import refused, shop, who

FAR = 'circle = { centre = "42, -58 mm", diameter = "66 mm" }'
EARLIER = 'circle = { centre = "350, 240 mm", diameter = "160 mm" }'


def _found_of_far(*pairs: tuple[str, str]) -> set[tuple[str, str]]:
    case, ledger = case_from(edited(text("cowling"), *pairs)), Ledger()
    part = limits.make(case, ledger)
    return {(f.code, f.place) for f in limits.check(case, ledger, part) if f.code in ("L104", "L107")}


@pytest.mark.parametrize(("across", "found"), [("115 mm", set()), ("117 mm", {("L107", "damage.far_shape")})])
def test_the_far_skin_alone_runs_into_an_earlier_repair(across: str, found: set[tuple[str, str]]) -> None:
    """Its rim reaches 99.5 or 100.5 mm along; the earlier repair begins at 100 mm."""
    earlier = (EARLIER, 'circle = { centre = "150, -58 mm", diameter = "100 mm" }')
    assert _found_of_far((FAR, FAR.replace("66 mm", across)), earlier) == found


@pytest.mark.parametrize(("across", "found"), [("781 mm", set()), ("787 mm", {("L104", "damage.far_shape")})])
def test_the_far_skin_alone_runs_off_the_panel(across: str, found: set[tuple[str, str]]) -> None:
    """The panel ends 450 mm across; the rim of the far damage at 448.5 or 451.5 mm."""
    earlier = (EARLIER, 'circle = { centre = "500, 400 mm", diameter = "10 mm" }')
    assert _found_of_far((FAR, FAR.replace("66 mm", across)), earlier) == found


@pytest.mark.parametrize("order", [("A", "B"), ("B", "A")])
def test_of_blankets_too_small_the_one_that_lacks_least_is_named(order: tuple[str, str]) -> None:
    """A ply of 340 by 200 mm with 3 x 10 mm all round: A is 10 mm short, B 90 mm."""
    sizes = {"A": 0.39, "B": 0.31}
    blankets = [Made(id=n, length=sizes[n], width=0.30, border=0.0) for n in order]
    data = Made(adhesive_margin=None, sensor_margin=None, blanket_margin=None)
    basis = Made(
        case=Made(document=Made(bay=Made(blanket=blankets), data=Made(bag=data))),
        usual=lambda key, given: 0.01,
        typed=lambda key, value, kind, path: value,
        ledger=Made(derive=lambda key, by, outline, angle, **s: by(outline=outline.value, angle=angle, **s)),
    )
    ply = Made(value=rectangle((0.0, 0.0), 0.34, 0.20))
    found: Any = best_blanket(basis, "key", ply, 0.0)  # type: ignore[arg-type]
    assert found == ("A", pytest.approx(-0.010))


@pytest.mark.parametrize("order", [("fast", "slow"), ("slow", "fast")])
def test_the_caution_of_heat_in_the_cup_names_the_least_of_the_largest_batches(
    order: tuple[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("panelmend.job.card.mixing._grams", lambda bench, figure: f"{1e3 * figure:.0f} g")
    masses = {"materials.fast.pot_mass": 0.1, "materials.slow.pot_mass": 0.25}
    mixed: Any = [Made(material=m) for m in order]
    said = own_heat(Made(basis=Made(ledger=masses)), mixed)  # type: ignore[arg-type]
    assert "never more than 100 g in one cup" in said.words


@pytest.mark.parametrize("energies", [(62e3, 30e3, None), (30e3, 62e3, None), (40e3, 50e3, 62e3)])
def test_of_several_energies_the_greatest_shortens_a_pot_life_in_warm_air(
    energies: tuple[float | None, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """40 min at 23 C; at 31 C exp(62000 / 8.314 x (1/304.15 - 1/296.15)) leaves 20.6 min of them."""
    kinetics = Made(**dict(zip(("e1", "e2", "e3"), energies, strict=True)), source="a sheet")
    resin = Resin.model_construct(kinetics=kinetics)
    basis = Made(
        case=Made(catalogue={"r": resin}, document=Made(bay=Made(air_temperature=304.15))),
        ledger=Made(
            table=lambda key, value, kind, source: value,
            derive_limit=lambda limit, kind, key, by, **given: by(**given),
        ),
    )
    monkeypatch.setattr(clocks, "temperature_of", lambda basis: 304.15)
    monkeypatch.setattr(clocks, "told_life", lambda basis, material, typed: None)
    life, how = clocks._life(basis, Made(material="r"), "key", 2400.0)  # type: ignore[arg-type]
    assert how is WarmAir.RECKONED
    assert float(life) / 60 == pytest.approx(20.6, abs=0.05)


def test_channels_that_stand_together_are_counted_from_the_first() -> None:
    now = 1640.0
    stopped = tuple(
        Made(finding=Made(code=codes.STOOD_TOGETHER.code), channel=n, time=now - ago, until=now)
        for n, ago in (("T1", 40.0), ("T2", 100.0), ("T3", 70.0))
    )
    seen = Made(
        times=np.array([1000.0, now]), order=True, checked=Made(faults=stopped, frozen=np.zeros(0, bool))
    )
    (told,) = alarms.clock_now(seen)  # type: ignore[arg-type]
    assert "T1, T2, T3 for 100 s" in told.finding.words


@pytest.mark.parametrize(("silent", "said"), [(119.4, "120 s"), (120.0, "2 min"), (149.0, "3 min")])
def test_a_reading_is_told_no_newer_than_it_is(
    silent: float, said: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(alarms, "gap_step", lambda log: 60.0)
    (told,) = alarms.silence(Made(log=None), silent)  # type: ignore[arg-type]
    assert f"that counts is {said} old" in told.finding.words


@pytest.mark.parametrize("beside", [NO_STAMP, NO_SAMPLE])
def test_only_rows_of_broken_stamps_count_in_how_far_a_clock_was_set_back(beside: float) -> None:
    """One broken stamp takes two steps of 10 s where 10 s are; the row beside it has none to take."""
    rows = np.array([0.0, 10.0, math.nan, beside, 20.0, 30.0])
    assert timed_by_place(rows, 0.0)[1] == pytest.approx(10.0)


@pytest.mark.parametrize("targets", [(390.0, 350.0), (350.0, 390.0), (350.0, 390.0, 370.0)])
def test_what_is_cooled_counts_from_the_hottest_dwell(targets: tuple[float, ...]) -> None:
    segments = [Made(kind="ramp", to=420.0), *(Made(kind="dwell", to=t) for t in targets)]
    cure = Made(lays=("plies",), segment=segments)
    lay = Made(case=Made(document=Made(data=Made(cure=[cure]))))
    assert cooling(lay) == pytest.approx(296.15 - 390.0)  # type: ignore[arg-type]


def test_a_keeper_who_has_no_secret_yet_is_no_other_keeper() -> None:
    """Somebody who was added and never enrolled cannot act: the last one who can stays."""
    made = shop()
    book = made.book
    book.remove_person(who("K1"), "K2", "leaves")
    book.add_person(who("K1"), "K3", "Una Newkeeper", [e.Role.KEEPER])
    refused("R119", lambda: book.remove_person(who("K1"), "K1", "leaves"))


def test_sheets_that_stay_white_decide_nothing_about_how_paper_lies() -> None:
    """Two legs of 725 by 250 mm: upright five windows, all printed; across six, of which two stay white."""
    legs = Loop(((725.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 250.0, 0.0)), closed=False)
    drawn = (Stroke((legs,), Ink(0.3, "ink")),)
    counts = [(len(t.tiles), len(t.printed)) for t in (tiling(drawn, A4), tiling(drawn, A4.across()))]
    assert counts == [(5, 5), (6, 4)]
    assert len(best_tiling(drawn, A4).printed) == 4


def test_where_no_circuit_will_do_the_strongest_is_held_against_the_blanket() -> None:
    socket = '{ id = "socket 4", rating = "16 A", continuous = "80 %" }'
    weak = '{ id = "socket 5", rating = "5 A", continuous = "80 %" }'
    less = socket.replace("16 A", "6 A")
    for both in (f"{less}, {weak}", f"{weak}, {less}"):
        case, ledger = case_from(edited(sound(), (socket, both))), Ledger()
        (made,) = assign_circuits(Basis(case, ledger), "cure.2", ("HB-20",))
        assert not made.holds
        assert made.circuit == ""
        assert made.allowed is not None
        assert float(made.allowed) == pytest.approx(4.8)


def test_air_that_is_sealed_in_a_wet_cell_is_warmed_with_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """At one volume the dry air's part of the pressure rises with the absolute temperature."""
    monkeypatch.setattr("panelmend.job.cure.wet.replace", lambda problem, **new: Made(**new))
    dry = Made(core="core", dwell=Made(target=355.0), air=293.15, pressure=101325.0, bond="bond")
    case = Made(document=Made(damage=Made(moisture="found")))
    found: Any = wet_problem(case, dry, "opening")  # type: ignore[arg-type]
    sealed = (101325.0 - saturation_pressure(293.15)) * 355.0 / 293.15
    assert found.wet.conductivity == pytest.approx(vapour_conductivity(355.0, sealed))
    assert (found.wet.depth, found.wet.lies, found.wet.without) == (WATER_LEFT, "bond", "opening")


@pytest.mark.parametrize(
    ("view", "typed", "step"), [("mm", None, 0.001), ("in", None, 0.0015875), ("in", 0.002, 0.002)]
)
def test_a_cut_out_that_is_turned_keeps_to_the_sizes_of_its_document(
    view: str, typed: float | None, step: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """In inches it is marked out in sixteenths; a default written a second time had millimetres there."""
    asked: list[float] = []
    monkeypatch.setattr(cure, "smallest", lambda form, what, margin, by, radius, angle: asked.append(by))
    data = Made(size_step=None if typed is None else Made(value=typed), held_to_axes=None)
    case: Any = Made(
        document=Made(data=Made(cutout=data)), view=view, geometry=Made(damage=None, far_damage=None)
    )
    form = Form("oval", (0.0, 0.0), 0.2, 0.1, 0.0, 0.05)
    list(cure._at_other_angles(case, Made(side="outside", margin=0.0), form))  # type: ignore[arg-type]
    assert asked == [pytest.approx(step)] * 12
