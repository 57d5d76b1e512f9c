"""What a predicted cure comes to, dry and wet, in the words of every page that says it."""

from __future__ import annotations

from panelmend.job.cure.part import CureOperation
from panelmend.job.cure.prediction import Outlook
from panelmend.render.cure_rows import OUTLOOKS, SIGNS, outcome_words

WET_BREAKS = " With water left in the core it is NOT HELD: no heat before a check shows that the core is dry."


def breaks_wet(operation: CureOperation) -> bool:
    """Whether a cure that holds dry breaks a limit with water left in the core."""
    dry, wet = operation.prediction, operation.wetted
    return dry is not None and dry.holds and wet is not None and not wet.holds


def outlook_mark(operation: CureOperation) -> tuple[bool, str]:
    """Whether a predicted cure is held without reserve, and its mark; with water left that breaks it, not."""
    assert operation.prediction is not None, "a mark of what was predicted"
    outlook = operation.prediction.outlook
    if outlook is Outlook.HOLDS and breaks_wet(operation):
        return False, "? held only DRY"
    return outlook is Outlook.HOLDS, OUTLOOKS[outlook]


def outlook_sign(operation: CureOperation) -> str:
    """The sign of a screen for a predicted cure: "within", "outside" or "unsure"."""
    assert operation.prediction is not None, "a sign of what was predicted"
    outlook = operation.prediction.outlook
    return "unsure" if outlook is Outlook.HOLDS and breaks_wet(operation) else SIGNS[outlook]


def cure_outcome(operation: CureOperation, view: str) -> str:
    """The outcome of a predicted cure, dry and with water left in the core, in the words of every page."""
    assert operation.prediction is not None, "an outcome of what was predicted"
    return outcome_words(operation.prediction, view) + (WET_BREAKS if breaks_wet(operation) else "")
