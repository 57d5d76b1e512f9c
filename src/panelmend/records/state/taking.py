"""What each kind of entry comes to: one table."""

from __future__ import annotations

from panelmend.records.state import jobs, people, stock

TAKE = {**people.TAKE, **jobs.TAKE, **stock.TAKE}
