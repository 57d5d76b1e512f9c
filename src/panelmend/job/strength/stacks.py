"""Laminates and sandwiches of the case as things a figure can rest on."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, assert_never, get_args

from panelmend.job.case import Case, Layer
from panelmend.materials import Cloth
from panelmend.materials.model import Structural
from panelmend.physics.joint import BeamStep, Bond, Ends, PlugSpring
from panelmend.physics.laminate import Lamina, Laminate, LaminatePly, Strengths, laminate
from panelmend.physics.sandwich import Sandwich, SandwichCore
from panelmend.physics.structure_inputs import NotComputed
from panelmend.units import show, to_unit, unit_for

Condition = Literal["room", "hot and wet"]
CONDITIONS: tuple[Condition, ...] = get_args(Condition)


def hot_and_wet(condition: Condition) -> bool:
    """Whether it is hot and wet; if not, as at room temperature.

    Raises:
        AssertionError: a condition that nobody knows; it must not pass for the drier one or the wetter one.
    """
    match condition:
        case "hot and wet":
            return True
        case "room":
            return False
        case _:
            assert_never(condition)


@dataclass(frozen=True)
class Stack:
    """A laminate from the inside out: (constants, warp [rad], thickness [m]) of each ply, and its name."""

    name: str
    plies: tuple[tuple[Structural, float, float], ...]

    def digest(self) -> str:
        """Equal for equal stacks."""
        return hashlib.sha256(repr(self.plies).encode("utf8")).hexdigest()

    def summary(self, view: str = "mm") -> str:
        """The lay-up in words, from the inside out."""
        angles = "/".join(f"{round(math.degrees(a), 1):g}" for _, a, _ in self.plies)
        return f"{self.name}: [{angles}], {_thick(self.thickness, view, 2)}"

    @property
    def thickness(self) -> float:
        """Thickness [m]."""
        return sum(t for _, _, t in self.plies)

    def laminate(self) -> Laminate:
        """The laminate, first ply at the inside."""
        return _laminate(self.plies, self.name)


@lru_cache(maxsize=1024)
def _laminate(plies: tuple[tuple[Structural, float, float], ...], name: str) -> Laminate:
    return laminate([LaminatePly(_lamina(s, name), a, t) for s, a, t in plies])


def _lamina(s: Structural, name: str) -> Lamina:
    strengths = Strengths(s.xt, s.xc, s.yt, s.yc, s.s)
    return Lamina(s.e1, s.e2, s.g12, s.nu12, strengths=strengths, name=name)


@dataclass(frozen=True)
class Section:
    """A sandwich: inner stack, core, outer stack; z = 0 in the middle of the core, z up to the outside."""

    inner: Stack
    outer: Stack
    core: SandwichCore
    thickness: float
    ribbon: float

    def digest(self) -> str:
        """Equal for equal sections."""
        rows = (self.inner.digest(), self.outer.digest(), repr(self.core), self.thickness, self.ribbon)
        return hashlib.sha256(repr(rows).encode("utf8")).hexdigest()

    def summary(self, view: str = "mm") -> str:
        """The section in words."""
        core = _thick(self.thickness, view, 1)
        return f"{self.inner.summary(view)}; core {core}; {self.outer.summary(view)}"

    def sandwich(self) -> Sandwich:
        """The sandwich the physics computes with."""
        return Sandwich(
            self.inner.laminate(), self.core, self.thickness, self.outer.laminate(), ribbon=self.ribbon
        )


@dataclass(frozen=True)
class BondThing:
    """A bond kept as one figure.

    ``through``: plies of the skin run on under the patch, so the strip begins in the middle of the cut-out,
    where nothing slips; else the patch carries everything at the start. ``dT`` [K] is counted from the
    stress-free state. ``straps`` and ``skins`` bend, one each a step, and the ``core`` under the skin is a
    spring [N/m3], None where its modulus is not known. ``plugs``: the softest and the stiffest that the plug
    can be under a skin that is cut through; none where plies run on. ``scarf``: whether the first step beyond
    the cut is one.
    """

    bond: Bond
    names: tuple[str, ...]
    through: bool
    dT: float = 0.0
    straps: tuple[BeamStep, ...] = ()
    skins: tuple[BeamStep, ...] = ()
    core: float | None = None
    plugs: tuple[PlugSpring, ...] = ()
    scarf: bool = False

    def ends(self, load: float) -> tuple[Ends, ...]:
        """Ends of the strip under a running load of the whole skin [N/m]; both senses where heat stays."""
        ways = (load, -load) if self.dT else (load,)
        return tuple(Ends(None if self.through else p, 0.0, p, self.dT) for p in ways)

    def digest(self) -> str:
        """Equal for equal bonds."""
        beams = (self.straps, self.skins, self.core, self.plugs, self.scarf)
        whole = (self.bond, self.names, self.through, self.dT, beams)
        return hashlib.sha256(repr(whole).encode("utf8")).hexdigest()

    def summary(self, view: str = "mm") -> str:
        """Steps and adhesive in words."""
        unit = unit_for("length", view)
        places = 1 if view == "mm" else 3
        steps = " + ".join(f"{to_unit(s.length, 'length', unit):.{places}f}" for s in self.bond.steps)
        return f"bond of {steps} {unit} with {self.bond.adhesive.name}"


def _thick(metres: float, view: str, decimals: int) -> str:
    """A thickness, to the thousandth of an inch where inches are read."""
    return show(metres, "length", view, decimals=decimals if view == "mm" else 3)


def constants(cloth: Cloth, condition: Condition) -> Structural | NotComputed:
    """A cloth's constants in a condition, or why there are none."""
    found = cloth.hot_wet if hot_and_wet(condition) else cloth.room
    if found is None:
        return NotComputed(
            f"{cloth.id} has no {condition} values ({'hot_wet' if hot_and_wet(condition) else 'room'})"
        )
    return found


def stack_of(
    case: Case, name: str, rows: list[tuple[str, float, float]], condition: Condition
) -> Stack | NotComputed:
    """A stack of (cloth, warp [rad], thickness [m]) from the inside out."""
    plies = []
    for cloth, warp, thickness in rows:
        values = constants(case.catalogue.cloth(cloth), condition)
        if isinstance(values, NotComputed):
            return values
        plies.append((values, warp, thickness))
    return Stack(name, tuple(plies)) if plies else NotComputed(f"{name} has no plies")


def stack_rows(layers: tuple[Layer, ...]) -> list[tuple[str, float, float]]:
    """A skin's plies from the inside out (the document lists them outside in): cloth, angle [rad], [m]."""
    return [(p.cloth, p.warp, p.thickness) for p in reversed(layers)]


def sandwich_core_of(case: Case, ident: str, condition: Condition) -> SandwichCore | NotComputed:
    """A core's constants in a condition."""
    core = case.catalogue.core(ident)
    if core.g_ribbon is None or core.g_across is None:
        return NotComputed(f"core {ident} has no shear moduli (g_ribbon, g_across)")
    factor = 1.0
    if hot_and_wet(condition):
        if core.hot_wet_factor is None:
            return NotComputed(f"core {ident} has no hot_wet_factor")
        factor = core.hot_wet_factor.value

    def part(name: str) -> float | None:
        found = getattr(core, name)
        return None if found is None else factor * found.value

    return SandwichCore(
        factor * core.g_ribbon.value,
        factor * core.g_across.value,
        part("e_through"),
        part("s_ribbon"),
        part("s_across"),
        part("crush_strength"),
        part("tension_strength"),
        core.cell_size.value,
        core.density.value,
        ident,
    )
