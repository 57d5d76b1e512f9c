"""Potting and paste round a plug against what their own heat of cure does."""

from __future__ import annotations

from panelmend.errors import Finding, caution_code, confirm_code, note_code
from panelmend.job.bag.part import BagOperation
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import LimitRow, Prediction
from panelmend.job.heat_taken import asked_of, by_whom, not_counted, taken_on
from panelmend.job.untold_heat import ROOM, own_heat_key, unpredicted, unpredicted_key, untold, untold_paste
from panelmend.units import show

H300 = caution_code(
    "H300",
    "A potting is predicted to get hotter than its limits from its own heat of cure",
    "pot it in several cures, each thin enough, if the data allows it, or ask the engineer for a compound "
    "that gives off less heat: more or less heat from the blanket hardly matters",
)
H301 = caution_code(
    "H301",
    "How hot a potting gets from its own heat of cure is not predicted, because no blanket heats it",
    "ask the compound's supplier how deep and wide it may be filled at once, or pot a trial of this size "
    "with a thermocouple in its middle: thick fillings boil and burn even in a cold room",
)
H381 = caution_code(
    "H381",
    "The paste round the plug is predicted to get hotter than it may from its own heat of cure",
    "heat up more slowly, fit the plug more closely and fill fewer of the cells cut open, or ask the "
    "engineer for a paste that gives off less heat: no thermocouple shows it",
)
H382 = caution_code(
    "H382",
    "How hot the paste round a plug gets from its own heat of cure is not predicted",
    "ask its supplier how thick it may be at this rate and temperature; heat up slowly",
)

H518 = caution_code(
    "H518",
    "No heat of cure is typed for something in a cure: the bond line gets hotter than predicted",
    "ask its supplier for the heat and rate of cure; until then expect at least the hottest that is "
    "predicted",
)
H600 = confirm_code(
    "H600",
    "A potting is heated, but how hot it gets from its own heat of cure cannot be predicted",
    "do not heat it until you have potted a trial of this size and depth at this heat with a thermocouple "
    "in its middle, or the compound's supplier has answered; then the engineer named under people accepts "
    "it under [[confirm]] by the key that is given, with that trial or answer as the reason",
)
H601 = note_code(
    "H601",
    "The engineer accepted a heated potting whose own heat of cure is not predicted",
    "the name was typed, not signed: ask the engineer whether the acceptance is theirs, and which trial or "
    "answer it is based on",
)
H602 = confirm_code(
    "H602",
    "The temperatures of a cure are not predicted, or with the likely values only: do not heat yet",
    "type what is missing and run panelmend heat; or make a trial of this size or ask the supplier, and have "
    "the engineer named under people accept it under [[confirm]] by the key that is given, with that trial "
    "or answer as the reason",
)
H603 = note_code(
    "H603",
    "The engineer accepted a cure whose temperatures are not predicted, or with the likely values only",
    "the name was typed, not signed: ask the engineer whether the acceptance is theirs, and which trial or "
    "answer it is based on",
)


def too_hot(operation: CureOperation, row: LimitRow, view: str, place: str) -> Finding:
    """The finding of a row of limits that the paste does not hold."""
    top, most = (show(v, "temperature", view, decimals=1) for v in (row.predicted, row.limit))
    return H381(f"{operation.name}: {top}, at most {most}", place=place)


def untold_potting(
    case: Case, core: CorePart, bag: BagOperation, operation: CureOperation, place: str
) -> list[Finding]:
    """A heated potting of which nothing can be predicted: no heat before a person took it on by name."""
    if not untold(core, bag, operation):
        return []
    key = own_heat_key(core, bag, operation)
    by, d = taken_on(case.document, key), case.document
    if by is not None:
        return [H601(f"{operation.name}: accepted by {by_whom(by)}: {by.reason}", place=place)]
    words = (
        f"{operation.name}: do not heat it yet: nobody can predict how hot the potting "
        f"gets{not_counted(d, key)}"
    )
    todo = (
        "do not heat it until you have potted a trial of this size and depth at this heat with a "
        "thermocouple "
        f"in its middle, or the compound's supplier has answered; then {asked_of(d)} accepts it under "
        "[[confirm]] with that as the reason"
    )
    return [H600(words, place=place, todo=f'{todo}, figure = "{key}"')]


def unpredicted_heat(
    case: Case, core: CorePart, bag: BagOperation, operation: CureOperation, place: str
) -> list[Finding]:
    """A cure of which something is not predicted: no heat before a person took it on by name."""
    why = "; ".join(unpredicted(core, bag, operation))
    if not why:
        return []
    key = unpredicted_key(case, core, bag, operation)
    by, d = taken_on(case.document, key), case.document
    if by is not None:
        return [H603(f"{operation.name}: {why}; accepted by {by_whom(by)}: {by.reason}", place=place)]
    wait = "do not fill it yet" if bag.cure.heated_by == ROOM else "do not heat it yet"
    words = f"{operation.name}: {wait}: {why}{not_counted(d, key)}"
    todo = (
        "type what is missing and run panelmend heat; or make a trial of this size or ask the supplier, and "
        f"{asked_of(d)} accepts it under [[confirm]] with that trial or answer as the reason"
    )
    return [H602(words, place=place, todo=f'{todo}, figure = "{key}"')]


def not_predicted(core: CorePart, bag: BagOperation, operation: CureOperation, place: str) -> list[Finding]:
    """Paste round a plug that is heated and of which nothing is predicted."""
    if not untold_paste(core, bag, operation):
        return []
    return [H382(operation.name, place=place)]


def uncounted(operation: CureOperation, made: Prediction, place: str) -> list[Finding]:
    """What cures and sets free heat that nobody gave."""
    names = ", ".join(made.uncounted)
    return [H518(f"{operation.name}: {names}", place=place)] if names else []
