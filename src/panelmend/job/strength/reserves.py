"""Every figure that is compared with 1, in one list: headline and severe findings are both taken from it."""

from __future__ import annotations

import math

from panelmend.job.strength.part import BondRow, ModeRow, OwnRow, Reserve, ReserveKind, Rests, Sense, TipRow


def reserves_of(
    bonds: tuple[BondRow, ...],
    tips: tuple[TipRow, ...],
    modes: tuple[ModeRow, ...],
    own: tuple[OwnRow, ...],
    stand_in: bool = False,
) -> tuple[Reserve, ...]:
    """The list, in the order of the report.

    ``stand_in``: the plug's paste stands in for the resin of the patch.
    """
    found: list[Reserve] = []
    paste = (Rests.STAND_IN,) if stand_in else ()
    for b in bonds:
        if b.reserve is not None:
            found.append(
                Reserve(
                    ReserveKind.BOND,
                    b.reserve,
                    f"{b.side} skin",
                    f"along {b.direction}",
                    b.condition,
                    b.ground,
                    rests=paste,
                )
            )
    for t in tips:
        across = (Rests.ACROSS,) if t.across_taken else ()
        for kind, value in ((ReserveKind.PEEL, t.peel_reserve), (ReserveKind.PULL, t.pull_reserve)):
            if value is not None:
                what, along = f"{t.side} skin", f"along {t.direction}"
                peel = kind is ReserveKind.PEEL
                found.append(
                    Reserve(
                        kind,
                        value,
                        what,
                        along,
                        t.condition,
                        "load of the bond and the greatest suction" if t.suction else "load of the bond",
                        t.resolved or not peel,
                        (*across, *paste) if peel else paste,
                    )
                )
    for m in modes:
        if m.reserve is not None:
            what = f"{m.mode}, {m.place}"
            found.append(
                Reserve(
                    ReserveKind.MODE,
                    m.reserve,
                    what,
                    m.where,
                    m.condition,
                    f"case {m.case!r}",
                    m.resolved,
                    m.rests,
                )
            )
    for o in own:
        if o.ratio is not None:
            side = "" if o.side is None else f", {o.side} skin"
            sense = "" if o.sense is Sense.EITHER else f" in {o.sense}"
            along = f"along {o.direction}, {o.where}" if o.direction else o.where
            found.append(
                Reserve(
                    ReserveKind.OWN, o.ratio, f"{o.what}{side}{sense}", along, o.condition, "no load needed"
                )
            )
    return tuple(found)


def three_digits(value: float) -> str:
    """A ratio or reserve [1] to three digits, one below 1 never rounded up to it."""
    shown = f"{value:.2f}" if value >= 0.1 else f"{value:.2g}"
    if value < 1.0 <= float(shown):
        return f"{math.floor(value * 1e4) / 1e4:.4f}"
    return shown
