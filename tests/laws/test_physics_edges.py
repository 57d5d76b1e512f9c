"""Where the physics ends: the last value it takes and the next it refuses, for everything that has an end."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

import tap_plate
from panelmend.errors import InputError, RangeError
from panelmend.physics import atmosphere, film, moisture, steam, structure_inputs
from panelmend.physics import cure_chemistry as cc
from panelmend.physics import thermocouple as tc
from panelmend.physics.fin import fin_conductance, fin_parameter
from panelmend.physics.heat import (
    FaceCover,
    Grid,
    Heater,
    HeatLayer,
    HeatModel,
    HeatPlace,
    HeatSegment,
    lines,
    run,
)
from panelmend.physics.thermocouple.curve import ICE

LAW = cc.n_order(2e5, 6.5e4, 1.0)
SKIN = HeatLayer("skin", 1e-3, 1.0, 1.0, 0.5, 1.6e6)
MODEL = HeatModel(Grid((0.0, 0.1, 0.2), (0.0, 0.1)), (SKIN,), 295.0, (FaceCover(295.0, film=10.0),))
TINY = math.ulp(0.0)


def _up(value: float) -> float:
    return math.nextafter(value, math.inf)


def _down(value: float) -> float:
    return math.nextafter(value, -math.inf)


# what takes a value, the last it takes, the first it refuses
ENDS: dict[str, tuple[Callable[[Any], Any], Any, Any]] = {
    "lowest elevation": (atmosphere.standard_temperature, -5000.0, _down(-5000.0)),
    "highest elevation": (atmosphere.standard_temperature, 11000.0, _up(11000.0)),
    "least pressure": (atmosphere.standard_elevation, 22700.0, _down(22700.0)),
    "greatest pressure": (atmosphere.standard_elevation, 177700.0, _up(177700.0)),
    "coldest water": (steam.saturation_pressure, 273.15, _down(273.15)),
    "hottest water": (steam.saturation_pressure, 647.096, _up(647.096)),
    "least vapour": (steam.saturation_temperature, 611.2126, _down(611.2126)),
    "greatest vapour": (steam.saturation_temperature, 22.064e6, _up(22.064e6)),
    "coldest vapour weighed": (steam.vapour_density, 273.15, _down(273.15)),
    "hottest vapour weighed": (steam.vapour_density, 647.0, _up(647.0)),
    "coldest water weighed": (steam.liquid_density, 273.15, _down(273.15)),
    "hottest water weighed": (steam.liquid_density, 647.0, _up(647.0)),
    "coldest boiled": (steam.latent_heat, 273.15, _down(273.15)),
    "cell without air": (
        lambda v: steam.sealed_cell_pressure(400.0, 350.0, v),
        steam.saturation_pressure(350.0),
        _down(steam.saturation_pressure(350.0)),
    ),
    "cell hardly pressed": (lambda v: steam.cell_temperature(v, 293.15, 101325.0), 92.85e3, 92.84e3),
    "cell at the end of water": (lambda v: steam.cell_temperature(v, 293.15, 101325.0), 22.282e6, 22.290e6),
    "disc without size": (lambda v: tap_plate.clamped_disc_frequency(v, 5.0, 2.0), TINY**0.4, 0.0),
    "disc without stiffness": (lambda v: tap_plate.clamped_disc_frequency(0.1, v, 2.0), TINY, 0.0),
    "disc without mass": (lambda v: tap_plate.clamped_disc_frequency(0.1, 5.0, v), 1e-300, 0.0),
    "endless disc": (lambda v: tap_plate.clamped_disc_frequency(v, 5.0, 2.0), 1e100, math.inf),
    "silence": (lambda v: tap_plate.radius_heard(v, 5.0, 2.0), 1e-300, 0.0),
    "no stiffness heard": (lambda v: tap_plate.radius_heard(100.0, v, 2.0), TINY, 0.0),
    "least Poisson": (lambda v: tap_plate.plate_rigidity(1e9, 1e-3, v), 0.0, -TINY),
    "greatest Poisson": (lambda v: tap_plate.plate_rigidity(1e9, 1e-3, v), 0.5, _up(0.5)),
    "no thickness": (lambda v: tap_plate.plate_rigidity(1e9, v, 0.3), TINY, 0.0),
    "no modulus": (lambda v: tap_plate.plate_rigidity(v, 1e-3, 0.3), TINY, 0.0),
    "energy of diffusion": (lambda v: moisture.diffusivity(350.0, 1e-5, v), 0.0, -TINY),
    "absolute zero": (lambda v: moisture.diffusivity(v, 1e-5, 0.0), TINY, 0.0),
    "no diffusion": (lambda v: moisture.diffusivity(350.0, v, 4e4), TINY, 0.0),
    "start of drying": (moisture.uptake, 0.0, -TINY),
    "nothing may stay": (lambda v: moisture.drying_time(1e-3, 1e-12, v, open_faces=2), 1e-12, 0.0),
    "all may stay": (lambda v: moisture.drying_time(1e-3, 1e-12, v, open_faces=2), _down(1.0), 1.0),
    "no open face": (lambda v: moisture.drying_time(1e-3, 1e-12, 0.1, open_faces=v), 1, 0),
    "three open faces": (lambda v: moisture.drying_time(1e-3, 1e-12, 0.1, open_faces=v), 2, 3),
    "content, no face": (lambda v: moisture.content_after(60.0, 1e-3, 1e-12, open_faces=v), 1, 0),
    "content, three faces": (lambda v: moisture.content_after(60.0, 1e-3, 1e-12, open_faces=v), 2, 3),
    "outside as wet": (lambda v: moisture.through_skin_flux(1e-3, 1e-12, 20.0, v), 20.0, _up(20.0)),
    "outside drier than dry": (lambda v: moisture.through_skin_flux(1e-3, 1e-12, 20.0, v), 0.0, -TINY),
    "no water": (lambda v: moisture.core_drying_time(v, 1e-3, 1e-12, 20.0), 0.0, -TINY),
    "nothing drives it": (lambda v: moisture.core_drying_time(0.5, 1e-3, 1e-12, 20.0, v), 19.99, 20.0),
    "no surface": (lambda v: film.convection(v, 295.0, 0.3, "up"), 1.0, 0.0),
    "no air": (lambda v: film.convection(295.0, v, 0.3, "up"), 1.0, 0.0),
    "no length": (lambda v: film.convection(350.0, 295.0, v, "up"), 1e-6, 0.0),
    "no pressure": (lambda v: film.convection(350.0, 295.0, 0.3, "up", v), 1.0, 0.0),
    "fin in no air": (lambda v: fin_parameter(v, 150.0, 2e-3), 0.0, -TINY),
    "fin in endless air": (lambda v: fin_parameter(v, 150.0, 2e-3), 1e300, math.inf),
    "fin that conducts nothing": (lambda v: fin_parameter(10.0, v, 2e-3), 1e-300, 0.0),
    "fin that conducts all": (lambda v: fin_parameter(10.0, v, 2e-3), 1e300, math.inf),
    "fin without thickness": (lambda v: fin_parameter(10.0, 150.0, v), 1e-300, 0.0),
    "fin without height": (lambda v: fin_conductance(10.0, 150.0, 2e-3, v), 0.0, -TINY),
    "fin without end": (lambda v: fin_conductance(10.0, 150.0, 2e-3, v), 1e300, math.inf),
    "least energy": (lambda v: cc.n_order(2e5, v, 1.0), 1e3, _down(1e3)),
    "greatest energy": (lambda v: cc.n_order(2e5, v, 1.0), 1e6, _up(1e6)),
    "least order": (lambda v: cc.n_order(2e5, 6.5e4, v), 0.0, -TINY),
    "greatest order": (lambda v: cc.n_order(2e5, 6.5e4, v), 10.0, _up(10.0)),
    "no rate": (lambda v: cc.n_order(v, 6.5e4, 1.0), TINY, 0.0),
    "endless rate": (lambda v: cc.n_order(v, 6.5e4, 1.0), 1e300, math.inf),
    "no first rate": (lambda v: cc.autocatalytic(v, 6.5e4, 3e5, 6.2e4, 1.0, 1.0), 0.0, -TINY),
    "endless first rate": (lambda v: cc.autocatalytic(v, 6.5e4, 3e5, 6.2e4, 1.0, 1.0), 1e300, math.inf),
    "no second rate": (lambda v: cc.autocatalytic(1e4, 6.5e4, v, 6.2e4, 1.0, 1.0), TINY, 0.0),
    "second energy": (lambda v: cc.autocatalytic(1e4, 6.5e4, 3e5, v, 1.0, 1.0), 1e6, _up(1e6)),
    "m": (lambda v: cc.autocatalytic(1e4, 6.5e4, 3e5, 6.2e4, v, 1.0), 10.0, _up(10.0)),
    "n": (lambda v: cc.autocatalytic(1e4, 6.5e4, 3e5, 6.2e4, 1.0, v), 10.0, _up(10.0)),
    "greatest limit": (lambda v: cc.two_stage((1e5, -1e5, 1e3), (6e4,) * 3, v, 0.3), 1.0, _up(1.0)),
    "switch at the limit": (lambda v: cc.two_stage((1e5, -1e5, 1e3), (6e4,) * 3, 0.6, v), _down(0.6), 0.6),
    "switch at nothing": (lambda v: cc.two_stage((1e5, -1e5, 1e3), (6e4,) * 3, 0.6, v), TINY, 0.0),
    "third energy": (lambda v: cc.two_stage((1e5, -1e5, 1e3), (6e4, 6e4, v), 0.6, 0.3), 1e3, _down(1e3)),
    "cured in full": (lambda v: cc.from_reference(5400.0, 394.0, v, 7e4), _down(1.0), 1.0),
    "not cured": (lambda v: cc.from_reference(5400.0, 394.0, v, 7e4), 1e-12, 0.0),
    "least degree": (lambda v: cc.integrate(LAW, (0.0, 60.0), (390.0, 390.0), start=v), 0.0, -TINY),
    "greatest degree": (lambda v: cc.integrate(LAW, (0.0, 60.0), (390.0, 390.0), start=v), 1.0, _up(1.0)),
    "coldest cure": (lambda v: cc.integrate(LAW, (0.0, 60.0), (v, v)), 200.0, _down(200.0)),
    "hottest cure": (lambda v: cc.integrate(LAW, (0.0, 1e-3), (v, v)), 800.0, _up(800.0)),
    "one time alone": (lambda v: cc.integrate(LAW, tuple(v), (390.0,) * len(v)), [0.0, 1.0], [0.0]),
    "coldest type K": (lambda v: tc.emf("K", v), 73.15, 73.149),
    "hottest type T": (lambda v: tc.emf("T", v), 673.15, 673.151),
    "tolerance at ice": (lambda v: tc.tolerance("K", v), ICE, _down(ICE)),
    "tolerance of J": (lambda v: tc.tolerance("J", v), 760.0 + 273.15, 760.01 + 273.15),
    "tolerance of K": (lambda v: tc.tolerance("K", v), 1260.0 + 273.15, 1260.01 + 273.15),
    "tolerance of T": (lambda v: tc.tolerance("T", v), 370.0 + 273.15, 370.01 + 273.15),
    "class 1 of J": (lambda v: tc.grade_limit("J", "class 1", v), 750.0 + 273.15, 750.01 + 273.15),
    "class 1 of K": (lambda v: tc.grade_limit("K", "class 1", v), 1000.0 + 273.15, 1000.01 + 273.15),
    "class 2 of K": (lambda v: tc.grade_limit("K", "class 2", v), 1200.0 + 273.15, 1200.01 + 273.15),
    "class 2 of T": (lambda v: tc.grade_limit("T", "class 2", v), 350.0 + 273.15, 350.01 + 273.15),
    "class 2 at ice": (lambda v: tc.grade_limit("T", "class 2", v), ICE, ICE - 0.01),
    "coldest air": (lambda v: FaceCover(v), 150.0, _down(150.0)),
    "hottest air": (lambda v: FaceCover(v), 2000.0, _up(2000.0)),
    "least film": (lambda v: FaceCover(295.0, film=v), 0.0, -TINY),
    "brightest face": (lambda v: FaceCover(295.0, emissivity=v), 0.0, -TINY),
    "darkest face": (lambda v: FaceCover(295.0, emissivity=v), 1.0, _up(1.0)),
    "still air": (lambda v: FaceCover(295.0, draught=v), 0.0, -TINY),
    "bare face": (lambda v: FaceCover(295.0, insulation=v), 0.0, -TINY),
    "changing air, dark": (
        lambda v: FaceCover(295.0, film=5.0, emissivity=v, history=((0.0, 295.0), (60.0, 300.0))),
        0.0,
        TINY,
    ),
    "changing air, covered": (
        lambda v: FaceCover(295.0, film=5.0, insulation=v, history=((0.0, 295.0), (60.0, 300.0))),
        0.0,
        TINY,
    ),
    "coldest leg": (lambda v: HeatSegment(v, 0.05), 200.0, _down(200.0)),
    "hottest leg": (lambda v: HeatSegment(v, 0.05), 700.0, _up(700.0)),
    "slowest leg": (lambda v: HeatSegment(394.0, v), TINY, 0.0),
    "fastest leg": (lambda v: HeatSegment(394.0, v), _down(1.0), 1.0),
    "longest dwell": (lambda v: HeatSegment(394.0, 0.05, dwell=v), 2592000.0, _up(2592000.0)),
    "shortest dwell": (lambda v: HeatSegment(394.0, 0.05, dwell=v), 0.0, -TINY),
    "narrowest band": (lambda v: HeatSegment(394.0, 0.05, band=v), 0.0, -TINY),
    "least duty": (lambda v: Heater("h", "skin", 100.0, most=v), 0.0, -TINY),
    "greatest duty": (lambda v: Heater("h", "skin", 100.0, most=v), 1.0, _up(1.0)),
    "hotter than allowed": (
        lambda v: Heater("h", "skin", 100.0, recipe=(HeatSegment(v, 0.05),), ceiling=400.0),
        400.0,
        _up(400.0),
    ),
    "no spacing": (lambda v: lines([0.2, 0.4], 0.0, 1.0, v), 0.01, 0.0),
    "even growth": (lambda v: lines([0.2, 0.4], 0.0, 1.0, 0.05, growth=v), 1.0, _down(1.0)),
    "fastest growth": (lambda v: lines([0.2, 0.4], 0.0, 1.0, 0.05, growth=v), 2.0, _up(2.0)),
    "no widest cell": (lambda v: lines([0.2, 0.4], 0.0, 1.0, 0.05, largest=v), 0.01, 0.0),
    "mark below": (lambda v: lines([v, 0.4], 0.0, 1.0, 0.05), 0.0, -1e-6),
    "mark above": (lambda v: lines([0.4, v], 0.0, 1.0, 0.05), 1.0, 1.0 + 1e-6),
    "one line": (lambda v: Grid(v, (0.0, 1.0)), (0.0, 1.0), (0.0,)),
    "cell above the layer": (lambda v: replace(MODEL).first_cell("skin", v), -1, -2),
    "cell below the layer": (lambda v: replace(MODEL).first_cell("skin", v), 0, 1),
    "step as long as the run": (lambda v: run(MODEL, longest=20.0, step=v, sample=v), 20.0, 20.001),
    "no step": (lambda v: run(MODEL, longest=20.0, step=v, sample=10.0), 10.0, 0.0),
    "sample between steps": (lambda v: run(MODEL, longest=20.0, step=10.0, sample=v), 20.00001, 20.0001),
    "probe on the edge": (
        lambda v: run(replace(MODEL, probes=(HeatPlace("p", "skin", v, 0.05),)), longest=10.0),
        0.2,
        0.2001,
    ),
    "nothing above zero": (lambda v: structure_inputs.positive(v, "E", "Pa"), TINY, 0.0),
    "nothing below zero": (lambda v: structure_inputs.not_negative(v, "E", "Pa"), 0.0, -TINY),
    "a flag for a number": (lambda v: structure_inputs.finite(v, "E", "Pa"), np.float32(1.0), True),
    "no end": (lambda v: structure_inputs.finite(v, "E", "Pa"), 1e308, math.inf),
    "one turn": (lambda v: structure_inputs.angle(v, "ply"), 2.0 * math.pi, _up(2.0 * math.pi)),
    "one turn back": (lambda v: structure_inputs.angle(v, "ply"), -2.0 * math.pi, _down(-2.0 * math.pi)),
}


@pytest.mark.parametrize("name", ENDS)
def test_the_last_value_is_taken_and_the_next_refused(name: str) -> None:
    takes, last, beyond = ENDS[name]
    takes(last)
    with pytest.raises((InputError, RangeError)):
        takes(beyond)
