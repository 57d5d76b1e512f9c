"""The bench pages: at most two sides with everything one works by."""

from __future__ import annotations

import math
from typing import Any

from panelmend.derive import Figure
from panelmend.document.panel import Side
from panelmend.job.bag.part import BagOperation
from panelmend.job.basis import Basis
from panelmend.job.card.beside import at_the_bench
from panelmend.job.card.directions import bracketed, direction_words, line, position, turn_of_cutout
from panelmend.job.card.heating import as_set, rate_set
from panelmend.job.card.holds import HOLDS
from panelmend.job.card.mixing import ASK_MAKER
from panelmend.job.card.pressed import pressed_by
from panelmend.job.forms import has_corners
from panelmend.job.kit.part import Mix
from panelmend.job.openings import rim_of
from panelmend.job.plies.part import Ply, SideLayup
from panelmend.plan.lay_number import lay_number
from panelmend.plan.plan import Plan
from panelmend.render.curved import HEADS, NOTE, bent_rows
from panelmend.render.views import bag_plan, core_view, cutout_view, layup_section
from panelmend.render.workings import Workings

WIDE = 178.0  # [mm] a page between its margins
HEATER = {"blanket": "no blanket", "oven": "oven", "room temperature": "not heated"}
"""What heats a cure that has no blanket chosen."""


def bench_data(plan: Plan, shown: Workings) -> dict[str, Any] | None:
    """What the bench pages show; None where no repair is made."""
    work = plan.work
    if work is None:
        return None
    sides = work.plies.sides
    few = 1 if len(sides) == 1 else 2
    made = max(1, sum(_mapped(b) for b in work.bag.operations))
    wide = min(88.0, WIDE / made)
    return {
        "directions": _directions(plan),
        "beside": at_the_bench(plan.case),
        "cutout": cutout_view(plan.case, work.cutout, (86.0, 86.0 if few == 1 else 52.0)).data(),
        "core": None
        if (seen := core_view(plan.case, work.core, (86.0, 86.0 if few == 1 else 52.0))) is None
        else seen.data(),
        "where": [_centre_words(plan, shown, s.side) for s in sides],
        "opening": _opening(plan, shown),
        "layups": [_layup(plan, shown, s) for s in sides],
        "mixes": [_mix(plan, shown, m) for m in work.kit.mixes],
        "cures": [_cure(plan, shown, b) for b in work.bag.operations],
        "maps": [
            bag_plan(
                plan.case,
                b,
                next(o.sensors for o in work.cure.operations if o.number == b.number),
                (wide, 64.0 if made < 3 else 50.0),
            ).data()
            for b in work.bag.operations
            if _mapped(b)
        ],
        "holds": _hold_points(plan),
        "absent": _absent(plan),
        "cautions": _cautions(plan),
    }


def _directions(plan: Plan) -> str:
    case = plan.case
    named = [(a, direction_words(case, math.radians(a))) for a in (0, 90, 180, 270)]
    said = ", ".join(f"{a}°\u00a0{w}" for a, w in named if w)
    zero = f"0° is {case.document.panel.zero}"
    return f"{zero}; seen from the outside {said}" if said else zero


def _centre_words(plan: Plan, shown: Workings, side: Side) -> list[Any]:
    assert plan.work is not None, "no work, no place"
    one, two = position(Basis(plan.case, plan.ledger), plan.work, side)
    return [
        f"Centre, seen from the {side}: ",
        shown.part(one.distance),
        f" from the {one.edge}, ",
        shown.part(two.distance),
        f" from the {two.edge}",
    ]


def _opening(plan: Plan, shown: Workings) -> list[list[Any]]:
    work = plan.work
    assert work is not None, "no work, no opening"
    o, cutout = work.cutout.opening, work.cutout
    rows: list[list[Any]] = [
        ["Form", o.form],
        ["Length", shown.part(o.length)],
        ["Width", shown.part(o.width)],
        ["Turned", shown.part(turn_of_cutout(Basis(plan.case, plan.ledger), work))],
    ]
    if has_corners(o.form):
        rows.append(["Corner radius", shown.part(o.corner_radius)])
    rows.append(["Depth stop, at most", shown.part(cutout.skin_depth)])
    if work.core.action != "none":
        rows.append(["Core out, at most", shown.part(cutout.core_depth)])
    if cutout.mouth_angle is not None:
        rows.append(["Core edge chamfer", shown.part(cutout.mouth_angle)])
    plug = work.core.plug
    if plug is not None:
        rows += [
            ["Plug", shown.part(plug.thickness)],
            ["Gap round it", shown.part(plug.gap)],
            ["Ribbon", [shown.part(plug.ribbon_seen), bracketed(line(plan.case, float(plug.ribbon)))]],
            ["Ribbon within", shown.part(plug.ribbon_tolerance)],
        ]
    return [[r[0], r[1] if isinstance(r[1], list) else [r[1]]] for r in rows]


def _trim(shown: Workings, layup: SideLayup, ply: Ply) -> Any:
    """The trim of a ply's corners; a film adhesive is cut along the largest ply, its trimmed corners too."""
    if ply.role == "film adhesive":
        largest = max((p for p in layup.plies if p.role != "film adhesive"), key=lambda p: float(p.margin))
        return "as its plies" if float(largest.trim) > 0 else "none"
    return shown.part(ply.trim) if float(ply.trim) > 0 else "none"


def _layup(plan: Plan, shown: Workings, layup: SideLayup) -> dict[str, Any]:
    assert plan.work is not None, "a lay-up without work to do"
    case = plan.case
    cap = [p for p in plan.work.core.cap if p.side == layup.side]
    trimmed = any(b.bonds_cap or rim_of(b, plan.work.core) is not None for b in plan.work.bag.operations)
    rows = [
        {
            "order": str(lay_number(plan, p.id)[1] or "–"),
            "id": p.id,
            "role": p.role,
            "material": case.catalogue.get(p.cloth).name,
            "warp": [shown.part(p.warp_seen), bracketed(line(case, float(p.warp)))]
            if p.role != "film adhesive"
            else [],
            "margin": shown.part(p.margin),
            "trim": _trim(shown, layup, p),
            "overlap": "trimmed" if p.role == "cap" and trimmed else shown.part(p.overlap),
        }
        for p in (*cap, *sorted(layup.plies, key=lambda p: p.lay_order))
    ]
    return {
        "side": layup.side,
        "seen": layup.seen_from,
        "section": layup_section(case, plan.work, layup, WIDE - 4.0).data(),
        "rows": rows,
        "tape": [shown.part(layup.tape_width)],
        "within": [shown.part(plan.work.plies.angle_tolerance)],
        "bent": bent_rows(plan, shown, _bent_on(plan, layup)),
        "bent-heads": list(HEADS),
        "bent-note": NOTE,
    }


def _bent_on(plan: Plan, layup: SideLayup) -> set[str]:
    """The ids of everything laid or cut on one skin."""
    work = plan.work
    bent = () if work is None else (*work.plies.bent, *work.core.bent)
    return {b.id for b in bent if b.side == layup.side}


def _mix(plan: Plan, shown: Workings, mix: Mix) -> dict[str, Any]:
    window: list[Any] = []
    if mix.hardener_low is not None and mix.hardener_high is not None:
        window = [shown.part(mix.hardener_low), " to ", shown.part(mix.hardener_high)]
    elif mix.pots:
        window = [shown.part(mix.pots[0][1])]

    def one(figure: Figure | None) -> list[Any]:
        return [shown.part(figure)] if figure is not None else ["–"]

    clock = next((k for k in plan.card.clocks if k.batch == mix.id), None)
    return {
        "id": mix.id,
        "total": one(mix.total),
        "batches": len(mix.pots),
        "resin": one(mix.pots[0][0] if mix.pots else mix.resin),
        "window": window,
        "filler": one(mix.pots[0][2] if mix.pots else mix.filler),
        "life": [ASK_MAKER] if clock and not clock.known else one(clock.life if clock else mix.pot_life),
        "lay": one(clock.lay)
        if clock is not None and clock.lay is not None and clock.known
        else ["pot life − closing"],
        "needed": one(clock.needed) if clock is not None and clock.needed is not None else ["rehearse"],
    }


def _cure(plan: Plan, shown: Workings, bag: BagOperation) -> dict[str, Any]:
    assert plan.work is not None, "no work, no cure"
    heated = next(o for o in plan.work.cure.operations if o.number == bag.number)
    ledger, key = plan.ledger, f"cure.{bag.number}"

    def fig(name: str) -> Figure | None:
        wanted = f"{key}.{name}"
        if wanted not in ledger:
            return None
        return ledger[wanted]

    stages = []
    for i, s in enumerate(as_set(bag.cure, heated).segment, 1):
        chosen = s != bag.cure.segment[i - 1]
        word = {"ramp": "heat to", "dwell": "hold at", "cool": "cool to"}[s.kind]
        to = fig(f"s{i}.to")
        set_to = heated.set_point if to is not None and s.to != bag.cure.segment[i - 1].to else to
        row: list[Any] = [f"{word} ", shown.part(set_to) if set_to is not None else "room"]
        low, high, held = fig(f"s{i}.low"), fig(f"s{i}.high"), fig(f"s{i}.least")
        if bag.cure.heated_by == "room temperature" and bag.cure.segment[i - 1] == bag.cure.longest_dwell:
            low, high, held = fig("rest_low"), fig("rest_high"), fig("rest")
        if chosen and s.kind == "ramp" and heated.rate is not None:
            own = rate_set(heated.rate, plan.case.view)
            row += [", set to ", own if isinstance(own, str) else shown.part(own), ","]
        for bound, name in (("most", "rate_most"), ("least", "rate_least")):
            rate = fig(f"s{i}.{name}")
            if rate is not None:
                row += [f" at {bound} ", shown.part(rate)]
        if low is not None and high is not None:
            row += [" (", shown.part(low), " to ", shown.part(high), ")"]
        if held is not None:
            row += [" for ", shown.part(held)]
        stages.append(row)
    top, release = fig("ceiling"), fig("release_below")
    unknown = "look it up" if bag.cure.heated_by != "room temperature" else "not heated"
    return {
        "name": bag.name,
        "place": bag.cure.place,
        "stages": stages,
        "top": [shown.part(top)] if top is not None else [unknown],
        "release": [shown.part(release)] if release is not None else [unknown if bag.bagged else "no bag"],
        "vacuum": [
            ["at least ", shown.part(bag.least_vacuum)],
            ["at most ", shown.part(bag.leak_drop), " in ", shown.part(bag.leak_time)],
            ["up to ", shown.part(bag.force)],
        ]
        if bag.bagged
        else _pressed(shown, bag),
        "blankets": ", ".join(f"{b.blanket} on {b.circuit or 'no circuit'}" for b in heated.blankets)
        or HEATER[bag.cure.heated_by],
    }


def _mapped(bag: BagOperation) -> bool:
    """Whether a bag or thermocouples are drawn."""
    return bag.bagged or bool(bag.sensors)


def _pressed(shown: Workings, bag: BagOperation) -> list[list[Any]]:
    """What presses where no bag does, how hard, and who says so."""
    pressed = bag.cure.pressed
    if pressed is None:
        return [["no bag; what presses: look it up"]]
    rows: list[list[Any]] = [[f"no bag; {pressed_by(bag)}"]]
    if bag.pressure is not None:
        rows.append(["at least ", shown.part(bag.pressure)])
    if bag.weights is not None:
        rows.append(["weights of at least ", shown.part(bag.weights)])
    return [*rows, [f"({pressed.place})"]]


def _hold_points(plan: Plan) -> list[dict[str, Any]]:
    found: dict[tuple[str, str], dict[str, Any]] = {}
    for step in plan.card.steps:
        if step.hold is None:
            continue
        row = found.setdefault(
            (step.hold.code, step.hold.accepted),
            {"code": step.hold.code, "by": step.hold.by, "accepted": step.hold.accepted, "steps": []},
        )
        row["steps"].append(step.number)
    return sorted(found.values(), key=lambda r: int(r["code"][1:]))


def _absent(plan: Plan) -> str:
    """Numbers of holds that this card has not, so that nobody looks for one that was lost."""
    here = {step.hold.code for step in plan.card.steps if step.hold is not None}
    lacking = sorted(set(HOLDS) - here, key=lambda code: int(code[1:]))
    return f"No such work in this repair, so no hold: {', '.join(lacking)}." if lacking else ""


def _cautions(plan: Plan) -> list[dict[str, Any]]:
    """Each hazard once, with the steps where its caution stands in full."""
    found: dict[str, list[int]] = {}
    for step in plan.card.steps:
        for c in step.cautions:
            numbers = found.setdefault(c.hazard, [])
            if not numbers or numbers[-1] != step.number:
                numbers.append(step.number)
    return [{"hazard": h, "steps": runs_of(n)} for h, n in found.items() if h != "general"]


def runs_of(numbers: list[int], dash: str = "–") -> str:
    """Numbers with neighbours drawn together: 3, 5–8."""
    made: list[list[int]] = []
    for n in numbers:
        if made and n == made[-1][1] + 1:
            made[-1][1] = n
        else:
            made.append([n, n])
    return ", ".join(f"{a}" if a == b else f"{a}{dash}{b}" for a, b in made)
