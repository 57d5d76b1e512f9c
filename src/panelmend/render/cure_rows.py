"""The rows of the cure plan: limits, thermocouples, advice, likelihood, unknowns in the reader's words and
units."""

from __future__ import annotations

import math
from typing import Any

from panelmend.job.cure.prediction import Advice, CureState, Likelihood, LimitRow, PlannedSensor, Prediction
from panelmend.job.cure.problem import Unknown
from panelmend.render.axes import clock
from panelmend.render.views.heat_places import Bench, words_for_place
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


def amount(value: float, kind: str, view: str) -> str:
    """A limit or what is predicted against it."""
    if kind == "time":
        return clock(value)
    return degrees(value, view) if kind == "temperature" else show(value, KINDS_OF.get(kind, kind), view)


def margin(row: LimitRow, view: str) -> str:
    """The margin of a limit, with its sign."""
    if row.kind == "temperature":
        return difference(row.margin, view)
    if row.kind == "time":
        return ("−" if row.margin < 0.0 else "+") + clock(abs(row.margin))
    words = show(row.margin, KINDS_OF.get(row.kind, row.kind), view)
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


def sensor_row(sensor: PlannedSensor, bench: Bench, view: str) -> dict[str, Any]:
    """One thermocouple: where, why, what it should read, what lies unseen beyond it."""
    along, across, edge = words_for_place(bench, sensor.at, view)
    return {
        "id": sensor.id,
        "along": along,
        "across": across,
        "edge": edge,
        "face": sensor.face,
        "role": sensor.role,
        "why": sensor.why,
        "reads": reading(sensor, view),
        "arrives": clock(sensor.arrives) if sensor.arrives is not None else "not in this cure",
        "unseen": unseen(sensor, view),
    }


def reading(sensor: PlannedSensor, view: str) -> str:
    """What a thermocouple should read in the dwell."""
    low, high = (show(k, "temperature", view) for k in (sensor.low, sensor.high))
    return low if low == high else f"{low.split()[0]} to {high}"


def unseen(sensor: PlannedSensor, view: str) -> str:
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
        "change": advice.change,
        "field": advice.field,
        "before": difference(advice.before, view),
        "after": difference(advice.after, view),
        "gain": difference(advice.gain, view),
        "duration": clock(advice.duration),
        "holds": advice.holds,
    }


def cured_row(state: CureState, view: str) -> list[str]:
    """Degree of cure and glass transition."""
    least, most = f"{100 * state.least:.0f} %", f"{100 * state.most:.0f} %"
    glass = show(state.glass, "temperature", view) if state.glass is not None else "not known"
    return [state.name, least if least == most else f"{least} to {most}", glass]


METHODS = {"full": "every case run in full", "reduced": "coarse runs put right by full ones"}


def interval_words(found: Likelihood) -> str:
    """The interval of the share, rounded outwards."""
    low, high = math.floor(1000 * found.low + 1e-9) / 10, math.ceil(1000 * found.high - 1e-9) / 10
    return f"{low:g} to {high:g} %"


def likelihood_data(found: Likelihood, view: str) -> dict[str, Any]:
    """How likely the limits hold, by what method, and how far that method may be off."""

    def share(count: int) -> str:
        return f"{math.floor(1000 * count / found.cases) / 10:g} %"  # down: never all where one fails

    held = ""
    if found.held_out_rms is not None and found.held_out_worst is not None:
        rms, worst = (
            show(v, "temperature difference", view, decimals=1)
            for v in (found.held_out_rms, found.held_out_worst)
        )
        held = (
            f"Against full runs of {found.held_out_cases} cases it had not seen: {rms} root mean square, "
            f"{worst} at worst; it judged {found.wrong} of them otherwise than the full run."
        )

    def spread(values: tuple[float, float, float]) -> str:
        low, middle, high = (show(v, "temperature", view) for v in values)
        return f"{middle} ({low} to {high})"

    return {
        "share": share(found.everything),
        "interval": interval_words(found),
        "counts": f"{found.everything} of {found.cases} cases hold band, ceiling and limits; "
        "interval of the share at 95 % (Wilson)",
        "method": METHODS[found.method]
        + f", seed {found.seed}"
        + (f"; {found.unsolved} cases ran away and count as not held" if found.unsolved else ""),
        "held": held,
        "rows": [
            ["the whole bond line stays in the band through the dwell", share(found.band)],
            ["nothing passes the ceiling", share(found.ceiling)],
            ["every other limit holds", share(found.limits)],
            ["the cure as the thermocouples read it would conform", share(found.seen)],
        ],
        "spreads": [
            ["coldest of the bond line in the dwell, middle (5 to 95 % of cases)", spread(found.coldest)],
            ["hottest of the bond line, middle (5 to 95 % of cases)", spread(found.hottest)],
        ],
    }


def unknown_row(unknown: Unknown, view: str) -> list[str]:
    """One unknown with the range looked at and its ground."""

    def words(value: float) -> str:
        if unknown.unit == "K":
            return show(value, "temperature difference", view).replace("-", "−")
        return f"{value:g}" + ("" if unknown.unit == "1" else f" {unknown.unit}")

    times = "factor " if unknown.unit == "1" else ""
    return [
        unknown.words,
        f"{times}{words(unknown.likely)}",
        _from_to(words(unknown.low), words(unknown.high)),
        unknown.ground,
    ]


def _from_to(low: str, high: str) -> str:
    """A range with its unit once."""
    number, _, unit = low.partition(" ")
    return f"{number if unit and high.endswith(' ' + unit) else low} to {high}"


def outcome_words(prediction: Prediction, view: str) -> str:
    """Whether every limit is held, and by how much."""
    broken = [r for r in prediction.limits if not r.holds]
    if not broken and not prediction.finished:
        return "NOT HELD in the prediction: the recipe does not come to its end."
    if not broken:
        least = difference(prediction.worst, view)
        return f"Every limit is held in the prediction; the least margin on temperature is {least}."
    first = min(broken, key=lambda r: r.margin)
    more = f", and {len(broken) - 1} more" if len(broken) > 1 else ""
    return f"NOT HELD in the prediction: {first.what}, {first.place} ({margin(first, view)}){more}."
