"""Whether the repair plies are like the plies they replace: how many, how thick, which way."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from panelmend.document.panel import Side
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.stacks import constants
from panelmend.physics.structure_inputs import NotComputed

MODULI_ALIKE = 0.05  # moduli closer than this: a quarter turn makes no other ply
THICKNESS_ALIKE = 1e-9  # m


class Unlike(StrEnum):
    """In what the repair differs from what was cut."""

    FEWER = "fewer plies"
    THINNER = "thinner cloth"
    TURNED = "warp differs"


@dataclass(frozen=True)
class SkinDifference:
    """One difference of one skin, with what was read (plies; metres; radians)."""

    kind: Unlike
    side: Side
    ply: str
    repair: float
    parent: float


def skin_differences(lay: AsLaid) -> tuple[SkinDifference, ...]:
    """Differences between the repair plies of every cut skin and the plies that were cut.

    Plies are compared in their order from the panel outwards. Where a cloth is as stiff along as across, a
    quarter turn is no difference.
    """
    found: list[SkinDifference] = []
    tolerance = float(lay.plies.angle_tolerance)
    for layup in lay.plies.sides:
        side = layup.side
        cut = lay.cut(side)
        cut = cut if side == "outside" else cut[::-1]
        plies = [p for p in lay.carrying(side) if p.role != "fill"]
        count = sum(
            p.role == "repair" for p in plies
        )  # an extra ply is beyond those, and hides none that lacks
        if count < len(cut):
            found.append(SkinDifference(Unlike.FEWER, side, "", count, len(cut)))
        for ply, (cloth, warp, thickness) in zip(plies, cut, strict=False):
            if float(ply.thickness) < thickness - THICKNESS_ALIKE:
                found.append(SkinDifference(Unlike.THINNER, side, ply.id, float(ply.thickness), thickness))
            turn = math.pi / 2 if _stiff_alike(lay, cloth) and _stiff_alike(lay, ply.cloth) else math.pi
            off = abs((float(ply.warp) - warp + turn / 2) % turn - turn / 2)
            if off > tolerance + 1e-9:
                found.append(SkinDifference(Unlike.TURNED, side, ply.id, float(ply.warp), warp))
    return tuple(found)


def _stiff_alike(lay: AsLaid, cloth: str) -> bool:
    values = constants(lay.case.catalogue.cloth(cloth), "room")
    return not isinstance(values, NotComputed) and abs(values.e1 / values.e2 - 1.0) < MODULI_ALIKE
