"""Whether a plan may be worked from."""

from __future__ import annotations

from enum import StrEnum

from panelmend.errors import Severity

# Whether a finding of a weight keeps a plan from being READY; one of a weight nobody knows raises.
DRAFTS = {Severity.NOTE: False, Severity.CAUTION: False, Severity.CONFIRM: True, Severity.STOP: True}


class Standing(StrEnum):
    """A STOP is never worked from, a DRAFT not before its defaults are confirmed."""

    STOP = "STOP"
    DRAFT = "DRAFT"
    READY = "READY"
