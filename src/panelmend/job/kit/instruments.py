"""The instruments of a repair: the bay's own with their calibration, and what the card's readings take."""

from __future__ import annotations

from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.kit.part import KitLine

# The instrument of each method of inspection.
INSPECTS = {
    "tap": "tap hammer or coin",
    "ultrasonic": "ultrasonic instrument, its couplant water-based",
    "bond tester": "bond tester",
    "thermography": "thermal camera with its heater",
    "visual": "lamp and magnifier",
}


def meters_of_bonding(case: Case) -> bool:
    """Whether the card measures across a conductive layer or the static bonding."""
    data = case.document.data
    ways = (
        data.preparation.conductive_layer,
        data.finishing.conductive_resistance,
        data.finishing.static_resistance,
    )
    return any(w is not None for w in ways)


def instruments(basis: Basis) -> tuple[KitLine, ...]:
    """Instruments of the bay, each with the last day of its calibration."""
    day = basis.case.document.repair.work_date
    found = []
    for item in basis.case.document.bay.instrument:
        left = (item.calibrated_until - day).days
        words = "OUT OF CALIBRATION: leave it" if left < 0 else ""
        purpose = f"calibrated to {item.calibrated_until}"
        found.append(
            KitLine("instruments", item.id, f"{item.kind} {item.id}", purpose, None, (), None, True, words)
        )
    asked = basis.case.document.data.inspection
    more = ["fuel vapour meter", "hygrometer, thermometer for the panel's surface", "rule, protractor, clock"]
    more += ["hardness tester", "feeler gauge, depth gauge", "thickness gauge for paint"]
    if asked.methods is None:
        more.append("instrument of the inspection that the data asks for")
    else:
        more += [INSPECTS[m] for m in dict.fromkeys(asked.methods.value)]
    more.append(asked.standard.value if asked.standard is not None else "reference standard of the data")
    if meters_of_bonding(basis.case):
        more.append("meter for low resistance, with its leads")
    for name in more:
        words = "number and due day are written down beside the reading"
        found.append(KitLine("instruments", "", name, words, None, (), None, True, ""))
    return tuple(found)
