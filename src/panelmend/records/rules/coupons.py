"""Rules for witness coupons: made of what was drawn, judged by their limit, waited for by the release."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from panelmend.records import events as e
from panelmend.records.canonical import canonical_amount
from panelmend.records.doing.judged import Met, coupon_items, covered
from panelmend.records.refusals import (
    BACKWARDS,
    COUPON_OUTSIDE,
    COUPON_WAITS,
    MALFORMED,
    NO_SUCH,
    NOT_AN_ANSWER,
    NOT_INCLUDED,
    TAKEN,
)
from panelmend.records.rules.doing import open_step
from panelmend.records.rules.named import in_calibration, taken_from
from panelmend.records.rules.stock import open_job_of
from panelmend.records.state import Job, State, number_key


def _made(state: State, entry: e.Entry, what: e.CouponMade) -> None:
    job, _, _ = open_step(state, entry, what.job, what.step)
    if number_key("coupon", what.coupon) in state.numbers:
        raise TAKEN(f"coupon {what.coupon}")
    if len(set(what.lots)) != len(what.lots):
        raise MALFORMED(f"coupon {what.coupon} names a lot twice")
    for name in what.lots:
        taken_from(state, job, name, (entry.at, max(state.latest, entry.entered)))


def _tested(state: State, entry: e.Entry, what: e.CouponTested) -> None:
    job = open_job_of(state, what.job)
    coupon = state.coupons.get(what.coupon)
    if coupon is None or coupon.made.job != what.job:
        raise NO_SUCH(f"coupon {what.coupon} of job {what.job}")
    if entry.at < coupon.at:
        raise BACKWARDS(f"coupon {what.coupon} was made at {coupon.at}")
    if entry.by in job.deciders:
        raise NOT_INCLUDED(f"{entry.by} decided a deviation of job {what.job}")
    if what.least is None and what.most is None:
        raise NOT_AN_ANSWER(f"coupon {what.coupon}: neither a least nor a most, so nothing judges it")
    if (
        what.least is not None
        and what.most is not None
        and canonical_amount(what.least) > canonical_amount(what.most)
    ):
        raise MALFORMED(f"coupon {what.coupon}: at least {what.least}, at most {what.most}")
    for text in (what.unit, what.ground, what.broke):
        if not text.strip():
            raise MALFORMED(
                f"coupon {what.coupon}: unit, place in the approved data and how it broke are given"
            )
    in_calibration(state, what.instrument, (entry.at, max(state.latest, entry.entered)))


def coupons_hold(job: Job) -> None:
    """See that each coupon of work that counts has a result, within its limit or let stand.

    Raises:
        Refused: one has none (R611), or one outside that no deviation covers (R612).
    """
    for step in job.opened.steps:
        attempt = job.now(step.key)
        waiting = [x.made.coupon for x in attempt.coupons if not x.results]
        if waiting:
            raise COUPON_WAITS(f"{', '.join(waiting)}, step {step.number} ({step.id})")
        stands = covered(job, step.key)
        for item in coupon_items(attempt):
            if item.met is Met.OUTSIDE and item.key not in stands:
                raise COUPON_OUTSIDE(f"{item.what}: {item.words}, entry {item.key[1:]}")


RULES: dict[type, Callable[[State, e.Entry, Any], None]] = {e.CouponMade: _made, e.CouponTested: _tested}
