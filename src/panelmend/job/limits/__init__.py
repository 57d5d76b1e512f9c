"""Limits: sizes after clean-up against what the approved data allows."""

from panelmend.job.limits.checks import check
from panelmend.job.limits.make import make
from panelmend.job.limits.part import LimitsPart

__all__ = ["LimitsPart", "check", "make"]
