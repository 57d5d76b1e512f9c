"""One damage of several stands at the gravest of all of them, and says why: planned, packed, checked, begun,
on the screen. A damage alone is never READY beside one that is beyond the data."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from examples_here import FOLDER, text
from panelmend.app import service
from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.app.loading import read_all
from panelmend.app.opened import OpenRepair
from panelmend.app.records import plan_for_records
from panelmend.app.telling import summaries
from panelmend.errors import Finding, Severity
from panelmend.job.case import case_of
from panelmend.job.several import with_others
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan, Standing
from panelmend.plan.several import Several, found_beside, own_standing, together
from panelmend.render.request import beyond
from panelmend.render.several import several_json, several_sheets
from panelmend.screen.pages_damages import standing_words

SOUND = text("gear_door")
SECOND = """[[damage]]
shape = { circle = { centre = "AT, 620 mm", diameter = "40 mm" } }
depth = "skin and core"
side = "outside"
moisture = "none found"

"""
INSIDE, BEYOND = 180, 60  # mm from the edge, where the data asks for 90 from the cut-out


def job(across: int) -> str:
    at = SOUND.index("[data]\n")
    two = SOUND[:at] + SECOND.replace("AT", f"{across}") + SOUND[at:]
    return two.replace("[damage]\n", "[[damage]]\n")


@pytest.fixture(scope="module")
def both() -> Several:
    """Two damages that are repaired, planned beside each other."""
    return together(
        with_others([case_of(r) for r in read_all(job(INSIDE).encode(), Path("job.toml"))]), make_plan
    )


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job whose second damage is beyond the data."""
    file = tmp_path_factory.mktemp("job") / "job.toml"
    file.write_text(job(BEYOND), "utf8")
    return file


def found(plan: Plan, code: str) -> Finding | None:
    return next((f for f in plan.findings if f.code == code), None)


def waits(made: Several, *findings: tuple[Finding, ...]) -> tuple[Plan, ...]:
    """The plans again, with these findings alone, beside each other."""
    return found_beside(
        tuple(replace(p, findings=f) for p, f in zip(made.plans, findings, strict=True))
    ).plans


@pytest.mark.parametrize(
    ("severity", "code", "standing"),
    [
        (Severity.STOP, "J229", Standing.STOP),
        (Severity.CONFIRM, "J230", Standing.DRAFT),
        (Severity.CAUTION, "", Standing.READY),
        (Severity.NOTE, "", Standing.READY),
    ],
)
def test_what_stops_or_waits_at_one_does_so_at_the_other(
    both: Several, severity: Severity, code: str, standing: Standing
) -> None:
    """J229 and J230: a stop and a confirmation of the other; a caution or a note of it makes neither."""
    sound = found_beside(tuple(replace(p, findings=()) for p in both.plans)).plans
    assert {p.standing for p in sound} == {Standing.READY}
    assert not {"J229", "J230"} & {f.code for p in sound for f in p.findings}
    of_b = Finding("L101", severity, "damage", "only B has this", "ask")
    a, b = waits(both, (), (of_b,))
    assert a.standing is b.standing is standing
    assert own_standing(a) is Standing.READY
    assert own_standing(b) is standing
    told = {f.code: f.words for f in a.findings if f.code in ("J229", "J230")}
    assert set(told) == ({code} if code else set())
    if code:
        assert told[code].startswith("B: L101 ")
        assert "only B has this" in told[code]
    assert not {"J229", "J230"} & {f.code for f in b.findings}, "A has nothing to tell it"
    assert waits(both, a.findings, b.findings)[0].findings == a.findings, "looked at again, told once"
    same_of_a = waits(both, (of_b,), (of_b,))[0]
    assert found(same_of_a, "J229") is found(same_of_a, "J230") is None, "it says so itself"


def test_of_one_code_many_are_counted(both: Several) -> None:
    many = tuple(Finding("J001", Severity.CONFIRM, f"data.{i}", f"default {i}", "look") for i in range(30))
    told = found(waits(both, (), many)[0], "J230")
    assert told is not None
    assert told.words.count("default") < 4
    assert "29 more" in told.words


def test_the_pages_over_all_say_which_of_them_it_is(both: Several) -> None:
    """The first page, its data and the screen's list: the own standing of each, and what all come to."""
    of_b = Finding("L101", Severity.STOP, "damage", "only B has this", "ask")
    a, b = waits(both, (), (of_b,))
    made = replace(both, plans=(a, b))
    said = several_json(made)
    assert [(d["alone"], d["standing"]) for d in said["damages"]] == [("READY", "STOP"), ("STOP", "STOP")]
    assert standing_words(a) != standing_words(b)
    page = json.dumps(several_sheets(made).data, default=str)
    assert page.count("only B has this") == 1
    assert "ready: " in page


def test_planned_by_its_name_it_stops_and_says_why(written: Path) -> None:
    made = CliRunner().invoke(main, ["plan", f"{written}#A"])
    assert made.exit_code == Exit.STOP_PLAN, made.output
    assert "J229 stop" in made.output
    assert "another damage of this job is a stop: b: " in made.output.lower()
    assert "cut-out to panel edge" in made.output
    told = summaries(service.plans(written))
    assert told.count("J229 stop") == 1, "of the damage that is a stop itself its own findings speak"


def test_the_screen_and_the_records_plan_it_the_same(written: Path) -> None:
    named = written.with_name("job.toml#A")
    plan = service.plan(named)
    opened = OpenRepair(named).made.plan
    assert opened.digest == plan.digest
    assert opened.standing is Standing.STOP
    assert plan_for_records(named)["standing"] == "STOP"


def test_a_change_that_is_tried_on_the_screen_is_seen_beside_the_other(written: Path) -> None:
    """From the page of A the second damage is still a stop; from that of B it no longer is one for A."""
    b = OpenRepair(written.with_name("job.toml#B"))
    where, inside = ("damage", 1, "shape", "circle", "centre"), f"{INSIDE}, 620 mm"
    tried = b.tried({where: inside}).plan
    assert found(tried, "J229") is None
    a = OpenRepair(written.with_name("job.toml#A"))
    assert found(a.made.plan, "J229") is not None
    assert found(a.tried({where: inside}).plan, "J229") is None


def test_a_damage_beside_one_that_is_ready_can_be_begun(tmp_path: Path) -> None:
    """Its letter behind the file's name is no file: the records keep the document that has both."""
    file = tmp_path / "job.toml"
    document = job(INSIDE)
    file.write_text(document, "utf8")
    plans = service.plans(file)
    keys = [f.todo.split('"')[1] for p in plans for f in p.findings if f.code in {"H140", "H602"}]
    who = plans[0].case.document.people.engineer
    row = '\n[[confirm]]\nfigure = "{}"\nby = "{}"\non = 2026-11-24\nreason = "trial cured"\n'
    file.write_text(document + "".join(row.format(k, who) for k in dict.fromkeys(keys)), "utf8")
    for name in "AB":
        fields = plan_for_records(tmp_path / f"job.toml#{name}")
        assert fields["standing"] == "READY"
        assert str(fields["job"]).endswith(f"-{name}")
        assert fields["document"] == file.read_bytes()
        assert "job-card.pdf" in fields["pages"]


def test_what_stops_another_damage_is_not_asked_for_in_the_request_of_this_one(written: Path) -> None:
    assert beyond(service.plan(written.with_name("job.toml#A"))) == ()
    assert any("panel edge" in words for words in beyond(service.plan(written.with_name("job.toml#B"))))


def test_a_pack_of_one_opens_as_it_was_planned(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It carries what every damage was planned with, for the plan of one names what waits at the others; the
    pack of one says STOP, and so does that of all."""
    monkeypatch.setenv("PANELMEND_SHELVES", str(FOLDER / "shelves"))
    short = (FOLDER / "gear_door" / "short.toml").read_text("utf8")
    first = short[short.index("[damage]") :].partition("\n[")[0] + "\n"
    two = first.replace("[damage]", "[[damage]]") + "\n" + SECOND.replace("AT", f"{BEYOND}")
    file = tmp_path / "job.toml"
    file.write_text(short.replace(first, two), "utf8")
    plans = service.plans(file)
    runner, both = CliRunner(), tmp_path / "both"
    for name, to in ((f"{file}#A", tmp_path / "pack"), (str(file), both)):
        made = runner.invoke(main, ["pack", name, "--to", str(to), "--search", "0", "--no-heat"])
        assert made.exit_code == Exit.STOP_PLAN, made.output
    kept = json.loads((tmp_path / "pack" / "plan.json").read_text("utf8"))
    assert kept["about"]["standing"] == "STOP"
    assert "J229" in {f["code"] for f in kept["findings"]}
    assert service.plan(tmp_path / "pack" / "document.toml#A").digest == plans[0].digest
    for folder, digests in ((tmp_path / "pack", [plans[0].digest]), (both, [p.digest for p in plans])):
        told = runner.invoke(main, ["check", str(folder)])
        assert told.exit_code == Exit.STOP_PLAN, told.output  # sound, and its pages say STOP
        assert all(digest[:12] in told.output for digest in digests), "as the feet of the pages have them"
    (both / "damage-B" / "workings.pdf").unlink()
    assert runner.invoke(main, ["check", str(both)]).exit_code == Exit.REFUSED
