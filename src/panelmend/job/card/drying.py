"""The drying steps: what water does in closed cells, and what the drying time reaches."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.job.card import cautions as c
from panelmend.job.card.bench import Bench
from panelmend.job.card.beside import dried_first
from panelmend.job.card.drying_heat import drying_heat_lines
from panelmend.job.card.opening import dust
from panelmend.job.card.order import Place
from panelmend.job.card.part import Caution, Note, Step, StepTable, Words
from panelmend.job.card.unpredicted import undried_words
from panelmend.job.card.writing import ASK, RECORD, clock_blank, note, number, step, tick, word_lines
from panelmend.job.case import Case
from panelmend.job.defaults import DRAIN_HOLE
from panelmend.job.drying.part import DryingPart, Gas, Heating, SkinDrying, SteamBond
from panelmend.job.work import Work
from panelmend.units import INCH, show

FOUND = {
    "found": "Water was found in the core: dry it before any heat above the drying temperature.",
    "not checked": "Nobody has checked the core for water yet: do it now, at the edge of the damage and below it.",
    "none found": "A moisture check came first and found no water; measure again now that the area is open.",
}
SET_UP = {
    True: "Support the edge of the open core. Breather to every wet face, thermocouples on both faces beside the opening",
    False: "The core stays closed: breather over the whole wet area, thermocouples over its middle on both faces",
}
"""Where breather and thermocouples go, by whether the core is open."""
OWN_TRIP = "Set the over-temperature cut-out, with a thermocouple of its own, to the value for drying, and trip it before heat goes on"
CURE_TRIP = ": the one for a cure lets wet core get too hot. Set it again before each heated cure."
NO_VALUES = "The document gives no drying values: take them from the approved data before heating."


def dry(bench: Bench) -> list[Step]:
    """Let water out, dry until dry, prove it; only the proof where none was found."""
    part, data = bench.work.drying, bench.case.document.data.preparation
    if not bench.cored and not part.wet:
        return []
    steps: list[Step] = []
    if part.moisture == "found":
        steps.append(_drain(bench))
    if part.moisture == "not checked":
        steps.append(_look(bench))
    if part.wet:
        steps += [_set_up(bench), _dry(bench)]
    said: list[Words | str] = [FOUND[part.moisture]] if not part.wet else []
    if not part.wet:
        said.append(
            "If you find water now: stop, back to the planner. Dry it as the data says before any heat."
        )
    reading = bench.given("card.dry_reading", data.dry_reading)
    limit = f"limit: {reading.value}" if reading is not None else ASK
    steps.append(
        step(
            "C5",
            "Prove that the core is dry",
            *said,
            *dried_first(bench.case),
            "Dry it until it is dry, not only until the hours are over. No water on open core after this. Write the time until which "
            "it counts as dry; after that, prove it again.",
            tools=["moisture meter or indicator"],
            blanks=[
                number("Moisture reading", "meter", said=limit),
                note("Method, instrument, calibrated to"),
                tick("No water found"),
                clock_blank("Counts as dry until", "time by the data", "dry until"),
            ],
            hold="H3",
        )
    )
    if part.moisture == "found":
        steps.append(
            step(
                "C6",
                "Close the holes that let water out",
                "Only where holes were drilled, as the approved data says. No batch of this card includes what "
                "closes them: mix it separately, use it within its own working life, and let it set before a bag or "
                "heat goes over it.",
                cautions=[c.RESIN],
                blanks=[
                    number("Holes closed", "holes", said="all that were drilled"),
                    note("Material, lot, working life"),
                    note("Mixed at, used by, set at"),
                ],
            )
        )
    return steps


def notes(bench: Bench) -> list[Note]:
    """What water does in closed cells and what the drying reaches, for the workings."""
    part = bench.work.drying
    if not bench.cored and not part.wet:
        return []
    said: list[Words | str] = []
    if part.wet:
        said += [*_open_cells(part), *_unknown(part)]
    said += [f"{_sentence(m.what)}: NOT PREDICTED; {m.ask}." for m in part.lacking("skins") if part.dries]
    tables = [*(pressures(bench.case, part) if part.wet else []), *skin_tables(part)]
    drawing = "drying" if part.wet else ""
    if not said and not tables:
        return []
    at = Place("C4" if part.wet else "C5")  # core that is not wet is proven dry, not dried
    return [Note(at, "Water in the core and drying", word_lines(said), tuple(tables), drawing)]


def _drain(bench: Bench) -> Step:
    return step(
        "C1",
        "Let standing water out",
        FOUND["found"],
        *_water(bench.work.drying, bench.case.view),
        cautions=[c.BLADE, *dust(bench), c.FUEL],
        blanks=[
            number("Holes drilled", "holes", said="as the data allows, 0 if it does not"),
            note("Where it ran out"),
        ],
    )


def _look(bench: Bench) -> Step:
    """Where nobody has looked for water: looked for before anything is set up, and what is found stops the work."""
    reading = bench.given("card.dry_reading", bench.case.document.data.preparation.dry_reading)
    return step(
        "C1",
        "Look for water in the core",
        FOUND["not checked"],
        "If you find water: STOP, no heat, back to the planner with the wet area mapped: the plan then says how it is let "
        "out and dried. If you find none, go on; it is dried and proven dry all the same.",
        tools=["moisture meter or indicator"],
        blanks=[
            number(
                "Moisture reading", "meter", said=f"limit: {reading.value}" if reading is not None else ASK
            ),
            note("Method, instrument, calibrated to"),
            tick("No water found"),
            note("Water found, where: stop"),
        ],
    )


def _set_up(bench: Bench) -> Step:
    part, units = bench.work.drying, bench.units
    vacuum = part.vacuum if part.gas == "bag" else None
    low, high = part.trips if part.trips is not None else (None, None)
    said = "" if high is not None else "just over the drying temperature: approved data"
    return step(
        "C3",
        "Set up the drying",
        f"{SET_UP[part.opened]}{', bag over it all' if vacuum is not None else ''}.",
        f"{OWN_TRIP}{CURE_TRIP if bench.heated else '.'}",
        cautions=[c.BURST if part.opened else c.VACUUM, c.STEAM],
        tools=["heat blanket", "thermocouples", "breather", "over-temperature cut-out"],
        blanks=[
            note("Method, instrument, calibrated to"),
            number("Moisture before", "meter", said=RECORD),
            number(
                "Vacuum",
                units.vacuum,
                low=vacuum,
                said="" if vacuum is not None else "0 where no bag is required",
            ),
            number("Cut-out for drying trips at", units.temperature, low=low, high=high, said=said),
            note("Thermocouple numbers, places"),
        ],
    )


def _dry(bench: Bench) -> Step:
    part, units = bench.work.drying, bench.units
    hottest = min((limit for _, limit in part.limits), key=float, default=None)
    said: list[Words | str] = [
        *_how(part),
        *drying_heat_lines(bench.work.cure, part, bench.basis.ledger, bench.case.view),
        *undried_words(bench),
    ]
    if part.temperature is None:
        said.append(NO_VALUES)
    vapour = bench.given("card.vapour_most", bench.case.document.data.preparation.vapour_most, "share")
    return step(
        "C4",
        "Dry the core until it is dry",
        *said,
        cautions=[c.STEAM, c.FUEL, c.HEAT, c.MAINS],
        tools=["heat blanket", "controller", "over-temperature cut-out", "thermocouples", "logger"],
        blanks=[
            number("Fuel vapour", "% of lower limit", high=vapour),
            number("Steepest rise", f"{units.temperature}/min", high=part.rate),
            number("Coldest held at", units.temperature, aim=part.temperature),
            number(
                "Hottest thermocouple",
                units.temperature,
                high=hottest,
                said="limit: the drying temperature and its tolerance, approved data",
            ),
            clock_blank("From"),
            number("Held for", "h", low=part.duration),
            note("Log file"),
        ],
    )


def steam(work: Work, number: int) -> tuple[list[Words], list[Caution]]:
    """What water left behind would do in a cure; nothing where a check found none."""
    rows = [h for h in work.drying.heatings if h.number == number]
    if not rows or not work.drying.wet:
        return [], []
    hottest = max(rows, key=lambda h: float(h.temperature))
    words: Words = (
        "Heat nothing wet: at ",
        hottest.temperature,
        " water left in a closed cell lifts the skin with ",
        hottest.lift,
        *(
            (" where the bag lies on it, with up to ", hottest.lift_deepest, " where the bag bridges.")
            if hottest.bagged
            else (": no bag is over it.",)
        ),
    )
    return [words], [c.STEAM]


def _how(part: DryingPart) -> list[Words]:
    """Temperature, time, rate, vacuum and limits of the drying."""
    lines: list[Words] = []
    if part.temperature is not None:
        held: Words = () if part.duration is None else (" for at least ", part.duration)
        lines.append(("Dry at ", part.temperature, *held, "."))
    if part.rate is not None:
        long: Words = () if part.heat_up is None else (": heating up takes at least ", part.heat_up)
        lines.append(("Heat no faster than ", part.rate, *long, "."))
    if part.vacuum is not None and part.vacuum.key == "drying.vacuum":
        lines.append(("Dry under a bag at ", part.vacuum, " or more."))
    for name, limit in part.limits:
        lines.append(("Never hotter than ", limit, f": {name} is rated to no more."))
    if part.content is not None:
        lines.append(
            ("The data asks for no more than ", part.content, " of what the skins hold when saturated.")
        )
    return lines


def _open_cells(part: DryingPart) -> list[Words]:
    """Where water in open cells boils."""
    if part.air_boiling is None:
        return []
    under: Words = ()
    if part.bag_boiling is not None and part.vacuum is not None:
        under = (", at ", part.bag_boiling, " under a bag at ", part.vacuum)
    lines: list[Words] = [
        ("In open cells water boils at ", part.air_boiling, " in the air here", *under, ".")
    ]
    if part.skins and part.bag_content_most is not None:
        lines.append(
            (
                "The gas under the bag counts as dry. While water still boils there it is not, and the skins stay at "
                "up to ",
                part.bag_content_most,
                " of saturation.",
            )
        )
    return lines


def _water(part: DryingPart, view: str) -> list[Words | str]:
    """Water that stands in closed core, and the ways out for it."""
    if part.moisture != "found":
        return []
    lines: list[Words | str] = []
    ways: list[str | Figure] = []
    for skin in part.skins:
        if skin.core_time is not None:
            ways += [" or " if ways else "", f"through the skin on the {skin.side} ", skin.core_time]
    if ways:
        lines.append(
            (
                "Water standing in closed cells does not dry out: each millimetre of it would take ",
                *ways,
                ". Let it out through the opened core."
                if part.opened
                else ". This repair does not open the core: ask engineering.",
            )
        )
    if part.drain_holes is not None and part.wet_area is not None:
        lines.append(
            (
                "If the approved data allows drain holes: for ",
                part.wet_area,
                " found wet, ",
                part.drain_holes,
                f" of {show(DRAIN_HOLE, 'length', view)} are published practice (TM 1-1500-204-23-11 para 6-6).",
            )
        )
    else:
        lines.append(
            "The extent of the wet area is not known: map it with the meter. Drain holes only if the approved data "
            f"allows them (published practice: 12 of {show(DRAIN_HOLE, 'length', view)} for "
            f"{show(6 * INCH**2, 'area', view)}, TM 1-1500-204-23-11 para 6-6)."
        )
    return lines


def _unknown(part: DryingPart) -> list[str]:
    return [f"{_sentence(m.what)}: NOT KNOWN; {m.ask}." for m in part.lacking("strength", "pressure")]


def pressures(case: Case, part: DryingPart) -> list[StepTable]:
    """Closed wet cells step by step, and the bonds that hold against them."""
    if not part.heatings:
        return []
    cells = StepTable(
        "What lifts a skin over a closed cell that holds water",
        (
            "Step",
            "Temperature",
            "Air or bag on the skin",
            "Bag bridges, least vacuum",
            "Bag bridges, deepest (as in the cell)",
            "Least reserve",
            "of",
        ),
        tuple(_heating(part, h) for h in part.heatings),
    )
    known = [b for b in part.bonds if b.strength is not None]
    if not known:
        return [cells]
    bonds = StepTable(
        "What the bonds hold, and where a wet closed cell reaches it; above its own test temperature a bond holds less",
        ("Bond", "Flatwise, hot and wet", "Reached, air or bag on the skin", "Reached, bag bridges, deepest"),
        tuple(_bond(case, b) for b in known),
    )
    return [cells, bonds]


def _heating(part: DryingPart, at: Heating) -> tuple[Words, ...]:
    known = [r for r in at.reserves if r.bridged is not None]
    weakest = min(known, key=lambda r: float(r.bridged or 0.0), default=None)
    reserve: tuple[Words, Words] = (("NOT KNOWN",), ())
    if weakest is not None and weakest.bridged is not None:
        where = next(b.where for b in part.bonds if b.id == weakest.bond)
        reserve = ((weakest.bridged,), (where,))
    return (
        (at.name,),
        (at.temperature,),
        (at.lift,),
        ("none" if at.bagged else "no bag",) if at.lift_bridged is None else (at.lift_bridged,),
        (at.lift_deepest,) if at.bagged else ("no bag",),
        *reserve,
    )


def _bond(case: Case, bond: SteamBond) -> tuple[Words, ...]:
    name = case.catalogue.adhesive(bond.adhesive).name

    def one(figure: Figure | None) -> Words:
        return ("nowhere",) if figure is None else (figure,)

    return (
        (f"{_sentence(bond.where)}: {name}",),
        one(bond.strength),
        one(bond.reached),
        one(bond.reached_bridged),
    )


def skin_tables(part: DryingPart) -> list[StepTable]:
    """What the drying time leaves in each skin."""
    if not part.skins or (part.duration is None and part.content is None):
        return []
    wanted: list[tuple[Gas, str]] = [("bay", "bay air"), ("bag", "under the bag")]
    gases = [g for g in wanted if any(w.air == g[0] for s in part.skins for w in s.ways)]
    heads = ["Skin", "Thickness", "Open faces"]
    for _, name in gases:
        heads += [f"Left, {name}"] if part.duration is not None else []
        heads += [f"To the content required, {name}"] if part.content is not None else []
    rows = [_row(part, skin, faces, [g for g, _ in gases]) for skin in part.skins for faces in part.faces]
    title = "Skins that were saturated, dried by diffusion"
    title += ": one face is open round the opening, both where core is cut away" if part.opened else ""
    return [StepTable(title, tuple(heads), tuple(rows))]


def _row(part: DryingPart, skin: SkinDrying, faces: int, gases: list[Gas]) -> tuple[Words, ...]:
    cells: list[Words] = [(f"on the {skin.side}",), (skin.thickness,), ("one" if faces == 1 else "both",)]
    for gas in gases:
        way = next(w for w in skin.ways if w.air == gas and w.faces == faces)
        if part.duration is not None:
            cells.append(() if way.left is None else (way.left,))
        if part.content is not None:
            cells.append(("never: balance at ", way.outside) if way.time is None else (way.time,))
    return tuple(cells)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
