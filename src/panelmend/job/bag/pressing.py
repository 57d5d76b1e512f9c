"""What presses on a patch or evens out its heat: a caul, a sheet of metal, a pad in the opening."""

from __future__ import annotations

from panelmend.errors import InputError
from panelmend.job.bag.build import Build
from panelmend.job.bag.pile import Pile
from panelmend.shapes import offset
from panelmend.units import show


def caul_sheet(pile: Pile, build: Build, rim: str) -> None:
    """A sheet of metal over the solid film, inside its rim so that air still comes out round it.

    Raises:
        InputError: the sheet is larger than the solid film under it.
    """
    basis, sheet = pile.basis, build.cure.caul_sheet
    assert sheet is not None
    where = f"data.cure[{basis.case.document.data.cure.index(build.cure) + 1}].caul_sheet.margin"
    margin = basis.typed(f"{pile.key}.caul_margin", sheet.margin, "length", path=where)
    sizes = pile.sized("caul_sheet", "patch", margin)
    film = [basis.ledger[f"{pile.key}.{rim}_{way}"] for way in ("length", "width")]
    if any(float(s) > float(f) + 1e-9 for s, f in zip(sizes, film, strict=True)):
        view = basis.case.view
        raise InputError(
            "the caul sheet covers the rim that air comes out of",
            where=f"{basis.case.name}, {where}",
            read=show(sheet.margin, "length", view),
            expected=f"a sheet of at most {show(float(film[0]), 'length', view)} by "
            f"{show(float(film[1]), 'length', view)}, as large as the solid film under it",
        )
    words = "bare, flat, its edges rounded: evens out the heat"
    pile.put("caul sheet", sizes, margin, words, material=sheet.material)


def under_a_pad(pile: Pile, build: Build) -> str:
    """Porous cloth over cap and rim, the pad in its wrapping, and breather round it up to its top.

    Raises:
        InputError: the inset leaves nothing of the pad.
    """
    basis, data, pad = pile.basis, pile.basis.case.document.data.bag, build.cure.pad
    assert pad is not None
    peel = basis.usual("bag.peel_ply_margin", data.peel_ply_margin)
    sizes = pile.sized("peel_ply", "patch", peel)
    pile.put("peel ply", sizes, peel, "porous, over the cap and the rim of the opening")
    where = f"data.cure[{basis.case.document.data.cure.index(build.cure) + 1}].pad"
    if pad.inset is not None:
        inset = basis.typed(f"{pile.key}.pad_inset", pad.inset, "length", path=f"{where}.inset")
    else:
        inset = basis.default("bag.pad_inset")
    shapes = offset(build.opening, -float(inset))
    if not shapes:
        raise InputError(
            "the inset leaves nothing of the pad",
            where=f"{basis.case.name}, {where}.inset",
            read=show(float(inset), "length", basis.case.view),
            expected="less than half the width of the opening",
        )
    shape = max(shapes, key=lambda o: o.area)
    if pad.proud is not None:
        proud = basis.typed(f"{pile.key}.pad_proud", pad.proud, "length", path=f"{where}.proud")
    else:
        proud = basis.default("bag.pad_proud")
    words = f"inside the opening all round, {show(float(proud), 'length', basis.case.view)} proud of the skin"
    if pad.wrapped:
        words = f"wrapped in PTFE film, {words}"
    pile.put("pressure pad", None, inset, words, material=pad.material, outlines=(shape,))
    note = "round the pad, level with its top"
    pile.put("breather collar", sizes, peel, note, stock="breather", hole=shape)
    return "peel_ply"
