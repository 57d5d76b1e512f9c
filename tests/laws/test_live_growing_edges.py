"""A log file that grows, is cut, written anew or exchanged for another while it is followed, line by line."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Any

import pytest

from grown_logs import ABOVE, begun, put, rows
from panelmend.curelog.live import growing
from panelmend.curelog.live.growing import GrowingFile
from panelmend.errors import InputError, ReadingError


def test_a_file_that_grows_is_read_on(tmp_path: Path) -> None:
    path, grown = begun(tmp_path)
    assert grown.poll() == 0
    put(path, rows(20, 25), more=True)
    assert grown.poll() == 5
    with path.open("a", encoding="utf8") as file:
        file.write(rows(25, 26)[0][:20])
    assert grown.poll() == 0  # half a line waits
    with path.open("a", encoding="utf8") as file:
        file.write(rows(25, 26)[0][20:] + "\n")
    assert grown.poll() == 1
    assert grown.notes == []
    assert grown.log().times.tolist() == [30.0 * k for k in range(26)]
    assert grown.log().lines.tolist() == list(range(3, 29))


def test_lines_that_end_in_two_characters_of_which_one_is_late(tmp_path: Path) -> None:
    path, grown = begun(tmp_path)
    for text, new in (("\r", 0), ("\n", 1)):
        with path.open("ab") as file:
            file.write((rows(20, 21)[0] if text == "\r" else "").encode() + text.encode())
        assert grown.poll() == new
    put(path, rows(21, 22), more=True)
    assert grown.poll() == 1
    assert len(grown.log()) == 22


def test_a_file_that_was_cut_is_told_and_what_was_read_is_kept(tmp_path: Path) -> None:
    path, grown = begun(tmp_path)
    put(path, [*ABOVE, *rows(0, 10)])
    assert grown.poll() == 0  # known lines
    assert len(grown.notes) == 1
    put(path, rows(10, 22), more=True)
    assert grown.poll() == 2
    assert len(grown.notes) == 1
    assert grown.log().times.tolist() == [30.0 * k for k in range(22)]


def test_a_file_that_was_written_over_in_its_place_is_told(tmp_path: Path) -> None:
    path, grown = begun(tmp_path)
    put(path, [*ABOVE, *rows(100, 130)])  # longer, and with other samples
    assert grown.poll() == 30
    assert len(grown.notes) == 1
    assert len(grown.log()) == 50


def test_the_same_file_written_anew_under_another_number_goes_on_without_a_word(tmp_path: Path) -> None:
    path, grown = begun(tmp_path)
    for last in (20, 24):
        other = tmp_path / "new.csv"
        put(other, [*ABOVE, *rows(0, last)])
        os.replace(other, path)
        assert grown.poll() == (4 if last == 24 else 0)
        assert grown.notes == []
    other = tmp_path / "new.csv"
    put(other, [*ABOVE, *rows(0, 19), *rows(19, 30, tenth=1)])  # of the old samples one is another
    os.replace(other, path)
    assert grown.poll() == 11
    assert len(grown.notes) == 1


def test_what_changed_far_behind_the_first_bytes_is_told_too(tmp_path: Path) -> None:
    """The first 4096 bytes are the same: the file became shorter in its place, or another stands there."""
    path, grown = begun(tmp_path, 300)
    put(path, [*ABOVE, *rows(0, 250)])
    assert grown.poll() == 0
    assert len(grown.notes) == 1
    other = tmp_path / "new.csv"
    put(other, [*ABOVE, *rows(0, 240), *rows(240, 320, tenth=1)])
    os.replace(other, path)
    assert grown.poll() == 80
    assert len(grown.notes) == 2


@pytest.mark.parametrize("piece", [1, 7, 64, 1 << 20])
def test_pieces_in_which_a_file_is_read_change_nothing(
    piece: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(growing, "PIECE", piece)
    path, grown = begun(tmp_path)
    other = tmp_path / "new.csv"
    put(other, [*ABOVE, *rows(0, 23)])
    os.replace(other, path)
    assert grown.poll() == 3
    assert grown.notes == []
    assert len(grown.log()) == 23


@pytest.mark.parametrize(
    ("above", "same"),
    [
        (ABOVE, True),
        (["Invented oven 3", "time;TC2 [C];TC1 [C]"], False),
        (["Invented oven 3", "time;TC1 [F];TC2 [F]"], False),
        (["Invented oven 4", "time;TC1 [C];TC2 [C]"], False),
    ],
)
def test_a_file_under_another_head_is_not_read(above: list[str], same: bool, tmp_path: Path) -> None:
    path, grown = begun(tmp_path)
    put(path, [*above, *rows(200, 230)])
    if same:
        assert grown.poll() == 30
        return
    for _ in range(2):
        with pytest.raises(InputError, match="not the one that was confirmed"):
            grown.poll()
    assert len(grown.log()) == 20
    assert len(grown.notes) == 2


def test_a_first_head_that_comes_in_parts_is_compared_when_it_is_whole(tmp_path: Path) -> None:
    path, grown = begun(tmp_path)
    for head, good in ((ABOVE, True), ([ABOVE[0], "time;TC9 [C];TC2 [C]"], False)):
        path.unlink()
        late = GrowingFile(path, grown.read_as)
        assert late.poll() == 0  # not there yet
        put(path, head[:1])
        assert late.poll() == 0
        put(path, head[1:], more=True)
        assert late.poll() == 0
        put(path, rows(0, 3), more=True)
        if good:
            assert late.poll() == 3
            assert late.log().lines.tolist() == [3, 4, 5]
        else:
            with pytest.raises(InputError, match="not the one that was confirmed"):
                late.poll()


def test_a_share_that_went_away_is_told_with_its_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, grown = begun(tmp_path)
    for error, words in ((OSError(5, "input or output"), "input or output"), (OSError("a lock"), "a lock")):

        def fails(*_: Any, error: OSError = error) -> Any:
            raise error

        with monkeypatch.context() as m:
            m.setattr(os, "stat", fails)
            with pytest.raises(ReadingError, match=words):
                grown.poll()
    assert grown.poll() == 0
