"""What the data orders in words beside the bond: treatment of metal, sealant, paint, conductive layer.

None of it has an amount in the document, so none is picked: the line says what is ordered, and where.
"""

from __future__ import annotations

from panelmend.document.given import Given
from panelmend.job.ground import Ground
from panelmend.job.kit.part import KitLine

NOT_NAMED = "the document names none: look it up in the approved data"


def finish(ground: Ground) -> tuple[KitLine, ...]:
    """A line for each, the data's own words with their place as its purpose.

    A treatment of metal, a compound for core edges, a conductive layer and what keeps carbon off aluminium
    only where the data has one; edges are always sealed and the surface always coated.
    """
    data, ready = ground.case.document.data.finishing, ground.case.document.data.preparation
    layer = ready.conductive_layer
    conducts = layer is not None or data.conductive_resistance is not None
    rows: tuple[tuple[bool, str, Given[str] | None, str], ...] = (
        (
            ready.metal_treatment is not None,
            "Treatment of the metal",
            ready.metal_treatment,
            "burns skin and eyes",
        ),
        (ready.pot_core_edge is not None, "Compound for cut core edges", ready.pot_core_edge, ""),
        (conducts, "Conductive layer with its adhesive", layer, "dust where it is cut"),
        (data.isolate is not None, "What keeps carbon off aluminium", data.isolate, ""),
        (True, "Sealant", data.seal, "solvent: ventilation, no ignition"),
        (True, "Primer and paint", data.coating, "isocyanate, chromate: supplied-air respirator"),
    )
    return tuple(
        KitLine("finish", "", name, _ordered(given), None, (), None, False, caution)
        for needed, name, given, caution in rows
        if needed
    )


def _ordered(given: Given[str] | None) -> str:
    return NOT_NAMED if given is None else f"{given.value} ({given.place})"
