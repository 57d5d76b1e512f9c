"""What the drying stage says: pressures in closed cells, drying of the skins, what is not known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from panelmend.derive import Figure
from panelmend.document.panel import Side

Moisture = Literal["none found", "found", "not checked"]
Faces = Literal[1, 2]
Gas = Literal["bay", "bag"]
FACES: tuple[Faces, ...] = (1, 2)


@dataclass(frozen=True)
class Missing:
    """A value nobody gave: what it is, the field it belongs in, what to ask whom for.

    ``of`` says what cannot be told without it: "pressure", "strength", "skins" or "core".
    """

    of: str
    what: str
    field: str
    ask: str


@dataclass(frozen=True)
class SteamBond:
    """A bond that steam loads: ``adhesive`` is its material id ("" where nobody named one).

    ``strength`` is its flatwise strength hot and wet, ``cool`` at room temperature, for steps no warmer than
    the bay. ``reached`` is the temperature at which a wet closed cell lifts with that strength where the air
    presses on the skin, ``reached_bridged`` where nothing does under the deepest vacuum (None where the
    strength is not known, or no temperature reaches it). ``made_in`` is the number of the cure operation it
    is made in, 0 for what is there from the start.
    """

    id: str
    where: str
    adhesive: str
    strength: Figure | None
    cool: Figure | None
    reached: Figure | None
    reached_bridged: Figure | None
    made_in: int


@dataclass(frozen=True)
class SteamReserve:
    """Strength of a bond over what lifts it in one heating step: with the air on the skin, and bridged.

    Both are None where nothing lifts or the strength is not known; ``words`` then say why.
    """

    bond: str
    strength: Figure | None
    in_air: Figure | None
    bridged: Figure | None
    words: str


@dataclass(frozen=True)
class Heating:
    """A closed wet cell in one heating step.

    ``number`` is that of the cure operation, 0 for drying. ``cell`` is the absolute pressure in it;
    ``lift`` what lifts the skin where the air presses on it (no bag, or a bag that lies on it),
    ``lift_bridged`` and ``lift_deepest`` where the bag takes the air's pressure away and nothing bears on the
    skin, at the least vacuum of the step (None where none is asked or the air cannot give it) and at the
    deepest possible. ``boiling`` is where open water boils under the least vacuum. Not ``bagged``: no bag
    takes the air's pressure away, so both lifts are one.
    """

    id: str
    name: str
    number: int
    temperature: Figure
    cell: Figure
    lift: Figure
    lift_bridged: Figure | None
    lift_deepest: Figure
    boiling: Figure | None
    reserves: tuple[SteamReserve, ...]
    bagged: bool = True


@dataclass(frozen=True)
class Way:
    """One way a skin dries: from ``faces`` faces, in the ``air`` of the bay or under the bag.

    ``outside`` is the content in balance with that air; ``left`` what the data's duration leaves (None where
    it gives none); ``time`` to the asked content (None where none is asked, or it lies below ``outside``).
    """

    faces: Faces
    air: Gas
    outside: Figure
    left: Figure | None
    time: Figure | None


@dataclass(frozen=True)
class SkinDrying:
    """A skin at the drying temperature.

    ``slowest`` is the diffusivity of its slowest cloth, taken all through. ``core_time`` is what each
    millimetre of water behind it would take to leave through it (None where that is not known, or no water
    was found)."""

    side: Side
    thickness: Figure
    slowest: Figure
    cloths: tuple[str, ...]
    ways: tuple[Way, ...]
    core_time: Figure | None


@dataclass(frozen=True)
class DryingPart:
    """Water and drying.

    ``dries`` says whether drying is part of the work, ``opened`` whether core is cut open. ``limits`` are
    temperatures that nothing may pass while drying. ``air_boiling`` and ``bag_boiling`` are where open water
    boils in the bay's air and under the bag while drying; ``bag_content_most`` is the content in balance with
    a bag full of vapour, ``over_water`` the one a skin settles at while water stands behind it.
    ``trips``: between these the over-temperature cut-out is set for drying (no least where a limit leaves no
    room for it; None without a drying temperature).
    """

    moisture: Moisture
    dries: bool
    opened: bool
    temperature: Figure | None
    duration: Figure | None
    rate: Figure | None
    heat_up: Figure | None
    content: Figure | None
    vacuum: Figure | None
    air_boiling: Figure | None
    bag_boiling: Figure | None
    bag_content_most: Figure | None
    over_water: Figure | None
    limits: tuple[tuple[str, Figure], ...]
    bonds: tuple[SteamBond, ...]
    heatings: tuple[Heating, ...]
    skins: tuple[SkinDrying, ...]
    wet_area: Figure | None
    drain_holes: Figure | None
    missing: tuple[Missing, ...]
    trips: tuple[Figure | None, Figure] | None = None

    @property
    def wet(self) -> bool:
        """Water was found, or nobody has looked."""
        return self.moisture != "none found"

    @property
    def faces(self) -> tuple[Faces, ...]:
        """How many faces of a skin may be open: both only where core is cut away."""
        return FACES if self.opened else FACES[:1]

    @property
    def gas(self) -> Gas:
        """Where the skins dry: under a bag where the drying asks for a vacuum, else in the bay's air."""
        return "bag" if self.vacuum is not None and self.vacuum.key == "drying.vacuum" else "bay"

    def lacking(self, *of: str) -> tuple[Missing, ...]:
        """What is missing for these answers."""
        return tuple(m for m in self.missing if m.of in of)
