"""Documents of the cowling with another bend, and what their plies and core come to."""

from __future__ import annotations

import re
from functools import lru_cache

from examples_here import case_from, text
from panelmend.derive import Ledger
from panelmend.errors import Finding
from panelmend.job import core, cutout, limits, plies
from panelmend.job.core.part import CorePart
from panelmend.job.plies.part import PliesPart

OLD = 'curvature = { radius = "600 mm", axis = "0 deg", bulges = "outside", coordinates = "surface" }'
PLIES = "[data.plies]\n"


def document(
    radius: float = 600.0,
    second: float | None = 2000.0,
    bulges: str = "outside",
    said: str = "double",
    more: str = "",
    **other: str,
) -> str:
    """The cowling with another bend; ``more`` goes to data.plies. Radii in mm."""
    bend = f'curvature = {{ radius = "{radius!r} mm", axis = "0 deg", bulges = "outside"'
    if second is not None:
        bend += f', second_radius = "{second!r} mm", second_bulges = "{bulges}"'
    made = text("cowling").replace(OLD, bend + " }").replace('surface = "single"\n', "")
    assert OLD not in made
    if said:
        made = made.replace("curvature = {", f'surface = "{said}"\ncurvature = {{', 1)
    for old, new in other.items():
        made = re.sub(old, new, made)
    return made.replace(PLIES, PLIES + more, 1)


@lru_cache(maxsize=32)
def run(made: str) -> tuple[PliesPart, CorePart, tuple[Finding, ...], Ledger]:
    """Plies and core of a document with their findings."""
    case, ledger = case_from(made), Ledger()
    opening = cutout.make(case, ledger, limits.make(case, ledger))
    laid = plies.make(case, ledger, opening)
    filled = core.make(case, ledger, opening, laid)
    found = (*plies.check(case, ledger, laid, opening), *core.check(case, ledger, filled, opening, laid))
    return laid, filled, found, ledger


def codes(made: str) -> set[str]:
    return {f.code for f in run(made)[2]}


SMALL = {  # a panel small enough for tight bends
    r'length = "1100 mm", width = "900 mm"': 'length = "340 mm", width = "340 mm"',
    r'at = "-120, -410 mm"': 'at = "-150, -150 mm"',
    r'width = "760 mm"': 'width = "200 mm"',
    r'centre = "350, 240 mm", diameter = "160 mm"': 'centre = "140, 140 mm", diameter = "20 mm"',
    r'centre = "-260, 0 mm"': 'centre = "-130, 0 mm"',
}
CURVED = {f"P{n}" for n in range(121, 134)} - {"P130"}  # P130 only tells a figure
