"""What lies on the other side of the panel: the other skin's plies, a support, or a second blanket."""

from __future__ import annotations

from panelmend.derive import Figure, Source
from panelmend.derive.figure import Origin
from panelmend.document.panel import Side
from panelmend.job import air
from panelmend.job.bag.blanket import ChosenBlanket
from panelmend.job.bag.build import Build, Built
from panelmend.job.bag.formulas import extent_along, push_through
from panelmend.job.bag.layers import behind, stack
from panelmend.job.bag.measures import BaggedRepair, Under, force_on, leak_flow, middle_of, proof_of
from panelmend.job.bag.part import Frame, OtherBag
from panelmend.job.basis import Basis
from panelmend.job.formulas import area_of
from panelmend.shapes import Outline
from panelmend.units import INHG

_LARGEST = Source("the largest piece under this bag")
_HOLE = Source("the hole in this skin")
_EXAMPLE = Source("an example: what 5 inHg between the bags of two sides means")


def other_bag(
    basis: Basis,
    build: Build,
    under: Under,
    repair: BaggedRepair,
    closed: set[Side],
    drop: Figure,
    time: Figure,
) -> OtherBag | None:
    """What lies on the other side: plies of its own, a support over the open hole, a second blanket."""
    case, cure, key = basis.case, build.cure, f"{build.key}.behind"
    if cure.on_plate:
        return None
    data, ledger = case.document.data.bag, basis.ledger
    other: Side = "inside" if under.side == "outside" else "outside"
    through = case.document.damage.through
    wanted = case.document.choice.blankets(cure.name)[1]
    plies = through and "plies" in under.lays and cure.side is None
    is_open = through and not plies and other not in closed
    if not (plies or is_open or wanted):
        return None
    there = next((s for s in repair.plies.sides if s.side == other), None)
    outline = under.opening
    if plies and there is not None:
        outline = there.largest_ply.outline
    elif is_open and there is not None:
        outline = there.cutout
    elif wanted:
        outline = under.patch
    frame = Frame(middle_of(outline, under.direction), under.direction)
    whole = ledger.add(Figure(f"{key}.patch", outline, "", Origin.COMPUTED, _LARGEST))
    across = ledger[f"{build.key}.across"]
    for name, towards in (("length", under.angle), ("width", across)):
        ledger.derive(f"{key}.patch_{name}", extent_along, outline=whole, direction=towards)
    blanket = _second(basis, wanted, build.chosen)
    opening = there.cutout if there is not None else under.opening
    bare = cure.model_copy(update={"pad": None, "pressure_aid": None})
    other_build = Build(key, bare, frame, outline, opening, blanket, False)
    support, bagged = "", cure.bagged
    if plies:
        built = stack(basis, other_build) if bagged else Built((), outline, ())
    else:
        if is_open:
            support = data.support.value if data.support is not None else ""
            bagged = cure.bagged and (bool(wanted) or (data.both_sides is not None and data.both_sides.value))
        closing = support or ("nothing is named" if is_open else "")
        built = behind(basis, other_build, closing, bagged=bagged)
    difference = push = alone = None
    if through and bagged and (is_open or plies):
        difference = ledger.table("bag.vacuum_difference", 5 * INHG, "vacuum", source=_EXAMPLE)
        area = ledger.derive(f"{key}.opening_area", area_of, outline=_opening_figure(basis, key, opening))
        push = ledger.derive_limit(
            "least", "force", f"{key}.push", push_through, difference=difference, opening=area
        )
        most = air.most_pressure_of(basis)
        alone = ledger.derive_limit(
            "least", "force", f"{key}.push_alone", push_through, difference=most, opening=area
        )
    return OtherBag(
        "other skin" if plies else "support" if is_open else "second blanket",
        other,
        built.layers,
        built.seal,
        outline,
        built.fittings,
        wanted if blanket is not None else "",
        support,
        bagged,
        force_on(basis, key, bagged=bagged),
        None if is_open or not bagged else proof_of(built.layers, outline, built.fittings),
        difference,
        push,
        alone,
        leak_flow(basis, key, built.layers, drop, time),
    )


def _opening_figure(basis: Basis, key: str, opening: Outline) -> Figure:
    return basis.ledger.add(Figure(f"{key}.opening", opening, "", Origin.COMPUTED, _HOLE))


def _second(basis: Basis, wanted: str, first: ChosenBlanket | None) -> ChosenBlanket | None:
    """The second blanket as it lies: turned like the first."""
    bay = basis.case.document.bay
    found = next((b for b in bay.blanket if b.id == wanted), None)
    if found is None:
        return None
    turned, path = first is not None and first.turned, f"bay.blanket[{bay.blanket.index(found) + 1}]"
    length, width = (
        basis.typed(f"blanket.{found.id}.{n}", getattr(found, n), "length", path=f"{path}.{n}")
        for n in (("width", "length") if turned else ("length", "width"))
    )
    return ChosenBlanket(found, turned, length, width, True)
