"""The rows of the cure plan: limits, thermocouples, advice, likelihood, unknowns in the reader's words and
units."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import (
    LEAST_CASES,
    SHARE_HELD,
    Advice,
    CureState,
    Likelihood,
    LimitRow,
    Outlook,
    PlannedSensor,
    Prediction,
)
from panelmend.job.cure.problem import Unknown
from panelmend.render.axes import clock
from panelmend.render.views.heat_places import PlacingAxes, words_for_place
from panelmend.trade import reworded, trade_word
from panelmend.units import show

KINDS_OF = {"rate": "temperature rate"}  # kinds of limits that units know by another name


def degrees(kelvin: float, view: str) -> str:
    """A predicted temperature, to a tenth: coarser would hide a thin margin."""
    return show(kelvin, "temperature", view, decimals=1)


def difference(kelvin: float, view: str) -> str:
    """A difference of temperatures with its sign; infinite where nothing limits it."""
    if math.isinf(kelvin):
        return "no limit given"
    words = show(kelvin, "temperature difference", view, decimals=1)
    return ("+" + words if kelvin > 0.0 and not words.startswith("0.0 ") else words).replace("-", "−")


def _plain(value: float, kind: str, view: str) -> str:
    """A rate with its second decimal: 0.53 against at least 0.50 is held by something."""
    decimals = 2 if kind == "rate" else None
    return show(value, KINDS_OF.get(kind, kind), view, decimals=decimals)


def amount(value: float, kind: str, view: str) -> str:
    """A limit or what is predicted against it."""
    if kind == "time":
        return clock(value)
    return degrees(value, view) if kind == "temperature" else _plain(value, kind, view)


def margin(row: LimitRow, view: str) -> str:
    """The margin of a limit, with its sign."""
    if row.kind == "temperature":
        return difference(row.margin, view)
    if row.kind == "time":
        return ("−" if row.margin < 0.0 else "+") + clock(abs(row.margin))
    words = _plain(row.margin, row.kind, view)
    return ("+" + words if row.margin > 0.0 else words).replace("-", "−")


def limit_row(row: LimitRow, view: str) -> dict[str, Any]:
    """One limit: held or not, in words, with its sign."""
    return {
        "what": row.what,
        "place": row.place,
        "limit": f"{'at least' if row.sense == 'above' else 'at most'} {amount(row.limit, row.kind, view)}",
        "predicted": amount(row.predicted, row.kind, view),
        "margin": margin(row, view),
        "holds": row.holds,
    }


def sensor_row(sensor: PlannedSensor, bench: PlacingAxes, view: str) -> dict[str, Any]:
    """One thermocouple: where, why, what it should read, what lies unseen beyond it."""
    along, across, edge = words_for_place(bench, sensor.at, view)
    return {
        "id": sensor.id,
        "along": along,
        "across": across,
        "edge": edge,
        "face": trade_word(sensor.face),
        "role": sensor.role,
        "why": reworded(sensor.why),
        "reads": expected_reading(sensor, view),
        "arrives": clock(sensor.arrives) if sensor.arrives is not None else "not in this cure",
        "unseen": unseen_told(sensor, view),
    }


def expected_reading(sensor: PlannedSensor, view: str) -> str:
    """What a thermocouple should read in the dwell."""
    low, high = (show(k, "temperature", view) for k in (sensor.low, sensor.high))
    return low if low == high else f"{low.split()[0]} to {high}"


def unseen_told(sensor: PlannedSensor, view: str) -> str:
    """How far the true coldest and hottest place lie from what is read; a check bounds nothing."""
    if sensor.role == "check":
        return "watches only"
    cold, hot = (
        show(abs(v), "temperature difference", view, decimals=1)
        for v in (sensor.above_coldest, sensor.below_hottest)
    )
    colder = "colder" if sensor.above_coldest >= 0.0 else "warmer"
    hotter = "hotter" if sensor.below_hottest >= 0.0 else "cooler"
    return f"coldest {cold} {colder}, hottest {hot} {hotter}"


def advice_row(advice: Advice, view: str) -> dict[str, Any]:
    """One change that was tried."""
    return {
        "change": reworded(advice.change),
        "field": advice.field,
        "before": difference(advice.before, view),
        "after": difference(advice.after, view),
        "gain": difference(advice.gain, view),
        "duration": clock(advice.duration),
        "holds": advice.holds,
        "cases": "not tried" if advice.tried is None else "{1} of {2} (now {0})".format(*advice.tried),
    }


def cured_row(state: CureState, view: str) -> list[str]:
    """Degree of cure and glass transition."""
    least, most = f"{100 * state.least:.0f} %", f"{100 * state.most:.0f} %"
    glass = show(state.glass, "temperature", view) if state.glass is not None else "not known"
    return [state.name, least if least == most else f"{least} to {most}", glass]


METHODS = {"full": "every case run in full", "reduced": "coarse runs put right by full ones"}


def interval_words(found: Likelihood) -> str:
    """The interval of the share, rounded outwards; none while the count is no chance of anything."""
    if not found.measured:
        return ""
    low, high = math.floor(1000 * found.low + 1e-9) / 10, math.ceil(1000 * found.high - 1e-9) / 10
    return f"{low:g} to {high:g} %"


# What no number of cases knows, whatever the ranges.
NOT_KNOWN = (
    "leads swapped or on the wrong place, joints that lift, several wires wrong alike, used or extension "
    "wire, a logger out of calibration; a bag that leaks; a blanket with a dead zone or weaker than its "
    "plate; resin mixed or aged wrong; water in the core; structure that nobody drew; anything typed "
    "wrong; ranges that are too narrow; and that the model is right"
)


def rests_words(found: Likelihood, unknowns: Sequence[Unknown], view: str) -> str:
    """What nobody measured and the count rests on."""
    if found.measured:
        least = show(0.5, "temperature difference", view, decimals=1)
        return f"Every range that moves the bond line by {least} was measured here or is a standard's."
    words = {u.name: reworded(u.said(view)) for u in unknowns}
    named = [words.get(n, n) for n in found.rests_on]
    return f"Nobody measured what moves it most: {'; '.join(named)}. So no chance is given."


def likelihood_data(found: Likelihood, view: str, unknowns: Sequence[Unknown]) -> dict[str, Any]:
    """How many of the cases tried hold, what that rests on, what it does not know, and how far off it may be.

    A share is printed only where every range that drives the result was measured or is published."""

    def count(number: int) -> str:
        part = f"{number} of {found.cases}"
        # down: never all where one fails
        return f"{part} ({math.floor(1000 * number / found.cases) / 10:g} %)" if found.measured else part

    held = ""
    if found.held_out_rms is not None and found.held_out_worst is not None:
        rms, worst = (
            show(v, "temperature difference", view, decimals=1)
            for v in (found.held_out_rms, found.held_out_worst)
        )
        held = (
            f"Against full runs of {found.held_out_cases} cases it had not seen: {rms} root mean square, "
            f"{worst} at worst; it judged {found.wrong} of them differently from the full run."
        )

    if found.quick_error is not None:
        error = show(found.quick_error, "temperature difference", view, decimals=1)
        held = f"The quick method was {error} off on a case it had not seen: these were run in full instead."
    elif found.firm is not None and found.perhaps is not None and found.held_out_worst is not None:
        worst = show(found.held_out_worst, "temperature difference", view, decimals=1)
        held += (
            f" With every margin reduced by that {worst}, {found.firm} keep the limits; with it "
            f"added, {found.perhaps}. "
            "So far the count itself may be off, and the least margin with it."
        )

    def spread(values: tuple[float, float, float]) -> str:
        low, middle, high = (show(v, "temperature", view) for v in values)
        return f"{middle} ({low} to {high})"

    interval = interval_words(found)
    wider = (
        f"With every unmeasured range half as wide again {found.wider[0]} of {found.wider[1]} hold."
        if found.wider is not None
        else "Ranges half as wide again were not tried."
    )
    return {
        "share": count(found.everything),
        "interval": f"95 % interval of the draw {interval} (Wilson)" if interval else "",
        "counts": f"{found.everything} of {found.cases} cases tried keep every limit, "
        "if these ranges are right",
        "rests": rests_words(found, unknowns, view),
        "wider": wider,
        "not_known": f"It does not know: {NOT_KNOWN}.",
        "method": METHODS[found.method]
        + f", seed {found.seed}"
        + (f"; {found.unsolved} cases ran away and count as failed" if found.unsolved else ""),
        "held": held,
        "rows": [
            ["the whole bond line stays in the band through the dwell", count(found.band)],
            ["nothing of it passes the maximum temperature", count(found.ceiling)],
            ["panel, structure, blanket and insulation keep their limits", count(found.limits)],
            ["times, rates, spread, other dwells and a blanket behind keep theirs", count(found.rest)],
            ["the temperatures as the thermocouples show them would conform", count(found.seen)],
            *(
                [["so they would while a limit is broken: a good log of a bad cure", count(found.blind)]]
                if found.blind is not None
                else []
            ),
        ],
        "spreads": [
            ["coldest of the bond line in the dwell, middle (5 to 95 % of cases)", spread(found.coldest)],
            ["hottest of the bond line, middle (5 to 95 % of cases)", spread(found.hottest)],
        ],
    }


def unknown_row(unknown: Unknown, view: str) -> list[str]:
    """One unknown with the range looked at and its ground."""

    def words(value: float) -> str:
        if unknown.unit in KIND_OF_UNIT:
            kind = KIND_OF_UNIT[unknown.unit]
            places = 1 if kind == "temperature difference" else None
            return show(value, kind, view, decimals=places).replace("-", "−")
        return f"{value:g}" + ("" if unknown.unit == "1" else f" {unknown.unit}")

    times = "factor " if unknown.unit == "1" and unknown.name in FACTORS else ""
    return [
        reworded(unknown.said(view)),
        f"{times}{words(unknown.likely)}",
        _from_to(words(unknown.low), words(unknown.high)),
        f"{BASIS[unknown.basis]}: {unknown.ground}",
    ]


def placing_words(found: Prediction, places: tuple[float, float], view: str) -> list[str]:
    """How far blanket and thermocouples may lie off, and how to mark where they go."""
    made = found.placing
    blanket, sensor = (show(p, "length", view) for p in places)
    lines = [
        f"Blanket: at most {blanket} off its marks. Thermocouples: at most {sensor} off theirs.",
        "Mark the opening's centre lines past the bag on tape, and the blanket's corners and a cross "
        "for each joint from them, before anything covers them; measure again at two corners under vacuum.",
    ]
    if made is None:
        return [*lines, "The effect of moving them was not tried."]
    reach = show(made.blanket, "length", view)
    tried = f"With the blanket off by its tolerance the least margin is {difference(made.margin, view)}; "
    tried += f"the prediction breaks a limit from {reach} {made.way} on."
    if made.blanket <= 0.0:
        tried = "The prediction breaks a limit with the blanket in its place already."
    elif made.blanket >= 0.03:
        tried = f"The blanket was tried {reach} off each way and broke no limit on temperature."
    if made.behind is not None:
        off, way, gap = made.behind
        far = show(off, "length", view)
        tried += f" With the blanket behind off by its tolerance {difference(gap, view)} is left; "
        tried += f"tried {far} off, none breaks." if off >= 0.03 else f"a limit breaks from {far} {way} on."
    least = min(made.sensors, key=lambda s: s[1], default=None)
    if least is not None:
        left = difference(least[1], view)
        tried += f" With {least[0]}, which matters most, off by its tolerance {left} is left."
    return [*lines, tried]


KIND_OF_UNIT = {"K": "temperature difference", "m": "length", "W/(m2 K)": "film coefficient"}
FACTORS = ("rib contact", "core", "bag stack", "cure heat", "cure rate")
BASIS = {
    "assumed": "NOT MEASURED",
    "published": "published",
    "measured": "measured",
    "fitted": "NOT MEASURED but fitted to an earlier log",
    "held": "to be held at the bench",
}


def _from_to(low: str, high: str) -> str:
    """A range with its unit once."""
    number, _, unit = low.partition(" ")
    return f"{number if unit and high.endswith(' ' + unit) else low} to {high}"


def wet_words(operation: CureOperation, view: str) -> str:
    """What water left in the core does to a cure, beside the dry prediction; "" where none was found."""
    dry, wet, problem = operation.prediction, operation.wetted, operation.wet
    if dry is None or problem is None or problem.wet is None:
        return ""
    depth = show(problem.wet.depth, "length", view)
    head = f"Water left in the core ({depth} in every closed cell under the patch, its vapour carrying heat "
    head += "across them as freely as diffusion lets it; nobody knows how much is there)"
    if wet is None:
        return f"{head}: NOT PREDICTED yet."
    colder = (
        f"coldest in the dwell {degrees(wet.coldest.kelvin, view)} ({degrees(dry.coldest.kelvin, view)} dry)"
    )
    hotter = f"hottest {degrees(wet.hottest.kelvin, view)} ({degrees(dry.hottest.kelvin, view)} dry)"
    seen = [s for s in wet.sensors if s.role != "check"]
    reads = f"thermocouples {degrees(min(s.low for s in seen), view)} at the least"
    held = "every limit is held" if wet.holds else "NOT HELD"
    return f"{head}: {colder}, {hotter}, {reads}; {held}. With more water it may be worse."


def _less_words(tried: Likelihood, view: str) -> str:
    """How many hold with the quick method's error taken off; "" where that takes none."""
    if tried.firm is None or tried.held_out_worst is None or tried.firm == tried.everything:
        return ""
    error = show(tried.held_out_worst, "temperature difference", view, decimals=1)
    return f", {tried.firm} after allowing for the quick method's worst error of {error}"


OUTLOOKS = {
    Outlook.BREAKS: "✗ NOT HELD",
    Outlook.MOSTLY_BREAKS: "✗ NOT in most cases",
    Outlook.UNSURE: "? NOT SURE",
    Outlook.UNTRIED: "? one run alone",
    Outlook.HOLDS: "✓ held",
}


SIGNS = {
    Outlook.BREAKS: "outside",
    Outlook.MOSTLY_BREAKS: "outside",
    Outlook.UNSURE: "unsure",
    Outlook.UNTRIED: "unsure",
    Outlook.HOLDS: "within",
}
"""The sign of a screen beside each: a cross, a question mark or a tick, as the mark on paper begins."""


OUTLOOK_RULE = (
    f"Held: with the worst error of the quick method taken off every margin at least {SHARE_HELD:.0%} of "
    f"the cases tried, {LEAST_CASES} or more, still hold, at least half with unmeasured ranges half as wide "
    "again (common practice, no source), and no heat of cure is left out. NOT SURE: less than that, however "
    "many hold without it. NOT in most cases: less than half hold even so. The number in brackets is the "
    "one that decides."
).replace("%", " %")


def outcome_words(prediction: Prediction, view: str) -> str:
    """Whether every limit is held, by how much, in how many of the cases tried, and what is not counted."""
    said = _outcome_words(prediction, view)
    if prediction.uncounted:
        names = " and ".join(prediction.uncounted)
        said += (
            f" The heat of cure of {names} is NOT counted, because nobody gave it: it gets hotter than this."
        )
    return said


def _outcome_words(prediction: Prediction, view: str) -> str:
    broken = [r for r in prediction.limits if not r.holds]
    if not broken and not prediction.finished:
        return "NOT HELD in the prediction: the cure cycle never finishes."
    if not broken:
        least = (
            f"with the likely values; the least margin on temperature is {difference(prediction.worst, view)}"
        )
        tried = prediction.likelihood
        if tried is None:
            return f"Every limit is held {least}. NO OTHER CASE WAS TRIED."
        count = f"{tried.everything} of {tried.cases} cases tried"
        ranges = "" if tried.measured else "if these ranges are right, "
        less = _less_words(tried, view)
        if prediction.outlook is Outlook.MOSTLY_BREAKS:
            return f"DO NOT SWITCH ON: only {count} hold every limit. It is held {least}: not enough."
        if prediction.outlook is Outlook.UNSURE:
            few = f" Fewer than {LEAST_CASES} cases say little." if tried.cases < LEAST_CASES else ""
            if tried.hangs_on_ranges and tried.wider is not None:
                few += f" With unmeasured ranges half as wide again {tried.wider[0]} of {tried.wider[1]} do."
            return f"NOT SURE: {ranges}{count} hold every limit{less}.{few} It is held {least}."
        if prediction.outlook is not Outlook.HOLDS:
            raise AssertionError(f"{prediction.outlook} where nothing breaks in the likely run")
        said = f"{ranges}every limit is held in {count}{less}, and {least}."
        return said[0].upper() + said[1:]
    first = min(broken, key=lambda r: r.margin)
    more = f", and {len(broken) - 1} more" if len(broken) > 1 else ""
    return f"NOT HELD in the prediction: {first.what}, {first.place} ({margin(first, view)}){more}."
