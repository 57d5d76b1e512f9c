"""Steps of a cure: bag, leak test, heat, cooling, the verdict on the log, opening, inspection of the bond."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card import heating, oven, thermocouples
from panelmend.job.card.bench import Bench, bagged, heated_by, on_plate
from panelmend.job.card.drying import steam
from panelmend.job.card.order import Place
from panelmend.job.card.part import Blank, Note, Step, Words
from panelmend.job.card.writing import clock, lines, note, number, step, tick
from panelmend.trade import say


def cure(bench: Bench, bag: BagOperation) -> list[Step]:
    """All steps from the bag to the inspected bond."""
    steps: list[Step] = []
    if bagged(bag):
        steps += [_bag(bench, bag), _leak(bench, bag)]
    steps += _rest(bench, bag)
    if heated_by(bag) != "room temperature":
        steps.append(_heat(bench, bag))
    steps += [_cool(bench, bag), _judge(bench, bag), _open(bench, bag), *_look(bench, bag)]
    return steps


def reasons(bench: Bench, bag: BagOperation) -> list[Note]:
    """The reasoning behind bag and cure, for the workings."""
    notes: list[Note] = []
    heated = bench.cure(bag)
    if bagged(bag):
        notes.append(
            Note(Place("O20", bag.number), f"{bag.name}: vacuum in other words", lines(_vacuum(bag)))
        )
    if heated_by(bag) != "room temperature":
        said = heating.reasoned(bench.ground, heated)
        notes.append(
            Note(Place("O22", bag.number), f"{bag.name}: what is predicted of its heat", lines(said))
        )
    return notes


def _vacuum(bag: BagOperation) -> list[Words | str]:
    vacuum, leak = bag.vacuum, bag.leak
    absolute: Words = (
        () if vacuum.absolute is None else (", with ", vacuum.absolute, " absolute left under the bag")
    )
    boils: Words = () if vacuum.boiling is None else (", where water boils at ", vacuum.boiling)
    said: list[Words | str] = [
        ("The least vacuum is a pressure difference of ", vacuum.difference, *absolute, *boils, ".")
    ]
    if bag.available_vacuum is not None:
        said.append(("The air here can give no more than ", bag.available_vacuum, " of gauge vacuum."))
    if leak.flow is not None:
        said.append(
            ("The leak that is allowed is about ", leak.flow, " into the bag; hoses and gauge not counted.")
        )
    return said


def _bag(bench: Bench, bag: BagOperation) -> Step:
    heated = bench.cure(bag)
    around = "blanket and repair" if heated_by(bag) == "blanket" else "the repair"
    uses = "; ".join(f"{x.order} {say(x.use)}" for x in bag.layers if not x.below)
    aid = [f"Pressure pad or caul: {bag.pressure_aid.what}."] if bag.pressure_aid is not None else []
    return step(
        Place("O19", bag.number),
        f"{bag.name}: build the bag in the order of its layers",
        f"{'On what was laid' if any(x.below for x in bag.layers) else 'From the part'} up: {uses}.",
        *aid,
        *_caul(bag),
        *_other_side(bag),
        f"Vacuum bases on breather, outside {around}, at opposite ends. Pleats at the corners. Only flash-breaker "
        "tape inside.",
        cautions=[c.VACUUM, *([c.TWO_BLANKETS] if len(heated.blankets) > 1 else [])],
        tools=["vacuum bases", "gauge", "sealing tape"],
        blanks=[
            number("Pieces laid", "pieces", said=f"{pieces_of(bag)}, each ticked on its label"),
            tick("Bases clear of the repair"),
            *_tape(bench, bag),
            clock("Bag closed at"),
        ],
        drawing="bag",
    )


def _tape(bench: Bench, bag: BagOperation) -> list[Blank]:
    """How far the tape's inner edge lies from what it must clear, measured before the bag is closed."""
    distance = next((x.margin for x in bag.layers if x.use == "sealing tape"), None)
    if distance is None:
        return []
    blanket = any(x.use == "heat blanket" for x in bag.layers)
    what = "the blanket" if blanket else "what lies under the bag"
    return [number(f"Tape beyond {what}, least", bench.units.length, low=distance)]


def _caul(bag: BagOperation) -> list[Words | str]:
    """What to look at before a sheet of metal goes under a blanket."""
    sheet = next((x for x in bag.layers if x.use == "caul sheet"), None)
    if sheet is None or sheet.margin is None:
        return []
    return [
        (
            "Caul sheet: flat, no burr, edges rounded and taped; past the plies by ",
            sheet.margin,
            " all round.",
            *(
                (
                    " Metal under a blanket: a cut or worn blanket makes it live; look the blanket over on both faces "
                    "first.",
                )
                if any(x.use == "heat blanket" for x in bag.layers)
                else ()
            ),
        )
    ]


def _other_side(bag: BagOperation) -> list[Words | str]:
    """What lies on the other side of the panel in the same operation."""
    other = bag.behind
    if other is None:
        return []
    uses = "; ".join(f"{x.order} {say(x.use)}" for x in other.layers)
    lines: list[Words | str] = [f"On the {other.side}, from the panel out: {uses}."]
    if other.support:
        lines.append(f"The hole is closed and held to contour by: {other.support}.")
    return lines


def _other_bag(bag: BagOperation) -> list[Words | str]:
    """The leak test of the bag on the other side, and what a difference of the two does to the hole."""
    other = bag.behind
    if other is None or not other.bagged:
        return []
    lines: list[Words | str] = [
        (
            f"The bag on the {other.side} is tested by itself, before this one, to the same limits; the air "
            "presses on it with ",
            other.force,
            ".",
        )
    ]
    if other.push is not None and other.difference is not None:
        lines.append(
            (
                "Draw both together: a difference of ",
                other.difference,
                " between them pushes on what closes the hole with ",
                other.push,
                ".",
            )
        )
    return lines


def _leak(bench: Bench, bag: BagOperation) -> Step:
    second = bag.behind is not None and bag.behind.bagged
    return step(
        Place("O20", bag.number),
        f"{bag.name}: vacuum on, leak test",
        (
            "At least ",
            bag.least_vacuum,
            " at the gauge farthest from the pump. The air then presses on the bag with ",
            bag.force,
            f": see that the {'plate' if on_plate(bag) else 'panel'} is held. Close the valve: no more than ",
            bag.leak_drop,
            " lost in ",
            bag.leak_time,
            ". A leak is sealed and tested again inside the pot life.",
        ),
        *_other_bag(bag),
        cautions=[c.VACUUM, *([] if on_plate(bag) or not bench.cored else [c.BURST])],
        tools=["vacuum gauge in calibration", "clock"],
        blanks=[
            clock("Vacuum on at", "before the vacuum-on-by time", "vacuum on"),
            number("Vacuum at the start", bench.units.vacuum, low=bag.least_vacuum),
            number("Lost in the test", bench.units.vacuum, high=bag.leak_drop),
            *(
                [
                    number("Opposite side: vacuum at the start", bench.units.vacuum, low=bag.least_vacuum),
                    number("Opposite side: lost in the test", bench.units.vacuum, high=bag.leak_drop),
                ]
                if second
                else []
            ),
            note("Gauge number", "instruments"),
        ],
        hold="H8",
    )


def _rest(bench: Bench, bag: BagOperation) -> list[Step]:
    mixed = [m for m in bench.work.kit.mixes if m.operation == bag.name]
    if not mixed and heated_by(bag) != "room temperature":
        return []
    if heated_by(bag) == "room temperature":
        longest = bag.cure.longest_dwell
        held = heating.figure(bench, bag, "rest", longest.least, "time")
        coolest = heating.figure(bench, bag, "rest_low", longest.low, "temperature")
        sand = bag.cure.sand_after
        after = heating.figure(bench, bag, "sand_after", sand, "time")
        sanded: Words = (" Not sanded before ", after, ".") if after is not None else ()
        return [
            step(
                Place("O21", bag.number),
                f"{bag.name}: let it cure at room temperature",
                ("Vacuum stays on." if bagged(bag) else "Leave it weighted, untouched.", *sanded),
                cautions=[c.VACUUM] if bagged(bag) else [],
                blanks=[
                    clock("Begun at"),
                    number("Held", "h", low=held),
                    number("Coolest air meanwhile", bench.units.temperature, low=coolest),
                ],
            )
        ]
    return [
        step(
            Place("O21", bag.number),
            f"{bag.name}: let the resin's own heat pass before heat goes on",
            "What was left over was spread on the tray, none stands in the cup. Wait until the resin on the tray, or the "
            "squeeze-out, is past its hottest and cools.",
            cautions=[c.HEAT],
            blanks=[number("Waited", "min"), tick("Past its hottest, cooling")],
        )
    ]


def _heat(bench: Bench, bag: BagOperation) -> Step:
    heated = bench.cure(bag)
    said, dwell = heating.stages(bench, bag)
    water, burst = steam(bench.work, bag.number)
    vapour = bench.given("card.vapour_most", bench.case.document.data.preparation.vapour_most, "share")
    tables = [
        heating.interrupted(bench, oven=oven.in_oven(bag)),
        *thermocouples.readings(bench.ground, bench.work, bag, heated),
    ]
    return step(
        Place("O22", bag.number),
        f"{bag.name}: heat on",
        *heating.stopped(heated),
        *heating.doubted(bench, heated),
        *(heating.circuits(heated) if not oven.in_oven(bag) else oven.loading(bag)),
        f"Cure cycle: {bag.cure.place}. Log every thermocouple{' and the vacuum' if bagged(bag) else ''} at least once "
        "a minute.",
        *said,
        *([("Keep at least ", bag.least_vacuum, " all through: vacuum never off.")] if bagged(bag) else []),
        *water,
        *heating.counted(bench, heated),
        *([heating.LOOK] if heated.prediction is not None else []),
        cautions=[
            c.FUEL,
            c.HEAT,
            *([c.MAINS] if not oven.in_oven(bag) else []),
            *oven.hazards(bag),
            *([c.TWO_BLANKETS] if len(heated.blankets) > 1 else []),
            *burst,
        ],
        tools=_tools(heated.blankets)
        if not oven.in_oven(bag)
        else ["oven", "hoses", "gauge outside", "logger"],
        blanks=_heat_blanks(bench, bag, dwell, vapour),
        tables=tables,
    )


def _tools(blankets: tuple[object, ...]) -> list[str]:
    return [
        *[f"heat blanket {getattr(b, 'blanket', '')}" for b in blankets],
        "a controller for each blanket" if len(blankets) > 1 else "controller",
        "over-temperature cut-out",
        "logger",
    ]


def _heat_blanks(bench: Bench, bag: BagOperation, dwell: list[Blank], vapour: Figure | None) -> list[Blank]:
    cuts = heating.cut_outs(bench)
    return [
        number("Fuel vapour", "% of lower limit", high=vapour),
        *oven.loaded(bench, bag),
        tick(
            "No solvent left, cut-out set for this cure"
            if len(cuts) > 1
            else "No solvent left, cut-out armed"
        ),
        clock("Heat on at"),
        *dwell,
        number("Hottest of all", bench.units.temperature, high=heating.ceiling_of(bench, bag)),
        *([number("Least vacuum seen", bench.units.vacuum, low=bag.least_vacuum)] if bagged(bag) else []),
        note("Log file"),
        note("Interruptions, from / to"),
    ]


def _cool(bench: Bench, bag: BagOperation) -> Step:
    release = heating.release_of(bench, bag)
    hot = heated_by(bag) != "room temperature"
    below: Words = (
        ("Nothing that holds or weighs it down comes off before the time of the approved data is over.",)
        if not bagged(bag)
        else (
            "Vacuum stays on until every thermocouple is below ",
            release,
            ", in the oven and after it." if oven.in_oven(bag) else ".",
        )
        if release is not None
        else ("Vacuum stays on until the time or temperature of the approved data.",)
    )
    return step(
        Place("O23", bag.number),
        f"{bag.name}: cool under vacuum" if hot and bagged(bag) else f"{bag.name}: end of the cure",
        below,
        cautions=[c.HEAT] if hot else [],
        blanks=[
            number("Hottest thermocouple at release", bench.units.temperature, high=release)
            if hot
            else clock("Ended at"),
            *([clock("Vacuum off at")] if bagged(bag) else []),
        ],
    )


def _judge(bench: Bench, bag: BagOperation) -> Step:
    hot = heated_by(bag) != "room temperature"
    compared = (
        ["the log", "ramps, dwell on the slowest, maximum temperature on the hottest"]
        if hot
        else ["what was written down", "time held, coolest air"]
    )
    if bagged(bag):
        compared[1] += ", vacuum all through"
    stays = "the bag stays shut" if bagged(bag) else "leave it as it is"
    return step(
        Place("O24", bag.number),
        f"{bag.name}: judge the {'log' if hot else 'cure'} before {'the bag is opened' if bagged(bag) else 'it is touched'}",
        f"Compare {compared[0]} with the cure cycle: {compared[1]}. Not accepted: {stays}, back to the planner. A fault of "
        "the cure stays a finding even if the bond sounds good.",
        blanks=[
            note("Verdict, its number"),
            note("Log file, its digest" if hot else "Readings kept where"),
            note("Reasons, interruptions"),
        ],
        hold="H9",
    )


def pieces_of(bag: BagOperation) -> int:
    """How many pieces lie in the bags of an operation, both sides counted."""
    return sum(layer.pieces for layer in bag.all_layers)


def staying(bench: Bench, bag: BagOperation) -> int:
    """Peel plies that stay on a cap when its bag is opened."""
    if "cap" not in bag.lays:
        return 0
    made = bag
    if bag.bonds_cap:
        made = next(b for b in bench.work.bag.operations if on_plate(b))
    on_it = [x for x in made.layers if x.use == "peel ply" and not (bag.bonds_cap and x.below)]
    return len(on_it)


def _open(bench: Bench, bag: BagOperation) -> Step:
    pieces, stay = pieces_of(bag), staying(bench, bag)
    # the peel ply of a cap from a plate was laid with the cap, not with this bag
    off = 0 if bag.bonds_cap else stay
    sensors = len(bench.cure(bag).sensors)
    return step(
        Place("O25", bag.number),
        f"{bag.name}: {'open the bag and' if bagged(bag) else 'take off what held it;'} count everything out",
        f"{'Bag, films, layers and thermocouples' if bagged(bag) else 'Weights, pads, films'} off; nothing stays in or under "
        "the repair."
        + (
            f" On the cap {'stays its upper peel ply' if stay == 1 else f'stay {stay} peel plies, one on each face'}."
            if stay
            else ""
        ),
        cautions=[c.EDGES, c.FILM],
        blanks=[
            *(
                [
                    number(
                        "Pieces out",
                        "pieces",
                        said=f"{pieces - off} of {pieces}" if off else f"{pieces}, all laid",
                    )
                ]
                if bagged(bag)
                else []
            ),
            *(
                [number("Thermocouples out", "pieces", said=f"{sensors}")]
                if sensors or bagged(bag)
                else [tick("Nothing left under it")]
            ),
            number("Films out", "pieces", said="as many as went in"),
        ],
    )


def _look(bench: Bench, bag: BagOperation) -> list[Step]:
    data, units = bench.case.document.data.inspection, bench.units
    hard = bench.given("card.hardness", data.hardness)
    coupon = data.coupon
    least = None
    if coupon is not None and coupon.value.least is not None:
        key = "card.coupon_least"
        least = (
            bench.ground.ledger[key]
            if key in bench.ground.ledger
            else bench.ground.given(key, coupon, "stiffness", value=coupon.value.least)
        )
    length = bench.given("card.void_length", data.void_length, "length")
    area = bench.given("card.void_area", data.void_area, "area")
    count = bench.given("card.void_count", data.void_count)
    spacing = bench.given("card.void_spacing", data.void_spacing, "length")
    edge = bench.given("card.void_edge", data.void_edge, "length")
    methods = "As the data asks"
    if data.methods is not None:
        methods = ", then ".join(data.methods.value).capitalize() + f" ({data.methods.place})"
    squeeze: Words = (
        ("No squeeze-out somewhere: ", *bench.order("card.squeeze_out", data.squeeze_out, "what is done"))
        if data.squeeze_out is not None
        else ("No squeeze-out somewhere: stop, ask the engineer.",)
    )
    return [
        step(
            Place("O26", bag.number),
            f"{bag.name}: look at the bond, squeeze-out, hardness, coupon",
            "Dry spots, bridging, wrinkles, blush, lifted edges; squeeze-out at the whole edge.",
            squeeze,
            blanks=[
                tick("Squeeze-out all round"),
                tick("No dry spot, wrinkle, lifted edge"),
                number("Hardness, lowest of 5", "Barcol", low=hard),
                *(
                    [number("Coupon, lowest", units.stress, low=least), note("Coupon numbers")]
                    if coupon is not None
                    else []
                ),
            ],
        ),
        step(
            Place("O27", bag.number),
            f"{bag.name}: inspect each new bond and draw the map",
            f"{methods}. A void is any area unbonded that should be bonded. Draw every one, with its size and distances. "
            "Lines of a scan no farther apart than half the smallest void that counts. Before the next ply, filler or "
            "paint.",
            tools=[data.standard.value if data.standard is not None else "reference standard of the data"],
            blanks=[
                number("Longest void", units.length, high=length),
                number("Largest void", units.area, high=area),
                number("Voids", "voids", high=count),
                number("Least spacing", units.length, low=spacing),
                number("Least distance to an edge", units.length, low=edge),
                note("Instrument, standard, data place"),
            ],
            hold="H10",
            drawing=f"map {bag.number}",
        ),
    ]
