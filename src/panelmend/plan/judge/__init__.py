"""The judge: :func:`judge` a cure log against its approved recipe; :func:`find_faults` of a log."""

from panelmend.plan.judge.alarm import Alarm
from panelmend.plan.judge.faults import find_faults
from panelmend.plan.judge.judging import judge
from panelmend.plan.judge.log import Channel, ChannelRole, CureLog
from panelmend.plan.judge.recipe import (
    CureRecipe,
    LeakRule,
    RecipeLimit,
    RecipeSegment,
    SegmentKind,
    SensorRule,
    VacuumRule,
)
from panelmend.plan.judge.report import CureReport, make_report
from panelmend.plan.judge.rules_sensors import ResinConstants
from panelmend.plan.judge.rules_vacuum import LeakReading
from panelmend.plan.judge.verdict import Interruption, Outcome, Reason, SegmentRow, Verdict
from panelmend.plan.judge.watch import Now, Predicted, look

__all__ = [
    "Alarm",
    "Channel",
    "ChannelRole",
    "CureLog",
    "CureRecipe",
    "CureReport",
    "Interruption",
    "LeakReading",
    "LeakRule",
    "Now",
    "Outcome",
    "Predicted",
    "Reason",
    "RecipeLimit",
    "RecipeSegment",
    "ResinConstants",
    "SegmentKind",
    "SegmentRow",
    "SensorRule",
    "VacuumRule",
    "Verdict",
    "find_faults",
    "judge",
    "look",
    "make_report",
]
