"""Whether a plan may be worked from."""

from __future__ import annotations

from enum import StrEnum

from panelmend.errors import Severity

DRAFTING = (Severity.CONFIRM, Severity.STOP)  # a finding of such weight keeps a plan from being READY


class Standing(StrEnum):
    """A STOP is never worked from, a DRAFT not before its defaults are confirmed."""

    STOP = "STOP"
    DRAFT = "DRAFT"
    READY = "READY"
