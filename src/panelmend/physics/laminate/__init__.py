"""Classical lamination: stiffness, hygrothermal loads, ply stresses, failure criteria."""

from panelmend.physics.laminate.failure import (
    Criterion,
    FirstPly,
    first_ply_failure,
    max_strain,
    max_stress,
    reserve_factors,
    tsai_hill,
    tsai_wu,
)
from panelmend.physics.laminate.lamina import Lamina, StrainLimits, Strengths, turned_stiffness
from panelmend.physics.laminate.response import Response, response, strained
from panelmend.physics.laminate.stack import (
    Laminate,
    LaminatePly,
    Moduli,
    effective_moduli,
    flexural_moduli,
    hygrothermal_loads,
    invariants,
    laminate,
)

__all__ = [
    "Criterion",
    "FirstPly",
    "Lamina",
    "Laminate",
    "LaminatePly",
    "Moduli",
    "Response",
    "StrainLimits",
    "Strengths",
    "effective_moduli",
    "first_ply_failure",
    "flexural_moduli",
    "hygrothermal_loads",
    "invariants",
    "laminate",
    "max_strain",
    "max_stress",
    "reserve_factors",
    "response",
    "strained",
    "tsai_hill",
    "tsai_wu",
    "turned_stiffness",
]
