"""The rim of a cap cured in its opening: laid past it, kept off the skin, cut back after the cure."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.job.bag.part import BagOperation
from panelmend.job.core.part import CorePart


def rim_of(bag: BagOperation, core: CorePart) -> Figure | None:
    """How far a cap reaches past the opening [m] where it is cured in it by itself; None: no rim to cut back.

    A cap from a plate is trimmed before it is bonded. One cured with plies over it keeps its rim (J330).
    """
    if not core.cap or "cap" not in bag.lays or bag.bonds_cap or bag.cure.cured_on == "plate":
        return None
    margin = max((p.margin for p in core.cap), key=float)
    return margin if float(margin) > 0.0 and not {"plies", "fill"} & set(bag.lays) else None
