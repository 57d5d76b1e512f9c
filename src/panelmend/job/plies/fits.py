"""How the repair fits its surroundings, skin by skin, and what would cure a shortfall."""

from __future__ import annotations

from typing import assert_never

from panelmend.derive import Figure, Source
from panelmend.job.basis import Basis
from panelmend.job.clearances import Neighbour, neighbours
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.formulas import spare
from panelmend.job.plies.cure import cure_for
from panelmend.job.plies.part import Fit, FitKind, Ply, SideLayup
from panelmend.job.stock_fit import across_warp, best_blanket, plies_under_blanket, roll_widths
from panelmend.shapes import Outline
from panelmend.units import show


def fits_of(basis: Basis, cutout: CutoutPart, sides: tuple[SideLayup, ...]) -> tuple[Fit, ...]:
    """Every clearance that falls short, and of those that hold the nearest of each kind."""
    short = any(over < -1e-9 and n.weight == "stop" for s in sides for over, n in _rows(basis, s))
    cure = cure_for(basis, cutout, sides) if short else ""
    found: list[Fit] = []
    for side in sides:
        found += _neighbour_fits(basis, side, cure, len(sides) > 1)
        found += _rolls(basis, side)
        found += _blanket(basis, side)
    return tuple(found)


def _pieces(side: SideLayup) -> dict[str, Outline]:
    assert side.tape_outer is not None
    return {"cut-out": side.cutout, "largest ply": side.largest.outline, "tape": side.tape_outer}


def _spare(n: Neighbour, side: SideLayup) -> float:
    return n.clear(_pieces(side)[n.piece]) - n.asked


def _rows(basis: Basis, side: SideLayup) -> list[tuple[float, Neighbour]]:
    """How much is spare to each neighbour that counts [m]."""
    return [(_spare(n, side), n) for n in neighbours(basis, side.side) if n.counts(side.cutout)]


def _keys(side: SideLayup) -> dict[str, str]:
    return {
        "cut-out": f"plies.{side.side}.cutout",
        "largest ply": f"plies.{side.largest.id}.outline",
        "tape": f"plies.{side.side}.tape_outer",
    }


def _kind(n: Neighbour) -> tuple[str, str]:
    """Edge, fastener, earlier repair, ... and which piece keeps clear of it."""
    return n.key.split(".")[1], n.piece


def _neighbour_fits(basis: Basis, side: SideLayup, cure: str, both: bool) -> list[Fit]:
    rows = _rows(basis, side)
    shown: list[Neighbour] = []
    kinds: set[tuple[str, str]] = set()
    for over, n in sorted(rows, key=lambda r: (r[0], _kind(r[1]))):
        kind = _kind(n)
        if over < -1e-9 or kind not in kinds:
            shown.append(n)
            kinds.add(kind)
    found = []
    for n in shown:
        name = n.key.removeprefix("panel.")
        figure = basis.ledger[_keys(side)[n.piece]]
        clear, asked = n.figures(basis, figure, f"fit.{side.side}.{n.piece} to {name}")
        what = f"{n.piece} to {n.what}" + (f", {side.side}" if both else "")
        holds = float(clear) >= float(asked) - 1e-9
        about = {"stop": FitKind.NEIGHBOUR, "caution": FitKind.GROUND}[n.weight]
        found.append(Fit(about, what, clear, asked, holds, _words(n, cure) if not holds else ""))
    return found


def _words(n: Neighbour, cure: str) -> str:
    match n.weight:
        case "stop":
            return cure
        case "caution":
            return {
                "tape": "cut the tape off at the panel's edge",
                "cut-out": "there is no core there: find out from the approved data how the cut-out ends "
                "in a solid area",
            }[n.piece]
        case _:
            assert_never(n.weight)


def _zero_length(basis: Basis) -> Figure:
    return basis.ledger.table("fit.at_least", 0.0, "length", source=Source("at least as large as needed"))


def _rolls(basis: Basis, side: SideLayup) -> list[Fit]:
    """For each cloth the ply that is widest across its warp, against the widest roll."""
    by_cloth: dict[str, Ply] = {}
    for ply in side.plies:
        have = by_cloth.get(ply.cloth)
        if have is None or _size_across_warp(ply) > _size_across_warp(have) + 1e-12:
            by_cloth[ply.cloth] = ply
    found = []
    for cloth, ply in sorted(by_cloth.items()):
        rolls = roll_widths(basis, cloth)
        if not rolls:
            continue
        name, width = max(rolls, key=lambda r: float(r[1]))
        key = f"fit.{ply.id}.roll"
        need = basis.ledger.derive(
            f"{key}.across_warp",
            across_warp,
            outline=basis.ledger[f"plies.{ply.id}.outline"],
            warp=basis.ledger[f"plies.{ply.id}.warp"],
        )
        clear = basis.ledger.derive(f"{key}.spare", spare, clear=width, asked=need)
        holds = float(clear) >= -1e-9
        view = basis.case.view
        cure = (
            ""
            if holds
            else (
                f"a roll of {cloth} at least {show(float(need), 'length', view)} between its edges, or a "
                "smaller form of cut-out; a joint in a ply only where the approved data allows one"
            )
        )
        what = f"width of roll {name} for {ply.id}"
        found.append(Fit(FitKind.STORES, what, clear, _zero_length(basis), holds, cure))
    return found


def _size_across_warp(ply: Ply) -> float:
    return float(across_warp(outline=ply.outline, warp=float(ply.warp)))


def _blanket(basis: Basis, side: SideLayup) -> list[Fit]:
    if not plies_under_blanket(basis.case, side.side):
        return []
    outline = basis.ledger[f"plies.{side.largest.id}.outline"]
    best = best_blanket(basis, f"fit.{side.side}.blanket", outline, basis.ledger["cutout.angle"])
    if best is None:
        return []
    name, clear = best
    holds = float(clear) >= -1e-9
    cure = (
        ""
        if holds
        else (f"a blanket {show(-float(clear), 'length', basis.case.view)} larger, or another way of heating")
    )
    what = f"heat blanket {name}, {side.side}"
    return [Fit(FitKind.STORES, what, clear, _zero_length(basis), holds, cure)]
