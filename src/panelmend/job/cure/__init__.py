"""Cure: recipe, blanket and circuit, and the prediction of heat where there is one."""

from panelmend.job.cure.checks import check
from panelmend.job.cure.make import make
from panelmend.job.cure.part import CurePart

__all__ = ["CurePart", "check", "make"]
