"""Sandwich sections: stiffness, failure modes, coupon beams, honeycomb core constants."""

from panelmend.physics.sandwich.beam import BeamAnswer, BeamSection, BeamTest, bend_beam, stiffness_from_tests
from panelmend.physics.sandwich.checks import ModeCheck, ModeNotChecked, check_section
from panelmend.physics.sandwich.core import HoneycombTheory, SandwichCore, honeycomb
from panelmend.physics.sandwich.modes import (
    Wrinkling,
    bending_crush,
    crimping_load,
    dimpling_stress,
    wrinkling_stress,
)
from panelmend.physics.sandwich.section import Sandwich, state

__all__ = [
    "BeamAnswer",
    "BeamSection",
    "BeamTest",
    "HoneycombTheory",
    "ModeCheck",
    "ModeNotChecked",
    "Sandwich",
    "SandwichCore",
    "Wrinkling",
    "bend_beam",
    "bending_crush",
    "check_section",
    "crimping_load",
    "dimpling_stress",
    "honeycomb",
    "state",
    "stiffness_from_tests",
    "wrinkling_stress",
]
