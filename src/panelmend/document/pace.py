"""What the shop knows of its own pace, and the panel's directions in words."""

from __future__ import annotations

from panelmend.materials.quantities import Text, Typed, WorkingTime


class Pace(Typed):
    """How long the bench takes, found by rehearsing with dry material; judges what fits into a pot life."""

    mix: WorkingTime
    """Weighing and mixing one batch."""
    wet_out: WorkingTime
    """Wetting out one sheet and cutting it, or the pieces that would be cut from it."""
    lay: WorkingTime
    """Laying one ply."""
    plug: WorkingTime
    """Spreading paste and setting the plug or potting."""
    bag: WorkingTime
    """Closing the bag over what is laid, up to vacuum on."""
    hold: WorkingTime
    """Waiting for the inspector at one hold."""


class Directions(Typed):
    """The panel's directions in words, as the drawings of the aircraft have them: FWD, UP, INBD, ..."""

    at_0: Text = ""
    """Where 0 degrees points."""
    at_90: Text = ""
    """Where 90 degrees points, as the document is drawn."""
    at_180: Text = ""
    """The way opposite to 0 degrees."""
    at_270: Text = ""
    """The way opposite to 90 degrees."""
