"""Cure logs: how a file would be read (:func:`propose`), and reading it (:func:`read`)."""

from panelmend.curelog.clocks import Question
from panelmend.curelog.propose import Proposal, Range, propose
from panelmend.curelog.readas import ColumnAs, ReadAs, TimeAs
from panelmend.curelog.reading import read
from panelmend.plan.judge.log import Channel, CureLog, Role

__all__ = [
    "Channel",
    "ColumnAs",
    "CureLog",
    "Proposal",
    "Question",
    "Range",
    "ReadAs",
    "Role",
    "TimeAs",
    "propose",
    "read",
]
