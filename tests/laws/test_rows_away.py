"""Rows of a document's lists are taken away on the screen and put back: nothing else changes or is lost."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from examples_here import FOLDER as EXAMPLES
from examples_here import names
from panelmend.app.opened import OpenRepair
from panelmend.app.rows_away import ROWS, rows_away
from panelmend.document.rows import put_row_in, rows_of_words, taken_out
from panelmend.errors import InputError
from panelmend.screen.api_rows import may_withdraw
from panelmend.screen.identity import NotTheirs, SignedPerson, set_signed
from panelmend.screen.workshop import DEMO
from screen_made import Desk, desk

WHERE = f"/api/repairs/{DEMO}/inputs"
MADE = (
    "a = [\n  { x = 1 }, # one\n  { x = 2 }, # two\n  { x = 3 } # three\n]\nb = 1 # kept\n",
    "a = [{x=1},{x=2}]\n",
    "a = [ # head\n {x=1}\n]\n",
    "a = [\n {x=1},\n]\n",
    "# list\n[[a]]\nx = 1 # c\n\n# two\n[[a]]\nx = 2\n[a.y]\nz = 1\n[[a.q]]\nw=1\n[[a.q]]\nw=2\n"
    "# about b\n[b]\nk=1\n[[a]]\nx=3\n# tail\n",
    "[[a]]\nx = 1\n[b]\nk = 1\n[[a]]\nx = 2\n[b.c]\nm = 1\n[a.d]\nn = 1\n",
    "a = 1\r\n[[r]]\r\nx=1\r\n\r\n[[r]]\r\nx = 2\r\n",
    "[[d.p]]\nx=1",
    '[data.plies]\nplace = "p"\n[[data.plies.value]]\nx=1\n',
)


def lists(value: Any, path: tuple[str | int, ...] = ()) -> Iterator[tuple[tuple[str | int, ...], int]]:
    """Every list of tables below a value, with how many rows it has."""
    if isinstance(value, dict):
        for k, v in value.items():
            yield from lists(v, (*path, k))
    elif isinstance(value, list) and value and all(isinstance(v, dict) for v in value):
        yield path, len(value)
        for i, v in enumerate(value):
            yield from lists(v, (*path, i))


def every_row(text: str) -> Iterator[tuple[tuple[str | int, ...], int]]:
    """Every row of every list of a text."""
    for path, count in lists(tomllib.loads(text)):
        for i in range(count):
            yield path, i


def lines(text: str) -> list[str]:
    """Words of a text without the commas between rows, in order of the alphabet."""
    return sorted(re.sub(r"[][,\s]+", " ", text).split())


@pytest.mark.parametrize("text", [*MADE, *(f"examples/{n}" for n in names())])
def test_a_row_goes_alone_and_stands_again_where_it_stood(text: str) -> None:
    if text.startswith("examples/"):
        text = (EXAMPLES / text.removeprefix("examples/") / "repair.toml").read_bytes().decode("utf8")
    raw, count = tomllib.loads(text), 0
    for path, i in every_row(text):
        made, row = taken_out(text, path, i)  # refuses by itself where it would touch others
        at: Any = raw
        for part in path:
            at = at[part]
        assert rows_of_words(row, path) == [at[i]]
        again = put_row_in(made, path, i, row)
        assert tomllib.loads(again) == raw, (path, i)
        assert lines(again) == lines(text), "not a word is lost"
        count += 1
    assert count > 0


def test_comments_of_others_stay_and_those_of_the_row_go_with_it() -> None:
    text = MADE[4]
    made, row = taken_out(text, ("a",), 1)
    assert "# two" in row
    assert "# two" not in made
    assert "# list" in made
    assert "# about b" in made
    first, words = taken_out(text, ("a",), 0)
    assert "# list" in first, "above the first it may be about all of them"
    assert "# c" in words
    inline, words = taken_out(MADE[0], ("a",), 2)
    assert "# three" in words
    assert inline == "a = [\n  { x = 1 }, # one\n  { x = 2 }, # two\n]\nb = 1 # kept\n"


def test_what_is_no_row_is_refused() -> None:
    for path, i in ((("a",), 2), (("a",), -1), (("b",), 0), (("a", 0), 0)):
        with pytest.raises(InputError):
            taken_out("a = [{x=1},{x=2}]\nb = 1\n", path, i)
    with pytest.raises(InputError):
        put_row_in("a = [{x=1}]\n", ("a",), 0, "no row at all")
    with pytest.raises(InputError):
        put_row_in("a = [{x=1}]\n", ("a",), 0, "x = 1")


@pytest.fixture
def at() -> Iterator[Desk]:
    """A desk of its own: these change the repair."""
    with desk() as made:
        yield made


def sent(at: Desk, table: str, row: int, name: str = DEMO) -> dict[str, Any]:
    """What the page sends of a row."""
    return {"seen": at.workshop.open(name).made.plan.case.digest, "table": table, "row": row}


def test_a_row_is_tried_taken_away_and_taken_back(at: Desk) -> None:
    repair = at.workshop.open(DEMO)
    before = repair.path.read_bytes()
    page = at.get(f"/repairs/{DEMO}/inputs?table=panel").body.decode()
    assert 'data-row-of="panel.insert" data-row-at="0"' in page
    tried = at.post(f"{WHERE}/row-try", sent(at, "panel.insert", 0))
    assert tried.status == 200
    assert repair.path.read_bytes() == before
    assert not (repair.path.parent / ROWS).exists()
    gone = at.post(f"{WHERE}/row-away", sent(at, "panel.insert", 0))
    assert gone.status == 200
    assert gone.json["words"] == tried.json["words"]
    assert gone.json["standing"] == tried.json["standing"]
    assert gone.json["gone_findings"] == tried.json["gone_findings"]
    left = len(tomllib.loads(before.decode("utf8"))["panel"]["insert"]) - 1
    assert len(repair.made.plan.case.document.panel.insert) == left
    page = at.get(f"/repairs/{DEMO}/inputs?table=panel").body.decode()
    assert page.count("data-away=") == 1
    stale = at.post(f"{WHERE}/row-away", {**sent(at, "panel.insert", 0), "seen": "0" * 64})
    assert stale.status == 409, "seen in another document"
    back = at.post(f"/api/repairs/{DEMO}/back", {"seen": repair.made.plan.case.digest, "side": "outside"})
    assert back.status == 200
    assert repair.path.read_bytes() == before, "every byte as it was"
    assert "data-away=" not in at.get(f"/repairs/{DEMO}/inputs?table=panel").body.decode()


def test_a_row_outlives_the_server_and_is_put_back_once(at: Desk) -> None:
    repair = at.workshop.open(DEMO)
    raw = tomllib.loads(repair.made.text)
    assert at.post(f"{WHERE}/row-away", sent(at, "confirm", 1)).status == 200
    file = repair.path.parent / ROWS
    file.write_bytes(file.read_bytes() + b'\n{"path": ["confirm"], "ro')  # a machine that stopped meanwhile
    anew = OpenRepair(repair.path)
    (row,) = rows_away(anew)
    assert row.path == ("confirm",)
    back = {"seen": repair.made.plan.case.digest, "id": row.id}
    assert at.post(f"{WHERE}/row-back", back).status == 200
    assert tomllib.loads(repair.made.text) == raw
    assert at.post(f"{WHERE}/row-back", {**back, "seen": repair.made.plan.case.digest}).status == 404
    changed = {"seen": repair.made.plan.case.digest, "typed": {"confirm.1.reason": "another ground"}}
    assert at.post(f"{WHERE}/change", changed).status == 200
    assert rows_away(anew) == (), "it was put back, whatever became of it since"


def test_a_row_the_document_cannot_be_without_is_refused_and_nothing_is_written(at: Desk) -> None:
    repair = at.workshop.open(DEMO)
    before = repair.path.read_bytes()
    refused = at.post(f"{WHERE}/row-away", sent(at, "materials.cloth", 0))
    assert refused.status == 422
    for table, row in (("panel.insert", 99), ("panel", 0), ("no.such", 0)):
        assert at.post(f"{WHERE}/row-away", sent(at, table, row)).status == 422, table
    assert repair.path.read_bytes() == before
    assert not (repair.path.parent / ROWS).exists()


def test_where_people_sign_in_a_confirmation_is_withdrawn_by_who_made_it() -> None:
    text = '[[confirm]]\nfigure = "a.b"\nby = "P. Ell"\n[[panel.insert]]\nid = "x"\n'
    may_withdraw(text, ("confirm",), 0)  # on this machine alone nobody is signed in
    for name, held in (("P. Ell", False), ("R. Osk", True)):
        set_signed(SignedPerson("P1", name))
        try:
            may_withdraw(text, ("panel", "insert"), 0)
            if held:
                with pytest.raises(NotTheirs):
                    may_withdraw(text, ("confirm",), 0)
            else:
                may_withdraw(text, ("confirm",), 0)
        finally:
            set_signed(None)


SECOND = """[[damage]]
shape = { circle = { centre = "180, 620 mm", diameter = "40 mm" } }
depth = "skin and core"
side = "outside"
moisture = "none found"

"""


def test_damages_come_and_go_with_their_names(at: Desk) -> None:
    path: Path = at.workshop.repairs_folder / DEMO / "repair.toml"
    text = path.read_text("utf8").replace("[damage]", "[[damage]]")
    folder = at.workshop.repairs_folder / "SECOND"
    folder.mkdir()
    file = folder / "repair.toml"
    file.write_text(text.replace("[data]\n", SECOND + "[data]\n", 1), "utf8")
    for kept in path.parent.glob("repair.*.json"):
        (folder / kept.name).write_bytes(kept.read_bytes())
    api = "/api/repairs/SECOND.A/inputs"
    before = tomllib.loads(file.read_text("utf8"))
    refused = at.post(f"{api}/row-away", sent(at, "damage", 0, "SECOND.A"))
    assert refused.status == 200, "the other stands alone under the repair's own name"
    assert refused.json["go"] == "SECOND"
    assert len(tomllib.loads(file.read_text("utf8"))["damage"]) == 1
    (row,) = rows_away(at.workshop.open("SECOND"))
    back = {"seen": at.workshop.open("SECOND").made.plan.case.digest, "id": row.id}
    (folder / "taps.jsonl").write_text("", "utf8")
    assert at.post("/api/repairs/SECOND/inputs/row-back", back).status == 422, "whose taps would they be?"
    (folder / "taps.jsonl").unlink()
    again = at.post("/api/repairs/SECOND/inputs/row-back", back)
    assert again.status == 200
    assert again.json["go"] == "SECOND.A"
    assert tomllib.loads(file.read_text("utf8")) == before
    (folder / "taps-B.jsonl").write_text("", "utf8")
    for i in (0, 1):
        kept = at.post(f"{api}/row-away", sent(at, "damage", i, "SECOND.A"))
        assert kept.status == 422
        assert "taps-B.jsonl" in str(kept.json)
    (folder / "taps-B.jsonl").unlink()
    third = SECOND.replace("180, 620 mm", "180, 220 mm")
    file.write_text(file.read_text("utf8").replace("[data]\n", third + "[data]\n", 1), "utf8")
    renamed = at.post(f"{api}/row-away", sent(at, "damage", 1, "SECOND.A"))
    assert renamed.status == 422, "C would be B"
    assert "other names" in str(renamed.json)
    assert at.post(f"{api}/row-away", sent(at, "damage", 2, "SECOND.A")).status == 200
