"""What only the asking process has open, or what can be read once, is never handed to one that stands by."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from panelmend.app import cli, entry, standing_ask
from panelmend.app.entry import FOLDER, is_own

pytestmark = pytest.mark.skipif(os.name != "posix", reason="no process stands by elsewhere")
HERE = ("/dev/fd/0", "/dev/stdin", "/proc/self/fd/0", "/proc/PID/fd/0", "/proc/thread-self/fd/0")


@pytest.mark.parametrize("path", HERE)
def test_open_files_are_ones_own_however_they_are_named(path: str, tmp_path: Path) -> None:
    path = path.replace("PID", str(os.getpid()))  # the same name of this test in every process
    (tmp_path / "link").symlink_to(path)
    (tmp_path / "far").symlink_to(tmp_path / "link")
    (tmp_path / "below").symlink_to(Path(path).parent)
    up = os.path.relpath(path, os.path.realpath(os.getcwd()))
    for word in (path, f"{path}#A", f"--after={path}", up, f"/tmp/..{path}"):
        assert is_own(word), word
    for name in ("link", "far", f"below/{Path(path).name}"):
        assert is_own(str(tmp_path / name)) or not os.path.exists(path), name


def test_a_pipe_and_a_device_are_ones_own_a_file_and_a_folder_are_not(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "job.toml").write_text("x", "utf8")
    (tmp_path / "link").symlink_to("job.toml")
    (tmp_path / "round").symlink_to("round")
    assert is_own(str(tmp_path / "pipe"))
    assert is_own(f"{tmp_path / 'pipe'}#A")
    assert is_own(os.devnull)
    assert is_own(str(tmp_path / "round"))
    for word in ("job.toml", "job.toml#A", "link", "", "none.toml", "../no/way"):
        assert not is_own(str(tmp_path / word)), word
    for word in ("", "--strict", "--search", "3", "--done=1-42, 45", "a\0b", "/process/x", "/dev/fdx"):
        assert not is_own(word), word


@pytest.mark.parametrize(("word", "asked"), [("/dev/fd/0", False), ("job.toml", True)])
def test_such_a_verb_runs_by_itself(
    word: str, asked: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "standing-by").touch()
    done: list[str] = []
    monkeypatch.setenv(FOLDER, str(tmp_path))
    monkeypatch.setattr(sys, "argv", ["panelmend", "check", word])
    monkeypatch.setattr(standing_ask, "ask", lambda place, words: done.append("asked"))
    monkeypatch.setattr(cli, "main", lambda prog_name: done.append("here"))
    entry.main()
    assert done == (["asked", "here"] if asked else ["here"])
