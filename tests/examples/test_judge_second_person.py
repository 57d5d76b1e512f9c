"""Who ran the cure when document and flag name two people, and logs that served under another name."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from panelmend.app.cli import REFUSED, main
from panelmend.app.exits import Exit
from panelmend.app.log_answers import statement_of, who_ran
from panelmend.errors import InputError
from render_pages import page_words

DEMO = Path(__file__).parents[2] / "examples" / "gear_door"
LEAK = "24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25"
TIMES = ("--vacuum-on", "2026-11-25 08:10", "--bag-opened", "2026-11-25 14:30", "--by", "A. Reyes")
SEEN = "T3; lead cut; {}; inspector"
TECHNICIAN = "R. Osk"


@pytest.fixture
def here(tmp_path: Path) -> Path:
    for name in ("repair.toml", "cure-repair-plies.csv"):
        shutil.copy(DEMO / name, tmp_path / name)
    return tmp_path


def judged(document: Path, log: Path, *more: str) -> tuple[int, str]:
    plain = ("judge", str(document), str(log), "--operation", "Repair plies", "--leak", LEAK, "--confirm")
    done = CliRunner().invoke(main, [*plain, *more])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.output


def test_neither_who_is_typed_nor_whom_the_document_names_is_the_second_person() -> None:
    """A name typed with --ran replaced the document's technician, who could then state it."""
    with pytest.raises(InputError, match="who ran the cure"):
        statement_of(SEEN.format("J. Abara"), "B. Ito", "J. Abara")
    with pytest.raises(InputError, match="who ran the cure"):
        statement_of(SEEN.format("B. Ito"), "B. Ito", "J. Abara")
    with pytest.raises(InputError, match="did not run"):
        statement_of(SEEN.format("C. Lindqvist"), " ", "")
    assert statement_of(SEEN.format("C. Lindqvist"), "B. Ito", "J. Abara").ran == (
        "B. Ito as typed; the document names J. Abara as technician"
    )
    assert statement_of(SEEN.format("C. Lindqvist"), "", "J. Abara").ran == "J. Abara"


def test_both_names_are_told_where_they_differ() -> None:
    assert who_ran("", "J. Abara") == "J. Abara"
    assert who_ran("j abara", "J. Abara") == "j abara"
    assert who_ran("B. Ito", "") == "B. Ito"


def test_the_report_names_both(here: Path) -> None:
    assert f'technician = "{TECHNICIAN}"' in (here / "repair.toml").read_text("utf8")
    log, page = here / "cure-repair-plies.csv", here / "r.pdf"
    code, words = judged(here / "repair.toml", log, *TIMES, "--ran", "B. Ito", "--report", str(page))
    assert code == Exit.CONFORMS, words
    text = " ".join(" ".join(page_words(page.read_bytes())).split())
    assert f"cure run by B. Ito as typed; the document names {TECHNICIAN} as technician" in text
    seen = f"T3 (°C); lead cut; {TECHNICIAN}; inspector"
    code, words = judged(here / "repair.toml", log, *TIMES, "--ran", "B. Ito", "--seen", seen)
    assert code == REFUSED
    assert "who ran the cure cannot state this" in words


def test_a_redated_copy_under_another_name_is_told_to_another_document_of_the_folder(here: Path) -> None:
    """Only records of the same names were looked at: the copy conformed."""
    log = here / "cure-repair-plies.csv"
    assert judged(here / "repair.toml", log, *TIMES)[0] == Exit.CONFORMS
    later = [x.replace("2026-11-25", "2026-11-26") for x in TIMES]
    copy, other = here / "monday.csv", here / "other.toml"
    copy.write_text(log.read_text("utf8").replace("2026-11-25", "2026-11-26"), "utf8")
    shutil.copy(here / "repair.toml", other)
    code, words = judged(other, copy, *later, "--leak", LEAK.replace("11-25", "11-26"))
    assert code == Exit.CANNOT_BE_JUDGED, words
    assert "the same readings under other dates" in words


def test_the_same_cure_written_in_another_form_serves_its_own_operation_again(here: Path) -> None:
    """It was taken for a copy under other dates; under another day it still is."""
    log = here / "cure-repair-plies.csv"
    assert judged(here / "repair.toml", log, *TIMES)[0] == Exit.CONFORMS
    again = here / "exported-again.csv"
    lines = log.read_text("utf8").splitlines()
    again.write_text("\n".join([lines[0], *(x.replace(",", ";") for x in lines[1:])]) + "\n", "utf8")
    code, words = judged(here / "repair.toml", again, *TIMES)
    assert code == Exit.CONFORMS, words
    again.write_text(again.read_text("utf8").replace("2026-11-25", "2026-11-24"), "utf8")
    code, words = judged(here / "repair.toml", again, *(x.replace("11-25", "11-24") for x in TIMES))
    assert code == Exit.CANNOT_BE_JUDGED, words
    assert "the same readings under other dates" in words
