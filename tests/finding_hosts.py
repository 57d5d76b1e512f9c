"""Findings that other hosts make than one document: a second plan, a prediction, another damage."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from examples_here import case_from, text
from finding_built import HEAT, Found, built, door, figure
from finding_heat import C, predicted
from made_prediction import made_prediction, made_problem
from panelmend.app.loading import read_all
from panelmend.derive import Ledger, Source
from panelmend.errors import Finding, Severity
from panelmend.job.case import case_of
from panelmend.job.cure import drying_checks
from panelmend.job.cure.prediction import DriedCases, Prediction, held_key
from panelmend.job.several import with_others
from panelmend.plan.again import again
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.plan.several import Several, found_beside, together

TWO = "needs another damage of the same job"
LATER = "needs an earlier plan and what is done of it"
DOOR = text("gear_door")
OVEN = DOOR.replace(
    'replace = { value = true, place = "52-10-17 fig 203" }',
    'pot_limit = { value = "150 mm", place = "x 1" }',
).replace('lays = ["core", "cap"]', 'lays = ["core", "cap"]\nheated_by = "oven"')
OVEN = re.sub(r"\[\[choice\.heat\]\]\ncure = .Core and cap.*?(?=\n\[)", "", OVEN, count=1, flags=re.DOTALL)
BACK = DOOR.replace('edge_band = "35 mm"', 'edge_band = "331.6 mm"').replace(
    "[data.finishing]\n",
    '[[data.put_back]]\nkind = "edge band"\nhow = "splice a new one"\nplace = "x"\nwho = "bench trade 7"\n'
    'when = "before bonding"\ncure_for = "2 h"\ncure_high = "70 C"\n[data.finishing]\n',
)

# --- cases tried of a cure ---


def _cases(held: int, by: str = "", only: int = 0, **more: Any) -> Found:
    """A cure that holds with the likely values, of whose 400 cases so many hold; ``by`` accepts it."""

    def change(p: Prediction) -> Prediction:
        assert p.likelihood is not None
        tried = replace(p.likelihood, cases=only or 400, everything=held, rests_on=(), **more)
        return replace(p, likelihood=tried)

    if not by:
        return predicted(change)
    keys: list[str] = []

    def noted(p: Prediction) -> Prediction:
        keys.append(held_key(2, change(p)))
        return change(p)

    predicted(noted)
    row = f'\n[[confirm]]\nfigure = "{keys[0]}"\nby = "{by}"\non = 2026-11-24\nreason = "x"\n\n[stores]\n'
    return predicted(change, ("\n[stores]\n", row))


built("H130", HEAT, "half of the cases", lambda w: _cases(200 if w else 199))
built("H131", HEAT, "nine in ten cases", lambda w: _cases(360 if w else 359, firm=None))
built(
    "H131",
    HEAT,
    "35 cases tried",
    lambda w: _cases(35, only=35, firm=None) if w else _cases(34, only=34, firm=None),
)
built(
    "H131",
    HEAT,
    "nine in ten, the method's worst error taken off",
    lambda w: _cases(400, firm=360 if w else 359, held_out_worst=0.5),
)
built("H132", HEAT, "who accepts it", lambda w: _cases(350, by="R. Osk" if w else "D. Aune"))


def _untried(within: bool) -> Found:
    def change(p: Prediction) -> Prediction:
        return p if within else replace(p, likelihood=None)

    return predicted(change)


built("H133", HEAT, "cases tried", _untried)
built("H134", HEAT, "one case in twenty", lambda w: _cases(400, blind=19 if w else 20))


# --- heat of drying ---


def _dried(
    foot: float = 71.0, top: float = 71.0, kilopascals: float = 1e6, tried: DriedCases | None = None
) -> Found:
    """Drying at 71 C whose core and skin come to so much [C], with bonds that hold so many kPa."""
    plan, work = door()
    ledger = Ledger()
    for key, celsius in (("reaches", foot), ("hottest", top)):
        ledger.typed(f"drying.heat.{key}", C + celsius, "temperature", source=Source("a test"))
    bonds = tuple(
        replace(b, strength=figure(1e3 * kilopascals, "pressure"), made_in=False) for b in work.drying.bonds
    )
    return tuple(drying_checks._predicted(plan.case, ledger, replace(work.drying, bonds=bonds[:1]), tried))


def _tried(near: int = 40, most: float = 71.0) -> DriedCases:
    return DriedCases(40, 1, (C + 60.0, C + 71.0), (C + 71.0, C + most), near, 900.0, 0, 0)


def _undried(within: bool) -> Found:
    plan, work = door()
    ledger = Ledger()
    for key in ("reaches", "hottest"):
        ledger.typed(f"drying.heat.{key}", C + 71.0, "temperature", source=Source("a test"))
    made = made_prediction(made_problem(plan, work.bag.operations[0]))
    cures = replace(work.cure, dried=made if within else None)
    return drying_checks.check_drying(plan.case, ledger, cures, work.drying)


NEAR, HOT = drying_checks.DRIED_WITHIN, drying_checks.HOTTER  # K
built("H140", HEAT, "whether it was predicted", _undried)
built("H141", HEAT, "foot of the core", lambda w: _dried(foot=71.0 - (NEAR + 0.0 if w else NEAR + 0.1)))
built("H141", HEAT, "every case comes near", lambda w: _dried(tried=_tried(near=40 if w else 39)))
built("H142", HEAT, "steam in a wet cell", lambda w: _dried(kilopascals=146.6 if w else 146.5))
built("H143", HEAT, "skin", lambda w: _dried(top=71.0 + (HOT + 0.0 if w else HOT + 0.1)))
built(
    "H143",
    HEAT,
    "skin in the hottest case",
    lambda w: _dried(tried=_tried(most=71.0 + (HOT + 0.0 if w else HOT + 0.1))),
)

# --- heat that is not predicted, taken on by the engineer ---


@cache
def _of(document: str) -> Plan:
    return make_plan(case_from(document))


def _confirmed(document: str, key: str, by: str) -> str:
    return f'{document}\n[[confirm]]\nfigure = "{key}"\nby = "{by}"\non = 2026-11-24\nreason = "trial"\n'


def _taken_on(document: str, asked: str) -> Callable[[bool], Found]:
    """Heat that is asked about by a code, taken on by a name; inside by one who may not."""

    def by(within: bool) -> Found:
        said = next(f.todo for f in _of(document).findings if f.code == asked)
        return _of(_confirmed(document, said.split('"')[1], "R. Osk" if within else "D. Aune")).findings

    return by


NAMED = "rests on a key that the plan gives and a person signs for"
built("H601", NAMED, "who takes a heated potting on", _taken_on(OVEN, "H600"))
built("H603", NAMED, "who takes an unpredicted cure on", _taken_on(DOOR, "H602"))
built("H657", NAMED, "who takes the heat of what is put back on", _taken_on(BACK, "H655"))

# --- another damage of the same job ---

SECOND = """[[damage]]
shape = { circle = { centre = "180, 620 mm", diameter = "40 mm" } }
depth = "skin and core"
side = "outside"
moisture = "none found"

"""


@cache
def _both() -> Several:
    at = DOOR.index("[data]\n")
    job = (DOOR[:at] + SECOND + DOOR[at:]).replace("[damage]\n", "[[damage]]\n")
    return together(with_others([case_of(r) for r in read_all(job.encode(), Path("job.toml"))]), make_plan)


def _beside(plans: tuple[Plan, ...]) -> Found:
    """What the first of these damages is told of the others, by the rules of several."""
    own = tuple(replace(p, findings=()) for p in plans)
    return found_beside(own).plans[0].findings


def _limits(**update: Any) -> Found:
    plans = []
    for plan in _both().plans:
        document = plan.case.document
        limits = document.data.limits.model_copy(update=update)
        data = document.data.model_copy(update={"limits": limits})
        document = document.model_copy(update={"data": data})
        plans.append(replace(plan, case=replace(plan.case, document=document)))
    return _beside(tuple(plans))


def _apart(off: float | None) -> Found:
    """The data's distance between repairs: what these lie apart, and so much more [m]; None: not typed."""
    given = _both().plans[0].case.document.data.limits.repair_distance
    assert given is not None
    (row,) = _both().between
    return _limits(
        repair_distance=None if off is None else given.model_copy(update={"value": row.apart + off})
    )


built("J220", TWO, "distance to an earlier repair", lambda w: _apart(0.0 if w else 1e-4))
built("J221", TWO, "distance to an earlier repair typed", lambda w: _apart(0.0 if w else None))


def _ruled(within: bool) -> Found:
    given = _both().plans[0].case.document.data.limits.repair_distance
    return _limits(merge_distance=given if within else None)


def _joined(within: bool) -> Found:
    first = _both().plans[0]
    return _beside((replace(first, case=replace(first.case, joined="" if within else "A and B 3 mm apart")),))


def _over_ground(within: bool) -> Found:
    """The plies of the other damage moved away, or where they are."""
    a, b = _both().plans
    assert b.work is not None
    sides = tuple(
        replace(s, plies=tuple(replace(p, outline=p.outline.moved(-3.0, 0.0)) for p in s.plies))
        for s in b.work.plies.sides
    )
    away = replace(b, work=replace(b.work, plies=replace(b.work.plies, sides=sides)))
    return _beside((a, away if within else b))


def _drawn(off: float) -> Found:
    """A lot that holds what both draw from it, and so much more [kg]."""
    draw = next(d for d in _both().draws if d.store == "L-81")
    plans = []
    for plan in _both().plans:
        document = plan.case.document
        lots = tuple(
            x.model_copy(update={"mass": draw.total + off}) if x.id == "L-81" else x
            for x in document.stores.lot
        )
        stores = document.stores.model_copy(update={"lot": lots})
        document = document.model_copy(update={"stores": stores})
        plans.append(replace(plan, case=replace(plan.case, document=document)))
    return _beside(tuple(plans))


def _moist(within: bool) -> Found:
    """Beside another damage that is dry, or where nobody has looked."""
    first = _both().plans[0]
    return _beside((replace(first, case=replace(first.case, wet=() if within else (("B", False),))),))


def _other(severity: Severity) -> Found:
    a, b = _both().plans
    told = Finding("L101", severity, "damage", "only B has this", "ask")
    return found_beside((replace(a, findings=()), replace(b, findings=(told,)))).plans[0].findings


built("J223", TWO, "distance from which damages count as one typed", _ruled)
built("J222", TWO, "planned as one", _joined)
built("J224", TWO, "ground of another damage within the tape", _over_ground)
built("J225", TWO, "what both draw from a lot, a gram", lambda w: _drawn(0.0 if w else -0.001))
built("J226", TWO, "a damage alone", lambda w: _beside(_both().plans[: 1 if w else 2]))
built("J641", TWO, "another damage that is wet", _moist)
built("J229", TWO, "a stop", lambda w: _other(Severity.CONFIRM if w else Severity.STOP))
built("J230", TWO, "a confirmation", lambda w: _other(Severity.CAUTION if w else Severity.CONFIRM))

# --- a later revision against what is done ---


@cache
def _pinned(diameter: str, revision: int) -> Plan:
    choice = f'[choice]\ncutout = {{ circle = {{ centre = "484, 386 mm", diameter = "{diameter}" }} }}\n\n'
    number = 'number = "TAS-26-0417"'
    later = f"{number}\nrevision = {revision}" if revision > 1 else number
    made = DOOR.replace("[[choice.heat]]", choice + "[[choice.heat]]", 1).replace(number, later)
    return make_plan(case_from(made))


def _again(old: Plan, new: Plan, until: str, operation: int) -> Found:
    places = [s.place for s in old.card.steps]
    last = max(i for i, p in enumerate(places) if p.id == until and p.operation == operation)
    return again(old, new, frozenset(places[: last + 1])).findings


def _otherwise(within: bool) -> Found:
    old = _pinned("175.0 mm", 1)
    assert old.work is not None
    first = old.work.bag.operations[0].name
    mixes = tuple(replace(m, material="another") if m.operation == first else m for m in old.work.kit.mixes)
    new = replace(old, work=replace(old.work, kit=replace(old.work.kit, mixes=mixes)))
    return _again(old, old if within else new, "O27", 1)


built(
    "J227",
    LATER,
    "the opening that is cut",
    lambda w: _again(_pinned("175.0 mm", 1), _pinned("175.0 mm" if w else "174.9 mm", 2), "D2", 0),
)
built(
    "J228",
    LATER,
    "something is cured",
    lambda w: _again(_pinned("175.0 mm", 1), _pinned("176.0 mm", 2), *(("O16", 1) if w else ("O27", 1))),
)
built("J300", LATER, "made of what the plan says", _otherwise)
