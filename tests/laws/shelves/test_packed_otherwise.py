"""A job that is no longer what it was packed as, and a packed job under another name."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from panelmend.app import service
from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.app.loading import load_all
from panelmend.app.pack_beside import refuse_unlike, unlike_its_pack
from panelmend.app.shelves import with_entries
from panelmend.document.packed_lines import BEGIN, without_packed
from panelmend.errors import DocumentError, InputError
from panelmend.job.case import case_of
from panelmend.render.pack import write_pack
from shelf_files import Shop

REPAIR_7 = "M3-SRM rev 11 / Repair 7"
LIMIT = ('repairable = { value = "200 mm"', 'repairable = { value = "400 mm"')
SECOND = """[[damage]]
shape = { circle = { centre = "180, 620 mm", diameter = "40 mm" } }
depth = "skin and core"
side = "outside"
moisture = "none found"

"""
ACCEPT = f"""
[[accept]]
entry = "{REPAIR_7}"
values = ["data.limits.repairable.value"]
by = "D. Aune"
on = 2026-11-25
reference = "ED-0417"
typed_by = "J. Hale"
"""


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """A shop with the pack of its job beside it: job and entries, no pages."""
    made = Shop(tmp_path)
    loaded = made.load()
    assert loaded.shelved is not None
    files = {f"shelves/{e.file}": e.data for e in loaded.shelved.entries}
    files |= {"document.toml": with_entries(case_of(loaded))}
    write_pack(tmp_path / "job-pack", files, {"repair": "TAS", "name": "job.toml"})
    return made


def unlike(shop: Shop) -> tuple[str, bool]:
    loaded = shop.load()
    found = unlike_its_pack(shop.job, loaded.shelved)
    return "\n".join(found.lines), found.stops


def test_a_loosened_limit_stops_a_job_that_was_packed_with_another(shop: Shop) -> None:
    """Corrected and checked anew, it was planned and packed over its pack without a word."""
    assert unlike(shop) == ("", False)
    shop.edit("data", REPAIR_7, LIMIT)
    words, stops = unlike(shop)
    assert stops
    assert 'data.limits.repairable.value: "200 mm" -> "400 mm"' in words
    made = CliRunner().invoke(main, ["check", str(shop.job)])
    assert (made.exit_code, "NOT AS PACKED" in made.output) == (Exit.STOP_PLAN, True)
    made = CliRunner().invoke(main, ["pack", str(shop.job)])
    assert (made.exit_code, "NOT AS PACKED" in made.output) == (Exit.REFUSED, True)
    loaded = shop.load()
    with pytest.raises(InputError, match="has changed since it was packed"):
        refuse_unlike(shop.job, loaded.shelved)
    moved = shutil.move(shop.folder / "job-pack", shop.folder.parent / "elsewhere")
    with pytest.raises(InputError, match="has changed since it was packed"):
        refuse_unlike(shop.job, loaded.shelved, also=Path(moved))
    shutil.rmtree(moved)


@pytest.mark.parametrize(
    ("plan", "stops"),
    [
        ('{"about": {"standing": "STOP"}}', False),
        ('{"about": {"standing": "DRAFT"}}', True),
        ('{"about": {"standing": "READY"}}', True),
        ("{}", True),
        ("[]", True),
        ("STOP", True),
        (None, True),
    ],
)
@pytest.mark.parametrize("where", ["plan.json", "A/plan.json"])
def test_a_pack_that_stops_holds_nothing_fast(shop: Shop, plan: str | None, stops: bool, where: str) -> None:
    """Nobody works by it: who mended the shelf after a STOP was sent to the engineer instead."""
    pack = shop.folder / "job-pack"
    (pack / where).parent.mkdir(exist_ok=True)
    if plan is not None:
        (pack / where).write_text(plan, "utf8")
    shop.edit("data", REPAIR_7, LIMIT)
    assert unlike(shop)[1] == stops


def test_it_goes_on_once_the_engineer_accepts_each_value_and_a_second_person_saw_it(shop: Shop) -> None:
    shop.edit(
        "data", REPAIR_7, LIMIT, ('edge_distance = { value = "90 mm"', 'edge_distance = { value = "80 mm"')
    )
    plain = shop.text
    shop.text = plain + ACCEPT
    assert unlike(shop)[1]
    shop.text = plain + ACCEPT.replace('value"]', 'value", "data.limits.edge_distance.value"]')
    assert unlike(shop)[1], "nobody held it against the paper"
    assert "X582" in shop.codes()
    assert shop.seen() == ()
    words, stops = unlike(shop)
    assert (stops, "STOP" in words) == (False, False)
    assert "NOT AS PACKED" in words
    assert "X583" in shop.codes()
    shop.edit("data", REPAIR_7, ('repairable = { value = "400 mm"', 'repairable = { value = "401 mm"'))
    assert unlike(shop)[1], "another value than was accepted"


@pytest.mark.parametrize("by", ["J. Hale", "R. Osk", "M. Verrin"])
def test_nobody_else_accepts_it(shop: Shop, by: str) -> None:
    shop.edit("data", REPAIR_7, LIMIT)
    shop.text += ACCEPT.replace("D. Aune", by).replace("J. Hale", "P. Lind")
    shop.load()
    assert "X582" in shop.codes()
    assert unlike(shop)[1]


def test_what_is_accepted_names_an_entry_of_the_job_and_is_not_dated_after_the_work(shop: Shop) -> None:
    shop.text += ACCEPT
    for old, new, words in (
        (f'entry = "{REPAIR_7}"\nvalues', 'entry = "Repair 70"\nvalues', "the job uses no such entry"),
        ("on = 2026-11-25\nreference", "on = 2026-11-26\nreference", "dated after the day of the work"),
    ):
        with pytest.raises(InputError, match=words):
            shop.load((old, new))


def test_of_the_shops_own_it_is_told_and_stops_nothing(shop: Shop) -> None:
    shop.edit("bays", "door cell", ('"18 C"', '"19 C"'))
    words, stops = unlike(shop)
    assert (stops, 'bay.air_temperature: "18 C" -> "19 C"' in words) == (False, True)


def test_a_pack_of_another_repair_says_nothing(shop: Shop) -> None:
    shop.edit("data", REPAIR_7, LIMIT)
    shop.text = shop.text.replace("TAS-26-0417", "TAS-26-0418")
    assert unlike(shop) == ("", False)


@pytest.mark.parametrize("lost", [(), ("manifest.json",)])
def test_the_packed_job_under_another_name_is_no_plain_job(shop: Shop, lost: tuple[str, ...]) -> None:
    """It opened on the entries of the pack, whatever today's shelves say, without a word."""
    pack = shop.folder / "job-pack"
    (pack / "document.toml").rename(pack / "mine.toml")
    for page in ("plan.json", "job-card.pdf"):
        (pack / page).write_bytes(b"{}")
    for name in lost:
        (pack / name).unlink()
    with pytest.raises(InputError, match="stands in the folder of a pack"):
        service.load(pack / "mine.toml")
    below = pack / "sub"
    below.mkdir()
    (below / "mine.toml").write_bytes((pack / "mine.toml").read_bytes())
    with pytest.raises(InputError, match="those that a pack carries"):
        service.load(below / "mine.toml")


def taken_out(shop: Shop, text: str = "") -> Path:
    """The packed job alone, under another name, with no pack beside it."""
    alone = shop.folder / "mine.toml"
    packed = shop.folder / "job-pack" / "document.toml"
    if packed.is_file():
        alone.write_bytes(packed.read_bytes())
        shutil.rmtree(packed.parent)
    if text:
        alone.write_text(text, "utf8")
    return alone


def test_a_packed_job_taken_out_alone_is_held_to_what_it_was_planned_with(shop: Shop) -> None:
    """It was planned on today's shelves, with another limit, without a word."""
    alone = taken_out(shop)
    loaded = service.load(alone)
    assert unlike_its_pack(alone, loaded.shelved).lines == ()
    assert loaded.digest == service.load(shop.job).digest, "what it was packed with is no part of the job"
    shop.edit("data", REPAIR_7, LIMIT)
    found = unlike_its_pack(alone, service.load(alone).shelved)
    assert (found.stops, '"200 mm" -> "400 mm"' in "\n".join(found.lines)) == (True, True)
    for verb, code in (("check", Exit.STOP_PLAN), ("pack", Exit.REFUSED)):
        made = CliRunner().invoke(main, [verb, str(alone)])
        assert (made.exit_code, "NOT AS PACKED" in made.output) == (code, True)
    shop.job = taken_out(shop, alone.read_text("utf8") + ACCEPT)
    assert shop.seen() == ()
    found = unlike_its_pack(alone, service.load(alone).shelved)
    assert (found.stops, bool(found.lines)) == (False, True)
    other = taken_out(shop, alone.read_text("utf8").replace('"TAS-26-0417"', '"TAS-26-0418"', 1))
    found = unlike_its_pack(other, service.load(other).shelved)
    assert (found.stops, len(found.lines)) == (False, 1), "a job for another repair"
    assert found.lines[0].startswith("OUT OF THE PACK OF TAS-26-0417: this job has another number")


def test_so_is_a_job_of_several_damages(shop: Shop) -> None:
    """On the pages of each its number has a letter; in the job it has none."""
    shop.text = shop.text.replace("[damage]", "[[damage]]").replace("[choice]", SECOND + "[choice]")
    shop.job.write_text(shop.text, "utf8")
    alone = taken_out(shop, with_entries(case_of(load_all(shop.job)[0])).decode("utf8"))
    shop.edit("data", REPAIR_7, LIMIT)
    assert unlike_its_pack(alone, load_all(alone)[0].shelved).stops


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('contents = [\n  "', 'contents = [\n  "AAAA'),
        ("data: M3-SRM rev 11 / Repair 7, ", "data: M3-SRM rev 11 / Repair 7, 0"),
        ("data: M3-SRM", "stock: M3-SRM"),
        ('[packed_with]\nrepair = "TAS-26-0417"', '[packed_with]\nrepair = "TAS-26-0418"'),
        ('  "practice: ', '  # "practice: '),
        (f"{BEGIN}\n", ""),
    ],
)
def test_changed_lines_of_what_it_was_packed_with_are_refused(shop: Shop, old: str, new: str) -> None:
    alone = taken_out(shop)
    plain = alone.read_text("utf8")
    assert plain.count(old) == 1
    with pytest.raises(DocumentError, match="nothing would hold it to its pack"):
        service.load(taken_out(shop, plain.replace(old, new)))


def test_packed_again_it_says_once_what_it_was_packed_with(shop: Shop) -> None:
    alone = taken_out(shop)
    shop.edit("bays", "door cell", ('"18 C"', '"19 C"'))
    again = with_entries(case_of(service.load(alone))).decode("utf8")
    assert (again.count(BEGIN), again != alone.read_text("utf8")) == (1, True)
    assert without_packed(again) == shop.job.read_text("utf8")


def test_other_verbs_say_so_of_a_pack_that_is_opened(shop: Shop) -> None:
    document = shop.folder / "job-pack" / "document.toml"
    assert "DO NOT WORK" not in CliRunner().invoke(main, ["label", "x", str(document)]).output
    shop.edit("data", REPAIR_7, LIMIT)
    made = CliRunner().invoke(main, ["label", "x", str(document)])
    assert re.search(r'DO NOT WORK BY THIS PACK.*"200 mm" -> "400 mm"', made.output, re.S)


def test_a_later_revision_and_a_job_of_several_damages_are_held_to_it_too(shop: Shop) -> None:
    shop.edit("data", REPAIR_7, LIMIT)
    plain = shop.text
    shop.text = plain.replace("repair.title", "repair.revision = 1\nrepair.title")
    assert unlike(shop)[1]
    shop.text = plain.replace("[damage]", "[[damage]]")
    assert unlike(shop)[1]
