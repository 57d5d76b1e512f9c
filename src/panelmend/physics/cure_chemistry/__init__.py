"""Chemistry of cure: rate laws, degree of cure along a history, glass transition."""

from panelmend.physics.cure_chemistry.glass import glass_transition
from panelmend.physics.cure_chemistry.history import CureHistory, integrate
from panelmend.physics.cure_chemistry.laws import (
    CutOff,
    RateLaw,
    autocatalytic,
    from_reference,
    n_order,
    two_stage,
)

__all__ = [
    "CureHistory",
    "CutOff",
    "RateLaw",
    "autocatalytic",
    "from_reference",
    "glass_transition",
    "integrate",
    "n_order",
    "two_stage",
]
