"""Cure logs: proposing how to read a file (:func:`propose`), and reading it (:func:`read_log`)."""

from panelmend.curelog.clocks import LogQuestion as LogQuestion
from panelmend.curelog.propose import Proposal as Proposal
from panelmend.curelog.propose import Range as Range
from panelmend.curelog.propose import propose as propose
from panelmend.curelog.readas import ColumnAs as ColumnAs
from panelmend.curelog.readas import ReadAs as ReadAs
from panelmend.curelog.readas import TimeAs as TimeAs
from panelmend.curelog.reading import read_log as read_log
from panelmend.plan.judge.log import Channel as Channel
from panelmend.plan.judge.log import ChannelRole as ChannelRole
from panelmend.plan.judge.log import CureLog as CureLog
