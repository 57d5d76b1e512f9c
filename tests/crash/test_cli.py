"""The command line: exit codes, words instead of trace-backs, nothing half written."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from panelmend.app import service
from panelmend.app.cli import DRAFT, NOT_WRITTEN, REFUSED, main

DEMO = Path(__file__).parents[2] / "examples" / "gear_door" / "repair.toml"


def run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(main, list(words))
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.output


@pytest.fixture
def demo(tmp_path: Path) -> Path:
    shutil.copy(DEMO, tmp_path / "repair.toml")
    return tmp_path / "repair.toml"


def test_a_sound_document_passes() -> None:
    code, words = run("check", str(DEMO))
    assert code == 0
    assert "no faults" in words


def test_a_missing_file_is_refused() -> None:
    code, words = run("check", "nowhere.toml")
    assert code == REFUSED
    assert "no such file" in words


def test_every_fault_is_named_with_its_line(demo: Path) -> None:
    text = demo.read_text("utf8")
    demo.write_text(
        text.replace('width = "800 mm"', 'width = "800"').replace(
            'edge_band = "35 mm"', 'edge_bend = "35 mm"'
        ),
        "utf8",
    )
    code, words = run("check", str(demo))
    assert code == REFUSED
    assert "2 faults" in words
    lines = text.splitlines()
    assert f"line {next(i for i, w in enumerate(lines, 1) if '800 mm' in w)}, " in words
    assert f"line {next(i for i, w in enumerate(lines, 1) if w.startswith('edge_band'))}, " in words
    assert "did you mean 'edge_band'" in words


def test_a_draft_exits_with_its_own_code_when_asked(demo: Path) -> None:
    text = demo.read_text("utf8")
    demo.write_text(text[: text.index("[[confirm]]")] + text[text.index("[stores]") :], "utf8")
    assert run("plan", str(demo))[0] == 0
    code, words = run("plan", str(demo), "--strict")
    assert code == DRAFT
    assert "DRAFT" in words
    assert "wait for a named person" in words


def test_a_folder_that_is_no_pack_is_left_alone(demo: Path, tmp_path: Path) -> None:
    other = tmp_path / "holiday"
    other.mkdir()
    (other / "photo.jpg").write_bytes(b"x")
    code, words = run("pack", str(demo), "--to", str(other), "--search", "0")
    assert code == NOT_WRITTEN
    assert "Not written" in words
    assert [p.name for p in other.iterdir()] == ["photo.jpg"]


def test_a_faulty_document_leaves_an_old_pack_as_it_was(demo: Path, tmp_path: Path) -> None:
    target = tmp_path / "pack"
    assert run("pack", str(demo), "--to", str(target), "--search", "0")[0] == 0
    before = {p: p.read_bytes() for p in sorted(target.rglob("*")) if p.is_file()}
    demo.write_text("panelmend = 1\n[repair]\n", "utf8")
    assert run("pack", str(demo), "--to", str(target))[0] == REFUSED
    assert {p: p.read_bytes() for p in sorted(target.rglob("*")) if p.is_file()} == before


def test_stopping_writes_nothing(demo: Path, tmp_path: Path) -> None:
    class Now:
        def is_set(self) -> bool:
            return True

    from panelmend.errors import Cancelled

    with pytest.raises(Cancelled):
        service.pack(demo, tmp_path / "pack", 0.0, stop=Now())
    assert not (tmp_path / "pack").exists()


def test_an_unknown_figure_is_refused_with_near_names() -> None:
    code, words = run("why", str(DEMO), "plies.OUT-R9.margin")
    assert code == REFUSED
    assert "no figure is called" in words
    assert "margin" in words


def test_a_figure_is_explained_down_to_what_was_typed() -> None:
    code, words = run("why", str(DEMO), "plies.OUT-R2.overlap")
    assert code == 0
    assert "approved data" in words
    assert "52-10-17 fig 204" in words


def test_compare_names_what_differs(demo: Path) -> None:
    text = demo.read_text("utf8")
    demo.write_text(
        text.replace('first_margin = { value = "25.4 mm"', 'first_margin = { value = "30 mm"'), "utf8"
    )
    code, words = run("compare", str(DEMO), str(demo))
    assert code == 0
    assert "plies.first_margin: 25.4 mm -> 30.0 mm" in words
    assert run("compare", str(DEMO), str(DEMO))[1].strip() == "The plans are the same."


def test_a_wrong_verb_is_a_wrong_command_line() -> None:
    assert run("fly")[0] == 2
