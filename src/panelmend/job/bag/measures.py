"""What a bag is built over, and what is measured on any bag: its force, its leak, the way of its air."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.derive import Figure, Source
from panelmend.document.approved import CurePart
from panelmend.document.panel import Side
from panelmend.job import air
from panelmend.job.bag.air_path import AirPath, ProofSheet, prove_air_path
from panelmend.job.bag.formulas import force_of_bag, gas_under_bag, leak_throughput
from panelmend.job.bag.formulas import middle_of as middle_of
from panelmend.job.bag.part import BagLayer, Leak, Point
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.plies.part import PliesPart
from panelmend.shapes import Outline


@dataclass(frozen=True)
class Under:
    """What lies under one bag: its outline, the hole in that skin, and the direction of its rectangles."""

    lays: tuple[CurePart, ...]
    bonds_cap: bool
    patch: Outline
    key: str
    side: Side
    angle: Figure
    opening: Outline

    @property
    def direction(self) -> float:
        """Direction of the length [rad]."""
        return float(self.angle)


@dataclass(frozen=True)
class BaggedRepair:
    """The repair the bags are for."""

    case: Case
    cutout: CutoutPart
    plies: PliesPart
    core: CorePart


def force_on(basis: Basis, key: str, *, bagged: bool) -> Figure:
    """The most that presses on one side of a bag [N], drawn empty: what holds the panel bears it."""
    ledger = basis.ledger
    if not bagged:
        return ledger.table(f"{key}.force", 0.0, "force", source=Source("no bag"))
    return ledger.derive_limit(
        "least",
        "force",
        f"{key}.force",
        force_of_bag,
        pressure=air.most_pressure_of(basis),
        length=ledger[f"{key}.seal_length"],
        width=ledger[f"{key}.seal_width"],
    )


def proof_of(layers: tuple[BagLayer, ...], patch: Outline, fittings: tuple[Point, ...]) -> AirPath:
    """The way of the air from what is cured to the vacuum bases."""
    sheets = tuple(
        ProofSheet(f"{layer.order}. {layer.use}", layer.air, layer.outlines, layer.hole)
        for layer in layers
        if layer.air != "apart" and layer.outlines and not layer.below
    )
    return prove_air_path(sheets, patch, fittings)


def leak_flow(basis: Basis, key: str, layers: tuple[BagLayer, ...], drop: Figure, time: Figure) -> Leak:
    """The flow that the leak test's limits allow, where the breather's thickness is known."""
    ledger = basis.ledger
    ident = next((layer.material for layer in layers if layer.use == "breather"), "")
    breather = basis.case.catalogue.bagging(ident) if ident else None
    if breather is None or breather.thickness is None or f"{key}.seal_length" not in ledger:
        return Leak(ident, None, None)
    volume = ledger.derive(
        f"{key}.gas",
        gas_under_bag,
        length=ledger[f"{key}.seal_length"],
        width=ledger[f"{key}.seal_width"],
        thickness=basis.table(f"bag.{ident}.thickness", breather.thickness, "length", of=breather),
    )
    flow = ledger.derive(f"{key}.leak_flow", leak_throughput, volume=volume, drop=drop, duration=time)
    return Leak(ident, volume, flow)
