"""Strength: does the repaired panel carry what the sound one did? It informs and approves nothing."""

from panelmend.job.strength.checks import check
from panelmend.job.strength.make import make
from panelmend.job.strength.part import StrengthPart

__all__ = ["StrengthPart", "check", "make"]
