"""What is refused is noted beside the records, by every route, and nothing that was typed in secret."""

from __future__ import annotations

import logging
from pathlib import Path

import pytest
from click.testing import CliRunner

from panelmend.app.cli import main
from panelmend.records.refusals import NO_RIGHT
from panelmend.records.store import refused as notes
from panelmend.records.store.refused import MOST_NOTED, note_refused, noted, refused_lately
from panelmend.screen.answers import RefusedNotes
from records_made import ON_POSTGRESQL, begun

pytestmark = pytest.mark.skipif(ON_POSTGRESQL, reason="a server has no file to note it beside")


def test_what_the_command_line_refuses_is_noted_and_no_secret_or_code_of_it(tmp_path: Path) -> None:
    """No person tried here has a secret of their own in it: no hash of full cost is made."""
    made = begun()
    before = made.state.number
    (tmp_path / "secret").write_text("a secret that nobody may see\n")
    (tmp_path / "broken.zip").write_bytes(b"PK no package")
    line = ["records", "--in", made.where, "--secret-file", str(tmp_path / "secret")]
    tried: tuple[list[str], ...] = (
        ["lot", "issue", "L1", "NONE-26", "1", "1", "--by", "S1"],
        ["lot", "open", "L1", "--by", "nobody-here-at-all"],
        ["person", "enrol", "X9", "a-code-that-is-none"],
        ["check-package", str(tmp_path / "broken.zip")],
    )
    for words in tried:
        assert CliRunner().invoke(main, [*line, *words]).exit_code == 3, words
    told = [x.split(" | ")[1:] for x in refused_lately(Path(made.where))]
    assert [x[:2] for x in told] == [
        ["records lot issue", "S1"],
        ["records lot open", "nob..."],
        ["records person enrol", "nobody"],
        ["records check-package", "nobody"],
    ]
    assert [x[2].split()[0] for x in told] == ["R122", "R112", "R112", "R149"]
    whole = Path(f"{made.where}.refused").read_text()
    assert "secret that" not in whole
    assert "a-code" not in whole
    assert made.state.number == before
    done = CliRunner().invoke(main, ["records", "--in", made.where, "refused"])
    assert (done.exit_code, done.output.splitlines()) == (0, refused_lately(Path(made.where)))


def test_what_the_screen_refuses_is_noted_by_the_line_it_tells(tmp_path: Path) -> None:
    (tmp_path / "shop.sqlite").touch()
    told = RefusedNotes(tmp_path / "shop.sqlite")
    say = "refused: %s %r by %r: %d %s"
    args = ("POST", "/api/people/roles\nx | y", "T1", 403, "role")
    told.emit(logging.LogRecord("panelmend.screen", 30, "", 0, say, args, None))
    told.emit(logging.LogRecord("panelmend.screen", 30, "", 0, "something else", (), None))
    (line,) = refused_lately(tmp_path / "shop.sqlite")
    assert line.split(" | ")[1:] == ["POST /api/people/roles?x ? y", "T1", "403 role"]


def test_a_storm_fills_two_files_and_no_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    records = tmp_path / "shop.sqlite"
    monkeypatch.setattr(notes, "MOST_NOTED", 4000)
    note_refused(records, "records lot issue", "S1", "R141 past its date")
    assert list(tmp_path.iterdir()) == []  # nothing is begun beside records that are not there
    records.touch()
    for n in range(200):
        note_refused(records, "records lot issue", "S1", f"R141 {n}")
    kept = refused_lately(records, 10**6)
    assert kept[-1].endswith("R141 199")
    sizes = [p.stat().st_size for p in tmp_path.iterdir() if p != records]
    assert len(sizes) == 2
    assert max(sizes) <= 4000 < MOST_NOTED
    assert len(refused_lately(records)) == 50


def test_a_note_that_cannot_be_written_changes_no_refusal(tmp_path: Path) -> None:
    (tmp_path / "shop.sqlite").touch()
    (tmp_path / "shop.sqlite.refused").mkdir()
    for where in (str(tmp_path / "shop.sqlite"), "postgresql://shop/records"):
        with pytest.raises(type(NO_RIGHT())) as held, noted(where, "records lot issue", "S1"):
            raise NO_RIGHT("S1")
        assert held.value.code == "R111"
