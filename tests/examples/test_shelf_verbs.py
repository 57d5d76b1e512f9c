"""The verbs of the shelves as people use them."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from examples_here import FOLDER
from panelmend.app import service
from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.app.shelf_verbs import find_entry
from panelmend.shelves.csv_table import csv_rows, table_text
from panelmend.shelves.differ import differing
from panelmend.shelves.folder import Folder
from panelmend.shelves.model import shelf_of
from panelmend.shelves.parts import parts_of
from shelf_files import SHELVES, Shop, head

REPAIR_7 = "M3-SRM rev 11 / Repair 7"


def run(*words: str, folder: Path | None = None, typed: str = "") -> Result:
    at = ["--at", str(folder / "shelves")] if folder is not None else []
    made = CliRunner().invoke(main, [*words, *at], input=typed)
    assert made.exception is None or isinstance(made.exception, SystemExit), made.exception
    assert "Traceback" not in made.output
    return made


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(tmp_path)


def test_list_tells_the_state_of_each_entry(shop: Shop) -> None:
    shop.edit("bays", "door cell", ('"18 C"', '"19 C"'), check=False)
    made = run("shelf", "list", "bays", folder=shop.folder)
    assert made.exit_code == Exit.DONE
    assert "CHANGED after D. Aune checked it on 2026-11-21" in made.output
    assert "clean room 2                       checked by D. Aune on 2026-11-21" in made.output
    assert run("shelf", "list", "--like", "repair 12", folder=shop.folder).output.count("M3-SRM") == 1
    refused = run("shelf", "list", "bay", folder=shop.folder)
    assert refused.exit_code == Exit.REFUSED
    assert "did you mean 'bays'?" in refused.output


def test_list_goes_on_after_an_entry_nobody_can_read(shop: Shop) -> None:
    shop.path("bays", "door cell").write_text("[entry")
    made = run("shelf", "list", folder=shop.folder)
    assert made.exit_code == Exit.REFUSED
    assert "FAULTY: bays/door cell.toml" in made.output
    assert "practice 2026" in made.output


def test_show_tells_where_an_entry_is_used(shop: Shop) -> None:
    shop.load()
    made = run("shelf", "show", "door cell", folder=shop.folder)
    assert "Used in: job.toml" in made.output
    assert "Typed by J. Hale on 2026-11-20 from bay book, sheet 4." in made.output
    made = run("shelf", "show", "demo-bleeder", folder=shop.folder)
    assert "Used in: bays/door cell.toml" in made.output
    made = run("shelf", "show", "door cel", folder=shop.folder)
    assert made.exit_code == Exit.REFUSED
    assert "door cell" in made.output


def test_add_puts_an_entry_on_its_shelf_and_never_over_another(shop: Shop, tmp_path: Path) -> None:
    new = tmp_path / "typed.toml"
    new.write_text(head("bays", "bay / 9") + '[bay]\nair_temperature = "20 C"\n', "utf8")
    made = run("shelf", "add", str(new), folder=shop.folder)
    assert made.exit_code == Exit.DONE, made.output
    assert (shop.folder / "shelves" / "bays" / "bay - 9.toml").is_file()
    assert "NOT CHECKED" in made.output
    new.write_text(new.read_text("utf8").replace("20 C", "21 C"), "utf8")
    made = run("shelf", "add", str(new), folder=shop.folder)
    assert made.exit_code == Exit.REFUSED
    assert 'differing: bay.air_temperature: "20 C" -> "21 C"' in made.output
    new.write_text(new.read_text("utf8").replace("air_temp", "air_tmp"), "utf8")
    assert "unknown field 'air_tmperature'" in run("shelf", "add", str(new), folder=shop.folder).output


def test_check_records_a_second_person_and_refuses_the_first(shop: Shop) -> None:
    shop.edit("bays", "door cell", ('"18 C"', '"19 C"'), check=False)
    assert shop.codes() == ["X102"]
    words = ["shelf", "check", "door cell", "--against", "bay book, sheet 5"]
    made = run(*words, "--by", "J HALE", folder=shop.folder)
    assert made.exit_code == Exit.REFUSED
    assert "nobody checks what they typed themselves" in made.output
    assert shop.codes() == ["X102"]
    made = run(*words, "--by", "K. Amble", "--on", "2026-11-24", folder=shop.folder, typed="y\n" * 40)
    assert made.exit_code == Exit.DONE, made.output
    assert shop.codes() == []
    assert "air_temperature" in made.output
    assert "19 C   (reads 66.2 F)" in made.output
    assert (
        "checked by K. Amble on 2026-11-24" in run("shelf", "check", "door cell", folder=shop.folder).output
    )
    for more in (["--by", "K. Amble"], ["--against", "x"]):
        assert run("shelf", "check", "door cell", *more, folder=shop.folder).exit_code == Exit.REFUSED
    assert (
        "counted, not checked"
        in run(*words[:2], "door cell, 2026-11-25", *words[3:], "--by", "A. B", folder=shop.folder).output
    )


@pytest.mark.parametrize(
    ("shelf", "name", "values"),
    [
        (
            "panels",
            "M3-5201-17-1",
            ("20 mm   (reads 0.7874 in)", "cloth demo-glass-8h; warp 45 deg", "1120, 400 mm"),
        ),
        ("materials", "demo-glass-8h", ("300 g/m2", "0.25 mm")),
        ("bays", "door cell", ("7750 W/m2   (reads 5 W/in2)", "HB-21")),
        ("practice", "practice 2026", ("6.35 mm", "only.bays", "2027-11-23")),
    ],
)
def test_the_second_person_sees_every_table_of_every_shelf(
    shop: Shop, shelf: str, name: str, values: tuple[str, ...]
) -> None:
    """A panel was signed without a value of it being shown."""
    words = ["shelf", "check", name, "--by", "K. Amble", "--against", "paper 1"]
    count = len(parts_of(find_entry(Folder(shop.folder / "shelves"), name, shelf)))
    whole = run(*words, folder=shop.folder, typed="y\n" * count)
    assert whole.exit_code == Exit.DONE, whole.output
    assert [v for v in values if v not in whole.output] == []
    assert whole.output.count("signs this table") == count
    assert "checked by K. Amble" in whole.output
    again = run(*words, "--whole", folder=shop.folder)
    assert [v for v in values if v not in again.output] == []
    text = shop.read(shelf, name)
    shop.path(shelf, name).write_text(text.replace("invented = true", "invented = false", 1), "utf8")
    left = run(*words, folder=shop.folder, typed="n\n" * count)
    assert "stays a draft" in left.output
    assert left.output.count("signs this table") in (1, 2), "an edit opens the table it touches and no other"


def test_every_value_of_an_entry_stands_in_a_table_that_is_signed() -> None:
    """Each value that stands in an entry of the demonstration is shown where it is signed."""
    shelves, lost = Folder(SHELVES), []
    for shelf in ("panels", "materials", "bays", "practice"):
        for file in shelves.files(shelf_of(shelf)):
            entry = shelves.read_file(shelf_of(shelf), file)
            said = "\n".join(x.typed for p in parts_of(entry) for x in p.lines)
            for d in differing({}, {k: v for k, v in entry.raw.items() if k != "entry"}):
                value = d.after.strip('"').removesuffix("...")
                if value not in said and not value.startswith(("true", "false", "[", "{")):
                    lost.append(f"{file} {d.path} {value}")
    assert lost == []


def test_an_entry_copied_with_its_old_check_is_not_added(shop: Shop, tmp_path: Path) -> None:
    """It was added as CHANGED, and the right one was refused because its name was taken."""
    copy = tmp_path / "mine.toml"
    old = shop.read("bays", "door cell")
    copy.write_text(old.replace('name = "door cell"', 'name = "door cell 3"'), "utf8")
    made = run("shelf", "add", str(copy), folder=shop.folder)
    assert made.exit_code == Exit.REFUSED
    assert "record of a check" in made.output
    assert not shop.path("bays", "door cell 3").exists()
    copy.write_text(copy.read_text("utf8").split("[entry.check]")[0] + tail(old), "utf8")
    assert run("shelf", "add", str(copy), folder=shop.folder).exit_code == Exit.DONE
    shop.path("bays", "door cell").unlink()
    copy.write_text(old, "utf8")
    assert run("shelf", "add", str(copy), folder=shop.folder).exit_code == Exit.DONE, "as it was checked"


def tail(text: str) -> str:
    """What stands behind the record of a check."""
    after = text.split("[entry.check]")[1].split("\n[", 1)
    return f"\n[{after[1]}" if len(after) > 1 else ""


def test_check_sees_faults_of_rows_nobody_chose(shop: Shop) -> None:
    table = (
        '\n[[choose]]\ntitle = "T"\nplace = "p 1"\nby = ["plies"]\n'
        '[[choose.row]]\nup_to = 2\ndata.plies.sanding_margin = "12 m m"\n'
    )
    text = shop.read("data", REPAIR_7).split("\n[entry.check]")[0]
    lines = [x for x in text.split("\n") if not x.startswith("sanding_margin")]
    shop.put("data", REPAIR_7, "\n".join(lines) + table, check=False)
    made = run("shelf", "check", REPAIR_7, folder=shop.folder)
    assert made.exit_code == Exit.REFUSED
    assert "choose[1].row[1].data.plies.sanding_margin.value" in made.output


def test_compare_shows_what_differs(shop: Shop) -> None:
    old = shop.read("data", REPAIR_7)
    new = "M3-SRM rev 12 / Repair 7"
    text = old.replace(f'name = "{REPAIR_7}"', f'name = "{new}"\nsupersedes = "{REPAIR_7}"')
    shop.put("data", new, text.replace('value = "1.5 mm"', 'value = "2 mm"'))
    made = run("shelf", "compare", REPAIR_7, new, folder=shop.folder)
    assert '  data.core.splice_gap.value: "1.5 mm" -> "2 mm"\n1 values differ.' in made.output
    shop.load()
    made = run("shelf", "compare", str(shop.job))
    assert f"{REPAIR_7} -> {new}: 1 values differ" in made.output
    assert "core.splice_gap: 1.5 mm -> 2.0 mm" in made.output, "what it would change in the plan"
    assert "They say the same." in run("shelf", "compare", REPAIR_7, REPAIR_7, folder=shop.folder).output


def test_import_a_table_and_its_place_once(shop: Shop, tmp_path: Path) -> None:
    csv = tmp_path / "limits.csv"
    csv.write_text(
        "field;value;place\nallowable;0,5 in;\ndepths;skin, skin and core;para 2\nper panel;3;\n", "utf8"
    )
    words = ["shelf", "table", REPAIR_7, "limits", str(csv), "--place", "table 101", "--by", "P. Lind"]
    made = run(*words, folder=shop.folder)
    assert made.exit_code == Exit.REFUSED
    assert "the entry has this table of limits" in made.output
    made = run(*words, "--replace", "--yes", folder=shop.folder)
    assert made.exit_code == Exit.DONE, made.output
    assert 'data.limits.repairable.value: "200 mm" is gone' in made.output
    assert "CHANGED after" in made.output
    limits = shop.load().document.data.limits
    assert limits.allowable is not None
    assert limits.allowable.value == pytest.approx(0.0127)
    assert limits.allowable.place == "table 101"
    assert limits.depths is not None
    assert limits.depths.value == ("skin", "skin and core")
    assert limits.depths.place == "para 2"
    assert shop.codes() == ["X102"]


PLIES = "side,role,cloth,warp,by,over,up_to,depth\n" + "".join(
    f"outside,{role},demo-glass-8h,{warp},largest,{edges},skin and core\n"
    for edges, rows in (
        (",100 mm", (("repair", "0 deg"),)),
        ("100 mm,200 mm", (("repair", "0 deg"), ("repair", "45 deg"))),
    )
    for role, warp in rows
)


def test_import_plies_by_size(shop: Shop, tmp_path: Path) -> None:
    text = shop.read("data", REPAIR_7).split("\n[entry.check]")[0]
    start, end = text.index("[data.plies.outside]"), text.index("[data.core]")
    shop.put("data", REPAIR_7, text[:start] + text[end:])
    csv = tmp_path / "plies.csv"
    csv.write_bytes(b"\xef\xbb\xbf" + PLIES.replace("\n", "\r\n").encode())
    words = ["shelf", "table", REPAIR_7, "plies", str(csv), "--place", "table 201", "--by", "J. Hale"]
    made = run(*words, folder=shop.folder)
    assert made.exit_code == Exit.DONE, made.output
    outside = shop.load().document.data.plies.outside
    assert outside is not None
    assert outside.repair is not None
    assert [p.warp for p in outside.repair.value] == [0.0, pytest.approx(0.7853981634)]
    assert outside.repair.place == "table 201"


def test_import_cures(shop: Shop, tmp_path: Path) -> None:
    csv = tmp_path / "cures.csv"
    csv.write_text(
        "cure,lays,ceiling,thermocouples_least,kind,to,low,high,least,rate_most\n"
        'Core and cap,"core, cap",93 C,3,ramp,66 C,,,,3 C/min\n'
        "Core and cap,,,,dwell,66 C,60 C,77 C,120 min,\n"
        "Repair plies,plies,93 C,3,ramp,82 C,,,,3 C/min\n"
        "Repair plies,,,,dwell,82 C,77 C,88 C,120 min,\n",
        "utf8",
    )
    words = ["shelf", "table", REPAIR_7, "cure", str(csv), "--place", "fig 2", "--by", "J. Hale"]
    made = run(*words, "--replace", "--yes", folder=shop.folder)
    assert made.exit_code == Exit.DONE, made.output
    first, second = shop.load().document.data.cure
    assert first.lays == ("core", "cap")
    assert first.place == "fig 2"
    assert second.longest_dwell.least == pytest.approx(7200.0)
    assert first.thermocouples_least == 3


@pytest.mark.parametrize(
    ("table", "text", "words"),
    [
        ("limits", "field,value\nallowable,12\n", "l.csv, line 2: .*its unit"),
        ("limits", "field,value\nalowable,12 mm\n", "did you mean 'allowable'"),
        ("limits", "field,value\nallowable,12 mm\nallowable,13 mm\n", "line 3: this field is given twice"),
        ("limits", "field,value\n", "no rows below the heading"),
        ("limits", "", "no rows below the heading"),
        ("limits", "field,value\nallowable,12 mm,x\n", "more cells than columns"),
        ("limits", "field,field,value\na,b,c\n", "two columns have one name"),
        ("limits", "field,worth\nallowable,12 mm\n", "l.csv, line 1: unknown column"),
        ("limits", "\n\nfield,worth\nallowable,12 mm\n", "l.csv, line 3: unknown column"),
        ("limits", "field,value\nper_panel,3.0\n", "not a whole number"),
        ("limits", "field,value\nper_panel,٣\n", "not a whole number"),
        ("limits", 'field,value\nallowable,"12 mm\n', "not CSV"),
        ("cutout", "field,value\nheld_to_axes,maybe\n", "neither yes nor no"),
        ("cutout", "field,value\nforms,circle; sqare\n", "not one of the permitted words"),
        ("core", "field,value\ncap,x\n", "it is a table"),
        ("plies", "side,role,cloth,warp\noutside,repair,c,45\n", "its unit"),
        ("plies", "side,role,cloth,warp\nouter,repair,c,45 deg\n", "not one of the permitted words"),
        ("plies", "side,role,cloth,warp,over\noutside,repair,c,45 deg,3 mm\n", "one size or count"),
        ("cure", "cure,kind,to\nA,dwell,66\n", "its unit"),
        ("cure", "cure,kind,to\nA,dwell,66 C\nB,dwell,66 C\nA,dwell,66 C\n", "stand together"),
    ],
)
def test_slips_in_a_csv_are_refused_with_their_line(table: str, text: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        table_text(table, csv_rows(text.encode("utf8"), "l.csv"), "p")


def test_a_document_moves_onto_shelves_and_stays_what_it_was(tmp_path: Path) -> None:
    document = tmp_path / "repair.toml"
    shutil.copy(FOLDER / "cowling" / "repair.toml", document)
    before = service.load(document)
    made = run("shelve", str(document), "--by", "J. Hale")
    assert made.exit_code == Exit.DONE, made.output
    assert "panels/M3-7110-03-1.toml" in made.output
    assert "NOT CHECKED yet" in made.output
    job = tmp_path / "repair-short.toml"
    assert "panelmend = 2" in job.read_text("utf8")
    after = service.load(job)
    assert after.document == before.document
    assert document.read_text("utf8") == before.text, "the document stays"
    assert after.shelved is not None
    assert [f.code for f in after.shelved.findings] == ["X101", *["X105"] * 5], "said once for all"
    assert run("shelve", str(document), "--by", "J. Hale").exit_code == Exit.REFUSED, "the job is there"
    again = run("shelve", str(document), "--by", "J. Hale", "--to", str(tmp_path / "again.toml"))
    assert "stood there and says the same" in again.output
    assert "written" not in again.output


def test_what_stands_on_a_shelf_is_never_moved_over(tmp_path: Path) -> None:
    document = tmp_path / "repair.toml"
    shutil.copy(FOLDER / "cowling" / "repair.toml", document)
    run("shelve", str(document), "--by", "J. Hale")
    text = document.read_text("utf8").replace('edge_band = "40 mm"', 'edge_band = "41 mm"')
    document.write_text(text, "utf8")
    held = {p: p.read_bytes() for p in tmp_path.rglob("*.toml")}
    made = run("shelve", str(document), "--by", "J. Hale", "--to", str(tmp_path / "other.toml"))
    assert made.exit_code == Exit.REFUSED
    assert 'panel.edge_band: "40 mm" -> "41 mm"' in made.output
    assert held == {p: p.read_bytes() for p in tmp_path.rglob("*.toml")}


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("[panel]\n", "panelmend = 1\n[panel]\n", "unknown field 'panelmend'"),
        ("panelmend = 1\n", 'panelmend = 1\nstores.gap = "6 mm"\n', "fields above the first heading"),
    ],
)
def test_what_cannot_be_moved_is_refused_and_nothing_is_written(
    tmp_path: Path, old: str, new: str, words: str
) -> None:
    document = tmp_path / "repair.toml"
    text = (FOLDER / "cowling" / "repair.toml").read_text("utf8").replace('[stores]\ngap = "6 mm"\n', "")
    document.write_text(text.replace(old, new, 1), "utf8")
    made = run("shelve", str(document), "--by", "J. Hale")
    assert made.exit_code == Exit.REFUSED
    assert re.search(words, made.output)
    assert not (tmp_path / "shelves").exists()


def test_the_shelves_of_the_demonstration_are_sound_and_checked() -> None:
    for root in (SHELVES, FOLDER / "root_fairing" / "shelves"):
        made = run("shelf", "list", folder=root.parent)
        assert made.exit_code == Exit.DONE, made.output
        assert "NOT CHECKED" not in made.output
        assert "CHANGED" not in made.output


def test_check_of_a_job_tells_what_its_entries_lack(shop: Shop) -> None:
    shop.load()
    made = run("check", str(shop.job))
    assert made.exit_code == Exit.DONE
    assert "entries from" in made.output
    shop.edit("bays", "door cell", ('"18 C"', '"19 C"'), check=False)
    made = run("check", str(shop.job))
    assert made.exit_code == Exit.DONE, "a draft is no refusal"
    assert "X102 confirm" in made.output
    shop.edit("bays", "door cell", ("invented = true", "valid_until = 2026-11-24\ninvented = true"))
    made = run("check", str(shop.job))
    assert made.exit_code == Exit.STOP_PLAN
    assert "X104 stop" in made.output


def test_readings_go_into_a_job_on_shelves(shop: Shop) -> None:
    """What writes into documents writes into jobs; what cannot says so."""
    from panelmend.document import parse
    from panelmend.errors import DocumentError

    shop.load()
    with pytest.raises(DocumentError, match=r"line 2, panelmend: a job on shelves cannot be used here"):
        parse(shop.text.encode("utf8"), "job.toml")
    sweep = '{ kind = "tap", side = "outside", unit = "mm", readings = [[1, 1, 0]] }'
    text = f"{shop.text}\n[survey]\nsweep = [ {sweep} ]\n"
    assert service.read_text(text.encode("utf8"), shop.job).document.survey is not None


def test_why_offers_near_names(shop: Shop) -> None:
    shop.load()
    made = run("why", str(shop.job), "limits.larges")
    assert made.exit_code == Exit.REFUSED
    assert "near it: limits.largest" in made.output
