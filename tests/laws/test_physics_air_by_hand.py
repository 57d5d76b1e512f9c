"""Small laws of air, water and glass transition worked out by hand, with values of which no two agree."""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelmend.errors import InputError
from panelmend.physics import reduced
from panelmend.physics.cure_chemistry import (
    CutOff,
    RateLaw,
    autocatalytic,
    glass_transition,
    n_order,
    two_stage,
)
from panelmend.physics.film import Facing, convection, convection_row, nusselt_level
from panelmend.physics.moisture import content_after
from panelmend.physics.root import crossing
from panelmend.physics.structure_inputs import finite
from panelmend.physics.thermocouple import explain, reading
from panelmend.physics.wet_core import vapour_conductivity


@pytest.mark.parametrize(
    ("rayleigh", "up", "by_hand"), [(1e4, True, 5.4), (1e4, False, 2.7), (1e9, True, 150.0)]
)
def test_a_level_plate(rayleigh: float, up: bool, by_hand: float) -> None:
    """The fourth root of 1e4 is 10, the third of 1e9 is 1000."""
    assert nusselt_level(rayleigh, hot_side_up=up) == pytest.approx(by_hand, rel=1e-12)


def test_the_glass_transition_on_its_way_up() -> None:
    """253 K + 200 K x 0.5 x 0.6 / (1 - 0.5 x 0.6)."""
    assert glass_transition(0.6, 253.0, 453.0, 0.5) == pytest.approx(253.0 + 60.0 / 0.7, rel=1e-12)


def test_vapour_carries_heat_the_better_the_less_air_holds_it_back() -> None:
    """Diffusivity falls as the whole pressure, the drive by still air as its share: 1 over air is left."""
    assert vapour_conductivity(320.0, 4e4) == pytest.approx(2.5 * vapour_conductivity(320.0, 1e5), rel=1e-12)


def test_vapour_carries_a_quarter_of_a_watt_at_47_degrees() -> None:
    """From memory of any steam table at 320 K: 10546 Pa, 2.389 MJ/kg. 2.3e-5 m2/s x 98066.5 Pa x
    1.1715**1.81 is 3.003 Pa m2/s; over 100 kPa of air and 461.5 x 320 J/kg, times 2.389e6 J/kg and 533.
    """
    by_hand = 3.003 / 1e5 / (461.5 * 320.0) * 2.389e6 * 533.1
    assert vapour_conductivity(320.0, 1e5) == pytest.approx(by_hand, rel=0.01)


def test_film_of_a_plate_from_tabled_air() -> None:
    """Air at 300 K from memory of any table: 15.9e-6 m2/s, 22.5e-6 m2/s, 0.0263 W/(m K); at 1013 hPa."""
    rayleigh = 9.81 * 20.0 / 300.0 * 0.3**3 / (15.9e-6 * 22.5e-6)  # 4.9e7
    level = 0.15 * rayleigh ** (1.0 / 3.0) * 0.0263 / 0.3
    assert convection(310.0, 290.0, 0.3, Facing.UP) == pytest.approx(level, rel=0.01)
    still = 0.27 * rayleigh**0.25 * 0.0263 / 0.3
    assert convection(310.0, 290.0, 0.3, Facing.DOWN) == pytest.approx(still, rel=0.01)


@pytest.mark.parametrize("facing", list(Facing))
def test_a_row_of_surfaces_is_each_of_them(facing: Facing) -> None:
    surface = np.array([250.0, 289.0, 290.0, 291.0, 350.0, 480.0])
    for length in (0.02, 0.6):
        one = [convection(float(t), 290.0, length, facing, 8e4) for t in surface]
        assert convection_row(surface, 290.0, length, facing, 8e4) == pytest.approx(one, rel=1e-12)


@pytest.mark.parametrize(
    "law",
    [
        n_order(1e6, 7e4, 1.5),
        autocatalytic(1e5, 7e4, 1e6, 6.5e4, 0.5, 1.5, cut_off=CutOff(30.0, -1.5, 5.5e-3)),
        two_stage((1e5, 1e6, 1e4), (7e4, 6.5e4, 6e4), 0.95, 0.3),
    ],
    ids=["n-th order", "autocatalytic", "two stages"],
)
def test_a_law_made_faster_is_so_at_every_degree(law: RateLaw) -> None:
    assert law.faster(1.0) == law
    for degree in (0.1, 0.5, 0.9):
        assert law.faster(1.7)(degree, 400.0) == pytest.approx(1.7 * law(degree, 400.0), rel=1e-12)


def test_a_wiring_fault_is_named_as_far_off_as_was_asked_and_no_farther() -> None:
    shown = reading("J", "K", 394.26, 295.0) + 1.0
    away = explain(shown, 394.26, 295.0, "K", within=9.0)[0].away
    assert [f.away for f in explain(shown, 394.26, 295.0, "K", within=away)] == [away]
    assert explain(shown, 394.26, 295.0, "K", within=math.nextafter(away, 0.0)) == ()


@pytest.mark.parametrize(("share", "kept"), [(1.05e-3, 2), (0.95e-3, 1)])
def test_a_mode_counts_from_a_thousandth_of_the_first(share: float, kept: int) -> None:
    x = np.linspace(0.0, 1.0, 8)[:, None]
    first, second = np.array([1, -1, 1, -1, 1, -1]) / math.sqrt(6.0), np.array([1, 1, -1, -1, 0, 0]) / 2.0
    gap = np.zeros((8, 3))
    gap[:6] = 50.0 * (np.outer(first, [1.0, 0.0, 0.0]) + share * np.outer(second, [0.0, 1.0, 0.0]))
    assert len(reduced.train(x, np.zeros((8, 3)), gap, held_out=2).modes) == kept


def test_a_difference_that_follows_the_parameter_is_kept_though_its_mean_is_nothing() -> None:
    x = np.linspace(-1.0, 1.0, 12)[:, None]
    gap = 3.0 * x * np.array([[1.0, 2.0]])
    made = reduced.train(np.roll(x, 5, axis=0), np.zeros((12, 2)), np.roll(gap, 5, axis=0))
    assert made.correct(np.array([[0.5]]), np.zeros((1, 2)))[0] == pytest.approx([1.5, 3.0], abs=1e-3)


def test_a_jump_is_found_by_halving_alone() -> None:
    """A metre down to a billionth is thirty halvings, wherever the jump lies; both ends, one to end."""
    for at in np.linspace(0.011, 0.989, 60):
        seen: list[float] = []

        def jump(x: float, at: float = float(at), seen: list[float] = seen) -> float:
            seen.append(x)
            return -1.0 if x < at else 1.0

        crossing(jump, 0.0, 1.0, width=1e-9)
        assert len(seen) <= 33


def test_what_is_no_number_is_shown_by_its_first_forty_letters() -> None:
    with pytest.raises(InputError) as told:
        finite("x" * 60, "span", "m")  # type: ignore[arg-type]
    assert told.value.read == repr("x" * 60)[:40]


def test_a_plate_is_saturated_where_nobody_says_otherwise() -> None:
    assert content_after(0.0, 1e-3, 1e-12, open_faces=2) == pytest.approx(1.0)
    assert content_after(0.0, 1e-3, 1e-12, open_faces=1, start=0.4) == pytest.approx(0.4)
