"""The demonstration's cure log as a user would go about it: look, confirm, judge, report, follow."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest
from click.testing import CliRunner

from cure_log_typed import DEMO, LEAK, ON, OPENED, OPERATION, TIMES, WATCH, folder_of, run
from panelmend import __version__
from panelmend.app import log_answers, log_reading, logs
from panelmend.app.cli import NOT_WRITTEN, REFUSED, main
from panelmend.app.exits import Exit
from panelmend.render.cure_report import cure_sheets
from render_pages import page_words


@pytest.fixture
def here(tmp_path: Path) -> Path:
    return folder_of(tmp_path)


def _judge(here: Path, *more: str) -> tuple[int, str]:
    return run(
        "judge",
        str(here / "repair.toml"),
        str(here / "cure-repair-plies.csv"),
        "--operation",
        OPERATION,
        *TIMES,
        *more,
    )


def test_nothing_is_judged_before_the_reading_is_confirmed(here: Path) -> None:
    code, words = _judge(here)
    assert code == REFUSED
    assert "nobody has confirmed" in words
    code, words = run("log", str(here / "cure-repair-plies.csv"))
    assert code == 0
    assert "T1 (°C)" in words
    assert "how is the vacuum" in words
    assert not log_reading.read_as_path(here / "cure-repair-plies.csv").exists()


def test_the_demonstration_conforms_and_its_report_is_repeatable(here: Path) -> None:
    assert run("log", str(here / "cure-repair-plies.csv"), "--confirm")[0] == 0
    code, words = _judge(here, "--leak", LEAK, "--report", str(here / "cure.pdf"), "--strict")
    assert code == 0, words
    assert "conforms" in words
    request = log_answers.Request(OPERATION, LEAK, ON, OPENED, by="A. Reyes")
    judged = logs.judge_log(here / "repair.toml", here / "cure-repair-plies.csv", request)
    assert (here / "cure.pdf").read_bytes() == cure_sheets(judged.report, judged.document).pdf()
    assert judged.report.verdict.degree > 0.9
    code, words = _judge(here, "--leak", LEAK, "--report", str(here / "cure.json"))
    assert code == 0
    kept = json.loads((here / "cure.json").read_text("utf8"))
    assert kept["verdict"]["outcome"] == "conforms"
    assert kept["digest"] == judged.report.digest


def test_the_dwell_by_a_watch_and_the_step_of_the_logger(here: Path) -> None:
    """Both clocks agree, the watch leaves the dwell too short, the logger was set to another step."""
    run("log", str(here / "cure-repair-plies.csv"), "--confirm")
    step = ("--set-to", "1 min")
    code, words = _judge(here, "--leak", LEAK, "--dwell-watch", WATCH, *step)
    assert code == Exit.CONFORMS, words
    assert "rests on" not in words
    code, words = _judge(here, "--leak", LEAK, "--dwell-watch", "10:20; 11:35")
    assert code == Exit.CANNOT_BE_JUDGED
    assert "V574" in words
    assert "75 min by the clock on the wall" in words
    code, words = _judge(here, "--leak", LEAK, "--dwell-watch", WATCH, "--set-to", "30 s")
    assert code == Exit.CANNOT_BE_JUDGED
    assert "V575" in words
    assert _judge(here, "--leak", LEAK, "--dwell-watch", "10:20")[0] == REFUSED
    _judge(here, "--leak", LEAK, "--dwell-watch", WATCH, *step, "--report", str(here / "w.pdf"))
    text = " ".join(" ".join(page_words((here / "w.pdf").read_bytes())).split())
    assert f"dwell by a clock on the wall {WATCH}, logger set to 1 min" in text


def test_without_a_leak_test_it_cannot_be_judged(here: Path) -> None:
    run("log", str(here / "cure-repair-plies.csv"), "--confirm")
    code, words = _judge(here, "--strict")
    assert code == _judge(here)[0] == Exit.CANNOT_BE_JUDGED
    assert "cannot be judged" in words
    assert "leak test" in words


def test_a_leak_beyond_the_limit_does_not_conform(here: Path) -> None:
    """26.0 to 24.8 inHg in one minute fails a limit of 1 inHg in 1 min."""
    run("log", str(here / "cure-repair-plies.csv"), "--confirm")
    code, words = _judge(here, "--leak", "26.0 inHg; 24.8 inHg; 1 min; below ambient; 2026-11-25 08:25")
    assert "does not conform" in words
    assert code == Exit.DOES_NOT_CONFORM, "the verdict is told with and without --strict"
    assert (
        _judge(here, "--leak", "26.0 inHg; 24.8 inHg; 1 min; below ambient; 2026-11-25 08:25", "--strict")[0]
        == code
    )
    assert (
        "Repair plies: conforms"
        in _judge(here, "--leak", "26.0 inHg; 25.2 inHg; 1 min; below ambient; 2026-11-25 08:25")[1]
    )


def test_a_dwell_that_is_too_short_is_named_with_its_place(here: Path) -> None:
    log = here / "cure-repair-plies.csv"
    lines = log.read_text("utf8").splitlines(keepends=True)
    log.write_text("".join([*lines[:60], *lines[100:]]), "utf8")
    run("log", str(log), "--confirm")
    code, words = _judge(here, "--leak", LEAK, "--strict")
    assert code in (Exit.CANNOT_BE_JUDGED, Exit.DOES_NOT_CONFORM)
    assert "51-30-04 fig 2, cure B" in words


def test_unknown_operations_and_answers_are_refused(here: Path) -> None:
    log = here / "cure-repair-plies.csv"
    run("log", str(log), "--confirm")
    code, words = run("judge", str(here / "repair.toml"), str(log), "--operation", "Cure Z")
    assert code == REFUSED
    assert "'Repair plies'" in words
    assert run("log", str(log), "--answer", "nothing", "--confirm")[0] == REFUSED
    assert run("log", str(here / "none.csv"))[0] == REFUSED
    assert _judge(here, "--leak", "24 inHg")[0] == REFUSED
    assert _judge(here, "--leak", LEAK, "--report", str(here / "no" / "where.pdf"))[0] == NOT_WRITTEN


def test_a_thermocouple_in_doubt_needs_a_person_who_has_seen_it(here: Path) -> None:
    """One that stays cold may have come off, or the bond was cold there: nobody can tell from the log."""
    log = here / "cure-repair-plies.csv"
    lines = log.read_text("utf8").splitlines()
    rows = [line.split(",") for line in lines]
    for i, row in enumerate(rows[2:]):
        if i > 20:
            row[3] = f"{float(row[3]) - 45.0 * min(1.0, (i - 20) / 3):.1f}"
    log.write_text("\n".join(",".join(r) for r in rows) + "\n", "utf8")
    run("log", str(log), "--confirm")
    doubted = _judge(here, "--leak", LEAK)[1]
    assert "Repair plies: conforms" not in doubted
    code, seen = _judge(here, "--leak", LEAK, "--seen", "T3 (°C); lead cut; B. Ito; inspector")
    assert code == Exit.CANNOT_BE_JUDGED, "a statement never makes a cure conform"
    assert "B. Ito (inspector) states of T3 (°C): lead cut" in seen
    assert "with its readings" in seen
    assert _judge(here, "--seen", "T9")[0] == REFUSED
    assert _judge(here, "--seen", "T9; lead cut; B. Ito; inspector")[0] == REFUSED
    assert _judge(here, "--seen", "T3 (°C); lead cut; B. Ito; technician")[0] == REFUSED


def test_everything_that_is_missing_is_named_at_once(here: Path) -> None:
    code, words = run("judge", str(here / "repair.toml"), str(here / "cure-repair-plies.csv"), "--no-ask")
    assert code == REFUSED
    for flag in ("--operation", "--confirm", "--leak", "--vacuum-on", "--bag-opened", "--by"):
        assert flag in words, flag
    assert "--answer 'zone'" in words, "what the reading leaves open too"
    assert "--began" not in words, "the log has dates"
    plain = (
        "judge",
        str(here / "repair.toml"),
        str(here / "cure-repair-plies.csv"),
        "--operation",
        OPERATION,
    )
    code, words = run(*plain, "--confirm")
    assert code == Exit.CANNOT_BE_JUDGED
    assert "leak test: no leak test is recorded" in words
    assert "log of this job: nobody said" in words
    assert "missing: when the vacuum came on" in words


def test_one_sitting_from_a_file_to_a_verdict(here: Path) -> None:
    typed = ["A. Reyes", "2", "", "", "20 inHg", LEAK, "yesterday", ON, OPENED, "ten", WATCH]
    words = ["judge", str(here / "repair.toml"), str(here / "cure-repair-plies.csv"), "--ask"]
    done = CliRunner().invoke(main, words, input="\n".join(typed) + "\n")
    assert done.exit_code == Exit.CONFORMS, done.output
    assert done.output.count("Leak test: start") == 2, "an answer that cannot be read is asked again"
    assert done.output.count("Vacuum on, by") == 2
    assert done.output.count("By a clock on the wall") == 2
    assert "rests on" not in done.output
    again = CliRunner().invoke(main, words, input="\n".join([typed[0], "2", LEAK, ON, OPENED, ""]) + "\n")
    assert again.exit_code == Exit.CONFORMS, "the reading is kept and not asked again"
    assert (
        "rests on the logger's clock, which nobody compared with a clock on the wall (dwell)" in again.output
    )
    assert "missing: by a clock on the wall" in again.output


def _told_otherwise(here: Path, stamps: Callable[[datetime], str], head: str) -> Path:
    """The demonstration's log with its times written another way."""
    lines = (here / "cure-repair-plies.csv").read_text("utf8").splitlines()[2:]
    path = here / "other.csv"
    rows = [f"{stamps(datetime.fromisoformat(x[:19]))}{x[19:]}" for x in lines]
    names = "T1 C,T2 C,T3 C,Set point C,Vacuum inHg"
    path.write_text("\n".join([f"{head},{names}", *rows]) + "\n", "utf8")
    return path


def test_a_log_of_seconds_since_1970_takes_times_by_the_shops_own_clock(here: Path) -> None:
    """They could not be typed, and the report called the zone local."""
    east = timezone(timedelta(hours=2))
    log = _told_otherwise(here, lambda t: f"{t.replace(tzinfo=east).timestamp():.0f}", "epoch s")
    plain = ["judge", str(here / "repair.toml"), str(log), "--operation", OPERATION, "--by", "A. Reyes"]
    plain += ["--confirm", "--report", str(here / "a.json")]
    times = ["--vacuum-on", ON, "--bag-opened", OPENED, "--leak", LEAK]
    code, words = run(*plain, *times)
    assert code == Exit.CANNOT_BE_JUDGED, "local times are not those of the log"
    assert "UTC+00:00" in words
    code, words = run(*plain, *(f"{x}+02:00" if not x.startswith("--") else x for x in times))
    assert code == Exit.CONFORMS, words
    assert "UTC: the log counts from 1970" in (here / "a.json").read_text("utf8")
    code, words = _judge(here, "--confirm", "--leak", f"{LEAK}+02:00")
    assert code == REFUSED
    assert "carry no offset from UTC" in words


def test_a_log_without_dates_is_asked_when_it_began(here: Path) -> None:
    begun = datetime(2026, 11, 25, 8, 40)
    log = _told_otherwise(here, lambda t: f"{(t - begun).total_seconds() / 60:.2f}", "Elapsed (min)")
    code, words = run("judge", str(here / "repair.toml"), str(log), "--no-ask")
    assert code == REFUSED
    assert "--began" in words
    typed = ["A. Reyes", "2", "", LEAK, ON, OPENED, "2026-11-25 08:40", ""]
    words = ["judge", str(here / "repair.toml"), str(log), "--ask"]
    done = CliRunner().invoke(main, words, input="\n".join(typed) + "\n")
    assert done.exit_code == Exit.CONFORMS, done.output


def test_a_log_serves_one_operation_once(here: Path) -> None:
    log = here / "cure-repair-plies.csv"
    run("log", str(log), "--confirm")
    assert _judge(here, "--leak", LEAK)[0] == Exit.CONFORMS
    assert _judge(here, "--leak", LEAK)[0] == Exit.CONFORMS, "the same again is the same"
    kept = json.loads((here / "repair.cures.json").read_text("utf8"))["cures"]
    assert [(x["operation"], x["file"]) for x in kept.values()] == [(OPERATION, log.name)]
    lower = ("--leak", LEAK, *TIMES)
    code, words = run("judge", str(here / "repair.toml"), str(log), "--operation", "Core and cap", *lower)
    assert code != Exit.CONFORMS
    assert "has served 'Repair plies'" in words
    redated = here / "other.csv"
    redated.write_text(log.read_text("utf8").replace("2026-11-25", "2026-11-26"), "utf8")
    run("log", str(redated), "--confirm")
    times = [x.replace("11-25", "11-26") for x in TIMES]
    again = ("--operation", OPERATION, "--leak", LEAK, *times)
    code, words = run("judge", str(here / "repair.toml"), str(redated), *again)
    assert code == Exit.CANNOT_BE_JUDGED
    assert "the same readings under other dates" in words


def test_a_log_of_years_ago_is_not_of_this_job(here: Path) -> None:
    log = here / "cure-repair-plies.csv"
    log.write_text(log.read_text("utf8").replace("2026-11-25", "2019-11-25"), "utf8")
    run("log", str(log), "--confirm")
    code, words = _judge(here, "--leak", LEAK)
    assert code == Exit.CANNOT_BE_JUDGED
    assert "2019-11-25" in words


def test_the_report_tells_where_everything_came_from(here: Path) -> None:
    log = here / "cure-repair-plies.csv"
    run("log", str(log), "--confirm", "--by", "B. Ito")
    _judge(
        here, "--leak", LEAK, "--logger", "DL-7, calibrated until 2027-02-01", "--report", str(here / "r.pdf")
    )
    text = " ".join(" ".join(page_words((here / "r.pdf").read_bytes())).split())
    kept = hashlib.sha256(log.read_bytes()).hexdigest()
    for words in (
        "CONFORMS",
        log.name,
        kept,
        "B. Ito; as suggested: zone, sense of Vacuum (inHg)",
        "A. Reyes",
        "DL-7, calibrated until 2027-02-01",
        "98.5 kPa (barometer)",
        LEAK,
        "24.60 inHg to 24.20 inHg below ambient in 60 s",
        "local",
        "utf-8",
        "QT-MLA",
        "0088",
        "What was not judged",
        "faults that all or half of the thermocouples share",
        "technician who ran the cure",
        "HOLD inspector",
        "Signature or stamp",
        "Based on defaults, which the approved data does not give",
        __version__,
    ):
        assert words in text, words
    assert text.index("CONFORMS") < text.index("Panel part number"), "the verdict first"


def test_the_synthetic_log_is_made_again_as_it_is(tmp_path: Path) -> None:
    import runpy

    made = runpy.run_path(str(DEMO / "make_log.py"), run_name="made")
    made["main"](tmp_path / "again.csv")
    assert (tmp_path / "again.csv").read_bytes() == (DEMO / "cure-repair-plies.csv").read_bytes()
