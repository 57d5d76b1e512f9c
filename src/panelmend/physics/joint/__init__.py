"""Bonded joints: closed forms for laps and scarfs, and any stepped bond as one elastic-plastic line."""

from panelmend.physics.joint.adhesive import Adhesive, AdhesiveData
from panelmend.physics.joint.bond import Bond, BondAnswer, Ends, Step, StepPeak, equal_steps, lap, scarf
from panelmend.physics.joint.capacity import Capacity, capacity, flows_everywhere, least_overlap
from panelmend.physics.joint.closed_forms import (
    LapStress,
    bending_factor,
    design_overlap,
    double_lap_long,
    goland_reissner,
    overlap_rule,
    peel_at_tip,
    scarf_stress,
    shear_decay,
    volkersen,
)
from panelmend.physics.joint.line import solve_bond
from panelmend.physics.joint.peel import BeamStep, PeelAnswer, peel_along
from panelmend.physics.joint.tip import Plug, TipAnswer, peel_on_core

__all__ = [
    "Adhesive",
    "AdhesiveData",
    "BeamStep",
    "Bond",
    "BondAnswer",
    "Capacity",
    "Ends",
    "LapStress",
    "PeelAnswer",
    "Plug",
    "Step",
    "StepPeak",
    "TipAnswer",
    "bending_factor",
    "capacity",
    "design_overlap",
    "double_lap_long",
    "equal_steps",
    "flows_everywhere",
    "goland_reissner",
    "lap",
    "least_overlap",
    "overlap_rule",
    "peel_along",
    "peel_at_tip",
    "peel_on_core",
    "scarf",
    "scarf_stress",
    "shear_decay",
    "solve_bond",
    "volkersen",
]
