"""Potting and paste round a plug against what their own heat of cure does."""

from __future__ import annotations

from panelmend.errors import Finding, Severity, finding_code
from panelmend.job.bag.part import BagOperation
from panelmend.job.core.part import CorePart
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import LimitRow, Prediction
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


def too_hot(operation: CureOperation, row: LimitRow, view: str, place: str) -> Finding:
    """The finding of a row of limits that the paste does not hold."""
    top, most = (show(v, "temperature", view, decimals=1) for v in (row.predicted, row.limit))
    return H381(f"{operation.name}: {top}, at most {most}", place=place)


def not_predicted(core: CorePart, bag: BagOperation, operation: CureOperation, place: str) -> list[Finding]:
    """Paste round a plug that is heated and of which nothing is predicted."""
    pasted = core.plug is not None and bool(core.adhesive) and "core" in bag.lays
    if not pasted or not bag.on_panel or bag.cure.heated_by == "room temperature":
        return []
    if operation.problem is not None and operation.problem.splice is not None:
        return []
    return [H382(operation.name, place=place)]


def uncounted(operation: CureOperation, made: Prediction, place: str) -> list[Finding]:
    """What cures and sets free heat that nobody gave."""
    names = ", ".join(made.uncounted)
    return [H518(f"{operation.name}: {names}", place=place)] if names else []
