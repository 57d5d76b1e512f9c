"""Core: potted or replaced, ribbon along ribbon."""

from panelmend.job.core.checks import check
from panelmend.job.core.make import make
from panelmend.job.core.part import CorePart

__all__ = ["CorePart", "check", "make"]
