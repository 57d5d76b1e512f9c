"""A process that stands by says what a process of its own says, keeps nothing from one question to the next,
answers nobody else, and where anything is wrong the verb is done as if none stood by."""

from __future__ import annotations

import json
import os
import shutil
import signal
import socket
import struct
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import pytest
from click.testing import CliRunner

from panelmend.app import cli_stand_by, source_state, stand_by
from panelmend.app.entry import FOLDER, LONGEST_SOCKET_NAME, STOPPED, is_private_folder, socket_place
from panelmend.app.exits import Exit
from panelmend.app.source_state import changed_since, program_state, sources_now
from panelmend.app.standing_ask import ask

EXAMPLES = Path(__file__).parents[2] / "examples"
COMMAND = [sys.executable, "-m", "panelmend"]
pytestmark = pytest.mark.skipif(os.name != "posix", reason="no copies of a process elsewhere")


@pytest.fixture(scope="module")
def standing() -> Iterator[dict[str, str]]:
    """The settings of a shell beside which a process stands by."""
    folder = mkdtemp(prefix="by-", dir="/tmp")  # short: a socket's name may not be long
    env = {**os.environ, FOLDER: folder, "PANELMEND_ANSWERS": ""}
    done = subprocess.run(
        [*COMMAND, "stand-by", "--minutes", "5"], env=env, capture_output=True, text=True, timeout=300
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert "panelmend stand-by --end" in done.stdout
    yield env
    subprocess.run([*COMMAND, "stand-by", "--end"], env=env, capture_output=True, check=True, timeout=300)
    assert not os.path.exists(f"{folder}/standing-by")
    shutil.rmtree(folder)


@pytest.fixture
def job(tmp_path: Path) -> Path:
    shutil.copy(EXAMPLES / "gear_door" / "repair.toml", tmp_path)
    return tmp_path / "repair.toml"


def _done(words: list[str], env: dict[str, str], folder: Path) -> tuple[int, str, str]:
    made = subprocess.run(
        [*COMMAND, *words], env=env, cwd=folder, capture_output=True, text=True, timeout=300
    )
    return made.returncode, made.stdout, made.stderr


def _alone(env: dict[str, str]) -> dict[str, str]:
    return {**env, FOLDER: ""}


def test_it_says_what_a_process_of_its_own_says(standing: dict[str, str], job: Path) -> None:
    """Words, order and exit code, of what is done and of what is refused; nothing goes over to the next."""
    (job.parent / "faulty.toml").write_text(
        job.read_text("utf8").replace('supply = "230 V"', 'supply = "230 furlong"'), "utf8"
    )
    asked = [
        ["plan", "repair.toml"],
        ["plan", "repair.toml", "--strict"],
        ["check", "repair.toml"],
        ["check", "faulty.toml"],
        ["check", "gone.toml"],
        ["plan", "--no-such-option"],
        ["check", "repair.toml"],
    ]
    by, alone = ([_done(w, env, job.parent) for w in asked] for env in (standing, _alone(standing)))
    assert by == alone
    assert [code for code, _, _ in by] == [0, 1, 0, 3, 3, 2, 0]


def test_it_was_asked(standing: dict[str, str], job: Path) -> None:
    """What is said would be the same if nobody ever asked: what was read in shows who worked."""
    asked = [sys.executable, "-X", "importtime", *COMMAND[1:], "check", "repair.toml"]
    here = subprocess.run(asked, env=standing, cwd=job.parent, capture_output=True, text=True, timeout=300)
    assert here.returncode == 0
    assert "no faults" in here.stdout
    assert "panelmend.app.standing_ask" in here.stderr
    assert "pydantic" not in here.stderr
    assert "click" not in here.stderr


def test_what_was_changed_between_two_questions_is_read_again(standing: dict[str, str], job: Path) -> None:
    first = _done(["plan", "repair.toml"], standing, job.parent)
    text = job.read_text("utf8")
    assert 'supply = "230 V"' in text
    job.write_text(text.replace('supply = "230 V"', 'supply = "200 V"'), "utf8")
    second = _done(["plan", "repair.toml"], standing, job.parent)
    assert second != first
    assert second == _done(["plan", "repair.toml"], _alone(standing), job.parent)


def test_folder_and_settings_are_the_askers(standing: dict[str, str], job: Path) -> None:
    kept = job.parent / "kept"
    env = {**standing, "PANELMEND_ANSWERS": "yes", "PANELMEND_KEPT": str(kept)}
    assert _done(["check", f"../{job.parent.name}/repair.toml"], env, job.parent)[0] == 0
    assert len([*kept.glob("answer-*")]) == 1, "kept where this shell says"
    assert _done(["check", "repair.toml"], env, job.parent.parent)[0] == 3, "no such file from there"


@pytest.mark.parametrize("what", ["OMP_NUM_THREADS", "PYTHONHASHSEED", "LC_ALL"])
def test_who_was_started_otherwise_is_not_answered(standing: dict[str, str], job: Path, what: str) -> None:
    value = {"OMP_NUM_THREADS": "3", "PYTHONHASHSEED": "7", "LC_ALL": "C"}[what]
    code = (
        "from panelmend.app.standing_ask import ask; from panelmend.app.entry import socket_place\n"
        f"print('CODE', ask(socket_place(), ['check', {str(job)!r}]))"
    )
    for env, expected in ((standing, "CODE 0"), ({**standing, what: value}, "CODE None")):
        # the module's folder of the command is none of what was started: -c has another first entry
        made = subprocess.run(
            [sys.executable, "-c", code], env=env, capture_output=True, text=True, timeout=300
        )
        assert made.stdout.splitlines()[-1:] == [expected], made.stderr


def test_half_a_question_and_none_leave_it_standing(standing: dict[str, str], job: Path) -> None:
    place = f"{standing[FOLDER]}/standing-by"
    for sent in (b"", b"abc", struct.pack("<Q", 2**40), struct.pack("<Q", 5) + b"[[[[[", b"\0" * 8):
        with socket.socket(socket.AF_UNIX) as line:
            line.connect(place)
            line.sendall(sent)
    body = json.dumps({"as": 1}).encode()
    with socket.socket(socket.AF_UNIX) as line:
        line.connect(place)
        line.sendall(struct.pack("<Q", len(body)) + body)
        assert line.recv(9) == b"no\n"
    assert stand_by.ask_standing(place, "there") == "no\n"
    assert _done(["check", "repair.toml"], standing, job.parent)[0] == 0


def test_stopped_by_the_user_nothing_is_written(standing: dict[str, str], job: Path) -> None:
    """Ctrl-C goes to the process that asks; the one that works stops, and says what it says elsewhere."""
    asked = subprocess.Popen(
        [*COMMAND, "pack", "repair.toml"], env=standing, cwd=job.parent, stdout=-1, stderr=-1, text=True
    )
    time.sleep(1.0)
    asked.send_signal(signal.SIGINT)
    out, err = asked.communicate(timeout=60)
    assert (asked.returncode, out) == (5, "")
    assert "Stopped. Nothing was written." in err
    assert not (job.parent / "repair-pack").exists()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGHUP])
def test_ended_by_others_it_ends_and_is_not_done_again(
    standing: dict[str, str], job: Path, number: int
) -> None:
    """A closed terminal, a shut-down: nobody is there who would want it done once more."""
    asked = subprocess.Popen(
        [*COMMAND, "pack", "repair.toml"], env=standing, cwd=job.parent, stdout=-1, stderr=-1, text=True
    )
    time.sleep(1.0)
    asked.send_signal(number)
    out, err = asked.communicate(timeout=20)
    assert (asked.returncode, out) == (-number, "")
    assert "done again" not in err
    assert not (job.parent / "repair-pack").exists()


@pytest.mark.parametrize(
    ("said", "told"),
    [(b"", ""), (b"no\n", ""), (b"pid 1", ""), (b"pid 999999999\n", "it is done again here")],
)
def test_where_what_stood_by_dies_it_is_done_here(job: Path, said: bytes, told: str) -> None:
    """Before it said who works on it, or after."""
    folder = Path(mkdtemp(prefix="by-", dir="/tmp"))
    env = {**os.environ, FOLDER: str(folder)}
    with stand_by.StandBy(f"{folder}/standing-by", 60.0, sources_now(), program_state()).listen() as listener:
        asked = subprocess.Popen(
            [*COMMAND, "check", "repair.toml"], env=env, cwd=job.parent, stdout=-1, stderr=-1, text=True
        )
        listener.settimeout(60.0)
        line, _ = listener.accept()
        line.settimeout(60.0)
        for number in stand_by._question(line)[1]:
            os.close(number)
        line.sendall(said)
        line.close()
    out, err = asked.communicate(timeout=60)
    assert (asked.returncode, out) == _done(["check", "repair.toml"], _alone(env), job.parent)[:2]
    assert told in err
    assert err.count("\n") == bool(told)
    shutil.rmtree(folder)


def test_a_folder_open_to_others_is_never_asked_nor_stood_in(tmp_path: Path) -> None:
    folder = Path(mkdtemp(prefix="by-", dir="/tmp"))
    assert is_private_folder(str(folder))
    for mode in (0o701, 0o710, 0o777):
        folder.chmod(mode)
        assert not is_private_folder(str(folder))
        with pytest.raises(PermissionError):
            stand_by.StandBy(f"{folder}/standing-by", 1.0, sources_now(), program_state()).listen()
        assert ask(f"{folder}/standing-by", ["check", "x"]) is None
    folder.chmod(0o700)
    link = tmp_path / "link"
    link.symlink_to(folder)
    assert not is_private_folder(str(link)), "a link may lead anywhere later"
    folder.rmdir()


def test_a_place_too_long_or_switched_off(monkeypatch: pytest.MonkeyPatch) -> None:
    name = "/" + "x" * (LONGEST_SOCKET_NAME - len("/standing-by") - 1)
    monkeypatch.setenv(FOLDER, name)
    assert socket_place() == f"{name}/standing-by"
    monkeypatch.setenv(FOLDER, name + "x")
    assert socket_place() is None
    monkeypatch.setenv(FOLDER, "")
    assert socket_place() is None
    assert STOPPED == Exit.STOPPED


def test_it_ends_when_nobody_asks_and_when_a_source_changed(monkeypatch: pytest.MonkeyPatch) -> None:
    folder = Path(mkdtemp(prefix="by-", dir="/tmp"))
    place = f"{folder}/standing-by"
    now = sources_now(), program_state()
    idle = stand_by.StandBy(place, 0.05, *now)
    with idle.listen() as listener:
        idle.serve(listener)  # comes back by itself
    assert not os.path.exists(place)

    changed = stand_by.StandBy(place, 60.0, *now)
    monkeypatch.setattr(stand_by, "sources_now", lambda: [*changed.sources, ("new.py", 1, 2, 3, 4)])
    with changed.listen() as listener, socket.socket(socket.AF_UNIX) as line:
        line.connect(place)
        body = json.dumps({"as": changed.as_started, "words": ["check", "x"]}).encode()
        line.sendall(struct.pack("<Q", len(body)) + body)
        changed.serve(listener)
        assert line.recv(9) == b"no\n"
    assert not os.path.exists(place)

    dead = stand_by.StandBy(place, 60.0, *now).listen()
    dead.close()
    assert os.path.exists(place)
    with stand_by.StandBy(place, 60.0, *now).listen():
        pass  # what a dead process left is taken over
    shutil.rmtree(folder)


def test_one_that_is_never_ready_is_ended_and_told(monkeypatch: pytest.MonkeyPatch) -> None:
    folder = mkdtemp(prefix="by-", dir="/tmp")
    began: list[subprocess.Popen[bytes]] = []
    made = subprocess.Popen

    def hangs(command: list[str], **given: Any) -> Any:
        began.append(made([sys.executable, "-c", "import time; time.sleep(300)"], **given))
        return began[-1]

    monkeypatch.setenv(FOLDER, folder)
    monkeypatch.setattr(subprocess, "Popen", hangs)
    monkeypatch.setattr(cli_stand_by, "READING_IN", 0.2)
    said = CliRunner().invoke(cli_stand_by.stand_by, [])
    assert (said.exit_code, said.output) == (
        Exit.NOT_WRITTEN,
        "Not started: it was not ready after 0 s\n",
    )
    assert began[0].wait(60.0) == -signal.SIGKILL
    for pipe in (began[0].stdout, began[0].stderr):
        assert pipe is not None
        pipe.close()
    shutil.rmtree(folder)


def test_another_never_takes_the_place_of_one_that_lives(standing: dict[str, str]) -> None:
    place = f"{standing[FOLDER]}/standing-by"
    with pytest.raises(FileExistsError):
        stand_by.StandBy(place, 1.0, sources_now(), program_state()).listen()
    assert stand_by.ask_standing(place, "there") == "no\n"


def test_a_program_changed_while_it_is_read_in_does_not_stand_by(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It read in the old code, took the new files for its own, and set a new page over old code."""
    monkeypatch.setattr(source_state, "_PACKAGE", tmp_path)
    code = tmp_path / "code.py"
    code.write_text("one")
    began = time.time() + 60.0  # whatever lies there was put there before

    with pytest.raises(SystemExit, match="changed while it started"):
        stand_by.whole_read_in(lambda: code.write_text("two"), began)
    with pytest.raises(SystemExit, match="changed while it started"):
        stand_by.whole_read_in(lambda: (tmp_path / "more.py").write_text("new"), began)
    with pytest.raises(SystemExit, match="changed while it started"):
        stand_by.whole_read_in(code.unlink, began)
    assert stand_by.whole_read_in(lambda: None, began) == (sources_now(), program_state())


def test_a_file_put_there_after_the_process_began_is_a_change(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was imported before anything looked at the files may be the one of before."""
    monkeypatch.setattr(source_state, "_PACKAGE", tmp_path)
    (tmp_path / "code.py").write_text("one")
    state = sources_now()
    at = (tmp_path / "code.py").stat().st_ctime
    assert changed_since(state, began=at - 0.001)
    assert changed_since(state, began=at + 0.015)  # the clock of the disk lags behind
    assert not changed_since(state, began=at + 0.025)
