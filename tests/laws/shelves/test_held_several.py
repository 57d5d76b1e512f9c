"""A step of one damage is signed against the entries that all damages of its job were planned with."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from examples_here import FOLDER
from panelmend.app import service
from panelmend.app.loading import damage_named
from panelmend.app.records import plan_for_records
from panelmend.app.shelf_hold import hold_job
from panelmend.app.shelves import ENTRIES, carried_by_all, taken_by_all
from panelmend.errors import InputError
from panelmend.records.book import job_of
from panelmend.render.files import plan_file
from records_made import shop as shop_of_records
from shelf_files import Shop

REPAIR_7 = "M3-SRM rev 11 / Repair 7"
OTHER = "demo-glass-b"
SECOND = """[[damage]]
shape = { circle = { centre = "180, 620 mm", diameter = "40 mm" } }
depth = "skin"
side = "outside"
moisture = "none found"

[choice]
"""


def two_cloths(folder: Path) -> Shop:
    """A job of two damages: the cloth of the second one stands in an entry that the first does not use."""
    shop = Shop(folder)
    for kind in ("nest", "heat"):
        shutil.copy(FOLDER / "gear_door" / f"repair.{kind}.json", folder / f"job.{kind}.json")
    glass = shop.read("materials", "demo-glass-8h").replace('"demo-glass-8h"', f'"{OTHER}"')
    shop.put("materials", OTHER, glass)
    data = shop.read("data", REPAIR_7)
    given = re.search(r"(?ms)^repair = (\{ place = .*?\n\] \})\n", data)
    assert given is not None
    rows = (('["skin and core"]', given[1]), ('["skin"]', given[1].replace("demo-glass-8h", OTHER)))
    table = '\n[[choose]]\ntitle = "Plies by depth"\nplace = "52-10-17 fig 204"\nby = ["depth"]\n'
    table += "".join(
        f"\n[[choose.row]]\ndepth = {depth}\ndata.plies.outside.repair = {_flat(plies)}\n"
        for depth, plies in rows
    )
    at = data.index("[entry.check]")
    shop.put("data", REPAIR_7, data[:at].replace(given[0], "") + table + "\n" + data[at:])
    shop.text = shop.text.replace("[damage]", "[[damage]]").replace("[choice]\n", SECOND)
    shop.job.write_text(shop.text, "utf8")
    return shop


def _flat(plies: str) -> str:
    return re.sub(r"\s*\n\s*", " ", plies)


def test_an_entry_of_the_other_damage_that_moved_stops_the_signature(tmp_path: Path) -> None:
    """Begin and revise look at the entries of all damages, and so does each signature."""
    shop = two_cloths(tmp_path)
    a, b = (service.load(Path(f"{shop.job}#{x}")).shelved for x in "AB")
    assert a is not None
    assert b is not None
    assert OTHER not in {e.name for e in a.entries if e.taken}
    assert OTHER in {e.name for e in b.entries if e.taken}
    file = Path(f"{shop.job}#A")
    assert damage_named(file) == (shop.job, "A")
    made, every = service.plan_beside(file)
    made = replace(made, findings=())  # what its heat waits for is looked at elsewhere
    records = shop_of_records()
    pages = {"plan.json": plan_file(made), **carried_by_all(every, shop.job), **taken_by_all(every)}
    number = made.case.document.repair.number
    records.begin_job(number, document=shop.job.read_bytes(), pages=pages, plan=made.digest)
    job = job_of(records.state, number)
    hold_job(records.book, job, shop.job)
    shop.edit("materials", OTHER, ('"300 g/m2"', '"310 g/m2"'))
    with pytest.raises(InputError, match=f'{OTHER}.*was changed: .*"300 g/m2" -> "310 g/m2"'):
        hold_job(records.book, job, shop.job)


def test_the_records_keep_which_entries_all_damages_were_planned_with(tmp_path: Path) -> None:
    """Of one damage its plan says so, and nothing more is kept."""
    shop = two_cloths(tmp_path)
    assert OTHER.encode() in plan_for_records(Path(f"{shop.job}#A"))["pages"][ENTRIES]
    one = Shop(tmp_path / "one")
    one.load()
    assert ENTRIES not in plan_for_records(one.job)["pages"]
