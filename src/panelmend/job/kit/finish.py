"""What the data orders in words beside the bond: treatment of metal, sealant, paint, conductive layer.

No document has a rate for any of it, so no amount is worked out and none is picked: the line says what is
ordered, where, and over what area; the storekeeper fills the amount in.
"""

from __future__ import annotations

from panelmend.document.given import Given
from panelmend.job.formulas import area_of
from panelmend.job.ground import Ground
from panelmend.job.kit.part import KitLine
from panelmend.job.plies.part import PliesPart
from panelmend.units import show

BY_STORES = "no rate is given: stores fill the amount in, by the data or the maker's sheet"
NOT_NAMED = "the document names none: look it up in the approved data"


def finish(ground: Ground, plies: PliesPart) -> tuple[KitLine, ...]:
    """A line for each, the data's own words with their place as its purpose.

    A treatment of metal, a compound for core edges, a conductive layer and what keeps carbon off aluminium
    only where the data has one; edges are always sealed and the surface always coated.
    """
    over = _over(ground, plies)
    data, ready = ground.case.document.data.finishing, ground.case.document.data.preparation
    layer = ready.conductive_layer
    drained = ground.case.document.damage.moisture == "found"
    conducts = layer is not None or data.conductive_resistance is not None
    rows: tuple[tuple[bool, str, Given[str] | None, str, str], ...] = (
        (
            ready.metal_treatment is not None,
            "Treatment of the metal",
            ready.metal_treatment,
            "",
            "burns skin and eyes",
        ),
        (ready.pot_core_edge is not None, "Compound for cut core edges", ready.pot_core_edge, "", ""),
        (conducts, "Conductive layer with its adhesive", layer, over, "dust where it is cut"),
        (
            drained,
            "What closes drain holes, where any are drilled",
            None,
            "",
            "resin or sealant: gloves, ventilation",
        ),
        (data.isolate is not None, "What keeps carbon off aluminium", data.isolate, "", ""),
        (True, "Sealant", data.seal, "", "solvent: ventilation, no ignition"),
        (True, "Primer and paint", data.coating, over, "isocyanate, chromate: supplied-air respirator"),
    )
    rows += tuple(
        (
            True,
            f"What puts {b.kind} {b.id}".strip() + " back",
            Given[str](value=b.how, place=b.place),
            "",
            "as its own sheets say",
        )
        for b in ground.case.document.data.put_back
    )
    return tuple(
        KitLine("finish", "", name, f"{_ordered(given)}{area}; {BY_STORES}", None, (), None, False, caution)
        for needed, name, given, area, caution in rows
        if needed
    )


def _ordered(given: Given[str] | None) -> str:
    return NOT_NAMED if given is None else f"{given.value} ({given.place})"


def _over(ground: Ground, plies: PliesPart) -> str:
    """Area of the largest ply of each skin, which is what is coated at least."""
    said = []
    for side in plies.sides:
        ply = f"plies.{side.largest_ply.id}.outline"
        area = ground.ledger.derive(f"kit.coated.{side.side}", area_of, outline=ground.ledger[ply])
        said.append(f"{show(float(area), 'area', ground.case.view, limit='least')} of the {side.side}")
    return f"; over the plies, {' and '.join(said)}, and what was bared round them" if said else ""
