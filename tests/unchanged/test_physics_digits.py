"""Air, steam, films, moisture, cure and thermocouples: what they gave, at every limit and beside it."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import product
from typing import Any

import numpy as np
import pytest

from digits_kept import tried, unchanged
from panelmend.physics import (
    atmosphere,
    core_conductivity,
    film,
    fin,
    moisture,
    reduced,
    root,
    steam,
    structure_inputs,
    wet_core,
)
from panelmend.physics import cure_chemistry as cure
from panelmend.physics import thermocouple as wires
from panelmend.physics.thermocouple.curve import CURVES

Row = tuple[Callable[..., Any], list[tuple[Any, ...]]]


def beside(*limits: float) -> list[float]:
    """Each limit, and the numbers next to it on both sides."""
    return [
        x
        for limit in limits
        for x in (math.nextafter(limit, -math.inf), limit, math.nextafter(limit, math.inf))
    ]


def each(*values: list[Any]) -> list[tuple[Any, ...]]:
    return list(product(*values))


SOME = [290.0, 351.7, 433.0]
NOT = [-1.0, 0.0, math.inf, math.nan]
LAW1 = cure.n_order(3.1e5, 6.1e4, 1.3)
LAW2 = cure.autocatalytic(2.3e4, 6.3e4, 4.1e6, 6.9e4, 0.7, 1.6, cut_off=cure.CutOff(31.0, -0.9, 4.7e-3))
LAW3 = cure.two_stage((3.5e6, -3.3e6, 3.2e3), (8.07e4, 7.78e4, 5.66e4), 0.47, 0.3)
LAWS = {"first": LAW1, "second": LAW2, "third": LAW3}

TABLE: dict[str, Row] = {
    "air's temperature": (atmosphere.standard_temperature, each([*beside(-5000.0, 11000.0), 0.0, 1730.0])),
    "air's pressure": (atmosphere.standard_pressure, each([*beside(-5000.0, 11000.0), 0.0, 1730.0])),
    "elevation": (atmosphere.standard_elevation, each([*beside(22700.0, 177700.0), 84310.0])),
    "station": (atmosphere.station_pressure, each([101325.0, 98700.0], [0.0, 1730.0])),
    "highest elevation": (atmosphere.highest_elevation, [(7e4,), (7e4, 1700.0)]),
    "radiation factor": (core_conductivity.radiation_factor, each([0.9, 4.1], [0.83, 0.4])),
    "radiation in the plane": (core_conductivity.radiation_in_plane, [(4.7e-3, 0.83, 351.0)]),
    "along the ribbon": (
        core_conductivity.conductivity_along_ribbon,
        each([0.02, 0.11], [4.7e-3], [0.83], [351.0]),
    ),
    "air's conductivity": (film.air_conductivity, each(SOME)),
    "air's viscosity": (film.air_viscosity, each(SOME)),
    "upright": (film.nusselt_upright, each([1e3, 3e8], [0.71, 0.5])),
    "radiation": (film.radiation, [(400.0, 290.0, 0.83)]),
    "convection": (
        film.convection,
        [
            *each([400.0, 290.0, 271.0], [290.0], [0.07, 1.3], ["up", "down", "side"], [101325.0, 70e3]),
            (400.0, 290.0, 0.3, "up"),
            *each([0.0, -1.0, math.nan], [290.0], [0.3], ["up"]),
            *each([400.0], [0.0], [0.3], ["up"]),
            *each([400.0], [290.0], [0.0], ["up"]),
            *each([400.0], [290.0], [0.3], ["up"], [0.0]),
        ],
    ),
    "fin's parameter": (fin.fin_parameter, each([*NOT, 11.0], [150.0, 0.0], [1.2e-3, 0.0])),
    "fin's conductance": (
        fin.fin_conductance,
        each([11.0], [150.0], [1.2e-3], [None, *beside(0.0), 0.04, *NOT]),
    ),
    "diffusivity": (moisture.diffusivity, each([*SOME, *beside(200.0, 500.0)], [1.1e-6, 0.0], [4.1e4, 0.0])),
    "uptake": (moisture.uptake, each([*beside(0.0, 1e-5, 0.02, 0.1), -1.0, 1e-3, 0.03, 0.21, 1.7])),
    "content": (
        lambda t, k, s, o: moisture.content_after(t, 2.3e-3, 1.7e-12, open_faces=k, start=s, outside=o),
        each([0.0, 2e5, 3e6], [0, 1, 2, 3], [1.0, 0.6], [0.0, 0.2]),
    ),
    "content alone": (lambda k: moisture.content_after(2e5, 2.3e-3, 1.7e-12, open_faces=k), each([1, 2])),
    "drying": (
        lambda r, k, t: moisture.drying_time(t, 1.7e-12, r, open_faces=k),
        each([*beside(0.0, 1.0), 0.1, 0.55], [0, 1, 2, 3], [2.3e-3, 0.0]),
    ),
    "through a skin": (
        moisture.through_skin_flux,
        each([2.3e-3, 0.0], [1.7e-12], [19.0], [*beside(0.0, 19.0), 3.0]),
    ),
    "through a skin into dry air": (moisture.through_skin_flux, [(2.3e-3, 1.7e-12, 19.0)]),
    "core's drying": (
        moisture.core_drying_time,
        each([*beside(0.0), 0.4], [2.3e-3], [1.7e-12], [19.0], [0.0, 3.0, 19.0]),
    ),
    "saturation": (steam.saturation_pressure, each([*SOME, *beside(273.15, 647.096), 280.0, 590.0])),
    "boiling": (steam.saturation_temperature, each([*beside(611.2126, 22.064e6), 2e4, 101325.0, 3e6])),
    "vapour": (steam.vapour_density, each([*SOME, *beside(273.15, 647.0)])),
    "water": (steam.liquid_density, each([*SOME, 600.0])),
    "latent": (steam.latent_heat, each([*SOME, 273.15, 273.155, 600.0])),
    "closed cell": (
        lambda t, a, p, s: steam.sealed_cell_pressure(t, a, p, saturated=s),
        each([351.0, 420.0], [295.0], [9e4, 1e3], [True, False]),
    ),
    "closed cell, told nothing": (steam.sealed_cell_pressure, [(351.0, 295.0, 9e4)]),
    "cell's temperature": (
        lambda p, s: steam.cell_temperature(p, 295.0, 9e4, saturated=s),
        each([3e4, 9e4, 3e5, 5e7], [True, False]),
    ),
    "cell's temperature, told nothing": (steam.cell_temperature, [(2e5, 295.0, 9e4)]),
    "vapour's conductivity": (wet_core.vapour_conductivity, each(SOME, [*beside(0.0), 2e4, 9e4])),
    "transition": (
        cure.glass_transition,
        each([*beside(0.0, 1.0), 0.71], [263.0], [451.0], [0.43, *beside(1.0), 0.0, -0.1]),
    ),
    "transition of no resin": (cure.glass_transition, each([0.5], beside(0.0, 451.0), [451.0], [0.43])),
    "voltage": (wires.emf, each(["J", "K", "T"], [*beside(73.15), 120.0, 255.0, 351.0, 433.0, 640.0])),
    "voltage to shop": (wires.emf, each(["J", "K", "T"], [351.0], [295.0])),
    "temperature": (wires.temperature, each(["J", "K", "T"], [-7e-3, -1e-3, 0.0, 4.1e-3, 17e-3, 0.1])),
    "temperature to shop": (wires.temperature, each(["J", "K", "T"], [4.1e-3], [295.0])),
    "ends of the tables": (
        wires.emf,
        [(w, c[-1].high + 273.15 + d) for w, c in CURVES.items() for d in (-1e-6, 0.0, 1e-6)],
    ),
    "tolerance": (
        lambda w, t, s: wires.tolerance(w, t, special=s),
        each(
            ["J", "K", "T"], [*beside(273.15, 643.15, 1033.15, 1533.15), 300.0, 560.0, 580.0], [False, True]
        ),
    ),
    "tolerance, told nothing": (wires.tolerance, each(["J", "K", "T"], [600.0])),
    "grade": (
        wires.grade_limit,
        each(
            ["J", "K", "T"],
            ["standard", "special", "class 1", "class 2", "class 3"],
            [*beside(273.15, 623.15, 1023.15, 1273.15, 1473.15), 350.0, 610.0, 700.0],
        ),
    ),
    "wrong wire": (wires.reading, each(["J", "K", "T"], ["J", "K", "T"], [400.0], [295.0])),
    "legs swapped": (wires.reversed_reading, each(["J", "K", "T"], [400.0], [295.0])),
    "lead swapped": (wires.twice_reversed_reading, each(["J", "K", "T"], [400.0], [310.0], [295.0])),
    "explained": (
        lambda s, t, w, b: wires.explain(s, t, 295.0, w, within=b),
        each(
            [295.2, 190.0, 402.9, 403.1, 371.0, 438.0, 425.0],
            [400.0, 260.0],
            ["J", "K", "T"],
            [0.5, 3.0, 9.0],
        ),
    ),
    "explained, told nothing": (wires.explain, each([295.2, 402.9, 403.1, 438.0], [400.0], [295.0], ["K"])),
    "rates": (
        lambda k, a, t: LAWS[k](a, t),
        each([*LAWS], [-0.1, 0.0, 0.13, 0.3, 0.31, 0.8, 1.0, 1.2], SOME),
    ),
    "cure": (
        lambda k, s: cure.integrate(
            LAWS[k], (0.0, 1800.0, 5400.0, 9000.0), (295.0, 351.0, 393.0, 340.0), start=s
        ),
        each([*LAWS], [*beside(0.0, 1.0), 0.2]),
    ),
    "cure, told nothing": (lambda k: cure.integrate(LAWS[k], (0.0, 3000.0), (351.0, 390.0)), each([*LAWS])),
    "cure refused": (
        lambda t, k: cure.integrate(LAW1, (0.0, 60.0)[: len(k)] if t is None else t, k),
        [
            (None, (300.0,)),
            ((0.0, 0.0), (300.0, 300.0)),
            ((0.0, 1.0), (300.0,)),
            *each([(0.0, 1.0)], [(300.0, v) for v in beside(200.0, 800.0)]),
        ],
    ),
    "from one cure": (
        lambda o: (lambda law: [law.packed, law(0.4, 380.0)])(
            cure.from_reference(5400.0, 393.0, 0.93, 6.4e4, o)
        ),
        each([1.0, 1.4, 0.0]),
    ),
    "faster": (lambda k: [LAWS[k].faster(f).packed for f in (1.0, 1.7)], each([*LAWS])),
    "orders": (lambda n: cure.n_order(3e5, 6e4, n).packed, each([*beside(0.0, 10.0)])),
    "energies": (lambda e: cure.n_order(3e5, e, 1.0).packed, each([*beside(1e3, 1e6)])),
    "switches": (
        lambda s, b: cure.two_stage((1.0, -1.0, 1.0), (5e4, 5e4, 5e4), b, s).packed,
        each([*beside(0.0, 0.47), 0.3], [0.47, *beside(1.0)]),
    ),
    "first rate": (
        lambda a: cure.autocatalytic(a, 5e4, 1.0, 5e4, 1.0, 1.0).packed,
        each([*beside(0.0), math.inf]),
    ),
    "positive": (structure_inputs.positive, each([*beside(0.0), math.inf, math.nan, 2.0], ["x"], ["m"])),
    "not negative": (structure_inputs.not_negative, each([*beside(0.0), math.inf, 2.0], ["x"], ["m"])),
    "angle": (
        structure_inputs.angle,
        each([*beside(-2 * math.pi, 2 * math.pi), 7.0, -7.0, 90.0, 1.1], ["x"]),
    ),
}


@pytest.mark.parametrize("name", TABLE)
def test_digits_stand(name: str) -> None:
    f, rows = TABLE[name]
    unchanged("physics_digits", name, {repr(row): tried(f, *row) for row in rows})


def test_cores() -> None:
    warmer = [
        core_conductivity.warmer(0.09, thickness=17e-3, cell=4.7e-3, emissivity=0.83, cold=c, warm=w)
        for c, w in ((295.0, 393.0), (393.0, 295.0), (300.0, 300.0))
    ]
    unchanged("physics_digits", "cores", warmer)


def test_films() -> None:
    warm = np.array([271.0, 289.99, 290.0, 293.0, 333.0, 470.0])
    rows = [
        film.convection_row(warm, 290.0, n, f, p)
        for n, f, p in product((0.07, 1.3), film.Facing, (101325.0, 7e4))
    ]
    level = [film.nusselt_level(r, hot_side_up=u) for r in (1e3, 1e6, 9.9e6, 3e9) for u in (True, False)]
    fluxes = [
        film.Flux(290.0, emissivity=0.83, facing=f, draught=d, film=h)
        for f, d, h in product(film.Facing, (0.0, 3.0), (None, 9.0))
    ]
    lost = [[x(t) for t in (271.0, 290.0, 393.0)] for x in (*fluxes, film.Flux(290.0))]
    covered = [
        film.covered_flux(t, 290.0, x, r)
        for x in fluxes[:3]
        for t in (271.0, 290.0, 393.0)
        for r in (-1.0, 0.0, 0.4)
    ]
    unchanged("physics_digits", "films", [rows, level, lost, covered])


def test_reduced_models() -> None:
    at = reduced.latin_hypercube(23, np.array([1.0, -3.0]), np.array([2.0, 5.0]), 11)
    x, y = at.T
    cheap = np.stack([x * y, x - y, x**2, np.cos(y)], 1)
    full = cheap + np.stack([0.1 * x * y, 0.2 + 0.1 * y**2, 0.3 * x, 0.05 * y], 1)
    kept: list[Any] = [at]
    for held, most in ((4, 8), (2, 1), (5, 2)):
        made = reduced.train(at, cheap, full, held_out=held, most_modes=most)
        kept += [made, made.correct(at[:3], cheap[:3])]
        width = made.high - made.low
        for way in (-1, 1):
            for over in (0.0499, 0.0501):
                place = (made.high if way > 0 else made.low) + way * over * width * np.array([1.0, 0.0])
                kept.append(tried(made.correct, place, cheap[0]))
    kept.append(reduced.train(at, cheap, full).held_out)
    kept.append(reduced.train(at, full, full + 1e-3 * np.sin(np.arange(92.0)).reshape(23, 4)))
    same = at.copy()
    same[:, 1] = 2.0
    kept.append(reduced.train(same, cheap, full))
    wrong: list[tuple[Any, Any, Any, int]] = [
        (at, cheap, full, 1),
        (at, cheap, full, 2),
        (at, cheap, full[:, :2], 4),
        (at[:9], cheap, full, 4),
        (at[:7], cheap[:7], full[:7], 3),
        (at[:7], cheap[:7], full[:7], 4),
        (at * np.nan, cheap, full, 4),
        (at, cheap * np.inf, full, 4),
        (at, cheap, full * np.nan, 4),
    ]
    kept += [tried(reduced.train, a, b, c, held_out=h) for a, b, c, h in wrong]
    kept += [tried(made.correct, at[:2], cheap[:3]), tried(made.correct, at[:2, :1], cheap[:2])]
    unchanged("physics_digits", "reduced models", kept)


def test_roots() -> None:
    asked: list[list[Any]] = []
    curves: tuple[Callable[[float], float], ...] = (
        lambda x: x**3 - 2.0,
        lambda x: math.exp(x) - 30.0,
        lambda x: math.atan(9.0 * (x - 1.1)),
        lambda x: x - 1.0,
        lambda x: (x - 1.3) ** 9,
        lambda x: 1.0 if x > 1.7 else -1.0,
        lambda x: math.nan if 0.1 < x < 3.9 else x - 1.0,
        lambda x: x * x + 1.0,
        lambda x: x,
        lambda x: x - 4.0,
    )
    for f in curves:
        for width in (1e-12, 1e-2, 0.9):
            tries: list[float] = []

            def told(x: float, f: Callable[[float], float] = f, tries: list[float] = tries) -> float:
                tries.append(x)
                return f(x)

            asked.append([tried(root.crossing, told, 0.0, 4.0, width=width), len(tries), tries[:12]])
            asked.append([tried(root.crossing, f, 4.0, 0.0, width=width)])
    unchanged("physics_digits", "roots", asked)
