"""What of two plans is the same: openings, plug, pieces."""

from __future__ import annotations

import math

from panelmend.document.recipe import Cure
from panelmend.job.bag.part import BagOperation
from panelmend.job.core.part import Plug
from panelmend.job.plies.part import Ply
from panelmend.plan.plan import Plan
from panelmend.shapes import Outline, overlap
from panelmend.units import show

FINE = 1e-5  # m: cut by hand, nobody tells less
TURNED = 1e-6  # rad


def past(inner: Outline, outer: Outline) -> float:
    """How far one outline reaches past another [m]."""
    return overlap.farthest_outside(inner, outer)[0]


def openings(plan: Plan) -> dict[str, Outline]:
    """Cut-outs of a plan by side; none of a plan without work."""
    if plan.work is None:
        return {}
    return {layup.side: layup.cutout for layup in plan.work.plies.sides}


def deepness(plan: Plan) -> str:
    """How deep the damage goes as typed, in words and in the reader's units."""
    damage = plan.case.document.damage
    depth = damage.core_depth
    return damage.depth if depth is None else f"{damage.depth}, core {show(depth, 'length', plan.case.view)}"


def depth_of(plan: Plan) -> tuple[str, float | None]:
    """How deep the damage goes, and how deep into the core [m], as typed."""
    damage = plan.case.document.damage
    return damage.depth, damage.core_depth


def plies_by_name(plan: Plan) -> dict[str, Ply]:
    """Every ply of a plan by its ident, cap plies of the plug too."""
    if plan.work is None:
        return {}
    every = (*plan.work.core.cap, *(p for layup in plan.work.plies.sides for p in layup.plies))
    return {p.id: p for p in every}


def same_ply(a: Ply, b: Ply | None) -> bool:
    """Whether a piece cut for one ply serves as the other: cloth, warp and outline alike."""
    if b is None or a.cloth != b.cloth or abs(float(a.warp) - float(b.warp)) > 1e-6:
        return False
    return max(past(a.outline, b.outline), past(b.outline, a.outline)) <= FINE


def same_pieces(old: Plan, new: Plan) -> bool:
    """Whether all plies and the plug are alike."""
    a, b = plies_by_name(old), plies_by_name(new)
    return a.keys() == b.keys() and all(same_ply(a[i], b[i]) for i in a) and same_plug(old, new)


def step_names(plan: Plan) -> dict[int, str]:
    """Names of the operations of a plan by number."""
    return {} if plan.work is None else {b.number: b.name for b in plan.work.bag.operations}


def same_openings(old: Plan, new: Plan) -> bool:
    """Whether the cut-outs are alike, to the width of a hand's cut, and as deep."""
    a, b = openings(old), openings(new)
    return (
        depth_of(old) == depth_of(new)
        and a.keys() == b.keys()
        and all(max(past(a[s], b[s]), past(b[s], a[s])) <= FINE for s in a)
    )


def same_plug(old: Plan, new: Plan) -> bool:
    """Whether the plugs are alike, in outline and make; where one is missing, whether the core is."""
    a = None if old.work is None else old.work.core.plug
    b = None if new.work is None else new.work.core.plug
    if a is None or b is None:
        return a is b and core_made(old) == core_made(new)
    outlines = max(past(a.outline, b.outline), past(b.outline, a.outline))
    return outlines <= FINE and not unlike_plug(a, b)


def core_made(plan: Plan) -> str:
    """What is done to the core: nothing, potted, replaced; "" where nothing is planned."""
    return "" if plan.work is None else plan.work.core.action


def unlike_plug(a: Plug, b: Plug) -> str:
    """In what two plugs differ besides their outline, in words; "" for like ones."""
    if a.material != b.material:
        return "of another core"
    if abs(float(a.thickness) - float(b.thickness)) > FINE:
        return "of another thickness"
    if abs(math.remainder(float(a.ribbon) - float(b.ribbon), math.pi)) > TURNED:
        return "with its ribbon lying another way"
    return ""


def unlike_making(old: Plan, new: Plan, a: BagOperation, b: BagOperation) -> str:
    """In what two operations that lay the same differ, in words: materials, cure; "" for like ones."""
    if _mixed(old, a.name) != _mixed(new, b.name):
        return "other resin or adhesive"
    if _recipe(a) != _recipe(b):
        return "another cure"
    return ""


def _mixed(plan: Plan, name: str) -> list[tuple[str, str]]:
    mixes = () if plan.work is None else plan.work.kit.mixes
    return sorted((m.id, m.material) for m in mixes if m.operation == name)


def _recipe(bag: BagOperation) -> Cure:
    return bag.cure.model_copy(update={"name": "", "place": ""})
