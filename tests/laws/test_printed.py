"""What cannot be printed ends with the code of an output not written; a reader who left hears nothing."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import IO

import click
import pytest

from examples_here import FOLDER
from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.app.printed import printed

FULL = Path("/dev/full")
on_full = pytest.mark.skipif(not FULL.exists(), reason="this system has no such device")
VERBS = (["schema"], ["--help"], ["plan", "--help"], ["check", str(FOLDER / "gear_door" / "repair.toml")])


@pytest.fixture
def full() -> Iterator[IO[str]]:
    with suppress(OSError), FULL.open("w") as stream:
        yield stream


@pytest.fixture
def left() -> Iterator[IO[str]]:
    """A pipe whose reader went away."""
    reader, writer = os.pipe()
    os.close(reader)
    with suppress(OSError), os.fdopen(writer, "w") as stream:
        yield stream


def _ended(words: list[str]) -> int:
    with pytest.raises(SystemExit) as ended:
        main(words, prog_name="panelmend")
    assert isinstance(ended.value.code, int)
    return ended.value.code


@on_full
@pytest.mark.parametrize("words", VERBS)
def test_a_full_output_has_its_own_code_and_one_line(
    words: list[str], full: IO[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PANELMEND_ANSWERS", "")
    monkeypatch.setattr(sys, "stdout", full)
    assert _ended(words) == Exit.NOT_WRITTEN
    said = capsys.readouterr().err
    assert said.startswith("Not printed: standard output takes nothing more: ")
    assert said.count("\n") == 1
    full.flush()  # what waited is gone: Python's own end has nothing left to fail with


@pytest.mark.parametrize("words", [VERBS[0], VERBS[3]])
def test_a_reader_who_left_is_told_nothing(
    words: list[str], left: IO[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("PANELMEND_ANSWERS", "")
    monkeypatch.setattr(sys, "stdout", left)
    assert _ended(words) == Exit.NOT_WRITTEN
    assert capsys.readouterr().err == ""


@on_full
def test_a_full_error_stream_has_the_code_too(full: IO[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stderr", full)
    assert _ended(["check", "nowhere.toml"]) == Exit.NOT_WRITTEN


@on_full
def test_what_waits_unprinted_at_the_end_counts(full: IO[str], monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdout", full)
    with pytest.raises(SystemExit) as ended, printed():
        print("a line that no flush follows")
    assert ended.value.code == Exit.NOT_WRITTEN


def test_another_error_of_the_system_goes_on_as_it_is() -> None:
    click.echo("printed")
    with pytest.raises(FileNotFoundError), printed():
        Path("/nowhere/at/all").read_bytes()
