"""Steps of a bonding operation from setting out to the last ply: mix, spread, wet, cut, set, lay."""

from __future__ import annotations

from panelmend.derive.ledger import words_of
from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card import oven
from panelmend.job.card.apart import kept_apart
from panelmend.job.card.bench import Bench, bagged, begun_by, heated_by, on_plate
from panelmend.job.card.clocks import pastes
from panelmend.job.card.cloth import cut_from_strip, cutting, nest_names, nests_of, pieces_in, wet_then_cut
from panelmend.job.card.directions import bracketed, line
from panelmend.job.card.heating import hand_placed_lines, insulated, marking_lines, unpredicted_why
from panelmend.job.card.laid import laid_in
from panelmend.job.card.mixing import coupon_steps, kept_in_the_cup, mix_batch, share_of
from panelmend.job.card.order import Place
from panelmend.job.card.part import Note, Step, Words
from panelmend.job.card.setting import set_in, spread
from panelmend.job.card.unpredicted import unpredicted_words
from panelmend.job.card.writing import RECORD, clock_blank, note, number, step, tick, word_lines
from panelmend.job.cure.part import on_tape
from panelmend.job.kit.part import WetSheet
from panelmend.job.openings import over_the_hole
from panelmend.job.plies.part import Ply
from panelmend.trade import trade_word


def set_out(bench: Bench, bag: BagOperation) -> Step:
    """Everything laid out before anything is mixed, or laid where nothing is."""
    heated, data, units = bench.cure(bag), bench.case.document.data.preparation, bench.units
    said: list[Words | str] = []
    if bagged(bag):
        said.append(
            f"Bag layers in order, pump running, sealing tape on {'bare plate' if on_plate(bag) else 'clean panel'}, "
            "tools and clock at hand."
        )
    else:
        said.append("Tools, what holds or weighs it down, counted, release film and clock at hand.")
    if heated_by(bag) == "room temperature":
        said += unpredicted_words(bench, heated)  # before anything is mixed
    else:
        said.append(
            f"The thermocouple {'in the middle of the cap' if oven.in_oven(bag) else 'under the middle of the blanket'}, "
            "over the release film, where the heat survey had it."
            if on_plate(bag)
            else "Thermocouples at the places of the heat survey, taped beside the patch, never on it."
        )
        if tips := on_tape(bench.basis.ledger, bag, heated.sensors):
            said.append(
                f"The tips of {', '.join(tips)} stand on the PTFE tape, where a tip lifts and reads the bag: the engineer "
                "says whether they may stand just outside it; else hold them down by tape that holds on PTFE. No knife on "
                "the skin."
            )
        if oven.in_oven(bag):
            said.append(
                "The oven is empty, cold and ready; the way to it is clear for what is carried there."
            )
        if heated.prediction is None:
            said.append("Where it gets coldest and hottest is NOT PREDICTED; the heat survey found it.")
        if len(heated.blankets) > 1:
            told = heated.prediction.sensors if heated.prediction is not None else ()
            behind = [s.id for s in told if s.role == "behind"]
            own = (
                f", which follows {', '.join(behind)} on that side"
                if behind
                else ", and two thermocouples or more under it on that side, one for its controller: in its middle, and at "
                "the hottest place that its survey found (common practice, no source)"
            )
            said.append(
                f"Blanket {heated.blankets[1].blanket} goes on the opposite side under a bag of its own, with a controller of "
                f"its own{own}."
            )
        said += [*hand_placed_lines(bag), *marking_lines(bench.basis, heated)]
        said += [f"Insulation {where}: {name}." for where, name in insulated(bench.case, bag.name)]
    held = bag.behind is not None and bag.behind.kind == "support"
    over = over_the_hole(bag, bench.work.bag.operations, bench.work.core)
    if held and bag.behind is not None:
        said.append(
            f"Support and release film go onto the {bag.behind.side} now, before anything is laid over the hole, and stay "
            "until this bag is opened."
        )
    if over:
        said.append(
            "The core is out: nothing supports the plies over the hole. Fill it level with the skin as the data says, with the "
            "filler in release film; it comes out with the bag. If the data says nothing: stop, ask the engineer."
        )
    peeled = bag.bonds_cap and bench.peeled_below
    if peeled:
        said.append(
            "Now, not earlier: take the peel ply off the cap's bond face. Do not touch that face again."
        )
    low = bench.given("card.air_low", data.air_low, "temperature")
    high = bench.given("card.air_high", data.air_high, "temperature")
    humid = bench.given("card.humidity_most", data.humidity_most, "share")
    above = bench.given("card.above_dew_point", data.above_dew_point, "temperature difference")
    return step(
        Place("O10", bag.number),
        f"{bag.name}: set everything out before anything is {'mixed' if begun_by(bench, bag) == 'mix' else 'laid'}",
        *said,
        blanks=[
            number("Air temperature", units.temperature, low=low, high=high),
            number("Relative humidity", "%", high=humid),
            number(
                f"{'Plate' if on_plate(bag) else 'Panel'} above the dew point by",
                units.temperature,
                low=above,
            ),
            *(
                [
                    number(
                        "Thermocouples at their places",
                        "pieces",
                        said=oven.thermocouple_count_line(bag, heated),
                    ),
                    note("Moved, to where"),
                    *(
                        [note(f"Thermocouples of {unplanned}: how many, numbers, places", "instruments")]
                        if (unplanned := heated.unplanned_behind)
                        else []
                    ),
                ]
                if heated_by(bag) != "room temperature"
                else []
            ),
            number("Films and carriers counted in", "pieces", said=RECORD),
            *([tick("Support in place, film on it")] if held else []),
            *(
                [note("Hole filled with, place in the data"), number("Fill below the skin by", units.length)]
                if over
                else []
            ),
            *(
                [
                    number(
                        "Peel ply off the cap's bond face, whole", "pieces", said="1: the upper one stays on"
                    )
                ]
                if peeled
                else []
            ),
            note("Hygrometer, surface thermometer, due days"),
        ],
    )


def bonding_reasons(bench: Bench, bag: BagOperation) -> list[Note]:
    """Why thermocouples stand where they do."""
    heated = bench.cure(bag)
    if heated_by(bag) == "room temperature":
        return []
    if heated.prediction is None:
        words = (
            "Thermocouples spread evenly at the places in the table: where it gets coldest and hottest is NOT PREDICTED. "
            + unpredicted_why(heated)
        )
    else:
        words = (
            "The prediction chose the places of the thermocouples. If one must go elsewhere, write it down; then "
            "what it should read no longer applies."
        )
    return [Note(Place("O10", bag.number), f"{bag.name}: thermocouples", word_lines([words]))]


def batches(bench: Bench, bag: BagOperation) -> list[Step]:
    """Mix each batch and use it before the next: adhesive and plug, then resin, sheets and pieces."""
    steps: list[Step] = []
    mixes = [m for m in bench.work.kit.mixes if m.operation == bag.name]
    pasted = [i for i, m in enumerate(mixes, 1) if pastes(bench.basis, m)]
    for i, mix in enumerate(mixes, 1):
        steps.append(mix_batch(bench, bag, mix, i))
        steps += coupon_steps(bench, bag, i, wet=i not in pasted)
        if i in pasted:
            steps.append(spread(bench, bag, mix, i))
            if i == pasted[-1]:
                steps += set_in(bench, bag, i)
        else:
            steps += _wet(bench, bag, i)
    if not pasted:
        steps += set_in(bench, bag, 0)
    if not mixes:
        steps += coupon_steps(bench, bag, 0, wet=False)
    return steps


def _wet(bench: Bench, bag: BagOperation, at: int) -> list[Step]:
    sheets = [s for s in bench.work.kit.sheets if s.operation == bag.name]
    coat = share_of(bench, bag, at, "brush")
    steps = [
        step(
            Place("O14", bag.number, at),
            f"{bag.name}: brush resin on the bond area",
            (
                f"A thin even coat {_coated(bench, bag)}; no puddle, none into open cells",
                *((": ", coat, " in all.") if coat is not None else (".",)),
            ),
            *kept_in_the_cup(bench, bag),
            cautions=[c.RESIN],
            blanks=[clock_blank("First contact at", "before the bond-within time", "first contact")],
        )
    ]
    if on_plate(bag):
        steps = []
    if sheets:
        steps.append(
            step(
                Place("O15", bag.number, at),
                f"{bag.name}: wet out between two films",
                *[
                    (
                        *_wetted(bench, bag, s),
                        s.dry,
                        " of cloth: ",
                        s.resin,
                        " of mixed resin, which makes ",
                        s.content,
                        " of resin by mass.",
                    )
                    for s in sheets
                ],
                "Roll air from the middle outwards; no dry spot, no pool.",
                cautions=[c.RESIN, c.FILM],
                blanks=[number(f"Resin on {bench.name(s.cloth)}", "g", aim=s.resin) for s in sheets],
            )
        )
    if wet_then_cut(bench, bag):
        first = bag.number == min(b.number for b in bench.work.bag.operations if laid_in(bench.work, b))
        nests = nests_of(bench, bag, first=first)
        steps.append(
            step(
                Place("O16", bag.number, at),
                f"{bag.name}: cut the pieces from the wet sheet, films on",
                *cutting(bench, nests, first=first),
                cautions=[c.BLADE, c.RESIN],
                tools=["templates", "wheel cutter", "labels"],
                blanks=[
                    number("Pieces cut and labelled", "pieces", said=f"{pieces_in(nests)}"),
                    number("Films on the pieces", "films", said=f"{2 * pieces_in(nests)}"),
                ],
                drawing=nest_names(nests),
            )
        )
    return steps


def _wetted(bench: Bench, bag: BagOperation, sheet: WetSheet) -> Words:
    """What is weighed and wetted: the whole sheet, or the pieces that were cut dry, for which alone there is resin."""
    name = bench.name(sheet.cloth)
    if sheet.way == "wet then cut":
        return (f"{name}, sheet ", sheet.length, " by ", sheet.width, ", ")
    cut = cut_from_strip(bench, bag, sheet)
    return (
        f"{name}, piece {cut[0]}, " if len(cut) == 1 else f"{name}, {len(cut)} pieces ({', '.join(cut)}), ",
    )


def _coated(bench: Bench, bag: BagOperation) -> str:
    """How far resin is brushed. The tape that keeps the rim of a cap off the skin stays dry: it ends what bonds."""
    if bench.rim(bag) is not None:
        return "in the opening and on its edge, up to the tape that keeps the rim off, none on it"
    return f"out to the edge of the largest ply{_into(bench, bag)}"


def _into(bench: Bench, bag: BagOperation) -> str:
    """Where the opening is closed by then it is coated too; a hole through both skins is not."""
    filled = {"core", "potting"}
    closed = any(filled & set(b.lays) for b in bench.work.bag.operations if b.number <= bag.number)
    return "" if bench.through and not closed else ", the opening too"


def lay_steps(bench: Bench, bag: BagOperation) -> list[Step]:
    """Film adhesive on the parent, then every ply in order."""
    plies = laid_in(bench.work, bag)
    steps: list[Step] = []
    films = [p for p in plies if p.role == "film adhesive"]
    if films:
        steps.append(
            step(
                Place("O13", bag.number),
                f"{bag.name}: lay the film adhesive on the parent",
                *[
                    (
                        f"{_place_in_operation(bag, p)}. {p.id}, {bench.name(p.cloth)}: ",
                        p.margin,
                        " beyond the cut-out.",
                    )
                    for p in films
                ],
                "No wrinkle, no gap, edges of strips meet. Take its carrier off last.",
                cautions=[c.FILM, c.STATIC],
                blanks=[
                    number("Carriers off", "pieces", said=f"{len(films)} or as laid"),
                    clock_blank("First contact at", "before the bond-within time", "first contact"),
                ],
            )
        )
    rest = [p for p in plies if p.role != "film adhesive"]
    if rest:
        steps.append(_lay(bench, bag, rest))
    return steps


def _lay(bench: Bench, bag: BagOperation, plies: list[Ply]) -> Step:
    said: list[Words | str] = [
        (
            "In this order, each warp within ",
            bench.work.plies.angle_tolerance,
            f" as seen from the {plies[0].side}; read it on the cloth. Films off as each goes down, none inside.",
        )
    ]
    under = [x for x in bag.layers if x.below]
    if under:
        named = "; ".join(f"{x.order} {trade_word(x.use)}" for x in under)
        said.insert(0, f"First, in the order of the bag's table: {named}. The plies go onto them.")
    for p in plies:
        toward = bracketed(line(bench.case, float(p.warp)))
        said.append(
            (
                f"{_place_in_operation(bag, p)}. {p.id}, {p.role}, {bench.name(p.cloth)}: warp ",
                p.warp_seen,
                f"{toward}, ",
                p.margin,
                " beyond the cut-out",
                *((", corners trimmed at 45°, ", p.trim, " long.") if float(p.trim) > 0 else (".",)),
            )
        )
    apart, signed = kept_apart(bench, bag)
    said[:0] = apart
    wet = [p for p in plies if not bench.case.catalogue.cloth(p.cloth).prepreg]
    films = f"{2 * len(wet) + len(plies) - len(wet)}"
    return step(
        Place("O18", bag.number),
        f"{bag.name}: lay the plies",
        *said,
        cautions=[c.FILM, *([c.RESIN] if wet else [])],
        tools=["roller", "squeegee", "protractor"],
        blanks=[
            number("Plies laid", "plies", said=f"{len(plies)}"),
            *[
                number(f"{p.id}: warp read", "°", aim=p.warp_seen, said=_angle_tolerance(bench))
                for p in plies
            ],
            number("Films or backings off", "pieces", said=f"{films}, all that went on"),
            *signed,
            clock_blank("Last ply laid at", "before the lay-by time", "last laid"),
        ],
        hold="H7",
    )


def _place_in_operation(bag: BagOperation, ply: Ply) -> int:
    """The place of a piece in the operation, a film adhesive counted: as bench page, template and label have it."""
    return bag.plies.index(ply.id) + 1


def _angle_tolerance(bench: Bench) -> str:
    tolerance = bench.work.plies.angle_tolerance
    return f"± {words_of(tolerance, bench.case.view)}"
