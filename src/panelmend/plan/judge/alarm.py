"""An alarm of the live watch."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.errors import Finding


@dataclass(frozen=True)
class Alarm:
    """An event ahead: ``finding`` says what it is and what to do; ``within`` [s] from now, 0 for now."""

    finding: Finding
    within: float
