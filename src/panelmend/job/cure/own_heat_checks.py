"""Potting and paste round a plug against what their own heat of cure does."""

from __future__ import annotations

from panelmend.errors import Finding, Severity, finding_code
from panelmend.job.bag.part import BagOperation
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import LimitRow, Prediction
from panelmend.job.untold_heat import (
    own_heat_key,
    taken_on,
    unpredicted,
    unpredicted_key,
    untold,
    untold_paste,
)
from panelmend.units import show

H300 = finding_code(
    "H300",
    Severity.CAUTION,
    "A potting is predicted hotter than its limits by its own heat of cure",
    "pot it in several cures, each thin enough, if the data allows it, or ask the engineer for a compound "
    "that sets free less heat: more or less heat from the blanket hardly matters",
)
H301 = finding_code(
    "H301",
    Severity.CAUTION,
    "How hot a potting gets by its own heat of cure is not predicted: no blanket heats it",
    "ask the compound's supplier how deep and wide it may be filled at once, or pot a trial of this size "
    "with a thermocouple in its middle: thick fillings boil and burn in a cold room too",
)
H381 = finding_code(
    "H381",
    Severity.CAUTION,
    "Paste round the plug is predicted hotter than it may get by its own heat of cure",
    "heat up more slowly, fit the plug closer and fill fewer of the cells cut open, or ask the engineer for "
    "a paste that sets free less heat: no thermocouple sees it",
)
H382 = finding_code(
    "H382",
    Severity.CAUTION,
    "How hot paste round a plug gets by its own heat of cure is not predicted",
    "ask its supplier how thick a wall of it may be at this rate and temperature; heat up slowly",
)

H518 = finding_code(
    "H518",
    Severity.CAUTION,
    "What cures in a cure has no heat of cure given: the bond line gets hotter than is predicted",
    "ask its supplier for heat and rate of cure; until then take the hottest of the prediction as the least "
    "it may get",
)
H600 = finding_code(
    "H600",
    Severity.CONFIRM,
    "A potting is heated, and how hot it gets by its own heat of cure cannot be predicted",
    "no heat before a trial of this size and depth was potted at this heat with a thermocouple in its "
    "middle, or the compound's supplier answered; then a named person takes it on under [[confirm]] by the "
    "key that is given, with that trial or answer as its reason",
)
H601 = finding_code(
    "H601",
    Severity.NOTE,
    "A named person took on a heated potting whose own heat of cure is not predicted",
    "check that the person may, and what trial or answer it rests on",
)
H602 = finding_code(
    "H602",
    Severity.CONFIRM,
    "How hot a cure gets is not predicted, or for one case alone: no heat yet",
    "give what is missing, run panelmend heat; or a named person takes it on under [[confirm]] by its key, "
    "its reason a trial of this size or the supplier's answer",
)
H603 = finding_code(
    "H603",
    Severity.NOTE,
    "A named person took on a cure whose heat is not predicted, or for one case alone",
    "check that the person may, and what trial or answer it rests on",
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
    by = taken_on(case.document.confirm, key)
    if by is not None:
        return [H601(f"{operation.name}: taken on by {by.by} on {by.on}: {by.reason}", place=place)]
    return [H600(f'{operation.name}: to take it on: figure = "{key}"', place=place)]


def unpredicted_heat(
    case: Case, core: CorePart, bag: BagOperation, operation: CureOperation, place: str
) -> list[Finding]:
    """A cure of which something is not predicted: no heat before a person took it on by name."""
    why = "; ".join(unpredicted(core, bag, operation))
    if not why:
        return []
    key = unpredicted_key(case, core, bag, operation)
    by = taken_on(case.document.confirm, key)
    if by is not None:
        return [H603(f"{operation.name}: {why}; taken on by {by.by} on {by.on}: {by.reason}", place=place)]
    return [H602(f'{operation.name}: {why}; figure = "{key}"', place=place)]


def not_predicted(core: CorePart, bag: BagOperation, operation: CureOperation, place: str) -> list[Finding]:
    """Paste round a plug that is heated and of which nothing is predicted."""
    if not untold_paste(core, bag, operation):
        return []
    return [H382(operation.name, place=place)]


def uncounted(operation: CureOperation, made: Prediction, place: str) -> list[Finding]:
    """What cures and sets free heat that nobody gave."""
    names = ", ".join(made.uncounted)
    return [H518(f"{operation.name}: {names}", place=place)] if names else []
