"""The bay and the stores against themselves: height against barometer, blankets, what a shelf can hold."""

from __future__ import annotations

import math

from panelmend.document.model import Document, catalogue_of
from panelmend.document.question import MEMORY, PRACTICE, Subject, Usual, Weighed, part_of_whole
from panelmend.errors import PanelmendError
from panelmend.physics.atmosphere import standard_pressure
from panelmend.units.fundamental import SEA_LEVEL_PRESSURE

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
WEATHER_SHARE = (
    0.045  # of the standard pressure: what weather does nearly every day; common practice, no source
)
PACE = {
    "mix": (60.0, 1200.0),
    "wet_out": (45.0, 1200.0),
    "lay": (20.0, 900.0),
    "plug": (60.0, 1800.0),
    "bag": (120.0, 3000.0),
    "hold": (30.0, 1200.0),
}


def _air(document: Document) -> Weighed:
    bay = document.bay
    if bay.elevation is None or bay.barometer is None:
        return
    off = bay.barometer / standard_pressure(bay.elevation)
    low = abs(bay.barometer / SEA_LEVEL_PRESSURE - 1.0) <= WEATHER_SHARE and off > 1.0
    hint = "; a setting reduced to sea level is no reading at the bay" if low else ""
    yield Usual(
        "bay.barometer.against_elevation",
        "barometer over the standard pressure at the bay's elevation",
        off,
        "ratio",
        1.0 - WEATHER_SHARE,
        1.0 + WEATHER_SHARE,
        source="US Standard Atmosphere 1976; weather: common practice, no source",
        because=f"one of the two is wrong{hint}",
    )


def _supply(document: Document) -> Weighed:
    bay = document.bay
    volts = [("bay.supply", "supply voltage", bay.supply)]
    volts += [
        (f"bay.blanket[{i + 1}].voltage", f"{b.id}: rated voltage", b.voltage)
        for i, b in enumerate(bay.blanket)
    ]
    for key, what, value in volts:
        if value is not None and not any(abs(value / s - 1.0) <= 0.03 for s in SUPPLIES):
            near = min(SUPPLIES, key=lambda s: abs(s - value))
            yield Usual(f"{key}.usual", what, value, "voltage", near, near, source=PRACTICE)
    for i, b in enumerate(bay.blanket):
        of, share = (
            Subject(f"bay.blanket[{i + 1}]", b, b.id, source=PRACTICE),
            part_of_whole(b.voltage, bay.supply),
        )
        what, why = "rated voltage over the supply's", "power goes with the square"
        yield of.row("voltage.against_supply", what, share, "ratio", 0.8, 1.25, because=why)
    for i, c in enumerate(bay.circuit):
        if not any(abs(c.rating / s - 1.0) <= 1e-6 for s in BREAKERS):
            near = min(BREAKERS, key=lambda s: abs(s - c.rating))
            yield Subject(f"bay.circuit[{i + 1}]", c, c.id, source=PRACTICE).usual(
                "rating", "rating", "current", near, near
            )


def _blankets(document: Document) -> Weighed:
    for i, b in enumerate(document.bay.blanket):
        of = Subject(f"bay.blanket[{i + 1}]", b, b.id, source=PRACTICE)
        for side in ("length", "width"):
            yield of.usual(side, f"{side} of a blanket", "length", 0.1, 1.6)
        yield of.share("length", "width", "length over width", 0.2, 5.0)
        source = "1 to 15 W/in2, from memory"
        yield of.usual("power_density", "power density", "power density", 1500.0, 25000.0, source=source)
        yield of.row(
            "areal_mass.against_thickness",
            "mass on its area over its thickness",
            part_of_whole(b.areal_mass, b.thickness),
            "density",
            600.0,
            2500.0,
            source=f"silicone rubber 1100 to 1500 kg/m3 with wire or foil; {MEMORY}",
        )
        yield of.usual("thickness", "thickness", "thickness", 0.0005, 0.012)
        source = f"silicone rubber 0.2 to 0.4 W/mK; {MEMORY}"
        yield of.usual("conductivity", "conductivity", "conductivity", 0.1, 0.8, source=source)
        source = f"silicone rubber 1200 to 1500 J/kgK; {MEMORY}"
        yield of.usual("specific_heat", "specific heat", "specific heat", 800.0, 2200.0, source=source)
        hottest = max((c.ceiling or max(s.to for s in c.segment) for c in document.data.cure), default=None)
        if b.limit is not None and hottest is not None:
            what, above = "its limit above the hottest a cure may get:", b.limit - hottest
            yield of.row("limit.against_cure", what, above, "temperature difference", 15.0, 250.0)


def _bench(document: Document) -> Weighed:
    bay = document.bay
    if bay.pace is not None:
        pace = Subject("bay.pace", bay.pace, "pace", source=PRACTICE)
        for name, (low, high) in PACE.items():
            yield pace.usual(name, name.replace("_", " "), "time", low, high)
    what = "error of placing a thermocouple over that of a blanket"
    yield Subject("bay", bay, source=PRACTICE).share("thermocouple_placed", "blanket_placed", what, 0.1, 1.0)
    for i, tool in enumerate(bay.instrument):
        of = Subject(f"bay.instrument[{i + 1}]", tool, tool.id, source=PRACTICE)
        yield of.usual("step", "step", "fine mass", 1e-6, 1e-3)
        if tool.step is not None:
            digit = tool.step / 10.0 ** math.floor(math.log10(tool.step) + 1e-9)
            if not any(abs(digit - d) <= 1e-6 for d in (1.0, 2.0, 5.0)):
                what = "first digit of its step, which is 1, 2 or 5 on a balance:"
                yield of.row("step.digit", what, digit, "", 1.0, 1.0)


def _rolls(document: Document) -> Weighed:
    for i, roll in enumerate(document.stores.roll):
        of = Subject(f"stores.roll[{i + 1}]", roll, roll.id, source=PRACTICE)
        yield of.share("edge", "width", "edge kept free over the width", 0.0, 0.06)
        yield of.usual("length", "length left", "length", 0.5, 200.0)
        yield of.usual("width", "width", "length", 0.04, 1.8)
        for j, piece in enumerate(roll.remnant):
            left = Subject(f"{of.at}.remnant[{j + 1}]", piece, piece.id, source=PRACTICE)
            for side, most, what, why in (
                ("width", 1.0, "width over the roll's", "it was cut from that roll"),
                ("length", 4.0, "length over the roll's width", "what is longer stays on the roll"),
            ):
                share = part_of_whole(left.value(side), roll.width)
                yield left.row(f"{side}.against_roll", what, share, "ratio", 0.1, most, because=why)


def _lots(document: Document) -> Weighed:
    catalogue, core = catalogue_of(document), document.panel.core
    for i, lot in enumerate(document.stores.lot):
        of = Subject(f"stores.lot[{i + 1}]", lot, lot.id, source=PRACTICE)
        try:
            material = catalogue.get(lot.material)
        except PanelmendError:
            continue  # said where its name is
        resin, hardener = getattr(material, "resin_parts", None), getattr(material, "hardener_parts", None)
        if resin is not None and hardener is not None and lot.hardener_mass and lot.mass:
            yield of.row(
                "hardener_mass.against_mix",
                f"hardener over resin, and that over the mix of {lot.material}",
                lot.hardener_mass / lot.mass / (hardener.value / resin.value),
                "ratio",
                0.4,
                2.5,
                because="both come in one kit",
            )
        yield of.row("mass.usual", "mass left", lot.mass or None, "mass", 0.02, 30.0)
        yield of.usual("area", "area left", "area", 0.01, 6.0)
        if lot.material == core.material:
            what, share = "thickness over the panel core's", part_of_whole(lot.thickness, core.thickness)
            why = "a plug is cut from it"
            yield of.row("thickness.against_core", what, share, "ratio", 0.95, 4.0, because=why)


CHECKS = (_air, _supply, _blankets, _bench, _rolls, _lots)
