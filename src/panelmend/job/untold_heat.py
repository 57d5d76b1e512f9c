"""A heated potting of which nothing is predicted: no heat unless a person took it on by name."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence

from panelmend.document.model import Confirmation
from panelmend.job.bag.part import BagOperation
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import OWN_HEAT, SHORT, CureOperation

POTTED = {"potting", "core"}  # what a cure may call the part that fills the cells


def untold(core: CorePart, bag: BagOperation, operation: CureOperation) -> bool:
    """Whether a potting is heated here and its heat cannot be predicted: constants are missing, it ends
    within the core and is heated from its other face, or an oven heats it."""
    here = core.action == "pot" and bool(POTTED & set(bag.lays))
    heated = bag.cure.heated_by != "room temperature"
    return here and heated and (bool(operation.missing) or operation.never)


def untold_paste(core: CorePart, bag: BagOperation, operation: CureOperation) -> bool:
    """Whether paste round a plug is heated here and nothing is predicted of it."""
    pasted = core.plug is not None and bool(core.adhesive) and "core" in bag.lays
    if not pasted or not bag.on_panel or bag.cure.heated_by == "room temperature":
        return False
    return operation.problem is None or operation.problem.splice is None


def own_heat_key(core: CorePart, bag: BagOperation, operation: CureOperation) -> str:
    """Key under which a person takes such a cure on. It names compound, size and cure cycle as they are, so
    that nobody has taken on another."""
    volume = repr(core.splice_volume.value) if core.splice_volume is not None else ""
    shape = core.potting_outline.digest() if core.potting_outline is not None else ""
    cycle = (repr(bag.cure), repr(operation.set_point.value), bag.heated_from)
    rate = repr(operation.rate.value) if operation.rate is not None else ""
    made = hashlib.sha256(repr((core.adhesive, core.side, volume, shape, *cycle, rate)).encode("utf8"))
    return f"cure.{operation.number}.{OWN_HEAT}{made.hexdigest()[:SHORT]}"


def taken_on(named: Sequence[Confirmation], key: str) -> Confirmation | None:
    """Who took on the cure of this key by name."""
    return next((c for c in named if c.figure == key and not c.sheet), None)
