"""Findings no document makes at will: parts of the plan that were built, inside and outside their limit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from functools import cache
from typing import Any

from examples_here import case_from, text
from made_prediction import made_prediction, made_problem
from panelmend.derive import Figure, Ledger, Source
from panelmend.derive.figure import Origin
from panelmend.errors import Finding
from panelmend.job import nest, plies, strength
from panelmend.job.cure import checks as cure_checks
from panelmend.job.cure.part import CurePart
from panelmend.job.cure.prediction import CureState, Limit, LimitRow, Placing, Prediction
from panelmend.job.ground import Ground
from panelmend.job.strength.alike import differences
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.part import Ratio, Reserve, ReserveKind, Rests, StrengthPart
from panelmend.job.strength.weight import mass_added, moment_added
from panelmend.job.work import Work
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan

C = 273.15
Found = tuple[Finding, ...]
TOOL = "only a fault of the tool itself makes it"
HEAT = "rests on a prediction of heat, which takes minutes"
STUDY = "rests on the strength study, which takes a minute"
KEPT = "rests on a layout that was kept beside the document"


@dataclass(frozen=True)
class Built:
    """Why no document makes the finding, what is tried, and what the stage finds: ``by(True)`` is inside."""

    why: str
    limit: str
    by: Callable[[bool], Found]


PARTS: dict[str, list[Built]] = {}


def built(code: str, why: str, limit: str, by: Callable[[bool], Found]) -> None:
    """Register a case."""
    PARTS.setdefault(code, []).append(Built(why, limit, by))


@cache
def door(*changes: tuple[str, str]) -> tuple[Plan, Work]:
    """The gear door with changes, planned."""
    of = text("gear_door")
    for old, new in changes:
        assert of.count(old) == 1, old
        of = of.replace(old, new)
    plan = make_plan(case_from(of))
    assert plan.work is not None
    return plan, plan.work


def figure(value: float, kind: str = "") -> Figure:
    """A figure of a test."""
    return Figure("made.up", value, kind, Origin.TYPED, Source("a test"))


# --- plies, nest, bag: what the tool itself never makes ---


def _overlap(inside: bool) -> Found:
    plan, work = door()
    side = work.plies.sides[0]
    first = side.plies[0]
    short = figure(float(first.margin) - (0.5e-8 if inside else 2e-8), "length")
    laid = replace(side, plies=(replace(first, overlap=short), *side.plies[1:]))
    part = replace(work.plies, sides=(laid, *work.plies.sides[1:]))
    return plies.check(plan.case, plan.ledger, part, work.cutout)


def _broken(inside: bool) -> Found:
    plan, work = door()
    item = work.nest.cloths[0]
    layout = item.nest.layouts[0]
    if not inside:
        moved = replace(layout.placements[0], y=layout.placements[0].y + layout.strip.width)
        layout = replace(layout, placements=(moved, *layout.placements[1:]))
    made = replace(item, nest=replace(item.nest, layouts=(layout, *item.nest.layouts[1:])))
    part = replace(work.nest, cloths=(made, *work.nest.cloths[1:]))
    return nest.check(plan.case, plan.ledger, part, work.plies, work.core)


def _refused(inside: bool) -> Found:
    plan, work = door()
    cloths = tuple(replace(c, refused=() if inside else ("it overlaps",)) for c in work.nest.cloths)
    return nest.check(plan.case, plan.ledger, replace(work.nest, cloths=cloths), work.plies, work.core)


built("P104", TOOL, "overlap of a ply", _overlap)
built("N004", TOOL, "a piece off its strip", _broken)
built("N006", KEPT, "a kept layout refused", _refused)

# --- heat: a made prediction, changed ---


def predicted(
    change: Callable[[Prediction], Prediction], *changes: tuple[str, str], number: int = 1
) -> Found:
    """What is found of a made prediction that holds everything, with a change."""
    plan, work = door(*changes)
    own = work.bag.operations[number]
    problem = made_problem(plan, own)
    made = made_prediction(problem)
    calm = tuple(replace(s, role=s.role, below_hottest=0.0, above_coldest=0.0) for s in made.sensors)
    likely = made.likelihood
    assert likely is not None
    sound = replace(made, sensors=calm, limits=(), worst=1.0, likelihood=replace(likely, everything=400))
    operation = replace(work.cure.operations[number], missing=(), problem=problem, prediction=change(sound))
    bags = replace(work.bag, operations=(own,))
    return cure_checks.check(plan.case, plan.ledger, CurePart((operation,)), bags)


def row(code: Limit, kind: str, sense: str, margin: float) -> LimitRow:
    """A limit with its margin; its words say nothing, for findings decide on its code."""
    limit = 1.0 / 60.0 if kind == "rate" else C + 80.0
    value = limit - margin if sense == "below" else limit + margin
    return LimitRow("a limit", "a place", limit, value, kind, sense, margin, code)


def rows(code: str, limit: str, inside: LimitRow, outside: LimitRow) -> None:
    """A case of a limit against what is predicted."""
    built(
        code,
        HEAT,
        limit,
        lambda within: predicted(lambda p: replace(p, limits=(inside if within else outside,))),
    )


for what, sense in ((Limit.HOTTEST, "below"), (Limit.COLDEST, "above")):
    rows(
        "H022",
        f"{what}, 5 K off",
        row(what, "temperature", sense, -5.0),
        row(what, "temperature", sense, -5.1),
    )
    rows(
        "H023",
        what,
        row(what, "temperature", sense, 0.0),
        row(what, "temperature", sense, -0.1),
    )
built("H022", HEAT, "end of the recipe", lambda w: predicted(lambda p: replace(p, finished=w)))
rows(
    "H023",
    "time in the band",
    row(Limit.HELD, "time", "above", 0.0),
    row(Limit.HELD, "time", "above", -60.0),
)
rows(
    "H024",
    "a rib",
    row(Limit.AROUND, "temperature", "below", 0.0),
    row(Limit.AROUND, "temperature", "below", -0.1),
)
rows(
    "H029",
    "a rib, 5 K",
    row(Limit.AROUND, "temperature", "below", -5.0),
    row(Limit.AROUND, "temperature", "below", -5.1),
)
for code, what, sense in (
    ("H027", Limit.RISE, "below"),
    ("H030", Limit.FALL, "below"),
    ("H031", Limit.MEAN_RISE, "above"),
    ("H031", Limit.MEAN_FALL, "above"),
):
    rows(
        code,
        what,
        row(what, "rate", sense, 0.0),
        row(what, "rate", sense, -0.1 / 60.0),
    )
rows(
    "H032",
    "spread in the dwell",
    row(Limit.SPREAD, "temperature difference", "below", 0.0),
    row(Limit.SPREAD, "temperature difference", "below", -0.1),
)
rows(
    "H051",
    "every limit",
    row(Limit.AROUND, "temperature", "below", 0.0),
    row(Limit.AROUND, "temperature", "below", -0.1),
)


def _seen(name: str) -> Callable[[bool], Found]:
    def by(within: bool) -> Found:
        gap = 5.55 if within else 5.56  # 10 F
        return predicted(lambda p: replace(p, sensors=tuple(replace(s, **{name: gap}) for s in p.sensors)))  # type: ignore[arg-type]

    return by


built("H025", HEAT, "hottest seen within 10 F", _seen("below_hottest"))
built("H025", HEAT, "coldest seen within 10 F", _seen("above_coldest"))


def _likely(within: bool) -> Found:
    def change(p: Prediction) -> Prediction:
        assert p.likelihood is not None
        tried = replace(p.likelihood, everything=360 if within else 359)
        broken = row(Limit.AROUND, "temperature", "below", -0.1)
        return replace(p, limits=(broken,), worst=-0.1, likelihood=tried)

    return predicted(change)


built("H026", HEAT, "nine in ten cases", _likely)
built(
    "H028",
    HEAT,
    "degree of cure 0.85",
    lambda w: predicted(lambda p: replace(p, cured=(CureState("paste", 0.85 if w else 0.84, 0.9, None),))),
)
built(
    "H033",
    HEAT,
    "thermocouples on their line",
    lambda w: predicted(lambda p: replace(p, sensors=p.sensors[1 if w else 2 :])),
)
built(
    "H035",
    HEAT,
    "blanket off by its tolerance",
    lambda w: predicted(lambda p: replace(p, placing=Placing(0.01, "0", 0.0 if w else -0.1, ()))),
)
built(
    "H035",
    HEAT,
    "thermocouple off by its tolerance",
    lambda w: predicted(lambda p: replace(p, placing=Placing(0.01, "0", 1.0, (("T1", 0.0 if w else -0.1),)))),
)
built(
    "H035",
    HEAT,
    "only where it holds when placed well",
    lambda w: predicted(lambda p: replace(p, worst=-0.1 if w else 0.0, placing=Placing(0.01, "0", -0.1, ()))),
)
LAGGED = (
    (
        'cure = "Repair plies"\nset_point',
        'cure = "Repair plies"\ninsulation_over = "demo-insulation"\nset_point',
    ),
    ('use = "insulation"\n', 'use = "insulation"\nlimit_temperature = "100 C"\n'),
)
built(
    "H380",
    HEAT,
    "insulation without a limit",
    lambda w: predicted(lambda p: replace(p, limits=()), *(LAGGED if w else LAGGED[:1])),
)
built(
    "H036",
    HEAT,
    "insulation over the bag",
    lambda w: predicted(
        lambda p: replace(
            p,
            limits=(),  # a blanket without a limit of its own heats it as well
            around=(("blanket", C + (100.0 if w else 100.1)),),
        ),
        *LAGGED,
    ),
)


built(
    "H300",
    HEAT,
    "hottest within its limits",
    lambda w: predicted(
        lambda p: replace(
            p,
            hottest=replace(p.hottest, layer="potting"),
            limits=(row(Limit.PEAK, "temperature", "below", 0.0 if w else -0.1),),
        )
    ),
)
built(
    "H300",
    HEAT,
    "the potting, not the bond line",
    lambda w: predicted(
        lambda p: replace(
            p,
            hottest=replace(p.hottest, layer="bond line" if w else "potting"),
            limits=(row(Limit.PEAK, "temperature", "below", -0.1),),
        )
    ),
)


def _wider(held: int) -> Found:
    def of(p: Prediction) -> Prediction:
        tried = p.likelihood
        assert tried is not None
        tried = replace(tried, cases=200, everything=200, firm=200, wider=(held, 50), rests_on=("core",))
        rows = tuple(replace(r, margin=abs(r.margin) + 1.0) for r in p.limits)
        return replace(p, limits=rows, worst=1.0, likelihood=tried)

    return predicted(of)


built("H330", HEAT, "nine of ten with wider ranges", lambda w: _wider(45 if w else 44))


def _soaked(margin: float | None) -> Found:
    """A cure that holds dry, and with water as it may be; None where that was not predicted."""
    plan, work = door()
    own = work.bag.operations[1]
    problem = made_problem(plan, own)
    made = replace(made_prediction(problem), limits=(), worst=1.0, likelihood=None)
    soaked = None
    if margin is not None:
        soaked = replace(made, limits=(row(Limit.COLDEST, "temperature", "above", margin),))
    operation = replace(work.cure.operations[1], missing=(), problem=problem, prediction=made, wetted=soaked)
    bags = replace(work.bag, operations=(own,))
    return cure_checks.check(plan.case, plan.ledger, CurePart((operation,)), bags)


built("H331", HEAT, "coldest with water left in the core", lambda w: _soaked(0.0 if w else -0.1))
built("H332", HEAT, "whether that was predicted", lambda w: _soaked(1.0 if w else None))


def _on_tape(within: bool) -> Found:
    _, work = door()
    tape = work.plies.sides[0].tape_outer
    assert tape is not None
    edge = tape.bounds[2] + (0.001 if within else -0.001)
    middle = 0.5 * (tape.bounds[1] + tape.bounds[3])
    first = lambda p: replace(p.sensors[0], at=(edge, middle), face="repair side")  # noqa: E731
    return predicted(
        lambda p: replace(p, sensors=(first(p), *(replace(s, at=(edge, middle)) for s in p.sensors[1:])))
    )


built("H150", HEAT, "the rim of the tape", _on_tape)
EDGE = ('edge_breather = { value = "50 mm", place = "51-30-02 fig 3 note 3" }\n', "")


def _beside(within: bool) -> Found:
    plan, work = door()
    own = work.bag.operations[1]
    plain = tuple(x for x in own.layers if x.use != "edge breather")
    layers = plain if within else (*own.layers, replace(own.layers[0], use="a layer nobody counts"))
    problem = made_problem(plan, own)
    operation = replace(work.cure.operations[1], problem=problem, prediction=made_prediction(problem))
    bags = replace(work.bag, operations=(replace(own, layers=layers),))
    return cure_checks.check(plan.case, plan.ledger, CurePart((operation,)), bags)


built("H052", HEAT, "a layer that is not counted", _beside)

# --- strength: a part with nothing in it, changed ---

NONE: dict[str, Any] = {f.name: () for f in fields(StrengthPart)}
NONE |= {"mass_added": None, "moment_added": None, "moment_limit": None}
EMPTY = StrengthPart(**NONE | {"loads": (("case 1", "typed"),)})


def studied(**changes: Any) -> Found:
    """What is found of an empty strength part with changes."""
    plan, _ = door()
    return strength.check(plan.case, plan.ledger, replace(EMPTY, **changes))


def _reserve(value: float, resolved: bool = True) -> Reserve:
    return Reserve(
        next(iter(ReserveKind)), figure(value), "bond", "outside", "hot and wet", "a test", resolved
    )


def _ratio(value: float) -> Ratio:
    return Ratio("outside", figure(0.0, "angle"), figure(1.0), figure(value), figure(value))


def _moment(within: bool) -> Found:
    hinge = '[panel.hinge]\nstart = "0, 800 mm"\nend = "1200, 800 mm"\nmoment_limit = "{} N m"\n\n[damage]\n'
    plan, work = door(("[damage]\n", hinge.format("9")))
    ledger = Ledger()
    for f in plan.ledger:
        ledger.add(f)
    ground = Ground(plan.case, ledger)
    lay = AsLaid(plan.case, work.cutout, work.plies, work.core)
    moment, limit = moment_added(ground, mass_added(ground, lay), work.cutout.opening.centre)
    assert moment is not None
    assert limit is not None
    most = float(moment) * (1.0 if within else 0.999)
    return studied(moment_added=moment, moment_limit=figure(most, "moment"))


def _unlike(
    inside: tuple[tuple[str, str], ...], outside: tuple[tuple[str, str], ...]
) -> Callable[[bool], Found]:
    def by(within: bool) -> Found:
        plan, work = door(*(inside if within else outside))
        return studied(differences=differences(AsLaid(plan.case, work.cutout, work.plies, work.core)))

    return by


ROW = '{ cloth = "demo-glass-8h", warp = "45 deg" }'
TABLE = (
    '[data.plies.outside]\nrepair = { place = "52-10-17 fig 204 table", value = [\n'
    '  { cloth = "demo-glass-8h", warp = "0 deg" },\n'
)
MORE = f'extra = {{ place = "52-10-17 fig 204 note 2", value = [ {ROW} ] }}\n'
ONE = '  { cloth = "demo-glass-8h", warp = "0 deg" },\n'


def _thin(cloth: str) -> tuple[tuple[str, str], ...]:
    return ((TABLE, TABLE.replace('"demo-glass-8h"', f'"{cloth}"')),)


def _turned(angle: str) -> tuple[tuple[str, str], ...]:
    return ((TABLE, TABLE.replace('"0 deg"', f'"{angle}"')),)


built("T101", STUDY, "data of a check given", lambda w: studied(not_checked=() if w else ("bond: missing",)))
built("T102", STUDY, "reserve of 1", lambda w: studied(reserves=(_reserve(1.0 if w else 0.99),)))
built(
    "T103", STUDY, "98 % of the sound stiffness", lambda w: studied(membrane=(_ratio(0.98 if w else 0.97),))
)
built("T104", STUDY, "moment about the hinge line", _moment)
built(
    "T105",
    STUDY,
    "a load case given",
    lambda w: studied(loads_given=w),
)
built(
    "T106",
    STUDY,
    "as many plies as were cut",
    _unlike(((MORE, ""),), ((TABLE, TABLE.removesuffix(ONE)),)),
)
built("T107", STUDY, "as thick as what was cut", _unlike((), _thin("demo-glass-plain")))
built("T108", STUDY, "warp within 3 degrees", _unlike(_turned("3.0 deg"), _turned("3.1 deg")))
built("T109", STUDY, "resolved on two grids", lambda w: studied(reserves=(_reserve(2.0, w),)))
built(
    "T130",
    STUDY,
    "the least rests on what the data give",
    lambda w: studied(reserves=(replace(_reserve(2.0), rests=() if w else (next(iter(Rests)),)),)),
)
