"""Entries about witness coupons: what was laid and cured beside the work to be broken, and what it showed."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from panelmend.records.events.fields import Amount, Digest, Frozen, Id, Words


class CouponMade(Frozen):
    """A witness coupon laid at a step: what it is to show, the lots and batches it is of."""

    kind: Literal["coupon made"] = "coupon made"
    job: Id
    step: Id
    coupon: Id
    what: Words
    lots: Annotated[tuple[Id, ...], Field(min_length=1, max_length=10)]


class CouponTested(Frozen):
    """What a coupon showed: ``value`` against ``least`` and ``most``, all three in ``unit``, by their place
    in the approved data (``ground``), on which instrument, how it broke; ``paper`` is the test's report."""

    kind: Literal["coupon tested"] = "coupon tested"
    job: Id
    coupon: Id
    value: Amount
    unit: Words
    least: Amount | None = None
    most: Amount | None = None
    ground: Words
    instrument: Id
    broke: Words
    paper: Digest


CouponEvent = CouponMade | CouponTested
