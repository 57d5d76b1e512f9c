"""Findings of the bag stage."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.errors import Finding, caution_code, note_code, stop_code
from panelmend.job.bag import air_checks, by_hand, heat_checks, pads
from panelmend.job.bag.part import BagOperation, BagPart
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.curvature import outline_on
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.defaults import HALF_INCH
from panelmend.job.openings import over_the_hole
from panelmend.job.plies.part import PliesPart
from panelmend.job.seal_path import seal_paths
from panelmend.shapes import clearance, least_overlap
from panelmend.units import show

B003 = caution_code(
    "B003",
    "The sealing tape runs off the panel or over its edge",
    "bag both sides in an envelope, or seal to a plate flush with the edge, if the data allows it",
)
B004 = caution_code(
    "B004",
    "The sealing tape crosses a fastener or insert",
    "seal it from behind or move the tape line; otherwise the bag will leak there",
)
B006 = stop_code("B006", "The data as typed has no cure operation", "type the operations under [[data.cure]]")
B007 = caution_code(
    "B007",
    "Neither a barometer reading nor the elevation of the bay is typed",
    "read the barometer: it shows whether the vacuum can be reached at all",
)
B008 = note_code(
    "B008",
    "Structure behind the bagged area draws heat away",
    "watch the thermocouple nearest to it, and insulate the structure from behind",
)
B010 = stop_code(
    "B010",
    "The solid film does not cover the patch",
    "use a wider bleeder or a smaller inset; otherwise the resin bonds what lies over the film to the repair",
)
B011 = caution_code(
    "B011",
    "The breather reaches the sealing tape",
    "move the tape farther out or make the breather smaller; otherwise the bag cannot seal",
)
B018 = note_code(
    "B018",
    "The plan leaves out one of the data's cures, because this repair has nothing that it would cure",
    "check that the data calls for it only where core or a cap is put in",
)
B019 = stop_code(
    "B019",
    "Nothing closes and holds the other side of the hole while this side cures",
    "name the support under data.bag.support, with its place, or lay up both skins in one operation",
)
B022 = caution_code(
    "B022",
    "The support extends past the opening by less than is usual",
    "type a data.bag.support_margin that holds the skin round the opening to contour",
)
B330 = caution_code(
    "B330",
    "The support is a whole core depth away: nothing supports the plies over the open hole",
    "bond the plug first, or fill the hole up to the plies as the data says, with the filler in release film",
)
SUPPORTED = HALF_INCH  # what a support usually reaches past a hole at least (common practice, no source)


def check(
    case: Case, ledger: Ledger, bags: BagPart, cutout: CutoutPart, plies: PliesPart, core: CorePart
) -> tuple[Finding, ...]:
    """The findings of the bag: layers that do not fit, vacuum that cannot be reached."""
    found: list[Finding] = []
    if not bags.operations:
        found.append(B006("no [[data.cure]] is given", place="data.cure"))
    elif bags.operations[0].available_vacuum is None:
        found.append(B007("the vacuum that can exist here is not known", place="bay"))
    found += [B018(name, place="data.cure") for name in bags.left_out]
    found += _over_the_hole(bags, core)
    for bag in bags.operations:
        found += (
            heat_checks.heating_way_findings(case, bag)
            + heat_checks.panel(case, bag)
            + heat_checks.cut_out(case, bag)
            + heat_checks.blanket_findings(case, ledger, bag)
            + heat_checks.place_findings(bag)
            + by_hand.by_hand_findings(case, bag)
        )
        if bag.bagged:
            found += (
                air_checks.vacuum_findings(case, bag)
                + air_checks.hardly_drawn(case, bag)
                + _fit(case, bag)
                + heat_checks.materials(case, bag)
                + _stacking(case, bag)
            )
        found += (
            air_checks.air(bag) + _other_side(bag, case.view) + pads.pad_findings(case, bag, cutout, core)
        )
    found += air_checks.leak_findings(case) if bags.operations else []
    found += air_checks.flow(bags) + air_checks.altitude(case)
    return tuple(found)


def _other_side(bag: BagOperation, view: str) -> list[Finding]:
    other = bag.behind
    if other is None or other.kind != "support":
        return []
    if not other.support:
        return [B019(f"{bag.name}: the {other.side} is open", place=f"bag.{bag.number}")]
    support = next((x.outline for x in other.layers if x.use == "support"), None)
    if support is not None and (past := least_overlap(other.patch, support)[0]) < SUPPORTED - 1e-9:
        here, asked = show(past, "length", view, limit="most"), show(SUPPORTED, "length", view, limit="least")
        words = f"{bag.name}: {here} past it, at least {asked} is usual (common practice, no source)"
        return [B022(words, place="data.bag.support_margin")]
    return []


def _over_the_hole(bags: BagPart, core: CorePart) -> list[Finding]:
    """Plies laid over a hole whose core is out, with a support on the far face."""
    return [
        B330(f"{bag.name}: support on the {bag.behind.side}, plies on the {bag.side}", place="data.cure")
        for bag in bags.operations
        if bag.behind is not None and over_the_hole(bag, bags.operations, core)
    ]


def _stacking(case: Case, bag: BagOperation) -> list[Finding]:
    """Layers that do not lie over one another as required."""
    found, layers = [], {layer.use: layer.outline for layer in bag.layers if not layer.below}
    film, breather = layers.get("parting film"), layers.get("breather")
    if film is not None and (short := -least_overlap(bag.patch, film)[0]) > 1e-9:
        words = f"{bag.name}: {show(short, 'length', case.view)} too small"
        found.append(B010(words, place=f"bag.{bag.number}"))
    if breather is not None and (room := least_overlap(breather, bag.seal_line)[0]) < -1e-9:
        words = f"{show(-room, 'length', case.view, limit='least')} under the tape"
        found.append(B011(f"{bag.name}: {words}", place=f"bag.{bag.number}"))
    return found


def _fit(case: Case, bag: BagOperation) -> list[Finding]:
    if not bag.on_panel:
        return []
    found: list[Finding] = []
    for path in seal_paths(case, bag):
        name = bag.name if path.side == bag.side else f"{bag.name}, {path.side}"
        if path.past:
            short = show(path.past, "length", case.view, limit="least")
            found.append(B003(f"{name}: {short} too far out", place=f"bag.{bag.number}"))
        found += [B004(f"{name}: {spot}", place=f"bag.{bag.number}") for spot in path.crossed]
    for area in case.geometry.structure:
        between = clearance(outline_on(case, area.outline, "outside", bag.side), bag.patch)
        if between.overlaps or between.distance < 0.05:
            apart = show(between.distance, "length", case.view)
            far = "under the patch" if between.overlaps else f"{apart} from it"
            found.append(B008(f"{bag.name}: {area.kind} {area.id}, {far}", place=f"bag.{bag.number}"))
    return found
