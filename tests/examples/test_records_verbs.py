"""The verbs of the records: a damage of the surface alone, from the first keeper to the package."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from examples_here import text
from panelmend.app import cli_desk
from panelmend.app.cli import main
from panelmend.app.records import moment_typed
from panelmend.errors import InputError
from panelmend.records import book as room
from panelmend.records import events as e
from panelmend.records.state import State
from records_made import CHEAP, PEOPLE, secret_of
from render_pages import page_words

Run = Callable[..., Result]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with a document whose card is short."""
    made = tmp_path_factory.mktemp("verbs")
    document = text("gear_door").replace('depth = "skin and core"', 'depth = "surface"')
    document = document.replace('moisture = "found"\nwet_area = "40 cm2"', 'moisture = "none found"')
    document = document.replace(
        '["plies", "skin", "skin and core"]', '["surface", "plies", "skin", "skin and core"]'
    )
    (made / "repair.toml").write_text(document, "utf8")
    return made


@pytest.fixture(scope="module")
def run(folder: Path) -> Run:
    """Run a verb as a person, with their secret from a file; hashes as cheap as in the other tests."""
    runner, opened, begun = CliRunner(), room.Book.open, room.Book.begin

    def act(*words: str, by: str = "", code: int = 0) -> Result:
        secret = folder / "secret"
        secret.write_text(secret_of(by or "K1") + "\n", "utf8")
        whole = ["records", "--in", str(folder / "shop.sqlite"), "--secret-file", str(secret), *words]
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(room.Book, "open", partial(opened, cost=CHEAP))
            patch.setattr(room.Book, "begin", partial(begun, cost=CHEAP))
            done = runner.invoke(main, [*whole, *(("--by", by) if by else ())])
        assert done.exit_code == code, f"{words}: {done.output}"
        return done

    return act


@pytest.fixture(scope="module")
def staffed(run: Run) -> Run:
    """Records with their people."""
    run("begin", "K1", PEOPLE["K1"][0], "--zone", "Europe/Lisbon", "--invented")
    for person in ("T1", "P1", "I1", "S1", "E1"):
        name, roles, scopes = PEOPLE[person]
        said = run("person", "add", person, name, *(x for r in roles for x in ("--role", r.value)), by="K1")
        code = next(line.split(": ")[1] for line in said.output.splitlines() if line.startswith("Code"))
        _enrol(run, person, code)
        for scope in scopes:
            run("person", "authorise", person, scope.value, "2099-01-01", f"paper of {person}", by="K1")
    return run


def _enrol(run: Run, person: str, code: str) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cli_desk.Desk, "secret", lambda self, prompt, twice=False: secret_of(person))
        run("person", "enrol", person, code)


def test_a_job_from_its_beginning_to_its_package(staffed: Run, folder: Path) -> None:
    run = staffed
    date = ("--expires", "2099-01-31", "--opened-life", "3000 days")
    paper = ("--batch", "B1", "--certificate", "C1")
    run("lot", "receive", "L1", "wipes", "20,5", "pieces", *paper, *date, by="S1")
    said = run("job", "begin", str(folder / "repair.toml"), by="T1", code=3)
    assert "R111" in said.output
    number = run("job", "begin", str(folder / "repair.toml"), by="P1").output.split()[1]
    steps = [line.split() for line in run("job", "show", number).output.splitlines()[1:]]
    assert [s[2] for s in steps] == ["READY", *["BLOCKED"] * (len(steps) - 1)]
    assert "R123" in run("job", "write", number, "2", "1=12", by="T1", code=3).output
    for place, _, *_ in steps:
        if place == steps[1][0]:
            _let_stand(run, number, place)
        blanks = [x for x in run("job", "show", number, place).output.splitlines() if "NOT YET" in x]
        answers = [f"{line.split()[0]}={_answer(line)}" for line in blanks]
        if answers:
            assert "NOT YET" not in run("job", "write", number, place, *answers, by="T1").output
        if place == steps[0][0]:
            run("lot", "issue", "L1", number, place, "0,5", by="S1")
        told = run("job", "sign", number, place, "did", by="T1").output
        assert "did: I did this step to this card" in told
        hold = run("job", "show", number, place).output
        if "HOLD" in hold and "certificate holder" not in hold:
            run("job", "sign", number, place, "accepted", by="P1" if "planner" in hold else "I1")
    release = ["job", "release", number, "--work", "dressed, by 52-10-17 table 101", "--kind", "repairman"]
    today = run("history", "job", number).output.splitlines()[-1].split()[1]
    assert "certificate_number" in run(*release, "--completed", today, by="I1", code=3).output
    head = (
        run(*release, "--completed", today, "--certificate", "X-0001", by="I1")
        .output.split("Head: ")[1]
        .strip()
    )
    assert f"Head: {head}" in run("check", "--head", head).output
    assert "R107" in run("check", "--head", "9999-" + "a" * 16, code=3).output
    package = folder / "package.zip"
    letter = folder / "letter.txt"
    letter.write_text("to the operator", "utf8")
    assert "is no package of" in run("package", number, str(letter), code=4).output
    assert letter.read_text("utf8") == "to the operator"
    run("package", number, str(package))
    run("package", number, str(package))  # a later one of the same job takes its place
    run("check-package", str(package), "--head", head, "--compare")
    package.write_bytes(package.read_bytes()[:-1])
    assert "R149" in run("check-package", str(package), code=3).output
    assert "20 pieces left" in run("lot", "show", "L1").output
    assert number not in run("shop").output


def _let_stand(run: Run, number: str, place: str) -> None:
    """The first blank is far outside its limit, and an engineer lets it stand."""
    assert "OUTSIDE LIMIT" in run("job", "write", number, place, "1=9999 mm", by="T1").output
    run("job", "deviate", number, place, "D1", "larger than planned", "--covers", "b1", by="T1")
    assert "deviation D1 waits for the engineer" in run("shop").output
    told = run(
        "job", "decide", number, "D1", "may stand", "52-10-17 note 4", "as the note says", by="E1"
    ).output
    assert "deviation D1: larger than planned (open)" in told


def _answer(line: str) -> str:
    if "yes]" in line:
        return "yes"
    if "limit:" in line or "tolerance" in line:
        return "1; 2, 52-10-17; yes"
    return "1"


def test_what_is_wrong_is_said_and_nothing_is_entered(staffed: Run, folder: Path) -> None:
    run = staffed
    before = run("check").output
    assert "R113" in _wrong_secret(run)
    assert "R122" in run("job", "show", "nothing", code=3).output
    assert "comma could mean" in run("lot", "scrap", "L1", "1,000", "torn", by="S1", code=3).output
    assert run("lot", "move", "L1", "oven", "there", by="S1", code=2).exit_code == 2
    assert "cannot be read" in run("job", "begin", str(folder / "none.toml"), by="P1", code=3).output
    after = run("check").output
    assert (
        int(after.split(" entries hold")[0].split()[-1])
        == int(before.split(" entries hold")[0].split()[-1]) + 1
    )


def _wrong_secret(run: Run) -> str:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(cli_desk.Desk, "secret", lambda self, prompt, twice=False: "not the secret at all")
        return run("lot", "open", "L1", by="S1", code=3).output


def test_roles_and_scopes_at_the_command_line_are_those_of_the_records() -> None:
    assert tuple(r.value for r in e.Role) == cli_desk.ROLES
    assert set(cli_desk.SCOPES) == {s.value for s in e.Scope}


def test_times_are_typed_by_the_shops_clock_and_two_hours_of_the_year_are_asked_about() -> None:
    state = State(zone="Europe/Lisbon")
    assert moment_typed(state, "2026-07-01 14:05").utcoffset().total_seconds() == 3600  # type: ignore[union-attr]
    assert moment_typed(state, "2026-11-26 14:05").utcoffset().total_seconds() == 0  # type: ignore[union-attr]
    for text_ in ("2026-10-25 01:30", "2026-03-29 01:30", "14:05", "26.11.2026 14:05", "2026-11-26"):
        with pytest.raises(InputError):
            moment_typed(state, text_)
    assert moment_typed(state, "2026-10-25 01:30+01:00").isoformat() == "2026-10-25T01:30:00+01:00"


def test_copies_pages_and_panels_by_the_verbs(staffed: Run, folder: Path) -> None:
    """After the whole job above: its pages, a backup tried out, what to order, a revision, and the records
    handed over."""
    run = staffed
    number = next(x for x in run("history", "person", "P1").output.split() if x.startswith("TAS-")).rstrip(
        ","
    )
    card, release = folder / "card.pdf", folder / "release.pdf"
    run("job", "print", number, str(card))
    run("job", "print", number, str(release), "--release")
    foot = " ".join(page_words(card.read_bytes()))
    assert re.search(r"records \d+-[0-9a-f]{16}", " ".join(foot.split()))
    assert "Performed by" in " ".join(page_words(release.read_bytes()))
    assert "R136" in run("job", "revise", str(folder / "repair.toml"), "more damage", by="P1", code=3).output
    backup = folder / "backup.sqlite"
    run("backup", str(backup))
    run("lot", "least", "wipes", "100", "pieces", by="S1")
    assert "order: wipes, 80 pieces at least" in run("shop").output
    assert "entries hold in the backup" in run("drill", str(backup), "--compare").output
    assert "links" in run("check", "--links").output
    serial = run("job", "show", number).output.splitlines()[0]
    part, number_of = serial.split(", ")[1].split(" serial ")
    assert "released" in run("panel", part, number_of).output
    assert "measure it" in run("panel", part, number_of, "--toml").output
    token = run("hand-over", "to the panel", by="K1").output.split("take-over ")[1].split()[0]
    assert "R236" in run("lot", "scrap", "L1", "1", "torn", by="S1", code=3).output
    assert "R236" in run("take-over", "0" * 32, code=3).output
    run("take-over", token)
    run("lot", "scrap", "L1", "1", "torn", by="S1")
    assert "this copy governs" in run("other-is-lost", "a drill", by="K1", code=3).output
    run("lot", "scrap", "L1", "1", "torn", by="S1")
