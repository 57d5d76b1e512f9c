"""Mass added by the repair, and its moment about a hinge line."""

from __future__ import annotations

from panelmend.derive import Figure, Source
from panelmend.job.basis import Basis
from panelmend.job.strength import formulas as f
from panelmend.job.strength.as_laid import AsLaid

RULE = Source("common practice, no source")


def mass_added(basis: Basis, lay: AsLaid) -> Figure:
    """Plies and adhesive laid, less the plies cut out; the plug weighs what the core weighed."""
    ledger, case = basis.ledger, lay.case
    resin = basis.usual("kit.resin_to_cloth", case.document.data.resin.resin_to_cloth)
    total = ledger.typed("strength.mass.nothing", 0.0, "mass", source=RULE)
    rows: list[tuple[str, Figure, str, bool]] = [
        (f"ply.{p.id}", p.area, p.cloth, False)
        for p in (*lay.core.cap, *lay.plies.plies)
        if p.role != "film adhesive"
    ]
    area = lay.cutout.opening.area
    for side in ("outside", "inside"):
        for i, (cloth, _, _) in enumerate(lay.cut(side), 1):
            rows.append((f"cut.{side}.{i}", area, cloth, True))
    for name, extent, ident, gone in rows:
        fabric = case.catalogue.cloth(ident)
        areal = basis.table(f"materials.{ident}.areal_mass", fabric.areal_mass, "areal mass", of=fabric)
        key = f"strength.mass.{name}"
        mass = ledger.derive(key, f.ply_mass, area=extent, areal_mass=areal, resin=resin)
        if gone:
            mass = ledger.derive(f"{key}.taken", f.taken_away, mass=mass)
        total = ledger.derive(f"{key}.so_far", f.mass_with, before=total, more=mass)
    return total


def moment_added(
    basis: Basis, mass: Figure, centre: tuple[float, float]
) -> tuple[Figure | None, Figure | None]:
    """Moment [N m] of the added mass, at ``centre`` [m], about the hinge line and its limit; None where
    there is no hinge line."""
    case, hinge = basis.case, basis.case.document.panel.hinge
    if hinge is None or case.geometry.hinge is None:
        return None, None
    far = f.distance_to_line(centre, case.geometry.hinge)
    distance = basis.typed("strength.hinge_distance", far, "length", path="panel.hinge")
    moment = basis.ledger.derive("strength.hinge_moment", f.hinge_moment, mass=mass, distance=distance)
    limit = None
    if hinge.moment_limit is not None:
        source = Source(case.document.data.manual.number, hinge.place or "panel.hinge")
        limit = basis.ledger.approved("strength.hinge_limit", hinge.moment_limit, "moment", source=source)
    return moment, limit
