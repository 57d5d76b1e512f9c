"""Panels, materials, bays and practice by form: the form shows what stands, only what is changed is
written, and nobody who typed any of a table signs it off."""

from __future__ import annotations

import shutil
import tomllib
from collections.abc import Iterator
from datetime import date
from typing import Any
from urllib.parse import quote

import pytest

from examples_here import FOLDER as EXAMPLES
from panelmend.app.inputs import every
from panelmend.app.shelf_fields import BY_FORM, MOST_ROOM, fields_of, new_entry, typed_entry
from panelmend.app.shelf_typing import FieldRefused
from panelmend.errors import InputError
from panelmend.shelves.checking import checked_text, signed_text
from panelmend.shelves.entry import ShelfEntry, read_entry
from panelmend.shelves.folder import Folder
from panelmend.shelves.model import Shelf
from panelmend.shelves.parts import parts_of, signed_off, typists_of
from screen_made import Answer, Desk, desk

API = "/api/shelves/fields"
DAY = date(2026, 11, 29)
SHELVES = Folder(EXAMPLES / "shelves")
ENTRIES = [(s, SHELVES.read_file(s, f)) for s in BY_FORM for f in SHELVES.files(s)]
BAY, RUBBER = SHELVES.read("bays", "door cell"), SHELVES.read("materials", "demo-rubber")


def shown(shelf: Shelf, raw: dict[str, Any], room: int = 1) -> dict[str, str]:
    """What the form of an entry shows, by field."""
    return {f.key: f.typed for top in fields_of(shelf, raw, room) for g in every(top) for f in g.inputs}


@pytest.fixture
def at() -> Iterator[Desk]:
    """A desk at a workshop with shelves of its own."""
    with desk() as made:
        shutil.copytree(EXAMPLES / "shelves", made.workshop.repairs_folder / "shelves")
        yield made


def stands(at: Desk, shelf: Shelf, name: str) -> ShelfEntry:
    """An entry as it stands on the desk's shelves."""
    return Folder(at.workshop.repairs_folder / "shelves").read(shelf, name)


def send(at: Desk, entry: ShelfEntry, typed: dict[str, str], call: str = "", **more: Any) -> Answer:
    """What the form of an entry sends."""
    given = {"shelf": entry.head.shelf, "name": entry.head.name, "seen": entry.digest, "by": "P. Ell"}
    return at.post(API + call, {**given, "place": "bay book, sheet 5", "typed": typed, **more})


@pytest.mark.parametrize(("shelf", "entry"), ENTRIES, ids=[e.file for _, e in ENTRIES])
def test_what_the_form_shows_sent_as_it_is_changes_nothing(shelf: Shelf, entry: ShelfEntry) -> None:
    would = typed_entry(entry, shown(shelf, entry.raw), 1, "P. Ell", DAY, "sheet 5")
    assert would.differs == ()
    assert would.entry.text == entry.text


@pytest.mark.parametrize(("shelf", "entry"), ENTRIES, ids=[e.file for _, e in ENTRIES])
def test_every_entry_typed_anew_by_form_says_the_same(shelf: Shelf, entry: ShelfEntry) -> None:
    typed = {k: words for k, words in shown(shelf, entry.raw).items() if words}
    made = new_entry(shelf, entry.head.name, typed, MOST_ROOM, "P. Ell", DAY, "sheet 5").entry
    assert not made.is_checked
    for section in ("panel", "materials", "bay", "practice", "people", "repair"):
        assert _read(made.raw.get(section)) == _read(entry.raw.get(section)), section


def _read(value: Any) -> Any:
    """Plain numbers and their words are one: a ratio is read from both."""
    if isinstance(value, dict):
        return {k: _read(v) for k, v in value.items()}
    if isinstance(value, list):
        return [_read(v) for v in value]
    return str(value)


def test_one_value_is_put_right_and_every_other_byte_stays() -> None:
    would = typed_entry(BAY, {"bay.elevation": "250 m"}, 1, "P. Ell", DAY, "sheet 5")
    (row,) = would.differs
    assert (row.path, row.before, row.after) == ("bay.elevation", '"240 m"', '"250 m"')
    assert would.read_as["bay.elevation"].endswith(" in"), "in the other system, too"
    head, _, record = would.entry.text.partition("\n\n[[entry.table]]")
    assert head == BAY.text.rstrip().replace('"240 m"', '"250 m"')
    assert tomllib.loads("[[entry.table]]" + record)["entry"]["table"] == [
        {"table": "bay", "by": "P. Ell", "on": DAY, "place": "sheet 5"}
    ]
    assert not would.entry.is_checked


def test_neither_who_typed_the_entry_nor_who_put_a_value_right_signs_the_table_off() -> None:
    typed = {"bay.blanket.1.thickness": "1.7 mm"}
    made = typed_entry(BAY, typed, 1, "P. Ell", DAY, "sheet 5").entry
    parts = {p.name: p for p in parts_of(made)}
    blanket, plain = parts["bay.blanket 2"], parts["bay.circuit 1"]
    assert typists_of(made, blanket) == ("J. Hale", "P. Ell")
    assert typists_of(made, plain) == ("J. Hale",)
    for by in ("P. Ell", "p ell", "Hale, J."):
        with pytest.raises(InputError, match="typed themselves"):
            signed_text(made, blanket, by, DAY, "sheet 5")
    with pytest.raises(InputError, match="typed themselves"):
        checked_text(made, "P. Ell", DAY, "sheet 5")
    signed_text(made, plain, "P. Ell", DAY, "sheet 5")
    text = signed_text(made, blanket, "R. Osk", DAY, "sheet 5")
    again = read_entry(text.encode("utf8"), made.file, "bays")
    assert signed_off(again, blanket) is not None
    forged = read_entry(text.replace("R. Osk", "P. Ell").encode("utf8"), made.file, "bays")
    assert signed_off(forged, blanket) is None, "typed into the text by hand it counts for nothing"


def test_a_second_person_who_puts_more_right_stands_beside_the_first() -> None:
    first = typed_entry(BAY, {"bay.elevation": "250 m"}, 1, "P. Ell", DAY, "sheet 5").entry
    second = typed_entry(first, {"bay.humidity": "60 %"}, 1, "R. Osk", DAY, "sheet 6").entry
    part = next(p for p in parts_of(second) if p.name == "bay")
    assert typists_of(second, part) == ("J. Hale", "P. Ell", "R. Osk")
    same = typed_entry(first, {"bay.humidity": "60 %"}, 1, "P. Ell", DAY, "sheet 5").entry
    assert len(same.head.table) == 1


def test_rows_and_tables_that_were_not_there_are_added_behind_those_that_are() -> None:
    typed = {
        "bay.instrument.5.id": "VG-04", "bay.instrument.5.kind": "vacuum gauge",
        "bay.instrument.5.calibrated_until": "2027-06-30", "entry.revision": "B",
    }  # fmt: skip
    made = typed_entry(BAY, typed, 1, "P. Ell", DAY, "sheet 5").entry
    assert [i["id"] for i in made.raw["bay"]["instrument"]][4:] == ["TC-T", "VG-04"]
    assert made.raw["bay"]["instrument"][5]["calibrated_until"] == date(2027, 6, 30)
    assert made.head.revision == "B"
    more = {
        "materials.bagging.3.id": "demo-pad",
        "materials.bagging.3.name": "Pad",
        "materials.bagging.3.use": "caul",
    }
    more |= {"materials.bagging.3.source": "invented", "materials.bagging.3.dated": "2026-11-25"}
    more |= {"materials.bagging.3.thickness": "2 mm"}
    pad = typed_entry(RUBBER, more, 4, "P. Ell", DAY, "sheet 5").entry
    assert [b["id"] for b in pad.raw["materials"]["bagging"]] == ["demo-rubber", "demo-pad"], (
        "no empty row between"
    )
    sheet = SHELVES.read("practice", "practice 2026")
    only = "core = demo-aramid-48, demo-film\nresin = demo-laminating-resin"
    made = typed_entry(sheet, {"practice.2.only.materials": only}, 1, "P. Ell", DAY, "sheet 5").entry
    assert made.raw["practice"][2]["only"]["materials"] == {
        "core": ["demo-aramid-48", "demo-film"], "resin": ["demo-laminating-resin"],
    }  # fmt: skip


@pytest.mark.parametrize(
    ("key", "words"),
    [("bay.instrument.0.calibrated_until", "soon"), ("bay.elevation", "high"), ("bay.blanket.0.id", "")],
)
def test_what_cannot_be_read_or_may_not_go_is_refused(key: str, words: str) -> None:
    with pytest.raises(InputError):
        typed_entry(BAY, {key: words}, 1, "P. Ell", DAY, "sheet 5")


def test_words_that_are_no_value_name_their_field() -> None:
    sheet = SHELVES.read("practice", "practice 2026")
    for words in ("core", "core =", "= x", "core = a\ncore = b"):
        with pytest.raises(FieldRefused) as refused:
            typed_entry(sheet, {"practice.2.only.materials": words}, 1, "P. Ell", DAY, "sheet 5")
        assert refused.value.where == "practice.2.only.materials"


@pytest.mark.parametrize("wrong", [{"by": ""}, {"by": "?"}, {"place": " "}, {"typed": {"bay.nothing": "1"}}])
def test_nobody_no_paper_and_no_such_field_are_refused(at: Desk, wrong: dict[str, Any]) -> None:
    entry = stands(at, "bays", "door cell")
    given = {"typed": {"bay.elevation": "250 m"}, **wrong}
    assert send(at, entry, **given).status == 422
    assert stands(at, "bays", "door cell").data == entry.data


def test_what_one_repair_has_of_its_own_and_the_stores_have_no_form(at: Desk) -> None:
    for shelf, entry in ENTRIES:
        keys = shown(shelf, entry.raw).keys()
        own = (
            "panel.serial",
            "panel.earlier_repair",
            "repair.number",
            "repair.work_date",
            "entry.name",
            "entry.check",
        )
        assert not [k for k in keys if k.startswith(own)]
    for shelf in ("stores", "data"):
        assert at.get(f"/shelves/fields?shelf={shelf}").status == 404
    assert (
        at.post(
            API, {"shelf": "stores", "name": "x", "seen": "", "by": "P. Ell", "place": "p", "typed": {}}
        ).status
        == 422
    )


def test_an_entry_is_looked_at_then_written_then_signed_off_by_another(at: Desk) -> None:
    entry = stands(at, "materials", "demo-rubber")
    typed = {"materials.bagging.0.thickness": "1/8 in"}
    told = send(at, entry, typed, "/try")
    assert told.status == 200, told.json
    assert "3.2 mm" in told.json["read_as"]["materials.bagging.0.thickness"]
    assert stands(at, "materials", "demo-rubber").data == entry.data, "a look writes nothing"
    assert send(at, entry, typed).status == 200
    assert send(at, entry, typed).status == 422, "seen as it was before"
    after = stands(at, "materials", "demo-rubber")
    assert not after.is_checked
    for part in parts_of(after):
        said = {"shelf": "materials", "name": "demo-rubber", "part": part.name, "digest": part.digest}
        said |= {"seen": stands(at, "materials", "demo-rubber").digest, "against": "data sheet 3"}
        if part.table == "materials.bagging":
            assert at.post("/api/shelves/sign", {**said, "by": "P. Ell"}).status == 422
        assert at.post("/api/shelves/sign", {**said, "by": "R. Osk"}).status == 200
    assert stands(at, "materials", "demo-rubber").is_checked
    page = at.get("/shelves/entry?shelf=materials&name=demo-rubber").body.decode()
    assert "materials.bagging: P. Ell" in page


def test_a_new_entry_is_written_once_and_the_form_says_what_is_missing(at: Desk) -> None:
    new = {
        "shelf": "materials",
        "name": "demo-pad",
        "seen": "",
        "by": "P. Ell",
        "place": "data sheet 7",
        "room": 1,
    }
    typed = {"materials.bagging.0.id": "demo-pad", "materials.bagging.0.name": "Pad"}
    refused = at.post(API, {**new, "typed": typed})
    assert refused.status == 422
    assert any("source" in f["words"] + f["expected"] for f in refused.json["faults"]), refused.json["faults"]
    typed |= {"materials.bagging.0.source": "supplier's sheet", "materials.bagging.0.dated": "2026-11-25"}
    typed |= {"materials.bagging.0.use": "caul", "materials.bagging.0.thickness": "2 mm"}
    assert at.post(API + "/try", {**new, "typed": typed}).status == 200
    folder = Folder(at.workshop.repairs_folder / "shelves")
    assert not folder.has("materials", "demo-pad")
    told = at.post(API, {**new, "typed": typed})
    assert told.status == 200, told.json
    assert at.post(API, {**new, "typed": typed}).status == 422, "one that stands there is never written over"
    made = stands(at, "materials", "demo-pad")
    assert not made.is_checked
    assert (made.head.typed_by, made.head.against) == ("P. Ell", "data sheet 7")


def test_every_form_opens(at: Desk) -> None:
    for shelf, entry in ENTRIES:
        name = quote(entry.head.name, safe="")
        assert at.get(f"/shelves/fields?shelf={shelf}&name={name}").status == 200
    for shelf in BY_FORM:
        assert at.get(f"/shelves/fields?shelf={shelf}&room={MOST_ROOM}").status == 200
        assert at.get(f"/shelves/fields?shelf={shelf}&name=nothing").status == 404
    assert at.get("/shelves/fields?shelf=bays&room=13").status == 422
