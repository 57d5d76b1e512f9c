"""Bonded joints: any stepped bond as one elastic-plastic line, what it carries, and peel at its tip."""

from panelmend.physics.joint.adhesive import AdhesiveLayer as AdhesiveLayer
from panelmend.physics.joint.bond import Bond as Bond
from panelmend.physics.joint.bond import BondAnswer as BondAnswer
from panelmend.physics.joint.bond import BondStep as BondStep
from panelmend.physics.joint.bond import Ends as Ends
from panelmend.physics.joint.bond import StepPeak as StepPeak
from panelmend.physics.joint.bond import lap as lap
from panelmend.physics.joint.bond import shear_decay as shear_decay
from panelmend.physics.joint.capacity import Capacity as Capacity
from panelmend.physics.joint.capacity import capacity as capacity
from panelmend.physics.joint.line import solve_bond as solve_bond
from panelmend.physics.joint.tip import BeamStep as BeamStep
from panelmend.physics.joint.tip import PlugSpring as PlugSpring
from panelmend.physics.joint.tip import TipAnswer as TipAnswer
from panelmend.physics.joint.tip import peel_on_core as peel_on_core
