"""Kinds of quantities: the SI unit of each, the units it is read in and those it is shown in."""

from __future__ import annotations

from panelmend.units.factors import DEGREE, FOOT, GALLON, INCH, INHG, POUND, POUND_FORCE, PSI
from panelmend.units.fundamental import SEA_LEVEL_PRESSURE, ZERO_CELSIUS
from panelmend.units.heat_kinds import HEAT_KINDS
from panelmend.units.kind import Kind, scaled

_YARD, _DAY, _F0 = 0.9144, 86400.0, ZERO_CELSIUS - 32.0 * 5.0 / 9.0
_IN_LB, _LB_IN = INCH * POUND_FORCE, POUND_FORCE / INCH

# --- the units that are read, and how much of the SI unit one is

_LENGTH = {"mm": 1e-3, "cm": 1e-2, "m": 1.0, "um": 1e-6, "in": INCH, '"': INCH}
_LENGTH |= {"inch": INCH, "inches": INCH, "ft": FOOT, "yd": _YARD, "mil": INCH / 1000}
_THICKNESS = {"mm": 1e-3, "um": 1e-6, "m": 1.0, "in": INCH, "mil": INCH / 1000}
_ELEVATION = {"m": 1.0, "km": 1e3, "ft": FOOT}
_AREA = {"mm2": 1e-6, "cm2": 1e-4, "m2": 1.0, "in2": INCH**2, "ft2": FOOT**2, "yd2": _YARD**2}
_VOLUME = {"mm3": 1e-9, "cm3": 1e-6, "ml": 1e-6, "l": 1e-3, "m3": 1.0, "in3": INCH**3, "ft3": FOOT**3}
_VOLUME |= {"gal": GALLON, "qt": GALLON / 4}
_MASS = {"g": 1e-3, "kg": 1.0, "mg": 1e-6, "lb": POUND, "oz": POUND / 16}
_WEIGHT = {"g": 1e-3, "kg": 1.0, "lb": POUND, "oz": POUND / 16}
_ON_LINE = {"g/m": 1e-3, "kg/m": 1.0, "oz/ft": POUND / 16 / FOOT, "lb/ft": POUND / FOOT}
_ON_AREA = {"g/m2": 1e-3, "gsm": 1e-3, "kg/m2": 1.0}
_ON_AREA |= {"oz/yd2": POUND / 16 / _YARD**2, "lb/ft2": POUND / FOOT**2}
_DENSITY = {"kg/m3": 1.0, "g/cm3": 1e3, "lb/ft3": POUND / FOOT**3, "pcf": POUND / FOOT**3}
_DENSITY |= {"lb/in3": POUND / INCH**3, "lb/gal": POUND / GALLON}
_CELSIUS, _FAHRENHEIT = (1.0, ZERO_CELSIUS), (5 / 9, _F0)
_TEMPERATURE = {"C": _CELSIUS, "degC": _CELSIUS, "°C": _CELSIUS}
_TEMPERATURE |= {"F": _FAHRENHEIT, "degF": _FAHRENHEIT, "°F": _FAHRENHEIT, "K": (1.0, 0.0)}
_DIFFERENCE = {"C": 1.0, "degC": 1.0, "°C": 1.0, "K": 1.0, "F": 5 / 9, "degF": 5 / 9, "°F": 5 / 9}
_HEATING = {"K/s": 1.0, "C/s": 1.0, "C/min": 1 / 60, "K/min": 1 / 60, "F/min": 5 / 540, "°C/min": 1 / 60}
_HEATING |= {"°F/min": 5 / 540, "degC/min": 1 / 60, "degF/min": 5 / 540}
_STIFFNESS = {"Pa": 1.0, "kPa": 1e3, "MPa": 1e6, "GPa": 1e9, "psi": PSI, "ksi": PSI * 1e3, "Msi": PSI * 1e6}
_PRESSURE = _STIFFNESS | {"inHg": INHG, "mmHg": INHG / 25.4, "mbar": 100.0, "hPa": 100.0}
_PRESSURE |= {"bar": 1e5, "atm": SEA_LEVEL_PRESSURE}
_VACUUM = {"inHg": INHG, "mmHg": INHG / 25.4, "mbar": 100.0, "hPa": 100.0, "kPa": 1e3, "Pa": 1.0}
_VACUUM |= {"bar": 1e5, "psi": PSI}
_TIME = {"s": 1.0, "sec": 1.0, "min": 60.0, "h": 3600.0, "hr": 3600.0, "hours": 3600.0, "day": _DAY}
_TIME |= {"days": _DAY, "months": 30.436875 * _DAY}
_ANGLE = {"deg": DEGREE, "°": DEGREE, "degrees": DEGREE, "rad": 1.0}
_POWER_DENSITY = {"W/m2": 1.0, "kW/m2": 1e3, "W/cm2": 1e4, "W/in2": 1 / INCH**2}
_RESISTANCE = {"ohm": 1.0, "milliohm": 1e-3, "kilohm": 1e3, "megohm": 1e6}
_FORCE = {"N": 1.0, "kN": 1e3, "lbf": POUND_FORCE, "lb": POUND_FORCE}
_MOMENT = {"N m": 1.0, "Nm": 1.0, "N mm": 1e-3}
_MOMENT |= {"in lbf": _IN_LB, "in lb": _IN_LB, "ft lbf": FOOT * POUND_FORCE}
_RUNNING_LOAD = {"N/m": 1.0, "N/mm": 1e3, "kN/m": 1e3, "lb/in": _LB_IN, "lbf/in": _LB_IN}
_STRAIN = {"strain": 1.0, "%": 0.01, "microstrain": 1e-6}
_THROUGHPUT = {"Pa m3/s": 1.0, "mbar l/s": 0.1, "psi in3/s": PSI * INCH**3}

# --- name, SI unit, units read, units shown with their decimals (millimetre view, inch view), an example

_LIST = (
    scaled("length", "m", _LENGTH, ("mm", 1), ("in", 3), "3 in or 76 mm"),
    scaled("thickness", "m", _THICKNESS, ("mm", 2), ("in", 4), "0.75 mm or 0.030 in"),
    scaled("depth", "m", _THICKNESS, ("mm", 2), ("in", 3), "0.75 mm or 0.029 in"),
    scaled("elevation", "m", _ELEVATION, ("m", 0), ("ft", 0), "240 m or 790 ft"),
    scaled("area", "m2", _AREA, ("cm2", 1), ("in2", 2), "12 in2 or 77 cm2"),
    scaled("volume", "m3", _VOLUME, ("cm3", 1), ("in3", 2), "120 ml or 7.3 in3"),
    scaled("mass", "kg", _MASS, ("g", 1), ("g", 1), "250 g or 0.55 lb"),
    scaled("weight", "kg", _WEIGHT, ("kg", 2), ("lb", 2), "9 kg or 20 lb"),
    scaled("fine mass", "kg", _MASS, ("g", 2), ("g", 2), "2.35 g"),
    scaled("mass on a line", "kg/m", _ON_LINE, ("g/m", 1), ("oz/ft", 3), "20 g/m or 0.2 oz/ft"),
    scaled("areal mass", "kg/m2", _ON_AREA, ("g/m2", 0), ("oz/yd2", 2), "300 g/m2 or 8.9 oz/yd2"),
    scaled("density", "kg/m3", _DENSITY, ("kg/m3", 0), ("lb/ft3", 2), "48 kg/m3 or 3.0 lb/ft3"),
    Kind("temperature", "K", _TEMPERATURE, ("C", 0), ("F", 0), "121 C or 250 F"),
    scaled("temperature difference", "K", _DIFFERENCE, ("C", 1), ("F", 1), "6 C or 10 F (a difference)"),
    scaled("temperature rate", "K/s", _HEATING, ("C/min", 1), ("F/min", 1), "3 C/min or 5 F/min"),
    scaled("pressure", "Pa", _PRESSURE, ("kPa", 1), ("psi", 1), "75 kPa or 22 inHg"),
    scaled("vacuum", "Pa", _VACUUM, ("inHg", 1), ("inHg", 1), "22 inHg or 75 kPa (gauge)"),
    scaled("stiffness", "Pa", _STIFFNESS, ("MPa", 1), ("ksi", 1), "60 GPa or 8.7 Msi"),
    scaled("time", "s", _TIME, ("min", 0), ("min", 0), "90 min or 1.5 h"),
    scaled("angle", "rad", _ANGLE, ("deg", 1), ("deg", 1), "45 deg"),
    scaled("power", "W", {"W": 1.0, "kW": 1e3}, ("W", 0), ("W", 0), "720 W"),
    scaled("power density", "W/m2", _POWER_DENSITY, ("W/m2", 0), ("W/in2", 2), "5 W/in2 or 7750 W/m2"),
    scaled("current", "A", {"A": 1.0}, ("A", 1), ("A", 1), "15 A"),
    scaled("resistance", "ohm", _RESISTANCE, ("ohm", -3), ("ohm", -3), "10 milliohm or 0.010 ohm"),
    scaled("voltage", "V", {"V": 1.0}, ("V", 0), ("V", 0), "120 V"),
    scaled("force", "N", _FORCE, ("N", -3), ("lbf", -3), "200 N or 45 lbf"),
    scaled("moment", "N m", _MOMENT, ("N m", 3), ("in lbf", 2), "0.5 N m or 4.4 in lbf"),
    scaled("running load", "N/m", _RUNNING_LOAD, ("N/mm", 1), ("lbf/in", 1), "50 N/mm or 285 lbf/in"),
    *HEAT_KINDS,
    scaled("strain", "1", _STRAIN, ("microstrain", 0), ("microstrain", 0), "4000 microstrain"),
    scaled("ratio", "1", {"%": 0.01}, ("", 3), ("", 3), "0.5 or 50 %"),
    scaled("multiple", "1", {"times": 1.0}, ("times", 1), ("times", 1), "7.5 times"),
    scaled("share", "1", {"%": 0.01}, ("%", 0), ("%", 0), "50 %"),
    scaled("throughput", "Pa m3/s", _THROUGHPUT, ("Pa m3/s", -2), ("psi in3/s", -2), "0.05 Pa m3/s"),
)

KINDS: dict[str, Kind] = {k.name: k for k in _LIST}
