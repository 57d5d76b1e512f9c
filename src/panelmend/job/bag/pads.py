"""How far a pressure pad stands above the skin, and whether that is what the data asks."""

from __future__ import annotations

import math

from panelmend.errors import Finding, caution_code, stop_code
from panelmend.job.bag.part import BagOperation
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.defaults import USUAL
from panelmend.units import show

B140 = stop_code(
    "B140",
    "The pressure pad lies below the skin: the blanket and bag bridge over it, and nothing presses on the "
    "cap",
    "use thicker sheets for the pad, or more of them, and type their total thickness",
)
B141 = caution_code(
    "B141",
    "The pressure pad stands more than twice as high above the skin as it should",
    "use thinner sheets: a pad that stands high lifts the blanket off the skin and leaves its rim cold",
)


def stands_proud(bag: BagOperation, cutout: CutoutPart, core: CorePart) -> float | None:
    """How far a pad stands above the skin [m], below it negative; None where that is not known.

    The plug is level with the core, as its step asks; the cap and its adhesive lie in the depth of the skin.
    """
    pad = bag.cure.pad
    if pad is None or pad.thickness is None or not set(bag.lays) <= {"core", "cap"}:
        return None
    filled = 0.0
    if core.cap and "cap" in bag.lays:
        filled = math.fsum(float(p.thickness) for p in core.cap)
        if core.cap_volume is not None and core.cap_outline is not None:
            filled += float(core.cap_volume) / core.cap_outline.area
    return pad.thickness - (float(cutout.skin_depth) - filled)


def pad_findings(case: Case, bag: BagOperation, cutout: CutoutPart, core: CorePart) -> list[Finding]:
    """A pad that lies too low or stands too high."""
    stands, pad = stands_proud(bag, cutout, core), bag.cure.pad
    if stands is None or pad is None:
        return []
    usual = USUAL["bag.pad_proud"].of(case.view)
    assert isinstance(usual, float)
    asked = pad.proud if pad.proud is not None else usual
    place = f"data.cure[{case.document.data.cure.index(bag.cure) + 1}].pad"
    wanted, found = (show(x, "length", case.view) for x in (asked, abs(stands)))
    if stands <= 1e-5:
        return [
            B140(f"{bag.name}: {found} below the skin; it must stand {wanted} above the skin", place=place)
        ]
    if stands > 2 * asked + 1e-5:
        return [
            B141(f"{bag.name}: {found} above the skin; it must stand {wanted} above the skin", place=place)
        ]
    return []
