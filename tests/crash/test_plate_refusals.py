"""Bad plate input is refused with words."""

from __future__ import annotations

import math

import numpy as np
import pytest

from panelmend.errors import InputError
from panelmend.physics.plate import (
    EdgeLoad,
    PlateGrid,
    PlateLoads,
    PlateSection,
    PointSupport,
    Support,
    even_grid,
    simple,
    solve_plate,
    zones,
)

GRID = even_grid(0.3, 0.3, 4, 4)
EYE = np.eye(3)
SEC = PlateSection(1e7 * EYE, 0 * EYE, 1e3 * EYE, 1e6 * np.eye(2))
CELLS = zones(GRID, [SEC])


def test_grid_lines() -> None:
    with pytest.raises(InputError, match="grid lines x"):
        PlateGrid(np.array([0.0, 0.0, 1.0]), np.array([0.0, 1.0]))
    with pytest.raises(InputError, match="grid lines y"):
        PlateGrid(np.array([0.0, 1.0]), np.array([0.0, math.nan]))


def test_sections() -> None:
    with pytest.raises(InputError, match="not positive definite"):
        PlateSection(1e7 * EYE, 1e6 * EYE, 1e3 * EYE, 1e6 * np.eye(2))
    with pytest.raises(InputError, match="S is not positive"):
        PlateSection(1e7 * EYE, 0 * EYE, 1e3 * EYE, -np.eye(2))
    with pytest.raises(InputError, match="3 x 3"):
        PlateSection(np.eye(2), 0 * EYE, EYE, np.eye(2))


def test_zone_indices() -> None:
    with pytest.raises(InputError, match="zone index"):
        zones(GRID, [SEC], 3)
    with pytest.raises(InputError, match="zone indices"):
        zones(GRID, [SEC], np.zeros((4, 4), dtype=int))


def test_a_plate_that_nothing_holds() -> None:
    with pytest.raises(InputError, match="out of its plane"):
        solve_plate(GRID, CELLS, PlateLoads(pressure=1.0))
    two = [PointSupport(0.0, 0.0), PointSupport(0.3, 0.3)]
    with pytest.raises(InputError, match="out of its plane"):
        solve_plate(GRID, CELLS, PlateLoads(fasteners=two, pressure=1.0))


def test_in_plane_load_without_reaction() -> None:
    held = {s: simple(s) for s in ("left", "right", "bottom", "top")}
    with pytest.raises(InputError, match="without a reaction"):
        solve_plate(GRID, CELLS, PlateLoads(held, edge_loads={"right": EdgeLoad(fx=1e4)}))


def test_names_and_numbers() -> None:
    with pytest.raises(InputError, match="unknown edge"):
        PlateLoads({"north": Support(w=0.0)})
    with pytest.raises(InputError, match="finite"):
        EdgeLoad(fx=math.inf)
    with pytest.raises(InputError, match="prescribed w"):
        Support(w=math.nan)
    with pytest.raises(InputError, match="off the plate"):
        solve_plate(GRID, CELLS, PlateLoads(fasteners=[PointSupport(9.0, 0.0)] * 3))
    with pytest.raises(InputError, match="pressure"):
        solve_plate(
            GRID, CELLS, PlateLoads({"left": simple("left"), "right": simple("right")}, pressure=math.nan)
        )
