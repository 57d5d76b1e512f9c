"""What the card says where the heat of a cure is not predicted, and who took it on."""

from __future__ import annotations

from panelmend.document.model import Confirmation
from panelmend.job.card.bench import Bench
from panelmend.job.card.part import Words
from panelmend.job.cure.part import CureOperation
from panelmend.job.heat_taken import by_whom, taken_on
from panelmend.job.untold_heat import (
    Unpredicted,
    own_heat_key,
    put_back_key,
    undried,
    undried_key,
    unpredicted,
    unpredicted_key,
    untold,
)

PASTE = "How hot the paste round the plug gets from its own heat of cure is NOT PREDICTED, and no thermocouple shows it."
ROOM = (
    "What fills the core heats itself although nothing heats it: the more in one place, the hotter. How hot is NOT "
    "PREDICTED."
)
OVEN = (
    "An oven heats the whole panel: how hot the plies, the panel and what is in it get, and when the slowest place "
    "starts its dwell, is NOT PREDICTED."
)
SAID = {
    Unpredicted.CONSTANTS: "The temperatures of this cure are NOT PREDICTED: constants are missing.",
    Unpredicted.NOT_RUN: "The temperatures of this cure are NOT PREDICTED yet.",
    Unpredicted.PASTE: PASTE,
    Unpredicted.ROOM: ROOM,
    Unpredicted.OVEN: OVEN,
}


def unpredicted_words(bench: Bench, heated: CureOperation) -> list[Words | str]:
    """What is not predicted of a cure, and who took it on; nothing where it was predicted in many cases."""
    core, document = bench.work.core, bench.case.document
    bag = next(b for b in bench.work.bag.operations if b.number == heated.number)
    if untold(core, bag, heated):
        what = "How hot the potting gets from its own heat of cure is NOT PREDICTED."
        return [f"{what} {_who(taken_on(document, own_heat_key(core, bag, heated)))}"]
    why = unpredicted(core, bag, heated)
    if not why:
        return []
    by = taken_on(document, unpredicted_key(bench.case, core, bag, heated))
    # that one case alone was tried is said where the cases are
    words = [SAID[u] for u in why if u in SAID]
    wait = "Do not fill" if Unpredicted.ROOM in why else "Do not heat"
    return [" ".join([*words, _who(by, wait)])]


def says_unpredicted(bench: Bench, heated: CureOperation) -> bool:
    """Whether :func:`unpredicted_words` say already that the temperatures of a cure are not predicted."""
    core = bench.work.core
    bag = next(b for b in bench.work.bag.operations if b.number == heated.number)
    whole = {Unpredicted.CONSTANTS, Unpredicted.NOT_RUN, Unpredicted.OVEN}
    return bool(whole & set(unpredicted(core, bag, heated)))


def undried_words(bench: Bench) -> list[Words | str]:
    """Who took on drying whose heat is not predicted; nothing where it is."""
    why = undried(bench.work.cure, bench.work.drying)
    return [] if why is None else [_who(taken_on(bench.case.document, undried_key(bench.case, why)))]


def heated_back_words(bench: Bench, number: int, what: str) -> str:
    """Who took on the heat that cures what is put back: nobody predicts it."""
    by = taken_on(bench.case.document, put_back_key(bench.case, number))
    return f"{what}: how hot the compound, the panel and the bonds round it get is NOT PREDICTED. {_who(by)}"


def _who(by: Confirmation | None, wait: str = "Do not heat") -> str:
    return f"Accepted by {by_whom(by)}." if by else f"{wait} until the engineer accepts it by name."
