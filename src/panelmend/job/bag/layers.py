"""The layers of a bag, from the patch up: rectangles laid along the opening."""

from __future__ import annotations

from dataclasses import replace
from typing import assert_never

from panelmend.derive import Figure
from panelmend.derive.figure import PRACTICE
from panelmend.errors import InputError
from panelmend.job.bag.air_path import Air
from panelmend.job.bag.build import Build, Built
from panelmend.job.bag.formulas import (
    beyond_both_ends,
    half_of_what_is_over,
    reach_of_moved,
    same_size,
    tape_length,
    with_pleats,
)
from panelmend.job.bag.part import BagLayer, Point
from panelmend.job.bag.pile import Pile, blanket_sizes, numbered
from panelmend.job.bag.pressing import caul_sheet, under_a_pad
from panelmend.job.basis import Basis
from panelmend.shapes import Outline
from panelmend.units import show


def stack(basis: Basis, build: Build) -> Built:
    """The layers of one bag in the order they go down, and the sealing line.

    Margins follow AC 43.13-1B 3-4b where the data gives none. Its "1 in smaller" for the solid film is taken
    on each side, the reading that leaves more room for air.
    """
    pile = Pile(basis, build.key, build.frame)
    pad = build.cure.pad is not None
    if build.chosen is not None:
        blanket_sizes(basis, build)
    rim, led = (under_a_pad(pile, build), False) if pad else _on_the_patch(pile, build)
    aid = build.cure.pressure_aid
    if aid is not None and not pad:
        over = build.opening if build.cure.aid_on_cut_out else build.patch
        pile.put("pressure aid", None, None, aid.what, material=aid.material or "", outlines=(over,))
    if build.cure.caul_sheet is not None and not pad:
        caul_sheet(pile, build, rim)
    return _finish(pile, build, rim, sheet=pad, led=led)


def behind(basis: Basis, build: Build, support: str, *, bagged: bool) -> Built:
    """The layers on the other side of the panel: a support over an open hole, a second blanket, or both.

    Args:
        basis: case and ledger.
        build: what it is built over; its patch is the opening, its cure that of the bag in front.
        support: what closes and holds the hole; "" where the far skin is whole.
        bagged: whether it has a bag of its own.
    """
    pile, data = Pile(basis, build.key, build.frame), basis.case.document.data.bag
    if build.chosen is not None:
        blanket_sizes(basis, build)
    base = "patch"
    if support:
        margin = basis.usual("bag.support_margin", data.support_margin)
        sizes = pile.sized("support", "patch", margin)
        pile.put("parting film", sizes, margin, "release film between panel and support, over the opening")
        pile.put("support", sizes, margin, support, stock="caul")
        base = "support"
    elif build.chosen is not None:
        margin = basis.usual("bag.breather_margin", data.breather_margin)
        sizes = blanket_sizes(basis, build)
        cloth = tuple(
            basis.ledger.derive(f"{build.key}.cloth_{way}", beyond_both_ends, size=size, margin=margin)
            for way, size in zip(("length", "width"), sizes, strict=True)
        )
        pile.put("glass cloth", (cloth[0], cloth[1]), margin, "on the skin, past the blanket: lets air out")
    if not bagged:
        return Built(numbered(pile.layers), build.patch, ())
    return _finish(pile, build, base, sheet=False, led=True)


def _finish(pile: Pile, build: Build, rim: str, *, sheet: bool, led: bool) -> Built:
    """Blanket, breathers, vacuum bases, tape and film over what lies on the patch already.

    Args:
        pile: the layers so far.
        build: what it is built over.
        rim: the layer whose bare rim air comes out of: what carries it on touches that rim.
        sheet: a whole breather under the blanket; else edge breather, or what the data says.
        led: whether air is led out from under the blanket already.
    """
    basis, key, chosen = pile.basis, build.key, build.chosen
    data, ledger = basis.case.document.data.bag, basis.ledger
    margin = basis.usual("bag.breather_margin", data.breather_margin)
    base, breather = _breather(pile, build, rim)
    if chosen is not None:
        heat = blanket_sizes(basis, build)
        if not led:
            _under_the_blanket(pile, rim, breather, sheet)
        word = f"blanket {chosen.blanket.id}" if chosen.blanket is not None else "no blanket is large enough"
        word += ", turned" if chosen.turned else ""
        word += moved_words(build, basis.case.view)
        pile.put("heat blanket", heat, None, word, outlines=_placed_by_hand(build, heat))
    pile.put("breather", breather, margin, "over everything, out to the vacuum bases")
    fittings = _fittings(pile, base, breather)
    pile.put("vacuum base", None, None, "on the breather at opposite ends, one for the gauge", pieces=2)
    distance = basis.usual("bag.tape_distance", data.tape_distance)
    seal = pile.sized("seal", base, distance)
    pleats = basis.usual("bag.film_allowance", data.film_allowance)
    film = tuple(
        ledger.derive(f"{key}.film_{way}", with_pleats, size=size, allowance=pleats)
        for way, size in zip(("length", "width"), seal, strict=True)
    )
    tape = ledger.derive(f"{key}.tape_length", tape_length, length=seal[0], width=seal[1], allowance=pleats)
    pile.put("sealing tape", None, distance, "round the sealing line, and up each pleat")
    pile.layers[-1] = replace(pile.layers[-1], length=tape)
    pile.put("bag film", (film[0], film[1]), None, "pleated at every step and corner", drawn=False)
    if build.plate:
        pile.layers = [*_plate(pile), *pile.layers]
    return Built(numbered(pile.layers), build.frame.rectangle(float(seal[0]), float(seal[1])), fittings)


def _breather(pile: Pile, build: Build, rim: str) -> tuple[str, tuple[Figure, Figure]]:
    """The layer the breather reaches beyond, and its size."""
    basis = pile.basis
    margin = basis.usual("bag.breather_margin", basis.case.document.data.bag.breather_margin)
    base = "blanket" if build.chosen is not None else "bleeder" if rim == "film_over_bleeder" else rim
    if base == "blanket" and build.moved is not None:
        base = "blanket_reach"  # laid about the middle, and still past the blanket on every side
        for way, off in zip(("length", "width"), build.moved, strict=True):
            size, key = basis.ledger[f"{build.key}.blanket_{way}"], f"{build.key}.{base}_{way}"
            basis.ledger.derive(key, reach_of_moved, size=size, off=off)
    return base, pile.sized("breather", base, margin)


def _placed_by_hand(build: Build, heat: tuple[Figure, Figure]) -> tuple[Outline, ...]:
    """Where a blanket lies that was placed by hand; nothing where it lies in the middle."""
    if build.moved is None:
        return ()
    along, across = build.moved
    return (build.frame.box(float(along), float(across), float(heat[0]), float(heat[1])),)


def moved_words(build: Build, view: str) -> str:
    """How far a blanket that was placed by hand lies off the middle; "" where it does not."""
    if build.moved is None:
        return ""
    along, across = (show(float(m), "length", view) for m in build.moved)
    return f", PLACED BY HAND: {along} along and {across} across off the middle"


def _fittings(pile: Pile, base: str, breather: tuple[Figure, Figure]) -> tuple[Point, ...]:
    """The middles of the breather's bare ends."""
    ledger = pile.basis.ledger
    far = 0.25 * (float(breather[0]) + float(ledger[f"{pile.key}.{base}_length"]))
    return pile.frame.point(far, 0.0), pile.frame.point(-far, 0.0)


def _under_the_blanket(pile: Pile, rim: str, breather: tuple[Figure, Figure], sheet: bool) -> None:
    """What leads air out from under the blanket: a whole breather, or strips of it at the four sides."""
    basis = pile.basis
    data = basis.case.document.data.bag
    if sheet or (data.lower_breather is not None and data.lower_breather.value):
        margin = basis.usual("bag.breather_margin", data.breather_margin)
        sizes = tuple(
            basis.ledger.derive(f"{pile.key}.lower_breather_{way}", same_size, size=size)
            for way, size in zip(("length", "width"), breather, strict=True)
        )
        note = "under the blanket and out past it"
        pile.put("lower breather", (sizes[0], sizes[1]), margin, note, stock="breather")
        return
    _strips(pile, rim, breather)


def _strips(pile: Pile, rim: str, breather: tuple[Figure, Figure]) -> None:
    """Strips of breather from a rim out to the edge of the breather that lies over everything."""
    basis, data = pile.basis, pile.basis.case.document.data.bag
    wide = basis.usual("bag.edge_breather", data.edge_breather)
    for way, other in (("length", "along"), ("width", "across")):
        over, size = basis.ledger[f"{pile.key}.{rim}_{way}"], breather[0 if way == "length" else 1]
        if float(size) <= float(over):
            continue  # the breather itself ends over the rim: the proof says whether air gets out
        long = basis.ledger.derive(
            f"{pile.key}.edge_breather_{other}", half_of_what_is_over, outer=size, inner=over
        )
        middle = 0.25 * (float(size) + float(over))
        at = [(middle, 0.0), (-middle, 0.0)] if way == "length" else [(0.0, middle), (0.0, -middle)]
        box = (float(long), float(wide)) if way == "length" else (float(wide), float(long))
        pieces = tuple(pile.frame.box(x, y, *box) for x, y in at)
        words = f"from the bare rim out past the blanket, one at each end {other} the opening"
        pile.put("edge breather", (long, wide), None, words, pieces=2, stock="breather", outlines=pieces)


def _plate(pile: Pile) -> list[BagLayer]:
    """What lies under a cap that is cured on a plate: the plate, release film, and its lower peel ply."""
    basis, data = pile.basis, pile.basis.case.document.data.bag
    below = Pile(basis, pile.key, pile.frame)
    past = basis.usual("bag.plate_margin", data.plate_margin)
    note = "flat, heat-proof, away from the panel; past the tape all round"
    below.put("plate", below.sized("plate", "seal", past), past, note, stock="-", below=True)
    inset = basis.usual("bag.film_inset", data.film_inset)
    film = below.sized("plate_film", "seal", inset, inside=True)
    note = "solid, on the plate; stops inside the sealing tape"
    below.put("parting film", film, inset, note, below=True)
    if _peel_plies(basis)[1]:
        peel = basis.usual("bag.peel_ply_margin", data.peel_ply_margin)
        sizes = below.sized("lower_peel_ply", "patch", peel)
        note = "under the cap: comes off its bond face before bonding"
        below.put("peel ply", sizes, peel, note, below=True)
    return below.layers


# by what the data says of the peel plies of a cap: whether one lies on its upper, and on its bond face
PEELED = {
    "none": (False, False),
    "upper face": (True, False),
    "bond face": (False, True),
    "both faces": (True, True),
}


def _peel_plies(basis: Basis) -> tuple[bool, bool]:
    """Whether a cap that is cured on a plate has a peel ply on its upper, and on its bond face.

    Raises:
        KeyError: faces that nobody knows; none is left bare for it.
    """
    given = basis.case.document.data.core.cap
    if given is not None and given.value.peel_plies is not None:
        return PEELED[str(basis.given("core.cap_peel_plies", given, value=given.value.peel_plies).value)]
    return PEELED[str(basis.default("core.cap_peel_plies").value)]


def _on_the_patch(pile: Pile, build: Build) -> tuple[str, bool]:
    """Peel ply, bleeder and film, or for prepreg peel ply, strips at the plies' edge, and film.

    The layer beside whose rim air comes out, and whether it is led out past the blanket already.
    """
    basis = pile.basis
    data = basis.case.document.data.bag
    peel = basis.usual("bag.peel_ply_margin", data.peel_ply_margin)
    if not build.plate or _peel_plies(basis)[0]:
        sizes = pile.sized("peel_ply", "patch", peel)
        pile.put("peel ply", sizes, peel, "on the last ply, over its edges")
    bleed = basis.usual("bag.bleeder_margin", data.bleeder_margin)
    still = data.no_bleed is not None and data.no_bleed.value
    count = basis.given_or("bag.bleeder_plies", data.bleeder_plies, 1 if wet(basis) else 0, source=PRACTICE)
    plies = 0 if still else int(float(count))
    sizes = pile.sized("bleeder", "patch", bleed)
    inset = basis.usual("bag.film_inset", data.film_inset)
    if min(float(s) for s in sizes) <= 2 * float(inset):
        case = basis.case
        raise InputError(
            "the inset leaves nothing of the solid film",
            where=f"{case.name}, data.bag.film_inset",
            read=show(float(inset), "length", case.view),
            expected=f"less than half of {show(min(float(s) for s in sizes), 'length', case.view)}",
        )
    if plies:
        _bleed(pile, peel, bleed, sizes, plies)
    else:
        _strips(pile, "patch", _breather(pile, build, "film_over_bleeder")[1])
    film = pile.sized("film_over_bleeder", "bleeder", inset, inside=True)
    words = "solid, smaller than the bleeder so that air passes round it"
    pile.put("parting film", film, inset, words if plies else "solid, over the plies; no bleeder is laid")
    return "film_over_bleeder", not plies


def _bleed(pile: Pile, peel: Figure, bleed: Figure, sizes: tuple[Figure, Figure], plies: int) -> None:
    """Perforated film and bleeder; the bleeder carries air only while its rim stays dry."""
    basis, data = pile.basis, pile.basis.case.document.data.bag
    dry = basis.usual("bag.dry_bleeder", data.dry_bleeder)
    holed = pile.sized("perforated_film", "patch", peel)
    pile.put("perforated film", holed, peel, "lets the resin through")
    carries = float(bleed) >= float(peel) + float(dry) - 1e-9
    air: Air = "through and along" if carries else "through"
    pile.put("bleeder", sizes, bleed, "takes up resin that is too much", pieces=plies, air=air)


def wet(basis: Basis) -> bool:
    """Whether the repair is a wet lay-up: resin is mixed here."""
    case = basis.case
    match case.document.choice.resin_method:
        case "wet lay-up":
            return True
        case "prepreg":
            return False
        case None:
            return case.document.data.resin.system is not None
        case other:
            assert_never(other)
