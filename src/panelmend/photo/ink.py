"""Something found on the face in the colour of a pen, and why it may need a look."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Doubt(StrEnum):
    """Why something found is not taken without being looked at."""

    NONE = ""
    COLOUR = "colour between the pens, or of none"
    WEAK = "faint or small"
    PATCH = "too large for a dot, no line"
    OPEN = "line not closed"
    GAP = "gap in the line closed"
    OUTSIDE = "outside the marks"
    GLARE = "glare or a veil of light: dots may be lost here"
    UNSEEN = "not in the picture"
    ONE = "seen in one picture, not in another"
    SPLIT = "touching dots, split"
    SOUND_LINE = "a line in the colour of sound dots"
    CUT = "cut by a mark's paper, the card or the picture's edge"


@dataclass(frozen=True)
class InkMark:
    """Something found: ``meaning`` dull, sound, line, hidden or unknown; a point, or an outline.

    ``error`` of its place in the picture's own means, as a standard deviation; ``across`` its size [m].
    """

    meaning: str
    at: tuple[float, float]
    across: float
    error: float
    doubt: Doubt = Doubt.NONE
    outline: tuple[tuple[float, float], ...] = ()
