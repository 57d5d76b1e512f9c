"""A resin that one cure leaves far from cured, at every step where a hand or a heat could harm it (common practice)."""

from __future__ import annotations

from dataclasses import replace

from panelmend.job.card.bench import Bench
from panelmend.job.card.part import Step
from panelmend.job.degree_reached import Uncured, left_uncured, share
from panelmend.units import show

TAPPED = "tap it only cold, lean nothing on it"
SANDED = "sand it only cold, lightly"
CUT = "cut or sand it only cold"
OWN = {"O27": TAPPED, "O28": CUT}
"""What is done to it after the cure that leaves it so, by the step's id."""
LATER = {**OWN, "O1": SANDED, "O2": SANDED, "D6": ""}
"""In a later operation; D6 has heat."""
LAST = {"E1": SANDED, "E4": TAPPED}


def warned(bench: Bench, steps: list[Step]) -> list[Step]:
    """The steps, those first told of what is still soft there that tap, sand, cut or heat it. No cure on a
    plate is predicted: nothing is known of a cap from one."""
    soft = left_uncured(bench.work.cure.operations)
    made = []
    for step in steps:
        words = [_told(bench, left, what) for left in soft if (what := _done(step, left)) is not None]
        made.append(replace(step, words=(*((w,) for w in words), *step.words)) if words else step)
    return made


def _done(step: Step, left: Uncured) -> str | None:
    """What may be done to it at a step between the cure that leaves it so and the one that finishes it; "" for heat, None
    for a step that does not work on it."""
    k = step.operation
    if k == 0:
        steps = LAST if left.until is None else {}
    elif k == left.number:
        steps = OWN
    elif k < left.number or (left.until is not None and k > left.until):
        steps = {}
    else:
        steps = {i: done for i, done in LATER.items() if k != left.until or i not in OWN}
    return steps.get(step.id)


def _told(bench: Bench, left: Uncured, what: str) -> str:
    soft, view = left.state.glass, bench.case.view
    warm = f", soft from {show(soft, 'temperature', view, limit='most')}" if soft is not None else ""
    if not what:
        what = "stay below that in this survey" if warm else "warm it as little as this survey allows"
    cured = share(left.state.least)
    return f"{left.name}: {left.state.name} is {cured} cured by the prediction{warm}: {what}."
