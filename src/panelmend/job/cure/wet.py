"""A cure with water left in the core, as a problem of its own beside the dry one."""

from __future__ import annotations

from dataclasses import replace

from panelmend.job.case import Case
from panelmend.job.cure.problem import HeatProblem, Wet
from panelmend.physics.steam import LOWEST, saturation_pressure
from panelmend.physics.wet_core import vapour_conductivity
from panelmend.shapes import Outline

WATER_LEFT = (
    0.001  # m of water in every closed cell under the patch; nobody knows how much, and 1 mm is easily scaled
)
HOTTEST_WET_CURE = 550.0  # K: no cure with water in it goes near


def wet_problem(case: Case, dry: HeatProblem | None, opening: Outline) -> HeatProblem | None:
    """The same cure with water in the closed cells under the patch.

    Args:
        case: the document.
        dry: the cure; None where it is not predicted.
        opening: of the cut-out: its core is taken out, or a dry plug.

    Returns:
        the problem; None where no water was found in the core, or nothing is heated past the freezing point.
    """
    if dry is None or dry.core is None or case.document.damage.moisture == "none found":
        return None
    at = dry.dwell.target
    if not LOWEST <= dry.air <= at <= HOTTEST_WET_CURE:
        return None
    # the air it was closed with, without the vapour it had then
    sealed = (dry.pressure - saturation_pressure(dry.air)) * at / dry.air
    if sealed <= 0.0:
        return None
    return replace(dry, notes=(), wet=Wet(WATER_LEFT, dry.bond, opening, vapour_conductivity(at, sealed)))
