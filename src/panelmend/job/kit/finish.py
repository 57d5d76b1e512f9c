"""What the data orders in words beside the bond: treatment of metal, sealant, paint, conductive layer.

Where the data gives a rate the amount is worked out: paint over the plies and what was bared round them,
sealant along the edge of the largest ply. Without one the line says what is ordered, where, and over what
area, and the storekeeper fills the amount in. None is picked: no lot of the stores has such a name.
"""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.derive import Figure
from panelmend.document.given import Given
from panelmend.job.basis import Basis
from panelmend.job.formulas import area_of
from panelmend.job.kit import formulas as f
from panelmend.job.kit.part import KitLine
from panelmend.job.plies.part import PliesPart
from panelmend.units import show

BY_STORES = "no rate is given: stores fill the amount in, by the data or the maker's sheet"
SEALS = "solvent: ventilation, no ignition"
SPRAYED = "isocyanate, chromate: supplied-air respirator"
RESIN = "harms skin and eyes until cured: gloves, sleeves, goggles"
KEYS = {"Primer": "primer", "Paint": "paint", "Adhesive of the conductive layer": "conductive"}
"""The figures' names of what is put on an area."""
NOT_NAMED = "the document names none: look it up in the approved data"


def finish_lines(basis: Basis, plies: PliesPart) -> tuple[KitLine, ...]:
    """A line for each, the data's own words with their place as its purpose.

    A treatment of metal, a compound for core edges, a conductive layer and what keeps carbon off aluminium
    only where the data has one; edges are always sealed and the surface always coated.
    """
    data, ready = basis.case.document.data.finishing, basis.case.document.data.preparation
    drained = basis.case.document.damage.moisture == "found"
    rows: tuple[tuple[bool, str, Given[str] | None, str], ...] = (
        (
            ready.metal_treatment is not None,
            "Treatment of the metal",
            ready.metal_treatment,
            "burns skin and eyes",
        ),
        (ready.pot_core_edge is not None, "Compound for cut core edges", ready.pot_core_edge, ""),
        (
            drained,
            "What closes drain holes, where any are drilled",
            None,
            "resin or sealant: gloves, ventilation",
        ),
        (data.isolate is not None, "What keeps carbon off aluminium", data.isolate, ""),
    )
    rows += tuple(
        (
            True,
            f"What puts {b.kind} {b.id}".strip() + " back",
            Given[str](value=b.how, place=b.place),
            "as its own sheets say",
        )
        for b in basis.case.document.data.put_back
    )
    return (
        *(_line(name, given, "", None, caution) for needed, name, given, caution in rows if needed),
        *_conductive(basis, plies),
        _sealant(basis, plies),
        *_coats(basis, plies),
    )


def _line(
    name: str, given: Given[str] | None, said: str, amount: Figure | None, caution: str, *, rate: str = ""
) -> KitLine:
    """One line; without an amount the stores fill it in."""
    words = f"{_ordered(given)}{said}; {rate if amount is not None else BY_STORES}"
    return KitLine("finish", "", name, words, amount, (), None, False, caution)


def _ordered(given: Given[str] | None) -> str:
    return NOT_NAMED if given is None else f"{given.value} ({given.place})"


def _conductive(basis: Basis, plies: PliesPart) -> list[KitLine]:
    """A conductive layer by its area, and what bonds it by its rate."""
    data, layer = basis.case.document.data.finishing, basis.case.document.data.preparation.conductive_layer
    if layer is None and data.conductive_resistance is None:
        return []
    overlap = data.conductive_overlap
    if overlap is None:
        over = _area_of_plies(basis, plies, "conductive", None, "its overlap")
        amount, rate = None, ""
    else:
        margin = basis.given("kit.conductive_overlap", overlap, "length")
        over = _area_of_plies(basis, plies, "conductive", margin, "the overlap")
        amount, rate = over.area, "what is cut away is not counted"
    name = "Conductive layer" if data.conductive_rate is not None else "Conductive layer with its adhesive"
    made = [_line(name, layer, over.words, amount, "dust where it is cut", rate=rate)]
    if data.conductive_rate is not None:
        made.append(
            _by_area(basis, "Adhesive of the conductive layer", layer, over, data.conductive_rate, RESIN)
        )
    return made


def _sealant(basis: Basis, plies: PliesPart) -> KitLine:
    """Sealant along the edge of the largest ply of each skin."""
    data, total, said = basis.case.document.data.finishing, None, []
    if data.seal_rate is None:
        return _line("Sealant", data.seal, "", None, SEALS)
    for side in plies.sides:
        edge = basis.ledger[f"plies.{side.largest_ply.id}.outline"]
        line = basis.ledger.derive(f"kit.sealed.{side.side}", f.round_the, outline=edge)
        said.append(f"{show(float(line), 'length', basis.case.view, limit='least')} on the {side.side}")
        total = (
            line
            if total is None
            else basis.ledger.derive("kit.sealed", f.length_with, before=total, more=line)
        )
    assert total is not None
    rate = basis.given("kit.seal_rate", data.seal_rate, "mass on a line")
    amount = basis.ledger.derive("kit.sealant", f.along_line, line_mass=rate, length=total)
    words = f"; along the edge of the largest ply, {' and '.join(said)}, other ways for water not counted"
    return _line(
        "Sealant", data.seal, words, amount, SEALS, rate=_rate(basis, data.seal_rate, "mass on a line")
    )


def _coats(basis: Basis, plies: PliesPart) -> list[KitLine]:
    """Primer and paint over the plies and what was bared round them: one line, two where there is a rate."""
    data = basis.case.document.data.finishing
    bared = basis.case.document.data.preparation.coating_beyond
    margin = None if bared is None else basis.given("kit.coating_beyond", bared, "length")
    over = _area_of_plies(basis, plies, "coated", margin, "what was bared round them")
    if data.primer_rate is None and data.paint_rate is None:
        return [_line("Primer and paint", data.coating, over.words, None, SPRAYED)]
    return [
        _line(name, data.coating, over.words, None, SPRAYED)
        if rate is None
        else _by_area(basis, name, data.coating, over, rate, SPRAYED)
        for name, rate in (("Primer", data.primer_rate), ("Paint", data.paint_rate))
    ]


def _by_area(
    basis: Basis, name: str, given: Given[str] | None, over: _Area, typed: Given[float], caution: str
) -> KitLine:
    """What is put on an area at the data's rate."""
    key = KEYS[name]
    rate = basis.given(f"kit.{key}_rate", typed, "areal mass")
    amount = basis.ledger.derive(f"kit.{key}", f.put_on, areal_mass=rate, area=over.area)
    return _line(name, given, over.words, amount, caution, rate=_rate(basis, typed, "areal mass"))


def _rate(basis: Basis, typed: Given[float], kind: str) -> str:
    return f"{show(typed.value, kind, basis.case.view)} ({typed.place}) as put on, losses not counted"


@dataclass(frozen=True)
class _Area:
    """What is covered, both skins together, and the words for it."""

    area: Figure
    words: str


def _area_of_plies(basis: Basis, plies: PliesPart, key: str, margin: Figure | None, beyond: str) -> _Area:
    """Area of the largest ply of each skin, with ``margin`` [m] all round; without one that is told."""
    ledger, said, total = basis.ledger, list[str](), None
    for side in plies.sides:
        ply = ledger[f"plies.{side.largest_ply.id}.outline"]
        name = f"kit.{key}.{side.side}"
        if margin is None:
            area = ledger.derive(name, area_of, outline=ply)
        else:
            area = ledger.derive(name, f.area_beyond, outline=ply, margin=margin)
        said.append(f"{show(float(area), 'area', basis.case.view, limit='least')} of the {side.side}")
        total = area if total is None else ledger.derive(f"kit.{key}", f.both_areas, one=total, other=area)
    assert total is not None, "a repair that lays nothing is not coated here"
    whole = " and ".join(said)
    if margin is None:
        return _Area(total, f"; over the plies, {whole}, and {beyond}")
    return _Area(total, f"; over the plies and {beyond}, {whole}")
