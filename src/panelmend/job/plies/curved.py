"""The plies on a curved panel: every piece of a skin with what the curve does to it, and flat pads."""

from __future__ import annotations

from typing import TypedDict

from panelmend.derive import Figure
from panelmend.job.basis import Basis
from panelmend.job.curved import Bent, Flat, bent_pieces, sagitta_figure
from panelmend.job.formulas import same_angle
from panelmend.job.layup import WORDS
from panelmend.job.pieces import flat_of
from panelmend.job.plies.part import SideLayup


class CurvedFields(TypedDict):
    """Fields of the part that a curved panel fills."""

    bent: tuple[Bent, ...]
    shear_most: Figure | None
    strain_most: Figure | None
    pads: tuple[Figure, ...]


def curved_of(basis: Basis, sides: tuple[SideLayup, ...], tolerance: Figure) -> CurvedFields:
    """What the curve does to cut-outs and plies; ``tolerance`` is that of the plies' angles.

    Sheared yarns lie off their typed angle, so where the data gives no limit of shear the tolerance of the
    angles is it.
    """
    ledger, data = basis.ledger, basis.case.document.data.plies
    bent: list[Bent] = []
    pads: list[Figure] = []
    for side in sides:
        centre = (ledger[f"plies.{side.side}.centre_x"], ledger[f"plies.{side.side}.centre_y"])
        rows = [Flat(f"{WORDS[side.side]}-CUT", ledger[f"plies.{side.side}.cutout"], None, cloth=False)]
        rows += [flat_of(basis, p) for p in side.plies]
        bent += bent_pieces(basis, side.side, centre, rows)
        largest = ledger[f"plies.{side.largest.id}.outline"]
        pad = sagitta_figure(basis, f"plies.{side.side}.pad_sagitta", side.side, largest, centre)
        pads += [pad] if pad is not None else []
    if not bent:
        return {"bent": (), "shear_most": None, "strain_most": None, "pads": tuple(pads)}
    if data.shear_most is not None:
        shear = basis.given("plies.shear_most", data.shear_most, "angle")
    else:
        shear = ledger.derive("plies.shear_most", same_angle, value=tolerance)
    return {
        "bent": tuple(bent),
        "shear_most": shear,
        "strain_most": ledger["plies.strain_most"],
        "pads": tuple(pads),
    }
