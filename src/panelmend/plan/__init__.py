"""The plan: every stage strung together, with its figures, findings and digest."""

from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan

__all__ = ["Plan", "make_plan"]
