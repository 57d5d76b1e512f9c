"""A job is begun and signed today: what was superseded, ended, edited or taken away since stops it."""

from __future__ import annotations

import re
import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

import panelmend
from examples_here import FOLDER
from panelmend.app import service
from panelmend.app.cli import main
from panelmend.app.shelf_hold import hold_document, hold_job
from panelmend.app.shelves import carried_by_all
from panelmend.errors import InputError
from panelmend.plan.plan import Plan
from panelmend.records.book import job_of
from panelmend.render.files import plan_file
from panelmend.render.pack import write_pack
from records_made import shop as shop_of_records
from shelf_files import Shop

REPAIR_7 = "M3-SRM rev 11 / Repair 7"
NEWER = "M3-SRM rev 12 / Repair 7"
TODAY = date(2026, 11, 28)


@pytest.fixture
def packed(tmp_path: Path) -> tuple[Plan, Path, Shop]:
    """A plan, its pack beside the shelves, and the shop."""
    shop = Shop(tmp_path)
    for kind in ("nest", "heat"):
        shutil.copy(FOLDER / "gear_door" / f"repair.{kind}.json", shop.folder / f"job.{kind}.json")
    shop.load()
    made = service.plan(shop.job)
    files = {"document.toml": made.case.text.encode("utf8"), **carried_by_all((made,), shop.job)}
    folder = write_pack(shop.folder / "pack", files, {"plan": made.digest, "name": made.case.name})
    return made, folder / "document.toml", shop


def newer(shop: Shop, since: str = "") -> None:
    text = shop.read("data", REPAIR_7).replace(
        f'name = "{REPAIR_7}"', f'name = "{NEWER}"\nsupersedes = "{REPAIR_7}"{since}'
    )
    shop.put(
        "data", NEWER, text.replace('first_margin = { value = "25.4 mm"', 'first_margin = { value = "30 mm"')
    )


def hold(document: Path, today: date = TODAY) -> None:
    made = service.load(document)
    hold_document(document, made.shelved, made.document.repair.work_date, today)


def test_a_pack_begins_while_its_entries_hold_and_not_after(packed: tuple[Plan, Path, Shop]) -> None:
    _, document, shop = packed
    hold(document)
    newer(shop)
    assert service.plan(document).standing.value == "READY", "it opens as it was planned"
    with pytest.raises(InputError, match=r'superseded by .*first_margin.value: "25.4 mm" -> "30 mm"'):
        hold(document)


@pytest.mark.parametrize(("days", "holds"), [(-1, False), (0, False), (1, True)])
def test_what_holds_from_tomorrow_supersedes_tomorrow(
    packed: tuple[Plan, Path, Shop], days: int, holds: bool
) -> None:
    """The day of the work was set back: the job in the workshop is as little begun as its pack."""
    _, document, shop = packed
    newer(shop, f"\nvalid_from = {TODAY + timedelta(days)}")
    for each in (document, shop.job):
        if holds:
            hold(each)
        else:
            with pytest.raises(InputError, match="is superseded by"):
                hold(each)


def test_a_later_issue_that_says_nothing_of_this_one_is_told_once_it_came(
    packed: tuple[Plan, Path, Shop],
) -> None:
    """Nobody typed that it supersedes anything; planned with it there, planner and pack are told."""
    _, document, shop = packed
    text = shop.read("data", REPAIR_7).replace(f'name = "{REPAIR_7}"', f'name = "{NEWER}"')
    shop.put("data", NEWER, text)
    hold(document)
    shop.edit("data", NEWER, ("dated = 2026-03-02", "dated = 2026-03-03"))
    with pytest.raises(
        InputError, match="a later issue of its manual came to the shelf since, M3-SRM rev 12"
    ):
        hold(document)
    made = service.plan(shop.job)
    assert "X467" in {f.code for f in made.findings}
    files = {"document.toml": made.case.text.encode("utf8"), **carried_by_all((made,), shop.job)}
    again = write_pack(shop.folder / "pack", files, {"plan": made.digest, "name": made.case.name})
    assert service.load(again / "document.toml").digest == made.case.digest
    hold(again / "document.toml")


@pytest.mark.parametrize(("until", "holds"), [("2026-11-27", False), ("2026-11-28", True)])
def test_an_entry_that_ended_since_the_day_of_the_work(tmp_path: Path, until: str, holds: bool) -> None:
    shop = Shop(tmp_path)
    shop.edit("bays", "door cell", ("invented = true", f"valid_until = {until}\ninvented = true"))
    assert shop.codes() == []
    if holds:
        hold(shop.job)
    else:
        with pytest.raises(InputError, match=f"held until {until}; today is {TODAY}"):
            hold(shop.job)


def test_edited_unchecked_and_taken_away(packed: tuple[Plan, Path, Shop]) -> None:
    _, document, shop = packed
    text = shop.read("bays", "door cell")
    shop.edit("bays", "door cell", ('"18 C"', '"19 C"'))
    with pytest.raises(InputError, match=r'was changed: bay.air_temperature: "18 C" -> "19 C"'):
        hold(document)
    shop.put("bays", "door cell", text.split("[entry.check]")[0], check=False)
    with pytest.raises(InputError, match="is no longer checked"):
        hold(document)
    shop.path("bays", "door cell").unlink()
    with pytest.raises(InputError, match="stands on its shelf no longer"):
        hold(document)
    shop.put("bays", "door cell", text, check=False)
    shop.edit("stores", "door cell, 2026-11-25", ('gap = "6 mm"', 'gap = "7 mm"'), check=False)
    hold(document)  # what was counted anew


def test_without_shelves_nothing_is_signed(packed: tuple[Plan, Path, Shop], tmp_path: Path) -> None:
    _, document, shop = packed
    shutil.move(shop.folder / "shelves", shop.folder / "elsewhere")
    with pytest.raises(InputError, match="none were found to compare its entries with"):
        hold(document)


def test_a_step_is_signed_while_the_entries_hold(packed: tuple[Plan, Path, Shop]) -> None:
    """The records keep the entries with the card; the clock is that of the records."""
    made, _, shop = packed
    records = shop_of_records()
    papers = {"plan.json": plan_file(made), **carried_by_all((made,), shop.job)}
    number = made.case.document.repair.number
    records.begin_job(number, document=made.case.text.encode("utf8"), pages=papers, plan=made.digest)
    job = job_of(records.state, number)
    hold_job(records.book, job, shop.job)
    newer(shop)
    with pytest.raises(InputError, match="shelf entries of this job no longer hold"):
        hold_job(records.book, job, shop.job)


def test_who_opens_an_old_pack_is_told_that_its_shelves_moved_since(
    packed: tuple[Plan, Path, Shop],
) -> None:
    """It opens as it was planned; each verb prints what differs, and ends as for a STOP."""
    _, document, shop = packed
    run = CliRunner().invoke
    sound = run(main, ["check", str(document)])
    assert (sound.exit_code, "DO NOT WORK" in sound.output) == (0, False), sound.output
    newer(shop)
    for verb in ("check", "plan"):
        moved = run(main, [verb, str(document)])
        assert moved.exit_code == 6, moved.output
        assert "DO NOT WORK BY THIS PACK" in moved.output
        if verb == "plan":  # before any figure: it stood in the last lines of seventy
            assert moved.output.startswith("STOP: DO NOT WORK BY THIS PACK")
        assert "In the plan:" in moved.output, "what it would change"
        assert 'first_margin.value: "25.4 mm" -> "30 mm"' in moved.output
    shutil.rmtree(shop.folder / "shelves")
    assert "none were found to compare" in run(main, ["check", str(document)]).output


def test_every_door_to_a_signature_looks_at_the_shelves() -> None:
    """The book keeps what it is given and knows no shelves: whoever calls it looks first."""
    source = Path(panelmend.__file__).parent
    doors = [p for p in source.rglob("*.py") if re.search(r"\bbook\.sign\(", p.read_text("utf8"))]
    assert {p.name for p in doors} == {"cli_job.py", "api_card.py"}
    for path in doors:
        text = path.read_text("utf8")
        assert text.index(" hold_job(") < text.index("book.sign("), path.name
