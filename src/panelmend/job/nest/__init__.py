"""Nest: every cloth piece on its roll, its warp along the roll."""

from panelmend.job.nest.checks import check
from panelmend.job.nest.make import make
from panelmend.job.nest.part import NestPart

__all__ = ["NestPart", "check", "make"]
