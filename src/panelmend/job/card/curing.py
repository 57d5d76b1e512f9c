"""Steps of a cure: heat, cooling, the verdict on the log; bag and bond have rooms of their own."""

from __future__ import annotations

from dataclasses import replace

from panelmend.derive import Figure
from panelmend.job.bag.part import BagOperation
from panelmend.job.card import bag_closed, bond_inspected, heating, mixing, oven, pressed, thermocouples
from panelmend.job.card import cautions as c
from panelmend.job.card.bench import Bench, bagged, heated_by
from panelmend.job.card.beside import dried_first, dried_first_blanks, one_cure
from panelmend.job.card.drying import steam
from panelmend.job.card.order import Place
from panelmend.job.card.part import Blank, Hold, Note, Step, Words
from panelmend.job.card.writing import clock_blank, note, number, step, tick, word_lines

UNBAGGED = Hold(
    "H9",
    "inspector",
    "what was written down of the cure is within the data; what holds it may come off. That does not mean that the bond "
    "is good",
)


VACUUM_ON = "Vacuum stays on until "
LEFT_ON = "Nothing that holds or weighs it down comes off before "
ASKED = "the time or temperature of the approved data"


def cure(bench: Bench, bag: BagOperation) -> list[Step]:
    """All steps from the bag to the inspected bond."""
    steps: list[Step] = []
    if bagged(bag):
        steps += [bag_closed.bag_build_step(bench, bag), bag_closed.leak_step(bench, bag)]
    else:
        steps.append(pressed.cover_step(bench, bag))
    steps += _rest(bench, bag)
    if heated_by(bag) != "room temperature":
        steps.append(_heat(bench, bag))
    steps += [
        _cool(bench, bag),
        _judge(bag),
        bag_closed.bag_opened_step(bench, bag),
        *bond_inspected.inspection_steps(bench, bag),
    ]
    return steps


def curing_reasons(bench: Bench, bag: BagOperation) -> list[Note]:
    """The reasoning behind bag and cure, for the workings."""
    notes: list[Note] = []
    heated = bench.cure(bag)
    if bagged(bag):
        notes.append(
            Note(
                Place("O20", bag.number),
                f"{bag.name}: what the vacuum means",
                word_lines(bag_closed.vacuum_lines(bag)),
            )
        )
    if heated_by(bag) != "room temperature":
        said = heating.reasoned(bench.basis, heated)
        notes.append(
            Note(Place("O22", bag.number), f"{bag.name}: its predicted temperatures", word_lines(said))
        )
    return notes


def _rest(bench: Bench, bag: BagOperation) -> list[Step]:
    mixed = [m for m in bench.work.kit.mixes if m.operation == bag.name]
    if not mixed and heated_by(bag) != "room temperature":
        return []
    if heated_by(bag) == "room temperature":
        longest = bag.cure.longest_dwell
        held = heating.figure(bench, bag, "rest", longest.least, "time")
        coolest = heating.figure(bench, bag, "rest_low", longest.low, "temperature")
        warmest = heating.figure(bench, bag, "rest_high", longest.high, "temperature")
        sand = bag.cure.sand_after
        after = heating.figure(bench, bag, "sand_after", sand, "time")
        sanded: Words = (" Not sanded before ", after, ".") if after is not None else ()
        orders, asked = heating.interrupted(bench, bagged=bagged(bag), heated=False)
        return [
            step(
                Place("O21", bag.number),
                f"{bag.name}: let it cure at room temperature",
                *_held_so(bench, bag),
                (*_kept(bag), *sanded),
                cautions=[c.VACUUM] if bagged(bag) else [],
                tables=orders,
                blanks=[
                    *asked,
                    clock_blank("Begun at"),
                    number("Held", "h", low=held),
                    number("Coolest air meanwhile", bench.units.temperature, low=coolest),
                    number("Warmest air meanwhile", bench.units.temperature, high=warmest),
                    *(
                        [
                            number("Least vacuum seen", bench.units.vacuum, low=bag.least_vacuum),
                            note("Vacuum logged, or read by whom, how often"),
                        ]
                        if bagged(bag)
                        else []
                    ),
                ],
            )
        ]
    return [
        step(
            Place("O21", bag.number),
            f"{bag.name}: wait until the resin's own heat is past before heat goes on",
            "Spread what is left over on the tray; leave none in the cup. Wait until the resin on the tray, or the "
            "squeeze-out, is past its hottest and cools.",
            cautions=[mixing.own_heat(bench, mixed)],
            blanks=[number("Waited", "min"), tick("Past its hottest, cooling")],
        )
    ]


def _kept(bag: BagOperation) -> Words:
    """What stays as it is while it cures in the air of the room."""
    if not bagged(bag):
        return ("Leave it held, untouched.",)
    return ("Vacuum stays on: at least ", bag.least_vacuum, " all through, nights too.")


def _held_so(bench: Bench, bag: BagOperation) -> list[Words]:
    """The cycle of a cure in the air of the room: where it stands in the data, and each hold."""
    holds: list[Words] = []
    for i, s in enumerate(bag.cure.segment, 1):
        if s.kind != "dwell":
            continue
        to = heating.figure(bench, bag, f"s{i}.to", s.to, "temperature")
        low = heating.figure(bench, bag, f"s{i}.low", s.low, "temperature")
        high = heating.figure(bench, bag, f"s{i}.high", s.high, "temperature")
        least = heating.figure(bench, bag, f"s{i}.least", s.least, "time")
        words: list[str | Figure] = ["Hold"]
        words += [" at ", to] if to is not None else []
        words += [", no cooler than ", low] if low is not None else []
        words += [", no warmer than ", high] if high is not None else []
        words += [", for at least ", least] if least is not None else []
        holds.append((*words, "."))
    return [(f"Cure cycle: {bag.cure.place}.",), *holds]


def _until(bench: Bench, bag: BagOperation) -> Words:
    """Until when a cure in the air of the room stays held or under vacuum."""
    holds = [s for s in bag.cure.segment if s.kind == "dwell"]
    least = heating.figure(bench, bag, "rest", bag.cure.longest_dwell.least, "time")
    release = heating.release_of(bench, bag)
    ended: Words = (ASKED,)
    if len(holds) > 1:
        ended = ("every hold of the cycle is over",)
    elif least is not None:
        ended = (least, " in the band are over")
    return (*ended, *((" and it is below ", release) if release is not None else ()), ".")


def _until_cold(bench: Bench, bag: BagOperation) -> Words:
    """Until when a heated cure stays held or under vacuum."""
    release = heating.release_of(bench, bag)
    if release is None:
        return (f"{ASKED}.",)
    moved = bagged(bag) and oven.in_oven(bag)
    return ("every thermocouple is below ", release, ", in the oven and after it." if moved else ".")


def _heat(bench: Bench, bag: BagOperation) -> Step:
    heated = bench.cure(bag)
    said, dwell = heating.stage_lines(bench, bag)
    water, burst = steam(bench.work, bag.number)
    vapour = bench.given("card.vapour_most", bench.case.document.data.preparation.vapour_most, "share")
    orders, asked = heating.interrupted(bench, oven=oven.in_oven(bag), bagged=bagged(bag))
    tables = [*orders, *thermocouples.reading_tables(bench.basis, bench.work, bag, heated)]
    return step(
        Place("O22", bag.number),
        f"{bag.name}: heat on",
        *one_cure(bench.case),
        *(dried_first(bench.case) if bag.on_panel else []),
        *heating.stop_lines(heated),
        *heating.doubted(bench, heated),
        *(heating.circuit_lines(heated) if not oven.in_oven(bag) else oven.loading(bag)),
        f"Cure cycle: {bag.cure.place}. Log every thermocouple{' and the vacuum' if bagged(bag) else ''} at least once "
        "a minute.",
        *said,
        *(
            [("Keep at least ", bag.least_vacuum, " all through: vacuum never off.")]
            if bagged(bag)
            else ["No vacuum. What presses or holds stays on, untouched, all through.", *pressed.moved(bag)]
        ),
        *water,
        *heating.dwell_start_lines(bench, bag),
        *([heating.LOOK] if heated.prediction is not None else []),
        cautions=[
            c.FUEL,
            oven.hot(bag),
            *([c.MAINS] if not oven.in_oven(bag) else []),
            *oven.hazards(bag),
            *([] if bagged(bag) else pressed.cautions(bag)),
            *([c.TWO_BLANKETS] if len(heated.blankets) > 1 else []),
            *burst,
        ],
        tools=_tools(heated.blankets)
        if not oven.in_oven(bag)
        else ["oven", *(["hoses", "gauge outside"] if bagged(bag) else []), "logger"],
        blanks=[
            *asked,
            *(dried_first_blanks(bench.case) if bag.on_panel else []),
            *_heat_blanks(bench, bag, dwell, vapour),
        ],
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
        *(oven.oven_load_blanks(bench, bag) if bagged(bag) else pressed.moved_blanks(bag)),
        tick(
            "No solvent left, cut-out set for this cure"
            if len(cuts) > 1 or bench.work.drying.wet
            else "No solvent left, cut-out armed"
        ),
        *(_set_back(bench, bag, cuts) if bench.work.drying.wet else []),
        clock_blank("Heat on at"),
        *dwell,
        number("Hottest of all", bench.units.temperature, high=heating.ceiling_of(bench, bag)),
        *([number("Least vacuum seen", bench.units.vacuum, low=bag.least_vacuum)] if bagged(bag) else []),
        note("Log file"),
        note("Interruptions, from / to"),
    ]


def _set_back(bench: Bench, bag: BagOperation, cuts: list[Blank]) -> list[Blank]:
    """The cut-out once more, which drying had set lower: what it trips at in this cure."""
    heated = [b.number for b in bench.work.bag.operations if heated_by(b) != "room temperature"]
    own = cuts[heated.index(bag.number) if len(cuts) > 1 else 0]
    return [replace(own, what="Cut-out trips at")]


def _cool(bench: Bench, bag: BagOperation) -> Step:
    release = heating.release_of(bench, bag)
    hot = heated_by(bag) != "room temperature"
    return step(
        Place("O23", bag.number),
        f"{bag.name}: cool under vacuum" if hot and bagged(bag) else f"{bag.name}: end of the cure",
        (VACUUM_ON if bagged(bag) else LEFT_ON, *(_until_cold(bench, bag) if hot else _until(bench, bag))),
        *(
            ["Let air into both bags together: one alone pushes on what closes the hole."]
            if bag.behind is not None and bag.behind.drawn_with
            else []
        ),
        cautions=[oven.hot(bag)] if hot else [],
        blanks=[
            number("Hottest thermocouple at release", bench.units.temperature, high=release)
            if hot
            else clock_blank("Ended at"),
            *(
                [clock_blank("Vacuum off at")]
                if bagged(bag)
                else [clock_blank("What held it off at")]
                if hot
                else []
            ),
        ],
    )


def _judge(bag: BagOperation) -> Step:
    hot = heated_by(bag) != "room temperature"
    compared = (
        ["the log", "ramps, dwell on the slowest, maximum temperature on the hottest"]
        if hot
        else ["what was written down", "time held, coolest and warmest air"]
    )
    if bagged(bag):
        compared[1] += ", vacuum all through"
    stays = "the bag stays shut" if bagged(bag) else "leave it as it is"
    return step(
        Place("O24", bag.number),
        f"{bag.name}: judge the {'log' if hot else 'cure'} before {'the bag is opened' if bagged(bag) else 'it is touched'}",
        f"Compare {compared[0]} with the cure cycle: {compared[1]}. If it is not accepted: {stays}; back to the planner. A fault of "
        "the cure stays a finding even if the bond sounds good.",
        blanks=[
            note("Verdict, its number"),
            note("Log file, its digest" if hot else "Readings kept where"),
            note("Reasons, interruptions"),
        ],
        hold="H9" if bagged(bag) else UNBAGGED,
    )
