"""Every input of the document on the screen: all fields of the model, written as the document wants them,
refused beside the field, rows appended, defaults confirmed by a named person."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from functools import cache

import pytest

from examples_here import FOLDER as EXAMPLES
from examples_here import names
from panelmend.app import service
from panelmend.app.inputs import Group, Input, changes_of, document_tables, new_row, section
from panelmend.document.written import appended, written
from panelmend.errors import InputError
from panelmend.plan.plan import Plan
from panelmend.screen.workshop import DEMO
from screen_made import Desk, desk

WHERE = f"/api/repairs/{DEMO}/inputs"


@cache
def example(name: str) -> tuple[Plan, str]:
    """A plan with its document's text."""
    path = EXAMPLES / name / "repair.toml"
    return service.plan(path), path.read_text("utf8")


@pytest.fixture
def at() -> Iterator[Desk]:
    """A desk of its own: these change the repair."""
    with desk() as made:
        yield made


def every(group: Group) -> Iterator[Input]:
    """All fields below a group."""
    yield from group.inputs
    for inner in group.groups:
        yield from every(inner)


@pytest.mark.parametrize("name", names())
def test_every_value_of_a_document_is_a_field_that_shows_what_was_typed(name: str) -> None:
    plan, text = example(name)
    raw = tomllib.loads(text)
    shown = {
        f.key: f.typed for n, _, there in document_tables(raw) if there for f in every(section(plan, text, n))
    }

    def walk(value: object, key: str) -> Iterator[tuple[str, object]]:
        if isinstance(value, dict):
            for k, v in value.items():
                yield from walk(v, f"{key}.{k}" if key else k)
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for i, v in enumerate(value):
                yield from walk(v, f"{key}.{i}")
        elif not key.endswith("points"):
            yield key, value

    lacking = [k for k, v in walk(raw, "") if k not in shown and k != "panelmend"]
    assert lacking == []
    assert all(shown[k] == v for k, v in walk(raw, "") if isinstance(v, str) and k in shown)
    assert len(shown) > 300


def test_what_is_written_again_as_it_is_shown_leaves_the_document_as_it_was() -> None:
    plan, text = example("gear_door")
    raw = tomllib.loads(text)
    for name, _, there in document_tables(raw):
        if not there or name == "materials":
            continue
        typed = {f.key: f.typed for f in every(section(plan, text, name)) if f.typed}
        made = written(text, changes_of(plan, text, typed))
        assert tomllib.loads(made) == raw, name


@pytest.mark.parametrize(
    ("key", "typed", "value"),
    [
        ("bay.air_temperature", "68 F", "68 F"),
        ("damage.side", "inside", "inside"),
        ("repair.invented", "no", False),
        ("damage.plies", "2", 2),
        ("damage.how_found", "", None),
        ("stores.roll.0.opened", "yes", True),
    ],
)
def test_a_field_is_written_in_its_own_kind(key: str, typed: str, value: object) -> None:
    plan, text = example("gear_door")
    assert list(changes_of(plan, text, {key: typed}).values()) == [value]


@pytest.mark.parametrize(
    ("key", "typed"),
    [
        ("damage.plies", "two"),
        ("repair.invented", "perhaps"),
        ("repair.number", ""),
        ("no.such", "1"),
        ("panelmend", "2"),
        ("damage.no_such", "1"),
        ("damage.shape.outline.points", "[[0, 0]]"),
    ],
)
def test_what_is_no_field_or_no_value_of_its_kind_is_refused(key: str, typed: str) -> None:
    plan, text = example("gear_door")
    with pytest.raises(InputError):
        changes_of(plan, text, {key: typed})


def test_a_row_goes_behind_the_others_and_touches_nothing_else() -> None:
    row = {"figure": "a.b", "by": "N. Ame"}
    for text in ('a = 1 # why\n\n[[confirm]]\nfigure = "x"\n\n[b]\nc = 2\n', "a = 1\r\n[b]\r\nc = 2\r\n"):
        made = appended(text, ("confirm",), row)
        assert made.startswith(text.rstrip())
        assert tomllib.loads(made)["confirm"][-1] == row
    inline = 'confirm = [ { figure = "x" } ] # kept\n[b]\nc = 2\n'
    made = appended(inline, ("confirm",), row)
    assert "# kept" in made
    assert tomllib.loads(made)["confirm"] == [{"figure": "x"}, row]
    with pytest.raises(InputError):
        appended("[[a]]\nx = 1\n[[a.b]]\ny = 1\n[[a]]\nx = 2\n", ("a", "b"), row)
    plan, text = example("gear_door")
    with pytest.raises(InputError):
        new_row(plan, text, "confirm", {"figure": "x", "nobody": "y"})
    with pytest.raises(InputError):
        new_row(plan, text, "repair", {"number": "y"})


def test_a_fault_is_refused_with_its_field_and_nothing_is_written(at: Desk) -> None:
    repair = at.workshop.open(DEMO)
    before = repair.made.text
    sent = {"seen": repair.made.plan.case.digest, "typed": {"bay.air_temperature": "ninety"}}
    refused = at.post(f"{WHERE}/change", sent)
    assert refused.status == 422
    assert refused.json["faults"][0]["field"] == "bay.air_temperature"
    assert repair.made.text == before
    tried = at.post(f"{WHERE}/try", {**sent, "typed": {"bay.air_temperature": "68 F"}}).json
    assert tried["read_as"]["bay.air_temperature"] == "20 C = 68 F"
    assert repair.made.text == before
    kept = at.post(f"{WHERE}/change", {**sent, "typed": {"bay.air_temperature": "68 F"}})
    assert kept.status == 200
    assert 'air_temperature = "68 F"' in repair.path.read_text("utf8")
    assert at.post(f"{WHERE}/change", sent).status == 409  # made on another document


def test_heat_nobody_predicted_is_taken_on_by_the_engineer_with_a_reason(at: Desk) -> None:
    """The technician's name and an empty reason are refused, and nothing is written."""
    repair = at.workshop.open(DEMO)
    text = repair.made.text
    repair.path.write_text(text.replace('air_temperature = "18 C"', 'air_temperature = "16 C"'), "utf8")
    page = at.get(f"/repairs/{DEMO}/inputs").body.decode()
    keys = re.findall(r'data-heat="([^"]+)"', page)
    kinds = ["drying.undried", "cure.1.unpredicted", "cure.2.unpredicted"]
    assert [k.rpartition("_")[0] for k in keys] == kinds
    assert "do not heat" in page
    waits = [f for f in repair.made.plan.draft_reasons if f.code in {"H140", "H602"}]
    assert len(waits) == 3
    row = {"figure": keys[0], "by": "D. Aune", "on": "2026-11-20", "reason": "dried at this heat before"}
    sent = {"seen": repair.made.plan.case.digest, "table": "confirm", "typed": row}
    before = repair.path.read_text("utf8")
    for bad in ({"by": "R. Osk"}, {"reason": " "}, {"by": "J. Hale"}):
        refused = at.post(f"{WHERE}/row", {**sent, "typed": row | bad})
        assert refused.status == 422
        assert "engineer named under people" in str(refused.json)
    assert repair.path.read_text("utf8") == before
    assert at.post(f"{WHERE}/row", sent).status == 200
    assert not any(f.code == "H140" for f in repair.made.plan.findings)


def test_a_default_is_confirmed_by_a_named_person_and_by_nobody_else(at: Desk) -> None:
    repair = at.workshop.open(DEMO)
    first = next(c for c in repair.made.plan.case.document.confirm if "F" not in c.figure)
    text = repair.made.text
    start = text.index(first.figure)
    begin = text.rindex("[[confirm]]" if "[[confirm]]" in text else "{", 0, start)
    end = text.find("[[", start) if "[[confirm]]" in text else text.index("}", start) + 2
    repair.path.write_text(text[:begin] + text[end:].lstrip(","), "utf8")
    page = at.get(f"/repairs/{DEMO}/inputs").body.decode()
    assert f'data-default="{first.figure}"' in page
    plan = repair.made.plan
    assert any(f.code == "J001" and f.place == first.figure for f in plan.findings)
    value = re.search(rf'data-default="{first.figure}" data-value="([^"]+)"', page)
    assert value is not None
    row = {"figure": first.figure, "on": "2026-11-20", "reason": "read at the bench", "value": value[1]}
    sent = {"seen": plan.case.digest, "table": "confirm", "typed": row}
    assert at.post(f"{WHERE}/row", sent).status == 422  # nobody is named
    assert at.post(f"{WHERE}/row", {**sent, "typed": row | {"by": "H. Named"}}).status == 200
    assert not any(f.code == "J001" and f.place == first.figure for f in repair.made.plan.findings)
    assert (
        at.post(f"/api/repairs/{DEMO}/back", {"seen": repair.made.plan.case.digest, "side": "outside"}).status
        == 200
    )
