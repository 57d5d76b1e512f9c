"""Readings from files: tables of taps and instrument readings, and recorded taps."""

from panelmend.survey.table import ReadingTable as ReadingTable
from panelmend.survey.table import TableProposal as TableProposal
from panelmend.survey.table import propose_table as propose_table
from panelmend.survey.table import read_table as read_table
from panelmend.survey.wav import HIGHER as HIGHER
from panelmend.survey.wav import HeardTap as HeardTap
from panelmend.survey.wav import dull_taps as dull_taps
from panelmend.survey.wav import higher_than as higher_than
from panelmend.survey.wav import read_taps as read_taps
