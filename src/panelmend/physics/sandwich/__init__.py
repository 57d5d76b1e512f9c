"""Sandwich sections: stiffness, failure modes, honeycomb core constants."""

from panelmend.physics.sandwich.checks import ModeCheck as ModeCheck
from panelmend.physics.sandwich.checks import ModeNotChecked as ModeNotChecked
from panelmend.physics.sandwich.checks import check_section as check_section
from panelmend.physics.sandwich.core import HoneycombTheory as HoneycombTheory
from panelmend.physics.sandwich.core import SandwichCore as SandwichCore
from panelmend.physics.sandwich.core import honeycomb as honeycomb
from panelmend.physics.sandwich.modes import Wrinkling as Wrinkling
from panelmend.physics.sandwich.modes import bending_crush as bending_crush
from panelmend.physics.sandwich.modes import crimping_load as crimping_load
from panelmend.physics.sandwich.modes import dimpling_stress as dimpling_stress
from panelmend.physics.sandwich.modes import wrinkling_stress as wrinkling_stress
from panelmend.physics.sandwich.section import Sandwich as Sandwich
from panelmend.physics.sandwich.section import state as state
