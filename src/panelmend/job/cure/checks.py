"""Findings of the cure stage: what a prediction says against the recipe, and what could not be predicted."""

from __future__ import annotations

from typing import assert_never

from panelmend.derive import Ledger
from panelmend.errors import Finding, caution_code, confirm_code, note_code, stop_code
from panelmend.job.bag.part import BagPart
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cure.bag_inputs import COUNTED
from panelmend.job.cure.circuit_checks import check_circuits
from panelmend.job.cure.insulation_checks import insulation
from panelmend.job.cure.own_heat_checks import (
    H300,
    H301,
    not_predicted,
    too_hot,
    uncounted,
    unpredicted_heat,
    untold_potting,
)
from panelmend.job.cure.part import CureOperation, CurePart, on_tape
from panelmend.job.cure.prediction import LEAST_CASES, SHARE_HELD, Limit, Outlook, Prediction, held_key
from panelmend.job.cure.wet_checks import limit_value, wet_core
from panelmend.job.defaults import OFF_METAL
from panelmend.job.degree_reached import DEGREE_TOLD_BELOW, goes_on, share
from panelmend.job.heat_taken import accepted_heat, asked_of, by_whom, not_counted
from panelmend.shapes import distance_to_point
from panelmend.shapes.clearance import clearance
from panelmend.units import show

H020 = caution_code(
    "H020",
    "The temperatures of a cure are not predicted, because constants are missing",
    "get the constants that the cure plan lists; the tool guesses none",
)
H021 = note_code(
    "H021",
    "The temperatures of a cure are not predicted yet",
    "run panelmend heat on the document: it predicts the hottest and the coldest places",
)
H022 = stop_code(
    "H022",
    "Part of the bond line is predicted to be far outside its band, or the cure cycle never finishes",
    "make a change that the cure plan advises, or ask engineering: as planned, it will not cure as the data "
    "requires",
)
H023 = caution_code(
    "H023",
    "Part of the bond line is predicted to be outside its limits",
    "look at the cure plan's maps and advice before anyone switches on",
)
H024 = caution_code(
    "H024",
    "Something beside the repair is predicted to get hotter than it may",
    "insulate or cool it, move the blanket, or ask engineering",
)
H025 = caution_code(
    "H025",
    "The thermocouples will not show the hottest or coldest place of the bond line",
    "when you read them, allow for the differences that the cure plan gives; a good reading does not prove "
    "a good bond line",
)
H026 = caution_code(
    "H026",
    "The cure stays within its limits in only some of the cases tried",
    "first measure what matters most (the cure plan names it), or make a change that it advises",
)
H027 = caution_code(
    "H027", "A thermocouple is predicted to rise faster than the data allows", "heat up more slowly"
)
H028 = caution_code(
    "H028",
    "A resin is predicted to stay far from fully cured at its coldest place",
    "check its cure constants, then the cure cycle; ask the supplier what degree of cure it must reach",
)
H029 = stop_code(
    "H029",
    "Something beside the repair is predicted to get far hotter than it may",
    "insulate or cool it, move the blanket, or ask engineering: the damage may not show from outside",
)
H030 = caution_code(
    "H030",
    "A thermocouple is predicted to cool faster than the data allows",
    "lower the set point more slowly, and keep the blanket on until it has cooled",
)
H031 = caution_code(
    "H031",
    "A thermocouple is predicted to rise or fall more slowly than the data requires",
    "use a faster set point within the data's limits, a stronger blanket, or insulation",
)
H032 = caution_code(
    "H032",
    "The thermocouples are predicted to spread more than the data allows",
    "heat more evenly: see the cure plan's advice",
)
H033 = stop_code(
    "H033",
    "There is no room on their line for all the thermocouples that the data requires",
    "ask engineering where the others may go",
)
H034 = caution_code(
    "H034",
    "There is structure where a blanket has to lie",
    "check whether the blanket can lie there at all: a web holds it off the skin, and it burns where it "
    "does not touch",
)
H050 = note_code(
    "H050",
    "The temperatures of a cure are not predicted, because no blanket on the panel heats it",
    "go by its thermocouples; an oven or a plate is proven by its own survey",
)
H052 = note_code(
    "H052",
    "A temperature prediction leaves out a layer of the bag",
    "keep thermocouples away from it: the skin may read differently there",
)
H051 = stop_code(
    "H051",
    "A cure, as predicted, does not keep every limit of the data: do not switch on",
    "make a change that the cure plan advises, or have the engineer decide",
)
H035 = caution_code(
    "H035",
    "A limit is predicted to be broken if the blanket or a thermocouple is out of place by its tolerance",
    "place it more exactly and measure it under vacuum, or make a change that leaves more room",
)
H130 = stop_code(
    "H130",
    "A cure keeps its limits with the likely values, but breaks one in most of the cases tried: do not "
    "switch on",
    "make a change that is advised, measure what moves the result most, or have the engineer change the "
    "set-up",
)
H131 = confirm_code(
    "H131",
    "A cure keeps its limits with the likely values, but is not shown to keep them in nine of ten cases: do "
    "not heat yet",
    "measure what moves the result most, make a change that leaves more room, or have the engineer named "
    "under people accept it under [[confirm]] by the key that is given, with the reason",
)
H132 = note_code(
    "H132",
    "The engineer accepted a cure that breaks a limit in some of the cases tried",
    "the name was typed, not signed: ask the engineer whether the acceptance is theirs",
)
H133 = caution_code(
    "H133",
    "A cure was predicted with the likely values only",
    "run panelmend heat with cases: one run does not show how far off it may be",
)
H134 = caution_code(
    "H134",
    "The thermocouples would show a good cure even in cases that break a limit",
    "a good log does not prove this bond line: ask the engineer for a witness, or leave more room",
)
H135 = caution_code(
    "H135",
    "A thermocouple is near a fastener, an insert or an earlier repair, because its line has no other place",
    "treat its reading with care: metal under it draws heat away; ask engineering for another place",
)
H150 = note_code(
    "H150",
    "A thermocouple sits on the PTFE tape round the plies",
    "ask the engineer whether it may sit just outside the tape; otherwise hold its tip down with a tape "
    "that sticks to PTFE: a tip that lifts reads the bag. Use no knife on the skin",
)
H330 = caution_code(
    "H330",
    "A cure keeps its limits in the cases tried, but not in nine of ten with wider ranges that nobody "
    "measured",
    "measure what moves the result most (the cure plan names it), or make a change that leaves more room",
)
BLIND = 0.05  # share of the cases from which that is said; common practice, no source

# Films and what lies outside the bag's heated part.
NO_MATTER = (
    "peel ply",
    "perforated film",
    "parting film",
    "sealing tape",
    "vacuum base",
    "bag film",
    "plate",
)
POTTING = "potting"  # the layer of an extreme
POTTING_IN = {"potting", "core"}  # what a cure may call the part that fills the cells
GROSS = 5.0  # K: a prediction that misses by more than this is not a matter of unknowns
UNSEEN = 10.0 * 5.0 / 9.0  # K: a difference between seen and unseen that is worth a word
LIKELY = 0.9


def check(case: Case, ledger: Ledger, cures: CurePart, bags: BagPart, core: CorePart) -> tuple[Finding, ...]:
    """Circuits, what the predictions say, and what is missing for one."""
    found: list[Finding] = []
    for operation, bag in zip(cures.operations, bags.operations, strict=True):
        place = f"cure.{operation.number}"
        found += check_circuits(case, bag, operation.blankets)
        found += _in_the_way(operation, place)
        pots = "core.potting_volume" in ledger and bool(POTTING_IN & set(bag.lays))
        if pots and bag.cure.heated_by != "blanket":
            found.append(H301(operation.name, place=place))
        found += not_predicted(core, bag, operation, place)
        found += untold_potting(case, core, bag, operation, place)
        found += unpredicted_heat(case, core, bag, operation, place)
        if operation.missing:
            words = "; ".join(m.what for m in operation.missing[:4])
            more = f"; and {len(operation.missing) - 4} more" if len(operation.missing) > 4 else ""
            found.append(H020(f"{operation.name}: {words}{more}", place=place))
        elif operation.problem is None and bag.cure.heated_by != "room temperature":
            found.append(H050(operation.name, place=place))
        elif operation.problem is not None and operation.prediction is None:
            found.append(H021(operation.name, place=place))
        elif operation.prediction is not None:
            over = bag.behind.layers if bag.behind is not None else ()
            beside = sorted({x.use for x in (*bag.layers, *over)} - {*COUNTED, *NO_MATTER})
            if beside:
                found.append(H052(f"{operation.name}: {', '.join(beside)}", place=place))
            found += _predicted(case, operation, operation.prediction, place, cures.operations)
            found += insulation(case, operation, operation.prediction, place)
            found += uncounted(operation, operation.prediction, place)
            found += wet_core(case, operation, operation.prediction, place)
            if on := on_tape(ledger, bag, operation.prediction.sensors):
                found.append(H150(f"{operation.name}: {', '.join(on)}", place=place))
    return tuple(found)


def _predicted(
    case: Case, operation: CureOperation, made: Prediction, place: str, later: tuple[CureOperation, ...] = ()
) -> list[Finding]:
    view, found = case.view, list[Finding]()
    if not made.finished:
        found.append(H022(f"{operation.name}: the cure cycle never finishes", place=place))
    broken = sum(not row.holds for row in made.limits)
    if broken:
        count = "one limit" if broken == 1 else f"{broken} limits"
        found.append(H051(f"{operation.name}: {count} broken", place=place))
    for row in made.limits:
        if row.holds:
            continue
        words = f"{operation.name}: {row.what} ({row.place}) {limit_value(row, row.predicted, view)}, "
        words += f"{'at most' if row.sense == 'below' else 'at least'} {limit_value(row, row.limit, view)}"
        gross = row.margin < -GROSS
        match row.code:
            case Limit.INSULATION:
                pass  # said by its own finding, with a limit or without
            case Limit.SPLICE:
                found.append(too_hot(operation, row, view, place))
            case Limit.RISE:
                found.append(H027(words, place=place))
            case Limit.FALL:
                found.append(H030(words, place=place))
            case Limit.MEAN_RISE | Limit.MEAN_FALL:
                found.append(H031(words, place=place))
            case Limit.SPREAD:
                found.append(H032(words, place=place))
            case Limit.AROUND | Limit.BEHIND:  # what is not the repair itself
                found.append((H029 if gross else H024)(words, place=place))
            case Limit.COLDEST | Limit.HOTTEST | Limit.OTHER_DWELL | Limit.PEAK | Limit.SHOWN:
                found.append((H022 if gross else H023)(words, place=place))
            case Limit.HELD | Limit.HELD_LONG:
                found.append(H023(words, place=place))
            case _:
                assert_never(row.code)
    passed = {r.code for r in made.limits if not r.holds} & {Limit.HOTTEST, Limit.PEAK}
    if passed and made.hottest.layer == POTTING:
        top = show(made.hottest.kelvin, "temperature", view, decimals=1)
        found.append(H300(f"{operation.name}: {top} in its middle", place=place))
    room = made.placing
    if room is not None and made.worst >= 0.0:
        off = ["the blanket"] if room.margin < 0.0 else []
        off += ["the blanket behind"] if room.behind is not None and room.behind[2] < 0.0 else []
        off += [name for name, left in room.sensors if left < 0.0]
        if off:
            found.append(H035(f"{operation.name}: {', '.join(off)}", place=place))
    for state in made.cured:
        if state.least < DEGREE_TOLD_BELOW:
            words = (
                f"{operation.name}: {state.name} reaches {state.least:.2f} degree of cure at "
                "its coldest place"
            )
            after = goes_on(operation, state, later)
            words += (
                f"; {after[0]} takes it to {share(after[1])}"
                if after is not None
                else "; no later cure takes it further"
            )
            found.append(H028(words, place=place))
    there = sum(s.face == "repair side" for s in made.sensors)
    if operation.problem is not None and there < operation.problem.least_sensors:
        asked = operation.problem.least_sensors
        found.append(H033(f"{operation.name}: {there} of {asked} have room", place=place))
    avoid = operation.problem.avoid if operation.problem is not None else ()
    near = [
        s.id
        for s in made.sensors
        if s.face == "repair side" and any(distance_to_point(o, s.at) > -OFF_METAL for o in avoid)
    ]
    if near:
        found.append(H135(f"{operation.name}: {', '.join(near)}", place=place))
    sensors = [s for s in made.sensors if s.role != "check"]
    hot, cold = min(s.below_hottest for s in sensors), min(s.above_coldest for s in sensors)
    for gap, words in (
        (hot, "hottest place of the bond line is above"),
        (cold, "coldest place of the bond line is below"),
    ):
        if gap > UNSEEN:
            said = f"the {words} every thermocouple by {show(gap, 'temperature difference', view)}"
            found.append(H025(f"{operation.name}: {said}", place=place))
    return [*found, *_tried(case, operation, made, place)]


def _tried(case: Case, operation: CureOperation, made: Prediction, place: str) -> list[Finding]:
    """What the cases tried say beyond the one prediction."""
    outlook, tried = made.outlook, made.likelihood
    if tried is None:
        return [H133(operation.name, place=place)] if outlook is Outlook.UNTRIED else []
    found, count = [], f"{tried.everything} of {tried.cases} cases tried keep every limit"
    if tried.firm is not None and tried.held_out_worst is not None:
        error = show(tried.held_out_worst, "temperature difference", case.view, decimals=1)
        count += f", {tried.firm} after allowing for the method's worst error of {error}"
    if tried.hangs_on_ranges and tried.wider is not None:
        count += f", {tried.wider[0]} of {tried.wider[1]} with unmeasured ranges half as wide again"
    if tried.cases < LEAST_CASES:
        count += f"; fewer than {LEAST_CASES} cases prove nothing"
    if outlook is Outlook.MOSTLY_BREAKS:
        found.append(H130(f"{operation.name}: {count}", place=place))
    elif outlook is Outlook.UNSURE:
        found.append(_unsure(case, operation.number, f"{operation.name}: {count}", made, place))
    elif outlook is Outlook.BREAKS:
        found += [H026(f"{operation.name}: {count}", place=place)] if tried.share < LIKELY else []
    elif outlook is not Outlook.HOLDS:
        raise AssertionError(f"{outlook} with {tried.cases} cases tried")
    elif tried.wider is not None and not tried.measured and tried.wider[0] < SHARE_HELD * tried.wider[1]:
        words = (
            f"{tried.wider[0]} of {tried.wider[1]} cases keep every limit with every unmeasured "
            "range half as wide again"
        )
        found.append(H330(f"{operation.name}: {words}", place=place))
    if tried.blind is not None and tried.blind >= BLIND * tried.cases:
        found.append(H134(f"{operation.name}: in {tried.blind} of {tried.cases} cases", place=place))
    return found


def _unsure(case: Case, number: int, words: str, made: Prediction, place: str) -> Finding:
    assert made.likelihood is not None
    by, d, key = accepted_heat(case.document, number, made), case.document, held_key(number, made)
    if by is not None:
        return H132(f"{words}; accepted by {by_whom(by)}: {by.reason}", place=place)
    todo = (
        "measure what moves the result most, make a change that leaves more room, or "
        f'{asked_of(d)} accepts it under [[confirm]] with the reason, figure = "{key}"'
    )
    return H131(f"{words}{not_counted(d, key)}", place=place, todo=todo)


def _in_the_way(operation: CureOperation, place: str) -> list[Finding]:
    """Structure that stands under a blanket, on its face of the panel."""
    problem = operation.problem
    if problem is None:
        return []
    found = []
    for near, source in ((True, problem.source), (False, problem.source_behind)):
        for rib in problem.ribs:
            stands = source is not None and rib.near == near and rib.kind != "doubler"
            if stands and source is not None and clearance(rib.outline, source.outer).overlaps:
                found.append(H034(f"{operation.name}: {rib.kind} {rib.id}, {source.id}", place=place))
    return found
