"""The whole card of the demonstration, from receiving the cloth to the signed release, by invented people."""

from __future__ import annotations

import json
import shutil
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from click.testing import CliRunner

from examples_here import case, names, text
from panelmend.app.cardwork import step_now
from panelmend.app.cli import REFUSED, main
from panelmend.app.cli_desk import Desk
from panelmend.app.log_answers import Request
from panelmend.app.records import judge_at
from panelmend.app.records_stores import pieces_of
from panelmend.app.records_words import step_words
from panelmend.errors import InputError
from panelmend.job.card.order import Operations, Place, must_precede
from panelmend.job.card.writing import clock_blank, note
from panelmend.job.card.writing import step as card_step
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.records import events as e
from panelmend.records.book import Who
from panelmend.records.canonical import amount_text, canonical_amount
from panelmend.records.doing.judged import Met, items
from panelmend.records.doing.sheet import _batches, blank_of, clocks_of, step_key, steps_of
from panelmend.records.doing.standing import At, standing
from panelmend.records.package import check_package
from panelmend.records.package.make import make_package, read_package
from records_made import A1, A3, O11, O20, O24, Shop, refused, report_of, secret_of, shop, who
from records_made import steps as short_steps

GEAR_DOOR = Path(__file__).parents[2] / "examples" / "gear_door"


@pytest.fixture(scope="module")
def plan() -> Plan:
    """The plan of the demonstration."""
    return make_plan(case("gear_door"))


def _answer(made: Shop, blank: e.CardBlank, ahead: timedelta) -> dict[str, Any]:
    """A sound answer to a blank: on its limit, where it has one."""
    if blank.entry is e.EntryKind.TICK:
        return {"yes": True}
    if blank.entry is e.EntryKind.TIME:
        at = made.time.at + (ahead if blank.ahead else timedelta())
        return {"at": at.strftime("%Y-%m-%dT%H:%M:%S.000Z")}
    if blank.entry is e.EntryKind.TEXT:
        names = {"lots": ("L1",), "instruments": ("TC-1",), "": ()}[blank.names]
        return {"typed": "as on the label", "names": names}
    value = blank.low or blank.high or "1"
    answer: dict[str, Any] = {"value": value}
    return {**answer, "meets": True, "limit": "51-30-04, table 2"} if blank.ask == "person" else answer


def _fill(made: Shop, job: str, step: e.CardStep) -> None:
    ahead = timedelta(hours=12) if step.id in ("O8", "C5") else timedelta(minutes=30)
    if step.blanks:
        made.read(step.key, *(_answer(made, b, ahead) for b in step.blanks), job=job)
    if step.cure:
        log = f"log {step.key}".encode()
        made.book.keep_verdict(who("T1"), job, step.key, step.cure, e.Judged.CONFORMS, log, report_of(log))


def test_the_whole_card_is_done_in_its_own_order_released_and_checked(plan: Plan, tmp_path: Path) -> None:
    made, job = shop(tmp_path / "shop.sqlite"), plan.case.document.repair.number
    steps = steps_of(plan)
    made.receive("L1", material="E-glass", frozen=False, out_life=None, amount="20")
    made.book.know_instrument(who("S1"), "TC-1", "meter", "cert 1", "2027-06-30")
    document = text("gear_door").encode()
    made.begin_job(
        job,
        document=document,
        plan=plan.digest,
        steps=steps,
        clocks=clocks_of(plan),
        panel="door",
        pieces=pieces_of(plan),
    )
    for n, step in enumerate(steps):
        held = made.state.jobs[job]
        assert standing(held, step.key).at is At.READY, f"the card's own order: {step.number} {step.id}"
        for later in steps[n + 1 :]:
            if step.key in later.needs:
                assert standing(held, later.key).at is At.BLOCKED
        if any(b.names == "lots" for b in step.blanks):
            made.book.issue(who("S1"), "L1", job, step.key, "2.5")
        _fill(made, job, step)
        assert {i.met for i in items(made.state.jobs[job], step.key)} <= {Met.WITHIN, Met.WRITTEN}
        if step.pieces or step.pots:
            refused("R305", lambda k=step.key: made.sign(k, "did", "T1", job=job))
        for piece in step.pieces:
            made.book.see_label(who("T1"), job, step.key, job, piece, plan.short_digest)
        if step.pots:
            made.book.mix(who("T1"), job, step.key, f"M{n}", {"L1": "1"}, 1800)
        made.sign(step.key, "did", "T1", job=job)
        if step.hold and step.hold_by != "certificate holder":
            refused("R127" if step.hold_by != "planner" else "R111", lambda k=step.key: _own(made, job, k))
            made.sign(step.key, "accepted", {"planner": "P1", "inspector": "I1"}[str(step.hold_by)], job=job)
        made.time.go(minutes=1)
    made.release(job=job)
    found = made.book.log.check()
    assert found.holds, found.faults
    whole = make_package(made.book.log, job)
    path = tmp_path / "package.zip"
    path.write_bytes(whole)
    assert check_package.check(str(path), found.printed) == []
    assert document in read_package(whole, found.printed).papers.values()


def _own(made: Shop, job: str, key: str) -> None:
    """Who did the step tries to accept it, made an inspector for the purpose or not."""
    if (
        e.Role.INSPECTOR not in made.state.people["T1"].roles
        and made.state.jobs[job].steps[key].hold_by == "inspector"
    ):
        made.book.set_roles(who("K1"), "T1", [e.Role.TECHNICIAN, e.Role.INSPECTOR], "tries")
        made.book.authorise(who("K1"), "T1", e.Scope.INSPECTION, "2027-06-30", "paper")
    made.sign(key, "accepted", "T1", job=job)


@pytest.mark.parametrize("name", names())
def test_every_card_becomes_a_sheet_whose_limits_are_the_printed_ones(name: str) -> None:
    plan = make_plan(case(name))
    steps = steps_of(plan)
    assert [s.key for s in steps] == [step_key(s.place) for s in plan.card.steps]
    done: set[str] = set()
    for step, card in zip(steps, plan.card.steps, strict=True):
        assert set(step.needs) <= done
        assert bool(step.needs) == bool(done), "only the first step needs nothing before it"
        done.add(step.key)
        if step.hold_by == "certificate holder":
            assert step.blanks == (), "the release entry fills these in"
            continue
        for blank, b in zip(step.blanks, card.blanks, strict=True):
            assert (blank.low is None, blank.high is None) == (b.low is None, b.high is None)
            for limit in (blank.low, blank.high):
                assert limit is None or amount_text(canonical_amount(limit)) == limit
    for held in clocks_of(plan):
        assert (held.most is None) != (held.until is None)
    if plan.card.clocks:
        lives = [c.most for c in clocks_of(plan) if c.name.startswith("pot life")]
        assert lives == [int(float(c.life)) for c in plan.card.clocks]


def test_a_cure_is_judged_by_the_jobs_own_document_and_kept_where_the_bag_is_opened(tmp_path: Path) -> None:
    made, job = shop(), "TAS-26-0417"
    for name in ("repair.toml", "cure-repair-plies.csv", "cure-repair-plies.csv.read.json"):
        shutil.copyfile(GEAR_DOOR / name, tmp_path / name)
    document, log = tmp_path / "repair.toml", tmp_path / "cure-repair-plies.csv"
    mine = [s.model_copy(update={"cure": "Repair plies"}) if s.cure else s for s in short_steps()]
    made.begin_job(job, document=document.read_bytes(), steps=mine)
    made.do(A1, A3, O11, O20, job=job)
    leak = "24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25"
    asked = Request(leak=leak, vacuum_on="2026-11-25 08:10", bag_opened="2026-11-25 14:30")
    kept = judge_at(made.book, who("T1"), job, O24, document, log, asked)
    verdict = made.state.jobs[job].now(O24).verdict
    assert verdict is not None
    assert (verdict.verdict.outcome, verdict.verdict.cure) == (kept.outcome, "Repair plies")
    assert kept.outcome is e.Judged.CONFORMS, kept.against
    assert made.book.log.paper(verdict.verdict.log) == log.read_bytes()
    assert b'"outcome": "conforms"' in made.book.log.paper(verdict.verdict.report)
    document.write_text(document.read_text("utf8") + "\n", "utf8")
    refused("R129", lambda: judge_at(made.book, who("T1"), job, O24, document, log, asked))


def test_a_second_person_of_the_records_states_how_the_gauge_counts(tmp_path: Path) -> None:
    """The records took no such statement: a log that never shows the open bag could only stay open."""
    made, job = shop(), "TAS-26-0417"
    document, log = tmp_path / "repair.toml", tmp_path / "cut.csv"
    shutil.copyfile(GEAR_DOOR / "repair.toml", document)
    rows = (GEAR_DOOR / "cure-repair-plies.csv").read_text("utf8").splitlines(keepends=True)
    still = [r for r in rows if not r.endswith((",0.0\n", ",0.1\n"))]
    last = [r.rsplit(",", 1)[0] + ",24.6\n" for r in rows[len(still) :]]
    log.write_text("".join([*still, *last]), "utf8")
    kept = (GEAR_DOOR / "cure-repair-plies.csv.read.json").read_text("utf8")
    Path(f"{log}.read.json").write_text(kept, "utf8")
    mine = [s.model_copy(update={"cure": "Repair plies"}) if s.cure else s for s in short_steps()]
    made.begin_job(job, document=document.read_bytes(), steps=mine)
    made.do(A1, A3, O11, O20, job=job)
    leak = "24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25"
    asked = Request(leak=leak, vacuum_on="2026-11-25 08:10", bag_opened="2026-11-25 14:30", ran="B. Ito")
    typed = "Vacuum (inHg); below ambient; certificate 4711; {}"
    for stranger in ("L. Okafor; inspector", "M. Verrin; engineer"):
        judging = replace(asked, gauge_seen=(typed.format(stranger),))
        with pytest.raises(InputError, match="not in the records"):
            judge_at(made.book, who("T1"), job, O24, document, log, judging)
    alone = judge_at(made.book, who("T1"), job, O24, document, log, asked)
    assert (alone.outcome, alone.rests) == (e.Judged.UNKNOWN, ())
    assert [x[:4] for x in alone.against] == ["V560"]
    seen = replace(asked, gauge_seen=(typed.format("M. Verrin; inspector"),))
    with pytest.raises(InputError, match="not given their own secret"):
        judge_at(made.book, who("T1"), job, O24, document, log, seen, (who("T1"),))
    wrong = (Who("I1", "not the secret of I1"),)
    refused("R113", lambda: judge_at(made.book, who("T1"), job, O24, document, log, seen, wrong))
    for ran, by, keeps in (
        ("I1", "A. Reyes", "T1"),
        ("B. Ito", "i1", "T1"),
        ("B. Ito", "M. Verrin (I1)", "T1"),
        ("B. Ito", "A. Reyes", "I1"),
    ):  # one person under a name and a staff number, or alone at the desk, is not two
        how = json.loads(kept) | {"by": by}
        Path(f"{log}.read.json").write_text(json.dumps(how), "utf8")
        with pytest.raises(InputError, match="is no second person"):
            judge_at(made.book, who(keeps), job, O24, document, log, replace(seen, ran=ran), (who("I1"),))
    Path(f"{log}.read.json").write_text(kept, "utf8")
    assert made.state.jobs[job].now(O24).files == []
    stated = judge_at(made.book, who("T1"), job, O24, document, log, seen, (who("I1"),))
    assert stated.outcome is e.Judged.CONFORMS, stated.against
    assert stated.rests[0].startswith("M. Verrin's statement")
    assert "with the own secret of M. Verrin" in stated.rests[0]
    entered = made.book.history(f"job {job}")[-2:]
    assert [(x.by, x.what.kind) for x in entered] == [("I1", "file kept"), ("T1", "verdict kept")]
    assert "stated of the vacuum gauge: Vacuum (inHg); below ambient" in entered[0].what.what
    lines = step_words(made.state, made.state.jobs[job], O24, made.book.log.paper)
    shown = [x for x in lines if x.startswith("  verdict on Repair plies")]
    assert [x.count("M. Verrin") for x in shown] == [0, 2]
    (number,) = (s.number for s in mine if s.key == O24)
    assert step_now(made.state, job, number, None, made.book.log.paper).verdicts[-1] in shown[-1]


def test_the_second_secret_is_asked_for_at_the_command_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each secret under its own prompt, unseen; from files, each from its own."""
    made, job = shop(), "TAS-26-0417"
    monkeypatch.setattr(Desk, "book", made.book)
    document, log = tmp_path / "repair.toml", tmp_path / "cut.csv"
    shutil.copyfile(GEAR_DOOR / "repair.toml", document)
    rows = (GEAR_DOOR / "cure-repair-plies.csv").read_text("utf8").splitlines(keepends=True)
    still = [r for r in rows if not r.endswith((",0.0\n", ",0.1\n"))]
    last = [r.rsplit(",", 1)[0] + ",24.6\n" for r in rows[len(still) :]]
    log.write_text("".join([*still, *last]), "utf8")
    shutil.copyfile(GEAR_DOOR / "cure-repair-plies.csv.read.json", f"{log}.read.json")
    mine = [s.model_copy(update={"cure": "Repair plies"}) if s.cure else s for s in short_steps()]
    made.begin_job(job, document=document.read_bytes(), steps=mine)
    made.do(A1, A3, O11, O20, job=job)
    (number,) = (str(s.number) for s in mine if s.key == O24)
    typed = "Vacuum (inHg); below ambient; certificate 4711; M. Verrin; inspector"
    words = ["job", "verdict", job, number, str(document), str(log), "--gauge-seen", typed, "--ran", "B. Ito"]
    words += ["--leak", "24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25"]
    words += ["--vacuum-on", "2026-11-25 08:10", "--bag-opened", "2026-11-25 14:30", "--by", "T1"]

    def said(before: list[str], after: list[str], keys: str = "") -> tuple[int, str]:
        done = CliRunner().invoke(main, ["records", *before, *words, *after], input=keys)
        return done.exit_code, done.output

    code, out = said([], ["--second", "I1"], f"{secret_of('T1')}\nnot the secret\n")
    assert code == REFUSED
    assert "R113 the secret is wrong: I1" in out
    assert "Secret of I1" in out
    assert secret_of("T1") not in out, "typed unseen"
    code, out = said([], [], f"{secret_of('T1')}\n")
    assert code != 0
    assert "has not given their own secret" in out
    code, out = said([], ["--second", "I1"], f"{secret_of('T1')}\n{secret_of('I1')}\n")
    assert code == 0, out
    assert "conforms; rests on M. Verrin's statement" in out
    for person in ("T1", "I1"):
        (tmp_path / person).write_text(f"{secret_of(person)}\n", "utf8")
    both = ["--second", "I1", "--second-secret-file", str(tmp_path / "T1")]
    code, out = said(["--secret-file", str(tmp_path / "T1")], both)
    assert code == REFUSED
    assert "R113 the secret is wrong: I1" in out, "the first secret is not taken for the second"
    assert "Secret of" not in out


def test_every_pot_of_a_batch_has_its_own_clocks_found_by_their_marks() -> None:
    """Times were once found by their place among a step's times: the second pot had no pot life, and the time
    by which it is laid was refused as one still to come."""
    pot = [
        clock_blank("mixed at", "", "mixed"),
        clock_blank("lay by", "", "lay by"),
        clock_blank("vacuum on by", "", "on by"),
    ]
    mixed = card_step(Place("O11", 1, 1), "mix", blanks=[note("Lots", "lots"), *pot, *pot])
    laid = card_step(Place("O18", 1), "lay", blanks=[clock_blank("Last", "", "last laid")])
    on = card_step(Place("O20", 1), "bag", blanks=[clock_blank("On", "", "vacuum on")])
    life = SimpleNamespace(batch="R", operation=1, life=2400.0, lay=1800.0, known=True)
    bag = SimpleNamespace(number=1, name="Plies", on_plate=False)
    plan = SimpleNamespace(
        case=SimpleNamespace(view="mm"),
        ledger=(),
        card=SimpleNamespace(steps=(mixed, laid, on), clocks=(life,)),
        work=SimpleNamespace(
            bag=SimpleNamespace(operations=()),
            kit=SimpleNamespace(mixes=(SimpleNamespace(id="R", operation="Plies"),)),
        ),
    )
    steps = {step_key(s.place): s for s in plan.card.steps}
    found = {c.name: (c.start_blank, c.most, c.until_blank) for c in _batches(plan, bag, steps)}  # type: ignore[arg-type]
    assert found == {
        "pot life, R, batch 1": (1, 2400, 0),
        "pot life, R, batch 2": (4, 2400, 0),
        "vacuum on by, R, batch 1": (1, None, 3),
        "vacuum on by, R, batch 2": (4, None, 6),
        "laid within, R, batch 1": (1, 1800, 0),
        "laid within, R, batch 2": (4, 1800, 0),
        "lay by, R, batch 1": (1, None, 2),
        "lay by, R, batch 2": (4, None, 5),
    }
    assert [b.ahead for b in (blank_of(x, "mm") for x in mixed.blanks)] == [
        False, False, True, True, False, True, True,
    ]  # fmt: skip
    assert blank_of(mixed.blanks[0], "mm").names == "lots"


def test_steps_pass_needs_on_through_bonding_steps_where_nothing_is_bonded() -> None:
    none = Operations(())
    for first, then in (("A3", "E1"), ("B14", "E1"), ("C5", "E3"), ("A1", "E9")):
        assert must_precede(Place(first), Place(then), none), (first, then)
        assert not must_precede(Place(then), Place(first), none)
