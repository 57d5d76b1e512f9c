"""Typed quantities: fields that read "1/4 in" at the door and hold SI inside."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from datetime import date, datetime
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, StringConstraints, WithJsonSchema

from panelmend.errors import InputError
from panelmend.units import KINDS, read


class Typed(BaseModel):
    """The base of everything people type: frozen, and an unknown field is refused."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        str_strip_whitespace=True,
        str_max_length=4000,
        allow_inf_nan=False,
        defer_build=True,  # a start builds the document's own validator, which holds those of its parts
    )


def _reader(kind: str) -> Callable[[Any], float]:
    def parse(text: Any) -> float:
        return read(text, kind)

    return parse


def _schema(kind: str) -> WithJsonSchema:
    k = KINDS[kind]
    also = ["string", "number"] if kind == "ratio" else "string"
    return WithJsonSchema(
        {"type": also, "description": f"{kind} with its unit, such as {k.example}", "kind": kind}
    )


def _positive(value: float) -> float:
    if not value > 0:
        raise InputError("must be more than zero", expected="more than zero")
    return value


def _not_negative(value: float) -> float:
    if value < 0:
        raise InputError("must not be negative", expected="zero or more")
    return value


def _share(value: float) -> float:
    if value > 1:
        raise InputError(
            "more than the whole", expected="0 to 1, or 0 % to 100 %", todo='ten per cent is "10 %" or 0.1'
        )
    return value


POSITIVE, NOT_NEGATIVE = AfterValidator(_positive), AfterValidator(_not_negative)

# A shift, an angle or a temperature may have any sign; a size may not.
Length = Annotated[float, BeforeValidator(_reader("length")), POSITIVE, _schema("length")]
Margin = Annotated[float, BeforeValidator(_reader("length")), NOT_NEGATIVE, _schema("length")]
Area = Annotated[float, BeforeValidator(_reader("area")), POSITIVE, _schema("area")]
Volume = Annotated[float, BeforeValidator(_reader("volume")), POSITIVE, _schema("volume")]
Angle = Annotated[float, BeforeValidator(_reader("angle")), _schema("angle")]
PotMass = Annotated[float, BeforeValidator(_reader("mass")), POSITIVE, _schema("mass")]
Mass = Annotated[float, BeforeValidator(_reader("mass")), NOT_NEGATIVE, _schema("mass")]
ArealMass = Annotated[float, BeforeValidator(_reader("areal mass")), POSITIVE, _schema("areal mass")]
LineMass = Annotated[float, BeforeValidator(_reader("mass on a line")), POSITIVE, _schema("mass on a line")]
Density = Annotated[float, BeforeValidator(_reader("density")), POSITIVE, _schema("density")]
Temperature = Annotated[float, BeforeValidator(_reader("temperature")), _schema("temperature")]
TemperatureDifference = Annotated[
    float, BeforeValidator(_reader("temperature difference")), NOT_NEGATIVE, _schema("temperature difference")
]
TemperatureRate = Annotated[
    float, BeforeValidator(_reader("temperature rate")), NOT_NEGATIVE, _schema("temperature rate")
]
Pressure = Annotated[float, BeforeValidator(_reader("pressure")), NOT_NEGATIVE, _schema("pressure")]
PressureOrSuction = Annotated[float, BeforeValidator(_reader("pressure")), _schema("pressure")]
Stiffness = Annotated[float, BeforeValidator(_reader("stiffness")), POSITIVE, _schema("stiffness")]
Duration = Annotated[float, BeforeValidator(_reader("time")), NOT_NEGATIVE, _schema("time")]
WorkingTime = Annotated[float, BeforeValidator(_reader("time")), POSITIVE, _schema("time")]
Power = Annotated[float, BeforeValidator(_reader("power")), POSITIVE, _schema("power")]
PowerDensity = Annotated[float, BeforeValidator(_reader("power density")), POSITIVE, _schema("power density")]
Current = Annotated[float, BeforeValidator(_reader("current")), POSITIVE, _schema("current")]
Voltage = Annotated[float, BeforeValidator(_reader("voltage")), POSITIVE, _schema("voltage")]
Resistance = Annotated[float, BeforeValidator(_reader("resistance")), POSITIVE, _schema("resistance")]
Moment = Annotated[float, BeforeValidator(_reader("moment")), _schema("moment")]
RunningLoad = Annotated[float, BeforeValidator(_reader("running load")), _schema("running load")]
Conductivity = Annotated[float, BeforeValidator(_reader("conductivity")), POSITIVE, _schema("conductivity")]
FilmCoefficient = Annotated[
    float, BeforeValidator(_reader("film coefficient")), NOT_NEGATIVE, _schema("film coefficient")
]
SpecificHeat = Annotated[float, BeforeValidator(_reader("specific heat")), POSITIVE, _schema("specific heat")]
SpecificEnergy = Annotated[
    float, BeforeValidator(_reader("specific energy")), NOT_NEGATIVE, _schema("specific energy")
]
MolarEnergy = Annotated[
    float, BeforeValidator(_reader("molar energy")), NOT_NEGATIVE, _schema("molar energy")
]
Diffusivity = Annotated[float, BeforeValidator(_reader("diffusivity")), POSITIVE, _schema("diffusivity")]
Rate = Annotated[float, BeforeValidator(_reader("rate")), _schema("rate")]
Expansion = Annotated[float, BeforeValidator(_reader("expansion")), _schema("expansion")]
Strain = Annotated[float, BeforeValidator(_reader("strain")), _schema("strain")]
Ratio = Annotated[float, BeforeValidator(_reader("ratio")), _schema("ratio")]
Parts = Annotated[float, BeforeValidator(_reader("ratio")), POSITIVE, _schema("ratio")]
Share = Annotated[
    float, BeforeValidator(_reader("ratio")), NOT_NEGATIVE, AfterValidator(_share), _schema("ratio")
]
Fraction = Annotated[float, BeforeValidator(_reader("ratio")), NOT_NEGATIVE, _schema("ratio")]


def _point(text: Any) -> tuple[float, float]:
    expected = 'a point such as "420 mm, 310 mm" or "16.5, 12.2 in"'
    if not isinstance(text, str) or len(text) > 160:
        raise InputError("not a point", read=repr(text)[:60], expected=expected)
    parts = [p.strip() for p in (text.split(";") if ";" in text else text.split(","))]
    if len(parts) != 2:
        raise InputError(
            "not a point of two coordinates",
            read=repr(text)[:60],
            expected=expected,
            todo='with decimal commas write a semicolon between: "420,5 mm; 310,2 mm"' if "," in text else "",
        )
    first, second = parts
    unit = second.lstrip("+-0123456789.,/ eE")
    if first and first[-1].isdigit():
        first = f"{first} {unit}"
    return read(first, "length"), read(second, "length")


Point = Annotated[
    tuple[float, float],
    BeforeValidator(_point),
    WithJsonSchema({"type": "string", "description": 'a point such as "420 mm, 310 mm"', "kind": "point"}),
]

_ISO_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_DAY_EXPECTED = "a day as year-month-day, such as 2026-03-02"


def _day(given: Any) -> date:
    if isinstance(given, datetime):
        raise InputError("a time of day has no place here", read=str(given), expected=_DAY_EXPECTED)
    if isinstance(given, date):
        day = given
    else:
        try:
            if not (isinstance(given, str) and _ISO_DAY.fullmatch(given)):
                raise ValueError
            day = date.fromisoformat(given)
        except ValueError:
            raise InputError("not a day", read=repr(given)[:60], expected=_DAY_EXPECTED) from None
    if not 1950 <= day.year <= 2150:
        raise InputError("not a plausible year", read=str(day), expected="a year from 1950 to 2150")
    return day


def _flag(given: Any) -> bool:
    if isinstance(given, bool):
        return given
    raise InputError(
        "neither true nor false", read=repr(given)[:60], expected="true or false, without quotation marks"
    )


def _count(given: Any) -> int:
    if isinstance(given, int) and not isinstance(given, bool):
        if abs(given) > 1_000_000_000:
            raise InputError("too large for a count", read=str(given)[:30], expected="a whole number")
        return given
    raise InputError(
        "not a whole number",
        read=repr(given)[:60],
        expected="a whole number, without quotation marks, unit or decimal point",
    )


# Words: Name must say something, Text may be empty. Day, Flag and Count take no look-alikes.
Name = Annotated[str, StringConstraints(min_length=1, max_length=400)]
Number = Annotated[str, StringConstraints(min_length=1, max_length=60)]
Title = Annotated[str, StringConstraints(min_length=1, max_length=200)]
Text = Annotated[str, StringConstraints(max_length=4000)]
Day = Annotated[
    date,
    BeforeValidator(_day),
    WithJsonSchema({"type": "string", "format": "date", "description": _DAY_EXPECTED, "kind": "day"}),
]
Flag = Annotated[bool, BeforeValidator(_flag)]
Count = Annotated[int, BeforeValidator(_count)]


def _vertex(given: Any) -> tuple[float, ...]:
    if (
        isinstance(given, list | tuple)
        and len(given) in (2, 3)
        and all(isinstance(v, int | float) and not isinstance(v, bool) for v in given)
    ):
        try:
            numbers = tuple(float(v) for v in given)
        except OverflowError:
            numbers = (math.inf,)
        if all(math.isfinite(v) for v in numbers):
            return numbers
    raise InputError(
        "not a point of an outline",
        read=repr(given).replace("None", "?")[:60],
        expected="[x, y] or [x, y, bulge]: plain numbers; the unit stands once for all of them",
    )


Vertex = Annotated[tuple[float, float] | tuple[float, float, float], BeforeValidator(_vertex)]
