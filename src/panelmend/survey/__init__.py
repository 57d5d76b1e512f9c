"""Readings from files: tables of taps and instrument readings, and recorded taps."""

from panelmend.survey.table import ReadingTable, TableProposal, propose_table, read_table
from panelmend.survey.wav import HIGHER, HeardTap, dull_taps, higher_than, read_taps

__all__ = [
    "HIGHER",
    "HeardTap",
    "ReadingTable",
    "TableProposal",
    "dull_taps",
    "higher_than",
    "propose_table",
    "read_table",
    "read_taps",
]
