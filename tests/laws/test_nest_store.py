"""Stored layouts: the same again, replaced only by shorter ones, refused when they may not be cut."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest

from panelmend.errors import InputError, OutputError, ReadingError, Severity
from panelmend.job.nest.checks import findings
from panelmend.job.nest.one_cloth import make_cloth
from panelmend.job.nest.part import Nest, NestPart, NestProblem, Piece, Placement, Strip
from panelmend.job.nest.placements import layout_measured
from panelmend.job.nest.shelf import shelf_nest
from panelmend.nesting.store import layouts_path, read_layouts, stored_nest, write_layouts

WEDGE = Piece("W", ((0, 0), (0.6, 0), (0, 0.4)), math.pi / 4, True, True, 2)
STRIP = Strip("roll", 0.72, None, 0.0, 0.0)
DEEP = "[" * 100_000
PROBLEM = NestProblem("glass", (WEDGE,), (STRIP,))


def pair(apart: float) -> Nest:
    """Both wedges with the second one half turned, a distance apart along the roll."""
    first = Placement("W", 1, "roll", 0.0, 0.43, -math.pi / 4)
    second = Placement("W", 2, "roll", 0.708 + apart, 0.289, -math.pi / 4 + math.pi)
    return Nest((layout_measured(STRIP, (first, second), (WEDGE,)),))


def test_kept_and_read_back_to_the_nanometre(tmp_path: Path) -> None:
    path = layouts_path(tmp_path / "door.toml")
    assert path.name == "door.nest.json"
    assert write_layouts(path, PROBLEM, pair(0.2))
    nest, wrong = stored_nest(read_layouts(path), PROBLEM)
    assert wrong == ()
    assert nest is not None
    assert nest.roll_length == pytest.approx(pair(0.2).roll_length, abs=1e-8)
    assert [p.turn for p in nest.layouts[0].placements] == [-math.pi / 4, -math.pi / 4 + math.pi]
    first = path.read_bytes()
    path.unlink()
    assert write_layouts(path, PROBLEM, nest)
    assert path.read_bytes() == first


def test_only_a_shorter_layout_replaces(tmp_path: Path) -> None:
    path = tmp_path / "a.nest.json"
    assert write_layouts(path, PROBLEM, pair(0.2))
    before = path.read_bytes()
    assert not write_layouts(path, PROBLEM, pair(0.3))
    assert not write_layouts(path, PROBLEM, pair(0.2))
    assert path.read_bytes() == before
    assert write_layouts(path, PROBLEM, pair(0.1))
    other = replace(PROBLEM, cloth="carbon")
    assert write_layouts(path, other, pair(0.3))
    assert set(read_layouts(path)) == {PROBLEM.digest(), other.digest()}


def test_a_layout_that_may_not_be_cut_is_not_written(tmp_path: Path) -> None:
    path = tmp_path / "a.nest.json"
    with pytest.raises(InputError, match="overlap"):
        write_layouts(path, PROBLEM, pair(-0.1))
    assert not path.exists()


def test_a_stored_layout_somebody_changed_is_refused_and_replaced(tmp_path: Path) -> None:
    path = tmp_path / "a.nest.json"
    write_layouts(path, PROBLEM, pair(0.2))
    data = json.loads(path.read_text("utf8"))
    data["layouts"][PROBLEM.digest()]["strips"][0]["pieces"][1]["x"] = 0.608
    path.write_text(json.dumps(data), "utf8")
    nest, wrong = stored_nest(read_layouts(path), PROBLEM)
    assert nest is None
    assert any("overlap" in w for w in wrong)
    assert write_layouts(path, PROBLEM, pair(0.4))


@pytest.mark.parametrize(
    ("key", "value"),
    [("piece", "X"), ("copy", "1"), ("x", "left"), ("x", None), ("half_turn", 1), ("turned_over", "no")],
)
def test_a_stored_row_that_cannot_be_is_refused(tmp_path: Path, key: str, value: object) -> None:
    path = tmp_path / "a.nest.json"
    write_layouts(path, PROBLEM, pair(0.2))
    data = json.loads(path.read_text("utf8"))
    data["layouts"][PROBLEM.digest()]["strips"][0]["pieces"][0][key] = value
    nest, wrong = stored_nest(data["layouts"], PROBLEM)
    assert nest is None
    assert "cannot be read" in wrong[0]


@pytest.mark.parametrize("text", ["", "{", "[]", '{"version": 2, "layouts": {}}', '{"version": 1}', DEEP])
def test_a_broken_file_is_refused_and_left_alone(tmp_path: Path, text: str) -> None:
    path = tmp_path / "a.nest.json"
    path.write_text(text, "utf8")
    with pytest.raises(ReadingError):
        read_layouts(path)
    with pytest.raises(ReadingError):
        write_layouts(path, PROBLEM, pair(0.2))
    assert path.read_text("utf8") == text


def test_nothing_stored_and_no_folder(tmp_path: Path) -> None:
    assert read_layouts(tmp_path / "a.nest.json") == {}
    assert stored_nest({}, PROBLEM) == (None, ())
    with pytest.raises(OutputError):
        write_layouts(tmp_path / "none" / "a.nest.json", PROBLEM, pair(0.2))
    assert list(tmp_path.iterdir()) == []


def test_the_plan_takes_a_stored_layout_only_when_it_is_legal_and_shorter() -> None:
    shelf = shelf_nest(PROBLEM)
    good = make_cloth(PROBLEM, pair(0.0))
    assert (good.made_by, good.nest) == ("search", pair(0.0))
    assert good.bound <= good.nest.roll_length < good.shelf_length == shelf.roll_length
    long = make_cloth(PROBLEM, pair(3.0))
    assert (long.made_by, long.nest, long.refused) == ("shelves", shelf, ())
    bad = make_cloth(PROBLEM, pair(-0.1))
    assert (bad.made_by, bad.nest) == ("shelves", shelf)
    assert make_cloth(PROBLEM) == long
    codes = [f.code for f in findings(NestPart((good, bad)))]
    assert codes == ["N006", "N005"]


def test_a_piece_too_big_is_a_finding_that_stops() -> None:
    big = replace(WEDGE, id="B", boundary=((0, 0), (2.0, 0), (2.0, 1.5), (0, 1.5)))
    found = findings(NestPart((make_cloth(replace(PROBLEM, pieces=(WEDGE, big))),)))
    assert (found[0].code, found[0].severity) == ("N001", Severity.STOP)
    assert "too wide" in found[0].words
    assert "2 copies" in found[0].words
