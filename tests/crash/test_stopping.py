"""Ctrl-C: at once where nothing is written and no process runs, and nothing is left half written."""

from __future__ import annotations

import os
import pty
import select
import shutil
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from click.testing import CliRunner

from examples_here import FOLDER
from panelmend.app import cli, refusing, service
from panelmend.app.exits import Exit
from panelmend.app.stopping import Stopper, at_once, unbroken
from panelmend.derive.ledger import near_names
from panelmend.render import files, pack

DOOR = FOLDER / "gear_door"


def test_the_first_wish_is_told_and_the_second_breaks_off() -> None:
    stop = Stopper()
    stop.pressed()
    assert stop.is_set()
    with pytest.raises(KeyboardInterrupt):
        stop.pressed()


def test_what_may_be_broken_off_is_broken_off_at_the_first() -> None:
    stop = Stopper()
    with pytest.raises(KeyboardInterrupt), at_once(stop):
        stop.pressed()
    assert stop.is_set()
    assert not stop.at_once, "what comes after is asked first"
    with at_once(None):
        pass


def test_a_pack_that_takes_its_place_is_not_broken_off(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However often it is asked: half of it moved would be neither the old pack nor the new one."""
    stop, write = Stopper(), pack.write_pack

    def pressed(*words: object, **more: object) -> object:
        stop.pressed()
        stop.pressed()
        return write(*words, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(pack, "write_pack", pressed)
    monkeypatch.setattr(files, "pack_files", lambda *_: {"job-card.pdf": b"new"})
    written = service.pack(DOOR / "repair.toml", tmp_path / "pack", 0.0, stop=stop)
    assert (written.folder / "job-card.pdf").read_bytes() == b"new"
    assert not stop.unbroken
    with pytest.raises(KeyboardInterrupt):
        stop.pressed()


def test_a_pack_that_is_broken_off_leaves_nothing_and_nobody(tmp_path: Path) -> None:
    document = tmp_path / "repair.toml"
    for name in ("repair.toml", "repair.heat.json", "repair.nest.json"):
        shutil.copy(DOOR / name, tmp_path / name)
    before = sorted(tmp_path.iterdir())
    stop, told = Stopper(), list[str]()

    def tell(words: str) -> None:
        told.append(words)
        if words == "workings":  # the card's pages are being set just now
            stop.pressed()

    with pytest.raises(KeyboardInterrupt):
        service.pack(document, tmp_path / "pack", 0.0, tell, stop)
    assert told[-1] == "workings"
    assert sorted(tmp_path.iterdir()) == before
    for _ in range(200):
        if threading.active_count() == 1 or not _setting():
            break
        time.sleep(0.05)
    assert not _setting()


def _setting() -> bool:
    return any(t.name.startswith("ThreadPoolExecutor") for t in threading.enumerate())


def test_progress_is_shown_from_the_start_and_the_verb_stops(tmp_path: Path) -> None:
    screen, terminal = pty.openpty()
    words = ["pack", str(DOOR / "repair.toml"), "--to", str(tmp_path / "pack"), "--search", "0"]
    child = subprocess.Popen(
        [sys.executable, "-m", "panelmend.app.cli", *words],
        start_new_session=True,
        stdout=subprocess.DEVNULL,
        stderr=terminal,
    )
    os.close(terminal)
    try:
        seen = _until(screen, b"workings", b"")
        assert seen.startswith(b"\rstarting"), "before anything else is loaded"
        os.killpg(child.pid, signal.SIGINT)
        _until(screen, b"Stopped. Nothing was written.", seen)
        assert child.wait(timeout=60) == Exit.STOPPED
    finally:
        child.kill()
        child.wait()
        os.close(screen)
    assert list(tmp_path.iterdir()) == []


def _until(screen: int, words: bytes, shown: bytes) -> bytes:
    """What the screen shows until these words stand there."""
    while words not in shown:
        ready, _, _ = select.select([screen], [], [], 60.0)
        assert ready, shown
        try:
            shown += os.read(screen, 4096)
        except OSError:
            break
    assert words in shown, shown
    return shown


def _ended(*, watched: bool) -> object:
    """The exit code of work that is stopped and would go on."""
    try:
        with refusing.refusals(watched=watched):
            signal.raise_signal(signal.SIGINT)
            time.sleep(60.0)
    except SystemExit as ended:
        return ended.code
    return "it went on"


def test_work_that_does_not_watch_is_left_at_the_first_stop(capsys: pytest.CaptureFixture[str]) -> None:
    assert _ended(watched=False) == Exit.STOPPED
    assert "Stopped. Nothing was written." in capsys.readouterr().err


def test_work_that_watches_is_told_and_ends_by_itself() -> None:
    before = signal.getsignal(signal.SIGINT)
    with refusing.refusals(watched=True) as stop:
        signal.raise_signal(signal.SIGINT)
        assert stop.is_set()
    assert signal.getsignal(signal.SIGINT) is before


def test_stops_while_files_take_their_place_are_heard_afterwards(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(refusing, "GRACE", 0.01)
    with refusing.refusals(watched=True) as stop, unbroken(stop):
        signal.raise_signal(signal.SIGINT)
        time.sleep(0.05)  # the second one comes by itself
        signal.raise_signal(signal.SIGINT)
    assert stop.is_set()


def test_work_that_watches_and_does_not_end_is_left_after_a_moment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(refusing, "GRACE", 0.05)
    assert _ended(watched=True) == Exit.STOPPED


def test_a_verb_that_is_still_being_read_in_stops_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped() -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr(service, "document_schema", stopped)
    done = CliRunner().invoke(cli.main, ["schema"])
    assert done.exit_code == Exit.STOPPED
    assert "Stopped. Nothing was written." in done.output


@pytest.mark.parametrize(
    ("asked", "near"),
    [
        ("plies.OUT-R2.overlap", "plies.OUT-R2.overlaps"),
        ("cutout.lenght", "cutout.length"),
        ("CUTOUT.LENGTH", "cutout.length"),
        ("core.plug_thicknes", "core.plug_thickness"),
    ],
)
def test_names_that_are_spelt_alike_are_found(asked: str, near: str) -> None:
    known = [
        "cutout.length",
        "cutout.width",
        "core.plug_thickness",
        "plies.OUT-R2.overlaps",
        "bag.least_vacuum",
    ]
    assert near in near_names(asked, known)
    assert near_names("zzzz.qqqq", known) == []
