"""Pages set by a process that remembers what it set are those of a process that set nothing before, byte for
byte; where none answers they are set as ever."""

from __future__ import annotations

import os
import pickle
import shutil
import signal
import socket
import struct
import subprocess
import sys
import threading
import time
from collections import OrderedDict
from collections.abc import Iterator
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import pytest

from panelmend.app import page_setters
from panelmend.app.entry import FOLDER
from panelmend.app.page_setters import SHARES, PageSetters, place_of
from panelmend.app.source_state import program_state
from panelmend.document.reader import parse
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.render import typesetting
from panelmend.render.card import card_sheets
from panelmend.render.card_workings import workings_sheets
from panelmend.render.cure_plan import cure_plan_sheets
from panelmend.render.files import PAPERS
from panelmend.render.labels import labels_sheets
from panelmend.render.pieces import heading_of, templates_of
from panelmend.render.templates import templates_sheets
from panelmend.render.typesetting import Sheets, compile_pdf, template

DOOR = (Path(__file__).parents[2] / "examples" / "gear_door" / "repair.toml").read_text("utf8")
pytestmark = pytest.mark.skipif(os.name != "posix", reason="nothing stands by elsewhere")
STATE = program_state()
EDITS = (
    ("", ""),
    ('clean_beyond = { value = "75 mm"', 'clean_beyond = { value = "76 mm"'),
    ('technician = "R. Osk"', 'technician = "R. Osk, night shift, with a name that breaks the line"'),
    ('units = "mm"', 'units = "in"'),
)


@cache
def _sheets(text: str) -> dict[str, Sheets]:
    plan = make_plan(case_of(parse(text.encode("utf8"), "repair.toml")))
    heading, pieces = heading_of(plan), templates_of(plan)
    return {
        "card": card_sheets(plan),
        "workings": workings_sheets(plan),
        "cure_plan": cure_plan_sheets(plan),
        "labels": labels_sheets(heading, pieces, paper=PAPERS[0], dated=date(2026, 11, 25)),
        "templates": templates_sheets(heading, pieces, PAPERS[0], dated=None),
    }


@pytest.fixture(scope="module")
def setters() -> Iterator[PageSetters]:
    folder = mkdtemp(prefix="by-", dir="/tmp")  # short: a socket's name may not be long
    made = PageSetters(f"{folder}/standing-by", STATE)
    made.stand_up()
    _until(lambda: all(os.path.exists(place_of(f"{folder}/standing-by", i)) for i in range(len(SHARES))))
    yield made
    made.end()
    shutil.rmtree(folder)


def _until(there: Any) -> None:
    ends = time.monotonic() + 30.0
    while not there():
        assert time.monotonic() < ends
        time.sleep(0.01)


def _answered(setters: PageSetters, sheets: Sheets) -> bytes:
    """Its pages; one that has too much in memory gives none while it begins afresh."""
    made = list[bytes | None]()
    _until(lambda: made.append(setters.asked(sheets)) or made[-1] is not None)
    assert made[-1] is not None
    return made[-1]


def _alone(text: str, name: str) -> bytes:
    """The page as a process sets it that set nothing before."""
    sheets = _sheets(text)[name]
    code = (
        "import sys, pickle; from panelmend.render.typesetting import compile_pdf, template\n"
        "n, d, t = pickle.load(sys.stdin.buffer)\n"
        "sys.stdout.buffer.write(compile_pdf(template(n), d, dated=t))"
    )
    asked = pickle.dumps((sheets.template, sheets.data, sheets.dated))
    return subprocess.run(
        [sys.executable, "-c", code], input=asked, capture_output=True, check=True, timeout=600
    ).stdout


def test_after_any_edits_the_pages_are_those_of_a_fresh_process(setters: PageSetters) -> None:
    """Edited there and back again: nothing of an earlier document is left on a page."""
    order = [DOOR.replace(*edit) if edit[0] else DOOR for edit in (*EDITS, EDITS[0], EDITS[3])]
    assert len({*order}) == len(EDITS)
    made = [{name: _answered(setters, s) for name, s in _sheets(text).items()} for text in order]
    for text, pages in zip(order[:2], made[:2], strict=True):
        assert pages["card"] == _alone(text, "card")
    fresh = {
        text: {
            name: compile_pdf(template(s.template), s.data, dated=s.dated)
            for name, s in _sheets(text).items()
        }
        for text in dict.fromkeys(order)
    }
    for text, pages in zip(order, made, strict=True):
        for name in _sheets(text):
            assert pages[name] == fresh[text][name], name
    assert made[0] == made[-2]
    assert made[3] == made[-1]
    for name in ("card", "workings", "labels"):
        assert made[0][name] != made[1][name], "the digest stands on every page"


def test_a_template_of_nobodys_share_and_what_is_no_data_are_set_here(setters: PageSetters) -> None:
    assert setters.asked(Sheets("view", {})) is None
    assert setters.asked(Sheets("labels", {"labels": {1, 2}})) is None
    assert setters.asked(Sheets("labels", {"repair": "without the rest"})) is None, "it cannot be set"
    assert setters.asked(_sheets(DOOR)["labels"]) is not None, "it goes on"


def test_every_page_of_a_pack_that_takes_long_has_its_setter() -> None:
    shares = [name for names in SHARES for name in names]
    assert sorted(shares) == sorted({*shares})
    assert {s.template for s in _sheets(DOOR).values()} | {"strength"} == {*shares}


@pytest.mark.parametrize("sent", [b"", b"abc", struct.pack("<Q", 2**50), struct.pack("<Q", 3) + b"[[["])
def test_what_is_no_question_gets_nothing(setters: PageSetters, sent: bytes) -> None:
    with socket.socket(socket.AF_UNIX) as line:
        line.connect(setters._places[0])
        line.sendall(sent)
        line.shutdown(socket.SHUT_WR)
        assert line.recv(100) == struct.pack("<Q", 0)
    assert setters.asked(_sheets(DOOR)["labels"]) is not None


def test_one_that_was_killed_is_started_again_and_meanwhile_pages_are_set_here(
    setters: PageSetters, monkeypatch: pytest.MonkeyPatch
) -> None:
    one = setters._running[0]
    assert one is not None
    one.send_signal(signal.SIGKILL)
    one.wait(60.0)
    monkeypatch.setattr(typesetting, "_elsewhere", [])
    setters.ask_them()
    sheets = _sheets(DOOR)["labels"]
    here = sheets.pdf()
    assert setters.asked(sheets) is None
    setters.stand_up()
    again = setters._running[0]
    assert again is not None
    assert again.pid != one.pid
    _until(lambda: setters.asked(sheets) is not None)
    assert sheets.pdf() == here
    setters.stand_up()
    assert setters._running[0] is again, "one that lives is left alone"


def test_it_ends_when_its_starter_is_gone_and_when_its_memory_is_full(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    folder = Path(mkdtemp(prefix="by-", dir="/tmp"))
    monkeypatch.setattr(page_setters, "_memory", lambda: 0.0)
    reads, writes = os.pipe()
    with os.fdopen(reads, "rb") as until:
        serving = threading.Thread(target=page_setters.serve, args=(f"{folder}/pages-0", until, STATE))
        serving.start()
        _until(lambda: (folder / "pages-0").exists())
        os.close(writes)
        serving.join(30.0)
        assert not serving.is_alive()
        assert not (folder / "pages-0").exists()
    for full, ends in ((page_setters.MOST_MEGABYTES + 1.0, True), (page_setters.MOST_MEGABYTES - 1.0, False)):
        monkeypatch.setattr(page_setters, "_memory", lambda full=full: full)
        reads, writes = os.pipe()
        with os.fdopen(reads, "rb") as until:
            if ends:
                assert page_setters.serve(f"{folder}/pages-0", until, STATE) is True
                os.close(writes)
            else:
                os.close(writes)
                assert page_setters.serve(f"{folder}/pages-0", until, STATE) is False
        assert not (folder / "pages-0").exists()
    shutil.rmtree(folder)


def test_one_that_hangs_over_its_page_is_killed_at_the_end(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page_setters, "SETTING_TIME", 0.2)
    hangs = [sys.executable, "-c", "import time; time.sleep(300)"]
    made = PageSetters("/tmp/none/standing-by", STATE)
    made._running[0] = one = subprocess.Popen(hangs, stdin=subprocess.PIPE)
    made.end()
    assert one.returncode == -signal.SIGKILL


def test_memory_is_told_in_megabytes() -> None:
    if not Path("/proc/self/statm").exists():
        pytest.skip("this system does not say")
    before = page_setters._memory()
    much = bytearray(100 * 2**20)
    much[::4096] = b"x" * len(much[::4096])
    assert 90.0 < page_setters._memory() - before < 130.0


def test_packs_of_edited_documents_are_the_same_beside_it_and_alone(tmp_path: Path) -> None:
    """Every file, after an edit, with the setters and what was solved kept from one to the next."""
    by = mkdtemp(prefix="by-", dir="/tmp")
    kept = tmp_path / "kept"
    kept.mkdir(mode=0o700)
    env = {**os.environ, FOLDER: by, "PANELMEND_ANSWERS": "", "PANELMEND_KEPT": str(kept)}
    alone = {**env, FOLDER: "", "PANELMEND_KEPT": ""}
    command = [sys.executable, "-m", "panelmend"]
    subprocess.run(
        [*command, "stand-by", "--minutes", "5"], env=env, check=True, capture_output=True, timeout=600
    )
    try:
        places = [place_of(f"{by}/standing-by", i) for i in range(len(SHARES))]
        _until(lambda: all(os.path.exists(p) for p in places))
        packed = dict[str, dict[str, bytes]]()
        for how, settings, edit in (
            ("first", env, EDITS[1]),
            ("by", env, EDITS[2]),
            ("alone", alone, EDITS[2]),
        ):
            (tmp_path / "repair.toml").write_text(DOOR.replace(*edit), "utf8")
            folder = tmp_path / how
            words = ["pack", "repair.toml", "--to", str(folder), "--no-heat", "--search", "0"]
            done = subprocess.run(
                [*command, *words], env=settings, cwd=tmp_path, capture_output=True, timeout=600
            )
            assert done.returncode == 0, done.stderr
            packed[how] = {
                p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()
            }
        assert packed["by"].keys() == packed["alone"].keys()
        assert [n for n in packed["by"] if packed["by"][n] != packed["alone"][n]] == []
        assert packed["by"]["job-card.pdf"] != packed["first"]["job-card.pdf"]
        assert [p.name.partition("-")[0] for p in sorted(kept.iterdir())].count("solved") == 1
    finally:
        subprocess.run([*command, "stand-by", "--end"], env=env, check=True, capture_output=True, timeout=600)
    _until(lambda: not any(os.path.exists(p) for p in places))
    shutil.rmtree(by)


def test_with_too_much_in_memory_it_begins_afresh_in_its_place(tmp_path: Path) -> None:
    """The process stays, its memory goes; pages are set in between and after, the same."""
    folder = mkdtemp(prefix="by-", dir="/tmp")
    place = f"{folder}/pages-0"
    code = (
        "import sys\nfrom panelmend.app import page_setters\n"
        "page_setters.MOST_MEGABYTES = float(sys.argv[2])\nsys.argv[2:3] = []\npage_setters.main()"
    )
    one = subprocess.Popen([sys.executable, "-c", code, place, "20", STATE], stdin=subprocess.PIPE)
    made = PageSetters(f"{folder}/standing-by", STATE)
    sheets = _sheets(DOOR)["labels"]
    here = sheets.pdf()
    _until(lambda: made.asked(sheets) == here)
    assert one.poll() is None
    first = Path(f"/proc/{one.pid}/cmdline")
    if first.exists():
        _until(
            lambda: b"panelmend.app.page_setters" in first.read_bytes().replace(b"\0", b" ").split(b" -c")[0]
        )
    assert one.stdin is not None
    one.stdin.close()
    assert one.wait(30.0) == 0
    shutil.rmtree(folder)


def test_one_that_hangs_is_not_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """It takes the question and says nothing: the page is set by whoever asked."""
    folder = mkdtemp(prefix="by-", dir="/tmp")
    monkeypatch.setattr(page_setters, "SETTING_TIME", 0.2)
    monkeypatch.setattr(typesetting, "_elsewhere", [])
    sheets = _sheets(DOOR)["labels"]
    here = sheets.pdf()
    with socket.socket(socket.AF_UNIX) as hangs:
        hangs.bind(f"{folder}/pages-0")
        hangs.listen(4)
        asked = PageSetters(f"{folder}/standing-by", STATE)
        assert asked.asked(sheets) is None
        asked.ask_them()
        assert sheets.pdf() == here
    shutil.rmtree(folder)


def test_who_runs_other_code_is_not_answered_and_other_code_does_not_begin(setters: PageSetters) -> None:
    """One left over from before an update sets nothing for those after it, nor the other way round."""
    sheets = _sheets(DOOR)["labels"]
    _until(lambda: setters.asked(sheets) is not None)
    later = PageSetters(f"{os.path.dirname(setters._places[0])}/standing-by", "another state")
    assert later.asked(sheets) is None
    assert setters.asked(sheets) is not None
    place = f"{setters._places[0]}-other"
    command = [sys.executable, "-m", "panelmend.app.page_setters", place, "another state"]
    assert subprocess.run(command, stdin=subprocess.DEVNULL, timeout=60).returncode == 0, "it left at once"
    assert not os.path.exists(place)


@pytest.mark.parametrize("said", [b"", b"abc", b"%PD"])
def test_an_answer_that_is_no_file_of_pages_is_none(said: bytes) -> None:
    folder = mkdtemp(prefix="by-", dir="/tmp")
    with socket.socket(socket.AF_UNIX) as listener:
        listener.bind(f"{folder}/pages-0")
        listener.listen(1)
        listener.settimeout(60.0)  # whoever asked and could not is told by the test

        def answers() -> None:
            line, _ = listener.accept()
            with line:
                page_setters._received(line)
                line.sendall(struct.pack("<Q", len(said)) + said)

        one = threading.Thread(target=answers)
        one.start()
        assert PageSetters(f"{folder}/standing-by", STATE).asked(_sheets(DOOR)["labels"]) is None
        one.join(30.0)
    shutil.rmtree(folder)


def test_who_does_not_fetch_the_answer_holds_nobody_up(
    setters: PageSetters, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It asks, and stops in the middle of the answer; the next one is served."""
    ours, theirs = socket.socketpair()
    monkeypatch.setattr(page_setters, "FETCH_TIME", 0.2)
    monkeypatch.setattr(page_setters, "_set", lambda asked, state: b"%PDF-" + b"x" * 2**24)
    monkeypatch.setattr(page_setters, "same_user", lambda line: True)
    with ours, theirs:
        ours.sendall(struct.pack("<Q", 3) + b"[1]")
        began = time.monotonic()
        page_setters._answer(theirs, OrderedDict(), STATE)
        assert time.monotonic() - began < 10.0


def test_where_no_process_can_be_started_pages_are_set_without(monkeypatch: pytest.MonkeyPatch) -> None:
    folder = mkdtemp(prefix="by-", dir="/tmp")

    def full(*rest: Any, **named: Any) -> Any:
        raise OSError("no more processes")

    monkeypatch.setattr(subprocess, "Popen", full)
    made = PageSetters(f"{folder}/standing-by", STATE)
    made.stand_up()
    assert made.asked(_sheets(DOOR)["labels"]) is None
    made.end()
    shutil.rmtree(folder)


def test_names_of_data_are_the_same_wherever_a_page_is_set() -> None:
    """Names that are no words are written as Python writes them, here and there."""
    assert typesetting.data_text({True: 1, None: [{2: "\u2603"}]}) == '{"True": 1, "None": [{"2": "\u25a1"}]}'  # type: ignore[dict-item]
