"""Conduction against series and closed forms evaluated by ourselves.

A layered panel of 0.30 x 0.30 m heated on a quarter: an independent double-cosine series with Laplace
inversion, accurate to about 0.003 K. Slab with convection: the series of Carslaw and Jaeger, Conduction of
Heat in Solids, 3.11. Half-space with constant flux: the same book, 2.9. Heated disc on a large plate: the
fin solution in Bessel functions. The plate of NAFEMS T4: a further place, by its
series; what NAFEMS printed stands in tests/published/test_heat_conduction.py.

The module solves layers on a plane grid: a bar is put through the thickness or in the plane, as said.
"""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.physics.heat import (
    INSULATED,
    FaceCover,
    Grid,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatResult,
    held,
    run,
)

C0 = 273.15


def at(result: HeatResult, name: str, time: float) -> float:
    i = int(np.argmin(np.abs(result.times - time)))
    assert result.times[i] == pytest.approx(time)
    return float(result.probes[name][i])


def test_layered_panel_heated_on_a_quarter() -> None:
    """The series is good to 0.003 K; the grid of 5 mm and the step of 2 s leave less than 0.15 K."""
    x = tuple(np.linspace(0.0, 0.30, 61))
    grid = Grid(x, x)
    cx, cy = np.meshgrid(grid.cx, grid.cy)
    air = C0 + 20.0
    heat = np.where((cx < 0.15) & (cy < 0.15), 3000.0, 0.0)
    thin = 1e-6  # a sheet without mass puts the heat, and a probe, on the very face
    layers = (
        HeatLayer("face", thin, 0.0, 0.0, 0.6, 1.55e6),
        HeatLayer("top", 1.5e-3, 5.0, 5.0, 0.6, 1.55e6, cells=3),
        HeatLayer("core", 20e-3, 0.05, 0.05, 0.07, 6.0e4, cells=16),
        HeatLayer("bottom", 1.5e-3, 5.0, 5.0, 0.6, 1.55e6, cells=3),
        HeatLayer("back", thin, 0.0, 0.0, 0.6, 1.55e6),
    )
    model = HeatModel(
        grid,
        layers,
        air,
        (FaceCover(air, film=8.0), FaceCover(air, film=12.0)),
        top=0,
        bottom=1,
        heaters=(Heater("blanket", "face", heat),),
        probes=(
            HeatPlace("top", "face", 0, 0),
            HeatPlace("top 100", "face", 0.10, 0),
            HeatPlace("back", "back", 0, 0),
        ),
    )
    result = run(model, step=2.0, longest=1200.0)
    wanted = {
        ("top", 60): 62.761,
        ("top", 300): 189.346,
        ("top", 1200): 274.371,
        ("back", 60): 0.285,
        ("back", 300): 19.250,
        ("back", 1200): 58.641,
        ("top 100", 300): 182.895,
    }
    for (name, time), rise in wanted.items():
        assert at(result, name, time) - air == pytest.approx(rise, abs=0.15), (name, time)


def test_plate_with_convection_at_its_edges() -> None:
    """28.31996 C at (0.3, 0.5) by its series. The plate lies in the plane."""
    n = 60
    grid = Grid(tuple(np.linspace(0, 0.6, n + 1)), tuple(np.linspace(0, 1.0, n + 1)))
    plate = HeatLayer("plate", 1.0, 52.0, 52.0, 52.0, 1e5)
    covers = (INSULATED, held(C0 + 100.0), FaceCover(C0, film=750.0))
    probes = (HeatPlace("middle", "plate", 0.3, 0.5),)
    model = HeatModel(grid, (plate,), C0, covers, edges=(0, 2, 1, 2), probes=probes)
    result = run(model, step=20.0, sample=600.0, longest=20000.0)
    assert float(result.probes["middle"][-1]) - C0 == pytest.approx(28.31996, abs=0.05)


def test_slab_cooled_on_both_faces() -> None:
    """Bi = 1, Fo = 0.5: centre 0.772526, face 0.504522 of the first temperature difference."""
    half, k, rho_c = 0.01, 1.0, 1e6
    film = k / half
    time = 0.5 * half**2 * rho_c / k
    slab = HeatLayer("slab", 2 * half, 0.0, 0.0, k, rho_c, cells=80)
    face = HeatLayer("face", 1e-7, 0.0, 0.0, k, rho_c)
    cover = FaceCover(C0, film=film)
    probes = (
        HeatPlace("face", "face", 0, 0),
        HeatPlace("a", "slab", 0, 0, cell=39),
        HeatPlace("b", "slab", 0, 0, cell=40),
    )
    model = HeatModel(Grid((0, 0.01), (0, 0.01)), (face, slab), C0 + 100.0, (cover,), probes=probes)
    result = run(model, step=time / 200, sample=time, longest=time)
    assert (at(result, "face", time) - C0) / 100 == pytest.approx(0.504522, abs=1e-3)
    assert (0.5 * (at(result, "a", time) + at(result, "b", time)) - C0) / 100 == pytest.approx(
        0.772526, abs=1e-3
    )


def test_half_space_with_constant_flux() -> None:
    """7750 W/m2 into k 0.6, diffusivity 4e-7, for 60 s: 71.402 K at the face."""
    k, diffusivity = 0.6, 4e-7
    deep = HeatLayer("deep", 0.04, 0.0, 0.0, k, k / diffusivity, cells=200)
    face = HeatLayer("face", 1e-7, 0.0, 0.0, k, k / diffusivity)
    heater = Heater("sheet", "face", 7750.0)
    model = HeatModel(
        Grid((0, 0.01), (0, 0.01)),
        (face, deep),
        C0,
        (INSULATED,),
        heaters=(heater,),
        probes=(HeatPlace("face", "face", 0, 0),),
    )
    result = run(model, step=0.25, longest=60.0)
    assert at(result, "face", 60.0) - C0 == pytest.approx(71.402, abs=0.15)


def test_heated_disc_on_a_large_plate() -> None:
    """a 0.15 m, q 2000 W/m2, h 20, K 0.01 W/K: 99.58 K in the middle, 46.24 at the rim, 4.30 at 200 mm.

    The rim crosses cells, so it is held to 1.5 K; the rest to 0.5 K.
    """
    lines = np.unique(np.r_[np.arange(0.0, 0.24, 0.0025), np.linspace(0.24, 0.45, 22)])
    grid = Grid(tuple(lines), tuple(lines))
    plate = HeatLayer("plate", 1e-3, 10.0, 10.0, 10.0, 1e6)
    inside = grid.share(lambda x, y: np.hypot(x, y) <= 0.15, samples=8)
    names = {"0": 0.0, "100": 0.1, "150": 0.15, "200": 0.2}
    probes = tuple(HeatPlace(n, "plate", r, 0.0) for n, r in names.items())
    model = HeatModel(
        grid,
        (plate,),
        C0,
        (FaceCover(C0, film=20.0), INSULATED),
        top=0,
        bottom=1,
        heaters=(Heater("disc", "plate", 2000.0 * inside),),
        probes=probes,
    )
    result = run(model, step=5.0, sample=60.0, longest=900.0)
    wanted = {"0": (99.58246, 0.1), "100": (92.87774, 0.5), "150": (46.23974, 1.5), "200": (4.29770, 0.5)}
    for name, (rise, room) in wanted.items():
        assert float(result.probes[name][-1]) - C0 == pytest.approx(rise, abs=room), name
