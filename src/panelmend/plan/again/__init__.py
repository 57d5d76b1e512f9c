"""A later plan held against the one worked by: :func:`again`; :func:`done_steps` as people write them."""

from panelmend.plan.again.compare import again
from panelmend.plan.again.part import Again, Fate, Made, StepFate
from panelmend.plan.again.steps import done_steps

__all__ = ["Again", "Fate", "Made", "StepFate", "again", "done_steps"]
