"""The plans of a job with several damages, each by itself, and what is found beside each other."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

from panelmend.errors import Finding, all_codes, caution_code, confirm_code, stop_code
from panelmend.job.card.beside import wet_others
from panelmend.job.case import Case
from panelmend.plan.make import with_more
from panelmend.plan.plan import Plan
from panelmend.plan.sharing import Apart, Cut, Draw, Needed, cuts_of, draws_of, shared_kit
from panelmend.plan.sharing import damage_name as damage_name
from panelmend.plan.standing import Standing
from panelmend.shapes import Outline, clearance
from panelmend.units import Limit, show

J220 = stop_code(
    "J220",
    "Two repairs of this job are too close together",
    "stop; ask the engineer: one larger repair round both, or other plies",
)
J221 = confirm_code(
    "J221",
    "This job makes several repairs, but no minimum distance between repairs is typed",
    "look it up in the approved data and type data.limits.repair_distance with its place",
)
J222 = caution_code(
    "J222",
    "The data counts these damages as one: they are planned as one, with an outline round all of them",
    "check that the area between them may be cut out, and that the depth applies to all of it",
)
J223 = caution_code(
    "J223",
    "The distance within which damages count as one is not typed",
    "look it up in the approved data and type data.limits.merge_distance with its place",
)
J224 = caution_code(
    "J224",
    "The bag for one damage covers the area of another",
    "finish one before you open the other, a wet one first, or have engineering plan both under one bag",
)
J225 = confirm_code(
    "J225",
    "The stores have enough for each damage by itself, but not for all of them",
    "order what is short, or plan the other damage again with what is left",
)
J226 = caution_code(
    "J226",
    "Each damage of this job is planned by itself, one cure after another",
    "do not cure two at once from these pages, even where both fit under one blanket: circuits, pump and "
    "one bag over both are not planned, temperatures are predicted for one opening, and a leak or a late "
    "mix in one affects the other. Cure one, open its bag, then cure the other. To use one bag, ask the "
    "engineer for one repair round both, typed as one damage",
)
J229 = stop_code(
    "J229",
    "Another damage of this job is a STOP",
    "stop here too until that damage is settled: ask engineering about it (panelmend request). If the "
    "engineer says that this damage may be repaired without it, plan this damage as a job of its own",
)
J230 = confirm_code(
    "J230",
    "Another damage of this job waits for a named person",
    "settle it on the pages of that damage before anyone opens any damage of this panel",
)
J641 = caution_code(
    "J641",
    "Another damage of this job is wet, or nobody has looked: a blanket here heats the wet core there",
    "drain, dry and prove that one first, by its own card, before anything of this panel is heated for a "
    "survey or a cure",
)
FEW = 3  # findings of one code that are told word for word
CARRIED = frozenset({J229.code, J230.code})  # what a plan says of the others
BESIDE = CARRIED | {c.code for c in (J220, J221, J222, J223, J224, J225, J226, J641)}


@dataclass(frozen=True)
class Between:
    """Two repairs beside each other: least distance between their outermost plies [m], and what is asked.

    ``damages`` is the distance between the outlines of the damages themselves [m].
    """

    a: str
    b: str
    apart: float
    overlaps: bool
    asked: float | None
    damages: float

    @property
    def holds(self) -> bool | None:
        """Whether they are far enough apart; None where the data gives no distance."""
        if self.overlaps:
            return False
        return None if self.asked is None else self.apart >= self.asked - 1e-9


@dataclass(frozen=True)
class Several:
    """The plans of a job, each with what was found beside the others; distances, cloth and stores shared.

    ``apart`` is cloth that each damage cuts for itself, ``kit`` one list for all of them.
    """

    plans: tuple[Plan, ...]
    between: tuple[Between, ...]
    cuts: tuple[Cut, ...]
    apart: tuple[Apart, ...]
    draws: tuple[Draw, ...]
    kit: tuple[Needed, ...]


def together(cases: Sequence[Case], planned: Callable[[Case], Plan]) -> Several:
    """Plan every damage of a job by itself, then look at them beside each other.

    Args:
        cases: one for each damage, the others beside it.
        planned: makes the plan of one.
    """
    done: list[Plan] = []
    for case in cases:
        done.append(planned(_without_cut(case, done)))
    return found_beside(tuple(done))


def found_beside(plans: tuple[Plan, ...]) -> Several:
    """Plans of one job with what is found when they lie beside each other."""
    between = tuple(
        _distance_between(a, b)
        for a, b in itertools.combinations(plans, 2)
        if a.work is not None and b.work is not None
    )
    draws = draws_of(plans)
    own: dict[str, list[Finding]] = {damage_name(p): [] for p in plans}
    for row in between:
        for finding in _apart(row, plans[0].case):
            own[row.a].append(finding)
            own[row.b].append(finding)
    for a, b in itertools.permutations(plans, 2):
        own[damage_name(a)] += _tape_over(a, b)
    for draw in draws:
        if draw.short:
            for name, _ in draw.taken:
                own[name].append(_short(draw, plans[0].case.view))
    for plan in plans:
        own[damage_name(plan)] += _common(plan, len(plans))
    cuts, apart = cuts_of(plans)
    told = tuple(with_more(p, own[damage_name(p)]) for p in plans)
    told = tuple(with_more(p, _of_others(p, told)) for p in told)
    return Several(told, between, cuts, apart, draws, shared_kit(plans, draws))


def own_standing(plan: Plan) -> Standing:
    """Where a damage stands by itself and beside the others, without what the others stand at."""
    return replace(plan, findings=tuple(f for f in plan.findings if f.code not in CARRIED)).standing


def _of_others(plan: Plan, plans: Sequence[Plan]) -> list[Finding]:
    """What stops the other damages or waits there, and does not stand at this one already."""
    mine = {(f.code, f.place, f.words) for f in plan.findings}
    found = []
    for other in plans:
        for code in (J229, J230) if other is not plan else ():
            open_ = [
                f
                for f in other.findings
                if f.severity is code.severity
                and f.code not in CARRIED
                and (f.code, f.place, f.words) not in mine
            ]
            if open_:
                name = damage_name(other)
                found.append(code(f"{name}: {'; '.join(_by_code(open_))}", place=f"damage {name}"))
    return found


def _by_code(found: Sequence[Finding]) -> Iterator[str]:
    """Findings in words, those of one code beside each other; of many alike the first and how many more."""
    titles = {c.code: c.title for c in all_codes()}
    for code in dict.fromkeys(f.code for f in found):
        words = [f.words for f in found if f.code == code]
        said = ", ".join(words) if len(words) <= FEW else f"{words[0]}, and {len(words) - 1} more"
        yield f"{code} {titles[code]}: {said}"


def _without_cut(case: Case, done: Sequence[Plan]) -> Case:
    """The case with the remnants that damages before it cut taken from the stores."""
    gone = {
        layout.strip.id
        for plan in done
        if plan.work is not None
        for cloth in plan.work.nest.cloths
        for layout in cloth.nest.layouts
        if layout.strip.remnant
    }
    stores = case.document.stores
    if not any(rest.id in gone for roll in stores.roll for rest in roll.remnant):
        return case
    rolls = tuple(
        roll.model_copy(update={"remnant": tuple(r for r in roll.remnant if r.id not in gone)})
        for roll in stores.roll
    )
    left = case.document.model_copy(update={"stores": stores.model_copy(update={"roll": rolls})})
    return replace(case, document=left)


def damaged_on(plan: Plan, side: str) -> bool:
    """Whether the damage is on a skin: one right through is on both."""
    damage = plan.case.document.damage
    return damage.through or damage.side == side


def _distance_between(a: Plan, b: Plan) -> Between:
    """Plies on one skin against each other; on two skins the openings, which share the core."""
    assert a.work is not None
    assert b.work is not None
    nearest, meets = float("inf"), False
    for mine in a.work.plies.sides:
        for other in b.work.plies.sides:
            same = mine.side == other.side
            x: Outline = mine.largest.outline if same else mine.cutout
            y: Outline = other.largest.outline if same else other.cutout
            near = clearance(x, y)
            meets = meets or near.overlaps
            if same:
                nearest = min(nearest, 0.0 if near.overlaps else near.distance)
    given = a.case.document.data.limits.repair_distance
    apart = 0.0 if meets else nearest
    asked = None if given is None else given.value
    return Between(damage_name(a), damage_name(b), apart, meets, asked, _damages(a.case, b.case))


def _damages(a: Case, b: Case) -> float:
    """Distance between two damages as typed [m]; 0 where they share ground."""
    one, two = a.geometry.damage, b.geometry.damage
    assert one is not None, "a damage with a plan has an outline"
    assert two is not None, "a damage with a plan has an outline"
    near = clearance(one, two)
    return 0.0 if near.overlaps else near.distance


def _apart(row: Between, case: Case) -> list[Finding]:
    place = "data.limits.repair_distance"
    if row.overlaps:
        far = show(row.damages, "length", case.view, limit="most")
        words = f"the plies or openings of {row.a} and {row.b} overlap; the damages are {far} apart"
        if row.asked is not None:
            words += (
                f", and the data requires at least {show(row.asked, 'length', case.view)} "
                "between outermost plies"
            )
        return [J220(words, place=place)]
    if row.apart == float("inf"):  # on two skins, with core between them
        return []
    far = show(row.apart, "length", case.view, limit="most")
    if row.asked is None:
        return [J221(f"{row.a} and {row.b}: outermost plies {far} apart", place=place)]
    if not row.holds:
        words = f"{row.a} and {row.b}: outermost plies {far} apart, at least "
        return [J220(words + show(row.asked, "length", case.view), place=place)]
    return []


def _tape_over(plan: Plan, other: Plan) -> list[Finding]:
    """A bag's tape line against the ground another repair takes on that skin."""
    if plan.work is None:
        return []
    hurt = other.case.geometry.damage
    found = []
    for bag in plan.work.bag.operations:
        if not bag.bagged or not bag.layers:
            continue
        if other.work is None:  # nothing is laid over it: what is open stays open under the bag
            damage = other.case.document.damage
            here = damage.through or damage.side == bag.side
            far = other.case.geometry.far_damage
            shape = hurt if damage.side == bag.side or far is None else far
            if here and damage.depth != "surface" and shape and clearance(bag.seal_line, shape).overlaps:
                theirs = damage_name(other)
                words = f"{damage_name(plan)}, {bag.name}: its tape encloses the damage of {theirs}, "
                found.append(J224(words + "which gets no plies here: seal it off first", place="damage"))
            continue
        for layup in other.work.plies.sides:
            if layup.side == bag.side and clearance(bag.seal_line, layup.largest.outline).overlaps:
                words = (
                    f"{damage_name(plan)}, {bag.name}: its tape encloses part of the area of "
                    f"{damage_name(other)}"
                )
                if hurt is not None and clearance(bag.seal_line, hurt).overlaps:
                    words += ", and its damage too: seal that off first, because it leaks air"
                found.append(J224(words, place="damage"))
                break
    return found


def _common(plan: Plan, count: int) -> list[Finding]:
    found = []
    if plan.case.joined:
        found.append(J222(plan.case.joined, place="damage"))
    if count > 1:
        found.append(J226(f"{count} damages", place="damage"))
        if plan.case.document.data.limits.merge_distance is None:
            found.append(J223("they are planned apart", place="data.limits.merge_distance"))
    if plan.case.wet:
        found.append(J641(wet_others(plan.case), place="damage.moisture"))
    return found


def _short(draw: Draw, view: str) -> Finding:
    def words(value: float, limit: Limit) -> str:
        return show(value, draw.kind, view, limit=limit)

    parts = ", ".join(f"{name} {words(amount, 'least')}" for name, amount in draw.taken)
    return J225(f"{draw.words}: {parts}; there is {words(draw.there, 'most')}", place=f"stores.{draw.store}")
