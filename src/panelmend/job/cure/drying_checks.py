"""Findings on the heat of drying: core that stays cold, and steam at the temperatures that are predicted."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.derive import Ledger
from panelmend.document import Document
from panelmend.errors import Finding, caution_code, confirm_code, note_code, stop_code
from panelmend.job import air
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.cure.part import CurePart
from panelmend.job.cure.prediction import DriedCases
from panelmend.job.defaults import DRIED_WITHIN, DRYING_DOUBT, HOTTER
from panelmend.job.drying.part import DryingPart
from panelmend.job.heat_taken import asked_of, by_whom, not_counted, taken_on
from panelmend.job.untold_heat import Undried, undried, undried_key
from panelmend.physics.steam import LOWEST, sealed_cell_pressure
from panelmend.units import show

H140 = confirm_code(
    "H140",
    "The temperatures of drying are not predicted: do not heat yet",
    "run panelmend heat, or have the engineer named under people accept it under [[confirm]] by the key that "
    "is given, with the reason; measure both faces",
)
H604 = note_code(
    "H604",
    "The engineer accepted drying whose temperatures are not predicted",
    "the name was typed, not signed: ask the engineer whether the acceptance is theirs, and what it is based "
    "on; measure both faces: the far one may stay cold",
)
H141 = caution_code(
    "H141",
    "Part of the core stays below the drying temperature for the whole of the drying",
    "heat both faces, or dry until the meter shows that it is dry: the data's time holds only at its "
    "temperature",
)
H142 = stop_code(
    "H142",
    "Water in a closed cell would tear the bond apart at the temperature that drying is predicted to reach",
    "heat more evenly, dry at a lower temperature, or ask engineering: the hottest cell counts, not the set "
    "point",
)
H605 = caution_code(
    "H605",
    "In a drying case hotter than the likely one, water in a closed cell would tear the bond apart",
    "dry at a lower temperature or heat more evenly; lay the blanket exactly in its place, and check that "
    "every thermocouple stays below the prediction",
)
H144 = caution_code(
    "H144",
    "In some of the drying cases tried, the panel, structure or blanket gets hotter than its limit",
    "dry at a lower temperature or heat more evenly; there may be no thermocouple where it gets that hot",
)
H143 = caution_code(
    "H143",
    "The skin is predicted to get hotter than the drying temperature",
    "heat both faces more evenly, or ask the engineer how far above the drying temperature the hottest may "
    "be: a lower set point leaves the coldest core below it",
)


def check_drying(case: Case, ledger: Ledger, cures: CurePart, dried: DryingPart) -> tuple[Finding, ...]:
    """What the prediction of drying says, and that there is none."""
    why = undried(cures, dried)
    if why is not None:
        return (_undried(case.document, undried_key(case, why), why),)
    made = cures.dried
    return tuple(_predicted(case, ledger, dried, made.tried)) if made is not None else ()


def _undried(d: Document, key: str, why: Undried) -> Finding:
    """Heat on open core of which nobody knows how hot it gets: none before the engineer took it on."""
    by = taken_on(d, key)
    if by is not None:
        return H604(f"{why}; accepted by {by_whom(by)}: {by.reason}", place="drying")
    todo = (
        f"type what is missing and run panelmend heat; or {asked_of(d)} accepts it under [[confirm]] and "
        f'says why in the reason, figure = "{key}"; measure both faces: the far one may stay cold'
    )
    return H140(f"{why}{not_counted(d, key)}", place="drying", todo=todo)


def _predicted(
    case: Case, ledger: Ledger, dried: DryingPart, tried: DriedCases | None = None
) -> Iterator[Finding]:
    assert dried.temperature is not None, "predicted only where a temperature is given"
    view, at = case.view, float(dried.temperature)
    foot, top = float(ledger["drying.heat.reaches"]), float(ledger["drying.heat.hottest"])

    def warm(kelvin: float) -> str:
        return show(kelvin, "temperature", view, decimals=1)

    if foot < at - DRIED_WITHIN:
        words = f"the foot of the core gets no warmer than {warm(foot)}; it must reach {warm(at)}"
        yield H141(words, place="drying.heat.reaches")
    elif tried is not None and tried.near < tried.cases:
        short = (
            f"in {tried.cases - tried.near} of {tried.cases} cases tried the foot of the core "
            "never comes near it"
        )
        words = f"{short}: {warm(tried.foot[0])} in the coldest case; it must reach {warm(at)}"
        yield H141(words, place="drying.heat.least")
    if top > at + HOTTER:
        yield H143(f"{warm(top)}; the data calls for {warm(at)}", place="drying.heat.hottest")
    elif tried is not None and tried.skin[1] > at + HOTTER:
        words = (
            f"in the hottest of {tried.cases} cases tried {warm(tried.skin[1])}; the data calls "
            f"for {warm(at)}"
        )
        yield H143(words, place="drying.heat.most")
    if tried is not None and tried.over:
        words = f"in {tried.over} of {tried.cases} cases tried"
        yield H144(words, place="drying.heat.most")
    bay = case.document.bay.air_temperature
    pressure = air.pressure_of(Basis(case, ledger))
    if not dried.wet or bay is None or pressure is None or top < LOWEST:
        return
    most = (
        top + DRYING_DOUBT if tried is None else max(top + DRYING_DOUBT, tried.skin[1])
    )  # so few cases are no bound
    cell, hotter = (
        sealed_cell_pressure(t, bay, float(pressure), saturated=bay >= LOWEST) for t in (top, most)
    )
    for bond in dried.bonds:
        if bond.made_in or bond.strength is None or float(bond.strength) >= hotter:
            continue  # the deepest vacuum takes all of the air away where a bag bridges
        code, at_top, lifts = (H142, top, cell) if float(bond.strength) < cell else (H605, most, hotter)
        lift, holds = (show(v, "pressure", view) for v in (lifts, float(bond.strength)))
        yield code(
            f"at {warm(at_top)} steam lifts with up to {lift}; {bond.where} hold {holds}",
            place="drying.heat.hottest",
        )
