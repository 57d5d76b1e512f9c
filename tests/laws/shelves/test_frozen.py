"""Frozen and checked: a pack opens as it was planned; what nobody checked, or no longer holds, is found."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from examples_here import FOLDER, text
from panelmend.app import service
from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.app.heat import predict_heat
from panelmend.app.opened import OpenRepair
from panelmend.app.shelves import carried_by_all
from panelmend.document.people import same_person
from panelmend.errors import DocumentError, InputError, Severity, all_codes
from panelmend.plan.plan import Plan
from panelmend.render.files import plan_file
from panelmend.render.pack import check_pack, write_pack
from shelf_files import Shop, checked, entry, head

REPAIR_7 = "M3-SRM rev 11 / Repair 7"
NEWER = "M3-SRM rev 12 / Repair 7"


@pytest.fixture(scope="module")
def packed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Plan, Path, Shop]:
    """A job with its layouts and predictions kept beside it, and as much of its pack as is read again."""
    shop = Shop(tmp_path_factory.mktemp("shop"))
    for kind in ("nest", "heat"):
        shutil.copy(FOLDER / "gear_door" / f"repair.{kind}.json", shop.folder / f"job.{kind}.json")
    shop.load()
    made = service.plan(shop.job)
    files = {"document.toml": made.case.text.encode("utf8"), **carried_by_all((made,), shop.job)}
    folder = write_pack(shop.folder / "pack", files, {"plan": made.digest, "name": made.case.name})
    return made, folder, shop


def test_a_job_opens_from_its_pack_exactly_as_planned(packed: tuple[Plan, Path, Shop]) -> None:
    made, folder, shop = packed
    assert check_pack(folder) == []
    before = shop.read("data", REPAIR_7)
    shop.edit("data", REPAIR_7, ('value = "25.4 mm"', 'value = "30 mm"'))
    try:
        again = service.plan(folder / "document.toml")
        assert again.digest == made.digest
        assert again.findings == made.findings
        assert service.load(shop.job).digest != made.case.digest
    finally:
        shop.path("data", REPAIR_7).write_text(before, "utf8")


def test_the_plan_names_each_entry_by_digest(packed: tuple[Plan, Path, Shop]) -> None:
    made, folder, _ = packed
    text = plan_file(made).decode("utf8")
    assert made.case.shelved is not None
    for e in made.case.shelved.entries:
        assert f'"digest": "{e.digest}"' in text
        assert (folder / "shelves" / e.file).read_bytes() == e.data


@pytest.mark.parametrize(
    "file", ["document.toml", "shelves/data/M3-SRM rev 11 - Repair 7.toml", "document.heat.json"]
)
def test_what_was_changed_in_a_pack_is_refused(
    packed: tuple[Plan, Path, Shop], tmp_path: Path, file: str
) -> None:
    _, folder, _ = packed
    copy = shutil.copytree(folder, tmp_path / "pack")
    path = copy / file
    path.write_bytes(path.read_bytes() + b"\n")
    with pytest.raises(InputError, match="changed after the pack was made"):
        service.load(copy / "document.toml")


def test_an_entry_that_was_put_into_a_pack_is_refused(
    packed: tuple[Plan, Path, Shop], tmp_path: Path
) -> None:
    _, folder, _ = packed
    copy = shutil.copytree(folder, tmp_path / "pack")
    (copy / "shelves" / "data" / "other.toml").write_text("x = 1\n")
    with pytest.raises(InputError, match="not in the pack when it was made"):
        service.load(copy / "document.toml")


def test_a_pack_without_its_manifest_opens_nowhere(packed: tuple[Plan, Path, Shop], tmp_path: Path) -> None:
    """It opened as a plain job, and nothing said that nobody could tell what was packed."""
    _, folder, _ = packed
    copy = shutil.copytree(folder, tmp_path / "pack")
    job = copy / "document.toml"
    (copy / "manifest.json").unlink()
    for verb in ("check", "plan", "request", "compare"):
        more = [str(job)] if verb == "compare" else ["--to", str(tmp_path / "r")] if verb == "request" else []
        told = CliRunner().invoke(main, [verb, str(job), *more])
        assert told.exit_code == Exit.REFUSED, (verb, told.output)
        assert "the manifest of the pack is gone" in told.output
    with pytest.raises(InputError, match=r"shelves beside it, no manifest\.json"):
        OpenRepair(job)
    job.rename(copy / "mine.toml")
    assert service.load(copy / "mine.toml").document.repair.number, "a job of one's own"
    one = tmp_path / "one"
    one.mkdir()
    (one / "document.toml").write_text(text("gear_door"), "utf8")
    service.load(one / "document.toml")
    (one / "job-card.pdf").write_bytes(b"")
    with pytest.raises(InputError, match=r"job-card\.pdf beside it, no manifest\.json"):
        service.load(one / "document.toml")


def test_a_document_in_one_file_is_held_to_its_pack_too(tmp_path: Path) -> None:
    folder = write_pack(tmp_path / "pack", {"document.toml": text("gear_door").encode("utf8")}, {})
    job = folder / "document.toml"
    service.load(job)
    job.write_text(job.read_text("utf8").replace("25.4 mm", "30 mm"), "utf8")
    with pytest.raises(InputError, match="changed after the pack was made"):
        service.load(job)


def test_nothing_is_kept_beside_the_document_of_a_pack(packed: tuple[Plan, Path, Shop]) -> None:
    """Heat predicted there made the pack refuse itself afterwards."""
    made, folder, _ = packed
    document = folder / "document.toml"
    before = sorted(p.name for p in folder.iterdir())
    with pytest.raises(InputError, match="a prediction of heat cannot be kept in a pack"):
        predict_heat(document, made, again=True)
    with pytest.raises(InputError, match="a layout cannot be kept in a pack"):
        service.find_layouts(document, made)
    assert sorted(p.name for p in folder.iterdir()) == before
    assert service.load(document).digest == made.case.digest
    assert predict_heat(document, made, cases=0) is made, "what is kept is shown"


def test_a_pack_uses_what_it_carries_though_a_setting_names_other_shelves(
    packed: tuple[Plan, Path, Shop], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made, folder, _ = packed
    monkeypatch.setenv("PANELMEND_SHELVES", str(tmp_path))
    assert service.load(folder / "document.toml").digest == made.case.digest


def test_checked_is_silent_and_unchecked_and_edited_are_drafts(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    assert shop.codes() == []
    text = shop.read("data", REPAIR_7)
    shop.edit("data", REPAIR_7, ('value = "25.4 mm"', 'value = "25.5 mm"'), check=False)
    assert shop.codes() == ["X102"], "an edit after the check voids it"
    shop.put("data", REPAIR_7, text.split("\n[entry.check]")[0] + "\n", check=False)
    assert shop.codes() == ["X101"]
    shop.put("data", REPAIR_7, text, check=False)
    assert shop.codes() == [], "what was checked stands there again"
    drafts = {c.code: c.severity for c in all_codes() if c.code in ("X101", "X102")}
    assert set(drafts.values()) == {Severity.CONFIRM}


def test_a_check_is_void_after_an_edit_of_the_head_too(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.edit("panels", "M3-5201-17-1", ('hand = "left"', 'hand = "right"'), check=False)
    shop.edit("data", REPAIR_7, ('hand = "left"', 'hand = "right"'))
    assert shop.codes() == ["X102"]


@pytest.mark.parametrize(
    "other", ["J. Hale", "j. hale", " J.  Hale ", "J.Hale", "Hale, J.", "J. HALE", "Ｊ. Hale"]
)
def test_nobody_checks_what_they_typed(other: str) -> None:
    text = head("bays", "b") + "[bay]\n"
    assert same_person("J. Hale", other)
    with pytest.raises(DocumentError, match="nobody checks what they typed themselves"):
        checked(text, "bays", "b", by=other)


@pytest.mark.parametrize("other", ["J. Hales", "K. Hale", "D. Aune", "J. H. Ale"])
def test_another_person_may_check(other: str) -> None:
    text = head("bays", "b") + "[bay]\n"
    assert same_person("J. Hale", other) == (other == "J. H. Ale"), (
        "the same letters are taken for the same person"
    )
    if other != "J. H. Ale":
        assert entry(checked(text, "bays", "b", by=other), "bays", "b").is_checked


@pytest.mark.parametrize("nobody", ["", " ", "...", "-", "12"])
def test_a_check_by_nobody_is_refused(nobody: str) -> None:
    with pytest.raises(DocumentError):
        checked(head("bays", "b") + "[bay]\n", "bays", "b", by=nobody)


def test_a_check_before_the_typing_is_refused() -> None:
    text = checked(head("bays", "b") + "[bay]\n", "bays", "b").replace("2026-11-21", "2026-11-19")
    with pytest.raises(DocumentError, match="checked before it was typed"):
        entry(text, "bays", "b")
    entry(text.replace("2026-11-19", "2026-11-20"), "bays", "b")  # on the same day


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("valid_until = 2026-11-25", []),
        ("valid_until = 2026-11-24", ["X104"]),
        ("valid_until = 2026-11-26", []),
        ("valid_from = 2026-11-25", []),
        ("valid_from = 2026-11-26", ["X104"]),
        ("valid_from = 2026-11-24", []),
    ],
)
def test_an_entry_holds_from_its_first_to_its_last_day(tmp_path: Path, line: str, found: list[str]) -> None:
    """The work is on 2026-11-25: yesterday, today and tomorrow from both sides."""
    shop = Shop(tmp_path)
    shop.edit("data", REPAIR_7, ("[data]", "[data]"), ("invented = true", f"{line}\ninvented = true"))
    assert shop.codes() == found


def newer(shop: Shop, *more: str, since: str = "") -> None:
    text = shop.read("data", REPAIR_7)
    text = text.replace(f'name = "{REPAIR_7}"', f'name = "{NEWER}"\nsupersedes = "{REPAIR_7}"{since}')
    text = text.replace('first_margin = { value = "25.4 mm"', 'first_margin = { value = "30 mm"')
    shop.put("data", NEWER, text)


def test_a_superseded_entry_stops_and_says_what_differs(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    newer(shop)
    shelved = shop.load().shelved
    assert shelved is not None
    (found,) = [f for f in shelved.findings if f.code == "X103"]
    assert found.severity is Severity.STOP
    assert 'they differ in 1: data.plies.first_margin.value: "25.4 mm" -> "30 mm"' in found.words
    assert [e.name for e in shelved.entries if not e.taken] == [NEWER], "the pack tells it again"
    assert shop.codes((f'data = "{REPAIR_7}"', f'data = "{NEWER}"')) == []


@pytest.mark.parametrize(("day", "found"), [("2026-11-25", ["X103"]), ("2026-11-26", [])])
def test_an_entry_is_superseded_from_the_first_day_of_the_new_one(
    tmp_path: Path, day: str, found: list[str]
) -> None:
    shop = Shop(tmp_path)
    newer(shop, since=f"\nvalid_from = {day}")
    assert shop.codes() == found


KEEP = """
[[keep]]
entry = "M3-SRM rev 11 / Repair 7"
instead_of = "M3-SRM rev 12 / Repair 7"
values = ["data.plies.first_margin.value"]
by = "D. Aune"
on = 2026-11-24
reference = "ED-0417"
typed_by = "J. Hale"
"""


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ("", "", ["X582"]),
        ('\nby = "D. Aune"', '\nby = "J. Hale"', ["X103"]),
        ('"data.plies.first_margin.value"', '"data.plies.further_margin.value"', ["X103"]),
        ('M3-SRM rev 12 / Repair 7"', 'M3-SRM rev 13 / Repair 7"', ["X103"]),
    ],
)
def test_an_engineer_keeps_a_superseded_entry_value_by_value(
    tmp_path: Path, old: str, new: str, found: list[str]
) -> None:
    shop = Shop(tmp_path)
    newer(shop)
    shop.text += KEEP.replace(old, new) if old else KEEP
    assert shop.codes() == found
    shop.seen()
    assert shop.codes() == ["X111" if f == "X582" else f for f in found]


@pytest.mark.parametrize("newest", ['"30 mm"', '"31 mm"'])
def test_what_was_kept_is_told_anew_where_the_newer_entry_changes(tmp_path: Path, newest: str) -> None:
    shop = Shop(tmp_path)
    newer(shop)
    shop.text += KEEP
    shop.load()
    assert shop.seen() == ()
    shop.edit("data", NEWER, ('"30 mm"', newest))
    assert shop.codes() == (["X111"] if newest == '"30 mm"' else ["X582"])


def test_an_entry_edited_while_planning_is_used_as_it_was_first_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Sizes are measured in the middle of reading: the entry changes there and then."""
    shop = Shop(tmp_path)
    table = TABLE
    shop.edit("data", REPAIR_7, ("tape_width", "#tape_width"), check=False)
    shop.put("data", REPAIR_7, shop.read("data", REPAIR_7).split("\n[entry.check]")[0] + table, check=False)
    quiet = shop.load()
    from panelmend.app import shelves

    def measured(loaded: Any) -> Any:
        shop.edit("bays", "door cell", ('"18 C"', '"30 C"'), check=False)
        shop.edit("data", REPAIR_7, ('value = "25.4 mm"', 'value = "30 mm"'), check=False)
        return before(loaded)

    before = shelves.measured_damage
    monkeypatch.setattr(shelves, "measured_damage", measured)
    edited = service.load(shop.job)
    assert edited.digest == quiet.digest
    assert edited.document == quiet.document
    monkeypatch.undo()
    assert service.load(shop.job).digest != quiet.digest


TABLE = """
[[choose]]
title = "Tape by size"
place = "52-10-17 table 9"
by = ["largest"]

[[choose.row]]
up_to = "500 mm"
data.plies.tape_width = "50.8 mm"
"""
