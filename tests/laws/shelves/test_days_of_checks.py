"""The day that a check carries: never one to come, never before what it was held against was there."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.app.shelf_typing import sign_part
from panelmend.app.shelf_verbs import find_entry
from panelmend.errors import InputError
from panelmend.shelves.folder import Folder
from panelmend.shelves.parts import open_parts
from shelf_files import Shop

TODAY = date.today()
SHEET = "practice 2026"


def signed(shop: Shop, name: str, on: date, *more: str) -> Result:
    words = ["shelf", "check", name, "--by", "P. Lind", "--against", "sheet 5", "--on", on.isoformat()]
    at = ["--at", str(shop.folder / "shelves")]
    return CliRunner().invoke(main, [*words, *more, *at], input="y\n" * 40)


@pytest.mark.parametrize("more", [(), ("--whole",)])
def test_nobody_checked_an_entry_tomorrow(tmp_path: Path, more: tuple[str, ...]) -> None:
    shop = Shop(tmp_path)
    shop.edit("bays", "door cell", ('"18 C"', '"19 C"'), check=False)
    before = shop.read("bays", "door cell")
    made = signed(shop, "door cell", TODAY + timedelta(days=1), *more)
    assert made.exit_code == Exit.REFUSED
    assert "that day is in the future" in made.output
    assert shop.read("bays", "door cell") == before
    made = signed(shop, "door cell", TODAY, *more)
    assert made.exit_code == Exit.DONE, made.output
    assert f"checked by P. Lind on {TODAY}" in made.output


def test_nobody_saw_the_paper_of_a_deviation_tomorrow(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.job.write_text(shop.text, "utf8")
    words = ["shelf", "check", str(shop.job), "--by", "P. Lind", "--against", "ED-1 sheet 2"]
    day = (TODAY + timedelta(days=1)).isoformat()
    made = CliRunner().invoke(main, [*words, "--on", day])
    assert made.exit_code == Exit.REFUSED
    assert "that day is in the future" in made.output


@pytest.mark.parametrize("more", [(), ("--whole",)])
def test_nobody_checked_a_sheet_before_its_last_row_was_confirmed(
    tmp_path: Path, more: tuple[str, ...]
) -> None:
    shop = Shop(tmp_path)
    shop.edit("practice", SHEET, ("on = 2026-11-24", "on = 2026-11-23"), check=False)
    before = shop.read("practice", SHEET)
    made = signed(shop, SHEET, date(2026, 11, 23), *more)
    assert made.exit_code == Exit.REFUSED
    assert "it was checked before it was confirmed" in made.output
    assert "confirmed 2026-11-24, checked 2026-11-23" in made.output
    assert shop.read("practice", SHEET) == before
    made = signed(shop, SHEET, date(2026, 11, 24), *more)
    assert made.exit_code == Exit.DONE, made.output


def test_the_screen_signs_no_row_of_a_day_to_come(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.edit("practice", SHEET, ("on = 2026-11-24", "on = 2026-11-23"), check=False)
    root = Folder(shop.folder / "shelves")
    sheet = find_entry(root, SHEET, "practice")
    part = open_parts(sheet)[0]
    with pytest.raises(InputError, match="it was checked before it was confirmed"):
        sign_part(root, sheet, part, "P. Lind", "sheet 5", date(2026, 11, 23))
    sign_part(root, sheet, part, "P. Lind", "sheet 5", date(2026, 11, 24))
