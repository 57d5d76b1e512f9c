"""The command line: exit codes, words instead of trace-backs, nothing half written."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from cure_log_typed import run
from panelmend.app import service
from panelmend.app.cli import NOT_WRITTEN, REFUSED, STOPPED, main
from panelmend.app.exits import Exit
from panelmend.document.interview import accept, next_question
from panelmend.render import files
from panelmend.render.pack import write_pack

DEMO = Path(__file__).parents[2] / "examples" / "gear_door" / "repair.toml"


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
    assert code == Exit.DRAFT
    assert "DRAFT" in words
    assert "wait for a named person" in words


def test_a_folder_that_is_no_pack_is_left_alone(
    demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = tmp_path / "holiday"
    other.mkdir()
    (other / "photo.jpg").write_bytes(b"x")
    monkeypatch.setattr(files, "pack_files", lambda *_: pytest.fail("made a pack that has nowhere to go"))
    code, words = run("pack", str(demo), "--to", str(other))
    assert code == NOT_WRITTEN
    assert "Not written" in words
    assert [p.name for p in other.iterdir()] == ["photo.jpg"]


def test_a_faulty_document_leaves_an_old_pack_as_it_was(demo: Path, tmp_path: Path) -> None:
    target = write_pack(
        tmp_path / "pack", {"job-card.pdf": b"old", "kit/kit-list.csv": b"old"}, {"repair": "R"}
    )
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


TYPED = {
    "panel.core.material": "aramid-core-1-8-3.0",
    "panel.zero": "forward",
    "data.manual.title": "Marlet 3 Structural Repair Manual",
    "panel.outline.circle.centre": "300, 300 mm",
    "panel.outline.circle.diameter": "600 mm",
    "panel.edge_band": "25 mm",
    "damage.shape.circle.centre": "300, 310 mm",
    "damage.shape.circle.diameter": "40 mm",
}


def _answers() -> list[str]:
    """Typed answers to every question in order: the first choice, the first example, or a word."""
    answers: dict[str, str] = {}
    lines = []
    while (question := next_question(answers)) is not None:
        if question.path in TYPED:
            text = TYPED[question.path]
        elif question.choices:
            text = question.choices[0]
        else:
            text = question.example.split(" or ")[0] or ("TAS-1" if question.needed else "")
        answers[question.path] = accept(question, text)
        lines.append(text)
    return lines


def test_a_document_made_by_asking_is_shown_before_it_is_written(tmp_path: Path) -> None:
    """And whoever says who typed them has the first shelf entries and the short job that names them."""
    target = tmp_path / "made.toml"
    typed = "\n".join([*_answers(), "", "J. Hale"]) + "\n"
    done = CliRunner().invoke(main, ["new", str(target)], input=typed)
    assert done.exit_code == 0, done.output
    assert done.output.index("X damage") < done.output.index("Written:")
    assert run("check", str(target))[0] == 0
    assert "NOT CHECKED yet" in done.output
    assert run("check", str(tmp_path / "made-short.toml"))[0] == 0
    assert len((tmp_path / "made-short.toml").read_text("utf8").splitlines()) < 40
    assert service.plan(target).digest != ""
    again = CliRunner().invoke(main, ["new", str(tmp_path / "next.toml")], input="?\n")
    assert "Access" not in again.output
    assert "it stands on no shelf: type it here" in again.output, "the next one asks by these shelves"


def test_answers_that_do_not_fit_are_corrected_or_kept(tmp_path: Path) -> None:
    lines = _answers()
    place = _paths().index("damage.shape.circle.centre")
    lines[place] = "9000 mm, 10 mm"
    target = tmp_path / "made.toml"
    typed = "\n".join([*lines, f"={place + 1}", TYPED["damage.shape.circle.centre"], "q"]) + "\n"
    done = CliRunner().invoke(main, ["new", str(target)], input=typed)
    assert done.exit_code == REFUSED
    assert "The answers do not fit together" in done.output
    assert "damage.shape" in done.output
    assert "So far: 9000 mm, 10 mm" in done.output
    assert "X damage" in done.output, "after the correction it is drawn"
    assert not target.exists()
    kept = json.loads((tmp_path / "made.answers.json").read_text("utf8"))
    assert kept["damage.shape.circle.centre"] == TYPED["damage.shape.circle.centre"]


def test_a_stopped_asking_goes_on_where_it_was(tmp_path: Path) -> None:
    target = tmp_path / "made.toml"
    done = CliRunner().invoke(main, ["new", str(target)], input="TAS-1\nA title\n")
    assert done.exit_code == STOPPED
    assert "made.toml is not written. What you answered is kept" in done.output
    kept = json.loads((tmp_path / "made.answers.json").read_text("utf8"))
    assert kept["repair.number"] == "TAS-1"
    assert not target.exists()
    again = CliRunner().invoke(main, ["new", str(target)], input="Tarnfell Air Services\n")
    assert "Going on from" in again.output
    assert "repair.title" not in again.output
    kept = json.loads((tmp_path / "made.answers.json").read_text("utf8"))
    assert kept["repair.operator"] == "Tarnfell Air Services"


def test_an_answer_that_cannot_be_read_is_asked_again(tmp_path: Path) -> None:
    lines = _answers()
    day = next(i for i, q in enumerate(_paths()) if q == "repair.work_date")
    wrong = [*lines[:day], "yesterday", *lines[day:]]
    done = CliRunner().invoke(main, ["new", str(tmp_path / "made.toml")], input="\n".join(wrong) + "\n")
    assert "yesterday" in done.output
    assert done.output.count("repair.work_date") >= 2


def _paths() -> list[str]:
    answers: dict[str, str] = {}
    for line in _answers():
        question = next_question(answers)
        assert question is not None
        answers[question.path] = line
    return list(answers)


def test_an_existing_document_is_not_written_over(demo: Path) -> None:
    before = demo.read_bytes()
    assert run("new", str(demo))[0] == NOT_WRITTEN
    assert demo.read_bytes() == before
