"""A weave, a tape, a core and a panel of them, skew and uneven in every way: what digits are kept of."""

from __future__ import annotations

from panelmend.physics import laminate
from panelmend.physics.laminate import Lamina, LaminatePly, Strengths
from panelmend.physics.laminate.lamina import StrainLimits
from panelmend.physics.sandwich import (
    Sandwich,
    SandwichCore,
)


def _lamina(
    name: str, stiff: tuple[float, ...], strong: tuple[float, ...], most: tuple[float, ...]
) -> Lamina:
    """One cloth: E1, E2, G12 [Pa], nu12, two expansions [1/K], two of moisture; strengths [Pa]; strains."""
    e1, e2, g12, nu, *rest = stiff
    return Lamina(e1, e2, g12, nu, *rest, Strengths(*strong), StrainLimits(*most), name)


WEAVE = _lamina(
    "weave",
    (61e9, 47e9, 4.3e9, 0.07, 3.1e-6, 5.7e-6, 0.02, 0.31),
    (610e6, 480e6, 530e6, 415e6, 83e6),
    (0.0101, 0.0083, 0.0117, 0.0091, 0.019),
)
UD = _lamina(
    "tape",
    (138e9, 9.1e9, 4.9e9, 0.31, -0.4e-6, 27e-6, 0.01, 0.52),
    (1510e6, 1130e6, 47e6, 181e6, 71e6),
    (0.0109, 0.0079, 0.0051, 0.0197, 0.0147),
)
SKEW = [LaminatePly(WEAVE, 0.31, 0.21e-3), LaminatePly(UD, -0.73, 0.14e-3), LaminatePly(WEAVE, 1.17, 0.27e-3)]
CORE = SandwichCore(63e6, 31e6, 147e6, 1.31e6, 0.79e6, 2.3e6, 1.7e6, 4.7e-3, 64.0, "comb")


def skew_panel(core: SandwichCore = CORE) -> Sandwich:
    lower = laminate.laminate(SKEW)
    upper = laminate.laminate([SKEW[2], LaminatePly(UD, 0.4, 0.13e-3)])
    return Sandwich(lower, core, 17e-3, upper, 0.37, 2.1e-3)
