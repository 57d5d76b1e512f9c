"""Faults that a second reader planted and no nearest test noticed: each answer here is written by hand."""

from __future__ import annotations

import math
import sys
from types import SimpleNamespace as Made
from typing import Any

import pytest

from examples_here import case
from panelmend.job.bag.other_side import _second
from panelmend.job.bag.sensors import _spaced_along
from panelmend.job.cure import circuit_checks
from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import Nest, NestProblem, Piece, Placement, Strip
from panelmend.job.nest.placements import layout_measured
from panelmend.job.plies import fits
from panelmend.job.strength import alike, checks, tips
from panelmend.job.strength.loads import loads_of
from panelmend.job.strength.suction import most_suction
from panelmend.job.strength.weight import mass_added
from panelmend.physics.joint import AdhesiveLayer, Bond, BondStep, Capacity, Ends, capacity
from panelmend.physics.laminate import Lamina, LaminatePly, Strengths, laminate
from panelmend.physics.laminate.failure import Criterion, first_ply_failure
from panelmend.physics.laminate.response import response
from panelmend.plan.make import make_plan
from panelmend.plan.strength_study import StrengthStudy
from panelmend.shapes import circle, rectangle

drying: Any = sys.modules["panelmend.job.drying.make"]  # the package's own name is its function
cutout: Any = sys.modules["panelmend.job.cutout.make"]

DERIVES = Made(
    derive=lambda key, by, **given: by(**given),
    derive_limit=lambda most, kind, key, by, **given: by(**given),
    typed=lambda key, value, kind, source: value,
)


@pytest.mark.parametrize("pulls", [(2e5, 5e5), (5e5, 2e5)])
def test_the_plug_that_lets_the_skin_pull_hardest_counts(
    pulls: tuple[float, float], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Softest and stiffest plug under the load the answers were made with, 1e5 N/m; asked for twice that."""
    monkeypatch.setattr(tips, "_unit", lambda bond, lever, cells: [Made(most_pull=p) for p in pulls])
    for load in (2e5, -2e5):
        assert tips.tip_pull(bond=None, load=load) == pytest.approx(1e6)


@pytest.mark.parametrize("cases", [(3e3, 1e3), (1e3, 3e3), (3e3, 0.0, 1e3)])
def test_the_greatest_suction_of_all_cases_pulls_at_every_tip(cases: tuple[float, ...]) -> None:
    given = [Made(given=True, suction=s) for s in cases]
    assert most_suction((*given, Made(given=False, suction=9e3))) == 3e3  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("cut", "laid", "turned"),
    [("one way", "square", True), ("square", "one way", True), ("square", "square", False)],
)
def test_a_quarter_turn_is_forgiven_where_both_cloths_are_as_stiff_along_as_across(
    cut: str, laid: str, turned: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(alike, "_stiff_alike", lambda lay, cloth: cloth == "square")
    ply = Made(id="P1", role="repair", cloth=laid, warp=math.pi / 2, thickness=2e-4)
    lay: Any = Made(
        plies=Made(angle_tolerance=math.radians(2.0), sides=[Made(side="outside")]),
        cut=lambda side: [(cut, 0.0, 2e-4)],
        carrying=lambda side: [ply],
    )
    assert [d.kind for d in alike.skin_differences(lay)] == [alike.Unlike.TURNED] * turned


def test_plies_of_the_cap_weigh_too() -> None:
    """0.01 and 0.02 m2 of 0.3 kg/m2 with as much resin: 18 g, less 0.005 m2 cut out: 15 g."""
    cap, ply, film = (
        Made(id=n, area=a, cloth="glass", role=r)
        for n, a, r in (("C1", 0.01, "cap"), ("P1", 0.02, "repair"), ("F1", 0.03, "film adhesive"))
    )
    lay: Any = Made(
        case=Made(
            document=Made(data=Made(resin=Made(resin_to_cloth=None))),
            catalogue=Made(cloth=lambda ident: Made(areal_mass=0.3)),
        ),
        core=Made(cap=(cap,)),
        plies=Made(plies=(ply, film)),
        cutout=Made(opening=Made(area=0.005)),
        cut=lambda side: [("glass", 0.0, 2e-4)] if side == "inside" else [],
    )
    basis: Any = Made(ledger=DERIVES, usual=lambda key, given: 1.0, table=lambda key, value, kind, of: value)
    assert mass_added(basis, lay) == pytest.approx(0.015)


@pytest.mark.parametrize(("seen_from", "shear"), [("outside", -12e3), ("inside", 12e3)])
def test_shear_typed_as_seen_from_inside_has_the_other_sign(seen_from: str, shear: float) -> None:
    typed = Made(name="gust", nx=30e3, ny=5e3, nxy=-12e3, pressure=None, place="made")
    case: Any = Made(document=Made(panel=Made(seen_from=seen_from), data=Made(strength=Made(case=[typed]))))
    (load,) = loads_of(case)
    assert (load.nx, load.ny, load.nxy, load.pressure, load.given) == (30e3, 5e3, shear, 0.0, True)


def test_a_study_with_another_number_has_another_digest() -> None:
    def digest(plan: str, **figures: Any) -> str:
        rows: Any = [Made(key=k, value=v) for k, v in figures.items()]
        return StrengthStudy(Made(digest=plan), Made(), rows, ()).digest  # type: ignore[arg-type]

    shape, other = Made(digest=lambda: "s1"), Made(digest=lambda: "s2")
    told = digest("p", reserve=1.2, outline=shape)
    assert told == digest("p", reserve=1.2, outline=shape)
    others = [
        digest("q", reserve=1.2, outline=shape),
        digest("p", reserve=0.8, outline=shape),
        digest("p", reserve=1.2, outline=other),
        digest("p", stress=1.2, outline=shape),
    ]
    assert len({told, *others}) == 5


def test_a_thermocouple_keeps_off_each_thing_that_is_in_its_way() -> None:
    """A ring of 0.2 m: wanted at its right and left ends; a bolt at each, 20 mm across, moves both."""
    line, bolts = circle((0.0, 0.0), 0.2), (circle((0.1, 0.0), 0.02), circle((-0.1, 0.0), 0.02))
    places = [s.at for s in _spaced_along(line, 2)]
    assert [(round(x, 9), round(y, 9) + 0.0) for x, y in places] == [(0.1, 0.0), (-0.1, 0.0)]
    moved = [s.at for s in _spaced_along(line, 2, bolts)]
    assert len(moved) == 2
    assert all(0.01 <= math.dist(at, (x, 0.0)) < 0.013 for at, x in zip(moved, (0.1, -0.1), strict=True))


@pytest.mark.parametrize(("first", "sizes"), [(True, (0.2, 0.4)), (False, (0.4, 0.2)), (None, (0.4, 0.2))])
def test_the_second_blanket_lies_the_way_the_first_one_lies(
    first: bool | None, sizes: tuple[float, float]
) -> None:
    bay = Made(blanket=[Made(id="A", length=0.9, width=0.8), Made(id="B", length=0.4, width=0.2)])
    basis: Any = Made(case=Made(document=Made(bay=bay)), typed=lambda key, value, kind, path: (value, path))
    one: Any = None if first is None else Made(turned=first)
    found: Any = _second(basis, "B", one)
    assert found.turned is (first is True)
    (length, along), (width, _) = found.length, found.width
    assert (length, width) == sizes
    assert along.startswith("bay.blanket[2].")


@pytest.mark.parametrize("limits", [(360.0, 345.0), (345.0, 360.0), (360.0, 345.0, 350.0)])
def test_the_cut_out_of_drying_trips_below_the_least_of_all_limits(
    limits: tuple[float, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(drying, "_limits", lambda basis: tuple((f"part {v}", v) for v in limits))
    found = drying._trips(Made(ledger=DERIVES), 340.0)
    assert found is not None
    assert found[1] == 345.0


@pytest.mark.parametrize(("apart", "told"), [(0.005, 0), (0.0049, 1)])
def test_pieces_too_near_are_found_whatever_was_laid_between_them(apart: float, told: int) -> None:
    """Squares of 0.2 m; along the roll the third begins between the two that lie beside each other."""
    square = ((0.0, 0.0), (0.2, 0.0), (0.2, 0.2), (0.0, 0.2))
    strip, piece = Strip("R1", 0.8, None, 0.01, 0.005), Piece("A", square, 0.0, False, False, 3)
    problem = NestProblem("glass", (piece,), (strip,))
    at = ((0.01, 0.01), (0.05, 0.58), (0.09, 0.21 + apart))
    placed = tuple(Placement("A", n, "R1", x, y, 0.0) for n, (x, y) in enumerate(at, 1))
    found = faults(problem, Nest((layout_measured(strip, placed, problem.pieces),)))
    assert len(found) == told
    assert all("piece A copy 1 and piece A copy 3 lie" in words for words in found)


@pytest.mark.parametrize("sizes", [(0.3, 0.5), (0.5, 0.3), (0.3, 0.5, 0.4)])
def test_the_ply_that_is_widest_across_its_warp_is_held_against_the_roll(
    sizes: tuple[float, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(fits, "roll_widths", lambda basis, cloth: [("narrow", 0.35), ("wide", 0.45)])
    plies = [
        Made(id=f"P{n}", cloth="glass", warp=0.0, outline=rectangle((0.0, 0.0), 0.2, size))
        for n, size in enumerate(sizes)
    ]
    figures = {f"plies.{p.id}.outline": p.outline for p in plies} | {f"plies.{p.id}.warp": 0.0 for p in plies}

    class Figures(dict):  # type: ignore[type-arg]
        derive = staticmethod(DERIVES.derive)
        table = staticmethod(lambda key, value, kind, source: value)

    basis: Any = Made(ledger=Figures(figures), case=Made(view="mm"))
    (fit,) = fits._rolls(basis, Made(plies=plies))  # type: ignore[arg-type]
    assert not fit.holds
    assert float(fit.clear) == pytest.approx(-0.05)
    assert "at least 500.0 mm" in fit.cure


@pytest.mark.parametrize("margins", [(0.01, 0.05), (0.05, 0.01), (0.01, 0.05, 0.03)])
def test_a_form_of_cut_out_is_tried_with_the_largest_of_its_plies(
    margins: tuple[float, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[float] = []

    def largest(basis: Any, key: str, made: Any, side: str, margin: float) -> tuple[Any, Any]:
        asked.append(margin)
        return Made(value=rectangle((0.0, 0.0), 0.1, 0.1)), Made(value=rectangle((0.0, 0.0), 0.2, 0.2))

    near: Any = Made(
        weight="stop", piece="largest ply", key="panel.edge", what="edge", asked=0.01,
        counts=lambda cut: True, clear=lambda shape: 0.05, figures=lambda *given: (0.05, 0.01),
    )  # fmt: skip
    specs = [Made(margin=m, cloth="glass", warp=0.0) for m in margins]
    monkeypatch.setattr(cutout, "sides_of", lambda basis: ("outside",))
    monkeypatch.setattr(cutout, "layup", lambda basis, side: specs)
    monkeypatch.setattr(cutout, "_largest", largest)
    monkeypatch.setattr(cutout, "neighbours", lambda basis, side: [near])
    monkeypatch.setattr(cutout, "_not_large_enough", lambda *given: [])
    monkeypatch.setattr(cutout, "_under_a_blanket", lambda *given: [])
    basis: Any = Made(case=Made(view="mm"), ledger=DERIVES)
    spare, reasons = cutout._fit(basis, "key", Made(), Made())
    assert (asked, reasons) == ([0.05], ())
    assert float(spare) == pytest.approx(0.04)


def test_what_closes_the_hole_is_pushed_over_the_hole_of_its_own_skin() -> None:
    """Round a bend the hole in the outer skin is 2 % larger: 5 inHg on 4,959 mm2 are 84.0 N, not 82.1 N."""
    plan = make_plan(case("cowling"))
    assert plan.work is not None
    areas = {s.side: s.cutout.area for s in plan.work.plies.sides}
    assert areas["outside"] == pytest.approx(1.022 * areas["inside"], rel=1e-3)
    pushed = [b.behind for b in plan.work.bag.operations if b.behind is not None and b.behind.push]
    assert [b.side for b in pushed] == ["outside"]
    assert float(pushed[0].push or 0.0) == pytest.approx(16932.0 * areas["outside"], rel=1e-4)


@pytest.mark.parametrize("order", [("good", "bad"), ("bad", "good")])
def test_each_of_two_blankets_is_held_against_the_supply(order: tuple[str, str]) -> None:
    """At 230 V the one made for 115 V would draw four times its power."""
    blankets = [
        Made(id=n, voltage=v, limit=None, length=0.5, width=0.4, border=0.0)
        for n, v in (("good", 230.0), ("bad", 115.0))
    ]
    case: Any = Made(view="mm", document=Made(bay=Made(blanket=blankets, supply=230.0, circuit=["s"])))
    made: Any = [
        Made(blanket=n, circuit="s", power=4e3, rated=1e3, share=4.0, checked=True, holds=True) for n in order
    ]
    bag: Any = Made(name="cure 1", number=1, needed_length=0.4, needed_width=0.4)
    bag.cure = Made(segment=[Made(to=400.0)])
    found = circuit_checks.check_circuits(case, bag, made)
    assert [f.code for f in found] == ["H002", "H005"]
    assert "bad is made for 115 V, here are 230 V" in found[0].words


@pytest.mark.parametrize(("moment", "place"), [(10.0, "top"), (-10.0, "bottom")])
def test_a_ply_that_bends_breaks_first_on_the_face_that_is_pulled(moment: float, place: str) -> None:
    """6 x 10 N over (1 mm)^2 are 60 MPa on both faces; 100 MPa in tension and 300 MPa in compression."""
    strengths = Strengths(100e6, 300e6, 100e6, 300e6, 50e6)
    glass = Lamina(20e9, 20e9, 4e9, 0.1, strengths=strengths, name="glass")
    lam = laminate([LaminatePly(glass, 0.0, 1e-3)])
    found: Any = first_ply_failure(lam, response(lam, M=(moment, 0.0, 0.0)), Criterion.MAX_STRESS)
    assert (found.place, found.ply) == (place, 0)
    assert found.reserve == pytest.approx(100.0 / 60.0)


def test_a_bond_carries_as_much_in_push_as_in_pull() -> None:
    """Without heat nothing tells one sense from the other, also where the first point that flows is not the
    one that breaks."""
    steps = (BondStep(0.016, 34e6, 21e6), BondStep(0.021, 8.6e6, 26e6), BondStep(0.027, 22e6, 30e6))
    bond = Bond(steps, AdhesiveLayer(5e8, 2e-4, 3e7, 1.0))
    pull, push = (capacity(bond, Ends(p, 0.0, p, 0.0)) for p in (1e5, -1e5))
    assert isinstance(pull, Capacity)
    assert isinstance(push, Capacity)
    assert push.factor == pytest.approx(pull.factor, rel=1e-6)
    assert push.at == pull.at
    assert abs(push.answer.peak.gamma) == pytest.approx(bond.adhesive.g_break, rel=1e-6)


@pytest.mark.parametrize(("moment", "found"), [(0.1, 0), (0.1001, 1), (-0.1, 0), (-0.1001, 1)])
def test_a_repair_that_is_lighter_changes_the_moment_about_the_hinge_line_too(
    moment: float, found: int
) -> None:
    part: Any = Made(not_checked=(), reserves=(), least=None, differences=(), membrane=(), loads_given=True)
    part.moment_added, part.moment_limit = moment, 0.1
    told = checks.check(Made(view="mm"), Made(), part)  # type: ignore[arg-type]
    assert [f.code for f in told] == ["T104"] * found
