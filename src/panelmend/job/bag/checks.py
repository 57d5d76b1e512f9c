"""Findings of the bag stage."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.document.panel import Side
from panelmend.errors import Finding, Severity, finding_code
from panelmend.job.air import WEATHER
from panelmend.job.bag import pads
from panelmend.job.bag.part import BagOperation, BagPart
from panelmend.job.bend import outline_on, point_on
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.defaults import HALF_INCH, LEAST_SENSORS, SEALING_TAPE
from panelmend.job.plies.part import PliesPart
from panelmend.physics.atmosphere import SEA_LEVEL_PRESSURE, standard_pressure, station_pressure
from panelmend.shapes import Outline, clearance, distance_to_point, least_overlap
from panelmend.units import show

B001 = finding_code(
    "B001",
    Severity.STOP,
    "No blanket in the bay is large enough",
    "bring a blanket of at least this heated size, or two side by side if the data allows it",
)
B002 = finding_code(
    "B002",
    Severity.STOP,
    "The vacuum the data asks for cannot be drawn at this bay",
    "work at a lower place, or ask engineering for a cure cycle by pressure difference",
)
B003 = finding_code(
    "B003",
    Severity.CAUTION,
    "The sealing tape runs off the panel or over its edge",
    "bag both sides in an envelope, or seal to a plate flush with the edge, if the data allows it",
)
B004 = finding_code(
    "B004",
    Severity.CAUTION,
    "The sealing tape crosses a fastener or insert",
    "seal it from behind or move the tape line, or the bag will leak there",
)
B005 = finding_code(
    "B005",
    Severity.CAUTION,
    "A bagging material is rated below the temperature of the cure cycle",
    "take one with a higher limit",
)
B006 = finding_code(
    "B006", Severity.STOP, "The data orders no cure operation", "write the operations under [[data.cure]]"
)
B007 = finding_code(
    "B007",
    Severity.CAUTION,
    "Neither a barometer reading nor the elevation of the bay is given",
    "read the barometer: it says whether the vacuum can be reached at all",
)
B008 = finding_code(
    "B008",
    Severity.NOTE,
    "Structure behind the bagged area draws heat",
    "watch the thermocouple nearest to it, and insulate it from behind",
)
B009 = finding_code(
    "B009",
    Severity.STOP,
    "The chosen blanket is too small",
    "choose another under [choice], or leave the choice out",
)
B010 = finding_code(
    "B010",
    Severity.STOP,
    "The solid film does not cover the patch",
    "give a wider bleeder or a smaller inset: resin would bond what lies over the film to the repair",
)
B011 = finding_code(
    "B011",
    Severity.CAUTION,
    "The breather reaches the sealing tape",
    "keep the tape farther out or the breather smaller, or the bag cannot seal",
)
B012 = finding_code(
    "B012",
    Severity.STOP,
    "A leak limit and its duration do not come from the same place",
    "give both data.bag.leak_drop and data.bag.leak_time: a limit belongs to its own duration",
)
B013 = finding_code(
    "B013",
    Severity.STOP,
    "The blanket is rated below the temperature of the cure cycle",
    "choose a blanket with a higher limit",
)
B014 = finding_code(
    "B014",
    Severity.CAUTION,
    "Barometer and elevation of the bay do not belong together",
    "read the barometer in the bay: a reading reduced to sea level promises vacuum that cannot be drawn",
)
B015 = finding_code(
    "B015",
    Severity.NOTE,
    "The flow of the largest leak that passes was not computed",
    "measure the breather's thickness under vacuum and type it for the breather under [[materials.bagging]]",
)
B016 = finding_code(
    "B016",
    Severity.STOP,
    "The panel is rated below the temperature of the cure cycle",
    "ask the engineer who owns the repair data for a cure cycle below the panel's limit",
)
B017 = finding_code(
    "B017",
    Severity.STOP,
    "A cure is to be done in a way that is not planned here",
    "plan this operation by hand from the approved data; nothing printed for it may be used",
)
B018 = finding_code(
    "B018",
    Severity.NOTE,
    "A cure of the data is left out: this repair lays nothing of what it is for",
    "see that the data asks for it only where core or a cap is put in",
)
B019 = finding_code(
    "B019",
    Severity.STOP,
    "Nothing closes and holds the other side of the hole while this side cures",
    "name the support under data.bag.support, with its place, or lay both skins in one operation",
)
B020 = finding_code(
    "B020",
    Severity.STOP,
    "Air cannot get from what is cured to the vacuum",
    "give a larger bleeder or breather, a smaller film, or edge breather, so that they touch outside it",
)
B021 = finding_code(
    "B021",
    Severity.STOP,
    "Fewer thermocouples than the data asks have room beside the patch",
    "ask engineering where the others may go: fasteners, inserts and other repairs take their places",
)
B022 = finding_code(
    "B022",
    Severity.CAUTION,
    "The support extends less past the opening than is usual",
    "give data.bag.support_margin a value that holds the skin round the opening to contour",
)
B200 = finding_code(
    "B200",
    Severity.STOP,
    "Structure on the panel may not see what the oven heats the panel to",
    "cure with a blanket, take the structure off, or ask the engineer for a cure cycle below its limit",
)
B201 = finding_code(
    "B201",
    Severity.CAUTION,
    "The oven heats the whole panel, and not all of its limits are known here",
    "type panel.limit and the limit of each structure; ask the engineer for sealant, wiring, paint and "
    "earlier bonds",
)
SUPPORTED = HALF_INCH  # what a support usually reaches past a hole at least (common practice, no source)


def check(
    case: Case, ledger: Ledger, bags: BagPart, cutout: CutoutPart, plies: PliesPart, core: CorePart
) -> tuple[Finding, ...]:
    """What does not fit or cannot be reached."""
    found: list[Finding] = []
    if not bags.operations:
        found.append(B006("no [[data.cure]] is given", place="data.cure"))
    elif bags.operations[0].available_vacuum is None:
        found.append(B007("the vacuum that can exist here is not known", place="bay"))
    found += [B018(name, place="data.cure") for name in bags.left_out]
    for bag in bags.operations:
        found += _way(case, bag) + _panel(case, bag) + _blanket(case, ledger, bag) + _places(bag)
        if bag.bagged:
            found += _vacuum(case, bag) + _fit(case, bag) + _materials(case, bag) + _stacking(case, bag)
        found += _air(bag) + _other_side(bag, case.view) + pads.check(case, bag, cutout, core)
    found += _leak(case) if bags.operations else []
    found += _flow(bags) + _altitude(case)
    return tuple(found)


def _blanket(case: Case, ledger: Ledger, bag: BagOperation) -> list[Finding]:
    if bag.cure.heated_by != "blanket":
        return []
    choice, view = case.document.choice, case.view
    wanted = choice.blankets(bag.name)[0]
    size = (
        f"{show(float(bag.needed_length), 'length', view)} by {show(float(bag.needed_width), 'length', view)}"
    )
    if not bag.blanket:
        words = f"{bag.name} needs a heated area of {size}{_power(ledger, bag, view)}"
        return [B001(words, place=f"bag.{bag.number}")]
    own = next(b for b in case.document.bay.blanket if b.id == bag.blanket)
    heated = sorted((own.length - 2 * own.border, own.width - 2 * own.border))
    needed = sorted((float(bag.needed_length), float(bag.needed_width)))
    found = []
    hottest = max(s.to for s in bag.cure.segment)
    if own.limit is not None and own.limit < hottest:
        words = f"{own.id} may reach {show(own.limit, 'temperature', view, limit='most')}"
        asked = show(hottest, "temperature", view, limit="least")
        found.append(B013(f"{bag.name}: {words}, the cure cycle {asked}", place=f"bag.{bag.number}"))
    if wanted and (heated[0] < needed[0] - 1e-9 or heated[1] < needed[1] - 1e-9):
        own_choice = [i for i, h in enumerate(choice.heat, 1) if h.cure == bag.name and h.blanket]
        place = f"choice.heat[{own_choice[0]}].blanket" if own_choice else "choice.blanket"
        found.append(B009(f"{bag.name} needs a heated area of {size}, {own.id} has less", place=place))
    return found


def _power(ledger: Ledger, bag: BagOperation, view: str) -> str:
    """What a large enough blanket would draw, as far as the bay's blankets tell."""
    key = f"bag.{bag.number}"
    if f"{key}.needed_power" not in ledger:
        return ""
    power, current = ledger[f"{key}.needed_power"], ledger[f"{key}.needed_current"]
    volts = ledger[dict(current.inputs)["supply"]]
    return (
        f"; at the power density of the bay's largest that is {show(float(power), 'power', view)}, "
        f"{show(float(current), 'current', view)} at {show(float(volts), 'voltage', view)}"
    )


def _way(case: Case, bag: BagOperation) -> list[Finding]:
    """A whole panel in an oven: pressed by a bag, and everything in it good to what the cure may reach."""
    if bag.cure.heated_by != "oven" or not bag.on_panel:
        return []
    place, panel = f"bag.{bag.number}", case.document.panel
    found = []
    if not bag.bagged:
        found.append(B017(f"{bag.name}: the panel in an oven without a bag", place=place))
    hottest = max(max(s.to, s.high or s.to) for s in bag.cure.segment)
    for s in panel.structure:
        if s.limit is not None and s.limit < hottest:
            good = show(s.limit, "temperature", case.view, limit="most")
            asked = show(hottest, "temperature", case.view, limit="least")
            found.append(B200(f"{bag.name}: {s.id} good to {good}, the cure may reach {asked}", place=place))
    unknown = [
        *(["the panel"] if panel.limit is None else []),
        *(s.id for s in panel.structure if s.limit is None),
    ]
    if unknown:
        found.append(B201(f"{bag.name}: {', '.join(unknown)}", place=place))
    return found


def _places(bag: BagOperation) -> list[Finding]:
    asked = max(LEAST_SENSORS, bag.cure.thermocouples_least or 0)
    if bag.cure.heated_by == "room temperature" or not bag.on_panel or len(bag.sensors) >= asked:
        return []
    return [B021(f"{bag.name}: {len(bag.sensors)} of {asked}", place=f"bag.{bag.number}")]


def _air(bag: BagOperation) -> list[Finding]:
    """A bag in which some of the patch has no way for its air."""
    found = []
    sides = [(bag.name, bag.air)]
    if bag.behind is not None:
        sides.append((f"{bag.name}, {bag.behind.side}", bag.behind.air))
    for name, way in sides:
        if way is not None and not way.open:
            words = f"shut by {way.under}" if way.under else "no layer leads it to a vacuum base"
            found.append(B020(f"{name}: {words}, at {len(way.blocked)} places", place=f"bag.{bag.number}"))
    return found


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


def _panel(case: Case, bag: BagOperation) -> list[Finding]:
    limit, hottest = case.document.panel.limit, max(s.to for s in bag.cure.segment)
    if limit is None or limit >= hottest or not bag.on_panel:
        return []
    words = f"good to {show(limit, 'temperature', case.view, limit='most')}, the cure cycle asks for "
    words += show(hottest, "temperature", case.view, limit="least")
    return [B016(f"{bag.name}: {words}", place=f"bag.{bag.number}")]


def _stacking(case: Case, bag: BagOperation) -> list[Finding]:
    """Layers that do not lie over each other as they must."""
    found, layers = [], {layer.use: layer.outline for layer in bag.layers if not layer.below}
    film, breather = layers.get("parting film"), layers.get("breather")
    if film is not None and (short := -least_overlap(bag.patch, film)[0]) > 1e-9:
        words = f"{bag.name}: {show(short, 'length', case.view)} too small"
        found.append(B010(words, place=f"bag.{bag.number}"))
    if breather is not None and (room := least_overlap(breather, bag.seal_line)[0]) < -1e-9:
        words = f"{show(-room, 'length', case.view, limit='least')} under the tape"
        found.append(B011(f"{bag.name}: {words}", place=f"bag.{bag.number}"))
    return found


def _leak(case: Case) -> list[Finding]:
    """A limit of one place with the duration of another is no leak test of either."""
    data = case.document.data.bag
    if (data.leak_drop is None) == (data.leak_time is None):
        return []
    given, other = ("leak_drop", "leak_time") if data.leak_time is None else ("leak_time", "leak_drop")
    return [B012(f"{given} is given, {other} is the default", place=f"data.bag.{other}")]


def _vacuum(case: Case, bag: BagOperation) -> list[Finding]:
    if bag.available_vacuum is None or float(bag.available_vacuum) >= float(bag.least_vacuum):
        return []

    def words(pascal: float) -> str:
        return show(pascal, "pressure", unit="inHg")

    asked, there_is = words(float(bag.least_vacuum)), words(float(bag.available_vacuum))
    text = f"{bag.name} asks for {asked}, the air here gives {there_is}"
    if bag.vacuum.highest is not None:
        top = show(float(bag.vacuum.highest), "elevation", case.view)
        text += f"; on a standard day it ends at {top} above the sea"
    return [B002(text, place=f"bag.{bag.number}")]


def _flow(bags: BagPart) -> list[Finding]:
    """Named once for each breather whose thickness nobody gave."""
    idents = dict.fromkeys(bag.leak.breather for bag in bags.operations if bag.leak.flow is None)
    return [
        B015(f"no thickness of {i or 'the breather'} is given", place="materials.bagging") for i in idents
    ]


def _altitude(case: Case) -> list[Finding]:
    """A barometer reading that no weather gives at this elevation; most often it is reduced to sea level."""
    bay = case.document.bay
    if bay.barometer is None or bay.elevation is None:
        return []
    usual = standard_pressure(bay.elevation)
    low, high = (usual * p / SEA_LEVEL_PRESSURE for p in WEATHER)
    if low <= bay.barometer <= high:
        return []

    def hpa(pascal: float) -> str:
        if case.view == "in":
            return show(pascal, "pressure", unit="inHg", decimals=1)
        return show(pascal, "pressure", unit="hPa", decimals=0)

    height = show(bay.elevation, "elevation", case.view)
    words = f"{hpa(bay.barometer)} at {height}, where the weather keeps to {hpa(low)} to {hpa(high)}"
    if bay.barometer > high and WEATHER[0] <= bay.barometer <= WEATHER[1]:
        here = station_pressure(bay.barometer, bay.elevation)
        deepest = show(here, "vacuum", case.view)
        words += f"; if it is reduced to sea level, the air here has {hpa(here)} and gives {deepest} at most"
    else:
        words += "; check the units of both"
    return [B014(words, place="bay.barometer")]


def _fit(case: Case, bag: BagOperation) -> list[Finding]:
    if not bag.on_panel:
        return []
    found = _seal(case, bag.name, bag.number, bag.side, bag.seal_line)
    if bag.behind is not None and bag.behind.bagged:
        name = f"{bag.name}, {bag.behind.side}"
        found += _seal(case, name, bag.number, bag.behind.side, bag.behind.seal_line)
    for area in case.geometry.structure:
        between = clearance(outline_on(case, area.outline, "outside", bag.side), bag.patch)
        if between.overlaps or between.distance < 0.05:
            apart = show(between.distance, "length", case.view)
            far = "under the patch" if between.overlaps else f"{apart} from it"
            found.append(B008(f"{bag.name}: {area.kind} {area.id}, {far}", place=f"bag.{bag.number}"))
    return found


def _seal(case: Case, name: str, number: int, side: Side, seal: Outline) -> list[Finding]:
    """A sealing line over the panel's edge, a fastener or an insert."""
    found, view, g = [], case.view, case.geometry
    room = least_overlap(seal, outline_on(case, g.outline, "outside", side))[0]
    if room < SEALING_TAPE - 1e-9:
        short = show(SEALING_TAPE - room, "length", view, limit="least")
        found.append(B003(f"{name}: {short} too far out", place=f"bag.{number}"))
    for spot in g.spots:
        at = point_on(case, spot.at, "outside", side)
        gap = abs(distance_to_point(seal, at)) - spot.diameter / 2
        if gap < (0.0 if seal.contains(at) else SEALING_TAPE) - 1e-9:
            found.append(B004(f"{name}: {spot.kind} {spot.id}", place=f"bag.{number}"))
    return found


def _materials(case: Case, bag: BagOperation) -> list[Finding]:
    hottest = max([bag.cure.ceiling or 0.0, *(max(s.to, s.high or 0.0) for s in bag.cure.segment)])
    found = []
    for layer in bag.all_layers:
        if not layer.material or layer.material not in case.catalogue:
            continue
        limit = getattr(case.catalogue.get(layer.material), "limit_temperature", None)
        if limit is not None and limit.value < hottest:
            good = show(limit.value, "temperature", case.view, limit="most")
            words = f"{layer.use} {layer.material}: good to {good}"
            found.append(
                B005(
                    f"{bag.name}: {words}, up to {show(hottest, 'temperature', case.view, limit='least')}",
                    place=f"bag.{bag.number}",
                )
            )
    return found
