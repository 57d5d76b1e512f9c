"""What the cut-out stage decides."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.derive import Figure
from panelmend.document.approved import CutoutForm
from panelmend.document.panel import Side
from panelmend.shapes import Outline


@dataclass(frozen=True)
class Opening:
    """One opening in standard axes.

    ``sizes`` holds its figures in order: length, width (equal for a circle), angle, corner radius.
    """

    form: CutoutForm
    outline: Outline
    centre: tuple[float, float]
    length: Figure
    width: Figure
    angle: Figure
    corner_radius: Figure
    area: Figure


@dataclass(frozen=True)
class Candidate:
    """An alternative: its opening, the sound material it removes, and why it ranks where it does."""

    opening: Opening
    sound_removed: Figure
    reach_clear: Figure
    fits: bool
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class CutoutPart:
    """The cut-out.

    ``opening`` is the hole in the skin worked on; ``far`` the same radial cut in the other skin of a
    through repair (developed at that skin's depth); ``skin_depth`` how deep the skin is cut; ``core_depth``
    how deep core is removed (0 for none). ``candidates`` are ranked, the chosen one first unless pinned.
    """

    side: Side
    opening: Opening
    far: Outline | None
    margin: Figure
    skin_depth: Figure
    core_depth: Figure
    mouth_angle: Figure | None
    plies_cut: int
    candidates: tuple[Candidate, ...]
    pinned: bool
