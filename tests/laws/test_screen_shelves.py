"""Shelves, comparison and history on the screen: what is a draft says so, what differs is shown, a panel is
found by its serial number."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from urllib.parse import quote

import pytest

from examples_here import FOLDER as EXAMPLES
from panelmend.screen.workshop import DEMO
from screen_made import Desk, desk

ENTRY = "/shelves/entry?shelf=panels&name="


@pytest.fixture(scope="module")
def at() -> Iterator[Desk]:
    """A desk at a workshop with shelves."""
    with desk() as made:
        shutil.copytree(EXAMPLES / "shelves", made.workshop.repairs_folder / "shelves")
        yield made


def test_a_checked_entry_says_by_whom_and_one_that_was_changed_since_is_a_draft(at: Desk) -> None:
    page = at.get("/shelves").body.decode()
    assert page.count("CHECKED") > 10
    assert "DRAFT" not in page
    path = next((at.workshop.repairs_folder / "shelves" / "panels").glob("*.toml"))
    text = path.read_text("utf8")
    name = text.split('name = "', 1)[1].split('"', 1)[0]
    one = at.get(ENTRY + quote(name)).body.decode()
    assert "checked by" in one
    assert "every plan that uses it is a draft" not in one
    path.write_text(text.replace('thickness = "', 'thickness = "1', 1), "utf8")
    try:
        assert "DRAFT" in at.get("/shelves").body.decode()
        changed = at.get(ENTRY + quote(name)).body.decode()
        assert "every plan that uses it is a draft" in changed
        assert "changed since it was checked" in changed
        path.write_text("no toml = = =", "utf8")
        assert "CANNOT BE READ" in at.get("/shelves").body.decode()
    finally:
        path.write_text(text, "utf8")


def test_no_entry_is_a_path(at: Desk) -> None:
    for name in ("../../repairs", "no such", "M3-SRM/../x"):
        assert at.get(ENTRY + quote(name, safe="")).status == 404
    assert at.get("/shelves/entry?shelf=etc&name=passwd").status == 422


def test_an_earlier_version_stands_beside_the_repair_with_what_differs(at: Desk) -> None:
    repair = at.workshop.open(DEMO)
    where = f"/repairs/{DEMO}/compare"
    assert "no earlier version" in at.get(where).body.decode()
    assert at.get(f"{where}?back=1").status == 404
    before = repair.made.plan
    changed = {"seen": before.case.digest, "typed": {"bay.air_temperature": "30 C"}}
    assert at.post(f"/api/repairs/{DEMO}/inputs/change", changed).status == 200
    page = at.get(f"{where}?back=1").body.decode()
    assert before.short_digest in page
    assert repair.made.plan.short_digest in page
    assert '<td class="n">18 C</td><td class="n"><b>30 C</b></td>' in page
    assert page.count('class="drawing still-drawing"') == 2
    back = {"seen": repair.made.plan.case.digest, "side": "outside"}
    assert at.post(f"/api/repairs/{DEMO}/back", back).status == 200


def test_a_panel_is_found_again_by_its_part_and_serial_number(at: Desk) -> None:
    folder = at.workshop.repairs_folder
    shutil.copytree(folder / DEMO, folder / "again")
    where = f"/repairs/{DEMO}/history"
    assert "/repairs/again" in at.get(where).body.decode()
    path = folder / "again" / "repair.toml"
    typed = path.read_text("utf8")
    part = at.workshop.open(DEMO).made.plan.case.document.panel.part_number
    path.write_text(typed.replace(f'part_number = "{part}"', f'part_number = "{part}-9"'), "utf8")
    assert at.workshop.open("again").made.plan.case.document.panel.part_number == f"{part}-9"
    assert "/repairs/again" not in at.get(where).body.decode(), "the same number on another part"
    path.write_text(typed, "utf8")
    serial = at.workshop.open(DEMO).made.plan.case.document.panel.serial
    path.write_text(path.read_text("utf8").replace(f'serial = "{serial}"', 'serial = "X-1"'), "utf8")
    assert at.workshop.open("again").made.plan.case.document.panel.serial == "X-1"
    assert "/repairs/again" not in at.get(where).body.decode()
    assert "records decide" in at.get(where).body.decode()
