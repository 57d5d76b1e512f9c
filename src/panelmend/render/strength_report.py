"""The strength report as a PDF, and the study as JSON."""

from __future__ import annotations

from typing import Any

from panelmend.job.strength.part import BondRow, Ratio
from panelmend.plan.study import Study
from panelmend.render.card import PAPERS
from panelmend.render.planjson import plan_json
from panelmend.render.typesetting import compile_pdf, compile_png, template
from panelmend.render.views.ratio import LEGEND, ratio_view
from panelmend.render.workings import Workings
from panelmend.units import show

FIELDS = ("strain", "core shear", "strain, hole left open")


def strength_pdf(study: Study) -> bytes:
    """The strength report: the same study gives the same bytes."""
    dated = study.plan.case.document.repair.work_date
    return compile_pdf(template("strength"), strength_data(study), dated=dated)


def strength_png(study: Study, ppi: float = 110.0) -> tuple[bytes, ...]:
    """Every page of the strength report as a picture."""
    return compile_png(template("strength"), strength_data(study), ppi=ppi)


def strength_json(study: Study) -> bytes:
    """Every figure of the study and how it was reached, its part and its findings."""
    about = {
        "repair": study.plan.case.document.repair.number,
        "plan_digest": study.plan.digest,
        "study_digest": study.digest,
        "note": "informs the engineer and approves nothing",
    }
    view = study.plan.case.view
    return plan_json(
        about=about, figures=study.ledger, parts={"strength": study.part}, findings=study.findings, view=view
    )


def strength_data(study: Study) -> dict[str, Any]:
    """Everything the page template shows."""
    plan, part = study.plan, study.part
    case, view = plan.case, plan.case.view
    shown = Workings(study.ledger, view, plan.findings)
    repair = case.document.repair
    maps = [
        drawn.data()
        for m in part.maps
        for what in FIELDS
        if (drawn := ratio_view(m, what, part.hot_spots, part.outlines, (82.0, 66.0))) is not None
    ]
    data: dict[str, Any] = {
        "paper": PAPERS[view],
        "plan": plan.short_digest,
        "digest": study.digest[:12],
        "draft": plan.is_draft,
        "repair": {
            "number": repair.number,
            "title": repair.title,
            "operator": repair.operator,
            "invented": repair.invented,
        },
        "below": part.governing is not None and float(part.governing) < 1.0,
        "governing": shown.part(part.governing) if part.governing is not None else "none",
        "governing-words": part.governing_words,
        "not-checked": list(part.not_checked),
        "loads": [list(row) for row in part.loads],
        "properties": _properties(study),
        "ratios": [_ratio(shown, view, r, f"face, {r.side} skin, E t") for r in part.membrane]
        + [_ratio(shown, view, r, "sandwich, bending, N m") for r in part.bending],
        "bonds": [_bond(shown, view, b) for b in part.bonds],
        "bond-ground": "; ".join(dict.fromkeys(b.ground for b in part.bonds if b.ground)) or "none",
        "modes": [
            {
                "case": m.case,
                "where": m.where,
                "mode": m.mode,
                "place": m.place,
                "reserve": shown.part(m.reserve) if m.reserve is not None else "",
                "reason": m.reason,
            }
            for m in part.modes
        ],
        "legend": LEGEND,
        "maps": maps,
        "spots": [
            {"case": s.case, "what": s.what, "value": shown.part(s.value), "near": s.near}
            for s in part.hot_spots
        ],
        "mass": _mass(shown, study),
        "changes": [
            {"what": c.what, "before": f"{c.before:.3f}", "after": f"{c.after:.3f}", "words": c.words}
            for c in part.changes
        ],
        "assumptions": list(part.assumptions),
    }
    data["workings"] = shown.rows()
    return data


def _properties(study: Study) -> list[list[str]]:
    """Constants of every cloth, core and adhesive that the study rests on, with their source."""
    plan = study.plan
    case, work = plan.case, plan.work
    assert work is not None, "a study of a repair that lays nothing"
    view = case.view
    skins = [p.cloth for p in (*case.geometry.outer, *case.geometry.inner)]
    laid = [p.cloth for p in work.plies.plies if p.role in ("fill", "repair", "extra")]
    rows = []

    def s(value: float | None) -> str:
        return show(value, "stiffness", view, decimals=0) if value is not None else "not given"

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
        words = ", ".join(f"{name} {s(v.value if v is not None else None)}" for name, v in names)
        factor = f"{core.hot_wet_factor.value:g}" if core.hot_wet_factor is not None else "not given"
        rows.append([core.id, f"room; hot and wet x {factor}", words, core.source])
    film = case.document.data.plies.film_adhesive
    ident = film.value if film is not None else work.core.adhesive
    if ident:
        glue = case.catalogue.adhesive(ident)
        pairs = (("G", glue.shear_modulus), ("shear strength", glue.shear_strength))
        words = ", ".join(f"{name} {s(v.value if v is not None else None)}" for name, v in pairs)
        if glue.plastic_strain is not None:
            words += f", plastic strain {glue.plastic_strain.value:g}"
        factor = f"{glue.hot_wet_factor.value:g}" if glue.hot_wet_factor is not None else "not given"
        rows.append([glue.id, f"room; hot and wet x {factor}", words, glue.source])
    return rows


def _ratio(shown: Workings, view: str, ratio: Ratio, what: str) -> dict[str, Any]:
    return {
        "what": what,
        "direction": show(float(ratio.direction), "angle", view, decimals=0),
        "parent": shown.part(ratio.parent),
        "repair": shown.part(ratio.repair),
        "ratio": shown.part(ratio.ratio),
    }


def _bond(shown: Workings, view: str, bond: BondRow) -> dict[str, Any]:
    peaks = "  ".join(f"{name} {show(tau, 'stiffness', view)}" for name, tau in bond.peaks)
    return {
        "side": bond.side,
        "direction": bond.direction,
        "condition": bond.condition,
        "load": shown.part(bond.load) if bond.load is not None else "",
        "reserve": shown.part(bond.reserve) if bond.reserve is not None else "",
        "peaks": peaks,
        "lightly": show(bond.lightly, "length", view) if bond.reserve is not None else "",
        "reason": bond.reason,
    }


def _mass(shown: Workings, study: Study) -> list[list[Any]]:
    part = study.part
    lines: list[list[Any]] = []
    if part.mass_added is not None:
        lines.append(["Mass added, plies laid less plies cut out: ", shown.part(part.mass_added), "."])
    if part.moment_added is None:
        lines.append(["The panel has no hinge line in the document: no moment is compared."])
    elif part.moment_limit is None:
        lines.append(["Moment about the hinge line: ", shown.part(part.moment_added), "; no limit is given."])
    else:
        lines.append(
            [
                "Moment about the hinge line: ",
                shown.part(part.moment_added),
                ", limit ",
                shown.part(part.moment_limit),
                ".",
            ]
        )
    return lines
