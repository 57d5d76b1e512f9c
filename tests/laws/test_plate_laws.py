"""Patch tests, convergence, symmetry, coupling, zones, and an independent second implementation."""

from __future__ import annotations

import math

import numpy as np
import pytest

import plate_q2
from panelmend.errors import InputError
from panelmend.physics.laminate import Lamina, LaminatePly, laminate
from panelmend.physics.plate import (
    EdgeLoad,
    PlateGrid,
    PlateLoads,
    PlateSection,
    PointSupport,
    Support,
    even_grid,
    simple,
    solve_cases,
    solve_plate,
    uniform_edges,
    zones,
)
from panelmend.physics.plate.order import dissect
from panelmend.physics.sandwich import Sandwich, SandwichCore

SIDES = ("left", "right", "bottom", "top")
SIMPLE = {s: simple(s) for s in SIDES}
UD = Lamina(140e9, 9e9, 5e9, 0.3)
CORE = SandwichCore(44e6, 22e6)


def panel(lower=(0, 45), upper=(0, 45, 90), shift=0.0) -> PlateSection:
    """A lopsided sandwich: every term of A, B, D is there."""
    faces = [laminate([LaminatePly(UD, math.radians(a), 0.25e-3) for a in f]) for f in (lower, upper)]
    s = Sandwich(faces[0], CORE, 12e-3, faces[1], ribbon=0.3, shift=shift)
    return PlateSection(*s.stiffness(), s.shear_stiffness())


def uneven() -> PlateGrid:
    return PlateGrid(np.array([0.0, 0.05, 0.07, 0.16, 0.2, 0.3]), np.array([0.0, 0.02, 0.09, 0.1, 0.2]))


@pytest.mark.parametrize("load", [(1, 0, 0), (0, 1, 0), (0, 0, 1), (2, -1, 0.5)])
def test_patch_of_constant_membrane_load(load) -> None:
    """On uneven lines a constant N gives one strain everywhere: the section's own answer."""
    n = np.array(load) * 1e4
    sec = PlateSection(panel().A, np.zeros((3, 3)), panel().D, panel().S)
    grid = uneven()
    bolts = [PointSupport(x, y, kz=1e6, kxy=1e-9) for x, y in ((0.0, 0.0), (0.3, 0.0), (0.0, 0.2))]
    case = PlateLoads(fasteners=bolts, edge_loads=uniform_edges(*n))
    answer = solve_plate(grid, zones(grid, [sec]), case)
    want = np.linalg.solve(sec.A, n)
    assert answer.eps.reshape(-1, 3) == pytest.approx(np.tile(want, (20, 1)), abs=1e-7 * np.abs(want).max())
    assert answer.N.reshape(-1, 3) == pytest.approx(np.tile(n, (20, 1)), abs=1e-6 * np.abs(n).max())


def test_patch_of_constant_moment_with_coupling() -> None:
    """Constant N and M on a coupled section: constant eps and kappa, no transverse shear."""
    sec, grid = panel(), uneven()
    bolts = [PointSupport(x, y, kz=1e6, kxy=1e-9) for x, y in ((0.0, 0.0), (0.3, 0.0), (0.0, 0.2))]
    case = PlateLoads(fasteners=bolts, edge_loads=uniform_edges(1e4, 2e3, 3e3, 50.0, -20.0))
    answer = solve_plate(grid, zones(grid, [sec]), case)
    want = np.linalg.solve(sec.abd, [1e4, 2e3, 3e3, 50.0, -20.0, 0.0])
    got = np.concatenate([answer.eps, answer.kappa], axis=-1).reshape(-1, 6)
    assert got[:, :3] == pytest.approx(np.tile(want[:3], (20, 1)), abs=1e-6 * np.abs(want[:3]).max())
    assert got[:, 3:] == pytest.approx(np.tile(want[3:], (20, 1)), abs=1e-6 * np.abs(want[3:]).max())
    assert np.abs(answer.Q).max() < 1e-3 * 50 / 0.3


def test_patch_of_constant_shear() -> None:
    """A wide cantilever strip under an end force: Q is the same everywhere, reactions carry it."""
    sec = PlateSection(panel().A, np.zeros((3, 3)), np.diag([500.0, 500.0, 200.0]), panel().S)
    grid = uneven()
    free_y = Support(v=0.0, py=0.0)
    case = PlateLoads(
        {"left": Support(0, 0, 0, 0, 0), "bottom": free_y, "top": free_y},
        edge_loads={"right": EdgeLoad(fz=100.0)},
    )
    straight = PlateSection(sec.A, sec.B, sec.D, np.diag(np.diag(sec.S)))
    answer = solve_plate(grid, zones(grid, [straight]), case)
    assert answer.Q[..., 0] == pytest.approx(np.full((4, 5), 100.0), rel=1e-9)
    assert answer.reaction[..., 2].sum() == pytest.approx(-100.0 * 0.2, rel=1e-9)


def test_rigid_motion_costs_nothing() -> None:
    """All edges moved and turned as one body: no strain at all."""
    grid = uneven()
    case = PlateLoads({s: Support(1e-3, -2e-3, 5e-4, 0.0, 0.0) for s in SIDES})
    answer = solve_plate(grid, zones(grid, [panel()]), case)
    assert np.abs(answer.eps).max() < 1e-13
    assert np.abs(answer.kappa).max() < 1e-11
    assert answer.w == pytest.approx(np.full((5, 6), 5e-4), rel=1e-9)


def test_loads_and_reactions_balance() -> None:
    grid = even_grid(0.4, 0.3, 24, 18)
    answer = solve_plate(grid, zones(grid, [panel()]), PlateLoads(SIMPLE, pressure=1e4))
    assert answer.reaction[..., 2].sum() == pytest.approx(-1e4 * 0.12, rel=1e-9)


def exact_series(sec: PlateSection, a: float) -> float:
    """Centre deflection of a simply supported square, specially orthotropic, unit pressure (Navier)."""
    total = 0.0
    for m in range(1, 60, 2):
        for n in range(1, 60, 2):
            p, q = m * math.pi / a, n * math.pi / a
            d, s = sec.D, sec.S
            k = np.array(
                [
                    [s[0, 0] * p * p + s[1, 1] * q * q, s[0, 0] * p, s[1, 1] * q],
                    [s[0, 0] * p, d[0, 0] * p * p + d[2, 2] * q * q + s[0, 0], (d[0, 1] + d[2, 2]) * p * q],
                    [s[1, 1] * q, (d[0, 1] + d[2, 2]) * p * q, d[2, 2] * p * p + d[1, 1] * q * q + s[1, 1]],
                ]
            )
            w = np.linalg.solve(k, [16 / (math.pi**2 * m * n), 0, 0])[0]
            total += w * math.sin(m * math.pi / 2) * math.sin(n * math.pi / 2)
    return total


def plain() -> PlateSection:
    face = laminate([LaminatePly(Lamina(60e9, 40e9, 4e9, 0.1), 0.0, 0.6e-3)])
    s = Sandwich(face, CORE, 12e-3, face)
    return PlateSection(*s.stiffness(), s.shear_stiffness())


def test_second_order_convergence_to_the_exact_series() -> None:
    sec = plain()
    thick = PlateSection(sec.A, sec.B, sec.D, sec.S * 1e3)
    exact = exact_series(thick, 0.3)
    errors = []
    for n in (8, 16, 32):
        grid = even_grid(0.3, 0.3, n, n)
        w = solve_plate(grid, zones(grid, [thick]), PlateLoads(SIMPLE, pressure=1.0)).w[n // 2, n // 2]
        errors.append(abs(w / exact - 1))
    assert errors[0] / errors[1] == pytest.approx(4, rel=0.15)
    assert errors[1] / errors[2] == pytest.approx(4, rel=0.15)


def test_sandwich_against_the_exact_series() -> None:
    grid = even_grid(0.3, 0.3, 40, 40)
    w = solve_plate(grid, zones(grid, [plain()]), PlateLoads(SIMPLE, pressure=1.0)).w[20, 20]
    assert w == pytest.approx(exact_series(plain(), 0.3), rel=2e-4)


def test_symmetric_input_gives_symmetric_output() -> None:
    grid = even_grid(0.3, 0.3, 20, 20)
    stiff = PlateSection(3 * plain().A, plain().B, 3 * plain().D, 2 * plain().S)

    def circle(x, y):
        return ((x - 0.15) ** 2 + (y - 0.15) ** 2 < 0.06**2).astype(int)

    w = solve_plate(grid, zones(grid, [plain(), stiff], circle), PlateLoads(SIMPLE, pressure=1.0)).w
    size = w.max()
    assert w == pytest.approx(w[::-1], abs=1e-9 * size)
    assert w == pytest.approx(w[:, ::-1], abs=1e-9 * size)


def test_quarter_with_symmetry_is_the_whole() -> None:
    whole_grid, quarter_grid = even_grid(0.4, 0.4, 20, 20), even_grid(0.2, 0.2, 10, 10)
    whole = solve_plate(whole_grid, zones(whole_grid, [plain()]), PlateLoads(SIMPLE, pressure=1.0))
    edges = {
        "left": simple("left"),
        "bottom": simple("bottom"),
        "right": Support(u=0.0, px=0.0),
        "top": Support(v=0.0, py=0.0),
    }
    quarter = solve_plate(quarter_grid, zones(quarter_grid, [plain()]), PlateLoads(edges, pressure=1.0))
    assert quarter.w == pytest.approx(whole.w[:11, :11], rel=1e-9, abs=1e-20)


def test_reference_plane_does_not_matter() -> None:
    """The same sandwich about a shifted plane: same deflection (membrane free to follow)."""
    grid = even_grid(0.3, 0.2, 12, 8)
    one, two = (
        solve_plate(grid, zones(grid, [panel(shift=s)]), PlateLoads(SIMPLE, pressure=1e3)).w
        for s in (0.0, 4e-3)
    )
    assert one == pytest.approx(two, rel=1e-7, abs=1e-16)


def test_zones_are_averaged_by_area() -> None:
    grid = even_grid(1.0, 1.0, 4, 4)
    cells = zones(grid, [plain(), panel()], lambda x, y: (x > 0.375).astype(int))
    assert cells.share[0, 1, 1] == pytest.approx(0.5)
    assert cells.abd[2, 1] == pytest.approx((plain().abd + panel().abd) / 2)
    assert cells.main[0].tolist() == [0, 0, 1, 1]


def test_a_zone_of_the_same_stiffness_is_no_zone() -> None:
    grid = even_grid(0.3, 0.3, 10, 10)
    one = solve_plate(grid, zones(grid, [plain()]), PlateLoads(SIMPLE, pressure=1.0)).w
    two = solve_plate(
        grid,
        zones(grid, [plain(), plain()], lambda x, y: (x + y > 0.3).astype(int)),
        PlateLoads(SIMPLE, pressure=1.0),
    ).w
    assert two == pytest.approx(one, rel=1e-10, abs=1e-20)


def coupled_edges():
    held = {k: Support(v=0.0, w=0.0, py=0.0) for k in ("left", "right")}
    return held | {k: Support(u=0.0, w=0.0, px=0.0) for k in ("bottom", "top")}


@pytest.mark.parametrize("sec", [plain(), panel((0, 90), (0, 90, 0)), panel()])
def test_against_biquadratic_scikit_fem(sec) -> None:
    """A general library's Q2 plate on its own mesh: deflection within 5e-4, coupling and all."""
    x = np.linspace(0.0, 0.3, 17)
    other, _ = plate_q2.simply_supported(x, x, sec.abd, sec.S)
    grid = even_grid(0.3, 0.3, 48, 48)
    w = solve_plate(grid, zones(grid, [sec]), PlateLoads(coupled_edges(), pressure=1.0)).w[24, 24]
    assert w == pytest.approx(other, rel=5e-4)


def test_two_zones_against_scikit_fem() -> None:
    """A stiff square in the middle, grid lines on its edge in both."""
    soft, stiff = plain(), panel((0, 90, 0), (90, 0, 90))
    x = np.linspace(0.0, 0.3, 25)

    def inside(xx, yy):
        return (np.abs(xx - 0.15) < 0.05) & (np.abs(yy - 0.15) < 0.05)

    def pick(a, b):
        return lambda xx, yy: np.where(inside(xx, yy), b[..., None, None], a[..., None, None])

    other, _ = plate_q2.simply_supported(x, x, pick(soft.abd, stiff.abd), pick(soft.S, stiff.S))
    grid = even_grid(0.3, 0.3, 48, 48)
    cells = zones(grid, [soft, stiff], lambda xx, yy: inside(xx, yy).astype(int))
    w = solve_plate(grid, cells, PlateLoads(coupled_edges(), pressure=1.0)).w[24, 24]
    assert w == pytest.approx(other, rel=1e-3)


def test_several_cases_are_one_by_one_and_add_up() -> None:
    """One factorisation for all: each as alone, and the sum of loads gives the sum of answers."""
    grid = even_grid(0.3, 0.2, 12, 8)
    cells = zones(grid, [panel()])
    loads = [
        PlateLoads(SIMPLE, pressure=1e3),
        PlateLoads(SIMPLE, edge_loads=uniform_edges(1e4, 0, 0, 30.0, 0)),
    ]
    both = PlateLoads(SIMPLE, pressure=1e3, edge_loads=uniform_edges(1e4, 0, 0, 30.0, 0))
    one, two, three = solve_cases(grid, cells, [*loads, both])
    assert solve_plate(grid, cells, loads[1]).u == pytest.approx(two.u, rel=1e-12, abs=1e-18)
    assert pytest.approx(three.M, rel=1e-9, abs=1e-6) == one.M + two.M
    with pytest.raises(InputError, match="different supports"):
        solve_cases(grid, cells, [loads[0], PlateLoads({"left": simple("left")}, pressure=1.0)])


@pytest.mark.parametrize(("rows", "columns"), [(1, 1), (2, 30), (17, 9), (40, 41)])
def test_elimination_order_names_every_node_once(rows, columns) -> None:
    assert sorted(dissect(rows, columns).tolist()) == list(range(rows * columns))
