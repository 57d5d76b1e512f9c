"""What the watch says."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.errors import Finding


@dataclass(frozen=True)
class Alarm:
    """Something that will happen: ``finding`` says what and what to do; ``within`` [s], 0 for now."""

    finding: Finding
    within: float
