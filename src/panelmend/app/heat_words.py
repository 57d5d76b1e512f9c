"""The predicted heat of a plan's cures in the terminal's words."""

from __future__ import annotations

import textwrap

from panelmend.derive import Figure
from panelmend.derive.ledger import words_of as figure_words
from panelmend.job.card.drying_heat import drying_heat_lines
from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import Extreme, PlannedSensor, Prediction
from panelmend.plan.plan import Plan
from panelmend.render.axes import clock
from panelmend.render.cure_outcome import cure_outcome
from panelmend.render.cure_plan import bench_of
from panelmend.render.cure_rows import (
    advice_row,
    degrees,
    difference,
    expected_reading,
    likelihood_data,
    limit_row,
    placing_words,
    wet_words,
)
from panelmend.render.views.heat_places import PlacingAxes, words_for_place
from panelmend.trade import reworded, trade_word
from panelmend.units import show

TOLD = 3  # changes told; the cure plan has them all
WIDE = 108  # characters of a line


def heat_words(plan: Plan) -> str:
    """What every cure is predicted to do, on one screen.

    Args:
        plan: with the predictions that were made.

    Returns:
        For each operation: outcome, hottest and coldest place, thermocouples, limits not held, changes that
        were tried, likelihood; or NOT PREDICTED with what to ask for.
    """
    repair, view = plan.case.document.repair, plan.case.view
    lines = [
        f"{repair.number}  {repair.title}",
        f"Heat, plan {plan.short_digest}: predicted, not approved. Cure cycle and thermocouples decide.",
    ]
    if plan.work is None or not plan.work.cure.operations:
        return "\n".join([*lines, "", "Nothing is cured in this repair."])
    rows = drying_heat_lines(plan.work.cure, plan.work.drying, plan.ledger, view)
    if rows and (plan.work.cure.drying is not None or plan.work.drying.wet):
        said = ["".join(part_in_words(w, view) for w in row) for row in rows]
        lines += ["", "Drying", *_wrapped(" ".join(said), "   ", "   ")]
    for operation in plan.work.cure.operations:
        lines += ["", f"{operation.number}. {operation.name}"]
        if operation.prediction is None:
            lines += _not_predicted(operation)
        else:
            lines += _predicted(plan, operation, operation.prediction)
    return "\n".join(lines)


def part_in_words(part: Figure | str, view: str) -> str:
    """A part of a line in words."""
    return figure_words(part, view) if isinstance(part, Figure) else part


def _not_predicted(operation: CureOperation) -> list[str]:
    if not operation.missing and operation.problem is None:
        return ["   NOT PREDICTED: it is not heated by a blanket on the panel."]
    if not operation.missing:
        return ["   NOT PREDICTED yet: nothing is missing for it."]
    lines = ["   NOT PREDICTED: nothing is assumed in place of what is missing. Ask for"]
    for m in operation.missing:
        lines += _wrapped(f"- {m.what} ({m.field}): {m.ask}", "   ", "     ")
    return lines


def _predicted(plan: Plan, operation: CureOperation, found: Prediction) -> list[str]:
    view, bench = plan.case.view, bench_of(plan, operation)
    lines = _wrapped(cure_outcome(operation, view), "   ", "   ")
    lines += [
        f"   coldest in the dwell  {_place(found.coldest, bench, view)}",
        f"   hottest               {_place(found.hottest, bench, view)}",
        f"   set point {show(float(operation.set_point), 'temperature', view)}, hottest beyond it "
        f"{difference(found.overshoot, view)}; {_dwell(found)}; whole cycle {clock(found.duration)}",
    ]
    lines += [f"   {_sensor(s, bench, view)}" for s in found.sensors]
    for row in found.limits:
        if not row.holds:
            said = limit_row(row, view)
            numbers = f"{said['predicted']}, {said['limit']} ({said['margin']})"
            lines.append(f"   NOT HELD  {row.what}, {row.place}: {numbers}")
    for advice in found.advice[:TOLD]:
        holds = "then every limit holds with likely values" if advice.holds else "still not every limit"
        holds += f", quick cases that hold {advice_row(advice, view)['cases']}"
        lines += _wrapped(
            f"try: {reworded(advice.change)}: least margin {difference(advice.before, view)} to "
            f"{difference(advice.after, view)}, {clock(advice.duration)} in all; {holds} [{advice.field}]",
            "   ",
            "        ",
        )
    if found.placing is not None and operation.problem is not None:
        lines += _wrapped(placing_words(found, operation.problem.places, view)[-1], "   ", "   ")
    if wet := wet_words(operation, view):
        lines += _wrapped(wet, "   ", "   ")
    if found.likelihood is not None:
        lines += _wrapped(_likely(found, view), "   ", "   ")
    return lines


def _place(extreme: Extreme, bench: PlacingAxes, view: str) -> str:
    what = f"{degrees(extreme.kelvin, view)} at {clock(extreme.time)}, {extreme.layer}"
    _, _, edge = words_for_place(bench, extreme.at, view)
    return f"{what}: {_from_centre(extreme.at, bench, view)}, {edge} the patch's edge"


def _from_centre(at: tuple[float, float], bench: PlacingAxes, view: str) -> str:
    along, across, _ = words_for_place(bench, at, view)
    ways = [words for words in (along, across) if words.count(" ") > 1]  # a measure of nothing has no way
    return f"{', '.join(ways)} of the centre" if ways else "at the centre"


def _dwell(found: Prediction) -> str:
    if found.coldest_arrives is None:
        return "the coldest place never enters the band"
    return f"the coldest place enters the band at {clock(found.coldest_arrives)}"


def _sensor(sensor: PlannedSensor, bench: PlacingAxes, view: str) -> str:
    along, across, _ = words_for_place(bench, sensor.at, view)
    enters = (
        f"in the band from {clock(sensor.arrives)}" if sensor.arrives is not None else "never in the band"
    )
    reads = f"reads {expected_reading(sensor, view)}, {enters} ({sensor.role})"
    return f"{sensor.id:<3} {trade_word(sensor.face):<13} {along:>15}, {across:>15}  {reads}"


def _likely(made: Prediction, view: str) -> str:
    """Cases that hold, what the count rests on, what it does not know, and how far the method may be off."""
    assert made.likelihood is not None, "told only where cases were tried"
    said = likelihood_data(made.likelihood, view, made.unknowns)
    share = f" {said['interval']}." if said["interval"] else ""
    words = f"{said['counts']}.{share} {said['rests']} {said['wider']} {said['not_known']}"
    return f"{words} By {said['method']}. {said['held']}".strip()


def _wrapped(words: str, first: str, after: str) -> list[str]:
    return textwrap.wrap(
        words,
        WIDE,
        initial_indent=first,
        subsequent_indent=after,
        break_long_words=False,
        break_on_hyphens=False,
    )
