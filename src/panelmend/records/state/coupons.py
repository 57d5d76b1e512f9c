"""What entries about witness coupons come to."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from panelmend.records import events as e
from panelmend.records.state.held import Coupon
from panelmend.records.state.jobs import job_touched
from panelmend.records.state.whole import State, number_key


def _made(s: State, n: e.Entry, w: e.CouponMade) -> None:
    job = job_touched(s, n, w.job)
    job.workers.add(n.by)
    s.coupons[w.coupon] = Coupon(w, n.at, n.by, n.number)
    s.numbers.add(number_key("coupon", w.coupon))
    job.now(w.step).coupons.append(s.coupons[w.coupon])
    _touched(s, n, s.coupons[w.coupon])


def _tested(s: State, n: e.Entry, w: e.CouponTested) -> None:
    job_touched(s, n, w.job).workers.add(n.by)
    coupon = s.coupons[w.coupon]
    coupon.results.append((w, n.by, n.number))
    s.papers.add(w.paper)
    s.touch(f"instrument {w.instrument}", n.number)
    _touched(s, n, coupon)


def _touched(s: State, n: e.Entry, coupon: Coupon) -> None:
    """A coupon's entries are found from it, its lots and batches, and the lots in these."""
    s.touch(f"coupon {coupon.made.coupon}", n.number)
    for name in coupon.made.lots:
        batch = s.mixed.get(name)
        s.touch(f"batch {name}" if batch else f"lot {name}", n.number)
        for part in batch.mixed.parts if batch else ():
            s.touch(f"lot {part.lot}", n.number)


TAKE: dict[type, Callable[[State, e.Entry, Any], None]] = {e.CouponMade: _made, e.CouponTested: _tested}
