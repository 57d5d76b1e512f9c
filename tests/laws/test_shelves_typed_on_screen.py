"""Approved data on the screen: an entry is begun, its tables are typed and put right, a second person signs
each off as it was shown, and nobody signs what they typed."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from html import unescape
from typing import Any
from urllib.parse import quote

import pytest

from examples_here import FOLDER as EXAMPLES
from panelmend.app.shelf_typing import form_of
from panelmend.errors import InputError
from panelmend.screen.api_shelves import writer
from panelmend.screen.identity import AnotherSignedIn, SignedPerson, set_signed
from panelmend.shelves.csv_table import TABLES
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.folder import Folder
from screen_made import Answer, Desk, desk

NAME = "M3-SRM rev 11 / Repair 1"
API = "/api/shelves"
NEW = {
    "name": "M9 rev 1 - Repair 4",
    "repair": "Repair 4, one skin",
    "title": "Marlet 9 structural repair",
    "number": "M9-SRM",
    "revision": "1",
    "dated": "2026-05-02",
    "panels": ["M9-100-1"],
    "by": "J. Hale",
}


@pytest.fixture
def at() -> Iterator[Desk]:
    """A desk at a workshop with shelves of its own."""
    with desk() as made:
        shutil.copytree(EXAMPLES / "shelves", made.workshop.repairs_folder / "shelves")
        yield made


def entry(at: Desk, name: str = NAME) -> ShelfEntry:
    """An entry of approved data as it stands."""
    return Folder(at.workshop.repairs_folder / "shelves").read("data", name)


def sent(at: Desk, table: str, name: str = NAME, **more: Any) -> dict[str, Any]:
    """What the page of a table sends when nothing is changed on it."""
    made = entry(at, name)
    form = form_of(made, table)
    typed = {f.key: {"value": f.typed, "place": f.place} for f in form.fields}
    given = {"typed": typed, "pasted": form.pasted} if not form.pasted else {"pasted": form.pasted}
    return {
        "name": name,
        "seen": made.digest,
        "table": table,
        "place": form.place,
        "by": "P. Ell",
        **given,
        **more,
    }


def parts(at: Desk, shelf: str = "data", name: str = NAME) -> tuple[str, list[tuple[str, str]]]:
    """The digest and the tables that the page of a check shows as open."""
    page = unescape(at.get(f"/shelves/check?shelf={shelf}&name={quote(name, safe='')}").body.decode())
    seen = re.search(r'data-seen="([0-9a-f]+)"', page)
    assert seen is not None
    sections = re.findall(r'<section data-part="([^"]*)" data-digest="([^"]*)".*?</section>', page, re.S)
    signed = [s for s in re.findall(r"<section data-part=.*?</section>", page, re.S) if "data-sign-part" in s]
    open_ = {m[1] for s in signed if (m := re.search(r'data-part="([^"]*)"', s))}
    return seen[1], [(n, d) for n, d in sections if n in open_]


def sign(at: Desk, part: tuple[str, str], seen: str, name: str = NAME, **more: Any) -> Answer:
    """Sign a table off."""
    return at.post(
        f"{API}/sign",
        {"shelf": "data", "name": name, "seen": seen, "part": part[0], "digest": part[1],
         "by": "D. Aune", "against": "M3-SRM rev 11, sheet 4", **more},
    )  # fmt: skip


@pytest.mark.parametrize("table", TABLES)
def test_a_table_shown_in_its_form_and_sent_as_it_is_changes_nothing(at: Desk, table: str) -> None:
    page = at.get(f"/shelves/table?name={quote(NAME, safe='')}&table={table}")
    assert page.status == 200
    if table not in entry(at).raw["data"]:
        return
    before = entry(at).data
    told = at.post(f"{API}/try", sent(at, table))
    if table == "inspection":  # its coupon is a table of its own, which the form has no fields for
        assert told.status == 422
        assert "they would go" in told.json["title"]
        assert "data.inspection.coupon" in told.json["read"]
        assert entry(at).data == before
        return
    assert told.status == 200, told.json
    assert told.json["differs"] == []


def test_a_value_is_put_right_seen_first_and_the_check_of_its_table_is_void(at: Desk) -> None:
    before = entry(at)
    assert before.is_checked
    given = sent(at, "limits")
    key = next(k for k, f in given["typed"].items() if re.fullmatch(r"\d+ mm", f["value"]))
    value = given["typed"][key]["value"]
    given["typed"][key]["value"] = "7" + value
    told = at.post(f"{API}/try", given)
    assert told.status == 200
    (row,) = told.json["differs"]
    assert row["path"].startswith(f"data.limits.{key}")
    assert value in row["before"]
    assert f"7{value}" in row["after"]
    assert entry(at).data == before.data, "a look writes nothing"
    assert at.post(f"{API}/table", given).status == 200
    after = entry(at)
    assert not after.is_checked
    assert at.post(f"{API}/table", given).status == 422, "seen as it was before"
    seen, open_ = parts(at)
    assert "limits" in [n for n, _ in open_]
    part = next(p for p in open_ if p[0] == "limits")
    own = sign(at, part, seen, by="p. ell")
    assert own.status == 422
    assert "typed themselves" in own.json["title"]
    assert sign(at, part, "0" * 64).status == 422
    assert sign(at, (part[0], "0" * 64), seen).status == 422, "another table than was shown"
    assert sign(at, part, seen, against=" ").status == 422
    assert sign(at, part, seen, by="").status == 422
    assert entry(at).data == after.data
    while open_:
        assert sign(at, open_[0], seen).status == 200
        seen, open_ = parts(at)
    assert entry(at).is_checked


def test_a_field_that_cannot_be_read_is_told_beside_it_and_nothing_is_written(at: Desk) -> None:
    before = entry(at).data
    given = sent(at, "limits")
    key = next(k for k, f in given["typed"].items() if re.fullmatch(r"\d+ mm", f["value"]))
    for wrong in ("wide", "5", "5 | 6 mm"):
        refused = at.post(f"{API}/table", {**given, "typed": {key: {"value": wrong}}})
        assert refused.status == 422, wrong
        assert refused.json["faults"][0]["field"] == key
    for more in ({"place": " "}, {"by": ""}, {"table": "no such"}, {"typed": {"no_such": {"value": "1"}}}):
        assert at.post(f"{API}/table", {**given, **more}).status == 422, more
    assert at.post(f"{API}/table", {**given, "name": "no such"}).status == 404
    assert entry(at).data == before


def test_an_entry_is_begun_typed_and_checked_by_two_people(at: Desk) -> None:
    told = at.post(f"{API}/begin", NEW)
    assert told.status == 200, told.json
    name = told.json["name"]
    assert not told.json["checked"]
    assert at.post(f"{API}/begin", NEW).status == 422, "one that stands there is never written over"
    given = sent(at, "limits", name, place="fig 204")
    key = next(iter(given["typed"]))
    model = form_of(entry(at), "limits")
    value = next(f for f in model.fields if f.typed)
    given["typed"] = {value.key: {"value": value.typed}}
    assert at.post(f"{API}/table", given).status == 200, key
    plies = sent(at, "plies", name, place="fig 205")
    plies["typed"] = {"outside repair": {"value": "demo-glass-8h: 0, 45 deg"}}
    assert at.post(f"{API}/table", plies).status == 200
    rows = entry(at, name).raw["data"]["plies"]["outside"]["repair"]["value"]
    assert [r["warp"] for r in rows] == ["0 deg", "45 deg"]
    cure = form_of(entry(at), "cure").pasted
    if cure:
        pasted = sent(at, "cure", name, pasted=cure, place="fig 206", typed={})
        assert at.post(f"{API}/table", pasted).status == 200
    seen, open_ = parts(at, name=name)
    while open_:
        assert sign(at, open_[0], seen, name).status == 200
        seen, open_ = parts(at, name=name)
    made = entry(at, name)
    assert made.is_checked
    assert {r.by for r in made.head.signed} == {"D. Aune"}


def test_who_is_signed_in_types_and_signs_in_their_own_name() -> None:
    set_signed(SignedPerson("P7", "R. Osk"))
    try:
        assert writer("") == "R. Osk"
        with pytest.raises(AnotherSignedIn):
            writer("P. Ell")
    finally:
        set_signed(None)
    assert writer(" P. Ell ") == "P. Ell"
    with pytest.raises(InputError):
        writer("?")


def test_every_shelf_but_the_stores_is_held_against_its_paper(at: Desk) -> None:
    shelves = Folder(at.workshop.repairs_folder / "shelves")
    for shelf in ("panels", "materials", "bays", "practice"):
        name = shelves.read_file(shelf, next(iter(shelves.files(shelf)))).head.name
        assert at.get(f"/shelves/check?shelf={shelf}&name={quote(name, safe='')}").status == 200, shelf
    name = shelves.read_file("stores", next(iter(shelves.files("stores")))).head.name
    assert at.get(f"/shelves/check?shelf=stores&name={quote(name, safe='')}").status == 404
    assert at.get(f"/shelves/table?name={quote(NAME, safe='')}&table=nothing").status == 404


def test_a_repair_of_the_shelves_picks_another_entry_in_its_inputs(at: Desk) -> None:
    folder = at.workshop.repairs_folder / "short"
    folder.mkdir()
    job = (EXAMPLES / "gear_door" / "short.toml").read_text("utf8")
    (folder / "repair.toml").write_text(job, "utf8")
    page = unescape(at.get("/repairs/short/inputs?table=use").body.decode())
    there = re.search(r'<input id="i-use-data".*?</datalist>', page, re.S)
    assert there is not None
    offered = re.findall(r'<option value="([^"]+)"', there[0])
    assert NAME in offered
    repair = at.workshop.open("short")
    seen = repair.made.plan.case.digest
    refused = at.post("/api/repairs/short/inputs/change", {"seen": seen, "typed": {"use.data": NAME}})
    assert refused.status == 422, "this entry is of another panel's repair"
    assert repair.path.read_text("utf8") == job
    third = NAME.replace("Repair 1", "Repair 3")
    told = at.post("/api/repairs/short/inputs/change", {"seen": seen, "typed": {"use.data": third}})
    assert told.status == 200
    assert "X213" in [f["code"] for f in told.json["findings"]]
    assert third in repair.path.read_text("utf8")
