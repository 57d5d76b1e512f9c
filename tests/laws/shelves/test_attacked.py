"""Shelves attacked: names that are paths, names alike, links, odd bytes, unknown keys, missing entries."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelmend.app import service
from panelmend.errors import DocumentError, InputError
from panelmend.shelves.folder import Folder, find_shelves
from panelmend.shelves.names import file_name
from shelf_files import Shop, checked, entry, head

BAY = head("bays", "b") + "[bay]\n"


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    return Shop(tmp_path)


@pytest.mark.parametrize(
    "name",
    [
        "../../job",
        "..",
        ".",
        "/etc/passwd",
        "..\\..\\job",
        "../panels/M3-5201-17-1",
        "panels/../../job.toml",
        "C:\\boot",
        "a\x00b",
        "~/x",
        "CON",
        "x" * 190,
        "\u202elmot.x",
    ],
)
def test_a_name_is_never_a_path(shop: Shop, name: str) -> None:
    (shop.folder / "job").write_text("secret")
    text = shop.text.replace('bay = "door cell"', f"bay = '{name}'")
    shop.job.write_text(text, "utf8")
    with pytest.raises(DocumentError) as refused:
        service.load(shop.job)
    said = str(refused.value)
    assert "secret" not in said
    assert "no entry of this name" in said or "hidden character" in said or "not TOML" in said


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.text(max_size=150))
def test_every_name_gives_a_plain_file_name(name: str) -> None:
    made = file_name(name)
    assert made == os.path.basename(made)
    assert made.endswith(".toml")
    assert not made.startswith((".", "-", " "))
    assert not set(made) & set('/\\:*?"<>|\0\n')
    assert len(made.encode("utf8")) < 600
    assert file_name(made.removesuffix(".toml")).casefold() == made.casefold()


def test_a_missing_entry_offers_near_names(shop: Shop) -> None:
    for wrong, near in (("door cel", "door cell"), ("Door Cell", "door cell"), ("cell", "door cell")):
        with pytest.raises(
            DocumentError, match=rf"job.toml, line \d+, use.bay: no entry.*did you mean.*{near}"
        ):
            shop.load(('"door cell"', f'"{wrong}"'))
    shop.edit("bays", "door cell", ('["practice 2026"]', '["practice 2025"]'))
    where = r"bays/door cell\.toml, line \d+, entry\.practice\[1\].*practice 2026"
    with pytest.raises(DocumentError, match=where):
        shop.load()


def test_blanks_in_a_name_do_not_matter_and_letters_do(shop: Shop) -> None:
    shop.load(('"door cell"', '" door   cell "'))
    with pytest.raises(DocumentError, match="did you mean 'door cell'"):
        shop.load(('"door cell"', '"DOOR CELL"'))


def test_two_files_that_differ_by_capitals_alone_are_refused(shop: Shop) -> None:
    there = shop.path("bays", "door cell")
    there.with_name("Door Cell.toml").write_bytes(there.read_bytes())
    if len(list(there.parent.glob("*oor *ell.toml"))) == 1:
        pytest.skip("this file system does not tell capitals apart")
    with pytest.raises(DocumentError, match="differ by capital letters alone"):
        shop.load()


def test_a_file_that_is_not_named_as_its_entry_is_refused(shop: Shop) -> None:
    there = shop.path("bays", "door cell")
    there.with_name("door cell 2.toml").write_bytes(there.read_bytes())
    with pytest.raises(DocumentError, match="the file is not named as its entry"):
        shop.load(('"door cell"', '"door cell 2"'))


def test_names_that_fall_together_as_files_are_told_apart(shop: Shop) -> None:
    """ "A/B" and "A-B" would be one file: what stands there is what it says."""
    text = head("bays", "A/B") + "[bay]\n"
    shop.put("bays", "A/B", text)
    with pytest.raises(DocumentError, match="did you mean 'A/B'"):
        shop.load(('"door cell"', '"A-B"'))


@pytest.mark.skipif(sys.platform == "win32", reason="links and pipes of other systems")
@pytest.mark.parametrize("kind", ["file", "shelf", "pipe", "folder", "loop", "gone"])
def test_links_and_what_is_no_file_are_never_opened(shop: Shop, kind: str) -> None:
    path = shop.path("bays", "door cell")
    other = shop.folder / "elsewhere.toml"
    other.write_bytes(path.read_bytes())
    if kind == "shelf":
        path.parent.rename(shop.folder / "real")
        path.parent.symlink_to(shop.folder / "real")
    else:
        path.unlink()
        if kind == "file":
            path.symlink_to(other)
        elif kind == "pipe":
            os.mkfifo(path)
        elif kind == "folder":
            path.mkdir()
        elif kind == "loop":
            path.symlink_to(path)
    with pytest.raises(DocumentError, match=r"link|plain file|cannot be read|no entry of this name"):
        shop.load()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"\xff\xfe", "not UTF-8"),
        (b"", "'entry' is missing"),
        (b"[entry", "not TOML"),
        (b"x = 1e400", "missing|not a finite"),
        (b"[entry]\nform = 1\n" + b"a" * 5_000_000, "too large"),
        (b"a = " + b"[" * 3000, "nested too deeply"),
    ],
)
def test_bytes_that_are_no_entry_are_refused_in_words(shop: Shop, data: bytes, words: str) -> None:
    shop.path("bays", "door cell").write_bytes(data)
    with pytest.raises(DocumentError, match=words) as refused:
        shop.load()
    assert "bays/door cell.toml" in str(refused.value)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("[bay]", "[bey]", r"this has no place.*bey.*did you mean 'bay'"),
        ("[bay]", '[panel]\nname = "x"\n\n[bay]', "has no place in an entry of the shelf 'bays'"),
        ("form = 1", "form = 2", "form"),
        ("form = 1", "form = true", "form"),
        ('shelf = "bays"', 'shelf = "data"', "stands on another shelf"),
        ("invented = true", "invented = true\ncheked = 1", "unknown field 'cheked'"),
        (
            "invented = true",
            'invented = true\nother_hand = { part_number = "x", name = "y" }',
            "has no place",
        ),
        ("typed_on = 2026-11-20", "typed_on = 2026-13-20", "no such day|not TOML"),
        ('typed_by = "J. Hale"', 'typed_by = "..."', "this is not a name"),
        ("invented = true", 'supersedes = "door cell"', "cannot supersede itself"),
        ("invented = true", "valid_from = 2026-11-02\nvalid_until = 2026-11-01", "ends before it begins"),
        ('operator = "Tarnfell Air Services"', 'title = "t"', "has no place on a shelf"),
        ('supply = "230 V"', 'suply = "230 V"', "unknown field 'suply'"),
    ],
)
def test_slips_in_an_entry_are_refused_where_they_stand(shop: Shop, old: str, new: str, words: str) -> None:
    path = shop.path("bays", "door cell")
    text = path.read_text("utf8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf8")
    with pytest.raises(DocumentError, match=words) as refused:
        shop.load()
    assert all("bays/door cell.toml, line " in f.where for f in refused.value.faults)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("use = {", "uses = {", "unknown field 'uses'"),
        ('panel = "M3-5201-17-1"', 'panl = "M3-5201-17-1"', "unknown field 'panl'.*did you mean 'panel'"),
        ('panel = "M3-5201-17-1", ', "", "a serial number without use.panel|'panel' is missing"),
        ("use = {", "use = 1 #", "table of fields"),
        ('bay = "door cell"', 'bay = ["door cell"]', "text belongs here"),
        ('bay = "door cell"', 'bay = "door cell", hand = "port"', "not one of the permitted words"),
        ("panelmend = 2", "panelmend = 3", "unknown"),
        ("panelmend = 2", "panelmend = 2.0", ""),
        ("panelmend = 2", 'panelmend = 2\nchoose = "x"', "unknown field 'choose'"),
        (
            'figure = "cure.2.holds_197_of_200_add191"',
            'sheet = "practice 2026"\nfigure = "cure.2.holds_197_of_200_add191"',
            "sheet",
        ),
    ],
)
def test_slips_in_a_job_are_refused(shop: Shop, old: str, new: str, words: str) -> None:
    if not words:
        shop.load((old, new))  # a whole number all the same
        return
    with pytest.raises(DocumentError, match=words):
        shop.load((old, new))


def test_what_a_shelf_says_of_every_repair_is_not_said_otherwise(shop: Shop) -> None:
    with pytest.raises(DocumentError, match=r"panels/M3-5201-17-1\.toml says otherwise.*Marlet 4.*Marlet 3"):
        shop.load(("repair.number", 'repair.aircraft = "Marlet 4"\nrepair.number'))
    shop.load(("repair.number", 'repair.aircraft = "Marlet 3"\nrepair.number'))


def test_without_shelves_a_job_says_what_to_do(tmp_path: Path) -> None:
    shop = Shop(tmp_path / "shop")
    alone = tmp_path / "a" / "b" / "c" / "d" / "e" / "f"
    alone.mkdir(parents=True)
    (alone / "job.toml").write_text(shop.text, "utf8")
    if find_shelves(alone / "job.toml") is None:
        with pytest.raises(DocumentError, match=r"no shelves were found.*PANELMEND_SHELVES"):
            service.load(alone / "job.toml")


def test_the_setting_comes_first_and_must_be_a_folder(
    shop: Shop, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    other = Shop(tmp_path / "other")
    other.edit("bays", "door cell", ('"18 C"', '"19 C"'))
    monkeypatch.setenv("PANELMEND_SHELVES", str(other.folder / "shelves"))
    assert shop.load().document.bay.air_temperature == pytest.approx(292.15)
    monkeypatch.setenv("PANELMEND_SHELVES", str(tmp_path / "none"))
    with pytest.raises(InputError, match="the setting names no folder"):
        shop.load()


def test_the_nearest_shelves_are_used(shop: Shop) -> None:
    inner = Shop(shop.folder / "inner")
    inner.edit("bays", "door cell", ('"18 C"', '"17 C"'))
    assert inner.load().document.bay.air_temperature == pytest.approx(290.15)
    assert shop.load().document.bay.air_temperature == pytest.approx(291.15)


def test_an_entry_in_millimetres_serves_a_job_in_inches(shop: Shop) -> None:
    """Every quantity carries its unit: nothing is read in the job's units."""
    metric = shop.load().document
    shop.edit("bays", "door cell", ('units = "mm"', 'units = "in"'))
    inches = shop.load().document
    assert inches.repair.units == "in"
    assert inches.panel == metric.panel
    assert inches.data == metric.data
    assert inches.confirm == metric.confirm


def test_a_material_in_two_entries_is_refused_and_both_are_named(shop: Shop) -> None:
    text = (
        shop.read("materials", "demo-paste")
        .split("\n[entry.check]")[0]
        .replace('name = "demo-paste"', 'name = "p2"')
    )
    shop.put("materials", "p2", text)
    with pytest.raises(DocumentError, match=r"materials/.*two materials have the same id"):
        shop.load(('bay = "door cell"', 'bay = "door cell", materials = ["p2", "demo-paste"]'))


PRACTICE = head("practice", "p") + "[[practice]]\n"
ROW = {
    "figure": '"bag.film_allowance"',
    "value": '"20 %"',
    "conditions": '"our own bags"',
    "by": '"D. Aune"',
    "on": "2026-11-24",
    "reason": '"tried on scrap"',
    "until": "2027-11-23",
}


def sheet(**more: Any) -> str:
    row = {k: v for k, v in {**ROW, **more}.items() if v}
    return PRACTICE + "\n".join(f"{k} = {v}" for k, v in row.items()) + "\n"


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"value": ""}, "names its value"),
        ({"conditions": ""}, "'conditions' is missing"),
        ({"until": ""}, "'until' is missing"),
        ({"until": "2026-11-23"}, "ends before it was confirmed"),
        ({"until": "2026-11-24"}, None),
        ({"by": '"-"'}, "not a name"),
        ({"figure": '"limits.largest"'}, "no practice sheet may speak"),
        ({"figure": '"cure.2.holds_197_of_200_add191"'}, "no practice sheet may speak"),
        ({"figure": '"survey.dull_from"'}, "no practice sheet may speak"),
        ({"figure": "", "value": "", "stage": '"kit"', "values": "{ allowance = 0.1 }"}, None),
        ({"figure": "", "value": "", "stage": '"kit"'}, "value by value"),
        *[
            ({"figure": "", "value": "", "stage": f'"{s}"', "values": '{ a = "1 mm" }'}, "permitted words")
            for s in ("cure", "drying", "plies", "vacuum", "sensors", "limits")
        ],
        (
            {"figure": "", "value": "", "stage": '"bag"', "values": '{ least_vacuum = "22 inHg" }'},
            "never confirmed with a whole stage",
        ),
        (
            {"figure": "", "value": "", "stage": '"bag"', "values": '{ sensor_margin = "12 mm" }'},
            "never confirmed with a whole stage",
        ),
        ({"stage": '"kit"'}, "one figure, or the listed figures"),
        ({"value": "true"}, "no value of a figure"),
    ],
)
def test_what_a_practice_sheet_may_say(more: dict[str, str], words: str | None) -> None:
    if words is None:
        entry(sheet(**more), "practice", "p")
        return
    with pytest.raises(DocumentError, match=words):
        entry(sheet(**more), "practice", "p")


@pytest.mark.parametrize(
    ("on", "until", "holds"),
    [
        ("2026-11-24", "2026-11-25", True),
        ("2026-11-25", "2026-11-25", True),
        ("2026-11-24", "2026-11-24", False),
        ("2026-11-26", "2026-11-26", False),
    ],
)
def test_a_practice_holds_from_its_day_to_its_last(shop: Shop, on: str, until: str, holds: bool) -> None:
    """The work is on 2026-11-25: ended yesterday, ends today, begins tomorrow."""
    shop.put(
        "practice", "practice 2026", sheet(on=on, until=until).replace('name = "p"', 'name = "practice 2026"')
    )
    loaded = shop.load()
    assert shop.codes() == ([] if holds else ["X109"])
    assert ("bag.film_allowance" in {c.figure for c in loaded.document.confirm}) == holds


def test_two_sheets_that_speak_for_one_figure_are_refused(shop: Shop) -> None:
    shop.put("practice", "p", sheet())
    shop.edit("bays", "door cell", ('["practice 2026"]', '["practice 2026", "p"]'))
    with pytest.raises(DocumentError, match="two practice sheets speak for this figure"):
        shop.load()


def test_an_entry_read_twice_is_one_read(shop: Shop) -> None:
    folder = Folder(shop.folder / "shelves")
    first = folder.read("bays", "door cell")
    shop.edit("bays", "door cell", ('"18 C"', '"19 C"'))
    assert folder.read("bays", "door cell") is first


def test_the_check_is_written_at_the_end_and_replaced_there() -> None:
    once = checked(BAY + "# last words\n", "bays", "b")
    assert once.startswith(BAY)
    again = checked(once, "bays", "b", by="K. Amble")
    assert again.count("[entry.check]") == 1
    assert "D. Aune" not in again
    inline = BAY.replace(
        'against = "drawing 1"',
        'against = "d"\ncheck = { by = "A B", on = 2026-11-21, against = "d", digest = "x" }',
    )
    with pytest.raises(InputError, match="stands within the head"):
        checked(inline, "bays", "b")


def test_accents_typed_in_either_way_are_one_name(shop: Shop) -> None:
    composed, apart = "caf\u00e9 2", "cafe\u0301 2"
    shop.put(
        "bays", composed, shop.read("bays", "door cell").replace('name = "door cell"', f'name = "{composed}"')
    )
    for name in (composed, apart):
        assert shop.load(('"door cell"', f'"{name}"')).document.bay == shop.load().document.bay


def test_a_broken_draft_on_a_shelf_stops_only_the_jobs_it_speaks_of(shop: Shop) -> None:
    draft = shop.path("data", "draft")
    draft.write_text('[entry]\nsupersedes = "M3-SRM rev 11 / Repair 12"\nname = ', "utf8")
    assert shop.codes() == []
    draft.write_text('[entry]\nsupersedes = "M3-SRM rev 11 / Repair 7"\nname = ', "utf8")
    with pytest.raises(DocumentError, match=r"data/draft\.toml, line 3"):
        shop.load()
