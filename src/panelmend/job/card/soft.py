"""A resin that one cure leaves far from cured, at every step where a hand or a heat could harm it (common practice)."""

from __future__ import annotations

from dataclasses import replace

from panelmend.job.card.bench import Bench, on_plate
from panelmend.job.card.part import Step
from panelmend.job.degree_reached import Left, left_uncured, share
from panelmend.units import show

TAPPED = "tap it only cold, lean nothing on it"
SANDED = "sand it only cold, lightly"
CUT = "cut or sand it only cold"
WHAT = {"O27": TAPPED, "O28": CUT, "D10": CUT, "O1": SANDED, "O2": SANDED, "E1": SANDED, "E4": TAPPED}
"""What is done at a step to what lies there, by the step's id; D6 has heat."""
OWN = ("O27", "O28")
"""Steps of the very operation that leaves it uncured which come after its cure."""


def warned(bench: Bench, steps: list[Step]) -> list[Step]:
    """The steps, those first told of what is still soft there that tap, sand, cut or heat it."""
    soft = left_uncured(bench.work.cure.operations)
    plates = {b.number for b in bench.work.bag.operations if on_plate(b)}
    made = []
    for step in steps:
        words = [_told(bench, step, left) for left in soft if _touches(step, left, plates)]
        made.append(replace(step, words=(*((w,) for w in words), *step.words)) if words else step)
    return made


def _touches(step: Step, left: Left, plates: set[int]) -> bool:
    """Whether a step works on it between the cure that leaves it so and the one that finishes it."""
    if step.id in ("E1", "E4"):
        return left.until is None
    if step.id == "D10":
        return left.number in plates
    if step.operation == left.number:
        return step.id in OWN
    over = step.operation > left.number and (left.until is None or step.operation <= left.until)
    if not over or (step.operation == left.until and step.id in OWN):
        return False
    return step.id == "D6" or step.id in WHAT


def _told(bench: Bench, step: Step, left: Left) -> str:
    soft = left.state.glass
    warm = (
        f", soft from {show(soft, 'temperature', bench.case.view, limit='most')}" if soft is not None else ""
    )
    what = WHAT.get(step.id)
    if what is None:
        cooler = "stay below that in this survey" if warm else "warm it as little as this survey allows"
        what = cooler
    return (
        f"{left.name}: {left.state.name} is {share(left.state.least)} cured by the prediction{warm}: {what}."
    )
