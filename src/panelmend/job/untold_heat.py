"""Heat that nobody predicted: it stays off unless a person took it on by name."""

from __future__ import annotations

import hashlib
from enum import StrEnum

from panelmend.job.bag.part import BagOperation
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import DIGEST_LETTERS, OWN_HEAT, UNPREDICTED, CureOperation, CurePart, Outlook
from panelmend.job.drying.part import DryingPart

POTTED = {"potting", "core"}  # what a cure may call the part that fills the cells
ROOM = "room temperature"
COLD = {
    "air_temperature",
    "film_coefficient",
    "elevation",
    "supply",
}  # of the bay: what heat goes to and comes from


class Unpredicted(StrEnum):
    """Why nobody knows how hot a cure gets, or knows it for one case alone."""

    CONSTANTS = "constants are missing"
    NOT_RUN = "this version has not predicted it yet"
    ALONE = "it was predicted with the likely values alone"
    PASTE = "paste round the plug is not counted"
    ROOM = "what fills the core warms itself, heated or not"
    OVEN = "an oven warms the whole panel, of which nothing is predicted"


class Undried(StrEnum):
    """Why nobody knows how hot drying gets, and how cold the foot of the core stays."""

    LACKS = "blanket, air or constants of the first cure are missing for it"
    NOT_RUN = "this version has not predicted it yet"


def untold(core: CorePart, bag: BagOperation, operation: CureOperation) -> bool:
    """Whether a potting is heated here and its heat cannot be predicted: constants are missing, it ends
    within the core and is heated from its other face, or an oven heats it."""
    here = core.action == "pot" and bool(POTTED & set(bag.lays))
    heated = bag.cure.heated_by != ROOM
    return here and heated and (bool(operation.missing) or operation.never)


def untold_paste(core: CorePart, bag: BagOperation, operation: CureOperation) -> bool:
    """Whether paste round a plug is heated here and nothing is predicted of it."""
    if not _pasted(core, bag) or not bag.on_panel or bag.cure.heated_by == ROOM:
        return False
    return operation.problem is None or operation.problem.splice is None


def unpredicted(core: CorePart, bag: BagOperation, operation: CureOperation) -> tuple[Unpredicted, ...]:
    """What is not predicted of a cure that warms the panel; a potting that is ``untold`` has its own
    question. None for an oven or a plate that heats plies alone, off the panel: its own survey proves it."""
    if untold(core, bag, operation):
        return ()
    found, made = list[Unpredicted](), operation.prediction
    if operation.missing:
        found.append(Unpredicted.CONSTANTS)
    elif operation.problem is not None and made is None:
        found.append(Unpredicted.NOT_RUN)
    elif made is not None and made.outlook is Outlook.UNTRIED:
        found.append(Unpredicted.ALONE)
    if bag.on_panel and bag.cure.heated_by == "oven":
        found.append(Unpredicted.OVEN)
    if untold_paste(core, bag, operation):
        found.append(Unpredicted.PASTE)
    if bag.cure.heated_by == ROOM and POTTED & set(bag.lays) and (core.action == "pot" or _pasted(core, bag)):
        found.append(Unpredicted.ROOM)
    return tuple(found)


def _pasted(core: CorePart, bag: BagOperation) -> bool:
    return core.plug is not None and bool(core.adhesive) and "core" in bag.lays


def unpredicted_key(case: Case, core: CorePart, bag: BagOperation, operation: CureOperation) -> str:
    """Key under which a person takes on a cure of which something is not predicted. It names what is not,
    and data, panel, damage, materials, blankets, choices and the bay's air as they are typed: another is not
    taken on."""
    why = [u.name for u in unpredicted(core, bag, operation)]
    return f"cure.{operation.number}.{UNPREDICTED}{_digest(case, bag.name, bag.blanket, why)}"


def undried(cures: CurePart, dried: DryingPart) -> Undried | None:
    """Why the heat of drying is not predicted; None where it is, or where nothing is dried by heat."""
    if not (dried.dries and dried.wet) or dried.temperature is None or cures.dried is not None:
        return None
    return Undried.LACKS if cures.drying is None else Undried.NOT_RUN


def undried_key(case: Case, why: Undried) -> str:
    """Key under which a person takes on drying whose heat is not predicted: of this document and no other."""
    return f"drying.undried_{_digest(case, why.name)}"


def put_back_key(case: Case, number: int) -> str:
    """Key under which a person takes on the heat that cures what is put back, by its number in the data: of
    this document and no other."""
    return f"put_back.{number}.{UNPREDICTED}{_digest(case, number)}"


def _digest(case: Case, *what: object) -> str:
    d = case.document
    parts = (d.data, d.panel, d.damage, d.materials, d.choice, *d.bay.blanket)
    said = [p.model_dump_json(exclude_defaults=True) for p in parts]
    said.append(d.bay.model_dump_json(include=COLD))
    made = hashlib.sha256(repr((*what, said)).encode("utf8"))
    return made.hexdigest()[:DIGEST_LETTERS]


def own_heat_key(core: CorePart, bag: BagOperation, operation: CureOperation) -> str:
    """Key under which a person takes such a cure on. It names compound, size and cure cycle as they are, so
    that nobody has taken on another."""
    volume = repr(core.splice_volume.value) if core.splice_volume is not None else ""
    shape = core.potting_outline.digest() if core.potting_outline is not None else ""
    cycle = (repr(bag.cure), repr(operation.set_point.value), bag.heated_from)
    rate = repr(operation.rate.value) if operation.rate is not None else ""
    made = hashlib.sha256(repr((core.adhesive, core.side, volume, shape, *cycle, rate)).encode("utf8"))
    return f"cure.{operation.number}.{OWN_HEAT}{made.hexdigest()[:DIGEST_LETTERS]}"
