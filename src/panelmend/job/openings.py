"""What hangs over an opening: the rim of a cap that is cured in it, and plies laid while its core is out."""

from __future__ import annotations

from collections.abc import Sequence

from panelmend.derive import Figure
from panelmend.job.bag.part import BagOperation
from panelmend.job.core.part import CorePart


def rim_of(bag: BagOperation, core: CorePart) -> Figure | None:
    """How far a cap reaches past the opening [m] where it is cured in it by itself; None: no rim to cut back.

    A cap from a plate is trimmed before it is bonded. One cured with plies over it keeps its rim (J330).
    """
    if not core.cap or "cap" not in bag.lays or bag.bonds_cap or bag.cure.on_plate:
        return None
    margin = max((p.margin for p in core.cap), key=float)
    return margin if float(margin) > 0.0 and not {"plies", "fill"} & set(bag.lays) else None


def cap_alone(bag: BagOperation, every: Sequence[BagOperation], core: CorePart) -> bool:
    """Whether a cap cured beforehand is bonded by itself, on a plug set from that side in an earlier one."""
    if not bag.bonds_cap or tuple(bag.lays) != ("cap",) or bag.side != core.side:
        return False
    earlier = [b for b in every if b.number < bag.number and b.side == core.side]
    return core.plug is not None and any("core" in b.lays for b in earlier)


def over_the_hole(bag: BagOperation, every: Sequence[BagOperation], core: CorePart) -> bool:
    """Whether plies are laid over a hole with a support on the other face and no core between."""
    if bag.behind is None or bag.behind.kind != "support" or core.action == "none":
        return False
    filled = any({"core", "potting"} & set(b.lays) for b in every if b.number <= bag.number)
    return "plies" in bag.lays and not filled


def empty_when_tried(bag: BagOperation, every: Sequence[BagOperation], core: CorePart) -> bool:
    """Whether the opening has nothing in it when the heat of an operation is tried on the dry stack.

    A plug lies in it dry; potting compound, or what fills a hole without core, does not.
    """
    if core.action == "none" or bag.cure.on_plate:
        return False
    if "core" in bag.lays and core.plug is not None:
        return False
    return not any({"core", "potting"} & set(b.lays) for b in every if b.number < bag.number)
