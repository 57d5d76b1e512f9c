"""A resin that one cure leaves far from cured, and what the later heats of the repair make of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from panelmend.job.cure.part import CureOperation, CureState
from panelmend.physics.cure_chemistry import integrate
from panelmend.units import show

DEGREE_TOLD_BELOW = 0.85  # degree of cure below which a word is due; common practice, no source


def goes_on(
    operation: CureOperation, state: CureState, operations: Sequence[CureOperation]
) -> tuple[str, float] | None:
    """What later heats make of a resin that an operation leaves uncured.

    Args:
        operation: the cure it is laid in.
        state: what the prediction leaves it at.
        operations: every cure of the repair.

    Returns:
        the first later cure that takes it to DEGREE_TOLD_BELOW, or else the last one, and the degree of
        cure it has then [1]; None where no later cure was predicted. It is taken to have the temperature of
        the coldest of the later bond line, which lies over it.
    """
    curing = operation.problem.curing if operation.problem is not None else ()
    law = next((c.law for c in curing if c.name == state.name), None)
    degree, found = state.least, None
    for later in operations:
        made = later.prediction
        if law is None or later.number <= operation.number or made is None:
            continue
        coldest = next((t.kelvin for t in made.traces if t.kind == "coldest"), ())
        if len(coldest) < 2:
            continue
        degree = integrate(law, made.times, coldest, start=degree).degree[-1]
        found = later.name, degree
        if degree >= DEGREE_TOLD_BELOW:
            break
    return found


@dataclass(frozen=True)
class Uncured:
    """A resin that the operation ``name``, ``number``, leaves below DEGREE_TOLD_BELOW, and the later one
    whose heat takes it there (``until``; None where none does)."""

    name: str
    number: int
    state: CureState
    until: int | None


def left_uncured(operations: Sequence[CureOperation]) -> tuple[Uncured, ...]:
    """Every resin that a cure leaves far from cured, and until which cure."""
    numbers = {o.name: o.number for o in operations}
    found = []
    for operation in operations:
        for state in operation.prediction.cured if operation.prediction is not None else ():
            if state.least >= DEGREE_TOLD_BELOW:
                continue
            after = goes_on(operation, state, operations)
            done = after is not None and after[1] >= DEGREE_TOLD_BELOW
            found.append(
                Uncured(
                    operation.name,
                    operation.number,
                    state,
                    numbers[after[0]] if after is not None and done else None,
                )
            )
    return tuple(found)


def share(degree: float) -> str:
    """A degree of cure [1] in whole per cent, downwards: never all where some is missing."""
    return f"{int(100.0 * degree + 1e-9)} %"


def unfinished(operation: CureOperation, operations: Sequence[CureOperation], view: str) -> list[str]:
    """What the card says where heat goes on of every resin that this cure leaves far from cured."""
    said = []
    for state in operation.prediction.cured if operation.prediction is not None else ():
        if state.least >= DEGREE_TOLD_BELOW:
            continue
        soft = (
            f" and softens from {show(state.glass, 'temperature', view, limit='most')}"
            if state.glass is not None
            else ""
        )
        words = f"By the prediction {state.name} is only {share(state.least)} cured after this cure{soft}. "
        after = goes_on(operation, state, operations)
        if after is None or after[1] < DEGREE_TOLD_BELOW:
            words += "No later heat of this repair finishes it: not before the engineer has settled it."
        else:
            words += (
                f"Go on only where cycle, log and inspection conform. Until {after[0]} has finished it "
                f"({share(after[1])}) do not load it, and do not tap, sand or cut it warm. "
                "Without that cure: to the engineer."
            )
        said.append(words)
    return said
