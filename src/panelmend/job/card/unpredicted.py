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

PASTE = (
    "How hot paste round the plug gets by its own heat of cure is NOT PREDICTED and no thermocouple sees it."
)
ROOM = (
    "What fills the core warms itself though nothing heats it, the hotter the more stands in one place; how hot is "
    "NOT PREDICTED."
)
OVEN = (
    "An oven warms the whole panel: how hot plies, panel and what stands in it get, and when the slowest place begins "
    "its dwell, is NOT PREDICTED."
)
SAID = {
    Unpredicted.CONSTANTS: "The heat of this cure is NOT PREDICTED: constants are missing.",
    Unpredicted.NOT_RUN: "The heat of this cure is NOT PREDICTED yet.",
    Unpredicted.PASTE: PASTE,
    Unpredicted.ROOM: ROOM,
    Unpredicted.OVEN: OVEN,
}


def unpredicted_words(bench: Bench, heated: CureOperation) -> list[Words | str]:
    """What is not predicted of a cure, and who took it on; nothing where it was predicted in many cases."""
    core, document = bench.work.core, bench.case.document
    bag = next(b for b in bench.work.bag.operations if b.number == heated.number)
    if untold(core, bag, heated):
        what = "How hot the potting gets by its own heat of cure is NOT PREDICTED."
        return [f"{what} {_who(taken_on(document, own_heat_key(core, bag, heated)))}"]
    why = unpredicted(core, bag, heated)
    if not why:
        return []
    by = taken_on(document, unpredicted_key(bench.case, core, bag, heated))
    # that one case alone was tried is said where the cases are
    words = [SAID[u] for u in why if u in SAID]
    wait = "Not filled" if Unpredicted.ROOM in why else "No heat"
    return [" ".join([*words, _who(by, wait)])]


def undried_words(bench: Bench) -> list[Words | str]:
    """Who took on drying whose heat is not predicted; nothing where it is."""
    why = undried(bench.work.cure, bench.work.drying)
    return [] if why is None else [_who(taken_on(bench.case.document, undried_key(bench.case, why)))]


def heated_back_words(bench: Bench, number: int, what: str) -> str:
    """Who took on the heat that cures what is put back: nobody predicts it."""
    by = taken_on(bench.case.document, put_back_key(bench.case, number))
    return f"{what}: how hot compound, panel and bonds round it get is NOT PREDICTED. {_who(by)}"


def _who(by: Confirmation | None, wait: str = "No heat") -> str:
    return f"Taken on by {by_whom(by)}." if by else f"{wait} before it is taken on by name."
