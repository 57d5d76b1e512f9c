"""Drying: what water does in cells that are heated, and what the drying time reaches in the skins."""

from panelmend.job.drying.checks import check, check_without_work
from panelmend.job.drying.make import make
from panelmend.job.drying.part import DryingPart

__all__ = ["DryingPart", "check", "check_without_work", "make"]
