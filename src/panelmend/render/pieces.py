"""The templates of a plan: every ply, the plug, the cut-outs and the tape, as they are printed and cut."""

from __future__ import annotations

import re
from dataclasses import replace

from panelmend.job.plies.part import Ply, SideLayup
from panelmend.plan.lay_number import lay_number
from panelmend.plan.plan import Plan
from panelmend.render.curved import TAPE, bent_of, bent_words, darts_permitted
from panelmend.render.template import Heading, Template
from panelmend.shapes import Outline, inside
from panelmend.units import show


def heading_of(plan: Plan) -> Heading:
    """What stands on every sheet of a plan."""
    case = plan.case
    return Heading(
        case.document.repair.number, case.document.panel.name, plan.short_digest, plan.mark, case.view
    )


def templates_of(plan: Plan) -> tuple[Template, ...]:
    """Every template in the order of the work: skin cut-outs, core plug, cap, plies, tape."""
    work = plan.work
    if work is None:
        return ()
    made: list[Template] = []
    for layup in work.plies.sides:
        made.append(_cutout(plan, layup))
    plug = work.core.plug
    if plug is not None:
        made.append(
            Template(
                "PLUG",
                "Core plug",
                "cut core",
                (plug.template,),
                plan.case.catalogue.get(plug.material).name,
                float(plug.ribbon_seen),
                "ribbon",
                True,
                work.core.side,
                False,
                1,
                (f"thickness {show(float(plug.thickness), 'length', plan.case.view)}",),
                laid_in=next((b.name for b in work.bag.operations if "core" in b.lays), ""),
                lot=_core_lot(plan),
            )
        )
    made += [_ply(plan, p) for p in work.core.cap]
    if work.core.cap_template is not None:
        made.append(_trimmed_cap(plan, work.core.cap_template))
    for layup in work.plies.sides:
        cut = template_outline(layup, layup.cutout)
        made += [_ply(plan, p, cut) for p in sorted(layup.plies, key=lambda p: p.lay_order)]
        tape = _tape(layup)
        if tape is not None:
            made.append(tape)
    return _on_the_bend(plan, made)


def _on_the_bend(plan: Plan, made: list[Template]) -> tuple[Template, ...]:
    """The same with what a double bend does to each, and its darts where they are permitted."""
    bent = bent_of(plan)
    if not bent or plan.work is None:
        return tuple(made)
    layups = {s.side: s for s in plan.work.plies.sides}
    done = []
    for t in made:
        b = bent.get(t.id)
        if b is None:
            done.append(replace(t, curve=(TAPE,)))
            continue
        darts = b.darts if darts_permitted(plan) and t.operation == "cut cloth" else ()
        drawn = tuple(template_outline(layups[b.side], d.outline) for d in darts)
        done.append(replace(t, curve=bent_words(plan, b), darts=drawn))
    return tuple(done)


def _ply(plan: Plan, ply: Ply, cut: Outline | None = None) -> Template:
    """The template of a ply; the cut-out is shown on it where it lies well inside."""
    film = ply.role == "film adhesive"
    title = {"cap": "Cap", "film adhesive": "Film adhesive"}.get(ply.role, f"{ply.role.capitalize()} ply")
    if float(ply.trim) > 0:
        title += ", corners trimmed"
    operation, number = lay_number(plan, ply.id)
    notes = (f"number {number} of {operation}, on the {ply.side}",) if number else ()
    lot, out_time = _stock(plan, ply.id)
    return Template(
        ply.id,
        title,
        "cut cloth",
        (ply.template,),
        plan.case.catalogue.get(ply.cloth).name,
        None if film else float(ply.warp_seen),
        "warp",
        ply.half_turn,
        ply.side,
        ply.faced,
        1,
        notes,
        (cut,) if cut is not None and inside(cut, ply.template, 2e-3) else (),
        laid_in=operation,
        lay=number,
        lot=lot,
        out_time=out_time,
    )


def _stock(plan: Plan, piece: str) -> tuple[str, str]:
    """Lot of the roll a piece is cut from and the time it was out of the freezer; "" where not known."""
    assert plan.work is not None, "a piece without work to do"
    strips = [
        layout.strip.id
        for item in plan.work.nest.cloths
        for layout in item.nest.layouts
        if any(p.piece == piece for p in layout.placements)
    ]
    for roll in plan.case.document.stores.roll:
        if strips and (roll.id in strips or any(r.id in strips for r in roll.remnant)):
            out = show(roll.out_time, "time", plan.case.view, unit="h", decimals=1, limit="least")
            return roll.lot, out if roll.out_life else ""
    return "", ""


def _core_lot(plan: Plan) -> str:
    """Lot of the core sheet the kit takes the plug from, one piece; "" where the stores have none."""
    assert plan.work is not None, "a plug without work to do"
    return next((p.lot for x in plan.work.kit.lines if x.group == "core" for p in x.picks), "")


def _trimmed_cap(plan: Plan, outline: Outline) -> Template:
    """A cap that was cured on a plate, trimmed to go into the opening."""
    assert plan.work is not None, "a cap without work to do"
    core = plan.work.core
    gap = show(float(core.cap_gap), "length", plan.case.view) if core.cap_gap is not None else ""
    return Template(
        "CAP-TRIM",
        "Cured cap: trim to this line",
        "cut skin",
        (outline,),
        "cured cap, its upper peel ply left on",
        None,
        "",
        False,
        core.side,
        False,
        1,
        (f"{gap} inside the opening all round",),
    )


def _cutout(plan: Plan, layup: SideLayup) -> Template:
    word = "OUT" if layup.side == "outside" else "IN"
    return Template(
        f"{word}-CUT",
        f"Cut-out in the {layup.side} skin",
        "cut skin",
        (template_outline(layup, layup.cutout),),
        "panel skin: cut to the marked line",
        None,
        "",
        False,
        layup.side,
        False,
        1,
    )


def _tape(layup: SideLayup) -> Template | None:
    if layup.tape_outer is None or layup.tape_inner is None:
        return None
    word = "OUT" if layup.side == "outside" else "IN"
    return Template(
        f"{word}-TAPE",
        "PTFE tape line, just outside the last ply",
        "mark",
        (template_outline(layup, layup.tape_outer), template_outline(layup, layup.tape_inner)),
        "PTFE tape",
        None,
        "",
        False,
        layup.side,
        False,
        1,
    )


def template_outline(layup: SideLayup, outline: Outline) -> Outline:
    """An outline of standard axes as a template of this skin: about its centre, seen from its side."""
    moved = outline.moved(-layup.centre[0], -layup.centre[1])
    return moved if layup.seen_from == "outside" else moved.mirrored_y()


def slug(name: str) -> str:
    """A name as part of a file name: letters, digits and hyphens."""
    return re.sub(r"[^A-Za-z0-9]+", "-", name).strip("-").lower() or "x"
