"""Room for the largest ply: rolls wide enough across its warp, and a heat blanket with its overhang."""

from __future__ import annotations

import math

from panelmend.derive import Figure, Source, formula
from panelmend.document.panel import Side
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.formulas import ARITHMETIC, GEOMETRY
from panelmend.shapes import Outline

FORMULAS_STAND_AS = "job.room"  # the name that plans in hand carry


@formula("extent of the piece square to its warp", source=GEOMETRY, kind="length")
def across_warp(outline: Outline, warp: float) -> float:
    """Width of roll a piece takes.

    outline: the piece [outline]
    warp: its warp direction [rad]
    return: its extent across the warp [m]
    """
    return outline.extent(warp + 0.5 * math.pi)


@formula("width - 2 x edge", source=ARITHMETIC, kind="length")
def usable_width(width: float, edge: float) -> float:
    """Width of a roll between its selvedges.

    width: width of the roll [m]
    edge: kept free at each edge [m]
    return: usable width [m]
    """
    return width - 2.0 * edge


@formula(
    "least of what the blanket's sides have over the piece grown by adhesive, probe and blanket margins",
    source=Source("plane geometry; the blanket lies along the cut-out"),
    kind="length",
)
def blanket_spare(
    outline: Outline, angle: float, length: float, width: float, adhesive: float, probes: float, over: float
) -> float:
    """What a blanket's heated area has over what it must cover.

    outline: the largest ply [outline]
    angle: direction of the cut-out [rad]
    length: heated length of the blanket [m]
    width: heated width [m]
    adhesive: adhesive beyond the ply on each side [m]
    probes: thermocouples beyond the adhesive [m]
    over: blanket beyond the thermocouples [m]
    return: the lesser excess of length or width, below zero where the blanket is too small [m]
    """
    more = 2.0 * (adhesive + probes + over)
    need = sorted((outline.extent(angle) + more, outline.extent(angle + 0.5 * math.pi) + more))
    have = sorted((length, width))
    return min(have[0] - need[0], have[1] - need[1])


def roll_widths(basis: Basis, cloth: str) -> tuple[tuple[str, Figure], ...]:
    """Usable width of every roll of a cloth in the stores."""
    found = []
    for i, roll in enumerate(basis.case.document.stores.roll, 1):
        if roll.material != cloth:
            continue
        path = f"stores.roll[{i}]"
        width = basis.typed(f"stores.{roll.id}.width", roll.width, "length", path=f"{path}.width")
        edge = basis.typed(f"stores.{roll.id}.edge", roll.edge or 0.0, "length", path=f"{path}.edge")
        key = f"stores.{roll.id}.usable_width"
        found.append((roll.id, basis.ledger.derive(key, usable_width, width=width, edge=edge)))
    return tuple(found)


def plies_under_blanket(case: Case, side: Side) -> bool:
    """Whether the plies of a skin are cured under a heat blanket; yes where no typed cure lays any."""
    cures = [c for c in case.document.data.cure if c.side in (None, side) and {"fill", "plies"} & set(c.lays)]
    return not cures or any(c.heated_by == "blanket" for c in cures)


def best_blanket(basis: Basis, key: str, outline: Figure, angle: Figure) -> tuple[str, Figure] | None:
    """The blanket of the bay that has most to spare over a ply; None where no blanket is listed."""
    bay, data = basis.case.document.bay, basis.case.document.data.bag
    if not bay.blanket:
        return None
    margins = {
        "adhesive": basis.usual("bag.adhesive_margin", data.adhesive_margin),
        "probes": basis.usual("bag.sensor_margin", data.sensor_margin),
        "over": basis.usual("bag.blanket_margin", data.blanket_margin),
    }
    plain = {n: float(f) for n, f in margins.items()}
    shape, turn = outline.value, float(angle)
    assert isinstance(shape, Outline)

    def spare(i: int) -> float:
        b = bay.blanket[i]
        return float(
            blanket_spare(
                outline=shape,
                angle=turn,
                length=b.length - 2 * b.border,
                width=b.width - 2 * b.border,
                **plain,
            )
        )

    # The smallest blanket that is large enough, else the one that lacks least; of two alike the first typed.
    ranked = sorted(range(len(bay.blanket)), key=lambda i: (spare(i) < 0, abs(spare(i))))
    blanket = bay.blanket[ranked[0]]
    path = f"bay.blanket[{ranked[0] + 1}]"
    sizes = {
        n: basis.typed(
            f"bay.{blanket.id}.heated_{n}",
            getattr(blanket, n) - 2 * blanket.border,
            "length",
            path=f"{path}.{n}, border",
        )
        for n in ("length", "width")
    }
    figure = basis.ledger.derive(key, blanket_spare, outline=outline, angle=angle, **sizes, **margins)
    return blanket.id, figure
