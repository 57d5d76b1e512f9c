"""The verb that predicts heat: its words, reports, refusals. Predictions are made up and kept first."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from examples_here import FOLDER, case, case_from, text
from made_cures import predicted_plan
from panelmend.app.cli import REFUSED, main
from panelmend.app.exits import Exit, of_plan
from panelmend.app.heat_words import heat_words
from panelmend.app.learning import Read, learnt_words
from panelmend.plan.make import make_plan
from panelmend.predict.kept_predictions import heat_path, write_predictions
from panelmend.predict.learnt import Learnt, Narrowed
from panelmend.render.cure_rows import degrees, expected_reading, unknown_row
from panelmend.trade import reworded
from render_pages import page_words


def _here(tmp_path: Path, name: str) -> Path:
    """A copy of an example with made-up predictions kept beside it."""
    document = tmp_path / "repair.toml"
    shutil.copy(FOLDER / name / "repair.toml", document)
    work = predicted_plan(case_from(text(name))).work
    assert work is not None
    write_predictions(heat_path(document), [made for _, made in work.cure.heats if made], {})
    return document


@pytest.mark.parametrize("name", ["gear_door", "flap_rib_bay"])
def test_it_says_what_is_predicted(tmp_path: Path, name: str) -> None:
    document = _here(tmp_path, name)
    result = CliRunner().invoke(main, ["heat", str(document), "--cases", "0"])
    said, plan = result.output, predicted_plan(case_from(text(name)))
    assert result.exit_code == of_plan(plan.standing, strict=False), result.output
    assert plan.work is not None
    assert said.rstrip("\n") == heat_words(plan), "what is kept is what is told"
    for operation in plan.work.cure.operations:
        found, view = operation.prediction, plan.case.view
        assert found is not None
        assert f"{operation.number}. {operation.name}" in said
        assert degrees(found.coldest.kelvin, view) in said
        assert degrees(found.hottest.kelvin, view) in said
        for s in found.sensors:
            assert f"reads {expected_reading(s, view)}" in said
        assert said.count("NOT HELD  ") == sum(
            not r.holds
            for o in plan.work.cure.operations
            for r in (o.prediction.limits if o.prediction else ())
        )
        assert reworded(found.advice[0].change) in " ".join(said.split())
    flat = " ".join(said.split())
    assert "301 of 400 cases tried keep every limit, if these ranges are right" in flat
    assert "So no chance is given" in flat
    assert "it judged 1 of them differently from the full run" in flat
    assert "not approved" in flat


def test_what_is_missing_is_asked_for(tmp_path: Path) -> None:
    document = tmp_path / "repair.toml"
    shutil.copy(FOLDER / "cowling" / "repair.toml", document)
    result = CliRunner().invoke(main, ["heat", str(document), "--cases", "0"])
    assert result.exit_code == 0, result.output
    work = make_plan(case("cowling")).work
    assert work is not None
    flat = " ".join(result.output.split())
    for operation in work.cure.operations:
        for m in operation.missing:
            assert f"{m.what} ({m.field}): {m.ask}" in flat
    assert flat.count("NOT PREDICTED") == len(work.cure.operations)
    assert not heat_path(document).exists()


def test_the_report_is_the_cure_plan_or_plain_data(tmp_path: Path) -> None:
    document = _here(tmp_path, "flap_rib_bay")
    pdf, data = tmp_path / "heat.pdf", tmp_path / "heat.json"
    for target in (pdf, data):
        result = CliRunner().invoke(main, ["heat", str(document), "--cases", "0", "--report", str(target)])
        assert result.exit_code in (Exit.DONE, Exit.STOP_PLAN), result.output
        assert f"Report: {target}" in result.output
    assert "Cure plan" in page_words(pdf.read_bytes())[0]
    found = json.loads(data.read_text("utf8"))
    plan = predicted_plan(case_from(text("flap_rib_bay")))
    assert plan.work is not None
    operation = plan.work.cure.operations[0]
    assert operation.prediction is not None
    row = found["operations"][0]
    assert found["about"]["plan_digest"] == plan.digest
    assert row["predicted"] is True
    assert row["prediction"]["hottest"]["kelvin"] == operation.prediction.hottest.kelvin
    assert [s["id"] for s in row["prediction"]["sensors"]] == [s.id for s in operation.sensors]
    assert row["prediction"]["traces"][0]["kelvin"] == list(operation.prediction.traces[0].kelvin)
    assert row["missing"] == []
    before = data.read_bytes()
    CliRunner().invoke(main, ["heat", str(document), "--cases", "0", "--report", str(data)])
    assert data.read_bytes() == before


def test_missing_constants_stand_in_the_plain_data(tmp_path: Path) -> None:
    document, data = tmp_path / "repair.toml", tmp_path / "heat.json"
    shutil.copy(FOLDER / "cowling" / "repair.toml", document)
    assert (
        CliRunner().invoke(main, ["heat", str(document), "--cases", "0", "--report", str(data)]).exit_code
        == 0
    )
    for row in json.loads(data.read_text("utf8"))["operations"]:
        assert row["predicted"] is False
        assert row["prediction"] is None
        assert all(m["ask"] for m in row["missing"])
        assert row["missing"]


def test_a_report_of_another_kind_is_refused_before_any_work(tmp_path: Path) -> None:
    document, target = tmp_path / "repair.toml", tmp_path / "heat.txt"
    shutil.copy(FOLDER / "gear_door" / "repair.toml", document)
    result = CliRunner().invoke(main, ["heat", str(document), "--cases", "0", "--report", str(target)])
    assert result.exit_code == REFUSED
    assert "ends in .pdf or .json" in result.output
    assert not target.exists()
    assert not heat_path(document).exists(), "nothing was predicted for it"


def test_a_report_that_cannot_be_written_leaves_nothing(tmp_path: Path) -> None:
    document = _here(tmp_path, "flap_rib_bay")
    result = CliRunner().invoke(
        main, ["heat", str(document), "--cases", "0", "--report", str(tmp_path / "no" / "heat.json")]
    )
    assert result.exit_code == 4
    assert sorted(p.name for p in tmp_path.iterdir()) == ["repair.heat.json", "repair.toml"]


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (["--operation", "Repair plies"], "says to which cure a log belongs"),
        (["--after", "a.csv", "--full"], "nothing is predicted and nothing is written"),
        (["--after", "a.csv", "--operation", "Cap alone"], "'Core and cap', 'Repair plies'"),
        (["--after", "a.csv", "--operation", "Repair plies"], "nobody has confirmed how this log is read"),
    ],
)
def test_a_log_to_learn_from_is_refused_in_words(tmp_path: Path, more: list[str], words: str) -> None:
    document = _here(tmp_path, "gear_door")
    given = [str(tmp_path / m) if m.endswith(".csv") else m for m in more]
    result = CliRunner().invoke(main, ["heat", str(document), *given])
    assert result.exit_code == REFUSED
    assert words in " ".join(result.output.split())


def test_what_a_log_told_is_printed_as_lines_for_the_next_document() -> None:
    work = make_plan(case("gear_door")).work
    assert work is not None
    problem = work.cure.operations[1].problem
    assert problem is not None
    own = {u.name: u for u in problem.unknowns}
    rows = (
        Narrowed(own["core"], (0.81, 1.24), (0.82, 1.23), False),
        Narrowed(own["uneven along"], (-0.095, 0.095), (-0.02, 0.06), True),
    )
    told = Learnt("Repair plies", 800, 0, 90.0, 0.6, ("T1", "T2"), rows, (own["air"],))
    said = learnt_words(Read(told, "a.csv", "abc123", "2026-11-25", "mm"))
    line = next(x for x in said.splitlines() if "what = " in x)
    assert 'what = "uneven along", low = -0.02, high = 0.06, fitted = true' in line
    assert "the thermocouples do not see it" in said
    assert "A fit is no measurement" in said
    lines = "\n".join(["measured = [", line, "]"])
    document = text("gear_door").replace('rate = "0.55 C/min"', f'rate = "0.55 C/min"\n{lines}')
    later = make_plan(case_from(document)).work
    assert later is not None
    again = later.cure.operations[1].problem
    assert again is not None
    made = next(u for u in again.unknowns if u.name == "uneven along")
    assert (made.low, made.high, made.basis) == (-0.02, 0.06, "fitted")
    assert made.likely == pytest.approx(0.02)
    assert "NOT MEASURED" in unknown_row(made, "mm")[3]
