"""A repair kept open: the plan after changes is that of the document as written, and no change is lost."""

from __future__ import annotations

import math
import os
import shutil
from pathlib import Path

import pytest

from examples_here import FOLDER as EXAMPLES
from panelmend.app import service
from panelmend.app.changing import Move, changes_moved, changes_typed, entries, read_as
from panelmend.app.opened import ChangedMeanwhile, OpenRepair, field_of
from panelmend.errors import DocumentError, InputError


def _copy(name: str, folder: Path, file: str = "repair") -> Path:
    for ending in (".toml", ".heat.json", ".nest.json"):
        source = EXAMPLES / name / f"{file}{ending}"
        if source.exists():
            shutil.copy(source, folder / f"repair{ending}")
    return folder / "repair.toml"


@pytest.fixture
def door(tmp_path: Path) -> OpenRepair:
    """The gear door, opened."""
    return OpenRepair(_copy("gear_door", tmp_path))


def test_a_tried_change_has_the_figures_of_the_kept_one_and_of_a_plan_from_the_file(door: OpenRepair) -> None:
    made = door.made
    changes = changes_moved(made.plan, made.text, Move("cutout", 0.003, -0.002, math.radians(4)))
    before = door.path.read_bytes()
    tried = door.tried(changes)
    assert door.path.read_bytes() == before
    kept = door.change(changes, made.plan.case.digest)
    alone = service.plan(door.path)
    assert kept.plan.digest == alone.digest
    rows = {f.key: f.value for f in alone.ledger if isinstance(f.value, int | float)}
    assert {f.key: f.value for f in tried.plan.ledger if isinstance(f.value, int | float)} == rows
    assert [f.words for f in tried.plan.findings] == [f.words for f in alone.findings]


def test_the_cut_out_lies_where_it_was_moved(door: OpenRepair) -> None:
    made = door.made
    old = made.plan.work
    assert old is not None
    new = door.tried(
        changes_moved(made.plan, made.text, Move("cutout", 0.003, -0.002, math.radians(4)))
    ).plan.work
    assert new is not None
    a, b = old.cutout.opening, new.cutout.opening
    assert b.centre[0] - a.centre[0] == pytest.approx(0.003, abs=6e-5)
    assert b.centre[1] - a.centre[1] == pytest.approx(-0.002, abs=6e-5)
    assert math.degrees(float(b.angle) - float(a.angle)) == pytest.approx(4.0, abs=0.06)
    assert float(b.length) == pytest.approx(float(a.length), abs=6e-5)


@pytest.mark.parametrize("name", ["gear_door", "cowling"])
def test_damage_moves_in_standard_axes_whatever_side_the_document_is_drawn_from(
    tmp_path: Path, name: str
) -> None:
    repair = OpenRepair(_copy(name, tmp_path))
    made = repair.made
    moved = repair.tried(changes_moved(made.plan, made.text, Move("damage", 0.002, 0.001)))
    a, b = made.plan.case.geometry.damage, moved.plan.case.geometry.damage
    assert a is not None
    assert b is not None
    assert b.centroid[0] - a.centroid[0] == pytest.approx(0.002, abs=6e-5)
    assert b.centroid[1] - a.centroid[1] == pytest.approx(0.001, abs=6e-5)


def test_changes_are_taken_back_in_turn(door: OpenRepair) -> None:
    texts = [door.made.text]
    for humidity in ("50 %", "45 %", ""):
        made = door.made
        door.change(changes_typed(made.plan, made.text, {"bay.humidity": humidity}), made.plan.case.digest)
        texts.append(door.made.text)
    assert len(set(texts)) == 4
    for text in reversed(texts[:-1]):
        door.back(door.made.plan.case.digest)
        assert door.path.read_text("utf8") == text
    with pytest.raises(InputError, match="no change"):
        door.back(door.made.plan.case.digest)


def test_an_open_job_is_planned_anew_when_its_shelves_say_otherwise(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    shutil.copytree(EXAMPLES / "shelves", tmp_path / "shelves")
    door = OpenRepair(_copy("gear_door", tmp_path, "short"))
    first = door.made
    door.change({("repair", "title"): "the door"}, first.plan.case.digest)
    kept = door.made
    assert door.made is kept  # nothing changed: not planned again
    cell = tmp_path / "shelves" / "bays" / "door cell.toml"
    text, dated = cell.read_bytes(), cell.stat()
    assert b'humidity = "55 %"' in text
    cell.write_bytes(text.replace(b'humidity = "55 %"', b'humidity = "60 %"'))  # as long, dated as before
    os.utime(cell, ns=(dated.st_atime_ns, dated.st_mtime_ns))
    assert door.made.plan.digest != kept.plan.digest
    assert door.made.plan.digest == OpenRepair(door.path).made.plan.digest
    assert door.can_go_back  # the text is the same: its changes can still be taken back
    cell.write_bytes(text)
    assert door.made.plan.digest == kept.plan.digest
    cell.rename(tmp_path / "elsewhere")
    with pytest.raises(InputError, match="door cell"):
        _ = door.made
    with pytest.raises(InputError, match="door cell"):  # and is not forgotten by being asked again
        _ = door.made


def test_a_change_to_what_is_no_longer_there_is_refused(door: OpenRepair) -> None:
    made = door.made
    changes = changes_typed(made.plan, made.text, {"bay.humidity": "50 %"})
    door.change(changes, made.plan.case.digest)
    with pytest.raises(ChangedMeanwhile):
        door.change(changes, made.plan.case.digest)


def test_what_another_program_wrote_is_seen_before_a_change(door: OpenRepair) -> None:
    made = door.made
    door.path.write_text(made.text.replace('humidity = "55 %"', 'humidity = "60 %"'), "utf8")
    os.utime(door.path, ns=(1, 1))
    assert door.made.plan.case.document.bay.humidity == pytest.approx(0.6)
    with pytest.raises(ChangedMeanwhile):
        door.change({}, made.plan.case.digest)


def test_a_fault_is_refused_with_its_field_and_nothing_is_written(door: OpenRepair) -> None:
    made = door.made
    typed = changes_typed(made.plan, made.text, {"choice.heat.0.rate": "ten"})
    for act in (door.tried, lambda c: door.change(c, made.plan.case.digest)):
        with pytest.raises(DocumentError) as caught:
            act(typed)
        assert [field_of(f) for f in caught.value.faults] == ["choice.heat[1].rate"]
    assert door.path.read_text("utf8") == made.text


def test_only_the_fields_that_are_shown_can_be_changed(door: OpenRepair) -> None:
    made = door.made
    for key in ("repair.number", "data.limits.repairable.value", "choice.heat.9.rate", ""):
        with pytest.raises(InputError, match="not changed here"):
            changes_typed(made.plan, made.text, {key: "1"})
    assert all(e.meaning for e in entries(made.plan, made.text))


def test_both_systems_are_echoed() -> None:
    assert read_as("1/4 in", "length") == "6.4 mm = 1/4 in"
    assert read_as("6,35 mm", "length") == "6.4 mm = 1/4 in"
    assert read_as("70 C", "temperature") == "70 C = 158 F"
    assert read_as("", "length") == read_as("nine", "length") == ""


def test_a_list_with_one_damage_is_changed_like_a_table(door: OpenRepair) -> None:
    text = door.made.text
    door.path.write_text(text.replace("[damage]", "[[damage]]"), "utf8")
    os.utime(door.path, ns=(1, 1))
    made = door.made
    typed = changes_typed(made.plan, made.text, {"damage.0.wet_area": "30 cm2"})
    assert door.tried(typed).plan.case.document.damage.wet_area == pytest.approx(3e-3)
    moved = door.change(
        changes_moved(made.plan, made.text, Move("damage", 0.002, 0.001)), made.plan.case.digest
    )
    a, b = made.plan.case.geometry.damage, moved.plan.case.geometry.damage
    assert a is not None
    assert b is not None
    assert b.centroid[0] - a.centroid[0] == pytest.approx(0.002, abs=6e-5)


def test_several_damages_are_refused_in_words_until_the_screen_shows_each(door: OpenRepair) -> None:
    text = door.made.text
    start, end = text.index("[damage]"), text.index("[data]")
    one = text[start:end].replace("[damage]", "[[damage]]")
    far = one.replace("[4", "[8").replace("[5", "[9")
    door.path.write_text(text[:start] + one + far + text[end:], "utf8")
    os.utime(door.path, ns=(1, 1))
    with pytest.raises(InputError):
        _ = door.made
