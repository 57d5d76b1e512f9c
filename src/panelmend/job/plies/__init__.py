"""Plies: every ply of the repair with its outline, margins, least overlap, warp and template."""

from panelmend.job.plies.checks import check
from panelmend.job.plies.make import make
from panelmend.job.plies.part import PliesPart

__all__ = ["PliesPart", "check", "make"]
