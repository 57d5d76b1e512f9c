"""Chemistry of cure: rate laws, degree of cure along a history, glass transition, time for temperature."""

from panelmend.physics.cure_chemistry.glass import degree_for, glass_transition
from panelmend.physics.cure_chemistry.history import CureHistory, integrate, time_to_reach
from panelmend.physics.cure_chemistry.laws import (
    CutOff,
    RateLaw,
    autocatalytic,
    from_reference,
    n_order,
    two_stage,
)
from panelmend.physics.cure_chemistry.shift import (
    LONGEST_SHIFT,
    EquivalentCure,
    activation_energy,
    equivalent_of_history,
    equivalent_time,
)

__all__ = [
    "LONGEST_SHIFT",
    "CureHistory",
    "CutOff",
    "EquivalentCure",
    "RateLaw",
    "activation_energy",
    "autocatalytic",
    "degree_for",
    "equivalent_of_history",
    "equivalent_time",
    "from_reference",
    "glass_transition",
    "integrate",
    "n_order",
    "time_to_reach",
    "two_stage",
]
