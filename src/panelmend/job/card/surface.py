"""Steps that make a surface ready to be bonded, anew for each bonding operation, with its own clock and hold."""

from __future__ import annotations

from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card.bag_closed import staying
from panelmend.job.card.bench import Bench, on_plate
from panelmend.job.card.opening import dust
from panelmend.job.card.order import Place
from panelmend.job.card.part import Step, Words
from panelmend.job.card.writing import ASK_WAIT, RECORD, clock_blank, note, number, step, tick

SOLVENT_GONE = "No sanding before the solvent is gone and the surface dry. "
UNDER_THE_CAP = (
    f"Degrease before any sanding: grease that is sanded in stays. {SOLVENT_GONE}Paste that was squeezed out, and what stands above the core, "
    "is sanded level with it; no cell crushed, no fibre of the skin cut. Lay the cap in dry, "
)
HOME = ": it must sit fully home, nowhere above the skin."
BARE_FACE = (
    " The cap's bond face was cured on release film, without a peel ply: degrease it, let it dry, then abrade all of it in the same way, and "
    "keep it with the bond area through every step; do not touch it again."
)
"""What a cap needs whose bond face has no peel ply to come off (common practice, no source)."""


def _peel_plies_on(bench: Bench, bag: BagOperation) -> int:
    """How many peel plies lie on what was cured before on this side: those of a cap; all others went with their bag."""
    before = [b for b in bench.work.bag.operations if b.number < bag.number and not on_plate(b)]
    mine = [b for b in before if b.side == bag.side]
    return staying(bench, mine[-1]) if mine else 0


def surface_steps(bench: Bench, bag: BagOperation, *, first: bool) -> list[Step]:
    """Degrease, abrade, clean, mark, tape, wipe, dry, accept, cover."""
    if on_plate(bag):
        return []
    data, units = bench.case.document.data, bench.units
    basis = bench.basis
    grit = basis.usual("surface.grit", data.surface.grit)
    within = basis.usual("surface.bond_within", data.surface.bond_within)
    beyond = basis.usual("surface.clean_beyond", data.surface.clean_beyond)
    k = bag.number
    solvent = data.surface.solvent.value if data.surface.solvent is not None else "The data's solvent"
    name = bench.name(solvent)
    side = next((s for s in bench.work.plies.sides if s.side == bag.side), bench.work.plies.sides[0])
    layers = {"plies", "fill"} & set(bag.lays)
    peeled = 0 if first else _peel_plies_on(bench, bag)
    before: Words = (
        ("Degrease before sanding: grease that is sanded in stays. Film off the opening.",)
        if first
        else (
            f"{'Peel ply off, counted. ' if peeled else ''}Degrease before any sanding: grease that is sanded in stays. "
            f"{SOLVENT_GONE}Then sand flush what was cured before, stop at fibre.",
        )
    )
    alone = bench.cap_alone(bag)
    if alone:
        before = (f"{UNDER_THE_CAP}{bench.up[0].lower()}{bench.up[1:]}{HOME}",)
    bare = bag.bonds_cap and not bench.peeled_below
    steps = [
        step(
            Place("O1", k),
            f"{bag.name}: uncover the bond area and degrease it",
            before,
            cautions=[c.SOLVENT, *dust(bench)],
            blanks=[
                *([number("Peel plies off", "pieces", said=f"{peeled}")] if peeled else []),
                tick("No water, no grease, solvent gone"),
                note("Solvent lot"),
                *(
                    [
                        number("Plug below the skin by", units.length, aim=bench.work.cutout.skin_depth),
                        tick("Cap home when dry, does not rock"),
                    ]
                    if alone
                    else []
                ),
            ],
        ),
        step(
            Place("O2", k),
            f"{bag.name}: abrade the bond area",
            (
                grit,
                " grit, until the gloss is gone",
                *((" out to the PTFE tape line",) if layers else (" in the opening and on its edge",)),
                *(("; the plug's face lightly, no cell crushed",) if alone else ()),
                ", no broken fibre.",
                *((BARE_FACE,) if bare else ()),
            ),
            cautions=dust(bench),
            tools=[f"abrasive, {grit.value} grit", "extraction"],
            blanks=[
                number("Grit", "grit", aim=grit, said="no coarser"),
                clock_blank("Abraded at", mark="abraded"),
                *([tick("Cap's bond face: gloss gone, no broken fibre")] if bare else []),
            ],
        ),
        step(
            Place("O3", k),
            f"{bag.name}: vacuum and dry wipe",
            "Vacuum, never blow.",
            cautions=dust(bench),
            blanks=[tick("No dust on a dry cloth")],
        ),
    ]
    if layers:
        steps.append(
            step(
                Place("O4", k),
                f"{bag.name}: mark the plies again from the datum marks, lay the PTFE tape",
                (
                    "Sanding removed the outlines: set them again from the datum marks. PTFE tape ",
                    side.tape_width,
                    " wide just outside the largest ply, all round, no wrinkle. Marker never inside the bond.",
                ),
                tools=["templates", "PTFE tape", "marker"],
                blanks=[
                    number("Tape to the line of the largest ply", units.length),
                    number("Datum to outline, along", units.length),
                    number("Datum to outline, across", units.length),
                    tick("Tape closed all round"),
                ],
            )
        )
    rim = bench.rim(bag)
    if rim is not None:
        steps.append(
            step(
                Place("O4", k),
                f"{bag.name}: keep the rim of the cap off the skin",
                (
                    "The cap is laid ",
                    rim,
                    " past the opening and cut back to it after its cure: its rim must not bond. PTFE tape on the skin all "
                    "round, from the edge of the opening to just past the rim; none in the opening or on its edge. Cut it "
                    "to width before it is laid, no knife on the skin. Thermocouples stand outside it.",
                ),
                tools=["templates", "PTFE tape"],
                blanks=[
                    number("Pieces of tape laid", "pieces", said=RECORD),
                    tick("Tape closed all round, opening clear"),
                ],
            )
        )
    water = data.surface.water_break is not None and data.surface.water_break.value
    steps.append(
        step(
            Place("O5", k),
            f"{bag.name}: wipe with two cloths",
            (
                f"{name}: wet one cloth, wipe one way, dry with the second before it flashes off. Begin ",
                beyond,
                " beyond the repair, repeat on a smaller area; clean cloth each pass.",
                *((" The cap's bond face too, clean cloth of its own.",) if bare else ()),
            ),
            cautions=[c.SOLVENT, c.STATIC],
            materials=[name, "clean lint-free cloth"],
            blanks=[
                note("Solvent, lot"),
                tick("Last cloth clean"),
                *([tick("Cap's bond face: last cloth clean")] if bare else []),
            ],
        )
    )
    if water:
        opened = bench.cored and first
        steps.append(
            step(
                Place("O6", k),
                f"{bag.name}: water-break check on closed skin",
                "A film of clean water holds unbroken; then dry at once."
                + (" Never over open core: mask it off; water in it means drying again." if opened else ""),
                blanks=[tick("Film unbroken")],
            )
        )
    release = bench.given("card.solvent_release", data.preparation.solvent_release, "time")
    steps += [
        step(
            Place("O7", k),
            f"{bag.name}: let the last solvent go, warm air",
            "No solvent may be left under heat. Use warm air only when nothing is wet any more."
            + (
                ""
                if release is not None
                else " 15 min after the last solvent is usual (TM 1-1500-204-23-11, s.129)."
            ),
            cautions=[c.SOLVENT],
            blanks=[
                clock_blank("Last solvent gone at"),
                number(
                    "Waited",
                    "min",
                    low=release,
                    said="" if release is not None else ASK_WAIT,
                ),
            ],
        ),
        step(
            Place("O8", k),
            f"{bag.name}: accept the surface; its bond-within clock runs",
            (
                "Clean, dry, even. Bonded within ",
                within,
                " of abrading, this operation's own clock; later: clean again and accept again. Powder-free gloves "
                "from here until it is covered.",
            ),
            blanks=[
                clock_blank("Accepted at", mark="surface accepted"),
                clock_blank("Bond before", "abraded at + the time above", "bond before"),
            ],
            hold="H6",
        ),
        step(
            Place("O9", k),
            f"{bag.name}: cover it if it is not bonded at once",
            "Clean film without wax or oil, counted with the films; it comes off when the first thing goes on.",
            blanks=[clock_blank("Covered at")],
        ),
    ]
    return steps
