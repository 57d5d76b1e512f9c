"""Cure logs: how a file would be read (:func:`propose`), and reading it (:func:`read`)."""

from panelmend.curelog.clocks import LogQuestion
from panelmend.curelog.propose import Proposal, Range, propose
from panelmend.curelog.readas import ColumnAs, ReadAs, TimeAs
from panelmend.curelog.reading import read
from panelmend.plan.judge.log import Channel, ChannelRole, CureLog

__all__ = [
    "Channel",
    "ChannelRole",
    "ColumnAs",
    "CureLog",
    "LogQuestion",
    "Proposal",
    "Range",
    "ReadAs",
    "TimeAs",
    "propose",
    "read",
]
