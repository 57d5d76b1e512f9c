"""Kinds of quantities of heat, cure and moisture."""

from __future__ import annotations

from panelmend.units.factors import BTU, FOOT, INCH, POUND, RANKINE
from panelmend.units.kind import Kind, scales

HEAT_KINDS: tuple[Kind, ...] = (
    Kind(
        "conductivity",
        "W/(m K)",
        scales(
            {
                "W/mK": 1.0,
                "W/m/K": 1.0,
                "W/(m K)": 1.0,
                "mW/mK": 1e-3,
                "mW/(m K)": 1e-3,
                "Btu/(h ft F)": BTU / (3600.0 * FOOT * RANKINE),
            }
        ),
        ("W/(m K)", 3),
        ("Btu/(h ft F)", 4),
        "0.6 W/mK",
    ),
    Kind(
        "film coefficient",
        "W/(m2 K)",
        scales(
            {
                "W/m2K": 1.0,
                "W/(m2 K)": 1.0,
                "W/m2/K": 1.0,
                "Btu/(h ft2 F)": BTU / (3600.0 * FOOT**2 * RANKINE),
            }
        ),
        ("W/(m2 K)", 1),
        ("Btu/(h ft2 F)", 2),
        "10 W/m2K",
    ),
    Kind(
        "specific heat",
        "J/(kg K)",
        scales(
            {
                "J/kgK": 1.0,
                "J/(kg K)": 1.0,
                "J/kg/K": 1.0,
                "kJ/kgK": 1e3,
                "Btu/(lb F)": BTU / (POUND * RANKINE),
            }
        ),
        ("J/(kg K)", 0),
        ("Btu/(lb F)", 4),
        "1100 J/kgK",
    ),
    Kind(
        "specific energy",
        "J/kg",
        scales({"J/kg": 1.0, "kJ/kg": 1e3, "J/g": 1e3, "Btu/lb": BTU / POUND}),
        ("kJ/kg", 0),
        ("Btu/lb", 1),
        "350 kJ/kg",
    ),
    Kind(
        "molar energy",
        "J/mol",
        scales({"J/mol": 1.0, "kJ/mol": 1e3}),
        ("kJ/mol", 1),
        ("kJ/mol", 1),
        "65 kJ/mol",
    ),
    Kind(
        "diffusivity",
        "m2/s",
        scales({"m2/s": 1.0, "mm2/s": 1e-6, "mm2/h": 1e-6 / 3600, "in2/s": INCH**2}),
        ("m2/s", -3),
        ("m2/s", -3),
        "3e-7 mm2/s",
    ),
    Kind(
        "rate",
        "1/s",
        scales({"1/s": 1.0, "1/min": 1 / 60, "1/h": 1 / 3600}),
        ("1/min", 4),
        ("1/min", 4),
        "0.02 1/min",
    ),
    Kind(
        "expansion",
        "1/K",
        scales({"1/K": 1.0, "1/C": 1.0, "1/F": 1.8, "ppm/K": 1e-6, "ppm/C": 1e-6}),
        ("ppm/K", 1),
        ("ppm/K", 1),
        "3 ppm/K",
    ),
)
