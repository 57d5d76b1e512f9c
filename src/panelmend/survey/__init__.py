"""Readings from files: tables of taps and instrument readings, and recorded taps."""

from panelmend.survey.table import Proposal, Table, propose, read_table
from panelmend.survey.wav import Tap, dull_taps, read_taps

__all__ = ["Proposal", "Table", "Tap", "dull_taps", "propose", "read_table", "read_taps"]
