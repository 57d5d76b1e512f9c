"""What is to be predicted of one cure: layers, heat, air, recipe, all in SI and in standard axes.

A problem knows nothing of how it is solved. Its digest is the name under which a prediction is kept.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, field, fields, is_dataclass
from functools import cache, cached_property
from typing import Any

from panelmend.document.panel import Side
from panelmend.physics.cure_chemistry.laws import RateLaw
from panelmend.shapes import Outline

Point = tuple[float, float]


@dataclass(frozen=True)
class Sheet:
    """One sheet of the stack where it lies; several sheets of one ``layer`` are added up place by place.

    ``layer`` is one of LAYERS; ``heat`` is the volumetric heat capacity [J/(m3 K)]; ``outline`` where it lies
    (None: all over the panel), ``without`` where it is missing (None: nowhere).
    """

    layer: str
    name: str
    thickness: float  # [m]
    k_plane: float  # [W/(m K)]
    k_through: float  # [W/(m K)]
    heat: float  # [J/(m3 K)]
    outline: Outline | None = None
    without: Outline | None = None


# From the heated side down. "behind" are a second blanket and the breather under it, on the far face.
LAYERS = (
    "bag",
    "blanket",
    "under blanket",
    "bleeder",
    "structure near",
    "patch",
    "bond line",
    "near skin",
    "core",
    "core below",  # where filled cells end within the core: what is left of it under them, all over the panel
    "floor",
    "far skin",
    "structure far",
    "blanket behind",
    "bag behind",
)


@dataclass(frozen=True)
class PlugSheet:
    """A plug of another core than the panel's, or with its ribbon turned; cells that are filled."""

    outline: Outline
    k_ribbon: float  # [W/(m K)]
    k_across: float
    k_through: float
    heat: float  # [J/(m3 K)]
    ribbon: float  # [rad]
    # how deep from the heated face [m]; None: through the whole core
    depth: float | None = field(default=None, metadata={"later": "depth "})


@dataclass(frozen=True)
class CoreSheet:
    """The core: its conductivities along and across the ribbon and through, and where there is none."""

    thickness: float  # [m]
    k_ribbon: float  # [W/(m K)]
    k_across: float
    k_through: float
    heat: float  # [J/(m3 K)]
    ribbon: float  # direction of the ribbon [rad]
    solid: tuple[Outline, ...]  # where skins meet without core
    band: Outline | None  # inside of the edge band; None for no edge band
    plug: PlugSheet | None = None  # None for one like the panel's core


@dataclass(frozen=True)
class Curing:
    """Resin that cures in a layer, one for a layer: ``heat`` of full cure on its area in ``parts``."""

    layer: str  # "patch", "bond line" for film adhesive, "floor" under a plug, "core" for a potting
    name: str
    parts: tuple[tuple[float, Outline], ...]  # [J/m2] and where, one for each ply
    law: RateLaw
    glass: tuple[float, float, float] | None  # DiBenedetto: uncured, cured [K], lambda [1]


@dataclass(frozen=True)
class Bled:
    """Resin laid up beyond what the cured plies hold: it goes into the bleeder over them and cures there.

    ``parts`` are its mass on its area and where it comes from, one for each ply; ``heat`` of cure on its
    mass, 0 where nobody gave one. What leaves to the edge lies in the bleeder beside the patch.
    """

    name: str
    parts: tuple[tuple[float, Outline], ...]  # [kg/m2]
    density: float  # [kg/m3]
    heat: float  # [J/kg]
    law: RateLaw | None
    bleeder: Outline
    laid: float  # mixed resin laid on with the plies, bled or not [kg]

    @property
    def mass(self) -> float:
        """All of it [kg]."""
        return sum(m * o.area for m, o in self.parts)


@dataclass(frozen=True)
class Splice:
    """Paste round a plug that is set here: it stands through the core like a fin and warms itself.

    ``gap`` is its width as the data asks; the cells of plug and panel that were cut open, ``cell`` wide, take
    more of it. ``depth`` is that of the plug. ``heat`` of full cure on its volume; ``stored`` and ``k`` are
    its heat capacity and conductivity.
    """

    name: str
    opening: Outline
    gap: float  # [m]
    cell: float  # [m]
    depth: float  # [m]
    heat: float  # [J/m3]
    stored: float  # [J/(m3 K)]
    k: float  # [W/(m K)]
    law: RateLaw


@dataclass(frozen=True)
class Wet:
    """Water in closed cells of the core: ``depth`` [m] of it stands in each where it ``lies``, but for what
    is ``without``. ``conductivity`` is what its vapour adds to that of the core through the thickness
    [W/(m K)]."""

    depth: float
    lies: Outline
    without: Outline
    conductivity: float


@dataclass(frozen=True)
class Rib:
    """Structure that draws heat: ``kind`` "rib", "spar", "doubler" or "fitting"."""

    id: str
    kind: str
    near: bool  # on the heated side
    outline: Outline
    thickness: float  # of its flange and web, or the depth of a fitting [m]
    height: float | None  # of its web [m]; None for a web too high to matter
    conductivity: float  # [W/(m K)]
    heat: float  # [J/(m3 K)]
    contact: float | None  # contact conductance, if known [W/(m2 K)]
    limit: float | None  # highest temperature it may see [K]


@dataclass(frozen=True)
class HeatSource:
    """A blanket: where it is heated, power at the bay's supply [W/m2], and the most it may reach [K].

    ``stuff``: its thickness [m], conductivity [W/(m K)] and volumetric heat capacity [J/(m3 K)]; None where
    not all of them are given."""

    id: str
    heated: Outline
    outer: Outline
    power: float
    limit: float | None
    stuff: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class Leg:
    """A ramp to ``target`` [K] at ``rate`` [K/s], held for ``dwell`` [s] from when all are above ``low``
    [K]."""

    target: float
    rate: float
    dwell: float
    low: float  # [K]; the target for a cool-down
    high: float | None  # [K]
    kind: str  # "heat" or "cool"
    rate_most: float | None = None  # greatest rate the data allows [K/s]
    rate_least: float | None = None  # least rate the data allows [K/s]
    rate_from: float = 0.0  # least rate of the set point that is the planner's to choose [K/s]
    points: tuple[float, float] | None = None  # set points the data leaves to choose from [K]; None for none
    dwell_most: float | None = None  # longest dwell the data allows [s]


@dataclass(frozen=True)
class Unknown:
    """Something nobody measured: its likely value and the range looked at.

    ``name`` is one of UNKNOWNS; ``unit`` its SI unit ("1" for a factor); ``ground`` where it comes from.
    ``basis``: "measured" (here, by somebody), "fitted" (to the log of an earlier cure, by this model),
    "published" (a standard's range), "held" (to be held at the bench) or "assumed" (nobody measured
    it). ``afresh``: it changes with every lay-up, so no log narrows it for the next.
    """

    name: str
    words: str
    likely: float
    low: float
    high: float
    unit: str
    ground: str
    basis: str = "assumed"
    afresh: bool = False

    def said(self, view: str) -> str:
        """Its words on a page in "mm" or "in"; the words themselves stand in inches."""
        return self.words.replace(" of 1 in", " of 25 mm") if view == "mm" else self.words


UNKNOWNS = (
    "draught over",  # film coefficient of moving air over the bag, on top of natural convection [W/(m2 K)]
    "draught behind",  # the same on the far face
    "air",  # bay air above or below what was read [K]
    "rib contact",  # factor on the contact conductance [1]
    "core",  # factor on the core's conductivities [1]
    "bag stack",  # factor on the conductance of what lies under and over the blanket [1]
    "blanket rim",  # share of power missing along its rim [1]
    "uneven along",  # share of power more at one end of the blanket than in its middle [1]
    "uneven across",
    "blanket along",  # how far the blanket lies off its place [m]
    "blanket across",
    "behind along",  # the same of the one behind
    "behind across",
    "bled aside",  # share of the bled resin that leaves to the bleeder beside the patch [1]
    "bled kept",  # share of it that has not left the plies when it cures [1]
    "cure heat",  # factor on the heat of cure [1]
    "cure rate",  # factor on the rate of cure [1]
    "potting",  # factor on the conductivity of a potting that cures here [1]
    "splice cells",  # share of the cells cut open round a plug that its paste fills [1]
    "thermocouples",  # what all thermocouples show too much, one roll of wire [K]
    "emissivity",  # of bag and panel [1]
)


@dataclass(frozen=True)
class HeatProblem:
    """Everything a prediction needs.

    ``bond`` is where the bond line lies under the patch, ``floor`` where the plug stands on the far skin
    (None for none), ``sensor_line`` where thermocouples go, ``frame`` the centre [m] and direction [rad] of
    blanket and grid. ``follow`` is "leading", "lagging" or "average". ``least_sensors`` and ``ceiling`` [K]
    are the recipe's; ``panel_limit`` [K] is the panel's own. ``second`` is a blanket of the bay that could
    lie behind; no thermocouple goes into ``avoid``; ``notes`` say what was taken for what.
    """

    operation: str
    number: int
    side: Side
    frame: tuple[Point, float]
    panel: Outline
    sheets: tuple[Sheet, ...]
    core: CoreSheet | None
    curing: tuple[Curing, ...]
    ribs: tuple[Rib, ...]
    source: HeatSource
    source_behind: HeatSource | None
    larger: HeatSource | None  # the next larger blanket of the bay that a circuit can carry
    insulation_over: float  # [m2 K/W]; 0 for none
    insulation_behind: float
    attitude: str  # "repair up", "repair down", "upright"
    air: float  # [K]
    pressure: float  # of the air [Pa]
    film: float | None  # measured film coefficient [W/(m2 K)]; None for natural convection
    legs: tuple[Leg, ...]
    follow: str
    ceiling: float | None
    panel_limit: float | None
    least_sensors: int
    bond: Outline
    floor: Outline | None
    seal_line: Outline
    sensor_line: Outline
    sensors: tuple[tuple[str, Point], ...]  # where the bag stage would put them
    unknowns: tuple[Unknown, ...]
    view: str  # units of words, "mm" or "in"
    second: HeatSource | None
    avoid: tuple[Outline, ...]
    spread_most: float | None  # largest difference between thermocouples in the dwell [K]
    release_below: float | None  # vacuum is held until all are below [K]
    rate_window: float  # s over which rates are taken
    notes: tuple[str, ...]
    bled: Bled | None = None
    places: tuple[float, float] = (0.0, 0.0)  # how far blankets and thermocouples may lie off [m]
    channel: float = 0.0  # what one thermocouple may show beside another of the same roll [K]
    wet: Wet | None = field(default=None, metadata={"later": ""})  # None: no water is counted in the core
    placed: bool | None = field(default=None, metadata={"later": "placed "})  # True: by hand
    splice: Splice | None = field(default=None, metadata={"later": ""})  # None: no paste round a plug
    # names of what cures here without a heat of cure that anybody gave; None for nothing
    uncounted: tuple[str, ...] | None = field(default=None, metadata={"later": "uncounted "})
    # what chosen insulation may see over the bag and behind [K], None for no limit; None: it has none at all
    insulation_limits: tuple[float | None, float | None] | None = field(
        default=None, metadata={"later": "insulation "}
    )

    @property
    def dwell(self) -> Leg:
        """The longest dwell: the one that counts."""
        return max((leg for leg in self.legs if leg.kind == "heat"), key=lambda leg: leg.dwell)

    def digest(self) -> str:
        """The same for the same problem."""
        return self._digest

    @cached_property
    def _digest(self) -> str:
        return hashlib.sha256(_words(self).encode("utf8")).hexdigest()[:24]


@cache
def _said_of(kind: type) -> tuple[tuple[str, str | None], ...]:
    """The fields of a kind of value, each with what is written before one that came later, else None."""
    return tuple((f.name, f.metadata.get("later")) for f in fields(kind))


def _words(value: Any) -> str:
    """Plain text of a value, the same on every machine."""
    if isinstance(value, Outline):
        return value.digest()
    if isinstance(value, RateLaw):
        return ",".join(f"{v:.9g}" for v in value.packed)
    if is_dataclass(value) and not isinstance(value, type):
        # a field that came later and says nothing leaves the name of a problem as it was
        said = [
            f"{before or ''}{_words(one)}"
            for name, before in _said_of(type(value))
            if (one := getattr(value, name)) is not None or before is None
        ]
        return f"{type(value).__name__}({';'.join(said)})"
    if isinstance(value, tuple):
        return f"[{';'.join(_words(v) for v in value)}]"
    if isinstance(value, float):
        return f"{value:.9g}"
    return repr(value)
