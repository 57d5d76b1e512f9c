"""What the shop knows of its own pace, and the panel's directions in words."""

from __future__ import annotations

from typing import Annotated

from panelmend.materials.bounds import common
from panelmend.materials.quantities import Text, Typed, WorkingTime

AT_THE_BENCH = common(
    "1 s", "24 h", usual=("10 s", "3 h"), what="time at the bench", todo="check the unit: s, min or h"
)


class Pace(Typed):
    """How long each job at the bench takes, rehearsed with dry material; shows what fits into a pot life."""

    mix: Annotated[WorkingTime, AT_THE_BENCH]
    """Weighing and mixing one batch."""
    wet_out: Annotated[WorkingTime, AT_THE_BENCH]
    """Wetting out one sheet and cutting it, or wetting out the pieces that would be cut from it."""
    lay: Annotated[WorkingTime, AT_THE_BENCH]
    """Laying one ply."""
    plug: Annotated[WorkingTime, AT_THE_BENCH]
    """Spreading paste and setting the plug or potting."""
    bag: Annotated[WorkingTime, AT_THE_BENCH]
    """Bagging the lay-up, until vacuum on."""
    hold: Annotated[WorkingTime, AT_THE_BENCH]
    """Waiting for the inspector at one hold."""


class Directions(Typed):
    """The panel's directions as the aircraft's drawings name them: FWD, UP, INBD, ..."""

    at_0: Text = ""
    """Where 0 degrees points."""
    at_90: Text = ""
    """Where 90 degrees points, as the document is drawn."""
    at_180: Text = ""
    """Where 180 degrees points, opposite to 0 degrees."""
    at_270: Text = ""
    """Where 270 degrees points, opposite to 90 degrees."""
