"""What speaks against the numbers of a survey: instruments, moisture, a lesser per cent, the far side."""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

import numpy as np

from panelmend.document.panel import Side
from panelmend.document.survey import SurveyPass
from panelmend.errors import Finding, confirm_code
from panelmend.job.case import Case
from panelmend.job.survey.cleared import same_name
from panelmend.job.survey.part import SurveyPart
from panelmend.job.survey.readings import DULL_FROM, Array, pass_places, ratios_of
from panelmend.shapes import Outline
from panelmend.units import show

LEAST_REFERENCES = 3  # reference readings from which their scatter can be looked at
USUAL_CONFIDENCE = 0.95  # a lesser per cent is answered for by the engineer
S130 = confirm_code(
    "S130",
    "Some readings are far below those on the sound place",
    "read the sound place again, in the unit of the readings; find out whether this instrument reads lower "
    "over damage, or whether the panel is stiffer there",
)
S131 = confirm_code(
    "S131",
    "The readings on the sound place do not show what a sound reading is",
    "read three or more places that are known to be sound, and leave none out without a reason",
)
S132 = confirm_code(
    "S132",
    "The typed limit passes readings as sound that the usual limit counts as damaged",
    "say where dull_from comes from, or check these places by another method from the approved data",
)
S133 = confirm_code(
    "S133",
    "There is moisture outside the outer line",
    "find out by a method from the approved data how far the core is wet: the wet area is larger than the "
    "outer line",
)
S134 = confirm_code(
    "S134",
    "There are moisture readings, but none on a dry place",
    "take reference readings on a place known to be dry and type them",
)
S135 = confirm_code(
    "S135",
    "The moisture readings contradict the document",
    "correct damage.moisture, or say why the readings are wrong",
)
S136 = confirm_code(
    "S136",
    "The outer line is set to less than 95 % confidence",
    "name the engineer listed under people as survey.confidence_by, or use 95 %",
)
S137 = confirm_code(
    "S137",
    "The damage goes right through, but nobody surveyed the far side",
    "tap the far side too, or type damage.far_shape",
)
S138 = confirm_code(
    "S138",
    "The damage on one side does not line up with the damage on the other",
    "check the axes of both sweeps: x must point the same way on the panel for both, so on one side it runs "
    "to the left",
)


def check_numbers(case: Case, part: SurveyPart | None) -> list[Finding]:
    """Findings on numeric and moisture readings, the per cent and the far side."""
    survey = case.document.survey
    assert survey is not None, "a survey was read"
    found: list[Finding] = []
    for i, sweep in enumerate(survey.sweep, 1):
        where = f"survey.sweep[{i}]"
        if sweep.kind == "time" or sweep.kind == "ratio":
            found += _instrument(case, sweep, where)
        elif sweep.kind == "moisture":
            found += _moisture(case, sweep, where, part)
        elif sweep.kind == "tap":
            continue
        else:
            assert_never(sweep.kind)
    if case.confidence < USUAL_CONFIDENCE and not same_name(
        survey.confidence_by, case.document.people.engineer
    ):
        found.append(
            S136(
                f"{survey.confidence}, chosen by {survey.confidence_by!r} [confidence_by]",
                place="survey.confidence",
            )
        )
    return found


def moisture_at(case: Case, side: Side) -> tuple[tuple[tuple[float, float], bool | None], ...]:
    """Where moisture was read on a side [m], and whether it was wet; None where no dry place was read."""
    found: list[tuple[tuple[float, float], bool | None]] = []
    survey = case.document.survey
    for sweep in survey.sweep if survey is not None else ():
        if sweep.kind != "moisture" or sweep.side != side:
            continue
        at, values = _values(case, sweep)
        known = bool(sweep.reference) and min(sweep.reference) > 0.0
        wet = ratios_of(sweep, values).high if known else None
        for i, p in enumerate(at):
            found.append(((float(p[0]), float(p[1])), None if wet is None else bool(wet[i])))
    return tuple(found)


def _values(case: Case, sweep: SurveyPass) -> tuple[Array, Array]:
    at, values = pass_places(sweep)
    return np.array([case.point(p) for p in at], float).reshape(-1, 2), np.array(values, float)


def _at(case: Case, p: Array) -> str:
    return f"({show(float(p[0]), 'length', case.view)}, {show(float(p[1]), 'length', case.view)})"


def _instrument(case: Case, sweep: SurveyPass, where: str) -> Iterator[Finding]:
    at, values = _values(case, sweep)
    r = ratios_of(sweep, values)
    if r.low.any():
        i = int(np.argmin(r.value))
        yield S130(
            f"{int(r.low.sum())} of {len(values)} lie below {1.0 / r.limit:.2f} of the sound place, the "
            f"lowest {r.value[i]:.2g} of it at {_at(case, at[i])}; all were taken as sound",
            place=where,
        )
    if r.unsteady:
        yield S131(
            f"they run from {r.reference.min():.2f} to {r.reference.max():.2f} of their median, which is as "
            f"far apart as sound and damaged ({r.limit:.2f})",
            place=where,
        )
    elif sweep.kind == "time" and len(r.reference) < LEAST_REFERENCES:
        yield S131(
            f"{len(r.reference)} of {LEAST_REFERENCES} or more; scatter taken as 3 % (common practice, "
            "no source)",
            place=where,
        )
    if r.overlooked.any():
        held = np.where(r.overlooked, r.value, 0.0)
        i = int(np.argmax(held))
        yield S132(
            f"{int(r.overlooked.sum())} readings from {DULL_FROM:.2f} to the limit of {r.limit:.2f}, the "
            f"highest {held[i]:.2f} at {_at(case, at[i])}",
            place=where,
        )


def _moisture(case: Case, sweep: SurveyPass, where: str, part: SurveyPart | None) -> Iterator[Finding]:
    at, values = _values(case, sweep)
    top = int(np.argmax(values))
    if not sweep.reference or min(sweep.reference) <= 0.0:
        yield S134(
            f"{len(values)} readings from {values.min():g} to {values.max():g} (the instrument's own "
            f"numbers), the highest at {_at(case, at[top])}: which of them are wet is not known",
            place=where,
        )
        return
    r = ratios_of(sweep, values)
    if r.unsteady:
        yield S131(
            f"dry place: {min(sweep.reference):g} to {max(sweep.reference):g} (the instrument's own numbers)",
            place=where,
        )
    if not r.high.any():
        return
    words = f"{int(r.high.sum())} of {len(values)} places from {r.limit:.2f} times the dry place on"
    if case.document.damage.moisture != "found":
        yield S135(f'{words}; damage.moisture = "{case.document.damage.moisture}"', place=where)
    outside = r.high & ~_held(at, _lines(case, part))
    if outside.any():
        wet = np.where(outside, r.value, 0.0)
        i = int(np.argmax(wet))
        yield S133(
            f"{int(outside.sum())} of the {int(r.high.sum())} wet places, the wettest "
            f"{wet[i]:.2f} times the dry place at {_at(case, at[i])}",
            place=where,
        )


def _lines(case: Case, part: SurveyPart | None) -> list[Outline]:
    """What the repair is planned on: the typed outline where there is one, else the survey's lines."""
    if case.document.damage.shape is not None or part is None:
        return [case.geometry.damage] if case.geometry.damage is not None else []
    return [part.outers[i] for i in part.groups[0]] if part.groups else []


def _held(at: Array, lines: list[Outline]) -> np.ndarray:
    return np.array([any(o.contains((float(x), float(y))) for o in lines) for x, y in at], bool)
