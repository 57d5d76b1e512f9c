"""Bag: each cure operation's stack, layer by layer, with the cut size of each."""

from panelmend.job.bag.checks import check
from panelmend.job.bag.make import make
from panelmend.job.bag.part import BagPart

__all__ = ["BagPart", "check", "make"]
