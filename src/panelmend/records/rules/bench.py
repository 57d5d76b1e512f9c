"""Rules for what is mixed and laid at the bench: batches of resin from lots, labels of pieces."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any

from panelmend.records import events as e
from panelmend.records.canonical import seconds_between
from panelmend.records.refusals import (
    BACKWARDS,
    MALFORMED,
    NO_SUCH,
    NOT_AN_ANSWER,
    NOT_DRAWN,
    OTHER_LABEL,
    TAKEN,
    TOO_LITTLE,
)
from panelmend.records.rules.doing import open_step
from panelmend.records.rules.stock import require_usable
from panelmend.records.state import Job, State, number_key


def life_of(job: Job, step: str) -> int | None:
    """How long what is mixed at a step may be used by the card [s]: the shortest clock that starts there."""
    lives = [c.most for c in job.opened.clocks if c.start == step and c.most is not None]
    return min(lives) if lives else None


def _mixed(state: State, entry: e.Entry, what: e.BatchMixed) -> None:
    if state.rules < 3:
        raise MALFORMED("a batch before there were any")
    job, _, _ = open_step(state, entry, what.job, what.step)
    taken = number_key("batch", what.batch) in state.numbers or number_key("lot", what.batch) in state.numbers
    if taken:
        raise TAKEN(f"batch {what.batch}")
    life = life_of(job, what.step)
    if what.life < 1 or (life is not None and what.life > life):
        raise NOT_AN_ANSWER(f"batch {what.batch}: a life of {what.life} s, the card says {life} s")
    if len({p.lot for p in what.parts}) != len(what.parts):
        raise MALFORMED(f"batch {what.batch} names a lot twice")
    now = max(state.latest, entry.entered)
    for part in what.parts:
        lot = state.lots.get(part.lot)
        if lot is None:
            raise NO_SUCH(f"lot {part.lot}")
        drawn = lot.by_job.get(what.job, Decimal(0))
        if drawn <= 0:
            raise NOT_DRAWN(f"lot {part.lot}, job {what.job}")
        left = drawn - lot.mixed.get(what.job, Decimal(0))
        if not 0 < Decimal(part.amount) <= left:
            raise TOO_LITTLE(f"job {what.job} has {left} {lot.received.unit} of lot {part.lot} not mixed yet")
        issues = [(at, gone) for j, at, gone in lot.issues if j == what.job]
        if entry.at < min(issues)[0]:
            raise BACKWARDS(f"lot {part.lot} was drawn at {min(issues)[0]}")
        for moment in (entry.at, now):
            out = max(gone + max(0, seconds_between(at, moment)) for at, gone in issues)
            require_usable(state, lot, moment, out=out)


def _label(state: State, entry: e.Entry, what: e.LabelSeen) -> None:
    if state.rules < 3:
        raise MALFORMED("a label before there were any")
    job, step, attempt = open_step(state, entry, what.job, what.step)
    if what.repair != what.job or not job.opened.plan.startswith(what.digest):
        raise OTHER_LABEL(f"it says repair {what.repair[:40]}, plan {what.digest}; this is {what.job}, "
                          f"plan {job.opened.plan[:12]}")  # fmt: skip
    if what.piece not in job.opened.pieces:
        raise OTHER_LABEL(f"the plan has no piece {what.piece}")
    if state.rules >= 4 and step.pieces and what.piece not in step.pieces:
        raise OTHER_LABEL(f"step {step.number} takes {', '.join(step.pieces)}, not {what.piece}")
    if any(x.piece == what.piece for x, _ in attempt.labels):
        raise OTHER_LABEL(f"piece {what.piece} was seen at this step already")


RULES: dict[type, Callable[[State, e.Entry, Any], None]] = {e.BatchMixed: _mixed, e.LabelSeen: _label}
