"""How far from its units a quantity may be before it is a slip of the keyboard."""

from __future__ import annotations

from panelmend.units.kinds import KINDS

# Of these kinds, constants found by fitting run over any number of decades.
OPEN = frozenset({"rate", "diffusivity"})
SPAN_FACTOR = 1e9


def span(kind: str) -> tuple[float, float]:
    """The least above zero and the most [SI] that a quantity can be: far beyond its units.

    Beyond lies a slip of the keyboard, and no arithmetic is trusted there. Common practice, no source.
    """
    if kind in OPEN:
        return 1e-300, 1e300
    scales = [scale for scale, _ in KINDS[kind].units.values()]
    least = 0.0 if kind == "temperature" else min(*scales, 1.0) / SPAN_FACTOR
    return least, max(*scales, 1.0) * SPAN_FACTOR
