"""Cure: recipe, blanket and circuit, and the prediction of heat where there is one."""

from panelmend.job.cure.checks import check
from panelmend.job.cure.drying_checks import check_drying
from panelmend.job.cure.make import make
from panelmend.job.cure.part import CurePart

__all__ = ["CurePart", "check", "check_drying", "make"]
