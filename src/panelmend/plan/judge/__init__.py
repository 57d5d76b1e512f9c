"""The judge: :func:`judge` a cure log against its approved recipe; :func:`find_faults` of a log."""

from panelmend.plan.judge.alarm import Alarm
from panelmend.plan.judge.faults import find_faults
from panelmend.plan.judge.judging import judge
from panelmend.plan.judge.log import Channel, CureLog, Role
from panelmend.plan.judge.recipe import (
    CureRecipe,
    LeakRule,
    Limit,
    Segment,
    SegmentKind,
    SensorRule,
    VacuumRule,
)
from panelmend.plan.judge.report import CureReport, make_report
from panelmend.plan.judge.rules_sensors import Resin
from panelmend.plan.judge.rules_vacuum import LeakReading
from panelmend.plan.judge.verdict import Interruption, Outcome, Reason, SegmentRow, Verdict
from panelmend.plan.judge.watch import Now, Predicted, look

__all__ = [
    "Alarm",
    "Channel",
    "CureLog",
    "CureRecipe",
    "CureReport",
    "Interruption",
    "LeakReading",
    "LeakRule",
    "Limit",
    "Now",
    "Outcome",
    "Predicted",
    "Reason",
    "Resin",
    "Role",
    "Segment",
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
