"""What was made by the earlier plan, judged by what it is: opening, plug, what is bonded, pieces, mixes."""

from __future__ import annotations

from panelmend.errors import Finding, confirm_code, stop_code
from panelmend.job.card.order import Place
from panelmend.plan.again.part import Fate, Made
from panelmend.plan.again.same import (
    FINE,
    deepness,
    openings,
    past,
    plies_by_name,
    same_openings,
    same_plug,
    same_ply,
    unlike_making,
    unlike_plug,
)
from panelmend.plan.plan import Plan
from panelmend.shapes import Outline
from panelmend.units import show

J227 = stop_code(
    "J227",
    "The cut already made reaches past the opening in the new plan",
    "stop: the opening must contain everything already cut; pin a larger cut-out (choice.cutout) or ask the "
    "engineer",
)
J228 = confirm_code(
    "J228",
    "What is already bonded does not fit the new plan and must come out",
    "have the engineer say how to take it out; count that as damage before anyone measures the opening again",
)
J300 = confirm_code(
    "J300",
    "What is already cured has other materials or another cure than the new plan",
    "have the engineer say whether it stays; if not, take it out before anyone measures the opening again",
)
MIXED, WETTED, CUT, LAID, HEATED = "O11", "O15", "O16", "O18", "O22"


def _opened(done: frozenset[Place]) -> bool:
    return any(p.id == "B7" for p in done)


def opening_made(old: Plan, new: Plan, done: frozenset[Place], found: list[Finding], view: str) -> list[Made]:
    """The hole in each skin: it may grow, it cannot shrink."""
    if not _opened(done):
        return []
    rows = []
    after = openings(new)
    for side, was in openings(old).items():
        what = f"opening in the {side} skin"
        now = after.get(side)
        if now is None:
            rows.append(Made(what, Fate.MISFIT, "the new plan has no opening there"))
            found.append(J227(f"{side}: the new plan has no opening there", place="cutout"))
            continue
        over, short = past(was, now), past(now, was)
        if over > FINE:
            words = f"{show(over, 'length', view, limit='least')} past the new one"
            rows.append(Made(what, Fate.MISFIT, f"what is cut reaches {words}"))
            found.append(J227(f"{side}: {words}", place="cutout"))
        elif short > FINE:
            rows.append(
                Made(what, Fate.AGAIN, f"cut on by up to {show(short, 'length', view, limit='least')}")
            )
        else:
            rows.append(Made(what, Fate.STAYS, "the same in both plans"))
    rows += [
        Made(f"opening in the {side} skin", Fate.NEW, "only the new plan has it")
        for side in after
        if side not in openings(old)
    ]
    deep, was_deep = deepness(new), deepness(old)
    if deep != was_deep:
        rows.append(Made("depth", Fate.AGAIN, f"{was_deep} before, {deep} now"))
    return rows


def plug_made(old: Plan, new: Plan, done: frozenset[Place]) -> list[Made]:
    """What becomes of the plug that was cut: it stays, is cut to size, or is scrap.

    Nothing where none was cut, or where it is bonded already.
    """
    plug = None if old.work is None else old.work.core.plug
    if plug is None or not any(p.id == "D2" for p in done) or _laid_with(old, done, core=True):
        return []
    now = None if new.work is None else new.work.core.plug
    if now is None:
        return [Made("core plug", Fate.SCRAP, "the new plan has no plug")]
    unlike = unlike_plug(plug, now)
    if unlike:
        return [Made("core plug", Fate.SCRAP, f"the new plug is {unlike}")]
    return [Made("core plug", *_outline_fate(plug.outline, now.outline))]


def _outline_fate(was: Outline, now: Outline) -> tuple[Fate, str]:
    lacks, over = past(now, was), past(was, now)
    if lacks > FINE:
        return Fate.SCRAP, "too small for the new plan: cut another"
    if over > FINE:
        return Fate.SMALLER, "larger than the new one: trim it to the new template"
    return Fate.STAYS, "the same in both plans"


def _laid_with(plan: Plan, done: frozenset[Place], *, core: bool) -> bool:
    """Whether an operation that lays the core was heated."""
    if plan.work is None:
        return False
    heated = {p.operation for p in done if p.id in (LAID, "O17")}
    return any(b.number in heated and ("core" in b.lays) is core for b in plan.work.bag.operations)


def bonded_made(old: Plan, new: Plan, done: frozenset[Place], found: list[Finding]) -> list[Made]:
    """What is laid or cured: it stays only where nothing under it or in it changed."""
    if old.work is None:
        return []
    rows = []
    now, same_hole = plies_by_name(new), same_openings(old, new)
    others = {} if new.work is None else {b.name: b for b in new.work.bag.operations}
    gone = False
    for bag in old.work.bag.operations:
        if not any(p.operation == bag.number and p.id in (LAID, "O17") for p in done):
            continue
        cured = any(p.operation == bag.number and p.id == HEATED for p in done)
        mine = [p for i, p in plies_by_name(old).items() if i in bag.plies]
        unlike = [p.id for p in mine if not same_ply(p, now.get(p.id))]
        plug = "core" not in bag.lays or same_plug(old, new)
        what = f"{bag.name}: {'cured' if cured else 'laid, not cured'}"
        other = others.get(bag.name)
        if not gone and same_hole and plug and not unlike and other is not None:
            making = unlike_making(old, new, bag, other)
            if not making:
                why = "the same in both plans, and so is all it lies on"
                rows.append(Made(what, Fate.STAYS, why, bag.number))
                continue
            if cured:
                rows.append(Made(what, Fate.MISFIT, f"{making} in the new plan", bag.number))
                found.append(J300(f"{bag.name}: {making} in the new plan", place=f"cure.{bag.number}"))
                continue
        reason = (
            "the opening changes"
            if not same_hole
            else "another plug"
            if not plug
            else f"other plies: {', '.join(unlike)}"
            if unlike
            else "what it lies on comes out"
            if gone
            else "the new plan has no such operation"
            if other is None
            else f"{unlike_making(old, new, bag, other)} in the new plan"
        )
        gone = True
        rows.append(Made(what, Fate.OUT, reason, bag.number))
        if cured:
            found.append(J228(f"{bag.name}: {reason}", place=f"cure.{bag.number}"))
    return rows


def pieces_made(old: Plan, new: Plan, done: frozenset[Place]) -> list[Made]:
    """Pieces cut and mixes made for what is not laid yet."""
    if old.work is None:
        return []
    rows, now = [], plies_by_name(new)
    for bag in old.work.bag.operations:
        have = {p.id for p in done if p.operation == bag.number}
        if LAID in have:
            continue
        if MIXED in have:
            rows.append(
                Made(f"{bag.name}: what is mixed", Fate.SCRAP, "its pot life runs; mix anew for the new plan")
            )
        for ply in (p for i, p in plies_by_name(old).items() if i in bag.plies and CUT in have):
            if WETTED in have:
                rows.append(Made(f"piece {ply.id}", Fate.SCRAP, "wetted out: it cannot wait"))
                continue
            other = now.get(ply.id)
            if other is None or other.cloth != ply.cloth or abs(float(other.warp) - float(ply.warp)) > 1e-6:
                rows.append(Made(f"piece {ply.id}", Fate.SCRAP, "the new plan has no such ply"))
            else:
                rows.append(Made(f"piece {ply.id}", *_outline_fate(ply.outline, other.outline)))
    return rows
