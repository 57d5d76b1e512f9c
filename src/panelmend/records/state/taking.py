"""What each kind of entry comes to: one table."""

from __future__ import annotations

from panelmend.records.state import coupons, jobs, people, stock

PEOPLE = frozenset(people.TAKE)
"""Entries after which rights are looked at anew."""
TAKE = {**people.TAKE, **jobs.TAKE, **stock.TAKE, **coupons.TAKE}
