"""The verbs of the survey: a table to an outline and into a document."""

from __future__ import annotations

from pathlib import Path

from click.testing import CliRunner

from panelmend.app.cli import main
from panelmend.document import parse

DOOR = Path(__file__).parents[2] / "examples" / "gear_door"


def test_a_table_becomes_an_outline_and_a_document(tmp_path: Path) -> None:
    target = tmp_path / "made.toml"
    into = ["--into", str(DOOR / "repair.toml"), "--to", str(target)]
    result = CliRunner().invoke(main, ["survey", str(DOOR / "taps.csv"), "--yes", *into])
    assert result.exit_code == 0, result.output
    assert "1 damaged area" in result.output
    assert "Tap next at" in result.output
    made = parse(target.read_bytes()).document.survey
    assert made is not None
    assert len(made.sweep[0].readings) == 221
    again = CliRunner().invoke(main, ["survey", str(DOOR / "taps.csv"), "--yes", *into])
    assert again.exit_code == 4


def test_a_grid_table_gives_the_same_outline_as_its_points(tmp_path: Path) -> None:
    rows = [x.split(";") for x in (DOOR / "taps.csv").read_text().splitlines()[2:]]
    lines = [f"{(int(y) - 310) // 15 + 1},{(int(x) - 370) // 15 + 1},{t}" for x, y, t in rows]
    file = tmp_path / "grid.csv"
    file.write_text("row,column,tap\n" + "\n".join(lines))
    grid = ["--spacing", "15 mm", "--origin", "370 mm, 310 mm"]
    one = CliRunner().invoke(main, ["survey", str(file), "--yes", *grid]).output
    other = CliRunner().invoke(main, ["survey", str(DOOR / "taps.csv"), "--yes"]).output
    assert one.splitlines()[-3:] == other.splitlines()[-3:]


def test_refusals_are_words(tmp_path: Path) -> None:
    file = tmp_path / "a.csv"
    file.write_text("x mm,y mm,tap\n" + "\n".join(f"{i},{i % 3},d" for i in range(9)))
    result = CliRunner().invoke(main, ["survey", str(file), "--yes"])
    assert result.exit_code == 3
    assert "where the damage ends" in result.output
    assert CliRunner().invoke(main, ["survey", str(file)], input="n\n").exit_code == 3
