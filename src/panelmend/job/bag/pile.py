"""Layers as they go down, each with its sizes as figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from panelmend.derive import Figure
from panelmend.job.bag.air_path import Air
from panelmend.job.bag.build import Build
from panelmend.job.bag.formulas import beyond_both_ends, inside_both_ends, same_size
from panelmend.job.bag.part import BagLayer, Frame, LayerUse
from panelmend.job.basis import Basis
from panelmend.shapes import Outline

# What air does in each kind of layer; "apart" is what lies apart from its way.
AIR: dict[LayerUse, Air] = {
    "peel ply": "through and along",
    "perforated film": "through",
    "bleeder": "through and along",
    "edge breather": "through and along",
    "breather collar": "through and along",
    "lower breather": "through and along",
    "breather": "through and along",
    "glass cloth": "through and along",
    "parting film": "none",
    "pressure aid": "none",
    "pressure pad": "none",
    "caul sheet": "none",
    "support": "none",
    "heat blanket": "none",
    "plate": "apart",
    "vacuum base": "apart",
    "sealing tape": "apart",
    "bag film": "apart",
}


class Pile:
    """Layers as they go down, each with its sizes as figures."""

    def __init__(self, basis: Basis, key: str, frame: Frame) -> None:
        self.basis, self.key, self.frame = basis, key, frame
        self.layers: list[BagLayer] = []

    def sized(self, name: str, base: str, margin: Figure, *, inside: bool = False) -> tuple[Figure, Figure]:
        """Length and width of a layer that reaches ``margin`` beyond (or stays inside) the layer ``base``."""
        ledger, made = self.basis.ledger, []
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
        use: LayerUse,
        sizes: tuple[Figure, Figure] | None,
        margin: Figure | None,
        note: str,
        *,
        pieces: int = 1,
        material: str = "",
        stock: str = "",
        drawn: bool = True,
        outlines: Sequence[Outline] = (),
        hole: Outline | None = None,
        below: bool = False,
        air: Air | None = None,
    ) -> None:
        """The next layer up; ``stock`` is the use its material is listed under, where that is another."""
        if not material:
            stocked = self.basis.case.catalogue.bagging_for(stock or use)
            material = stocked[0].id if stocked else ""
        outline = self.frame.rectangle(*(float(x) for x in sizes)) if sizes is not None and drawn else None
        if outlines:
            outline = outlines[0] if len(outlines) == 1 else None
        length, width = sizes if sizes is not None else (None, None)
        self.layers.append(
            BagLayer(
                0,
                use,
                material,
                outline,
                length,
                width,
                margin,
                pieces,
                note,
                air or AIR[use],
                tuple(outlines) or ((outline,) if outline is not None else ()),
                hole,
                below,
            )
        )


def numbered(layers: list[BagLayer]) -> tuple[BagLayer, ...]:
    """Layers numbered from the part up, from 1."""
    return tuple(replace(layer, order=i) for i, layer in enumerate(layers, 1))


def blanket_sizes(basis: Basis, build: Build) -> tuple[Figure, Figure]:
    """Size of the blanket as figures of this bag."""
    assert build.chosen is not None
    for way, figure in (("length", build.chosen.length), ("width", build.chosen.width)):
        basis.ledger.derive(f"{build.key}.blanket_{way}", same_size, size=figure)
    return build.chosen.length, build.chosen.width
