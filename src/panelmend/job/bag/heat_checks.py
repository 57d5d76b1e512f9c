"""Findings of what heats a bag and of what may not get so hot."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.errors import Finding, caution_code, stop_code
from panelmend.job.bag.part import BagOperation
from panelmend.job.case import Case
from panelmend.job.defaults import CUT_OUT_ROOM, LEAST_SENSORS
from panelmend.units import show

B001 = stop_code(
    "B001",
    "No blanket in the bay is large enough",
    "bring a blanket with at least this heated size, or two side by side if the data allows it",
)
B005 = caution_code(
    "B005",
    "A bagging material is rated below the temperature of the cure cycle",
    "use one with a higher limit",
)
B009 = stop_code(
    "B009", "The chosen blanket is too small", "choose another under [choice], or leave the choice out"
)
B013 = stop_code(
    "B013",
    "The blanket is rated below the temperature of the cure cycle",
    "choose a blanket with a higher limit",
)
B016 = stop_code(
    "B016",
    "The panel is rated below the temperature of the cure cycle",
    "ask the engineer responsible for the repair data for a cure cycle below the panel's limit",
)
B017 = stop_code(
    "B017",
    "This tool does not plan a cure done in this way",
    "type what presses on it under data.cure.pressed, as the approved data says; if the data says nothing "
    "about it, ask the engineer: do not use anything printed for this operation",
)
B021 = stop_code(
    "B021",
    "There is no room beside the patch for all the thermocouples that the data requires",
    "ask engineering where the others may go: fasteners, inserts and other repairs are in the way",
)
B300 = caution_code(
    "B300",
    "There is no room for an over-temperature cut-out between the dwell band and the maximum temperature",
    "ask the engineer for a narrower band or another maximum: a cut-out set inside the band ends the cure, "
    "one set above the maximum protects nothing",
)
B200 = stop_code(
    "B200",
    "Structure on the panel is rated below the temperature it reaches in the oven",
    "cure with a blanket, remove the structure, or ask the engineer for a cure cycle below its limit",
)
B201 = caution_code(
    "B201",
    "The oven heats the whole panel, but not all of its temperature limits are typed",
    "type panel.limit and the limit of each structure; ask the engineer about sealant, wiring, paint and "
    "earlier bonds",
)


def blanket_findings(case: Case, ledger: Ledger, bag: BagOperation) -> list[Finding]:
    """No blanket large enough, a chosen one too small, or one rated below the cure cycle."""
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
        found.append(B009(f"{bag.name} needs a heated area of {size}; {own.id} has less", place=place))
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


def heating_way_findings(case: Case, bag: BagOperation) -> list[Finding]:
    """A panel in an oven: the data says what presses, and all in it is good to what the cure may reach."""
    if bag.cure.heated_by != "oven" or not bag.on_panel:
        return []
    place, panel = f"bag.{bag.number}", case.document.panel
    found = []
    if not bag.bagged and bag.cure.pressed is None:
        words = f"{bag.name}: the panel in an oven without a bag, and nothing says what presses on it"
        found.append(B017(words, place=place))
    hottest = max(max(s.to, s.high or s.to) for s in bag.cure.segment)
    for s in panel.structure:
        if s.limit is not None and s.limit < hottest:
            good = show(s.limit, "temperature", case.view, limit="most")
            asked = show(hottest, "temperature", case.view, limit="least")
            found.append(B200(f"{bag.name}: {s.id} good to {good}, the cure may reach {asked}", place=place))
    asked_for = max(s.to for s in bag.cure.segment)  # beyond it panel() speaks
    if panel.limit is not None and asked_for <= panel.limit < hottest:
        good = show(panel.limit, "temperature", case.view, limit="most")
        most = show(hottest, "temperature", case.view, limit="least")
        found.append(B016(f"{bag.name}: good to {good}, the cure may reach {most}", place=place))
    unknown = [
        *(["the panel"] if panel.limit is None else []),
        *(s.id for s in panel.structure if s.limit is None),
    ]
    if unknown:
        found.append(B201(f"{bag.name}: {', '.join(unknown)}", place=place))
    return found


def panel(case: Case, bag: BagOperation) -> list[Finding]:
    """The panel itself is rated below the cure cycle."""
    limit, hottest = case.document.panel.limit, max(s.to for s in bag.cure.segment)
    if limit is None or limit >= hottest or not bag.on_panel:
        return []
    words = f"good to {show(limit, 'temperature', case.view, limit='most')}, the cure cycle asks for "
    words += show(hottest, "temperature", case.view, limit="least")
    return [B016(f"{bag.name}: {words}", place=f"bag.{bag.number}")]


def cut_out(case: Case, bag: BagOperation) -> list[Finding]:
    """A dwell band that ends so near to the maximum temperature that no cut-out fits between."""
    room = bag.cure.cut_out_room
    if bag.cure.heated_by == "room temperature" or room is None or room >= CUT_OUT_ROOM - 1e-9:
        return []
    between, asked = (show(k, "temperature difference", case.view, decimals=1) for k in (room, CUT_OUT_ROOM))
    words = f"{bag.name}: {between} between them, {asked} is usual at least (common practice, no source)"
    return [B300(words, place=f"bag.{bag.number}")]


def place_findings(bag: BagOperation) -> list[Finding]:
    """Fewer thermocouples than are asked for found a place."""
    asked = max(LEAST_SENSORS, bag.cure.thermocouples_least or 0)
    if bag.hand.sensors:
        return []  # placed by hand: said there
    if bag.cure.heated_by == "room temperature" or not bag.on_panel or len(bag.sensors) >= asked:
        return []
    return [B021(f"{bag.name}: {len(bag.sensors)} of {asked}", place=f"bag.{bag.number}")]


def materials(case: Case, bag: BagOperation) -> list[Finding]:
    """A bagging material rated below the hottest the cure cycle allows."""
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
