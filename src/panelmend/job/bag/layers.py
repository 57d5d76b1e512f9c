"""The layers of a bag, from the patch up: rectangles laid along the opening."""

from __future__ import annotations

from dataclasses import replace

from panelmend.derive import Figure
from panelmend.document.approved import Cure
from panelmend.errors import InputError
from panelmend.job.air import AC_BAG
from panelmend.job.bag.blanket import Chosen
from panelmend.job.bag.formulas import (
    beyond_both_ends,
    inside_both_ends,
    same_size,
    tape_length,
    with_pleats,
)
from panelmend.job.bag.part import BagLayer, Frame
from panelmend.job.ground import Ground
from panelmend.shapes import Outline
from panelmend.units import show

PEEL, BLEEDER, FILM_INSET = 0.0254, 0.0635, 0.0254  # [m] 1 in; 2 to 3 in, its middle; 1 in
BREATHER, TAPE = 0.0254, 0.0508  # [m]
PLEATS = 0.2


class _Stack:
    """Layers as they go down, each with its sizes as figures."""

    def __init__(self, ground: Ground, key: str, frame: Frame) -> None:
        self.ground, self.key, self.frame = ground, key, frame
        self.layers: list[BagLayer] = []

    def sized(self, name: str, base: str, margin: Figure, *, inside: bool = False) -> tuple[Figure, Figure]:
        """Length and width of a layer that reaches ``margin`` beyond (or stays inside) the layer ``base``."""
        ledger, made = self.ground.ledger, []
        for way in ("length", "width"):
            size = ledger[f"{self.key}.{base}_{way}"]
            key = f"{self.key}.{name}_{way}"
            if inside:
                made.append(ledger.derive(key, inside_both_ends, size=size, inset=margin))
            else:
                made.append(ledger.derive(key, beyond_both_ends, size=size, margin=margin))
        return made[0], made[1]

    def put(
        self,
        use: str,
        sizes: tuple[Figure, Figure] | None,
        margin: Figure | None,
        note: str,
        *,
        pieces: int = 1,
        material: str = "",
        drawn: bool = True,
    ) -> None:
        """The next layer up."""
        if not material:
            stocked = self.ground.case.catalogue.bagging_for(use)
            material = stocked[0].id if stocked else ""
        outline = self.frame.rectangle(*(float(x) for x in sizes)) if sizes is not None and drawn else None
        length, width = sizes if sizes is not None else (None, None)
        self.layers.append(
            BagLayer(len(self.layers) + 1, use, material, outline, length, width, margin, pieces, note)
        )


def stack(
    ground: Ground, key: str, cure: Cure, frame: Frame, patch: Outline, chosen: Chosen
) -> tuple[tuple[BagLayer, ...], Outline]:
    """The layers of one operation in the order they go down, and the sealing line.

    Margins follow AC 43.13-1B 3-4b where the data gives none. Its "1 in smaller" for the solid film is taken
    on each side, the reading that leaves more room for air.
    """
    data, pile = ground.case.document.data.bag, _Stack(ground, key, frame)
    _on_the_patch(pile, ground)
    if cure.pressure_aid:
        pile.put(
            "pressure aid",
            None,
            None,
            cure.pressure_aid,
            material=_aid(ground, cure.pressure_aid),
        )
    heat = (chosen.length, chosen.width)
    note = (
        f"blanket {chosen.blanket.id}"
        if chosen.blanket is not None
        else "no blanket in the bay is large enough"
    )
    pile.put("heat blanket", heat, None, note + (", turned" if chosen.turned else ""))
    for way, figure in zip(("length", "width"), heat, strict=True):
        ground.ledger.derive(f"{key}.blanket_{way}", same_size, size=figure)
    margin = ground.given_or("bag.breather_margin", data.breather_margin, BREATHER, "length")
    pile.put(
        "breather",
        pile.sized("breather", "blanket", margin),
        margin,
        "over blanket and probes, out to the vacuum fitting",
    )
    distance = ground.given_or("bag.tape_distance", data.tape_distance, TAPE, "length")
    seal = pile.sized("seal", "blanket", distance)
    pleats = ground.given_or("bag.film_allowance", data.film_allowance, PLEATS, "ratio")
    film = tuple(
        ground.ledger.derive(f"{key}.film_{way}", with_pleats, size=size, allowance=pleats)
        for way, size in zip(("length", "width"), seal, strict=True)
    )
    tape = ground.ledger.derive(
        f"{key}.tape_length", tape_length, length=seal[0], width=seal[1], allowance=pleats
    )
    pile.put("sealing tape", None, distance, "round the sealing line, and up each pleat")
    pile.layers[-1] = replace(pile.layers[-1], length=tape)
    pile.put("bag film", (film[0], film[1]), None, "pleated at every step and corner", drawn=False)
    return tuple(pile.layers), frame.rectangle(float(seal[0]), float(seal[1]))


def _aid(ground: Ground, words: str) -> str:
    """The caul that the words mean: named in them, else of rubber or metal; the document's own first."""
    cauls = ground.case.catalogue.bagging_for("caul")
    named = next((c.id for c in cauls if c.id in words), "")
    stuff = "rubber" if "rubber" in words else "metal" if "metal" in words or "aluminium" in words else ""
    if named or not stuff:
        return named
    return next((c.id for c in cauls if stuff in f"{c.id} {c.name}".lower()), "")


def _on_the_patch(pile: _Stack, ground: Ground) -> None:
    """Peel ply, bleeder and film, or for prepreg peel ply and film alone."""
    data = ground.case.document.data.bag
    peel = ground.given_or("bag.peel_ply_margin", data.peel_ply_margin, PEEL, "length", source=AC_BAG)
    pile.put("peel ply", pile.sized("peel_ply", "patch", peel), peel, "on the last ply, over its edges")
    bleed = ground.given_or("bag.bleeder_margin", data.bleeder_margin, BLEEDER, "length", source=AC_BAG)
    count = ground.given_or("bag.bleeder_plies", data.bleeder_plies, 1 if wet(ground) else 0)
    sizes = pile.sized("bleeder", "patch", bleed)
    plies = int(float(count))
    if plies:
        pile.put(
            "perforated film", pile.sized("perforated_film", "patch", peel), peel, "lets the resin through"
        )
        pile.put("bleeder", sizes, bleed, "takes up resin that is too much", pieces=plies)
    inset = ground.given_or("bag.film_inset", data.film_inset, FILM_INSET, "length", source=AC_BAG)
    if min(float(s) for s in sizes) <= 2 * float(inset):
        case = ground.case
        raise InputError(
            "the inset leaves nothing of the solid film",
            where=f"{case.name}, data.bag.film_inset",
            read=show(float(inset), "length", case.view),
            expected=f"less than half of {show(min(float(s) for s in sizes), 'length', case.view)}",
        )
    pile.put(
        "parting film",
        pile.sized("film_over_bleeder", "bleeder", inset, inside=True),
        inset,
        "solid, smaller than the bleeder so that air passes round it"
        if plies
        else "solid, over the peel ply; no bleeder is laid",
    )


def wet(ground: Ground) -> bool:
    """Whether the repair is a wet lay-up: resin is mixed here."""
    case = ground.case
    method = case.document.choice.resin_method
    if method is not None:
        return method == "wet lay-up"
    return case.document.data.resin.system is not None
