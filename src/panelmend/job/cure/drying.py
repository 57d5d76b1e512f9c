"""The heat of drying as a problem like that of a cure: what is under the blanket once the hole is cut."""

from __future__ import annotations

from dataclasses import replace

from panelmend.job.cure.problem import HeatProblem, Leg
from panelmend.job.defaults import DRIED_WITHIN
from panelmend.job.drying.part import DryingPart
from panelmend.shapes import Outline, offset

NAME, NUMBER = "Drying", 0
AROUND_OPENING = 0.025  # m round the opening whose core is looked at; where water is nobody knows exactly
UNTOLD_DRYING_TIME = 3600.0  # s held where the data gives no time
NO_LIMIT_TEMPERATURE = 1000.0  # K: so hot may a panel get that names no limit; never printed
LYING = ("bag", "blanket", "near skin", "far skin", "blanket behind", "bag behind")
_RESIN = ("bled aside", "bled kept", "cure heat", "cure rate", "potting", "splice cells")


def drying_problem(first: HeatProblem | None, dried: DryingPart) -> HeatProblem | None:
    """The heat of drying under the blankets of the first cure, before anything is laid.

    The controller follows the hottest thermocouple, for nothing may boil; the opening counts as filled with
    core, which conducts about as the air in it. The foot of the core round the opening is what is looked at.

    Args:
        first: the first cure on the panel that a blanket heats; None for none.
        dried: the drying stage.

    Returns:
        the problem, or None where nothing is dried or no blanket lies there.
    """
    at, rate = dried.temperature, dried.rate
    if first is None or first.core is None or not dried.dries or at is None or rate is None:
        return None
    if float(at) <= first.air + DRIED_WITHIN:
        return None
    held = float(dried.duration) if dried.duration is not None else UNTOLD_DRYING_TIME
    back = first.air + 2.0 * DRIED_WITHIN
    legs = (
        Leg(float(at), float(rate), held, float(at) - DRIED_WITHIN, None, "heat", rate_most=float(rate)),
        Leg(back, float(rate), 0.0, back, None, "cool"),
    )
    return replace(
        first,
        operation=NAME,
        number=NUMBER,
        sheets=tuple(s for s in first.sheets if s.layer in LYING),
        core=replace(first.core, plug=None),  # neither plug nor potting is there yet
        curing=(),
        bled=None,
        splice=None,
        larger=None,
        second=None,
        insulation_over=0.0,
        insulation_behind=0.0,
        insulation_limits=None,
        uncounted=None,
        legs=legs,
        follow="leading",
        ceiling=None,
        panel_limit=first.panel_limit if first.panel_limit is not None else NO_LIMIT_TEMPERATURE,
        floor=_wider(first.floor if first.floor is not None else first.bond),
        spread_most=None,
        release_below=None,
        unknowns=tuple(u for u in first.unknowns if u.name not in _RESIN),
        notes=(
            "the opening counts as filled with core; water in the core is not counted: it takes longer wet",
        ),
    )


def _wider(outline: Outline) -> Outline:
    return max(offset(outline, AROUND_OPENING), key=lambda o: o.area)
