"""Drying and moisture: temperatures nobody dries at, constants with a unit mixed up."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.fault import Fault, fault_at
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.materials import Material, MaterialSet
from panelmend.materials.model import Thermal
from panelmend.physics.moisture import diffusivity
from panelmend.units import show, show_both
from panelmend.units.fundamental import ZERO_CELSIUS

HOTTEST_DRYING = 473.15  # K; water then has 15 bar: no panel is dried there
SHORTEST_DRYING, LONGEST_DRYING = 300.0, 90 * 86400.0  # s; common practice, no source
FASTEST = 0.5  # K/s; no blanket and no oven heats a panel so fast
MOST_HELD = 0.15
LARGEST_D0 = 1e-2  # m2/s
# Published carbon and glass epoxies have 25 to 80 kJ/mol and 1e-14 to 1e-11 m2/s at 71 C (from memory). What
# is refused lies far outside: a unit or a power of ten was mistaken.
ENERGIES = (5e3, 200e3)  # J/mol
CONSTANTS_TRIED_AT = 344.15  # K, where the two constants are tried together
DIFFUSIVITIES = (1e-17, 1e-8)  # m2/s there


def _drying(document: Document) -> Iterator[Fault]:
    data = document.data.drying
    path: Path = ("data", "drying")
    if data.temperature is not None and not ZERO_CELSIUS < data.temperature.value <= HOTTEST_DRYING:
        yield fault_at(
            (*path, "temperature"),
            "no panel is dried at this temperature",
            show_both(data.temperature.value, "temperature"),
            "more than 0 C (32 F) and at most 200 C (392 F)",
            "check C or F",
        )
    if data.duration is not None and data.duration.value <= 0:
        yield fault_at((*path, "duration"), "a drying time of zero", "0", "more than zero")
    elif data.duration is not None and not SHORTEST_DRYING <= data.duration.value <= LONGEST_DRYING:
        yield fault_at(
            (*path, "duration"),
            "implausible drying time",
            show(data.duration.value, "time", unit="s" if data.duration.value < SHORTEST_DRYING else "h"),
            "5 min to 90 days",
            "check the unit: s, min or h",
        )
    rate = data.rate_most.value if data.rate_most is not None else None
    if rate is not None and not 0 < rate <= FASTEST:
        yield fault_at(
            (*path, "rate_most"),
            "no panel is heated at this rate",
            show(rate, "temperature rate"),
            "more than 0 and at most 30 C/min (54 F/min)",
            "check whether /s was written for /min",
        )
    if data.content is not None and not 0 < data.content.value < 1:
        yield fault_at(
            (*path, "content"),
            "drying to zero would take for ever" if data.content.value <= 0 else "saturated is not dry",
            show(data.content.value, "share"),
            "a share of saturation between 0 and 1, such as 50 %",
        )


def _wet_area(document: Document) -> Iterator[Fault]:
    damage = document.damage
    if damage.wet_area is not None and damage.moisture != "found":
        yield fault_at(
            ("damage", "wet_area"),
            "a wet area where no water was found",
            f'moisture "{damage.moisture}"',
            'moisture "found"',
        )


def _constants(document: Document) -> Iterator[Fault]:
    for kind in MaterialSet.model_fields:
        materials: tuple[Material, ...] = getattr(document.materials, kind)
        for i, material in enumerate(materials):
            thermal = getattr(material, "thermal", None)
            if thermal is not None:
                yield from _moisture(("materials", kind, i, "thermal"), thermal)


def _moisture(path: Path, thermal: Thermal) -> Iterator[Fault]:
    d0, energy = thermal.moisture_d0, thermal.moisture_ea
    if (d0 is None) != (energy is None):
        given, missing = ("moisture_d0", "moisture_ea") if energy is None else ("moisture_ea", "moisture_d0")
        yield fault_at(
            (*path, given),
            f"half of a pair: {missing} is missing",
            f"{given} alone",
            "both constants of D = D0 exp(-E/RT), or none of them",
        )
    held = thermal.moisture_saturation
    if held is not None and not 0 < held <= MOST_HELD:
        yield fault_at(
            (*path, "moisture_saturation"),
            "no laminate holds this share of water",
            show(held, "share", decimals=1),
            "more than 0 and at most 15 %, such as 1.5 %",
            "check whether per cent was left out",
        )
    wrong = False
    if energy is not None and not ENERGIES[0] <= energy <= ENERGIES[1]:
        wrong = True
        yield fault_at(
            (*path, "moisture_ea"),
            "water in a laminate does not have this activation energy",
            show(energy, "molar energy", decimals=3),
            "5 to 200 kJ/mol",
            "check whether kJ was written as J, or J as kJ",
        )
    if d0 is not None and d0 > LARGEST_D0:
        wrong = True
        yield fault_at(
            (*path, "moisture_d0"),
            "faster than water moves in any laminate",
            show(d0, "diffusivity"),
            "at most 0.01 m2/s",
            "check mm2 or m2, s or h",
        )
    if d0 is None or energy is None or wrong:
        return
    warm = diffusivity(CONSTANTS_TRIED_AT, d0, energy)
    if not DIFFUSIVITIES[0] <= warm <= DIFFUSIVITIES[1]:
        yield fault_at(
            (*path, "moisture_d0"),
            "together the two constants give a diffusivity no laminate has",
            f"{show(warm, 'diffusivity')} at {show(CONSTANTS_TRIED_AT, 'temperature')}",
            f"{DIFFUSIVITIES[0]:g} to {DIFFUSIVITIES[1]:g} m2/s",
            "moisture_d0 is the value at infinite temperature, not the one measured; check mm2 or m2, s or h",
        )


CHECKS = ((_drying, ("data.drying",)), (_wet_area, ("damage",)), (_constants, ("materials",)))
