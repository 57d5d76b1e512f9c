"""Steps of a bag: built in the order of its layers, tested for leaks, opened and counted out."""

from __future__ import annotations

from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card import oven, pressed
from panelmend.job.card.bag_ready import tape_off
from panelmend.job.card.bench import Bench, bagged, edge_stood_bare, heated_by, on_plate
from panelmend.job.card.order import Place
from panelmend.job.card.part import Blank, Step, Words
from panelmend.job.card.writing import clock_blank, note, number, step, tick
from panelmend.trade import trade_word

LIVE = "Metal under a blanket: a cut or worn blanket makes it live; check both faces of the blanket first."


def bag_build_step(bench: Bench, bag: BagOperation) -> Step:
    """The bag, layer by layer, on both sides."""
    heated = bench.cure(bag)
    cold = heated_by(bag) == "room temperature"
    around = "blanket and repair" if heated_by(bag) == "blanket" else "the repair"
    uses = "; ".join(f"{x.order} {trade_word(x.use)}" for x in bag.layers if not x.below)
    aid: list[str] = []
    if bag.pressure_aid is not None:
        live = not bag.cure.aid_on_cut_out and any(x.use == "heat blanket" for x in bag.layers)
        aid = [
            f"Pressure pad or caul: {bag.pressure_aid.what}."
            + (f" If it is metal: no burr. {LIVE}" if live else "")
        ]
    return step(
        Place("O19", bag.number),
        f"{bag.name}: build the bag in the order of its layers",
        *tape_off(bench, bag),
        f"{'On what was laid' if any(x.below for x in bag.layers) else 'From the part'} up: {uses}.",
        *aid,
        *_caul(bag),
        *_other_side(bag),
        f"Vacuum bases on breather, outside {around}{'' if cold else ' and off every thermocouple'}, at opposite ends. "
        "Pleats at the corners. Only flash-breaker tape inside.",
        cautions=[
            c.PLATE if on_plate(bag) else c.VACUUM,
            *([c.TWO_BLANKETS] if len(heated.blankets) > 1 else []),
        ],
        tools=["vacuum bases", "gauge", "sealing tape"],
        blanks=[
            number("Pieces laid", "pieces", said=f"{piece_count(bag)}, each ticked on its label"),
            tick("Bases clear of the repair"),
            *_tape(bench, bag),
            clock_blank("Bag closed at"),
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
            *((f" {LIVE}",) if any(x.use == "heat blanket" for x in bag.layers) else ()),
        )
    ]


def _other_side(bag: BagOperation) -> list[Words | str]:
    """What lies on the other side of the panel in the same operation."""
    other = bag.behind
    if other is None:
        return []
    uses = "; ".join(f"{x.order} {trade_word(x.use)}" for x in other.layers)
    lines: list[Words | str] = [f"On the {other.side}, from the panel out: {uses}."]
    if other.support:
        lines.append(f"The hole is closed and held to contour by: {other.support}.")
    return lines


def leak_step(bench: Bench, bag: BagOperation) -> Step:
    """Vacuum on and the leak test, with its hold."""
    second = bag.behind is not None and bag.behind.bagged
    mixed = any(m.operation == bag.name for m in bench.work.kit.mixes)
    return step(
        Place("O20", bag.number),
        f"{bag.name}: vacuum on, leak test",
        (
            "At least ",
            bag.least_vacuum,
            " at the gauge farthest from the pump. Drawn as deep as a pump can, the air presses on the bag with up to ",
            bag.force,
            f": make sure that the {'plate' if on_plate(bag) else 'panel'} is held against that. Close the valve: no more than ",
            bag.leak_drop,
            " lost in ",
            bag.leak_time,
            f". Seal any leak and test again {'within the pot life' if mixed else 'before the cure begins'}.",
        ),
        *_other_bag(bag),
        cautions=[
            c.PLATE if on_plate(bag) else c.VACUUM,
            *([c.BURST] if edge_stood_bare(bench, bag) else []),
        ],
        tools=["vacuum gauge in calibration", "clock"],
        blanks=[
            clock_blank("Vacuum on at", "before the vacuum-on-by time", "vacuum on"),
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
            *([note("Opposite side: gauge number", "instruments")] if second else []),
        ],
        hold="H8",
    )


def _other_bag(bag: BagOperation) -> list[Words | str]:
    """The leak test of the bag on the other side, and what a difference of the two does to the hole."""
    other = bag.behind
    if other is None or not other.bagged:
        return []
    if other.alone is None or other.push is None or other.difference is None:
        return [
            (
                f"Test the bag on the {other.side} by itself, before this one, to the same limits; the air "
                "presses on it with up to ",
                other.force,
                ".",
            )
        ]
    return [
        (
            f"Neither bag by itself: draw this one and that on the {other.side} together, close both valves together, "
            "read both gauges, each to the same limits; let air into both together. One alone, drawn as deep as a pump can, pushes on what closes the hole with up to ",
            other.alone,
            "; a difference of ",
            other.difference,
            " between them with ",
            other.push,
            ".",
        ),
        (f"On the bag on the {other.side} the air presses with up to ", other.force, "."),
    ]


def bag_opened_step(bench: Bench, bag: BagOperation) -> Step:
    """The bag opened; what went in is counted out."""
    pieces, stay = piece_count(bag), staying(bench, bag)
    # the peel ply of a cap from a plate was laid with the cap, not with this bag
    off = 0 if bag.bonds_cap else stay
    heated = bench.cure(bag)
    below = bench.peeled_below and not bench.peeled_above
    stays = f"stays {'the peel ply of its bond face' if below else 'its upper peel ply'}"
    return step(
        Place("O25", bag.number),
        f"{bag.name}: {'open the bag and' if bagged(bag) else 'take off what held it;'} count everything out",
        f"{_off(bag)} off; nothing stays in or under the repair."
        + (
            f" On the cap {stays if stay == 1 else f'stay {stay} peel plies, one on each face'}."
            if stay
            else ""
        ),
        cautions=[*([] if bagged(bag) else pressed.cautions(bag)), c.EDGES, c.FILM],
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
                [number("Thermocouples out", "pieces", said=oven.thermocouple_count_line(bag, heated))]
                if heated.sensors or heated_by(bag) != "room temperature"
                else [tick("Nothing left under it")]
            ),
            number("Films out", "pieces", said="as many as went in"),
        ],
    )


def _off(bag: BagOperation) -> str:
    """What comes off a cured repair."""
    if not bagged(bag):
        return "Weights, pads, films"
    return (
        "Bag, films and layers"
        if heated_by(bag) == "room temperature"
        else "Bag, films, layers and thermocouples"
    )


def piece_count(bag: BagOperation) -> int:
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


def vacuum_lines(bag: BagOperation) -> list[Words | str]:
    """The vacuum in other words, for the workings."""
    vacuum, leak = bag.vacuum, bag.leak
    absolute: Words = (
        () if vacuum.absolute is None else (", with ", vacuum.absolute, " absolute left under the bag")
    )
    boils: Words = () if vacuum.boiling is None else (", where water boils at ", vacuum.boiling)
    said: list[Words | str] = [
        ("The least vacuum is a pressure difference of ", vacuum.difference, *absolute, *boils, ".")
    ]
    if bag.available_vacuum is not None:
        said.append(("The air here gives no more than ", bag.available_vacuum, " of gauge vacuum."))
    if leak.flow is not None:
        said.append(
            ("The permitted leak is about ", leak.flow, " into the bag; hoses and gauge not counted.")
        )
    return said
