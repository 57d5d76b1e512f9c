"""Every figure that is compared with 1, in one list: headline and severe findings are both taken from it."""

from __future__ import annotations

from panelmend.job.strength.part import BondRow, Kind, ModeRow, OwnRow, Reserve, Sense, TipRow


def reserves_of(
    bonds: tuple[BondRow, ...], tips: tuple[TipRow, ...], modes: tuple[ModeRow, ...], own: tuple[OwnRow, ...]
) -> tuple[Reserve, ...]:
    """The list, in the order of the report."""
    found: list[Reserve] = []
    for b in bonds:
        if b.reserve is not None:
            found.append(
                Reserve(Kind.BOND, b.reserve, f"{b.side} skin", f"along {b.direction}", b.condition, b.ground)
            )
    for t in tips:
        for kind, value in ((Kind.PEEL, t.peel_reserve), (Kind.PULL, t.pull_reserve)):
            if value is not None:
                found.append(
                    Reserve(
                        kind, value, f"{t.side} skin", f"along {t.direction}", t.condition, "load of the bond"
                    )
                )
    for m in modes:
        if m.reserve is not None:
            what = f"{m.mode}, {m.place}"
            found.append(
                Reserve(Kind.MODE, m.reserve, what, m.where, m.condition, f"case {m.case!r}", m.resolved)
            )
    for o in own:
        if o.ratio is not None:
            side = "" if o.side is None else f", {o.side} skin"
            sense = "" if o.sense is Sense.EITHER else f" in {o.sense}"
            along = f"along {o.direction}, {o.where}" if o.direction else o.where
            found.append(
                Reserve(Kind.OWN, o.ratio, f"{o.what}{side}{sense}", along, o.condition, "no load needed")
            )
    return tuple(found)
