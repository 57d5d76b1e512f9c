"""Findings on what was typed: values nobody usually has, plies that fall short of those they replace."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from panelmend.derive import Ledger
from panelmend.document.approved import RepairPly
from panelmend.document.asked import settled_by
from panelmend.document.category import is_empty
from panelmend.document.model import Confirmation
from panelmend.document.panel import SkinPly
from panelmend.errors import Finding, caution_code, confirm_code, note_code
from panelmend.job.card.clocks import POT_LIFE_SHORTER_FROM
from panelmend.job.card.warm_air import keys_told
from panelmend.job.case import Case
from panelmend.materials import Cloth
from panelmend.plan.compare import check_compared
from panelmend.plan.copied import check_copied
from panelmend.plan.roles import check_roles
from panelmend.plan.whole_parts import PARTS, part_words
from panelmend.units import DEGREE, show

J150 = confirm_code(
    "J150",
    "A typed value is outside the usual range",
    "look it up again; if it is right, a named person confirms it with its value under [[confirm]]",
)
J151 = note_code("J151", "A named person confirmed an unusual value", "check that this person may confirm it")
J152 = confirm_code(
    "J152",
    "The repair plies carry less than the plies they replace, or their warp runs in other directions",
    "compare cloths, count and warp angles with the data and with the skin; if the data intends this, a "
    "named person confirms it under [[confirm]] with the plies as its value",
)
J153 = confirm_code(
    "J153",
    "The unheated border of a blanket was not typed, and the plan assumes none",
    "measure it and type it as the blanket's border; type 0 if it has none",
)
J301 = caution_code(
    "J301",
    "The document does not say how the extent of the damage was found",
    "what you can see is the least of it: tap and measure round it until everything is sound, then type "
    "damage.how_found; if you find more, plan again",
)
J302 = note_code(
    "J302",
    "The document does not say which aircraft the panel comes from, or who planned the repair",
    "type repair.registration and people.planner, or check that the card's first hold names both",
)
J506 = caution_code(
    "J506",
    "The document does not say which panel of this part number it is for",
    "read the serial number off the data plate and type it (panel.serial, in a job use.serial): without it "
    "no record finds this panel's earlier repairs, and the papers of two panels can get mixed up. If it has "
    "none, type what tells this panel apart",
)
LEAST_SHARE = 0.9  # of what the replaced plies carry; common practice, no source
SAME_WAY = 10.001 * DEGREE  # a warp within this lies the same way; common practice, no source


def check_asked(case: Case, ledger: Ledger) -> tuple[Finding, ...]:
    """One finding for each unusual value, for each skin that its repair falls short of, each blanket."""
    found = []
    for question in case.questions:
        c = settled_by(case.document, question)
        if c is None:
            found.append(J150(question.words, place=question.key))
        else:
            found.append(J151(f"{question.words}; confirmed by {c.by} on {c.on}", place=question.key))
    found += _skins(case)
    found += _borders(case, ledger)
    found += _unsaid(case)
    found += check_compared(case)
    found += check_copied(case.document)
    found += check_roles(case.document)
    return tuple(found)


def keys_asked(case: Case) -> set[str]:
    """What a confirmation may name beside the defaults."""
    sides = _repaired(case)
    keys = (_skin_key, _fill_key, _extra_key)
    absent = {part_words(p) for p in PARTS if is_empty(getattr(case.document.data, p))}
    told = keys_told(case, POT_LIFE_SHORTER_FROM)
    return {key(s) for s in sides for key in keys} | {q.key for q in case.questions} | absent | told


def _borders(case: Case, ledger: Ledger) -> Iterator[Finding]:
    for i, blanket in enumerate(case.document.bay.blanket):
        if "border" not in blanket.model_fields_set and f"blanket.{blanket.id}.length" in ledger:
            yield J153(
                f"{blanket.id}: heated over its whole {show(blanket.length, 'length', case.view)} x "
                f"{show(blanket.width, 'length', case.view)}",
                place=f"bay.blanket[{i + 1}].border",
            )


def _unsaid(case: Case) -> Iterator[Finding]:
    """What may be left empty and is missed later."""
    document = case.document
    if not document.damage.how_found and document.survey is None:
        yield J301("the size that was typed is taken as it is", place="damage.how_found")
    if not any(c.isalnum() for c in document.panel.serial):
        yield J506(f"{document.panel.part_number}: no serial number", place="panel.serial")
    open_ = [
        words
        for words, given in (
            ("the registration", document.repair.registration),
            ("the planner", document.people.planner),
        )
        if not given
    ]
    if open_:
        yield J302(f"not named: {' and '.join(open_)}", place="repair")


def _skin_key(side: str) -> str:
    return f"plies.{side}.against_skin"


def _fill_key(side: str) -> str:
    return f"plies.{side}.fill_against_skin"


def _extra_key(side: str) -> str:
    return f"plies.{side}.extra_against_skin"


def _repaired(case: Case) -> tuple[str, ...]:
    damage = case.document.damage
    if damage.depth == "surface":
        return ()
    return ("outside", "inside") if damage.through else (damage.side,)


def _skins(case: Case) -> Iterator[Finding]:
    plies = case.document.data.plies
    for side in _repaired(case):
        given = getattr(plies, side)
        if given is None:
            continue  # said elsewhere
        old = _replaced(case, side)
        if given.repair is not None:
            short = _short(case, side, old, given.repair.value)
            yield from _short_or_confirmed(case, _skin_key(side), side, short, given.repair.value, old)
        if given.extra is not None:
            beside = _beside(old, given.extra.value)
            yield from _short_or_confirmed(
                case, _extra_key(side), f"{side}, extra plies", beside, given.extra.value, old
            )
        if given.fill is not None:
            turned = _fill_turned(old, given.fill.value)
            yield from _short_or_confirmed(
                case, _fill_key(side), f"{side}, fill plies", turned, given.fill.value, old
            )


def _short_or_confirmed(
    case: Case,
    key: str,
    name: str,
    short: Sequence[str],
    new: Sequence[SkinPly | RepairPly],
    old: Sequence[SkinPly | RepairPly],
) -> Iterator[Finding]:
    """What falls short, or that a named person confirmed exactly these plies."""
    plies = f"{_listed(new)} for {_listed(old)}"
    confirmed = {c.figure: c for c in case.document.confirm if not c.sheet}
    who: Confirmation | None = confirmed.get(key)
    if short and who is not None and who.value.split() == plies.split():
        yield J151(f"{name}: {'; '.join(short)}; confirmed by {who.by} on {who.on}", place=key)
    elif short:
        yield J152(f'{name}: {"; ".join(short)} (value = "{plies}")', place=key)


def _listed(plies: Sequence[SkinPly | RepairPly]) -> str:
    """Plies in short, as a confirmation repeats them: it settles these and no others."""
    rows = list[tuple[str, list[str]]]()
    for ply in plies:
        if not rows or rows[-1][0] != ply.cloth:
            rows.append((ply.cloth, []))
        rows[-1][1].append(_deg(ply.warp).removesuffix("°"))
    return " + ".join(f"{cloth} {', '.join(warps)}" for cloth, warps in rows)


def _replaced(case: Case, side: str) -> tuple[SkinPly, ...]:
    """The plies of a skin that the damage goes through."""
    damage, panel = case.document.damage, case.document.panel
    plies = panel.outer_skin.plies if side == "outside" else panel.inner_skin.plies
    if damage.depth != "plies" or damage.plies is None:
        return plies
    return plies[: damage.plies] if side == "outside" else plies[len(plies) - damage.plies :]


def _short(
    case: Case, side: str, old: Sequence[SkinPly | RepairPly], new: Sequence[SkinPly | RepairPly]
) -> tuple[str, ...]:
    """In which ways and by how much the new plies carry less than the old ones, in words.

    An extra ply stands for no repair ply that is missing.
    """
    rigid = all(case.catalogue.cloth(p.cloth).room is not None for p in (*old, *new))
    before, after = _ways(case, old, rigid=rigid), _ways(case, new, rigid=rigid)
    what = "stiffness" if rigid else "thickness"
    said = []
    lost = _without_partner([p.warp for p in old], [p.warp for p in new])
    if len(new) < len(old):
        said.append(f"{_plies(len(new))} for the {len(old)} that are replaced")
    elif lost:
        ways = " and ".join(dict.fromkeys(map(_deg, lost)))
        said.append(
            f"of the plies that are replaced, {_plies(len(lost))} with the warp along {ways} "
            f"{'has' if len(lost) == 1 else 'have'} no repair ply with the warp that way"
        )
    elif _out_of_order(out := old[::-1] if side == "outside" else old, new):
        said.append(
            f"the plies lie in another order than those they replace: from the panel outwards {_listed(new)} "
            f"for {_listed(out)}"
        )
    for way in _angles(before):
        share = _stiffness_along(after, way) / _stiffness_along(before, way)
        if share < LEAST_SHARE:
            said.append(f"{100 * share:.0f} % of the {what} of the skin along {_deg(way)}")
    for ply in new:
        faced = case.catalogue.cloth(ply.cloth)
        if not any(_angle_between(ply.warp, w) <= SAME_WAY for w, _ in before):
            said.append(f"a ply of {faced.name} lies along {_deg(ply.warp)}, and none of the skin's does")
    return tuple(dict.fromkeys(said))


def _beside(old: Sequence[SkinPly | RepairPly], extra: Sequence[SkinPly | RepairPly]) -> tuple[str, ...]:
    """Which extra plies have their warp along none of the plies that are replaced, in words.

    A woven cloth turned by a right angle has its fill where the skin has warp: it is looked at by its warp.
    """
    lost = _strangers([p.warp for p in extra], [p.warp for p in old])
    return (_none_that_way(lost),) if lost else ()


def _fill_turned(old: Sequence[SkinPly | RepairPly], new: Sequence[SkinPly | RepairPly]) -> tuple[str, ...]:
    """How fill plies lie otherwise than the plies whose place they take, in words.

    They are no more than flush: nothing is asked of how many there are. Of no more plies than the skin has,
    each has one of the skin's that lies the same way; of more, each way of the skin is among them too.
    """
    ways, skin = [p.warp for p in new], [p.warp for p in old]
    lost = _without_partner(ways, skin) if len(ways) <= len(skin) else _strangers(ways, skin)
    said = []
    if lost:
        said.append(_none_that_way(lost))
    elif _disordered(skin, ways):
        said.append("they lie in another order than the plies of the skin, from either side")
    missed = _strangers(skin, ways) if len(ways) > len(skin) else []
    if missed:
        said.append(f"none lies along {' and '.join(dict.fromkeys(map(_deg, missed)))} as the skin does")
    return tuple(said)


def _none_that_way(warps: Sequence[float]) -> str:
    ways = " and ".join(dict.fromkeys(map(_deg, warps)))
    has = "has no ply of the skin that lies" if len(warps) == 1 else "have no plies of the skin that lie"
    return f"{_plies(len(warps))} with the warp along {ways} {has} that way"


def _strangers(some: Sequence[float], others: Sequence[float]) -> list[float]:
    """The warps of some that none of the others lies along."""
    return [w for w in some if not any(_angle_between(w, x) <= SAME_WAY for x in others)]


def _without_partner(old: Sequence[float], new: Sequence[float]) -> list[float]:
    """The old warps that have no new one of their own lying the same way.

    A woven cloth turned by a right angle, or +45 for -45, is as stiff and lies otherwise: drawn from the
    other side, or a line of the table typed twice.
    """
    left, lost = list(new), []
    for warp in old:
        near = min(left, key=lambda w: _angle_between(w, warp), default=None)
        if near is None or _angle_between(near, warp) > SAME_WAY:
            lost.append(warp)
        else:
            left.remove(near)
    return lost


def _disordered(old: Sequence[float], new: Sequence[float]) -> bool:
    """Whether the same warps lie in another order, whichever end is counted from."""
    return _same_warps(old, new) and not _lie_alike(old, new) and not _lie_alike(old[::-1], new)


def _out_of_order(old: Sequence[SkinPly | RepairPly], new: Sequence[SkinPly | RepairPly]) -> bool:
    """Whether plies of the same warps, or of the same cloths, lie in another order, both counted outwards."""
    before, after = [p.warp for p in old], [p.warp for p in new]
    if not _same_warps(before, after):
        return False
    cloths = [p.cloth for p in old], [p.cloth for p in new]
    return not _lie_alike(before, after) or (
        sorted(cloths[0]) == sorted(cloths[1]) and cloths[0] != cloths[1]
    )


def _same_warps(old: Sequence[float], new: Sequence[float]) -> bool:
    return len(old) == len(new) and _lie_alike(
        sorted(w % math.pi for w in old), sorted(w % math.pi for w in new)
    )


def _lie_alike(a: Sequence[float], b: Sequence[float]) -> bool:
    return all(_angle_between(x, y) <= SAME_WAY for x, y in zip(a, b, strict=True))


def _ways(
    case: Case, plies: Sequence[SkinPly | RepairPly], *, rigid: bool
) -> tuple[tuple[float, float], ...]:
    """Directions of fibre and what lies along each: modulus times thickness [N/m], or thickness [m]."""
    rows = []
    for ply in plies:
        cloth: Cloth = case.catalogue.cloth(ply.cloth)
        thick = cloth.cured_thickness.value
        e1, e2 = (cloth.room.e1, cloth.room.e2) if rigid and cloth.room is not None else (1.0, 1.0)
        rows.append((ply.warp, e1 * thick))
        if cloth.woven:
            rows.append((ply.warp + 0.5 * math.pi, e2 * thick))
    return tuple(rows)


def _angles(rows: Sequence[tuple[float, float]]) -> list[float]:
    """Each direction once."""
    seen: list[float] = []
    for way, _ in rows:
        if not any(_angle_between(way, s) <= SAME_WAY for s in seen):
            seen.append(way)
    return seen


def _stiffness_along(rows: Sequence[tuple[float, float]], way: float) -> float:
    return math.fsum(v for w, v in rows if _angle_between(w, way) <= SAME_WAY)


def _angle_between(a: float, b: float) -> float:
    """The angle between two lines [rad], 0 to a right angle."""
    apart = abs(a - b) % math.pi
    return min(apart, math.pi - apart)


def _deg(angle: float) -> str:
    half = math.degrees(angle) % 180.0
    return f"{half - 180.0 if half > 90.0 + 1e-9 else half:.0f}°"


def _plies(count: int) -> str:
    return f"{count} {'ply' if count == 1 else 'plies'}"
