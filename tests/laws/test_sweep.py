"""Changes in plain words, and a sweep over documents: rows, refusals, Ctrl-C, tables."""

from __future__ import annotations

import csv
import io
import os
import pty
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import openpyxl
import pytest
from click.testing import CliRunner

from examples_here import FOLDER, case, text
from heat_problem import demo, operations
from panelmend.app.cli import main
from panelmend.errors import InputError, UnitError
from panelmend.job.case import Case
from panelmend.job.cure.problem import HeatProblem
from panelmend.plan.make import make_plan
from panelmend.predict import ensemble, fleet, sensors
from panelmend.predict.changes import ChangeStep, changed, read_change
from panelmend.predict.fleet import Variant
from panelmend.predict.model import QUICK, Fineness
from panelmend.predict.run_on import run_on

DOOR = FOLDER / "gear_door" / "repair.toml"
FLAP = FOLDER / "flap_rib_bay" / "repair.toml"  # one cure, soon computed


@pytest.fixture(autouse=True)
def coarse(monkeypatch: pytest.MonkeyPatch) -> None:
    """These laws hold at any fineness."""
    monkeypatch.setattr(fleet, "FULL", QUICK)
    monkeypatch.setattr(sensors, "MEDIUM", QUICK)
    monkeypatch.setattr(ensemble, "FULL", QUICK)
    monkeypatch.setattr(ensemble, "WIDE_SHARE", 1000)


def after(words: str, number: int = 2) -> HeatProblem:
    """The demo's problem with a change."""
    made = changed(case("gear_door").document, operations()[number - 1], read_change(words))
    work = make_plan(_case(made)).work
    assert work is not None
    problem = work.cure.operations[number - 1].problem
    assert problem is not None
    return problem


def _case(document: object) -> Case:
    from panelmend.document import Loaded
    from panelmend.job.case import case_of

    return case_of(Loaded("repair.toml", text("gear_door"), "0", document))  # type: ignore[arg-type]


def test_changes_are_read() -> None:
    assert read_change("Set point  by +3 C").steps == (ChangeStep("set point", True, 3.0),)
    assert read_change("set point by -9 F").steps == (ChangeStep("set point", True, pytest.approx(-5.0)),)
    made = read_change("air to -10 C ; voltage=208 V;")
    assert made.words == "air to -10 C; voltage=208 V"
    assert made.steps == (
        ChangeStep("air", False, pytest.approx(263.15)),
        ChangeStep("voltage", False, 208.0),
    )
    assert read_change("insulation over to none").steps == (ChangeStep("insulation over", False, ""),)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("", "says nothing"),
        ("warmer", "names: set point, ramp"),
        ("colour to red", "names: set point, ramp"),
        ("set point = +3 C", 'write "set point by \\+3 C"'),
        ("blanket by 2", "to another"),
        ("air to 5 C; air by 1 C", "air is changed twice"),
    ],
)
def test_changes_that_say_nothing_clear_are_refused(words: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        read_change(words)


def test_units_are_asked_for() -> None:
    for words in ("set point by 3", "ramp to 2 C", "dwell to 30 C"):
        with pytest.raises(UnitError):
            read_change(words)


def test_each_change_changes_what_it_says_and_nothing_else() -> None:
    plain = demo()
    assert after("set point by +2 C").dwell.target == pytest.approx(plain.dwell.target + 2.0)
    assert after("set point to 80 C").dwell.target == pytest.approx(353.15)
    assert after("ramp to 2 C/min").dwell.rate == pytest.approx(2.0 / 60.0)
    assert after("ramp by +0.5 C/min").dwell.rate == pytest.approx(plain.dwell.rate + 0.5 / 60.0)
    assert after("dwell by +30 min").dwell.dwell == plain.dwell.dwell + 1800.0
    assert after("air by -5 C").air == pytest.approx(plain.air - 5.0)
    bay = case("gear_door").document.bay
    assert bay.supply is not None
    lower = after(f"voltage to {0.95 * bay.supply} V")
    assert lower.source.power == pytest.approx(0.95**2 * plain.source.power)
    other = next(b.id for b in bay.blanket if b.id != plain.source.id and b.length > 0.3)
    assert after(f"blanket to {other}").source.id == other
    assert after("insulation over to demo-insulation").insulation_over == pytest.approx(0.012 / 0.045)
    assert after("insulation over to none").insulation_over == 0.0
    assert after("dwell by +0 min").digest() == plain.digest()
    for words in ("air by -5 C", "insulation over to demo-insulation"):
        assert after(words).legs == plain.legs


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("blanket to HB-99", "no such blanket"),
        ("insulation over to wool", "no material has this id"),
        ("set point to 200 C", "."),
        ("ramp by -5 C/min", "stand still"),
        ("dwell by -9 h", "no time"),
        ("voltage by -900 V", "no more than nothing"),
    ],
)
def test_changes_that_do_not_fit_are_refused_in_words(words: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        after(words)


def test_a_fleet_computes_the_same_problem_once(monkeypatch: pytest.MonkeyPatch) -> None:
    ran: list[str] = []
    real = fleet.nominal

    def counted(problem: HeatProblem) -> object:
        ran.append(problem.digest())
        return real(problem)

    monkeypatch.setattr(fleet, "nominal", counted)
    variants = [
        Variant("a", "x", "as planned", demo()),
        Variant("a", "x", "refused", None, "it does not fit"),
        Variant("b", "x", "as planned", demo()),
    ]
    rows = fleet.fleet(variants, cases=4, on=run_on("threads:2"))
    assert ran == [demo().digest()]
    assert [r.variant for r in rows] == variants
    assert rows[0].nominal == rows[2].nominal is not None
    assert rows[0].likelihood == rows[2].likelihood is not None
    assert (rows[1].nominal, rows[1].likelihood, rows[1].words) == (None, None, "it does not fit")
    assert rows[0].nominal.holds == (rows[0].nominal.worst >= 0.0)


def run(*words: str) -> str:
    made = CliRunner().invoke(main, ["sweep", *words])
    assert made.exit_code == 0, made.output
    return made.output


def test_the_verb_prints_and_writes_a_table(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ensemble, "COARSE", Fineness(0.050, 60.0, 1))
    monkeypatch.setattr(ensemble, "TRAIN", 14)
    monkeypatch.setattr(ensemble, "HELD_OUT", 4)
    target = tmp_path / "sweep.csv"
    said = run(
        str(DOOR),
        "--operation",
        "Repair plies",
        "--change",
        "air to 5 C",
        "--change",
        "blanket to HB-99",
        "--cases",
        "20",
        "--cluster",
        "threads:2",
        "--to",
        str(target),
    )
    assert "as planned" in said
    assert "NOT COMPUTED: the bay has no such blanket" in said
    assert "cases kept aside" in said, "the error of reduced runs is always told"
    assert "approves nothing" in said
    rows = list(csv.DictReader(io.StringIO(target.read_text("utf-8-sig"))))
    assert [r["change"] for r in rows] == ["as planned", "air to 5 C", "blanket to HB-99"]
    assert {r["operation"] for r in rows} == {"Repair plies"}
    for row in rows[:2]:  # reduced, or in full where the reduced runs erred too much: then it says so
        assert row["cases"] == "20"
        assert (row["how"], row["kept aside"]) in {("reduced", "4"), ("full", "")}
        assert row["how"] == "reduced" or "run in full in their stead" in said
    assert rows[2]["cases"] == ""
    assert "no such blanket" in rows[2]["could not be computed"]
    cold, hot = (float(rows[0][f"{w} in the dwell [C]"]) for w in ("coldest", "hottest"))
    assert 60.0 < cold < hot < 100.0


def test_a_sheet_is_written_too(tmp_path: Path) -> None:
    target = tmp_path / "sweep.xlsx"
    run(str(DOOR), "--cases", "0", "--to", str(target))
    sheet = openpyxl.load_workbook(target).active
    assert sheet is not None
    cells = [c for row in sheet.iter_rows(values_only=True) for c in row]
    assert "as planned" in cells
    assert "Core and cap" in cells


def test_refusals_come_before_the_work(tmp_path: Path) -> None:
    for words, said in (
        ((str(DOOR), "--to", str(tmp_path / "a.pdf")), ".csv or .xlsx"),
        ((str(DOOR), "--to", str(tmp_path / "none" / "a.csv")), "no such folder"),
        ((str(DOOR), "--change", "warmer"), "not understood"),
        ((str(DOOR), "--cluster", "somewhere"), "where to run"),
        ((str(DOOR), "--operation", "Baking"), "Core and cap, Repair plies"),
        ((str(tmp_path / "none.toml"),), "no such file"),
    ):
        made = CliRunner().invoke(main, ["sweep", *words])
        assert made.exit_code == 3, made.output
        assert said in made.output


@pytest.mark.parametrize("cluster", ["threads:2", "local:2"])
def test_stopped_it_writes_nothing_and_leaves_nobody(tmp_path: Path, cluster: str) -> None:
    target = tmp_path / "sweep.csv"
    words = ["sweep", str(FLAP), "--cases", "100000", "--cluster", cluster, "--to", str(target)]
    screen, terminal = pty.openpty()
    child = subprocess.Popen(
        [sys.executable, "-m", "panelmend.app.cli", *words],
        start_new_session=True,
        stdout=subprocess.DEVNULL,
        stderr=terminal,
    )
    os.close(terminal)
    try:
        seen = _read_until(screen, b"likely values: 1 of 1 cases")
        os.killpg(child.pid, signal.SIGINT)  # as a terminal does: to everyone in the foreground
        seen += _read_until(screen, b"Nothing was written.")
        assert child.wait(timeout=60) == 5, seen
    finally:
        child.kill()
        child.wait()
        os.close(screen)
    assert list(tmp_path.iterdir()) == []
    assert _gone(child.pid)


def _gone(group: int) -> bool:
    """Whether a group of processes is gone; the interpreter's own tracker of resources ends last."""
    for _ in range(200):
        try:
            os.killpg(group, 0)
        except ProcessLookupError:
            return True
        time.sleep(0.05)
    return False


def _read_until(screen: int, words: bytes) -> bytes:
    """What the screen shows until these words stand there."""
    shown = b""
    while words not in shown:
        ready, _, _ = select.select([screen], [], [], 60.0)
        assert ready, shown
        try:
            more = os.read(screen, 4096)
        except OSError:  # the other end is gone
            break
        shown += more
    assert words in shown, shown
    return shown
