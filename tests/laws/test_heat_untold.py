"""What nobody can predict keeps heat off, and what holds dry alone is no page's "held"."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from examples_here import case, case_from, heat_taken_on, text
from heat_problem import demo
from made_prediction import made_prediction
from panelmend.app.heat_words import heat_words
from panelmend.errors import InputError
from panelmend.job.cure.prediction import Outlook, Prediction
from panelmend.job.cure.problem import HeatProblem
from panelmend.job.heat_taken import refuse
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.plan.standing import Standing
from panelmend.render.cure_plan import cure_plan_data

POTTED = text("gear_door").replace(
    'replace = { value = true, place = "52-10-17 fig 203" }',
    'pot_limit = { value = "150 mm", place = "x 1" }',
)
OVEN = POTTED.replace('lays = ["core", "cap"]', 'lays = ["core", "cap"]\nheated_by = "oven"')
OVEN = re.sub(r"\[\[choice\.heat\]\]\ncure = .Core and cap.*?(?=\n\[)", "", OVEN, count=1, flags=re.DOTALL)
CONFIRM = '\n[[confirm]]\nfigure = "{key}"\nby = "D. Aune"\non = 2026-11-24\nreason = "trial potted"\n'


def _heat_on(plan: Plan) -> str:
    step = next(s for s in plan.card.steps if s.place.id == "O22")
    return " ".join("".join(str(w) for w in line) for line in step.words)


def test_a_heated_potting_nobody_can_predict_waits_for_a_name() -> None:
    plan = make_plan(case_from(OVEN))
    said = next(f.todo for f in plan.findings if f.code == "H600")
    assert plan.standing is not Standing.READY
    assert "Do not heat until the engineer accepts it by name" in _heat_on(plan)
    named = OVEN + CONFIRM.format(key=said.split('"')[1])
    taken = make_plan(case_from(named))
    assert {f.code for f in taken.findings} & {"H600", "H601"} == {"H601"}
    assert not any("own_heat" in f.words for f in taken.findings if f.code == "J003")
    assert "Accepted by D. Aune" in _heat_on(taken)
    hotter = named.replace('name = "Core and cap"', 'name = "Core, cap"')
    assert hotter != named
    assert "H600" in {f.code for f in make_plan(case_from(hotter)).findings}, "another cure is not taken on"


ROOM = re.sub(
    r"segment = \[\n  \{ kind = .ramp., to = .66 C.*?\n\]",
    'segment = [ { kind = "dwell", to = "25 C", low = "20 C", high = "30 C", least = "24 h" } ]',
    text("gear_door").replace(
        'lays = ["core", "cap"]', 'lays = ["core", "cap"]\nheated_by = "room temperature"'
    ),
    count=1,
    flags=re.DOTALL,
)
ROOM = ROOM.replace('release_below = "52 C"\n', "", 1)
ROOM = re.sub(r"\[\[choice\.heat\]\]\ncure = .Core and cap.*?(?=\n\[)", "", ROOM, count=1, flags=re.DOTALL)


def test_heat_that_is_not_predicted_waits_for_a_name() -> None:
    """No prediction made, and paste that warms itself where nothing heats it: each taken on as it is."""
    plan = make_plan(case_from(ROOM))
    said = {f.place: f.words for f in plan.findings if f.code == "H602"}
    assert plan.standing is not Standing.READY
    assert "what fills the core warms itself" in said["cure.1"]
    assert "this version has not predicted it yet" in said["cure.2"]
    laid_out = str([s.words for s in plan.card.steps if s.place.operation == 1])
    assert "Do not fill until the engineer accepts it by name" in laid_out
    assert "Do not heat until the engineer accepts it by name" in _heat_on(plan)
    named = heat_taken_on(ROOM)
    taken = make_plan(case_from(named))
    assert [f.code for f in taken.findings if f.code in {"H602", "H603"}] == ["H603", "H603"]
    assert not any("unpredicted" in f.words for f in taken.findings if f.code == "J003")
    assert "Accepted by D. Aune, engineer, as typed" in _heat_on(taken)
    dries = [str(next(s for s in p.card.steps if s.place.id == "C4").words) for p in (plan, taken)]
    assert ["accepts it by name" in d for d in dries] == [True, False]
    assert "Accepted by D. Aune, engineer, as typed" in dries[1]
    assert {f.code for p in (plan, taken) for f in p.findings if f.place == "drying"} == {"H140", "H604"}
    assert {"H140", "H602"} <= {f.code for f in plan.draft_reasons}
    assert not {"H140", "H602"} & {f.code for f in taken.draft_reasons}
    assert {"trial cured"} == {f.words.rsplit(": ", 1)[1] for f in taken.findings if f.code == "H603"}
    for bare in ("", " "):
        plain = make_plan(case_from(named.replace('reason = "trial cured"', f'reason = "{bare}"')))
        assert [f.code for f in plain.findings if f.code in {"H602", "H603"}] == ["H602", "H602"]
    colder = make_plan(case_from(named.replace('air_temperature = "18 C"', 'air_temperature = "17 C"')))
    assert [f.code for f in colder.findings if f.code in {"H602", "H603"}] == ["H602", "H602"]
    wider = make_plan(
        case_from(named.replace('splice_gap = { value = "1.5 mm"', 'splice_gap = { value = "1.6 mm"'))
    )
    assert [f.code for f in wider.findings if f.code in {"H602", "H603"}] == ["H602", "H602"]
    assert sum("unpredicted" in f.words for f in wider.findings if f.code == "J003") == 2


@pytest.mark.parametrize(
    ("by", "reason", "engineer", "why"),
    [
        ("D. Aune", "trial potted", "D. Aune", ""),
        ("Aune, D.", "trial potted", "D. Aune", ""),
        ("D. Aune", " . ", "D. Aune", "gives no reason"),
        ("--", "trial potted", "D. Aune", "nobody is named"),
        ("R. Osk", "trial potted", "R. Osk", "the technician, who runs the cure"),
        ("Osk", "trial potted", "Osk", "the technician, who runs the cure"),
        ("M. Verrin", "trial potted", "M. Verrin", "the inspector, who accepts"),
        ("J. Hale", "trial potted", "D. Aune", "not the engineer named under people (D. Aune)"),
        ("D. Aune", "trial potted", "", "no engineer is named"),
    ],
)
def test_heat_is_taken_on_by_the_engineer_and_never_by_who_runs_it(
    by: str, reason: str, engineer: str, why: str
) -> None:
    made = text("gear_door").replace('engineer = "D. Aune"', f'engineer = "{engineer}"')
    document = case_from(made).document
    said = refuse(document, by, reason)
    assert (said == "") == (why == "")
    assert why in said


def test_the_technician_s_own_name_takes_nothing_on_and_the_finding_says_why() -> None:
    named = heat_taken_on(ROOM).replace('by = "D. Aune"\non = 2026-11-24', 'by = "R. Osk"\non = 2026-11-24')
    waits = [f for f in make_plan(case_from(named)).findings if f.code in {"H140", "H602"}]
    assert len(waits) == 3
    assert all("NOT COUNTED: R. Osk may be the technician" in f.words for f in waits)
    assert all("D. Aune, the engineer, accepts it" in f.todo for f in waits)
    assert not any("_" in f.words for f in waits), "the key stands in what is to be done"


BACK = (
    text("gear_door")
    .replace('edge_band = "35 mm"', 'edge_band = "331.6 mm"')
    .replace(
        "[data.finishing]\n",
        '[[data.put_back]]\nkind = "edge band"\nhow = "splice a new one"\nplace = "x"\n'
        'who = "bench trade 7"\n'
        'when = "before bonding"\ncure_for = "2 h"\ncure_high = "70 C"\n[data.finishing]\n',
    )
)


def test_heat_that_cures_what_is_put_back_waits_for_the_engineer() -> None:
    """Also where only the warmest is typed: nobody said that a room will do."""
    plan = make_plan(case_from(BACK))
    assert "H655" in {f.code for f in plan.draft_reasons}
    said = next(f.todo for f in plan.findings if f.code == "H655")
    for by, code, words in (
        ("D. Aune", "H657", "Accepted by D. Aune, engineer, as typed"),
        ("R. Osk", "H655", "Do not heat until the engineer accepts it by name"),
    ):
        named = BACK + CONFIRM.format(key=said.split('"')[1]).replace('by = "D. Aune"', f'by = "{by}"')
        taken = make_plan(case_from(named))
        assert [f.code for f in taken.findings if f.place == "put_back.1"] == [code]
        assert not any("put_back" in f.words for f in taken.findings if f.code == "J003")
        (step,) = [s for s in taken.card.steps if s.place.id == "D11"]
        assert words in str(step.words)
        hotter = make_plan(case_from(named.replace('cure_high = "70 C"', 'cure_high = "71 C"')))
        assert "H655" in {f.code for f in hotter.draft_reasons}


def test_the_coolest_of_its_cure_is_cooler_than_the_warmest() -> None:
    for low, wrong in (("69 C", False), ("70 C", True)):
        typed = BACK.replace('cure_high = "70 C"', f'cure_low = "{low}"\ncure_high = "70 C"')
        if not wrong:
            assert case_from(typed).document.data.put_back
            continue
        with pytest.raises(InputError, match="must be below the warmest"):
            case_from(typed)


def test_paste_nobody_predicts_is_told_where_heat_goes_on() -> None:
    told = [
        "paste round the plug" in "".join(str(w) for line in s.words for w in line)
        for s in make_plan(case("root_fairing")).card.steps
        if s.place.id == "O22"
    ]
    assert told.count(True) == 1, "in the cure that sets the plug, where no thermocouple sees it"


def _sure(problem: HeatProblem, short: float) -> Prediction:
    made = made_prediction(problem)
    rows = tuple(replace(r, margin=abs(r.margin) + 1.0) for r in made.limits)
    base = made_prediction(demo()).likelihood
    assert base is not None
    tried = replace(base, cases=200, everything=200, firm=200, perhaps=200, blind=0)
    rows = (replace(rows[0], margin=short), *rows[1:])
    return replace(made, limits=rows, worst=min(short, 1.0), likelihood=tried)


def test_what_holds_dry_alone_has_no_tick_on_the_first_page() -> None:
    """Cases tried dry say nothing of water: first page, box and terminal read alike."""
    document = case_from(text("gear_door"))
    before = make_plan(document)
    assert before.work is not None
    for wet, tick in ((0.1, True), (-0.1, False)):
        kept: dict[str, Prediction] = {}
        for o in before.work.cure.operations:
            assert o.problem is not None
            assert o.wet is not None
            kept |= {o.problem.digest(): _sure(o.problem, 0.1), o.wet.digest(): _sure(o.wet, wet)}
            assert kept[o.problem.digest()].outlook is Outlook.HOLDS
        plan = make_plan(document, predictions=kept)
        data = cure_plan_data(plan)
        assert {row["holds"] for row in (*data["overview"], *data["operations"])} == {tick}
        assert {"✓" in row["mark"] for row in data["overview"]} == {tick}
        told = " ".join(heat_words(plan).split())
        assert ("With water left in the core it is NOT HELD" in told) is not tick
