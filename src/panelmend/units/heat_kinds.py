"""Kinds of quantities of heat, cure and moisture."""

from __future__ import annotations

from panelmend.units.factors import BTU, FOOT, INCH, POUND, RANKINE
from panelmend.units.kind import Kind, scaled

_HOUR = 3600.0

# --- the units that are read, and how much of the SI unit one is

_CONDUCTIVITY = {"W/mK": 1.0, "W/m/K": 1.0, "W/(m K)": 1.0, "mW/mK": 1e-3, "mW/(m K)": 1e-3}
_CONDUCTIVITY |= {"Btu/(h ft F)": BTU / (_HOUR * FOOT * RANKINE)}
_FILM = {"W/m2K": 1.0, "W/(m2 K)": 1.0, "W/m2/K": 1.0, "Btu/(h ft2 F)": BTU / (_HOUR * FOOT**2 * RANKINE)}
_SPECIFIC_HEAT = {"J/kgK": 1.0, "J/(kg K)": 1.0, "J/kg/K": 1.0, "kJ/kgK": 1e3}
_SPECIFIC_HEAT |= {"Btu/(lb F)": BTU / (POUND * RANKINE)}
_SPECIFIC_ENERGY = {"J/kg": 1.0, "kJ/kg": 1e3, "J/g": 1e3, "Btu/lb": BTU / POUND}
_DIFFUSIVITY = {"m2/s": 1.0, "mm2/s": 1e-6, "mm2/h": 1e-6 / 3600, "in2/s": INCH**2}
_RATE = {"1/s": 1.0, "1/min": 1 / 60, "1/h": 1 / 3600}
_EXPANSION = {"1/K": 1.0, "1/C": 1.0, "1/F": 1.8, "ppm/K": 1e-6, "ppm/C": 1e-6}

# --- name, SI unit, units read, units shown with their decimals (millimetre view, inch view), an example

HEAT_KINDS: tuple[Kind, ...] = (
    scaled("conductivity", "W/(m K)", _CONDUCTIVITY, ("W/(m K)", 3), ("Btu/(h ft F)", 4), "0.6 W/mK"),
    scaled("film coefficient", "W/(m2 K)", _FILM, ("W/(m2 K)", 1), ("Btu/(h ft2 F)", 2), "10 W/m2K"),
    scaled("specific heat", "J/(kg K)", _SPECIFIC_HEAT, ("J/(kg K)", 0), ("Btu/(lb F)", 4), "1100 J/kgK"),
    scaled("specific energy", "J/kg", _SPECIFIC_ENERGY, ("kJ/kg", 0), ("Btu/lb", 1), "350 kJ/kg"),
    scaled("molar energy", "J/mol", {"J/mol": 1.0, "kJ/mol": 1e3}, ("kJ/mol", 1), ("kJ/mol", 1), "65 kJ/mol"),
    scaled("diffusivity", "m2/s", _DIFFUSIVITY, ("m2/s", -3), ("m2/s", -3), "3e-7 mm2/s"),
    scaled("rate", "1/s", _RATE, ("1/min", 4), ("1/min", 4), "0.02 1/min"),
    scaled("expansion", "1/K", _EXPANSION, ("ppm/K", 1), ("ppm/K", 1), "3 ppm/K"),
)
