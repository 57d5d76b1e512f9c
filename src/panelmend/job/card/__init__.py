"""Card: every step in working order with its numbers, cautions, readings and hold points."""

from panelmend.job.card.checks import check
from panelmend.job.card.make import make
from panelmend.job.card.part import Blank, CardPart, Caution, Step

__all__ = ["Blank", "CardPart", "Caution", "Step", "check", "make"]
