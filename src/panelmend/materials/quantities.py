"""Typed quantities: fields that read "1/4 in" at the door and hold SI inside."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, WithJsonSchema

from panelmend.errors import InputError
from panelmend.units import KINDS, read


class Typed(BaseModel):
    """The base of everything people type: frozen, and an unknown field is refused."""

    model_config = ConfigDict(frozen=True, extra="forbid", use_attribute_docstrings=True)


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
        raise InputError("must be more than zero", read=f"{value:g} in SI units")
    return value


def _not_negative(value: float) -> float:
    if value < 0:
        raise InputError("must not be negative", read=f"{value:g} in SI units")
    return value


POSITIVE, NOT_NEGATIVE = AfterValidator(_positive), AfterValidator(_not_negative)

# A coordinate, a shift, an angle or a temperature may have any sign; a size may not.
Coordinate = Annotated[float, BeforeValidator(_reader("length")), _schema("length")]
Length = Annotated[float, BeforeValidator(_reader("length")), POSITIVE, _schema("length")]
Margin = Annotated[float, BeforeValidator(_reader("length")), NOT_NEGATIVE, _schema("length")]
Area = Annotated[float, BeforeValidator(_reader("area")), POSITIVE, _schema("area")]
Volume = Annotated[float, BeforeValidator(_reader("volume")), POSITIVE, _schema("volume")]
Angle = Annotated[float, BeforeValidator(_reader("angle")), _schema("angle")]
Mass = Annotated[float, BeforeValidator(_reader("mass")), NOT_NEGATIVE, _schema("mass")]
ArealMass = Annotated[float, BeforeValidator(_reader("areal mass")), POSITIVE, _schema("areal mass")]
Density = Annotated[float, BeforeValidator(_reader("density")), POSITIVE, _schema("density")]
Temperature = Annotated[float, BeforeValidator(_reader("temperature")), _schema("temperature")]
TemperatureDifference = Annotated[
    float, BeforeValidator(_reader("temperature difference")), NOT_NEGATIVE, _schema("temperature difference")
]
TemperatureRate = Annotated[
    float, BeforeValidator(_reader("temperature rate")), NOT_NEGATIVE, _schema("temperature rate")
]
Pressure = Annotated[float, BeforeValidator(_reader("pressure")), NOT_NEGATIVE, _schema("pressure")]
Stiffness = Annotated[float, BeforeValidator(_reader("stiffness")), POSITIVE, _schema("stiffness")]
Duration = Annotated[float, BeforeValidator(_reader("time")), NOT_NEGATIVE, _schema("time")]
Power = Annotated[float, BeforeValidator(_reader("power")), POSITIVE, _schema("power")]
PowerDensity = Annotated[float, BeforeValidator(_reader("power density")), POSITIVE, _schema("power density")]
Current = Annotated[float, BeforeValidator(_reader("current")), POSITIVE, _schema("current")]
Voltage = Annotated[float, BeforeValidator(_reader("voltage")), POSITIVE, _schema("voltage")]
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
Fraction = Annotated[float, BeforeValidator(_reader("ratio")), NOT_NEGATIVE, _schema("ratio")]


def _point(text: Any) -> tuple[float, float]:
    expected = 'a point such as "420 mm, 310 mm" or "16.5, 12.2 in"'
    if not isinstance(text, str):
        raise InputError("not a point", read=repr(text)[:60], expected=expected)
    parts = [p.strip() for p in (text.split(";") if ";" in text else text.split(","))]
    if len(parts) != 2:
        raise InputError("not a point of two coordinates", read=repr(text)[:60], expected=expected)
    first, second = parts
    unit = second.lstrip("+-0123456789./ eE")
    if first and first[-1].isdigit():
        first = f"{first} {unit}"
    return read(first, "length"), read(second, "length")


Point = Annotated[
    tuple[float, float],
    BeforeValidator(_point),
    WithJsonSchema({"type": "string", "description": 'a point such as "420 mm, 310 mm"'}),
]
