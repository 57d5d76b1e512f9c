"""Kinds of quantities: the SI unit of each, the units it is read in and those it is shown in."""

from __future__ import annotations

from panelmend.units.factors import DEGREE, FOOT, GALLON, INCH, INHG, POUND, POUND_FORCE, PSI
from panelmend.units.fundamental import SEA_LEVEL_PRESSURE, ZERO_CELSIUS
from panelmend.units.heat_kinds import HEAT_KINDS
from panelmend.units.kind import Kind, scales

_F0 = ZERO_CELSIUS - 32.0 * 5.0 / 9.0
_FORCE_PER_AREA = {
    "Pa": 1.0,
    "kPa": 1e3,
    "MPa": 1e6,
    "GPa": 1e9,
    "psi": PSI,
    "ksi": PSI * 1e3,
    "Msi": PSI * 1e6,
}

KINDS: dict[str, Kind] = {
    k.name: k
    for k in (
        Kind(
            "length",
            "m",
            scales(
                {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "um": 1e-6, "in": INCH, '"': INCH}
                | {"inch": INCH, "inches": INCH, "ft": FOOT, "yd": 0.9144, "mil": INCH / 1000}
            ),
            ("mm", 1),
            ("in", 3),
            "3 in or 76 mm",
        ),
        Kind(
            "thickness",
            "m",
            scales({"mm": 1e-3, "um": 1e-6, "m": 1.0, "in": INCH, "mil": INCH / 1000}),
            ("mm", 2),
            ("in", 4),
            "0.75 mm or 0.030 in",
        ),
        Kind(
            "depth",
            "m",
            scales({"mm": 1e-3, "um": 1e-6, "m": 1.0, "in": INCH, "mil": INCH / 1000}),
            ("mm", 2),
            ("in", 3),
            "0.75 mm or 0.029 in",
        ),
        Kind(
            "elevation",
            "m",
            scales({"m": 1.0, "km": 1e3, "ft": FOOT}),
            ("m", 0),
            ("ft", 0),
            "240 m or 790 ft",
        ),
        Kind(
            "area",
            "m2",
            scales({"mm2": 1e-6, "cm2": 1e-4, "m2": 1.0, "in2": INCH**2, "ft2": FOOT**2, "yd2": 0.9144**2}),
            ("cm2", 1),
            ("in2", 2),
            "12 in2 or 77 cm2",
        ),
        Kind(
            "volume",
            "m3",
            scales(
                {"mm3": 1e-9, "cm3": 1e-6, "ml": 1e-6, "l": 1e-3, "m3": 1.0, "in3": INCH**3, "ft3": FOOT**3}
                | {"gal": GALLON, "qt": GALLON / 4}
            ),
            ("cm3", 1),
            ("in3", 2),
            "120 ml or 7.3 in3",
        ),
        Kind(
            "mass",
            "kg",
            scales({"g": 1e-3, "kg": 1.0, "mg": 1e-6, "lb": POUND, "oz": POUND / 16}),
            ("g", 1),
            ("g", 1),
            "250 g or 0.55 lb",
        ),
        Kind(
            "weight",
            "kg",
            scales({"g": 1e-3, "kg": 1.0, "lb": POUND, "oz": POUND / 16}),
            ("kg", 2),
            ("lb", 2),
            "9 kg or 20 lb",
        ),
        Kind(
            "fine mass",
            "kg",
            scales({"g": 1e-3, "kg": 1.0, "mg": 1e-6, "lb": POUND, "oz": POUND / 16}),
            ("g", 2),
            ("g", 2),
            "2.35 g",
        ),
        Kind(
            "mass on a line",
            "kg/m",
            scales({"g/m": 1e-3, "kg/m": 1.0, "oz/ft": POUND / 16 / FOOT, "lb/ft": POUND / FOOT}),
            ("g/m", 1),
            ("oz/ft", 3),
            "20 g/m or 0.2 oz/ft",
        ),
        Kind(
            "areal mass",
            "kg/m2",
            scales(
                {
                    "g/m2": 1e-3,
                    "gsm": 1e-3,
                    "kg/m2": 1.0,
                    "oz/yd2": POUND / 16 / 0.9144**2,
                    "lb/ft2": POUND / FOOT**2,
                }
            ),
            ("g/m2", 0),
            ("oz/yd2", 2),
            "300 g/m2 or 8.9 oz/yd2",
        ),
        Kind(
            "density",
            "kg/m3",
            scales(
                {
                    "kg/m3": 1.0,
                    "g/cm3": 1e3,
                    "lb/ft3": POUND / FOOT**3,
                    "pcf": POUND / FOOT**3,
                    "lb/in3": POUND / INCH**3,
                    "lb/gal": POUND / GALLON,
                }
            ),
            ("kg/m3", 0),
            ("lb/ft3", 2),
            "48 kg/m3 or 3.0 lb/ft3",
        ),
        Kind(
            "temperature",
            "K",
            {
                "C": (1.0, ZERO_CELSIUS),
                "degC": (1.0, ZERO_CELSIUS),
                "°C": (1.0, ZERO_CELSIUS),
                "F": (5 / 9, _F0),
                "degF": (5 / 9, _F0),
                "°F": (5 / 9, _F0),
                "K": (1.0, 0.0),
            },
            ("C", 0),
            ("F", 0),
            "121 C or 250 F",
        ),
        Kind(
            "temperature difference",
            "K",
            scales({"C": 1.0, "degC": 1.0, "°C": 1.0, "K": 1.0, "F": 5 / 9, "degF": 5 / 9, "°F": 5 / 9}),
            ("C", 1),
            ("F", 1),
            "6 C or 10 F (a difference)",
        ),
        Kind(
            "temperature rate",
            "K/s",
            scales(
                {"K/s": 1.0, "C/s": 1.0, "C/min": 1 / 60, "K/min": 1 / 60, "F/min": 5 / 540, "°C/min": 1 / 60}
                | {"°F/min": 5 / 540, "degC/min": 1 / 60, "degF/min": 5 / 540}
            ),
            ("C/min", 1),
            ("F/min", 1),
            "3 C/min or 5 F/min",
        ),
        Kind(
            "pressure",
            "Pa",
            scales(
                _FORCE_PER_AREA
                | {
                    "inHg": INHG,
                    "mmHg": INHG / 25.4,
                    "mbar": 100.0,
                    "hPa": 100.0,
                    "bar": 1e5,
                    "atm": SEA_LEVEL_PRESSURE,
                }
            ),
            ("kPa", 1),
            ("psi", 1),
            "75 kPa or 22 inHg",
        ),
        Kind(
            "vacuum",
            "Pa",
            scales(
                {"inHg": INHG, "mmHg": INHG / 25.4, "mbar": 100.0, "hPa": 100.0, "kPa": 1e3, "Pa": 1.0}
                | {"bar": 1e5, "psi": PSI}
            ),
            ("inHg", 1),
            ("inHg", 1),
            "22 inHg or 75 kPa (gauge)",
        ),
        Kind("stiffness", "Pa", scales(_FORCE_PER_AREA), ("MPa", 1), ("ksi", 1), "60 GPa or 8.7 Msi"),
        Kind(
            "time",
            "s",
            scales(
                {
                    "s": 1.0,
                    "sec": 1.0,
                    "min": 60.0,
                    "h": 3600.0,
                    "hr": 3600.0,
                    "hours": 3600.0,
                    "day": 86400.0,
                }
                | {"days": 86400.0, "months": 30.436875 * 86400.0}
            ),
            ("min", 0),
            ("min", 0),
            "90 min or 1.5 h",
        ),
        Kind(
            "angle",
            "rad",
            scales({"deg": DEGREE, "°": DEGREE, "degrees": DEGREE, "rad": 1.0}),
            ("deg", 1),
            ("deg", 1),
            "45 deg",
        ),
        Kind("power", "W", scales({"W": 1.0, "kW": 1e3}), ("W", 0), ("W", 0), "720 W"),
        Kind(
            "power density",
            "W/m2",
            scales({"W/m2": 1.0, "kW/m2": 1e3, "W/cm2": 1e4, "W/in2": 1 / INCH**2}),
            ("W/m2", 0),
            ("W/in2", 2),
            "5 W/in2 or 7750 W/m2",
        ),
        Kind("current", "A", scales({"A": 1.0}), ("A", 1), ("A", 1), "15 A"),
        Kind(
            "resistance",
            "ohm",
            scales({"ohm": 1.0, "milliohm": 1e-3, "kilohm": 1e3, "megohm": 1e6}),
            ("ohm", -3),
            ("ohm", -3),
            "10 milliohm or 0.010 ohm",
        ),
        Kind("voltage", "V", scales({"V": 1.0}), ("V", 0), ("V", 0), "120 V"),
        Kind(
            "force",
            "N",
            scales({"N": 1.0, "kN": 1e3, "lbf": POUND_FORCE, "lb": POUND_FORCE}),
            ("N", 0),
            ("lbf", 1),
            "200 N or 45 lbf",
        ),
        Kind(
            "moment",
            "N m",
            scales(
                {
                    "N m": 1.0,
                    "Nm": 1.0,
                    "N mm": 1e-3,
                    "in lbf": INCH * POUND_FORCE,
                    "in lb": INCH * POUND_FORCE,
                    "ft lbf": FOOT * POUND_FORCE,
                }
            ),
            ("N m", 3),
            ("in lbf", 2),
            "0.5 N m or 4.4 in lbf",
        ),
        Kind(
            "running load",
            "N/m",
            scales(
                {
                    "N/m": 1.0,
                    "N/mm": 1e3,
                    "kN/m": 1e3,
                    "lb/in": POUND_FORCE / INCH,
                    "lbf/in": POUND_FORCE / INCH,
                }
            ),
            ("N/mm", 1),
            ("lbf/in", 1),
            "50 N/mm or 285 lbf/in",
        ),
        *HEAT_KINDS,
        Kind(
            "strain",
            "1",
            scales({"strain": 1.0, "%": 0.01, "microstrain": 1e-6}),
            ("microstrain", 0),
            ("microstrain", 0),
            "4000 microstrain",
        ),
        Kind("ratio", "1", scales({"%": 0.01}), ("", 3), ("", 3), "0.5 or 50 %"),
        Kind("multiple", "1", scales({"times": 1.0}), ("times", 1), ("times", 1), "7.5 times"),
        Kind("share", "1", scales({"%": 0.01}), ("%", 0), ("%", 0), "50 %"),
        Kind(
            "throughput",
            "Pa m3/s",
            scales({"Pa m3/s": 1.0, "mbar l/s": 0.1, "psi in3/s": PSI * INCH**3}),
            ("Pa m3/s", -2),
            ("psi in3/s", -2),
            "0.05 Pa m3/s",
        ),
    )
}
