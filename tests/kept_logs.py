"""Cure logs as a user has them judged: what the verb says, and the report before it is set, as text."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path
from unittest.mock import patch

from click.testing import CliRunner

from cure_log_typed import LEAK, OPERATION, TIMES, WATCH, folder_of
from kept_packs import Lines, data_of
from kept_text import beside, lines_of
from made_curelog import made_cure, written
from panelmend.app import logs
from panelmend.app.cli import main
from panelmend.app.log_answers import Request
from panelmend.app.logs import JudgedCure
from panelmend.render.cure_report import cure_data
from panelmend.render.typesetting import Sheets

EXAMPLES = Path(__file__).parents[1] / "examples"
REAL = logs.judge_log
DAY = date(2026, 11, 26)  # of judging
SOUND = "conforms"
Rows = list[list[str]]
HEAD = 2  # lines above the readings
TAKEN = ("--leak", LEAK, *TIMES)


def _of(rows: Rows, first: str, last: str) -> Rows:
    """Rows from one time of the day to another."""
    return [row for row in rows if first <= row[0].partition(" ")[2] <= last]


def _colder(rows: Rows) -> None:
    for row in _of(rows, "11:30:00", "12:20:00"):
        row[1:4] = [f"{float(t) - 9.0:.1f}" for t in row[1:4]]


def _hotter(rows: Rows) -> None:
    for n, row in enumerate(_of(rows, "10:40:00", "10:52:00")):
        row[2] = f"{float(row[2]) + 4.0 * min(n, 5):.1f}"


def _air(rows: Rows) -> None:
    for row in _of(rows, "11:00:00", "11:06:00"):
        row[5] = "17.2"


def _wire_lost(rows: Rows) -> None:
    for row in _of(rows, "10:45:00", "13:00:00"):
        row[3] = "OL"


def _frozen(rows: Rows) -> None:
    for row in _of(rows, "10:30:00", "11:50:00"):
        row[1] = "79.1"


def _hole(rows: Rows) -> None:
    rows[:] = [row for row in rows if row not in _of(rows, "11:00:00", "11:25:00")]


def _ends(rows: Rows) -> None:
    rows[:] = _of(rows, "00:00:00", "11:10:00")


LOGS: dict[str, tuple[Callable[[Rows], None], tuple[str, ...]]] = {
    "conforms": (lambda rows: None, TAKEN),
    "watched": (lambda rows: None, (*TAKEN, "--dwell-watch", WATCH)),
    "no_leak_test": (lambda rows: None, TIMES),
    "nothing_said": (lambda rows: None, ()),
    "too_cold": (_colder, TAKEN),
    "too_hot_too_fast": (_hotter, TAKEN),
    "vacuum_lost": (_air, TAKEN),
    "wire_lost": (_wire_lost, TAKEN),
    "stands_still": (_frozen, TAKEN),
    "hole": (_hole, TAKEN),
    "ends_early": (_ends, TAKEN),
}


def kept_verdict(name: str, folder: Path) -> Lines:
    """What is kept of a log: of the one that was not changed all, of the others what differs from it."""
    made = judged(name, folder)
    if name == SOUND:
        return made
    sound = folder / "sound"
    sound.mkdir()
    return beside(made, judged(SOUND, sound), SOUND)


def judged(name: str, folder: Path) -> Lines:
    """A log of the demonstration, changed, judged by the verb."""
    change, typed = LOGS[name]
    here = folder_of(folder)
    log = here / "cure-repair-plies.csv"
    lines = log.read_text("utf8").splitlines()
    rows = [line.split(",") for line in lines[HEAD:]]
    change(rows)
    log.write_text("\n".join([*lines[:HEAD], *(",".join(row) for row in rows)]) + "\n", "utf8")
    words = (str(here / "repair.toml"), str(log), "--operation", OPERATION, *typed)
    return verb(*words, "--confirm", "--by", "A. Reyes")


def in_inches(folder: Path) -> Lines:
    """A log in °F of a logger that writes its units in a row of their own, for a document in inches."""
    made = made_cure(3, step=60.0, sensors=5, dwell=7200.0, rate=2.0 / 60, hold=394.26)
    log = folder / "oven.csv"
    log.write_text(written(made, temperature="F", header="unit row", separator=";"), "utf8")
    document = EXAMPLES / "flap_rib_bay" / "repair.toml"
    copy = folder / "repair.toml"
    copy.write_bytes(document.read_bytes())
    return verb(str(copy), str(log), "--confirm", "--by", "A. Reyes")


def verb(*typed: str) -> Lines:
    """What the verb says of a log, and its report."""
    made = list[JudgedCure]()

    def kept(path: Path, log: Path, request: Request) -> JudgedCure:
        made.append(REAL(path, log, request, DAY))
        return made[-1]

    read = CliRunner().invoke(main, ["log", typed[1]])
    with patch.object(logs, "judge_log", kept):
        done = CliRunner().invoke(main, ["judge", *typed])
    said = [f"exit {done.exit_code}", *done.output.splitlines(), "", *read.output.splitlines(), ""]
    for one in made:
        data = data_of(Sheets("cure", cure_data(one.report, one.document)))
        said += lines_of(data, "report")
    return said
