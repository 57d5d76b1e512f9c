"""Every number of a stage worked out by hand once, with values of which no two give the same answer.

A row says which formula, with what, and what comes out on paper; ``test_every_formula_has_a_row`` asks for a
row for each formula of a stage that takes plain numbers. Where a limit or a step is part of the formula, rows
stand on it and on either side.
"""

from __future__ import annotations

import math
from typing import Any

import pytest

from panelmend.derive import Formula
from panelmend.derive.formula import all_formulas
from panelmend.job import formulas as shared
from panelmend.job.bag import formulas as bag
from panelmend.job.core import formulas as core
from panelmend.job.cure import formulas as cure
from panelmend.job.cutout import formulas as cutout
from panelmend.job.drying import formulas as drying
from panelmend.job.kit import formulas as kit
from panelmend.job.kit import weighing
from panelmend.job.limits import formulas as limits
from panelmend.job.nest import formulas as nest
from panelmend.job.strength import formulas as strength
from panelmend.shapes import Outline, circle, outline, rectangle

BOOK = rectangle((0.0, 0.0), 0.30, 0.20)  # 300 x 200 mm about the origin
DISC = circle((0.0, 0.0), 0.20)
ASIDE = rectangle((0.10, 0.05), 0.30, 0.20)
HEATED = {"length": 0.5, "width": 0.4, "needed_length": 0.30, "needed_width": 0.32}
PI = math.pi
ROWS: list[tuple[Any, dict[str, Any], float]] = [
    (shared.total, {"a": 0.3, "b": 0.05, "c": 0.007}, 0.357),
    (shared.half, {"whole": 0.7}, 0.35),
    (shared.both_sides, {"side": 0.35}, 0.7),
    (shared.same_length, {"value": 0.123}, 0.123),
    (shared.same_angle, {"value": 0.5}, 0.5),
    (shared.seen_from_behind, {"angle": 0.5}, -0.5),
    (shared.spare, {"clear": 0.030, "asked": 0.012}, 0.018),
    (shared.area_of, {"outline": BOOK}, 0.06),
    (shared.least_overlap_of, {"inner": BOOK, "outer": rectangle((0.0, 0.0), 0.34, 0.22)}, 0.010),
    (shared.least_overlap_of, {"inner": BOOK, "outer": rectangle((0.0, 0.0), 0.34, 0.18)}, -0.010),
    # 0.25 between the middles less half of 0.30 and half of 0.04
    (shared.clear_between, {"piece": BOOK, "other": circle((0.25, 0.0), 0.04)}, 0.080),
    # a corner of one book stands 20 mm in x and 50 mm in y inside the other: 20 mm deep
    (shared.clear_between, {"piece": BOOK, "other": rectangle((0.28, 0.15), 0.30, 0.20)}, -0.020),
    (shared.clear_between, {"piece": rectangle((0.28, 0.15), 0.30, 0.20), "other": BOOK}, -0.020),
    # the rim of a round ply, which has no corner there, 2 mm over a bar 30 mm wide, and 1 mm before it
    (shared.clear_between, {"piece": DISC, "other": rectangle((0.0, 0.113), 0.76, 0.03)}, -0.002),
    (shared.clear_between, {"piece": DISC, "other": rectangle((0.0, -0.113), 0.76, 0.03)}, -0.002),
    (shared.clear_between, {"piece": rectangle((0.113, 0.0), 0.03, 0.76), "other": DISC}, -0.002),
    (shared.clear_between, {"piece": DISC, "other": rectangle((0.0, 0.116), 0.76, 0.03)}, 0.001),
    # two round ones that lie 3 mm over each other, one above the other, and one on the other
    (shared.clear_between, {"piece": DISC, "other": circle((0.0, 0.147), 0.10)}, -0.003),
    (shared.clear_between, {"piece": DISC, "other": DISC}, -0.1),
    # a bar across the middle of another: half of its width lies on either side of the other's middle line
    (
        shared.clear_between,
        {"piece": rectangle((0.0, 0.0), 0.5, 0.03), "other": rectangle((0.0, 0.0), 0.03, 0.5)},
        -0.015,
    ),
    (shared.clear_to_spot, {"piece": BOOK, "x": 0.25, "y": 0.0, "diameter": 0.03}, 0.085),
    (shared.clear_to_spot, {"piece": BOOK, "x": 0.0, "y": -0.19, "diameter": 0.03}, 0.075),
    # 300 x 200 mm and 10 mm round it, corners rounded: 0.06 + 2 (0.3 + 0.2) 0.01 + pi 0.01 0.01
    (kit.area_beyond, {"outline": BOOK, "margin": 0.010}, 0.07 + PI * 1e-4),
    (kit.both_areas, {"one": 0.06, "other": 0.07}, 0.13),
    (kit.put_on, {"areal_mass": 0.2, "area": 0.06}, 0.012),
    (kit.along_line, {"line_mass": 0.05, "length": 1.2}, 0.06),
    (bag.beyond_both_ends, {"size": 0.30, "margin": 0.05}, 0.40),
    (bag.half_of_what_is_over, {"outer": 0.50, "inner": 0.36}, 0.07),
    (bag.push_through, {"difference": 60e3, "opening": 0.002}, 120.0),
    (bag.inside_both_ends, {"size": 0.50, "inset": 0.05}, 0.40),
    (bag.extent_along, {"outline": BOOK, "direction": 0.5 * PI}, 0.20),
    (bag.with_pleats, {"size": 0.50, "allowance": 0.2}, 0.60),
    (bag.tape_length, {"length": 0.5, "width": 0.3, "allowance": 0.25}, 2.0),
    (bag.force_of_bag, {"pressure": 80e3, "length": 0.5, "width": 0.3}, 12e3),
    (bag.mass_that_presses, {"pressure": 9806.65, "outline": rectangle((0.0, 0.0), 0.5, 0.2)}, 100.0),
    (bag.pressing, {"vacuum": 80e3}, 80e3),
    (bag.gas_under_bag, {"length": 0.5, "width": 0.4, "thickness": 0.003}, 0.0006),
    (bag.leak_throughput, {"volume": 0.0006, "drop": 3400.0, "duration": 300.0}, 0.0068),
    (bag.square_to, {"direction": 0.5}, 2.070796326794897),
    # 0.25 and -0.07 from the middle (0.10, 0.05): 0.25 cos 0.6 - 0.07 sin 0.6
    (
        bag.off_the_middle,
        {"patch": ASIDE, "direction": 0.0, "towards": 0.6, "x": 0.35, "y": -0.02},
        0.16680893059,
    ),
    # the middle is the same however the bag is turned
    (
        bag.off_the_middle,
        {"patch": ASIDE, "direction": 0.7, "towards": 0.6, "x": 0.35, "y": -0.02},
        0.16680893059,
    ),
    (bag.reach_of_moved, {"size": 0.30, "off": -0.04}, 0.38),
    # 0.10 - 0.03 along, 0.04 - 0.01 across; then 0.10 - 0.09 along
    (bag.heated_past, HEATED | {"along": -0.03, "across": 0.01}, 0.03),
    (bag.heated_past, HEATED | {"along": -0.09, "across": 0.01}, 0.01),
    (bag.past_the_adhesive, {"patch": BOOK, "x": 0.20, "y": 0.0, "margin": 0.02}, 0.03),
    (bag.past_the_adhesive, {"patch": BOOK, "x": 0.10, "y": 0.0, "margin": 0.02}, -0.07),
    (bag.inside_of, {"outline": BOOK, "x": 0.10, "y": 0.0}, 0.05),
    (bag.inside_of, {"outline": BOOK, "x": 0.20, "y": 0.0}, -0.05),
    (bag.same_size, {"size": 0.41}, 0.41),
    (bag.power_needed, {"density": 7750.0, "length": 0.4, "width": 0.2}, 620.0),
    (bag.heated_size, {"size": 0.50, "border": 0.02}, 0.46),
    (core.splice_volume, {"opening": BOOK, "plug": rectangle((0.0, 0.0), 0.29, 0.19), "depth": 0.02}, 98e-6),
    (core.layer_volume, {"outline": BOOK, "thickness": 0.0003}, 18e-6),
    (cure.share_of_rated, {"voltage": 230.0, "supply": 115.0}, 0.25),
    (cutout.sound_removed, {"opening": 0.05, "damage": 0.02}, 0.03),
    (drying.lifting, {"cell": 130e3, "outside": 101e3}, 29e3),
    (drying.lifting_bridged, {"cell": 130e3, "barometer": 101e3, "vacuum": 60e3}, 89e3),
    (drying.reserve, {"strength": 2e6, "lift": 0.5e6}, 4.0),
    (drying.hot_wet_strength, {"room": 2e6, "factor": 0.6}, 1.2e6),
    (drying.slowest, {"one": 3e-13, "two": 2e-13, "three": 5e-13}, 2e-13),
    # D0 exp(-E / R T), E so that the exponent is -3 at 300 K
    (
        drying.diffusivity,
        {"temperature": 300.0, "prefactor": 1e-9, "energy": 3 * 8.314462618 * 300.0},
        1e-9 * 0.049787068367863944,
    ),
    (drying.over_water, {"outside": 0.3}, 0.65),
    # h2 / 6 D = 1e-6 / 6e-13; w h / (D s rho) = 0.5 * 1e-3 / (1e-13 * 0.05 * 2000)
    (
        drying.core_time,
        {"water": 0.5, "thickness": 1e-3, "diffusivity": 1e-13, "saturation": 0.05, "density": 2000.0},
        1e7 / 6.0 + 5e7,
    ),
    (drying.drain_holes, {"wet_area": 6.0 * 0.0254**2}, 12),
    (drying.drain_holes, {"wet_area": 6.1 * 0.0254**2}, 13),
    (drying.drain_holes, {"wet_area": 5.9 * 0.0254**2}, 12),
    (drying.heat_up, {"temperature": 350.0, "air_temperature": 290.0, "rate": 0.05}, 1200.0),
    # IAPWS-IF97 table 35: 3536.58941 Pa at 300 K
    (drying.content_in_steam, {"pressure": 1768.294705, "temperature": 300.0}, 0.5),
    (drying.content_in_steam, {"pressure": 5000.0, "temperature": 300.0}, 1.0),
    (drying.content_in_air, {"humidity": 0.4, "air_temperature": 300.0, "temperature": 300.0}, 0.4),
    (drying.content_in_air, {"humidity": 0.9, "air_temperature": 320.0, "temperature": 300.0}, 1.0),
    (drying.wet_cell, {"temperature": 300.0, "sealed_at": 250.0, "sealed_pressure": 100e3}, 123536.58941),
    # saturated when it was closed at 300 K: the vapour is there twice, once in the air that is counted
    (drying.wet_cell, {"temperature": 300.0, "sealed_at": 300.0, "sealed_pressure": 100e3}, 100e3),
    (drying.cut_out_from, {"temperature": 344.15}, 347.15),
    (drying.cut_out_to, {"temperature": 344.15}, 352.15),
    (drying.cut_out_under, {"limit": 347.05}, 347.05),
    (kit.sheet_length, {"nest": 1.0, "margin": 0.05}, 1.1),
    (kit.no_longer_than, {"length": 1.1, "strip": 0.9}, 0.9),
    (kit.no_longer_than, {"length": 0.8, "strip": 0.9}, 0.8),
    (kit.sheet_width, {"nest": 1.0, "margin": 0.05, "roll": 1.27}, 1.1),
    (kit.sheet_width, {"nest": 1.25, "margin": 0.05, "roll": 1.27}, 1.27),
    (kit.cloth_mass, {"areal_mass": 0.3, "length": 0.5, "width": 0.4}, 0.06),
    (kit.piece_mass, {"areal_mass": 0.3, "area": 0.2}, 0.06),
    (kit.resin_for, {"cloth": 0.06, "ratio": 0.8, "allowance": 0.25}, 0.06),
    (kit.resin_on, {"cloth": 0.06, "ratio": 0.8}, 0.048),
    (kit.resin_content, {"ratio": 1.0}, 0.5),
    (kit.resin_content, {"ratio": 0.5}, 1 / 3),
    (kit.coat_of, {"areal_mass": 0.15, "area": 0.2}, 0.03),
    (kit.coupons_take, {"number": 3, "each": 0.004}, 0.012),
    (kit.with_losses, {"mass": 0.4, "allowance": 0.25}, 0.5),
    (kit.without_losses, {"mass": 0.5, "allowance": 0.25}, 0.4),
    (kit.sum_of, {"one": 0.3, "other": 0.05}, 0.35),
    (kit.laid_on_no_ply, {"total": 0.5, "laid": 0.3}, 0.2),
    (kit.laid_on_no_ply, {"total": 0.3, "laid": 0.5}, 0.0),
    (kit.resin_share, {"total": 0.36, "resin_parts": 100.0, "hardener_parts": 20.0}, 0.30),
    (kit.hardener_share, {"total": 0.36, "resin_parts": 100.0, "hardener_parts": 20.0}, 0.06),
    # share 0.2; window 0.0002 * 1.2 + 3 * 0.0001 / 2 = 0.00039; 6 * 0.00039 / 0.05
    (
        weighing.least_batch,
        {
            "resin_parts": 100.0,
            "hardener_parts": 20.0,
            "tolerance": 0.05,
            "step": 1e-4,
            "uncertainty": 2e-4,
            "readings": 3,
        },
        0.0468,
    ),
    # 0.2 * 0.95 * (0.3 + 0.0002) + 0.0002 = 0.057238, and 0.2 * 1.05 * (0.3 - 0.0002) - 0.0002 = 0.062758
    (
        weighing.least_hardener,
        {
            "resin": 0.3,
            "resin_parts": 100.0,
            "hardener_parts": 20.0,
            "tolerance": 0.05,
            "step": 1e-4,
            "uncertainty": 2e-4,
        },
        0.0573,
    ),
    (
        weighing.most_hardener,
        {
            "resin": 0.3,
            "resin_parts": 100.0,
            "hardener_parts": 20.0,
            "tolerance": 0.05,
            "step": 1e-4,
            "uncertainty": 2e-4,
        },
        0.0627,
    ),
    # what is a whole number of steps stays that number: 0.2 * 0.95 * 0.3 = 0.057, 0.2 * 1.05 * 0.3 = 0.063
    (
        weighing.least_hardener,
        {
            "resin": 0.3,
            "resin_parts": 100.0,
            "hardener_parts": 20.0,
            "tolerance": 0.05,
            "step": 1e-3,
            "uncertainty": 0.0,
        },
        0.057,
    ),
    (
        weighing.most_hardener,
        {
            "resin": 0.3,
            "resin_parts": 100.0,
            "hardener_parts": 20.0,
            "tolerance": 0.05,
            "step": 1e-3,
            "uncertainty": 0.0,
        },
        0.063,
    ),
    (weighing.batch_for, {"need": 0.5, "pots": 2, "least": 0.1, "step": 0.01}, 0.5),
    (weighing.batch_for, {"need": 0.503, "pots": 2, "least": 0.1, "step": 0.01}, 0.52),
    (weighing.batch_for, {"need": 0.1, "pots": 2, "least": 0.07, "step": 0.01}, 0.14),
    (weighing.as_printed, {"mass": 0.0024643, "places": 2}, 0.00246),
    (weighing.as_printed, {"mass": 0.0024643, "places": 1}, 0.0025),
    (weighing.surplus_of, {"batch": 0.52, "need": 0.503}, 0.017),
    (kit.volume_with, {"before": 3e-5, "more": 5e-6}, 3.5e-5),
    (weighing.pot_count, {"total": 0.5, "pot": 0.2}, 3),
    (weighing.pot_count, {"total": 0.6, "pot": 0.2}, 3),
    (weighing.pot_count, {"total": 0.61, "pot": 0.2}, 4),
    (weighing.pot_count, {"total": 0.1, "pot": 0.2}, 1),
    (weighing.pot_count, {"total": 0.0, "pot": 0.2}, 1),
    (weighing.in_each_pot, {"mass": 0.6, "pots": 3}, 0.2),
    (kit.adhesive_for, {"splice": 3e-5, "floor": 2e-5, "density": 1200.0, "allowance": 0.25}, 0.075),
    (kit.without_filler, {"mass": 0.6, "filler": 0.25}, 0.48),
    (kit.filler_share, {"mixed": 0.48, "filler": 0.25}, 0.12),
    (kit.adhesive_of, {"volume": 5e-5, "density": 1200.0, "allowance": 0.25}, 0.075),
    (kit.along_ribbon, {"plug": BOOK, "ribbon": 0.5 * PI}, 0.20),
    (kit.across_ribbon, {"plug": BOOK, "ribbon": 0.5 * PI}, 0.30),
    (kit.round_the, {"outline": BOOK}, 1.0),
    (kit.sheet_area, {"length": 0.5, "width": 0.4}, 0.2),
    (kit.area_with, {"before": 0.2, "length": 0.5, "width": 0.4, "pieces": 3}, 0.8),
    (kit.length_with, {"before": 0.2, "more": 0.05}, 0.25),
    (kit.taken, {"needed": 0.2, "stock": 0.5}, 0.2),
    (kit.taken, {"needed": 0.7, "stock": 0.5}, 0.5),
    (kit.still_needed, {"needed": 0.7, "taken": 0.5}, 0.2),
    (limits.extent, {"outline": BOOK, "direction": 0.5 * PI}, 0.20),
    (limits.largest_dimension, {"outline": BOOK}, 0.36055512754639896),
    (limits.up_to_step, {"value": 0.0301, "step": 0.005}, 0.035),
    (limits.up_to_step, {"value": 0.03, "step": 0.005}, 0.03),
    (limits.up_to_step, {"value": 0.030000000001, "step": 0.005}, 0.03),
    (limits.repairs_with_this, {"earlier": 2}, 3),
    (nest.above_bound, {"used": 1.3, "bound": 1.1}, 0.2),
    (nest.above_bound, {"used": 1.0, "bound": 1.1}, 0.0),
    (nest.saved, {"shelves": 1.5, "used": 1.2}, 0.3),
    (strength.stiffness_ratio, {"repair": 3.0, "parent": 4.0}, 0.75),
    (strength.load_at_strain, {"stiffness": 20e6, "strain": 0.004}, 80e3),
    (strength.ply_mass, {"area": 0.2, "areal_mass": 0.3, "resin": 0.5}, 0.09),
    (strength.mass_with, {"before": 0.09, "more": -0.02}, 0.07),
    (strength.taken_away, {"mass": 0.09}, -0.09),
    (strength.hinge_moment, {"mass": 0.5, "distance": 0.4}, 1.96133),
]
SHAPED = {"Stack", "Section", "BondThing", "Form", "Nest", "NestProblem"}
# (what a formula gives that is no number), each held by a test of its own below or by the file named
OTHERS = {
    "job.core.formulas.plug_outline": "below",
    "job.core.formulas.may_pot": "below",
    "job.cutout.formulas.least_form": "tests/laws/test_shapes_cover.py",
    "job.drying.formulas.reached_at": "below",
    "job.drying.formulas.left_after": "below",
    "job.drying.formulas.time_to": "below",
}


@pytest.mark.parametrize(
    ("formula", "values", "answer"), ROWS, ids=[f"{n}-{r[0].name}" for n, r in enumerate(ROWS)]
)
def test_worked_by_hand(formula: Formula, values: dict[str, Any], answer: float) -> None:
    assert formula(**values) == pytest.approx(answer, rel=1e-9, abs=1e-15)


def test_every_formula_has_a_row() -> None:
    here = {r[0].name for r in ROWS} | set(OTHERS)
    stages = {n: f for n, f in all_formulas().items() if n.startswith("job.") and ".formulas." in n}
    shaped = {n for n, f in stages.items() if SHAPED & set(map(str, f.function.__annotations__.values()))}
    assert set(stages) - shaped - here == set()


def test_an_angle_of_nothing_has_no_sign() -> None:
    assert math.copysign(1.0, shared.seen_from_behind(angle=0.0)) == 1.0


@pytest.mark.parametrize(
    ("value", "steps"), [(0.0299999, 6), (0.03, 6), (0.0300000005, 6), (0.030000002, 7), (0.034, 7)]
)
def test_a_hair_of_arithmetic_is_no_step(value: float, steps: int) -> None:
    assert shared.rounded_up(value, 0.005) == pytest.approx(steps * 0.005, rel=1e-12)


@pytest.mark.parametrize(("largest", "word"), [(0.0499, "yes"), (0.05, "yes"), (0.0501, "no")])
def test_a_hole_that_may_be_potted(largest: float, word: str) -> None:
    assert core.may_pot(largest=largest, limit=0.05) == word


def test_a_plug_is_the_hole_less_its_gap() -> None:
    plug: Outline = core.plug_outline(opening=BOOK, gap=0.005)
    assert (plug.extent(0.0), plug.extent(0.5 * PI)) == pytest.approx((0.29, 0.19), abs=1e-9)


def test_of_a_plug_in_two_parts_the_larger_is_kept() -> None:
    waist = outline([(-0.1, -0.05), (0.0, -0.002), (0.06, -0.03), (0.06, 0.03), (0.0, 0.002), (-0.1, 0.05)])
    plug: Outline = core.plug_outline(opening=waist, gap=0.004)
    assert plug.centroid[0] < -0.02


@pytest.mark.parametrize("sealed_at", [250.0, 273.15, 300.0])
def test_the_temperature_at_which_a_cell_lifts_gives_back_its_pressure(sealed_at: float) -> None:
    closed = {"sealed_at": sealed_at, "sealed_pressure": 95e3}
    found = drying.reached_at(strength=0.4e6, outside=101e3, **closed)
    assert drying.wet_cell(temperature=found, **closed) == pytest.approx(0.501e6, rel=1e-6)


def test_air_below_freezing_is_taken_as_dry_and_presses_harder() -> None:
    just = {"temperature": 350.0, "sealed_pressure": 95e3}
    dry, moist = drying.wet_cell(sealed_at=273.14, **just), drying.wet_cell(sealed_at=273.15, **just)
    assert dry - moist == pytest.approx(611.2 * 350.0 / 273.15, rel=0.03)
    frozen = drying.content_in_air(humidity=0.5, air_temperature=250.0, temperature=300.0)
    assert frozen == pytest.approx(0.5 * 611.2 / 3536.58941, rel=0.001)


@pytest.mark.parametrize("faces", [1, 2])
def test_a_skin_dries_to_the_content_in_the_time(faces: int) -> None:
    skin = {"thickness": 2e-3, "diffusivity": 4e-13, "outside": 0.2, "faces": faces}
    assert drying.left_after(duration=0.0, **skin) == pytest.approx(1.0)
    seconds = drying.time_to(content=0.4, **skin)
    assert drying.left_after(duration=seconds, **skin) == pytest.approx(0.4, abs=1e-6)
    # G = 3/4 of the way: D t / h2 = 0.4535 in Crank's one-term series, h twice the thickness for one face
    h = 2e-3 * (2 if faces == 1 else 1)
    assert seconds * 4e-13 / h**2 == pytest.approx(math.log(8 / (PI**2 * 0.25)) / PI**2, rel=1e-3)
