"""Findings on a prediction of heat: a made prediction, changed, inside and outside each limit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from finding_built import HEAT, Found, built, door, figure
from made_prediction import made_prediction, made_problem
from panelmend.derive import Ledger, Source
from panelmend.document.model import Confirmation
from panelmend.job import cure
from panelmend.job.cure import checks as cure_checks
from panelmend.job.cure import drying_checks
from panelmend.job.cure.part import CurePart
from panelmend.job.cure.prediction import CureState, DriedCases, Limit, LimitRow, Placing, Prediction
from panelmend.job.untold_heat import Undried, undried_key
from panelmend.shapes import circle

C = 273.15


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
    return cure_checks.check(plan.case, plan.ledger, CurePart((operation,)), bags, work.core)


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
    row(Limit.HELD, "time", "above", 0 * 60.0),
    row(Limit.HELD, "time", "above", -1 * 60.0),
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
        row(what, "rate", sense, 0.0 / 60.0),
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


rows(
    "H381",
    "paste round the plug",
    row(Limit.SPLICE, "temperature", "below", 0.0),
    row(Limit.SPLICE, "temperature", "below", -0.1),
)
built(
    "H035",
    HEAT,
    "blanket behind off by its tolerance",
    lambda w: predicted(
        lambda p: replace(p, placing=Placing(0.01, "0", 1.0, (), (0.01, "0", 0.0 if w else -0.1)))
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


built(
    "H518",
    HEAT,
    "a resin without heat of cure",
    lambda w: predicted(lambda p: replace(p, limits=(), uncounted=() if w else ("a film",))),
)
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
    return cure_checks.check(plan.case, plan.ledger, CurePart((operation,)), bags, work.core)


built("H331", HEAT, "coldest with water left in the core", lambda w: _soaked(0.0 if w else -0.1))
built("H332", HEAT, "whether that was predicted", lambda w: _soaked(1.0 if w else None))


def _dried_by(who: str) -> Found:
    plan, work = door()
    key = undried_key(plan.case, Undried.NOT_RUN)
    taken = Confirmation(figure=key, by=who, on=date(2026, 11, 24), reason="dried so before")
    document = plan.case.document.model_copy(update={"confirm": (taken,)})
    case = replace(plan.case, document=document)
    return cure.check_drying(case, plan.ledger, work.cure, work.drying)


def _dried_at(kilopascals: float) -> Found:
    """Drying at 71 C, where a closed wet cell comes to some 150 kPa, and in a hotter case to some 160 kPa."""
    plan, work = door()
    bonds = tuple(
        replace(b, strength=figure(1e3 * kilopascals, "pressure"), made_in=False) for b in work.drying.bonds
    )
    ledger = Ledger()
    for key in ("reaches", "hottest"):
        ledger.typed(f"drying.heat.{key}", C + 71.0, "temperature", source=Source("a test"))
    dried = replace(work.drying, bonds=bonds[:1])
    return tuple(drying_checks._predicted(plan.case, ledger, dried))


def _dried_over(over: int) -> Found:
    plan, work = door()
    ledger = Ledger()
    for key in ("reaches", "hottest"):
        ledger.typed(f"drying.heat.{key}", C + 71.0, "temperature", source=Source("a test"))
    tried = DriedCases(40, 1, (C + 70.0, C + 71.0), (C + 71.0, C + 72.0), 40, None, over, 0)
    return tuple(drying_checks._predicted(plan.case, ledger, replace(work.drying, bonds=()), tried))


built("H144", HEAT, "cases in which a limit is passed", lambda w: _dried_over(0 if w else 1))
built("H605", HEAT, "in a case hotter than the likely one", lambda w: _dried_at(155.9 if w else 155.8))
built("H604", HEAT, "who takes it on", lambda w: _dried_by("R. Osk" if w else "D. Aune"))


def _near_metal(off: float) -> Found:
    """A thermocouple so far [m] beside an insert of 30 mm: its line has no other place."""
    plan, work = door()
    own = work.bag.operations[1]
    problem = replace(made_problem(plan, own), avoid=(circle((0.5, 0.4), 0.030),))
    beside = (0.515 + off, 0.4)
    made = made_prediction(problem)
    moved = replace(made.sensors[0], face="repair side", at=beside)
    made = replace(made, sensors=(moved, *made.sensors[1:]))
    operation = replace(work.cure.operations[1], missing=(), problem=problem, prediction=made)
    bags = replace(work.bag, operations=(own,))
    return cure_checks.check(plan.case, plan.ledger, CurePart((operation,)), bags, work.core)


built(
    "H135", HEAT, "a thermocouple half an inch beside metal", lambda w: _near_metal(0.0127 if w else 0.0126)
)


def _on_tape(within: bool) -> Found:
    _, work = door()
    tape = work.plies.sides[0].tape_outer
    assert tape is not None
    edge = tape.bounds[2] + (0.0 if within else -0.0001)
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
    return cure_checks.check(plan.case, plan.ledger, CurePart((operation,)), bags, work.core)


built("H052", HEAT, "a layer that is not counted", _beside)
