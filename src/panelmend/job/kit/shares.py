"""What a batch is for: cloth, brush coat, adhesive as spread, coupons, and what stays in cups."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.job.bag.part import BagOperation
from panelmend.job.basis import Basis
from panelmend.job.core.part import CorePart
from panelmend.job.formulas import area_of
from panelmend.job.kit import formulas as f
from panelmend.job.kit.part import Share, WetSheet
from panelmend.job.openings import rim_of
from panelmend.job.plies.part import PliesPart, Ply

_COUPONS = {
    "lap shear": "kit.coupon_lap_shear",
    "flatwise tension": "kit.coupon_flatwise",
    "laminate": "kit.coupon_laminate",
}


def brush_coat(basis: Basis, key: str, bag: BagOperation, plies: PliesPart, core: CorePart) -> Figure | None:
    """Resin brushed on the panel before the first ply: under the largest piece of each skin.

    A cap that is cured in its opening is brushed under as far as the opening: its rim lies on tape.
    """
    groups: list[tuple[str, list[Ply]]] = [
        (s.side, [p for p in s.plies if p.id in bag.plies]) for s in plies.sides
    ]
    laid = [(name, max(own, key=lambda p: p.outline.area)) for name, own in groups if own]
    cap = [p for p in core.cap if p.id in bag.plies]
    if not laid and cap:
        laid = [("cap", max(cap, key=lambda p: p.outline.area))]
    if not bag.on_panel or not laid:
        return None
    ledger = basis.ledger
    coat = basis.usual("kit.brush_coat", basis.case.document.data.resin.brush_coat)
    total = None
    for name, largest in laid:
        if largest in cap and rim_of(bag, core) is not None:
            area = ledger.derive(f"{key}.opening", area_of, outline=ledger["cutout.outline"])
        else:
            area = ledger[f"plies.{largest.id}.area"]
        one = ledger.derive(f"{key}.brush_{name}", f.coat_of, areal_mass=coat, area=area)
        total = one if total is None else ledger.derive(f"{key}.brush", f.sum_of, one=total, other=one)
    return total


def coupon_share(basis: Basis, key: str) -> Figure | None:
    """Resin or adhesive that the witness coupons of one mix take."""
    given = basis.case.document.data.inspection.coupon
    if given is None:
        return None
    made, usual = given.value, _COUPONS[given.value.kind]
    each = (
        basis.given("kit.coupon_each", given, "mass", value=made.resin)
        if made.resin is not None
        else basis.default(usual)
    )
    number = basis.given("kit.coupons", given, value=made.number)
    return basis.ledger.derive(f"{key}.coupons", f.coupons_take, number=number, each=each)


def of_resin(
    basis: Basis, key: str, sheets: list[WetSheet], brushed: Figure | None
) -> tuple[tuple[Share, ...], Figure]:
    """What a batch of laminating resin is for, and all of it together with what stays in cups."""
    shares = [Share("cloth", _sum(basis, f"{key}.on_cloth", [s.resin for s in sheets]))]
    total = _sum(basis, key, [s.mixed for s in sheets])
    if brushed is not None:
        shares.append(Share("brush", brushed))
    return _with_coupons(basis, key, shares, total, brushed)


def of_adhesive(basis: Basis, key: str, mass: Figure) -> tuple[tuple[Share, ...], Figure]:
    """What a batch of adhesive is for; ``mass`` is what is spread, with what stays in cups."""
    spread = basis.ledger.derive(f"{key}.spread", f.without_losses, mass=mass, allowance=allowance_of(basis))
    return _with_coupons(basis, key, [Share("spread", spread)], mass, None)


def _with_coupons(
    basis: Basis, key: str, shares: list[Share], total: Figure, brushed: Figure | None
) -> tuple[tuple[Share, ...], Figure]:
    ledger, more = basis.ledger, [brushed] if brushed is not None else []
    made = coupon_share(basis, key)
    if made is not None:
        shares.append(Share("coupons", made))
        more.append(made)
    if not more:
        return tuple(shares), total
    beside = (
        more[0] if len(more) == 1 else ledger.derive(f"{key}.beside", f.sum_of, one=more[0], other=more[1])
    )
    mixed = ledger.derive(f"{key}.beside_mixed", f.with_losses, mass=beside, allowance=allowance_of(basis))
    return tuple(shares), ledger.derive(f"{key}.need", f.sum_of, one=total, other=mixed)


def _sum(basis: Basis, key: str, figures: list[Figure]) -> Figure:
    total = figures[0]
    for i, figure in enumerate(figures[1:], 2):
        total = basis.ledger.derive(f"{key}.sum_{i}", f.sum_of, one=total, other=figure)
    return total


def allowance_of(basis: Basis) -> Figure:
    """What is mixed beyond what is laid [1]: the data's share, else the usual one."""
    return basis.usual("kit.allowance", basis.case.document.data.resin.allowance)
