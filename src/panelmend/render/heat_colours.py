"""The colours of temperature maps: pale where cold, dark where hot, even steps to the eye, readable in grey.

Only lightness has to be told apart to read a map, so that a black and white print and a reader who cannot
tell red from green see the same order."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass
from functools import cache

from panelmend.units import KINDS, to_unit, unit_for

COLDER = "#ffffff"  # below the first step of a scale
_WHITE = (0.95047, 1.0, 1.08883)  # D65, CIE 15
_TO_SRGB = ((3.2406, -1.5372, -0.4986), (-0.9689, 1.8758, 0.0415), (0.0557, -0.2040, 1.0570))  # IEC 61966-2-1
_ROUND = (0.5, 1.0, 2.0, 2.5, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0)
Lab = tuple[float, float, float]


@dataclass(frozen=True)
class HeatScale:
    """Steps of a map: ``edges`` in the reader's ``unit``, rising; a colour for each step between two
    edges."""

    edges: tuple[float, ...]
    unit: str

    @property
    def colours(self) -> tuple[str, ...]:
        """One colour for each step, cold to hot."""
        return even_colours(len(self.edges) - 1)

    def kelvin(self, edge: float) -> float:
        """An edge in K."""
        scale, offset = KINDS["temperature"].units[self.unit]
        return edge * scale + offset

    def share(self, kelvin: float) -> float:
        """Where a temperature stands on the scale: 0 at the first edge, 1 at the last."""
        shown = to_unit(kelvin, "temperature", self.unit)
        return (shown - self.edges[0]) / (self.edges[-1] - self.edges[0])

    def colour(self, kelvin: float) -> str:
        """The colour a temperature is drawn in."""
        shown = to_unit(kelvin, "temperature", self.unit) + 1e-9  # a round edge stays on its own side
        if shown < self.edges[0]:
            return COLDER
        step = sum(shown >= e for e in self.edges[1:-1])
        return self.colours[step]


def scale_for(coldest: float, hottest: float, view: str, most: int = 9) -> HeatScale:
    """A scale of at most ``most`` round steps that holds temperatures from coldest to hottest [K]."""
    unit = unit_for("temperature", view)
    low, high = (to_unit(v, "temperature", unit) for v in (coldest, hottest))
    high = max(high, low + 1.0)
    for step in _ROUND:
        first = math.floor(low / step + 1e-9)
        last = max(math.ceil(high / step - 1e-9), first + 2)
        if last - first <= most:
            break
    return HeatScale(tuple(step * i for i in range(first, last + 1)), unit)


@cache
def even_colours(count: int) -> tuple[str, ...]:
    """``count`` colours from pale to dark that differ by the same to the eye (distance in CIELAB, CIE 15)."""
    fine = [_path(i / 2000.0) for i in range(2001)]
    walked = [0.0]
    for a, b in itertools.pairwise(fine):
        walked.append(walked[-1] + math.dist(a, b))
    made, at = [], 0
    for k in range(count):
        wanted = walked[-1] * (k / (count - 1) if count > 1 else 0.5)
        while walked[at] < wanted - 1e-9 and at < 2000:
            at += 1
        made.append(_hex(fine[at]))
    return tuple(made)


def _path(t: float) -> Lab:
    """From pale yellow by orange to dark red: lightness falls steadily along it."""
    lightness, chroma, hue = (
        95.0 - 65.0 * t,
        20.0 + 28.0 * t + 150.0 * t * (1.0 - t),
        math.radians(98.0 - 72.0 * t),
    )
    return lightness, chroma * math.cos(hue), chroma * math.sin(hue)


def _hex(lab: Lab) -> str:
    """A CIELAB colour in sRGB."""
    fy = (lab[0] + 16.0) / 116.0
    xyz = [w * _cube(f) for w, f in zip(_WHITE, (fy + lab[1] / 500.0, fy, fy - lab[2] / 200.0), strict=True)]
    linear = (sum(m * v for m, v in zip(row, xyz, strict=True)) for row in _TO_SRGB)
    return "#" + "".join(f"{round(255.0 * _encoded(min(max(v, 0.0), 1.0))):02x}" for v in linear)


def _cube(f: float) -> float:
    return f**3 if f > 6.0 / 29.0 else (f - 4.0 / 29.0) * 3.0 * (6.0 / 29.0) ** 2


def _encoded(v: float) -> float:
    return 12.92 * v if v <= 0.0031308 else float(1.055 * v ** (1.0 / 2.4) - 0.055)
