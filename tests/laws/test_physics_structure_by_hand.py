"""Plates, bonds and plies by hand: identities that hold for any numbers, where a solution hides a slip."""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.errors import InputError
from panelmend.physics.joint import (
    AdhesiveLayer,
    BeamStep,
    Bond,
    BondStep,
    PlugSpring,
    capacity,
    lap,
    peel_on_core,
)
from panelmend.physics.joint.bond import length_where
from panelmend.physics.joint.capacity import _by_bisection
from panelmend.physics.laminate.failure import tsai_hill, tsai_wu
from panelmend.physics.laminate.lamina import Strengths
from panelmend.physics.plate import fitted
from panelmend.physics.plate.element import plane_rows
from panelmend.physics.plate.grid import PlateGrid
from panelmend.physics.plate.loads import CLAMPED, DOFS, PlateLoads
from panelmend.physics.plate.solve import sample
from panelmend.physics.sandwich import honeycomb
from panelmend.physics.sandwich.core import HoneycombTheory
from panelmend.physics.structure_inputs import NotComputed

GLUE = AdhesiveLayer(600e6, 0.13e-3, 35e6, 0.5, E=3.6e9)
PLY = Strengths(Xt=1000e6, Xc=600e6, Yt=40e6, Yc=200e6, S=70e6)
PLACES = np.array([[-0.3, 0.7], [0.2, -0.9], [0.55, 0.1], [1.0, -1.0], [0.0, 0.0]])


def test_eight_shape_functions_are_one_at_their_own_node_and_nothing_at_the_others() -> None:
    own, _ = fitted.shapes(*np.array(fitted.NODES, float).T)
    assert own == pytest.approx(np.eye(8))
    anywhere, by = fitted.shapes(*PLACES.T)
    assert anywhere.shape == (5, 8)
    assert by.shape == (5, 2, 8)
    assert anywhere.sum(axis=-1) == pytest.approx(np.ones(5))


def test_derivatives_of_the_eight_are_differences_of_the_eight() -> None:
    h = 1e-6
    _, by = fitted.shapes(*PLACES.T)
    for way in (0, 1):
        ahead, behind = (fitted.shapes(*(PLACES + s * h * np.eye(2)[way]).T)[0] for s in (1, -1))
        assert by[:, way] == pytest.approx((ahead - behind) / (2 * h), abs=1e-9)


def test_points_of_a_cell_integrate_cubics() -> None:
    """Over the square of side 2: of x^2 4/3, of x^2 y^2 4/9, of x^3 nothing."""
    x, y = np.array(fitted.POINTS).T
    assert [sum(x**2), sum(x**2 * y**2), sum(x**3)] == pytest.approx([4 / 3, 4 / 9, 0.0])


def test_pressure_on_a_fitted_mesh_is_pressure_times_area_out_of_plane() -> None:
    """One cell of 2 m x 1 m under 3 Pa: 6 N along w, a twelfth less at the corners than nothing, the sides
    a third each (quadratic serendipity cells: corners -1/12, sides 1/3)."""
    points = np.array(fitted.NODES, float) * [1.0, 0.5]
    mesh = fitted.FittedMesh(points, np.arange(8)[None], np.zeros(1, np.int64), {})
    loads = fitted._loads(mesh, PlateLoads(pressure=3.0)).reshape(8, 5)
    assert loads[:, [0, 1, 3, 4]] == pytest.approx(np.zeros((8, 4)))
    assert loads[:, 2] == pytest.approx(6.0 * np.array([-1 / 12] * 4 + [1 / 3] * 4))


@pytest.mark.parametrize(("xi", "eta"), PLACES.tolist())
def test_a_four_node_cell_has_the_slope_of_what_its_corners_hold(xi: float, eta: float) -> None:
    """u = 1 + 2 xi - 3 eta + 4 xi eta at the corners: by xi 2 + 4 eta, by eta -3 + 4 xi."""
    rows = plane_rows(xi, eta)
    for k, dof in enumerate((0, 1, 3, 4)):
        held = np.zeros((4, 5))
        held[:, dof] = [1 + 2 * a - 3 * b + 4 * a * b for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        expected = np.zeros(8)
        expected[2 * k : 2 * k + 2] = 2 + 4 * eta, -3 + 4 * xi
        assert rows @ held.ravel() == pytest.approx(expected)


@pytest.mark.parametrize(("x", "y"), [(0.1, 0.1), (0.55, 0.9), (1.7, 0.2), (2.9, 1.95), (-0.1, 2.1)])
def test_a_field_that_is_linear_is_read_exactly_anywhere(x: float, y: float) -> None:
    """Also between the last two centres and past them."""
    grid = PlateGrid(np.array([0.0, 0.4, 1.0, 2.0, 3.0]), np.array([0.0, 0.5, 1.2, 2.0]))
    xc, yc = (grid.x[1:] + grid.x[:-1]) / 2, (grid.y[1:] + grid.y[:-1]) / 2
    cells = 5.0 + 2.0 * xc[None, :] - 7.0 * yc[:, None]
    assert float(sample(grid, cells, x, y)) == pytest.approx(5.0 + 2.0 * x - 7.0 * y)


def test_a_field_is_read_between_its_nearest_centres() -> None:
    """At a centre its own value, half way the mean, past the last centre straight on from the last two."""
    grid = PlateGrid(np.array([0.0, 2.0, 4.0, 6.0]), np.array([0.0, 2.0, 4.0, 6.0]))
    cells = np.array([[1.0, 5.0, 2.0], [0.0, 7.0, 4.0], [3.0, -2.0, 9.0]])
    for j, y in enumerate((1.0, 3.0, 5.0)):
        for i, x in enumerate((1.0, 3.0, 5.0)):
            assert sample(grid, cells, x, y) == pytest.approx(cells[j, i])
    assert sample(grid, cells, 4.0, 4.0) == pytest.approx((7.0 + 4.0 - 2.0 + 9.0) / 4)
    assert sample(grid, cells, 6.0, 5.0) == pytest.approx(9.0 + 11.0 / 2)
    assert sample(grid, cells, 1.0, 6.0) == pytest.approx(3.0 + 3.0 / 2)


def test_a_clamped_edge_moves_and_turns_nowhere() -> None:
    assert [getattr(CLAMPED, name) for name in DOFS] == [0.0] * 5


@pytest.mark.parametrize("below", [0.0, 3e-4])
def test_the_whole_load_is_handed_over_where_the_bond_lies_deep(below: float) -> None:
    """The shear along the bond is the load, however far below the common plane the bonded face lies."""
    strap = BeamStep(60e9 * 4e-4**3 / 12, 4e-4, below)
    skin = BeamStep(60e9 * 8e-4**3 / 12, 8e-4, below)
    bond = Bond((BondStep(0.03, 60e9 * 4e-4, 48e6),), GLUE)
    found = peel_on_core(bond, 2e5, [strap], [skin], 2e10, PlugSpring(2e10, 0.05), lever=True, cells=240)
    assert not isinstance(found, NotComputed)
    assert abs(np.trapezoid(found.tau, found.x)) == pytest.approx(2e5, rel=2e-3)


@pytest.mark.parametrize("load", [1e3, 5e6])
@pytest.mark.parametrize("start", [0.01, 1.0, 30.0])
def test_halving_finds_the_load_that_the_direct_way_finds(load: float, start: float) -> None:
    """From a start below and above the answer, and where the answer is less than the load itself."""
    bond = Bond((BondStep(25e-3, 36e6, 36e6),), GLUE)
    ends = lap(load)
    direct = capacity(bond, ends)
    assert not isinstance(direct, NotComputed)
    assert (direct.factor < 1.0) == (load > 1e6)
    halved = _by_bisection(bond, ends, 120, start * direct.factor, GLUE.g_break)
    assert halved.factor == pytest.approx(direct.factor, rel=3e-6)
    assert halved.factor <= direct.factor * (1.0 + 1e-9)


@pytest.mark.parametrize(
    ("s1", "s2", "s12"),
    [(1000e6, 0.0, 0.0), (-600e6, 0.0, 0.0), (0.0, 40e6, 0.0), (0.0, -200e6, 0.0), (0.0, 0.0, 70e6)],
)
def test_stress_that_stays_may_break_a_ply_by_itself(s1: float, s2: float, s12: float) -> None:
    """At a strength a fixed stress alone breaks it: nothing is left, however the load acts; just inside of
    it something is, and that is what leads from there to the strength."""
    at = np.array([s1, s2, s12])
    for criterion in (tsai_hill, tsai_wu):
        for past in (1.001, 1.03):
            assert criterion(-0.5 * at, PLY, past * at) == 0.0  # type: ignore[operator]
        assert criterion(at, PLY, 0.98 * at) == pytest.approx(0.02)


@pytest.mark.parametrize(
    ("fixed", "broken"),
    [
        # (s1^2 - s1 s2)/X^2 + s2^2/Y^2 + t^2/S^2 by hand, X and Y by the sign of their stress
        ((500e6, 20e6, 49.5e6), False),  # 0.24 + 0.25 + 0.50005 = 0.99005
        ((500e6, 20e6, 50.3e6), True),  # 0.24 + 0.25 + 0.51635 = 1.00635
        ((-300e6, -100e6, 51.5e6), False),  # 0.16667 + 0.25 + 0.54128 = 0.95795; by 1000 and 40 MPa far past
        ((-300e6, -100e6, 54.0e6), True),  # 0.16667 + 0.25 + 0.59510 = 1.01177
        ((-300e6, 20e6, 48.0e6), False),  # 0.26667 + 0.25 + 0.47020 = 0.98687
        ((-300e6, 20e6, 49.5e6), True),  # 0.26667 + 0.25 + 0.50005 = 1.01672
    ],
)
def test_what_stays_is_weighed_by_all_three_stresses(fixed: tuple[float, ...], broken: bool) -> None:
    load = np.array([0.0, 0.0, 1e3])
    found = tsai_hill(load, PLY, np.array(fixed))
    assert (found == 0.0) == broken


@pytest.mark.parametrize(
    ("x", "y", "value"), [(0.0, 1.0, -1.0), (5.0, 1.0, 9.0), (2.0, 4.0, 5.25), (5.0, 4.0, 9.0)]
)
def test_a_field_of_two_by_two_goes_straight_on_past_either_end(x: float, y: float, value: float) -> None:
    """Centres at 1 and 3: along x first, past either end still on the line of the two, then y."""
    grid = PlateGrid(np.array([0.0, 2.0, 4.0]), np.array([0.0, 2.0, 4.0]))
    cells = np.array([[1.0, 5.0], [3.0, 6.0]])
    assert float(sample(grid, cells, x, y)) == pytest.approx(value)


def test_balanced_loads_are_held_at_two_corners_and_at_nothing_else() -> None:
    """One corner in both ways, the other across the line between them: no shift, no turn, no strain kept."""
    points = np.array(fitted.NODES, float) * [1.0, 0.5]
    bottom = np.flatnonzero(points[:, 1] == -0.5)
    mesh = fitted.FittedMesh(points, np.arange(8)[None], np.zeros(1, np.int64), {"bottom": bottom[None]})
    held = fitted._held(mesh, PlateLoads()).reshape(8, 5)
    left, right = (int(bottom[f(points[bottom, 0])]) for f in (np.argmin, np.argmax))
    assert np.argwhere(held).tolist() == sorted([[left, 0], [left, 1], [right, 1]])
    held = fitted._held(mesh, PlateLoads(edges={"bottom": CLAMPED})).reshape(8, 5)
    assert np.flatnonzero(held.all(axis=1)).tolist() == sorted(bottom.tolist())
    assert held.sum() == 5 * len(bottom)


@pytest.mark.parametrize(("nu", "taken"), [(0.5, True), (0.501, False), (-0.999, True), (-1.0, False)])
def test_the_poisson_ratio_of_a_foil_is_one_that_a_material_may_have(nu: float, taken: bool) -> None:
    def made() -> HoneycombTheory:
        return honeycomb(70e9, nu, 2700.0, 0.05e-3, 4e-3)

    if taken:
        assert float(made().GW) == pytest.approx(70e9 / (2.0 * (1.0 + nu)) / 80.0)
    else:
        with pytest.raises(InputError, match="Poisson"):
            made()


@pytest.mark.parametrize(
    ("f", "length"),
    [
        ([0.0, 2.0, 0.0], 5.0),  # above zero between its ends, which touch it
        ([-1.0, 1.0, -3.0], 1.0 + 0.75),
        ([1.0, 3.0, 1.0], 5.0),
        ([-1.0, 0.0, -1.0], 0.0),
        ([0.0, 0.0, 2.0], 3.0),
    ],
)
def test_how_long_a_line_is_above_zero(f: list[float], length: float) -> None:
    """Over 2 m and then 3 m."""
    assert length_where(np.array([1.0, 3.0, 6.0]), np.array(f)) == pytest.approx(length)
