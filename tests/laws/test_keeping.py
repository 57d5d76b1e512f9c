"""What is kept is found again, by its whole ground alone, and never from where somebody else may write."""

from __future__ import annotations

import os
import pickle
import sys
import time
from pathlib import Path
from types import SimpleNamespace

import pytest

from panelmend import keeping


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "kept"
    monkeypatch.setenv(keeping.FOLDER, str(place))
    return place


def test_a_thing_is_found_again_by_its_kind_and_digest_alone(folder: Path) -> None:
    keeping.keep_object("one", "a", {"x": (1.5, None)})
    assert keeping.read_kept_object("one", "a") == {"x": (1.5, None)}
    assert keeping.read_kept_object("one", "b") is None
    assert keeping.read_kept_object("two", "a") is None


def test_what_was_kept_under_another_name_is_not_found(folder: Path) -> None:
    """Two files exchanged gave the strength of another repair."""
    keeping.keep_object("one", "a", "of a")
    keeping.keep_object("one", "b", "of b")
    first, second = sorted(folder.iterdir())
    data = first.read_bytes(), second.read_bytes()
    first.write_bytes(data[1])
    second.write_bytes(data[0])
    assert keeping.read_kept_object("one", "a") is None
    assert keeping.read_kept_object("one", "b") is None
    first.write_bytes(data[0])
    second.write_bytes(data[1])
    assert [keeping.read_kept_object("one", x) for x in "ab"] == ["of a", "of b"]


def test_another_edition_of_the_sources_finds_nothing(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    keeping.keep_object("one", "a", 1)
    monkeypatch.setattr(keeping, "program_edition", lambda: "another")
    assert keeping.read_kept_object("one", "a") is None


def test_the_edition_is_of_every_source(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for name in ("a.py", "room/b.py"):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text("x = 1\n", "utf8")
    monkeypatch.setattr(keeping, "_HERE", tmp_path)
    monkeypatch.setattr(keeping, "_BEGAN", time.time() + 60)
    monkeypatch.setattr(keeping, "_COMPUTE", ("one", "other"))
    before = keeping.program_edition.__wrapped__()
    (tmp_path / "room/b.py").write_text("x = 2\n", "utf8")
    after = keeping.program_edition.__wrapped__()
    assert before != after
    (tmp_path / "room/b.py").rename(tmp_path / "room/c.py")
    assert keeping.program_edition.__wrapped__() not in (before, after)
    monkeypatch.setattr(keeping, "version", lambda name: "0.0" if name == "one" else "1.0")
    told = keeping.program_edition.__wrapped__()
    monkeypatch.setattr(keeping, "version", lambda name: "1.0")
    assert keeping.program_edition.__wrapped__() != told
    (tmp_path / "limits.toml").write_text("least = 1\n", "utf8")
    assert keeping.program_edition.__wrapped__() != told


def test_code_that_was_put_there_since_is_not_what_runs(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a.py").write_text("x = 1\n", "utf8")
    written = (tmp_path / "a.py").stat().st_ctime
    monkeypatch.setattr(keeping, "_HERE", tmp_path)
    for began, holds in ((written, True), (written - 0.01, False)):
        monkeypatch.setattr(keeping, "_BEGAN", began)
        monkeypatch.setattr(keeping, "program_edition", keeping.program_edition.__wrapped__)
        keeping.keep_object("one", f"{began}", 1)
        assert (keeping.read_kept_object("one", f"{began}") == 1) is holds
        monkeypatch.undo()
        monkeypatch.setenv(keeping.FOLDER, str(folder))
        monkeypatch.setattr(keeping, "_HERE", tmp_path)


def test_a_library_that_runs_counts_as_it_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keeping, "_HERE", tmp_path)
    monkeypatch.setattr(keeping, "_COMPUTE", ("pretended",))
    monkeypatch.setitem(sys.modules, "pretended", SimpleNamespace(__version__="1.0"))
    before = keeping.program_edition.__wrapped__()
    monkeypatch.setattr(keeping, "version", lambda name: "2.0")  # put on the disk since
    assert keeping.program_edition.__wrapped__() == before


@pytest.mark.parametrize("bit", [0, 31, 32, -1])
def test_a_damaged_file_is_as_none(folder: Path, bit: int) -> None:
    keeping.keep_object("one", "a", list(range(50)))
    (path,) = folder.iterdir()
    whole = bytearray(path.read_bytes())
    whole[bit] ^= 1
    path.write_bytes(whole)
    assert keeping.read_kept_object("one", "a") is None
    path.write_bytes(bytes(whole)[:20])
    assert keeping.read_kept_object("one", "a") is None
    keeping.keep_object("one", "a", 2)
    assert keeping.read_kept_object("one", "a") == 2


def test_a_class_that_is_gone_is_as_none(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    gone = type("Gone", (), {})
    gone.__module__ = __name__
    monkeypatch.setattr(sys.modules[__name__], "Gone", gone, raising=False)
    keeping.keep_object("one", "a", gone())
    assert keeping.read_kept_object("one", "a") is not None
    monkeypatch.delattr(sys.modules[__name__], "Gone")
    assert keeping.read_kept_object("one", "a") is None


@pytest.mark.skipif(os.name != "posix", reason="rights of files as POSIX has them")
@pytest.mark.parametrize(("rights", "trusted"), [(0o755, True), (0o775, False), (0o757, False)])
def test_nothing_is_read_where_another_may_write(folder: Path, rights: int, trusted: bool) -> None:
    keeping.keep_object("one", "a", 1)
    folder.chmod(rights)
    assert (keeping.read_kept_object("one", "a") == 1) is trusted
    assert (keeping.kept_folder() is not None) is trusted


def test_where_nothing_can_be_kept_nothing_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "file").write_text("", "utf8")
    for told in ("", str(tmp_path / "file" / "under")):
        monkeypatch.setenv(keeping.FOLDER, told)
        keeping.keep_object("one", "a", 1)
        assert keeping.read_kept_object("one", "a") is None
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


def test_the_oldest_go_first(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(keeping, "MOST_FILES", 3)
    for n in range(5):
        keeping.keep_object("one", str(n), n)
        for path in folder.iterdir():
            os.utime(path, ns=(path.stat().st_mtime_ns - 10**9, path.stat().st_mtime_ns - 10**9))
    assert [keeping.read_kept_object("one", str(n)) for n in range(5)] == [None, None, 2, 3, 4]


def test_what_else_lies_in_the_folder_that_was_named_stays(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keeping, "MOST_FILES", 1)
    folder.mkdir()
    theirs = {"repair.toml", "one-0", "my-" + 40 * "0" + ".toml", "notes"}
    for name in theirs:
        (folder / name).write_text("mine", "utf8")
        os.utime(folder / name, (0, 0))
    half = folder / ("one-" + 40 * "0" + "ab_1.part")
    half.write_text("", "utf8")
    os.utime(half, (0, 0))
    keeping.keep_object("one", "a", 1)
    keeping.keep_object("one", "b", 2)
    assert {p.name for p in folder.iterdir()} > theirs
    assert len(list(folder.iterdir())) == len(theirs) + 1


@pytest.mark.parametrize(("room", "kept"), [(0, True), (-1, False)])
def test_what_is_too_large_is_not_kept(
    folder: Path, monkeypatch: pytest.MonkeyPatch, room: int, kept: bool
) -> None:
    thing = b"x" * 1000
    size = len(pickle.dumps(thing, protocol=5))
    monkeypatch.setattr(keeping, "LARGEST_KEPT", size + room)
    keeping.keep_object("one", "a", thing)
    assert len(list(folder.glob("*"))) == (1 if kept else 0)
    assert keeping.read_kept_object("one", "a") == (thing if kept else None)
