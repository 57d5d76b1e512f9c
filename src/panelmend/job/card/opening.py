"""Steps that open the panel: skin off, core out, and the opening accepted."""

from __future__ import annotations

from panelmend.job.card import cautions as c
from panelmend.job.card.bench import Bench
from panelmend.job.card.directions import hole_sizes
from panelmend.job.card.part import Caution, Step, Words
from panelmend.job.card.taken import lying_in_cutout
from panelmend.job.card.writing import ASK, note, number, step, tick

HEARING = "hearing protection with a router"
LOOKED_FOR = (
    "Look in the hole, and at what came out, for an insert, bushing, fastener hole, edge member, hinge or latch fitting, "
    "also one torn out before this work. "
)
TAKEN = f"{LOOKED_FOR}No step here puts one back: stop, planner, before anything is bonded."
"""Asked of every opening: what was torn out may be missing in the document."""


def dust(bench: Bench) -> list[Caution]:
    """Dust, and that of carbon where there is any."""
    return [c.DUST, c.CARBON] if bench.carbon else [c.DUST]


def cut(bench: Bench) -> list[Step]:
    """Cut the skin, take out the core, dress the opening, and have it accepted."""
    steps = [*_skin(bench)]
    if bench.cored:
        steps += _core(bench)
    steps.append(
        step(
            "B13",
            "Vacuum the opening out and cover it",
            f"Vacuum, never blow; dry wipe. Lay clean film over {_covered(bench)}; it stays until the next step.",
            cautions=dust(bench),
            blanks=[tick("Clean, film laid")],
        )
    )
    steps += _accept(bench)
    return steps


def _covered(bench: Bench) -> str:
    """What is open now and is kept clean."""
    if bench.through:
        return "the hole on both sides"
    if not bench.cored:
        return "the opening"
    return "the far skin and the opening" if _to_far_skin(bench) else "the floor of the core and the opening"


def _to_far_skin(bench: Bench) -> bool:
    """Whether the core is taken out over its whole depth."""
    return float(bench.work.cutout.core_depth) >= bench.case.geometry.core_thickness - 1e-6


def _skin(bench: Bench) -> list[Step]:
    cutout, units = bench.work.cutout, bench.units
    opening, n = cutout.opening, cutout.plies_cut
    plies = f"{n} {'ply' if n == 1 else 'plies'}"
    steps = [
        step(
            "B7",
            f"Cut the skin on the {cutout.side} to depth",
            (
                "Depth stop at most ",
                cutout.skin_depth,
                f": {plies}, no deeper; set the stop on scrap first. "
                "If the line went with the paint, mark it again from the datum marks. Cut along it. "
                "No overcut at corners.",
            ),
            cautions=[*dust(bench), c.BLADE, c.FUEL],
            tools=["router with depth stop, or hand cutter", "extraction", HEARING],
            blanks=[
                number("Depth stop, measured on scrap", units.length, high=cutout.skin_depth),
                number("Length", units.length, aim=opening.length),
                number("Width", units.length, aim=opening.width),
                note("Depth gauge, due day"),
            ],
        ),
        step(
            "B8",
            "Lift out the cut skin and keep it",
            f"Mark its 0° and its outer face. Count its plies: {n} by the document. Keep it until the final inspection.",
            cautions=[c.EDGES],
            blanks=[number("Plies counted", "plies", said=f"{n}"), tick("Marked and kept")],
        ),
    ]
    return steps


def _core(bench: Bench) -> list[Step]:
    cutout, units = bench.work.cutout, bench.units
    whole = bench.through or _to_far_skin(bench)
    if bench.through:
        how = " through to the far skin, which comes out next. The panel is held from both sides."
    elif whole:
        how = ", to the far skin. Part it from the far skin without touching the laminate."
    else:
        how = ", no deeper: sound core stays below, the far skin is not reached. Cut its floor level."
    steps = [
        step(
            "B9",
            "Take out the core to depth",
            ("Remove core to at most ", cutout.core_depth, how),
            cautions=[*dust(bench), c.BLADE, c.FUEL],
            tools=["core knife or router with template", "extraction", HEARING],
            blanks=[
                number("Depth of core removed", units.length, high=cutout.core_depth),
                *([] if bench.through or not whole else [tick("Far skin not marked")]),
                note("Depth gauge, due day"),
            ],
        )
    ]
    if whole and not bench.through:
        steps.append(
            step(
                "B10",
                "Dress down the high spots of the old adhesive",
                "High spots only, by block; stop before the laminate. Never sand to bare fibre.",
                cautions=dust(bench),
                blanks=[tick("Far skin not marked")],
            )
        )
    if bench.through:
        steps.append(_far(bench))
    if cutout.mouth_angle is not None:
        steps.append(
            step(
                "B12",
                "Chamfer the core edge, opening outwards",
                (
                    "Core edge chamfer ",
                    cutout.mouth_angle,
                    " all round. How deep: as the approved data says; where it says nothing, ask before you cut it.",
                ),
                cautions=[*dust(bench), c.FUEL],
                blanks=[
                    number("Chamfer", "°", aim=cutout.mouth_angle),
                    number("Chamfer, how deep", units.length, said=ASK),
                ],
            )
        )
    return steps


def _far(bench: Bench) -> Step:
    cutout, units = bench.work.cutout, bench.units
    far = cutout.far
    assert far is not None, "a far skin that is cut has an outline"
    sizes = hole_sizes(bench.basis, bench.work, bench.far)
    length, width = sizes if sizes is not None else (None, None)
    g = bench.case.geometry
    n = len({"inside": g.inner, "outside": g.outer}[bench.far])
    return step(
        "B11",
        f"Cut the skin on the {bench.far}, the same hole",
        "Mark it through from the first hole along the radius of the panel, check it with the template seen from the "
        f"{bench.far}. Hold the core edge from both sides while cutting. Keep the cut skin: mark its 0° and its outer face, "
        f"count its plies, {n} by the document.",
        cautions=[*dust(bench), c.BLADE, c.EDGES, c.FUEL],
        tools=["router with its depth set, or hand cutter", "templates", "extraction", HEARING],
        blanks=[
            number("Length", units.length, aim=length),
            number("Width", units.length, aim=width),
            number("Plies counted", "plies", said=f"{n}"),
            tick("Lines up with the first hole"),
        ],
        drawing="cutout far",
    )


def _accept(bench: Bench) -> list[Step]:
    units, data = bench.units, bench.case.document.data
    limit = data.limits.repairable
    ledger = bench.basis.ledger
    backs = [t.words for t in lying_in_cutout(bench.case, bench.work) if t.back is not None]
    most = next((ledger[k] for k in ("limits.repairable",) if k in ledger), None)
    far: Words = (
        ("Both edges sound all round; nothing hangs in the hole.",)
        if bench.through
        else ("The far skin is sound.",)
        if bench.cored
        else ("What lies below the cut is sound.",)
    )
    steps = [
        step(
            "B14",
            "Inspect the opening; compare its size with the limits again",
            "No damage, disbond or water is left at the edge or under it. Tap all round. ",
            (*far, " Damage beyond the cut-out, or a size beyond the limit: stop, back to the planner."),
            f"{LOOKED_FOR}Steps here put back {', '.join(backs)}. Anything else: stop, planner, before anything is bonded."
            if backs
            else TAKEN,
            blanks=[
                number(
                    "Largest size after clean-up",
                    units.length,
                    high=most,
                    said="" if most is not None else ASK if limit is None else "limit: see planner's page",
                ),
                *([number("Far skin, largest size", units.length, high=most)] if bench.through else []),
                tick(
                    f"Cut away: skin, core, {', '.join(backs)}, no more"
                    if backs
                    else "Only skin and core cut away",
                    "yes; else stop, planner",
                ),
                tick("Sound all round"),
                *([] if bench.through or not bench.cored else [tick("Far skin sound")]),
                note("Method, instrument, calibrated to"),
                number("Moisture reading", "meter", said="limit: meter standard or data"),
            ],
            hold="H1",
        )
    ]
    if data.preparation.metal_treatment is not None:
        steps.append(
            step(
                "B15",
                "Remove corrosion and treat the metal",
                *(
                    ["Mask open core first: neither acid nor rinsing water into a cell."]
                    if bench.cored
                    else []
                ),
                bench.order("card.metal_treatment", data.preparation.metal_treatment, "Treatment"),
                cautions=[c.ACID],
                blanks=[tick("Treated as the data says"), note("Lot")],
            )
        )
    return steps
