"""Taps said on a screen: each once, in order, on the disk before it is acknowledged."""

from __future__ import annotations

import json
import shutil
import tomllib
from pathlib import Path

import pytest

from examples_here import FOLDER
from panelmend.app import service
from panelmend.app.opened import OpenRepair
from panelmend.app.tapbook import TapBook, heard
from panelmend.errors import InputError, OutputError, ReadingError

ROWS = [(0.40, 0.30, False), (0.41, 0.30, True), (0.42, 0.30, True), (0.43, 0.30, False)]


def _filled(path: Path) -> TapBook:
    book = TapBook(path)
    for n, (x, y, dull) in enumerate(ROWS):
        book.put(f"tap-{n}", (x, y), "outside", dull)
    return book


def test_taps_come_back_in_order_and_once_each(tmp_path: Path) -> None:
    book = _filled(tmp_path / "t.jsonl")
    again = book.put("tap-1", (0.41, 0.30), "outside", True)
    assert again.id == "tap-1"
    with pytest.raises(InputError, match="another tap"):
        book.put("tap-1", (0.41, 0.30), "outside", False)
    for held in (book, TapBook(tmp_path / "t.jsonl")):
        assert [(*t.at, t.dull) for t in held.taps("outside")] == ROWS
        assert held.taps("inside") == ()


def test_undo_takes_back_one_at_a_time_and_stays_in_the_file(tmp_path: Path) -> None:
    book = _filled(tmp_path / "t.jsonl")
    for left, undo in ((3, "u1"), (3, "u1"), (2, "u2")):
        book.undo(undo, "outside", f"tap-{left}")
        for held in (book, TapBook(tmp_path / "t.jsonl")):
            assert [t.id for t in held.taps("outside")] == [f"tap-{n}" for n in range(left)]
    assert book.undo("u3", "inside", "tap-0") is None
    assert len((tmp_path / "t.jsonl").read_text().splitlines()) == len(ROWS) + 2


def test_a_tap_of_another_device_is_never_taken_back_instead(tmp_path: Path) -> None:
    book = _filled(tmp_path / "t.jsonl")
    book.put("other", (0.6, 0.3), "outside", True)
    book.undo("u1", "outside", "tap-3")  # this device's last; the other's came after it
    assert [t.id for t in book.taps("outside")] == ["tap-0", "tap-1", "tap-2", "other"]
    assert book.undo("u2", "outside", "tap-3") is None


def test_a_tap_cut_off_by_a_crash_does_not_count_and_spoils_nothing(tmp_path: Path) -> None:
    path = tmp_path / "t.jsonl"
    _filled(path)
    whole = path.read_bytes()
    for cut in range(1, len(whole.splitlines()[-1]) + 1):
        path.write_bytes(whole[:-cut])
        book = TapBook(path)
        assert len(book.taps("outside")) == 3
        book.put("later", (0.5, 0.3), "outside", False)
        assert [t.id for t in TapBook(path).taps("outside")] == ["tap-0", "tap-1", "tap-2", "later"]


@pytest.mark.parametrize("line", ["{", "[]", '{"id": "a"}', '{"id": "u", "undone": "none", "when": ""}'])
def test_a_line_that_is_none_is_named(tmp_path: Path, line: str) -> None:
    path = tmp_path / "t.jsonl"
    path.write_text(
        json.dumps({"id": "a", "at": [0, 0], "side": "outside", "dull": True, "when": ""})
        + "\n"
        + line
        + "\n"
    )
    with pytest.raises(ReadingError, match="line 2"):
        TapBook(path)


def test_a_tap_that_cannot_be_written_does_not_count(tmp_path: Path) -> None:
    book = TapBook(tmp_path / "no-such-folder" / "t.jsonl")
    with pytest.raises(OutputError):
        book.put("tap-0", (0.0, 0.0), "outside", True)
    assert book.taps("outside") == ()


@pytest.fixture
def door(tmp_path: Path) -> OpenRepair:
    """The gear door, opened, with the taps of its example beside it."""
    for name in ("repair.toml", "repair.heat.json", "repair.nest.json"):
        shutil.copy(FOLDER / "gear_door" / name, tmp_path)
    demo = Path(service.__file__).parents[1] / "screen" / "demo" / "taps.jsonl"
    rows = [json.loads(line) for line in demo.read_text("utf8").splitlines()]
    coarse = [
        r for r in rows if not any(round(1e3 * v - o) % 30 for v, o in zip(r["at"], (370, 310), strict=True))
    ]
    (tmp_path / "taps.jsonl").write_text("".join(json.dumps(r) + "\n" for r in coarse), "utf8")
    return OpenRepair(tmp_path / "repair.toml")


def test_taps_in_the_document_give_the_outline_they_gave_beside_it(door: OpenRepair) -> None:
    book = TapBook(door.path.with_name("taps.jsonl"))
    seen = heard(door.made.plan.case, book.taps("outside"))
    assert seen.traced is not None
    changes = book.into(door.made.plan, tomllib.loads(door.made.text))
    made = door.change(changes, door.made.plan.case.digest)
    book.was_put(changes[("survey", "sweep")])
    planned = made.plan.case.geometry.damage
    assert planned is not None
    assert planned.area == pytest.approx(seen.traced.areas[0].outer.area, rel=1e-3)
    # more taps take the place of what was put there from here
    book.put("one-more", (0.35, 0.30), "outside", False)
    again = book.into(made.plan, tomllib.loads(made.text))
    assert (
        len(again[("survey", "sweep")][0]["readings"]) == len(changes[("survey", "sweep")][0]["readings"]) + 1
    )
    door.change(again, made.plan.case.digest)


def test_readings_of_another_hand_are_not_replaced(door: OpenRepair) -> None:
    book = TapBook(door.path.with_name("taps.jsonl"))
    changes = book.into(door.made.plan, tomllib.loads(door.made.text))
    made = door.change(changes, door.made.plan.case.digest)
    with pytest.raises(InputError, match="did not come from this page"):
        book.into(made.plan, tomllib.loads(made.text))


def test_too_few_taps_say_why_they_give_no_line(door: OpenRepair) -> None:
    case = door.made.plan.case
    assert heard(case, ()).words == ""
    book = TapBook(door.path.with_name("other.jsonl"))
    book.put("tap-0", (0.4, 0.3), "outside", True)
    assert "three places" in heard(case, book.taps("outside")).words
