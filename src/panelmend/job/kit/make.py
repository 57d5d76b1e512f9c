"""The kit stage: every material, mix, tool and instrument, picked from the stores."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.job.bag.part import BagPart
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import CurePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.ground import Ground
from panelmend.job.kit import lines
from panelmend.job.kit.at_hand import at_hand
from panelmend.job.kit.finish import finish
from panelmend.job.kit.instruments import instruments
from panelmend.job.kit.mixing import core_adhesives, mixes, way_of, wet_sheets, with_excess
from panelmend.job.kit.part import KitPart
from panelmend.job.kit.stores import Shelf
from panelmend.job.nest.part import NestPart
from panelmend.job.plies.part import PliesPart


def make(
    case: Case,
    ledger: Ledger,
    cutout: CutoutPart,
    plies: PliesPart,
    core: CorePart,
    nest: NestPart,
    bags: BagPart,
    cures: CurePart,
) -> KitPart:
    """Gather the kit.

    Returns:
        Lines in the order of a storekeeper's round, mixes in the order they are mixed, wet-out sheets.
    """
    ground = Ground(case, ledger)
    sheets = wet_sheets(ground, nest)
    portions = core_adhesives(ground, core, bags)
    mixed = with_excess(ground, mixes(ground, bags, sheets, portions, plies, core), cures)
    shelf = Shelf(ground)
    found = (
        *lines.cloths(ground, nest),
        *lines.mixed_materials(ground, shelf, mixed),
        *lines.unmixed(ground, shelf, portions),
        *lines.core_sheet(ground, shelf, core),
        *lines.bagging(ground, shelf, core, plies, bags),
        *lines.consumables(ground, shelf, cures, len(sheets), sum(len(m.pots) for m in mixed)),
        *finish(ground, plies),
        *at_hand(ground, bags, core, wet=bool(mixed)),
        *instruments(ground),
        *lines.equipment(ground, bags),
    )
    return KitPart(found, mixed, sheets, way_of(ground) if sheets else None)
