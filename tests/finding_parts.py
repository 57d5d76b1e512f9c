"""Findings no document makes at will: parts of the plan that were built, inside and outside their limit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from typing import Any

import finding_heat  # noqa: F401  (its cases)
import finding_hosts  # noqa: F401  (its cases)
from finding_built import KEPT, PARTS, STUDY, TOOL, Built, Found, built, door, figure
from panelmend.derive import Ledger
from panelmend.job import nest, plies, strength
from panelmend.job.basis import Basis
from panelmend.job.strength.alike import skin_differences
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.part import Ratio, Reserve, ReserveKind, Rests, StrengthPart
from panelmend.job.strength.weight import mass_added, moment_added

__all__ = ["PARTS", "Built"]

# --- plies, nest, bag: what the tool itself never makes ---


def _overlap(inside: bool) -> Found:
    plan, work = door()
    side = work.plies.sides[0]
    first = side.plies[0]
    short = figure(float(first.margin) - (1e-8 if inside else 2e-8), "length")
    laid = replace(side, plies=(replace(first, overlap=short), *side.plies[1:]))
    part = replace(work.plies, sides=(laid, *work.plies.sides[1:]))
    return plies.check(plan.case, plan.ledger, part, work.cutout)


def _broken(inside: bool) -> Found:
    plan, work = door()
    item = work.nest.cloths[0]
    layout = item.nest.layouts[0]
    if not inside:
        moved = replace(layout.placements[0], y=layout.placements[0].y + layout.strip.width)
        layout = replace(layout, placements=(moved, *layout.placements[1:]))
    made = replace(item, nest=replace(item.nest, layouts=(layout, *item.nest.layouts[1:])))
    part = replace(work.nest, cloths=(made, *work.nest.cloths[1:]))
    return nest.check(plan.case, plan.ledger, part, work.plies, work.core)


def _refused(inside: bool) -> Found:
    plan, work = door()
    cloths = tuple(replace(c, refused=() if inside else ("it overlaps",)) for c in work.nest.cloths)
    return nest.check(plan.case, plan.ledger, replace(work.nest, cloths=cloths), work.plies, work.core)


built("P104", TOOL, "overlap of a ply", _overlap)
built("N004", TOOL, "a piece off its strip", _broken)
built("N006", KEPT, "a kept layout refused", _refused)

# --- strength: a part with nothing in it, changed ---

NONE: dict[str, Any] = {f.name: () for f in fields(StrengthPart)}
NONE |= {"mass_added": None, "moment_added": None, "moment_limit": None}
EMPTY = StrengthPart(**NONE | {"loads": (("case 1", "typed"),)})


def studied(**changes: Any) -> Found:
    """What is found of an empty strength part with changes."""
    plan, _ = door()
    return strength.check(plan.case, plan.ledger, replace(EMPTY, **changes))


def _reserve(value: float, resolved: bool = True) -> Reserve:
    return Reserve(
        next(iter(ReserveKind)), figure(value), "bond", "outside", "hot and wet", "a test", resolved
    )


def _ratio(value: float) -> Ratio:
    return Ratio("outside", figure(0.0, "angle"), figure(1.0), figure(value), figure(value))


def _moment(within: bool) -> Found:
    hinge = '[panel.hinge]\nstart = "0, 800 mm"\nend = "1200, 800 mm"\nmoment_limit = "{} N m"\n\n[damage]\n'
    plan, work = door(("[damage]\n", hinge.format("9")))
    ledger = Ledger()
    for f in plan.ledger:
        ledger.add(f)
    basis = Basis(plan.case, ledger)
    lay = AsLaid(plan.case, work.cutout, work.plies, work.core)
    moment, limit = moment_added(basis, mass_added(basis, lay), work.cutout.opening.centre)
    assert moment is not None
    assert limit is not None
    most = float(moment) * (1.0 if within else 0.999)
    return studied(moment_added=moment, moment_limit=figure(most, "moment"))


def _unlike(
    inside: tuple[tuple[str, str], ...], outside: tuple[tuple[str, str], ...]
) -> Callable[[bool], Found]:
    def by(within: bool) -> Found:
        plan, work = door(*(inside if within else outside))
        return studied(differences=skin_differences(AsLaid(plan.case, work.cutout, work.plies, work.core)))

    return by


ROW = '{ cloth = "demo-glass-8h", warp = "45 deg" }'
TABLE = (
    '[data.plies.outside]\nrepair = { place = "52-10-17 fig 204 table", value = [\n'
    '  { cloth = "demo-glass-8h", warp = "0 deg" },\n'
)
MORE = f'extra = {{ place = "52-10-17 fig 204 note 2", value = [ {ROW} ] }}\n'
ONE = '  { cloth = "demo-glass-8h", warp = "0 deg" },\n'


def _thin(cloth: str) -> tuple[tuple[str, str], ...]:
    return ((TABLE, TABLE.replace('"demo-glass-8h"', f'"{cloth}"')),)


def _turned(angle: str) -> tuple[tuple[str, str], ...]:
    return ((TABLE, TABLE.replace('"0 deg"', f'"{angle}"')),)


built("T101", STUDY, "data of a check given", lambda w: studied(not_checked=() if w else ("bond: missing",)))
built("T102", STUDY, "reserve of 1", lambda w: studied(reserves=(_reserve(1.0 if w else 0.99),)))
built(
    "T103", STUDY, "98 % of the sound stiffness", lambda w: studied(membrane=(_ratio(0.98 if w else 0.97),))
)
built("T104", STUDY, "moment about the hinge line", _moment)
built(
    "T105",
    STUDY,
    "a load case given",
    lambda w: studied(loads_given=w),
)
built(
    "T106",
    STUDY,
    "as many plies as were cut",
    _unlike(((MORE, ""),), ((TABLE, TABLE.removesuffix(ONE)),)),
)
built("T107", STUDY, "as thick as what was cut", _unlike((), _thin("demo-glass-plain")))
built("T108", STUDY, "warp within 3 degrees", _unlike(_turned("3.0 deg"), _turned("3.1 deg")))
built("T109", STUDY, "resolved on two grids", lambda w: studied(reserves=(_reserve(2.0, w),)))
built(
    "T130",
    STUDY,
    "the least rests on what the data give",
    lambda w: studied(reserves=(replace(_reserve(2.0), rests=() if w else (next(iter(Rests)),)),)),
)
