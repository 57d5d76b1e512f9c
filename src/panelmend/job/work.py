"""The work: the parts of every stage between the limits and the card, for a repair that is carried out."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.job.bag.part import BagPart
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import CurePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.drying.part import DryingPart
from panelmend.job.kit.part import KitPart
from panelmend.job.nest.part import NestPart
from panelmend.job.plies.part import PliesPart


@dataclass(frozen=True)
class Work:
    """Everything that is cut, dried, laid, bagged and gathered."""

    cutout: CutoutPart
    plies: PliesPart
    core: CorePart
    drying: DryingPart
    nest: NestPart
    bag: BagPart
    cure: CurePart
    kit: KitPart
