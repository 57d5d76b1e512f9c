"""Bonded joints: any stepped bond as one elastic-plastic line, what it carries, and peel at its tip."""

from panelmend.physics.joint.adhesive import AdhesiveLayer
from panelmend.physics.joint.bond import Bond, BondAnswer, BondStep, Ends, StepPeak, lap, shear_decay
from panelmend.physics.joint.capacity import Capacity, capacity
from panelmend.physics.joint.line import solve_bond
from panelmend.physics.joint.tip import BeamStep, PlugSpring, TipAnswer, peel_on_core

__all__ = [
    "AdhesiveLayer",
    "BeamStep",
    "Bond",
    "BondAnswer",
    "BondStep",
    "Capacity",
    "Ends",
    "PlugSpring",
    "StepPeak",
    "TipAnswer",
    "capacity",
    "lap",
    "peel_on_core",
    "shear_decay",
    "solve_bond",
]
