"""Cut-out: the smallest permitted shape that covers the damage with its margin."""

from panelmend.job.cutout.checks import check
from panelmend.job.cutout.make import make
from panelmend.job.cutout.part import CutoutPart

__all__ = ["CutoutPart", "check", "make"]
