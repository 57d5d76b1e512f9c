"""Findings of air and vacuum: what the bay can draw, the leak test, the way of the air out of the patch."""

from __future__ import annotations

from panelmend.errors import Finding, caution_code, note_code, stop_code
from panelmend.job.air import LEFT_BY_PUMP, PRESSURE_OF_WEATHER
from panelmend.job.bag.part import BagOperation, BagPart
from panelmend.job.case import Case
from panelmend.physics.atmosphere import standard_pressure, station_pressure
from panelmend.units import show
from panelmend.units.fundamental import SEA_LEVEL_PRESSURE

B002 = stop_code(
    "B002",
    "The vacuum that the data requires cannot be drawn in this bay",
    "work at a lower elevation, or ask engineering for a cure cycle given as a pressure difference",
)
B012 = stop_code(
    "B012",
    "The leak limit and the leak time do not come from the same place",
    "type both data.bag.leak_drop and data.bag.leak_time: a limit goes with its own time",
)
B014 = caution_code(
    "B014",
    "The barometer and the elevation of the bay do not agree",
    "read the barometer in the bay: a reading corrected to sea level promises vacuum that no pump can draw "
    "here",
)
B015 = note_code(
    "B015",
    "The flow of the largest leak that would still pass was not calculated",
    "measure the breather's thickness under vacuum and type it for the breather under [[materials.bagging]]",
)
B023 = caution_code(
    "B023",
    "The vacuum that the data requires can hardly be drawn in this bay",
    "draw it on the dry stack, on the day and with the pump of the cure, before resin is mixed; where it is "
    "not reached, work at a lower elevation or ask engineering",
)
B020 = stop_code(
    "B020",
    "Air has no path from the lay-up to the vacuum",
    "use a larger bleeder or breather, a smaller film, or edge breather, so that they touch outside the film",
)


def vacuum_findings(case: Case, bag: BagOperation) -> list[Finding]:
    """More vacuum asked than the air of the bay can give."""
    if bag.available_vacuum is None or float(bag.available_vacuum) >= float(bag.least_vacuum):
        return []

    def words(pascal: float) -> str:
        return show(pascal, "pressure", unit="inHg")

    asked, there_is = words(float(bag.least_vacuum)), words(float(bag.available_vacuum))
    text = f"{bag.name} needs {asked}, but the air here gives only {there_is}"
    if bag.vacuum.highest is not None:
        top = show(float(bag.vacuum.highest), "elevation", case.view)
        text += f"; on a standard day it ends at {top} above the sea"
    return [B002(text, place=f"bag.{bag.number}")]


def hardly_drawn(case: Case, bag: BagOperation) -> list[Finding]:
    """A vacuum that the air here has, but not with what a pump usually leaves, or not in all weather."""
    asked, bay = float(bag.least_vacuum), case.document.bay
    if bag.available_vacuum is None or float(bag.available_vacuum) < asked:
        return []

    def words(pascal: float) -> str:
        return show(pascal, "vacuum", case.view, limit="most")

    told = []
    drawn = float(bag.available_vacuum) - LEFT_BY_PUMP
    if drawn < asked:
        told.append(f"with what a pump usually leaves in a bag, the air here gives {words(drawn)}")
    if bay.elevation is not None:
        low = standard_pressure(bay.elevation) * PRESSURE_OF_WEATHER[0] / SEA_LEVEL_PRESSURE
        if low < asked:
            told.append(f"in the lowest air of the weather here it cannot be deeper than {words(low)}")
    if not told:
        return []
    least = show(asked, "vacuum", case.view, limit="least")
    return [B023(f"{bag.name} needs {least}; {'; '.join(told)}", place=f"bag.{bag.number}")]


def flow(bags: BagPart) -> list[Finding]:
    """Named once for each breather whose thickness nobody gave."""
    idents = dict.fromkeys(bag.leak.breather for bag in bags.operations if bag.leak.flow is None)
    return [
        B015(f"no thickness of {i or 'the breather'} is given", place="materials.bagging") for i in idents
    ]


def altitude(case: Case) -> list[Finding]:
    """A barometer reading that no weather gives at this elevation; most often it is reduced to sea level."""
    bay = case.document.bay
    if bay.barometer is None or bay.elevation is None:
        return []
    usual = standard_pressure(bay.elevation)
    low, high = (usual * p / SEA_LEVEL_PRESSURE for p in PRESSURE_OF_WEATHER)
    if low <= bay.barometer <= high:
        return []

    def hpa(pascal: float) -> str:
        if case.view == "in":
            return show(pascal, "pressure", unit="inHg", decimals=1)
        return show(pascal, "pressure", unit="hPa", decimals=0)

    height = show(bay.elevation, "elevation", case.view)
    words = f"{hpa(bay.barometer)} at {height}, where the weather keeps to {hpa(low)} to {hpa(high)}"
    if bay.barometer > high and PRESSURE_OF_WEATHER[0] <= bay.barometer <= PRESSURE_OF_WEATHER[1]:
        here = station_pressure(bay.barometer, bay.elevation)
        deepest = show(here, "vacuum", case.view)
        words += f"; if it is reduced to sea level, the air here has {hpa(here)} and gives {deepest} at most"
    else:
        words += "; check the units of both"
    return [B014(words, place="bay.barometer")]


def leak_findings(case: Case) -> list[Finding]:
    """A limit of one place with the duration of another is no leak test of either."""
    data = case.document.data.bag
    if (data.leak_drop is None) == (data.leak_time is None):
        return []
    given, other = ("leak_drop", "leak_time") if data.leak_time is None else ("leak_time", "leak_drop")
    return [B012(f"{given} is given, {other} is the default", place=f"data.bag.{other}")]


def air(bag: BagOperation) -> list[Finding]:
    """A bag in which some of the patch has no way for its air."""
    found = []
    sides = [(bag.name, bag.air)]
    if bag.behind is not None:
        sides.append((f"{bag.name}, {bag.behind.side}", bag.behind.air))
    for name, way in sides:
        if way is not None and not way.open:
            words = f"shut by {way.under}" if way.under else "no layer leads it to a vacuum base"
            found.append(B020(f"{name}: {words}, at {len(way.blocked)} places", place=f"bag.{bag.number}"))
    return found
