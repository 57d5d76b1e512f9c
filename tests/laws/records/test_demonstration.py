"""The demonstration is made by its script, opens where it was put, holds by every rule and goes on.

Plans are those of the short card here, and hashes cheap: what its script does is tried, not planning.
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from typing import Any

import pytest

from panelmend.app import service
from panelmend.records import secrets
from panelmend.records.book import Book
from panelmend.records.book.acting import Acting, Who
from panelmend.records.canonical import sha256
from records_made import CHEAP, ON_POSTGRESQL, clocks, steps

SCRIPT = Path(__file__).parents[3] / "scripts" / "demo_records.py"


def _planned(path: Path) -> dict[str, Any]:
    text = path.read_text("utf8")
    number = next(x for x in text.splitlines() if x.startswith("number = ")).split('"')[1]
    return {
        "job": number,
        "document": text.encode(),
        "plan": sha256(f"the plan of {number}"),
        "pages": {},
        "panel": "M3-5201-17-1",
        "serial": number,
        "standing": "READY",
        "steps": steps(),
        "clocks": clocks(),
        "earlier": (),
    }


def _script() -> Any:
    spec = importlib.util.spec_from_file_location("demo_records", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    return script


@pytest.mark.parametrize("whole", [True, False])
def test_both_kinds_of_its_repairs_may_be_worked_from(tmp_path: Path, whole: bool) -> None:
    path = _script().laid(tmp_path, "DEMO-0010", "W0010", whole)
    assert service.plan(path).standing.value == "READY"


@pytest.mark.skipif(ON_POSTGRESQL, reason="the script writes a file")
def test_the_demonstration_is_made_and_goes_on_where_it_was_put(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(Book.begin.__kwdefaults__, "cost", CHEAP)
    monkeypatch.setitem(Book.open.__kwdefaults__, "cost", CHEAP)
    monkeypatch.setattr(Acting.__init__, "__defaults__", (CHEAP,))
    monkeypatch.setattr(secrets, "FULL", CHEAP)
    script = _script()
    monkeypatch.setattr(script, "plan_for_records", _planned)
    target = tmp_path / "demo.sqlite"
    monkeypatch.setattr(sys, "argv", ["demo_records.py", "2", str(target)])
    script.main()
    said = capsys.readouterr().out
    assert "they hold" in said
    assert all(script.secret_of(p) in said for p in script.PEOPLE)
    book = Book.open(str(target))
    assert book.state.invented
    assert [j.closed for j in book.state.jobs.values()] == ["released"] * 2
    before = book.state.number
    book.set_least(Who("S1", script.secret_of("S1")), "wipes", "1", "m2")
    assert book.state.number == before + 1
    assert book.log.check().holds
