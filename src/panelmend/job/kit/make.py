"""The kit stage: every material, mix, tool and instrument, picked from the stores."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.job.bag.part import BagPart
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import CurePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.kit import lines
from panelmend.job.kit.at_hand import at_hand
from panelmend.job.kit.drying import drying_lines
from panelmend.job.kit.finish import finish_lines
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
    basis = Basis(case, ledger)
    sheets = wet_sheets(basis, nest)
    portions = core_adhesives(basis, core, bags)
    mixed = with_excess(basis, mixes(basis, bags, sheets, portions, plies, core), cures)
    shelf = Shelf(basis)
    found = (
        *lines.cloths(basis, nest),
        *lines.mixed_materials(basis, shelf, mixed),
        *lines.unmixed(basis, shelf, portions),
        *lines.core_sheet(basis, shelf, core),
        *lines.bagging(basis, shelf, core, plies, bags),
        *lines.consumables(basis, shelf, cures, len(sheets), sum(len(m.pots) for m in mixed)),
        *finish_lines(basis, plies),
        *at_hand(basis, bags, core, wet=bool(mixed)),
        *instruments(basis),
        *lines.equipment(basis, bags),
        *drying_lines(basis, bags),
    )
    return KitPart(found, mixed, sheets, way_of(basis) if sheets else None)
