"""Steps of a cured bond: looked at, tested for hardness, inspected and its voids drawn on the map."""

from __future__ import annotations

from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card.bench import Bench, on_plate
from panelmend.job.card.opening import dust
from panelmend.job.card.order import Place
from panelmend.job.card.part import Step, Words
from panelmend.job.card.writing import note, number, step, tick


def inspection_steps(bench: Bench, bag: BagOperation) -> list[Step]:
    """Looked at after opening, then inspected by the method of the data."""
    data, units = bench.case.document.data.inspection, bench.units
    hard = bench.given("card.hardness", data.hardness)
    coupon = data.coupon
    least = None
    if coupon is not None and coupon.value.least is not None:
        key = "card.coupon_least"
        least = (
            bench.basis.ledger[key]
            if key in bench.basis.ledger
            else bench.basis.given(key, coupon, "stiffness", value=coupon.value.least)
        )
    length = bench.given("card.void_length", data.void_length, "length")
    area = bench.given("card.void_area", data.void_area, "area")
    count = bench.given("card.void_count", data.void_count)
    spacing = bench.given("card.void_spacing", data.void_spacing, "length")
    edge = bench.given("card.void_edge", data.void_edge, "length")
    methods = "As the data says"
    if data.methods is not None:
        methods = ", then ".join(data.methods.value).capitalize() + f" ({data.methods.place})"
    plate, rim = on_plate(bag), bench.rim(bag)
    off = () if rim is None else ("The rim of the cap on its tape is meant to come off: it is not a void.",)
    squeeze: Words = (
        ("No squeeze-out somewhere: ", *bench.order("card.squeeze_out", data.squeeze_out, "what is done"))
        if data.squeeze_out is not None
        else ("No squeeze-out somewhere: stop, ask the engineer.",)
    )
    return [
        step(
            Place("O26", bag.number),
            f"{bag.name}: look at {'the cap' if plate else 'the bond, squeeze-out'}, hardness{', coupon' if coupon else ''}",
            "Dry spots, bridging, wrinkles, blush, lifted edges"
            + ("." if plate else "; squeeze-out at the whole edge."),
            *([] if plate else [squeeze]),
            *off,
            blanks=[
                *([] if plate else [tick("Squeeze-out all round")]),
                tick("No dry spot, wrinkle, lifted edge"),
                number("Hardness, lowest of 5", "Barcol", low=hard),
                *(
                    [number("Coupon, lowest", units.stress, low=least), note("Coupon numbers")]
                    if coupon is not None
                    else []
                ),
                note("Hardness tester, calibrated to"),
            ],
        ),
        step(
            Place("O27", bag.number),
            f"{bag.name}: inspect {'the cap' if plate else 'each new bond'} and draw the map",
            f"{methods}. A void is any area unbonded that should be bonded{', here between its plies' if plate else ''}. Draw every one, with its size and distances. "
            "Lines of a scan no farther apart than half the smallest void that counts. Before the next ply, filler or "
            "paint.",
            *off,
            tools=[data.standard.value if data.standard is not None else "reference standard of the data"],
            blanks=[
                number("Longest void", units.length, high=length),
                number("Largest void", units.area, high=area),
                number("Voids", "voids", high=count),
                number("Least spacing", units.length, low=spacing),
                number("Least distance to an edge", units.length, low=edge),
                note("Instrument, calibrated to; standard"),
            ],
            hold="H10",
            drawing=f"map {bag.number}",
        ),
        *([_cut_back(bench, bag)] if rim is not None else []),
    ]


def _cut_back(bench: Bench, bag: BagOperation) -> Step:
    """The rim of a cap taken off, so that the plies bond to the skin and not to the cap's overhang."""
    return step(
        Place("O28", bag.number),
        f"{bag.name}: cut the cap back to the opening",
        "Peel ply stays on. Sand the rim through along the edge of the opening, by block or a tool with its depth set; no "
        "knife, the skin lies under it. Stop at the tape. Take rim and tape off, whole and counted; the cap must end level "
        "with the edge, none of it on the skin.",
        "If the rim has bonded, or the cap lifts with it: stop, back to the planner.",
        cautions=[*dust(bench), c.EDGES, c.FILM],
        tools=["sanding block", "extraction"],
        blanks=[
            number("Pieces of tape off", "pieces", said="all that was laid"),
            tick("None of the cap on the skin"),
            tick("No fibre of the skin cut"),
        ],
    )
