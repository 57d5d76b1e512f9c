"""Rows of the strength report's tables."""

from __future__ import annotations

from typing import Any

from panelmend.derive import Figure
from panelmend.document.ply_kinds import CARRIES
from panelmend.job.strength.as_laid import DIRECTIONS
from panelmend.job.strength.part import (
    BondRow,
    HotSpot,
    ModeRow,
    OwnRow,
    Ratio,
    Region,
    Reserve,
    ReserveKind,
    TipRow,
)
from panelmend.job.strength.reserves import three_digits
from panelmend.plan.strength_study import StrengthStudy
from panelmend.render.workings import Workings, stress
from panelmend.units import show


def reserve_line(shown: Workings, row: Reserve) -> dict[str, Any]:
    """One line of the summary on the first page."""
    where = ", ".join(w for w in (row.what, row.where) if w)
    return {
        "kind": row.kind.value,
        "value": shown.part(row.value),
        "where": where,
        "condition": row.condition,
        "ground": row.ground,
        "resolved": row.resolved,
        "rests": "; ".join(row.rests),
        "peel": row.kind is ReserveKind.PEEL,
    }


def properties(study: StrengthStudy) -> list[list[str]]:
    """Constants of every cloth, core and adhesive that the study rests on, with their source."""
    plan = study.plan
    case, work = plan.case, plan.work
    assert work is not None, "a study of a repair that lays nothing"
    view = case.view
    skins = [p.cloth for p in (*case.geometry.outer, *case.geometry.inner)]
    laid = [p.cloth for p in work.plies.plies if p.role in CARRIES]
    rows = []

    def s(value: float | None) -> str:
        return stress(value, view)

    for ident in dict.fromkeys([*skins, *laid]):
        cloth = case.catalogue.cloth(ident)
        for condition, values in (("room", cloth.room), ("hot and wet", cloth.hot_wet)):
            if values is None:
                rows.append([cloth.id, condition, "not given", cloth.source])
                continue
            moduli = f"E1 {s(values.e1)}, E2 {s(values.e2)}, G12 {s(values.g12)}, nu12 {values.nu12:g}"
            strengths = (
                f"Xt {s(values.xt)}, Xc {s(values.xc)}, Yt {s(values.yt)}, Yc {s(values.yc)}, S {s(values.s)}"
            )
            rows.append([cloth.id, condition, f"{moduli}; {strengths}", cloth.source])
    cores = [case.document.panel.core.material]
    cores += [work.core.plug.material] if work.core.plug is not None else []
    for ident in dict.fromkeys(cores):
        core = case.catalogue.core(ident)
        names = [("GL", core.g_ribbon), ("GW", core.g_across), ("Ez", core.e_through)]
        names += [("FL", core.s_ribbon), ("FW", core.s_across), ("crush", core.crush_strength)]
        names += [("tension", core.tension_strength)] if core.tension_strength is not None else []
        words = ", ".join(f"{name} {s(v.value if v is not None else None)}" for name, v in names)
        factor = f"{core.hot_wet_factor.value:g}" if core.hot_wet_factor is not None else "not given"
        rows.append([core.id, f"room; hot and wet x {factor}", words, core.source])
    film = case.document.data.plies.film_adhesive
    for ident in dict.fromkeys(i for i in (film.value if film is not None else "", work.core.adhesive) if i):
        glue = case.catalogue.adhesive(ident)
        pairs = (
            ("G", glue.shear_modulus),
            ("yield in shear", glue.shear_strength),
            ("peel", glue.peel_strength),
            ("modulus across the layer", glue.peel_modulus),
            ("flatwise to core", glue.flatwise_strength),
        )
        words = ", ".join(f"{name} {s(v.value if v is not None else None)}" for name, v in pairs)
        if glue.plastic_strain is not None:
            words += f", plastic strain {glue.plastic_strain.value:g}"
        factor = f"{glue.hot_wet_factor.value:g}" if glue.hot_wet_factor is not None else "not given"
        rows.append([glue.id, f"room; hot and wet x {factor}", words, glue.source])
    return rows


def ratio_row(shown: Workings, view: str, ratio: Ratio, what: str) -> dict[str, Any]:
    """One stiffness, sound and repaired."""
    return {
        "what": what,
        "direction": show(float(ratio.direction), "angle", view, decimals=0),
        "parent": shown.part(ratio.parent),
        "repair": shown.part(ratio.repair),
        "ratio": shown.part(ratio.ratio),
    }


def bond_row(shown: Workings, view: str, bond: BondRow) -> dict[str, Any]:
    """One bond in one direction and condition."""
    peaks = "  ".join(f"{name} {stress(tau, view)}" for name, tau in bond.peaks)
    return {
        "side": bond.side,
        "direction": bond.direction,
        "condition": bond.condition,
        "load": shown.part(bond.load) if bond.load is not None else "",
        "drawn": shown.part(bond.drawn) if bond.drawn is not None else "",
        "reserve": shown.part(bond.reserve) if bond.reserve is not None else "",
        "peaks": peaks,
        "lightly": show(bond.lightly, "length", view) if bond.reserve is not None else "",
        "reason": bond.reason,
    }


def shown_bonds(rows: tuple[BondRow, ...]) -> list[BondRow]:
    """Rows along the table's directions, and of the others the least of each skin and condition."""
    main = {name for name, _ in DIRECTIONS}
    found = [b for b in rows if b.direction in main]
    for key in dict.fromkeys((b.side, b.condition) for b in rows):
        here = [b for b in rows if (b.side, b.condition) == key and b.reserve is not None]
        least = min(here, key=lambda b: float(_known(b.reserve)), default=None)
        if least is not None and least not in found:
            found.append(least)
    return sorted(found, key=lambda b: (b.side != "outside", b.condition != "room"))


def shown_tips(rows: tuple[TipRow, ...]) -> list[TipRow]:
    """Rows along the table's directions, and of the others the least of each skin and condition."""
    main = {name for name, _ in DIRECTIONS}
    found = [t for t in rows if t.direction in main]
    for key in dict.fromkeys((t.side, t.condition) for t in rows):
        here = [t for t in rows if (t.side, t.condition) == key]
        for known in ("peel_reserve", "pull_reserve"):
            have = [t for t in here if getattr(t, known) is not None]
            least = min(have, key=lambda t: float(getattr(t, known)), default=None)
            if least is not None and least not in found:
                found.append(least)
    return sorted(found, key=lambda t: (t.side != "outside", t.condition != "room"))


def tip_row(shown: Workings, view: str, tip: TipRow) -> dict[str, Any]:
    """Peel and pull of one bond."""

    def one(stress: Figure | None, reserve: Figure | None, lacks: str) -> list[Any]:
        return [
            shown.part(stress) if stress is not None else "",
            shown.part(reserve) if reserve is not None else "",
            lacks if reserve is None else "",
        ]

    return {
        "head": [tip.side, tip.direction, tip.condition],
        "peel": one(tip.peel, tip.peel_reserve, tip.no_peel),
        "unsure": "" if tip.resolved else f"NOT RESOLVED: {stress(tip.before, view)} on the mesh before",
        "pull": one(tip.pull, tip.pull_reserve, tip.no_pull),
    }


def mode_lines(shown: Workings, rows: tuple[ModeRow, ...]) -> list[dict[str, Any]]:
    """Each mode once: the worst of the repaired panel with its region, and the sound panel's."""
    lines: list[dict[str, Any]] = []
    for key in dict.fromkeys((m.case, m.condition, m.mode, m.place) for m in rows):
        here = [m for m in rows if (m.case, m.condition, m.mode, m.place) == key]
        repaired = [m for m in here if m.where is not Region.SOUND]
        worst = _least(repaired)
        sound = _least([m for m in here if m.where is Region.SOUND])
        case, condition, mode, place = key
        lines.append(
            {
                "case": case,
                "condition": condition,
                "mode": mode,
                "place": place,
                "repaired": _mode_value(shown, worst, here),
                "region": worst.where.value if worst is not None else "",
                "sound": _mode_value(shown, sound, here),
            }
        )
    return lines


def _least(rows: list[ModeRow]) -> ModeRow | None:
    return min((r for r in rows if r.reserve is not None), key=lambda r: float(r.reserve), default=None)  # type: ignore[arg-type]


def _mode_value(shown: Workings, row: ModeRow | None, rows: list[ModeRow]) -> dict[str, Any]:
    if row is None or row.reserve is None:
        return {"value": "", "words": next((r.reason for r in rows if r.reason), ""), "resolved": True}
    words = resolved_words(row.resolved, row.before, row.error)
    return {"value": shown.part(row.reserve), "words": words, "resolved": row.resolved}


def resolved_words(resolved: bool, before: float | None, error: float | None) -> str:
    """How sure a figure of the plate model is."""
    if resolved:
        return f"± {100.0 * error:.1f} %" if error is not None else ""
    return (
        f"NOT RESOLVED: {three_digits(before)} on the grid before" if before is not None else "NOT RESOLVED"
    )


def spot_row(shown: Workings, spot: HotSpot) -> dict[str, Any]:
    """One largest ratio with its estimated error."""
    return {
        "case": spot.case,
        "what": spot.what,
        "value": shown.part(spot.value),
        "sure": resolved_words(spot.resolved, spot.before, spot.error),
        "resolved": spot.resolved,
        "near": spot.near,
    }


def own_lines(shown: Workings, rows: tuple[OwnRow, ...]) -> list[dict[str, Any]]:
    """Each ability, side and condition once: the direction and sense in which the ratio is least."""
    lines = []
    for key in dict.fromkeys((o.what, o.side, o.condition) for o in rows):
        here = [o for o in rows if (o.what, o.side, o.condition) == key]
        known = [o for o in here if o.ratio is not None]
        what, side, condition = key
        line: dict[str, Any] = {
            "what": what.value + (f", {side} skin" if side else ""),
            "condition": condition,
            "reason": next((o.reason for o in here if o.reason), ""),
        }
        if known:
            worst = min(known, key=lambda o: float(_known(o.ratio)))
            line |= {
                "direction": worst.direction,
                "sense": worst.sense.value,
                "where": worst.where,
                "sound": shown.part(_known(worst.sound)),
                "repair": shown.part(_known(worst.repair)),
                "ratio": shown.part(_known(worst.ratio)),
            }
        else:
            line |= dict.fromkeys(("direction", "sense", "where", "sound", "repair", "ratio"), "")
        lines.append(line)
    return lines


def _known(figure: Figure | None) -> Figure:
    assert figure is not None, "a row with a ratio has its two figures"
    return figure
