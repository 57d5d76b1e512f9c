"""The judge: :func:`judge` a cure log against its approved recipe; :func:`find_faults` of a log."""

from panelmend.plan.judge.alarm import Alarm as Alarm
from panelmend.plan.judge.faults import find_faults as find_faults
from panelmend.plan.judge.judging import judge as judge
from panelmend.plan.judge.log import Channel as Channel
from panelmend.plan.judge.log import ChannelRole as ChannelRole
from panelmend.plan.judge.log import CureLog as CureLog
from panelmend.plan.judge.recipe import CureRecipe as CureRecipe
from panelmend.plan.judge.recipe import LeakRule as LeakRule
from panelmend.plan.judge.recipe import RecipeLimit as RecipeLimit
from panelmend.plan.judge.recipe import RecipeSegment as RecipeSegment
from panelmend.plan.judge.recipe import SegmentKind as SegmentKind
from panelmend.plan.judge.recipe import SensorRule as SensorRule
from panelmend.plan.judge.recipe import VacuumRule as VacuumRule
from panelmend.plan.judge.report import CureReport as CureReport
from panelmend.plan.judge.report import make_report as make_report
from panelmend.plan.judge.rules_sensors import ResinConstants as ResinConstants
from panelmend.plan.judge.rules_vacuum import LeakReading as LeakReading
from panelmend.plan.judge.verdict import Interruption as Interruption
from panelmend.plan.judge.verdict import Outcome as Outcome
from panelmend.plan.judge.verdict import Reason as Reason
from panelmend.plan.judge.verdict import SegmentRow as SegmentRow
from panelmend.plan.judge.verdict import Verdict as Verdict
from panelmend.plan.judge.watch import Now as Now
from panelmend.plan.judge.watch import Predicted as Predicted
from panelmend.plan.judge.watch import look as look
