"""The bay and the stores against themselves: height against barometer, blankets, what a shelf can hold."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelmend.document.crossed.data import part_of_whole
from panelmend.document.model import Document, catalogue_of
from panelmend.document.question import MEMORY, Asked, Reader
from panelmend.errors import PanelmendError

SUPPLIES = (
    24.0,
    28.0,
    48.0,
    100.0,
    110.0,
    115.0,
    120.0,
    127.0,
    200.0,
    208.0,
    220.0,
    230.0,
    240.0,
    277.0,
    380.0,
    400.0,
    415.0,
    440.0,
    460.0,
    480.0,
)
BREAKERS = (
    5.0,
    6.0,
    8.0,
    10.0,
    13.0,
    15.0,
    16.0,
    20.0,
    25.0,
    30.0,
    32.0,
    35.0,
    40.0,
    45.0,
    50.0,
    60.0,
    63.0,
    70.0,
    80.0,
    90.0,
    100.0,
    125.0,
)
WEATHER = 0.045  # of the standard pressure: what weather does on nearly every day; common practice, no source
PACE = {
    "mix": (60.0, 1200.0),
    "wet_out": (45.0, 1200.0),
    "lay": (20.0, 900.0),
    "plug": (60.0, 1800.0),
    "bag": (120.0, 3000.0),
    "hold": (30.0, 1200.0),
}


def _air(document: Document, view: str) -> Iterator[Asked]:
    bay = document.bay
    if bay.elevation is None or bay.barometer is None:
        return
    standard = 101325.0 * (1.0 - 2.25577e-5 * bay.elevation) ** 5.25588
    off = bay.barometer / standard
    low = abs(bay.barometer / 101325.0 - 1.0) <= WEATHER and off > 1.0
    hint = "; a setting reduced to sea level is no reading at the bay" if low else ""
    yield from Reader(view).about(
        "bay.barometer.against_elevation",
        "barometer over the standard pressure at the bay's elevation",
        off,
        "ratio",
        1.0 - WEATHER,
        1.0 + WEATHER,
        source="US Standard Atmosphere 1976; weather: common practice, no source",
        because=f"one of the two is wrong{hint}",
    )


def _supply(document: Document, view: str) -> Iterator[Asked]:
    ask, bay = Reader(view), document.bay
    volts = [("bay.supply", "supply voltage", bay.supply)]
    volts += [
        (f"bay.blanket[{i + 1}].voltage", f"{b.id}: rated voltage", b.voltage)
        for i, b in enumerate(bay.blanket)
    ]
    for key, what, value in volts:
        if value is not None and not any(abs(value / s - 1.0) <= 0.03 for s in SUPPLIES):
            near = min(SUPPLIES, key=lambda s: abs(s - value))
            yield from ask.about(f"{key}.usual", what, value, "voltage", near, near)
    for i, b in enumerate(bay.blanket):
        yield from ask.about(
            f"bay.blanket[{i + 1}].voltage.against_supply",
            f"{b.id}: rated voltage over the supply's",
            part_of_whole(b.voltage, bay.supply),
            "ratio",
            0.8,
            1.25,
            because="power goes with the square",
        )
    for i, c in enumerate(bay.circuit):
        if not any(abs(c.rating / s - 1.0) <= 1e-6 for s in BREAKERS):
            near = min(BREAKERS, key=lambda s: abs(s - c.rating))
            yield from ask.about(
                f"bay.circuit[{i + 1}].rating.usual", f"{c.id}: rating", c.rating, "current", near, near
            )


def _blankets(document: Document, view: str) -> Iterator[Asked]:
    ask = Reader(view)
    for i, b in enumerate(document.bay.blanket):
        at = f"bay.blanket[{i + 1}]"
        for side in ("length", "width"):
            yield from ask.about(
                f"{at}.{side}.usual", f"{b.id}: {side} of a blanket", getattr(b, side), "length", 0.1, 1.6
            )
        yield from ask.about(
            f"{at}.length.against_width", f"{b.id}: length over width", b.length / b.width, "ratio", 0.2, 5.0
        )
        yield from ask.about(
            f"{at}.power_density.usual",
            f"{b.id}: power density",
            b.power_density,
            "power density",
            1500.0,
            25000.0,
            source="1 to 15 W/in2, from memory",
        )
        yield from ask.about(
            f"{at}.areal_mass.against_thickness",
            f"{b.id}: mass on its area over its thickness",
            part_of_whole(b.areal_mass, b.thickness),
            "density",
            600.0,
            2500.0,
            source=f"silicone rubber 1100 to 1500 kg/m3 with wire or foil; {MEMORY}",
        )
        yield from ask.about(
            f"{at}.thickness.usual", f"{b.id}: thickness", b.thickness, "thickness", 0.0005, 0.012
        )
        yield from ask.about(
            f"{at}.conductivity.usual",
            f"{b.id}: conductivity",
            b.conductivity,
            "conductivity",
            0.1,
            0.8,
            source=f"silicone rubber 0.2 to 0.4 W/mK; {MEMORY}",
        )
        yield from ask.about(
            f"{at}.specific_heat.usual",
            f"{b.id}: specific heat",
            b.specific_heat,
            "specific heat",
            800.0,
            2200.0,
            source=f"silicone rubber 1200 to 1500 J/kgK; {MEMORY}",
        )
        hottest = max((c.ceiling or max(s.to for s in c.segment) for c in document.data.cure), default=None)
        if b.limit is not None and hottest is not None:
            yield from ask.about(
                f"{at}.limit.against_cure",
                f"{b.id}: its limit above the hottest a cure may get:",
                b.limit - hottest,
                "temperature difference",
                15.0,
                250.0,
            )


def _bench(document: Document, view: str) -> Iterator[Asked]:
    ask, bay = Reader(view), document.bay
    for name, (low, high) in PACE.items():
        yield from ask.about(
            f"bay.pace.{name}.usual",
            f"pace: {name.replace('_', ' ')}",
            None if bay.pace is None else getattr(bay.pace, name),
            "time",
            low,
            high,
        )
    yield from ask.about(
        "bay.thermocouple_placed.against_blanket_placed",
        "error of placing a thermocouple over that of a blanket",
        part_of_whole(bay.thermocouple_placed, bay.blanket_placed),
        "ratio",
        0.1,
        1.0,
    )
    for i, tool in enumerate(bay.instrument):
        yield from ask.about(
            f"bay.instrument[{i + 1}].step.usual", f"{tool.id}: step", tool.step, "fine mass", 1e-6, 1e-3
        )
        if tool.step is not None:
            digit = tool.step / 10.0 ** math.floor(math.log10(tool.step) + 1e-9)
            if not any(abs(digit - d) <= 1e-6 for d in (1.0, 2.0, 5.0)):
                yield from ask.about(
                    f"bay.instrument[{i + 1}].step.digit",
                    f"{tool.id}: first digit of its step, which is 1, 2 or 5 on a balance:",
                    digit,
                    "",
                    1.0,
                    1.0,
                )


def _rolls(document: Document, view: str) -> Iterator[Asked]:
    ask = Reader(view)
    for i, roll in enumerate(document.stores.roll):
        at = f"stores.roll[{i + 1}]"
        yield from ask.about(
            f"{at}.edge.against_width",
            f"{roll.id}: edge kept free over the width",
            part_of_whole(roll.edge, roll.width),
            "ratio",
            0.0,
            0.06,
        )
        yield from ask.about(
            f"{at}.length.usual", f"{roll.id}: length left", roll.length, "length", 0.5, 200.0
        )
        yield from ask.about(f"{at}.width.usual", f"{roll.id}: width", roll.width, "length", 0.04, 1.8)
        for j, piece in enumerate(roll.remnant):
            yield from ask.about(
                f"{at}.remnant[{j + 1}].width.against_roll",
                f"{piece.id}: width over the roll's",
                piece.width / roll.width,
                "ratio",
                0.1,
                1.0,
                because="it was cut from that roll",
            )
            yield from ask.about(
                f"{at}.remnant[{j + 1}].length.against_roll",
                f"{piece.id}: length over the roll's width",
                piece.length / roll.width,
                "ratio",
                0.1,
                4.0,
                because="what is longer stays on the roll",
            )


def _lots(document: Document, view: str) -> Iterator[Asked]:
    ask, catalogue = Reader(view), catalogue_of(document)
    core = document.panel.core
    for i, lot in enumerate(document.stores.lot):
        at = f"stores.lot[{i + 1}]"
        try:
            material = catalogue.get(lot.material)
        except PanelmendError:
            continue  # said where its name is
        resin, hardener = getattr(material, "resin_parts", None), getattr(material, "hardener_parts", None)
        if resin is not None and hardener is not None and lot.hardener_mass and lot.mass:
            yield from ask.about(
                f"{at}.hardener_mass.against_mix",
                f"{lot.id}: hardener over resin, and that over the mix of {lot.material}",
                lot.hardener_mass / lot.mass / (hardener.value / resin.value),
                "ratio",
                0.4,
                2.5,
                because="both come in one kit",
            )
        yield from ask.about(f"{at}.mass.usual", f"{lot.id}: mass left", lot.mass or None, "mass", 0.02, 30.0)
        yield from ask.about(f"{at}.area.usual", f"{lot.id}: area left", lot.area, "area", 0.01, 6.0)
        if lot.material == core.material:
            yield from ask.about(
                f"{at}.thickness.against_core",
                f"{lot.id}: thickness over the panel core's",
                part_of_whole(lot.thickness, core.thickness),
                "ratio",
                0.95,
                4.0,
                because="a plug is cut from it",
            )


CHECKS = (_air, _supply, _blankets, _bench, _rolls, _lots)
