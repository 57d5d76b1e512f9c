"""Steps before anything is cut: data, safety, kit, the map of the damage, datum marks, bare surface."""

from __future__ import annotations

from panelmend.derive import Source
from panelmend.job.basis import Basis
from panelmend.job.card import cautions as c
from panelmend.job.card import oven
from panelmend.job.card.bench import Bench
from panelmend.job.card.directions import position, turn_of_cutout
from panelmend.job.card.frozen import left_in_the_freezer
from panelmend.job.card.part import Step, Words
from panelmend.job.card.writing import RECORD, Units, note, number, step, tick
from panelmend.job.case import Case
from panelmend.job.limits.part import LimitsPart


def read_data(case: Case, basis: Basis) -> Step:
    """Read the data."""
    manual, category = case.document.data.manual, case.document.data.category
    said: Words = ("Category of the repair: not in the document. Write it from the data.",)
    if category is not None:
        source, stands = _place(case, category.place), case.stands(category)
        kind = basis.ledger.approved("card.category", category.kind, source=source, stands=stands)
        due = [
            *([f"{category.due_hours} flight hours"] if category.due_hours else []),
            *([f"{category.due_cycles} flight cycles"] if category.due_cycles else []),
            *([str(category.due_date)] if category.due_date else []),
        ]
        said = ("Category of the repair: ", kind, f", due at {', '.join(due)}." if due else ".")
    inspect = category.inspect if category is not None else ""
    return step(
        "A1",
        "Read the approved data",
        f"{manual.title}, {manual.number} revision {manual.revision} of {manual.dated}: "
        f"{case.document.data.repair}. Read the first pages of this card.",
        (
            *said,
            f" Repeat inspections: {inspect}." if inspect else " Repeat inspections: not in the document.",
        ),
        cautions=[c.AUTHORITY, c.WEAR],
        blanks=[
            note("Revision in force"),
            note("Part number on the panel"),
            note("Serial number on the panel"),
            *([note("Category, due")] if category is None else []),
        ],
        hold="H0",
    )


def _place(case: Case, place: str) -> Source:
    manual = case.document.data.manual
    return Source(f"{manual.number} rev {manual.revision}", place)


def compare(case: Case, sizes: LimitsPart) -> Step:
    """First comparison with the limits, near and far skin."""
    units = Units.of(case.view)
    through = case.document.damage.through
    blanks = [
        number("Largest dimension", units.length, high=sizes.largest),
        number("Along 0°", units.length, said=RECORD),
        number("Across", units.length, said=RECORD),
    ]
    if through:
        blanks.append(
            number(
                "Far skin, largest", units.length, high=sizes.far.largest if sizes.far is not None else None
            )
        )
    return step(
        "A2",
        "Compare the damage with the limits of the data, on both skins",
        (
            "This card was planned for ",
            sizes.along,
            " along 0° by ",
            sizes.across,
            " across, largest dimension ",
            sizes.largest,
            *_far_size(sizes),
            ". Larger, nearer to an edge, or damage in the far skin that is not planned here: stop, back to the planner.",
        ),
        blanks=blanks,
    )


def _far_size(sizes: LimitsPart) -> Words:
    """The damage in the other skin of a through repair."""
    far = sizes.far
    if far is None:
        return ()
    return (
        "; in the skin on the ",
        far.side,
        " for ",
        far.along,
        " by ",
        far.across,
        ", largest ",
        far.largest,
    )


def make_safe_step(bench: Bench) -> Step:
    """Make it safe."""
    most = bench.given("card.vapour_most", bench.case.document.data.preparation.vapour_most, "share")
    return step(
        "A3",
        "Make the part and the place safe",
        "Power off and tagged. Part and metal tools grounded. Extinguisher and eyewash at hand.",
        cautions=[c.FUEL, c.STATIC],
        blanks=[
            tick("Power off, grounded"),
            number("Fuel vapour (0 where no fuel is near)", "% of lower limit", high=most),
            note("Meter number", "instruments"),
        ],
    )


def kit(bench: Bench) -> list[Step]:
    """Draw the kit, weigh the part."""
    case, units = bench.case, bench.units
    day = case.document.repair.work_date
    listed = [
        (f"{i.kind} {i.id} (to {i.calibrated_until})", i.calibrated_until)
        for i in case.document.bay.instrument
    ]
    due, past = [w for w, d in listed if d >= day], [w for w, d in listed if d < day]
    steps = [
        step(
            "A4",
            "Draw the kit",
            "Take everything on the kit list. Compare lot, expiry and accumulated out-time with each label; the oldest "
            "goes first. Write down what differs. Tag expired stock and send it back.",
            *left_in_the_freezer(bench),
            "Instruments in calibration: "
            + ("; ".join(due) if due else "none listed, write number and due day")
            + "."
            + (
                f" Out of calibration on the day of the work, not to be used: {'; '.join(past)}."
                if past
                else ""
            ),
            blanks=[
                tick("Lots and expiry as listed"),
                note("What differs"),
                number("Air temperature of the bay", units.temperature, said=RECORD),
                number("Barometer", "hPa" if case.view == "mm" else "inHg", said=RECORD),
                note(f"{'Instruments not listed' if due else 'Instruments'}, due days"),
            ],
        )
    ]
    if case.document.panel.hinge is not None:
        finish = case.document.data.finishing
        steps.append(
            step(
                "A6",
                "Weigh the part before anything comes off",
                "Write down weight and moment about the hinge line as found.",
                cautions=[c.LIFTING],
                blanks=[
                    number(
                        "Weight before",
                        units.weight,
                        high=bench.given("card.weight_most", finish.weight_most, "weight"),
                    ),
                    number("Moment before", units.moment, said=RECORD),
                    note("Balance number", "instruments"),
                ],
            )
        )
    return steps


def look_steps(bench: Bench) -> list[Step]:
    """Degrease, map the damage."""
    return [
        step(
            "B2",
            "Degrease round the damage",
            "Mask every opening first. No water where a skin is open over core. Turn to clean cloth; dry at once.",
            cautions=[c.SOLVENT],
            blanks=[note("Cleaner and lot"), tick("Openings masked")],
        ),
        step(
            "B1",
            "Map the damage on both sides",
            "Dry and clean. Compare each place with a sound place of the same build; mark the edge of the damage. A "
            "couplant is water-based only, and wiped off.",
            blanks=[
                note("Method, instrument, calibrated to"),
                tick("Both sides mapped"),
                note("Moisture found, where"),
            ],
        ),
    ]


def _other_side(bench: Bench) -> list[Words]:
    """Datum marks of the other skin, where plies are laid there too."""
    if not bench.through:
        return []
    one, two = position(bench.basis, bench.work, bench.far)
    return [
        (
            f"Datum marks on the {bench.far} too, before anything is cut. Centre there: ",
            one.distance,
            f" from the {one.edge}, ",
            two.distance,
            f" from the {two.edge}, seen from the {bench.far}.",
        )
    ]


def marking_steps(bench: Bench) -> list[Step]:
    """Print templates, put datum marks, support, mask, take the coating off."""
    case, work, units = bench.case, bench.work, bench.units
    one, two = position(bench.basis, work, bench.side)
    opening = work.cutout.opening
    data = case.document.data
    beyond = bench.basis.usual("surface.clean_beyond", data.surface.clean_beyond)
    box = "100.0 mm" if case.view == "mm" else "4.000 in"
    steps = [
        step(
            "D1",
            "Print the templates and check their size",
            f"Print at full size, unscaled. The check square of every sheet is {box} both ways: throw away a sheet that is not.",
            tools=["printer", "rule"],
            blanks=[
                number("Check square, along", units.length, said=f"{box} ± 0.5 %"),
                number("Check square, across", units.length, said=f"{box} ± 0.5 %"),
                note("Sheets printed"),
            ],
        ),
        step(
            "B4",
            "Set datum marks outside the work area, then mark the cut-out",
            (
                "Two marks on the 0° line and two square to it, farther out than the PTFE tape and the sealing tape: "
                "every outline is set from them again after sanding. Centre of the cut-out: ",
                one.distance,
                f" from the {one.edge}, ",
                two.distance,
                f" from the {two.edge}, seen from the {bench.side}.",
            ),
            (
                f"Lay the {opening.form} template with its 0° arrow along the panel's 0° ({case.document.panel.zero}): ",
                opening.length,
                " by ",
                opening.width,
                ", length turned ",
                turn_of_cutout(bench.basis, bench.work),
                ". Use a marker that leaves no residue.",
            ),
            *_other_side(bench),
            tools=["templates", "rule", "marker"],
            blanks=[
                number(f"From the {one.edge}", units.length, aim=one.distance),
                number(f"From the {two.edge}", units.length, aim=two.distance),
                tick("Datum marks stay clear"),
                *([tick(f"Datum marks on the {bench.far} stay clear")] if bench.through else []),
            ],
        ),
    ]
    if bench.through or bench.cored or case.geometry.cylinder is not None:
        gap = bench.given("card.contour_gap", data.preparation.contour_gap, "length")
        steps.append(
            step(
                "B3",
                "Support the panel and hold it to its contour",
                "The support stays until the last cure is cold.",
                *oven.support(bench),
                cautions=[c.LIFTING],
                blanks=[
                    note("Support used"),
                    number("Gap between panel and support", units.length, high=gap),
                ],
            )
        )
    bare = bench.given("card.coating_beyond", data.preparation.coating_beyond, "length")
    steps += [
        step(
            "B6",
            "Mask, cover wiring, start extraction",
            (
                "Mask and clean at least ",
                beyond,
                " beyond the repair. It stays on until the opening is vacuumed out.",
            ),
            cautions=[c.CARBON] if bench.carbon else [],
            blanks=[tick("Wiring and openings covered"), tick("Extraction runs")],
        ),
        step(
            "B5",
            "Take off paint and primer past the largest ply",
            bench.order("card.coating_removal", data.preparation.coating_removal, "How it is taken off")
            if data.preparation.coating_removal is not None
            else "How: not in the document. By hand abrasion is usual (common practice, no source); no stripper. Stop at "
            "the first fibre.",
            *(
                [
                    (
                        "Conductive layer: ",
                        *bench.order("card.conductive_layer", data.preparation.conductive_layer, ""),
                    )
                ]
                if data.preparation.conductive_layer is not None
                else []
            ),
            cautions=[c.PAINT_DUST],
            blanks=[number("Bare beyond the largest ply", units.length, low=bare), tick("No fibre touched")],
        ),
    ]
    return steps
