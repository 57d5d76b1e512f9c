"""Things made ready before a bonding operation: taper, core plug, heaters, rehearsal, plate and cap."""

from __future__ import annotations

from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card import oven
from panelmend.job.card.bag_ready import layer_steps, pads, survey_steps, tape_off
from panelmend.job.card.bench import Bench, bagged, on_plate
from panelmend.job.card.cloth import cloth
from panelmend.job.card.directions import bracketed, line
from panelmend.job.card.frozen import warm_up
from panelmend.job.card.heating import cut_outs
from panelmend.job.card.mixing import ASK_MAKER
from panelmend.job.card.opening import dust
from panelmend.job.card.order import Place
from panelmend.job.card.part import Blank, Step, StepTable, Words
from panelmend.job.card.writing import ASK, note, number, step, tick

DRYING_BLANKET = (
    "Drying takes a blanket that no cure of this repair has: the plan names neither it nor its circuit. The planner names "
    "both; not named: no drying."
)


def taper(bench: Bench) -> list[Step]:
    """Machine the taper of a scarf."""
    return [
        step(
            "C2",
            f"Machine the taper on the {side.side} skin",
            (
                "An even taper of ",
                side.taper,
                " round the cut-out, ply by ply to the marked lines: every ply shows its full step.",
            ),
            cautions=dust(bench),
            tools=["sander", "templates"],
            blanks=[
                number("Taper length, least", bench.units.length, low=side.taper),
                number("Plies that show", "plies", said=f"{bench.work.cutout.plies_cut}"),
            ],
            hold="H2",
        )
        for side in bench.work.plies.sides
        if side.taper is not None
    ]


def plug(bench: Bench) -> list[Step]:
    """Cut the core plug, form it, dry fit it."""
    made, units, data = bench.work.core.plug, bench.units, bench.case.document.data
    if made is None:
        return []
    curved = bench.case.geometry.cylinder is not None
    form: list[Words] = []
    if curved:
        form = [
            (
                "Form it to the curve of the panel: ",
                *bench.order("card.form_core", data.preparation.form_core, "how core is formed"),
            )
        ]
    ribbon = bracketed(line(bench.case, float(made.ribbon)))
    return [
        step(
            "D2",
            "Cut the core plug, dry fit it",
            (
                f"{bench.name(made.material)}, ",
                made.thickness,
                " thick, cut to its template: ribbon at ",
                made.ribbon_seen,
                f"{ribbon} seen from the {bench.work.core.side}, along the panel's ribbon.",
            ),
            *form,
            (
                "Dry fit: gap ",
                made.gap,
                " all round. Trim it flush with the panel's core while dry; vacuum the dust out, wrap it in clean film.",
            ),
            cautions=[c.BLADE, *dust(bench)],
            blanks=[
                number("Widest gap", units.length, aim=made.gap),
                number("Height against the panel's core", units.length),
                number("Ribbon off the panel's", "°", high=made.ribbon_tolerance),
                *(bench.ordered(data.preparation.form_core, "Forming core") if curved else []),
            ],
            hold="H4",
        )
    ]


def heater_steps(bench: Bench) -> list[Step]:
    """Lay out heaters, controllers, thermocouples; prove the over-temperature cut-out."""
    if not bench.heated and not bench.dried_apart:
        return []
    trips = cut_outs(bench) if bench.heated else []  # drying sets its own, in its own step
    rows = []
    for bag in bench.work.bag.operations:
        for at in bench.cure(bag).blankets:
            rows.append(
                (
                    (f"{bag.name}: {at.blanket}",),
                    (at.circuit or "no circuit will do",),
                    (at.current,) if at.current is not None else ("not checked",),
                    (at.allowed,) if at.allowed is not None else ("not checked",),
                )
            )
    table = [
        StepTable("Blankets and circuits", ("Blanket", "Circuit", "Draws", "Circuit may carry"), tuple(rows))
    ]
    return [
        step(
            "D5",
            f"Lay out {oven.heaters_line(bench)}, controllers and thermocouples; prove them",
            "Type and polarity of every thermocouple as the controller requires; all must read room temperature. Set an "
            "over-temperature cut-out of its own, with a thermocouple of its own, and trip it before any heat goes on.",
            *oven.proving(bench),
            *([DRYING_BLANKET] if bench.dried_apart else []),
            *(
                ["Drying has a lower setting, in its own step."]
                if bench.work.drying.wet and bench.heated
                else []
            ),
            *(
                ["Set it again for each cure, to the value below."]
                if len(trips) > 1 or (bench.work.drying.wet and bench.heated)
                else []
            ),
            cautions=[
                *([c.MAINS] if not oven.only_ovens(bench) else []),
                c.HOT_OVEN if oven.only_ovens(bench) else c.HEAT,
                *([c.OVEN] if oven.any_oven(bench) else []),
            ],
            tools=[
                *(["oven"] if oven.any_oven(bench) else []),
                *(["blankets", "controllers", "leads"] if not oven.only_ovens(bench) else []),
                "thermocouples",
                "over-temperature cut-out",
            ],
            blanks=[
                number("Thermocouples off room temperature, most", bench.units.temperature, said=ASK),
                *trips,
                *([number("Current drawn", "A", said="see table")] if bench.blankets else []),
                *(_drying_blanks() if bench.dried_apart else []),
                *oven.proved(bench),
                note("Controller, logger numbers", "instruments"),
            ],
            tables=table if rows else [],
        )
    ]


def _drying_blanks() -> list[Blank]:
    """What is written down of a blanket and a circuit that the plan does not name."""
    return [
        note("Drying blanket, its number"),
        note("Circuit for drying, what it carries for hours"),
        number("Current the drying blanket draws", "A", said="no more than its circuit carries for hours"),
    ]


def for_operation(bench: Bench, bag: BagOperation, first: bool) -> list[Step]:
    """Pads, bag layers, survey, frozen stock, cloth and rehearsal of one operation."""
    return [
        *pads(bench, bag),
        *layer_steps(bench, bag),
        *survey_steps(bench, bag),
        *warm_up(bench, bag, first=first),
        *cloth(bench, bag, first),
        *_rehearse(bench, bag),
    ]


def _rehearse(bench: Bench, bag: BagOperation) -> list[Step]:
    mine = [k for k in bench.clocks if k.operation == bag.number]
    if not mine:
        return []
    rows: list[tuple[Words, ...]] = []
    for k in mine:
        needs: Words = (k.needed,) if k.needed is not None else ("write it here",)
        rows.append(((k.batch,), (k.life,) if k.known else (ASK_MAKER,), needs))
    blanks = [
        number(
            f"{k.batch}: mixing to {'tight bag' if bagged(bag) else 'laid'}",
            "min",
            high=k.life if k.known else None,
            said="" if k.known else "limit: the maker's pot life in this air",
        )
        for k in mine
    ]
    return [
        step(
            Place("D7", bag.number),
            f"{bag.name}: rehearse with dry material and time it",
            *tape_off(bench, bag),
            f"From first mixing to {'a bag that is tight and accepted' if bagged(bag) else 'the last piece, laid and accepted'}, "
            "the inspector's holds included. If it takes longer than the pot life: do not mix; stop, back to the planner.",
            blanks=blanks,
            tables=[
                StepTable("Pot life and what the bench needs", ("Batch", "Pot life", "Planned"), tuple(rows))
            ],
        )
    ]


def plate(bench: Bench) -> list[Step]:
    """The plate that a cap is cured on."""
    if not any(on_plate(b) for b in bench.work.bag.operations):
        return []
    return [
        step(
            "D9",
            "Make the heat-proof plate ready for the cap",
            "Flat, clean, non-stick release film on it that ends inside the sealing line: sealing tape sticks to bare "
            "plate. The plate reaches past the tape all round. Never on the open panel.",
            cautions=[c.HEAT],
            blanks=[note("Plate number"), number("Flat within", bench.units.length)],
        )
    ]


PEELED = {
    (True, True): "2, one on each face",
    (True, False): "1, on its upper face",
    (False, True): "1, on its bond face",
    (False, False): "0: cured without one",
}
"""Peel plies on a cap from a plate: on its upper face, on its bond face."""


def trim_cap(bench: Bench) -> list[Step]:
    """Trim a cap that was cured on a plate."""
    if not any(on_plate(b) for b in bench.work.bag.operations):
        return []
    return [
        step(
            "D10",
            "Trim the cured cap to the opening",
            f"Mark its 0° by the template on its upper {'peel ply' if bench.peeled_above else 'face, and which face is up'}. "
            f"Trim it{' with its peel plies on' if bench.peeled_above or bench.peeled_below else ''}. Dry fit it over the plug, "
            "level with it, clear of the skin all round."
            + (
                " The peel ply stays on its upper face until the plies are bonded to it."
                if bench.peeled_above
                else ""
            )
            + (" The one on its bond face comes off just before it is bonded." if bench.peeled_below else ""),
            cautions=[c.DUST, c.EDGES],
            blanks=[
                number("Gap to the opening", bench.units.length, aim=bench.work.core.cap_gap),
                number(
                    "Peel plies on the cap", "pieces", said=PEELED[bench.peeled_above, bench.peeled_below]
                ),
                tick(f"0° marked on the upper {'peel ply' if bench.peeled_above else 'face'}"),
            ],
            hold="H4",
        )
    ]
