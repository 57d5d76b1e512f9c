"""Work that was done again or left: counted, so that it stays visible."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from panelmend.records import events as e
from panelmend.records.canonical import amount_text
from panelmend.records.state import Attempt, Job, State


@dataclass(frozen=True)
class RepeatedStep:
    """A step of which work was done more than once, or that a revision left out.

    ``attempts`` that no longer count, and what was drawn from stores for them: lot, amount and unit.
    """

    step: e.CardStep
    attempts: int
    left: bool
    drawn: tuple[tuple[str, str, str], ...]


def repeated_steps(state: State, job: Job) -> tuple[RepeatedStep, ...]:
    """Everything of a job that was done and no longer counts, in the card's order, what was left out last."""
    found = [(x, job.attempts[x.key][:-1], False) for x in job.opened.steps]
    found += [(x, held, True) for x, held in job.left]
    made = []
    for step, attempts, left in found:
        begun = [a for a in attempts if a.filled or a.signed or a.files or a.issued or a.verdicts]
        if begun:
            made.append(RepeatedStep(step, len(begun), left, _drawn(state, begun)))
    return tuple(made)


def _drawn(state: State, attempts: list[Attempt]) -> tuple[tuple[str, str, str], ...]:
    total: dict[str, Decimal] = {}
    for attempt in attempts:
        for issue, _, _ in attempt.issued:
            total[issue.lot] = total.get(issue.lot, Decimal(0)) + Decimal(issue.amount)
    return tuple((x, amount_text(a), state.lots[x].received.unit) for x, a in sorted(total.items()))
