"""Digits of plates, on a grid and fitted to a hole, that may change only on purpose."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from digits_kept import unchanged
from panelmend.physics import plate
from panelmend.physics.plate.element import element_matrices, plane_rows, shear_rows
from panelmend.physics.plate.fitted import FittedMesh, along_edge, shapes, solve_fitted
from panelmend.physics.plate.grid import PlateGrid, PlateSection, zones
from panelmend.physics.plate.loads import (
    EdgeLoad,
    PlateLoads,
    PointSupport,
    Support,
    load_vector,
    node_weights,
)
from panelmend.physics.plate.order import dissect
from panelmend.physics.plate.solve import sample, solve_cases
from skew_panels import skew_panel

CASES: dict[str, Callable[[], Any]] = {}


def case(made: Callable[[], Any]) -> Callable[[], Any]:
    CASES[made.__name__.strip("_").replace("_", " ")] = made
    return made


def _section(k: int) -> PlateSection:
    made = dataclasses.replace(skew_panel(), shift=(-1) ** k * 1.3e-3, tc=(17 + 5 * k) * 1e-3)
    return PlateSection(*made.stiffness(), made.shear_stiffness(), f"zone {k}")


GRID = PlateGrid(np.array([0.0, 0.11, 0.19, 0.34, 0.41]), np.array([-0.1, 0.03, 0.12, 0.31]))
MIXED = {
    "left": Support(0.0, 0.0, 0.0, 0.0, 0.0),
    "right": Support(w=2e-4),
    "bottom": Support(v=1e-5, w=0.0, py=1e-3),
}
PUSHED = {"right": EdgeLoad(3e4, -1e4, 20.0, 30.0, -12.0), "top": EdgeLoad(-2e3, 4e3, 150.0, 7.0, 19.0)}
BOLTS = (PointSupport(0.31, 0.2, 4e6, 9e6), PointSupport(0.07, 0.22), PointSupport(0.39, 0.29, kz=1e7))


def _which(x: Any, y: Any) -> Any:
    return (x + 0.7 * y > 0.28).astype(np.int64)


@case
def _a_plate_on_an_uneven_grid() -> Any:
    cells = zones(GRID, [_section(0), _section(1)], _which, 3)
    cases = [
        PlateLoads(MIXED, BOLTS, PUSHED, ((0.21, 0.17, 130.0),), 900.0),
        PlateLoads(MIXED, BOLTS, {"top": PUSHED["top"]}, pressure=np.arange(12.0).reshape(3, 4) * 100.0),
    ]
    made = solve_cases(GRID, cells, cases)
    kept = [[a.u, a.eps, a.kappa, a.gamma, a.N, a.M, a.Q, a.reaction, a.fasteners, a.w] for a in made]
    read = [sample(GRID, made[0].M, x, y) for x, y in ((0.2, 0.1), (0.01, -0.08), (0.4, 0.3), (0.055, 0.0))]
    return [cells.abd, cells.shear, cells.share, cells.main, kept, read, made[0].strain_at(3e-3)]


@case
def _a_plate_held_out_of_plane_alone() -> Any:
    edges = {s: plate.simple(s) for s in ("left", "right", "bottom", "top")}
    loads = plate.uniform_edges(Nx=3e4, Ny=-1e4, Nxy=2e4, Mx=11.0, My=-7.0)
    cells = zones(GRID, [_section(0)])
    a = plate.solve_plate(GRID, cells, PlateLoads(edges, edge_loads=loads, pressure=700.0))
    b = plate.solve_plate(
        GRID, cells, PlateLoads(fasteners=(*BOLTS, PointSupport(0.2, -0.05)), pressure=50.0)
    )
    c = plate.solve_plate(
        GRID,
        cells,
        PlateLoads(
            {"left": Support(u=0.0, px=0.0), "top": Support(v=0.0, py=0.0)}
            | {"right": plate.simple("right", soft=True), "bottom": plate.CLAMPED_IN_BENDING},
            pressure=40.0,
        ),
    )
    return [[x.u, x.N, x.M, x.Q, x.reaction, x.fasteners] for x in (a, b, c)]


@case
def _parts_of_a_plate() -> Any:
    cells = zones(GRID, [_section(0), _section(1)], _which)
    return [
        plane_rows(0.3, -0.7),
        shear_rows(0.3, -0.7),
        element_matrices(GRID, cells),
        GRID.centres(),
        GRID.shape,
        GRID.nodes,
        load_vector(GRID, PlateLoads(MIXED, (), PUSHED, ((0.21, 0.17, 130.0),), 900.0)),
        [node_weights(GRID, x, y) for x, y in ((0.2, 0.1), (0.41, 0.31), (0.0, -0.1), (0.11, 0.03))],
        dissect(7, 5),
        dissect(23, 31),
        dissect(6, 6, 4),
        plate.even_grid(0.4, 0.3, 4, 3).x,
        zones(GRID, [_section(0), _section(1)], 1).shear[0, 0],
        zones(GRID, [_section(0), _section(1)], np.arange(48).reshape(6, 8) % 2, 2).share,
    ]


def _ring(count: int) -> FittedMesh:
    """Two rings of curved cells about a hole that is not round, in a plate that is no square."""
    turn = 2.0 * np.pi * np.arange(2 * count) / (2 * count)
    inner = np.stack([0.03 * np.cos(turn), 0.02 * np.sin(turn)], 1)
    outer = np.stack([0.11 * np.cos(turn), 0.09 * np.sin(turn + 0.05)], 1)
    rows = [inner + (outer - inner) * s for s in (0.0, 0.2, 0.45, 0.7, 1.0)]
    points = np.concatenate(rows)
    n = 2 * count

    def at(row: int, k: int) -> int:
        return row * n + k % n

    cells = [
        [
            at(r, 2 * c),
            at(r + 2, 2 * c),
            at(r + 2, 2 * c + 2),
            at(r, 2 * c + 2),
            at(r + 1, 2 * c),
            at(r + 2, 2 * c + 1),
            at(r + 1, 2 * c + 2),
            at(r, 2 * c + 1),
        ]
        for r in (0, 2)
        for c in range(count)
    ]
    zone = [0] * count + [1] * count
    quarter = count // 4
    names = ("right", "top", "left", "bottom")
    sides = {
        name: np.array(
            [
                [at(4, 2 * c), at(4, 2 * c + 1), at(4, 2 * c + 2)]
                for c in range(q * quarter, (q + 1) * quarter)
            ]
        )
        for q, name in enumerate(names)
    }
    used, number = np.unique(np.array(cells), return_inverse=True)
    own = {k: np.searchsorted(used, v) for k, v in sides.items()}
    return FittedMesh(points[used], number.reshape(-1, 8), np.array(zone), own)


@case
def _a_plate_fitted_to_a_hole() -> Any:
    mesh = _ring(8)
    edges = {"left": Support(w=0.0, px=0.0), "right": Support(w=0.0), "bottom": Support(w=0.0, py=0.0)}
    push = {"right": EdgeLoad(2e4, 1e3, 0.0, 13.0, -5.0), "left": EdgeLoad(-2e4, -1e3, 40.0, -13.0, 5.0)}
    cases = [
        PlateLoads(edges, edge_loads=push, pressure=800.0),
        PlateLoads({"left": plate.CLAMPED}, edge_loads={"top": EdgeLoad(0.0, 3e3, 9.0, 0.0, 0.0)}),
    ]
    sections = [_section(0), _section(1)]
    made = [solve_fitted(mesh, sections, [c])[0] for c in cases]
    at = np.array([[0.05, 0.03], [-0.07, 0.01], [0.02, -0.06], [0.2, 0.2], [0.031, 0.001]])
    ring = np.arange(8)
    return [
        mesh.areas,
        mesh.places,
        mesh.rows(),
        mesh.locate(at),
        [[m.u, m.eps, m.kappa] for m in made],
        along_edge(made[0].eps, ring, outward=False),
        along_edge(made[0].eps, ring + 8, outward=True, each=3),
        along_edge(made[1].kappa[..., 0], ring, outward=False, each=7),
        shapes(np.array([0.3, -0.9]), np.array([0.7, 0.2])),
        len(solve_fitted(mesh, sections, [])),
    ]


@pytest.mark.parametrize("name", CASES)
def test_digits_stand(name: str) -> None:
    unchanged("structure_digits", name, CASES[name]())
