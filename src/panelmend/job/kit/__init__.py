"""Kit: what is needed, what it is mixed from, and what the stores are short of."""

from panelmend.job.kit.checks import check
from panelmend.job.kit.make import make
from panelmend.job.kit.part import KitPart

__all__ = ["KitPart", "check", "make"]
