"""Steps after the last cure: sand, join, seal, inspect, paint, weigh, count, record."""

from __future__ import annotations

from panelmend.job.card import cautions as c
from panelmend.job.card.apart import HARMED, beside_metal
from panelmend.job.card.bench import Bench
from panelmend.job.card.opening import dust
from panelmend.job.card.part import Step
from panelmend.job.card.writing import clock_blank, note, number, step, tick
from panelmend.job.case import Case


def finish_steps(bench: Bench) -> list[Step]:
    """Everything from the tape off to the record."""
    data, units = bench.case.document.data.finishing, bench.units
    preparation = bench.case.document.data.preparation
    sanding = any(p.role == "sanding" for p in bench.work.plies.plies)
    steps = [
        step(
            "E1",
            "Take the PTFE tape off, fair the edge",
            "Fair the sanding ply only; stop at once when fibre of a repair ply shows."
            if sanding
            else "Fair the resin edge by hand; never into a repair ply.",
            cautions=dust(bench),
            blanks=[
                number("PTFE tape off", "pieces", said="all that was laid"),
                tick("No fibre of a repair ply cut"),
            ],
        )
    ]
    if preparation.conductive_layer is not None or data.conductive_resistance is not None:
        steps.append(
            step(
                "E2",
                "Join the conductive layer, prove it",
                bench.order(
                    "card.conductive_layer", preparation.conductive_layer, "Joint of the conductive layer"
                ),
                "Bare the old layer by hand as far as the overlap goes, no farther; clean it. Power off. Zero the meter on its "
                "own leads, measure from the old layer across the joint on every side, before anything covers it.",
                cautions=[c.RESIN, *dust(bench)],
                blanks=[
                    *bench.ordered(preparation.conductive_layer, "Joint"),
                    number(
                        "Overlap",
                        units.length,
                        low=bench.given("card.conductive_overlap", data.conductive_overlap, "length"),
                    ),
                    number(
                        "Across the joint",
                        "ohm",
                        high=bench.given(
                            "card.conductive_resistance", data.conductive_resistance, "resistance"
                        ),
                    ),
                    note("Meter number", "instruments"),
                ],
            )
        )
    metal = any(s.metal in HARMED for s in bench.case.document.panel.structure)
    metal = metal or bool(beside_metal(bench.case, bench.work))
    apart: list[str] = []
    if bench.carbon:
        apart = [
            "Carbon kept off aluminium and plain or plated steel"
            + (
                f": {data.isolate.value} ({data.isolate.place})."
                if data.isolate
                else ": glass ply or sealant between them, as the data says."
                if metal
                else "; no bare carbon edge."
            )
        ]
    steps += [
        step(
            "E3",
            "Seal edges and ways for water, open the drains",
            bench.order("card.seal", data.seal, "How edges are sealed"),
            *apart,
            cautions=[c.SEALANT],
            blanks=[
                *bench.ordered(data.seal, "Sealing"),
                note("Sealant, lot"),
                clock_blank("Sealant tack-free at", "before anything covers it"),
                number("Drains open", "drains", said="all of the panel"),
                *([tick("Carbon kept off aluminium")] if bench.carbon else []),
            ],
        ),
        step(
            "E4",
            "Inspect the whole repair before finish covers it",
            "The whole repair and a hand's width round it, the same way as the damage was mapped; compare with the maps "
            "of each bond.",
            blanks=[note("Method, instrument, calibrated to"), tick("As the maps, no change")],
            hold="H11",
            drawing="map 0",
        ),
        step(
            "E5",
            "Prime and paint",
            bench.order("card.coating", data.coating, "Primer and paint"),
            cautions=[c.PAINT],
            blanks=[
                *bench.ordered(data.coating, "Coating"),
                note("Materials, lots"),
                number(
                    "Thickness over a conductive layer"
                    if preparation.conductive_layer
                    else "Coating thickness",
                    units.length,
                    high=bench.given("card.coating_most", data.coating_most, "thickness"),
                ),
                clock_blank("Dry at"),
                note("Thickness gauge, due day"),
            ],
        ),
    ]
    if data.static_resistance is not None or preparation.conductive_layer is not None:
        steps.append(
            step(
                "E6",
                "Measure the static bonding",
                "Power off, the panel as it is fitted, paint dry, every jumper back on. Zero the meter on its own leads. From "
                "the panel's bonding point to structure, bare metal at both ends; seal again what was bared.",
                blanks=[
                    number(
                        "To structure",
                        "ohm",
                        high=bench.given("card.static_resistance", data.static_resistance, "resistance"),
                    ),
                    note("Meter number", "instruments"),
                ],
            )
        )
    if bench.case.document.panel.hinge is not None:
        steps.append(_weigh(bench))
    steps += _end(bench)
    return steps


def _weigh(bench: Bench) -> Step:
    data, hinge = bench.case.document.data.finishing, bench.case.document.panel.hinge
    change = None
    if hinge is not None and hinge.moment_limit is not None:
        change = bench.basis.typed(
            "card.moment_limit", hinge.moment_limit, "moment", path="panel.hinge.moment_limit"
        )
    return step(
        "E7",
        "Weigh and balance after paint",
        "The change is this reading minus the one from before the work.",
        cautions=[c.LIFTING],
        blanks=[
            number(
                "Weight after",
                bench.units.weight,
                high=bench.given("card.weight_most", data.weight_most, "weight"),
            ),
            number(
                "Moment after",
                bench.units.moment,
                high=bench.given("card.moment_most", data.moment_most, "moment"),
            ),
            number("Change of moment", bench.units.moment, high=change),
            note("Balance number", "instruments"),
        ],
        hold="H12",
    )


def _end(bench: Bench) -> list[Step]:
    first = bench.given("card.before_flight", bench.case.document.data.finishing.before_flight, "time")
    return [
        step(
            "E8",
            "Count tools and parts, sort the waste",
            "Tools, parts, blankets, leads, wipes out: as many as went in, before anything is closed. Uncured resin and "
            "wipes with solvent are hazardous waste until proved otherwise; cured dust, cups and filters are bagged.",
            cautions=[c.SOLVENT],
            blanks=[
                number("Tools and parts out", "pieces", said="as many as went in"),
                tick("Nothing left inside"),
                tick("Waste sorted"),
            ],
        ),
        step(
            "E9",
            "Final inspection against this card",
            "Every step signed, every blank filled, every reading within its limit. Contour and fit as the data requires. "
            "The skin that was cut out may go after this.",
            blanks=[
                note("Deviations, with their approval"),
                note("Cure logs and verdicts kept as"),
                number("From last cure to first load", "h", low=first),
                tick("Inserts, holes, fittings: all that the drawing shows"),
                tick("Fits, opens, closes"),
            ],
            hold="H13",
        ),
        record(bench.case),
    ]


def record(case: Case) -> Step:
    """The record entry with the fields of 14 CFR 43.9(a)."""
    return step(
        "E10",
        "Make the maintenance record entry",
        "Enter in the maintenance record what 14 CFR 43.9(a), or the authority in charge, asks for. An interim repair: "
        "enter when it is due.",
        blanks=[
            note("Work described, or data named"),
            note("Date completed"),
            note("Performed by, if not the approver"),
            note("Signature of the approver"),
            note("Certificate number"),
            note("Kind of certificate"),
        ],
        hold="H14",
    )


def surface_only(case: Case) -> Step:
    """No structural repair."""
    return step(
        "E5",
        "Restore the surface; no structural repair",
        "By the approved data this damage needs no structural repair. Restore the surface as the data says.",
        cautions=[c.PAINT],
        blanks=[note("Materials, lots")],
    )
