"""The time an engine of the layout search gets: never more than asked, in runs that grow while they gain."""

from __future__ import annotations

import json
import sys
import time
from types import SimpleNamespace

import pytest

from panelmend.nesting import worker


class Engine:
    """Stands in for spyrrow: tells what it was asked, and gives one layout of each length in turn."""

    def __init__(self, *lengths: float) -> None:
        self.lengths, self.asked = list(lengths), list[SimpleNamespace]()
        self.ReportType = SimpleNamespace(ExplFeas=0, CmprFeas=1)

    Item = staticmethod(lambda *a: a)
    ProgressQueue = staticmethod(lambda: SimpleNamespace(drain=list))

    def StripPackingConfig(self, **given: object) -> SimpleNamespace:
        self.asked.append(SimpleNamespace(**given))
        return self.asked[-1]

    def StripPackingInstance(self, *given: object) -> SimpleNamespace:
        return SimpleNamespace(
            solve=lambda *b: SimpleNamespace(width=self.lengths[len(self.asked) - 1], placed_items=[])
        )


class Given:
    """A budget of which there is so much left each time it is asked."""

    slower = 1.0

    def __init__(self, *left: float) -> None:
        self.then = list(left)

    def left(self) -> float:
        return self.then.pop(0) if len(self.then) > 1 else self.then[0]


def ran(monkeypatch: pytest.MonkeyPatch, engine: Engine, left: Given, copies: int = 0) -> list[float]:
    """The time of each run."""
    monkeypatch.setitem(sys.modules, "spyrrow", engine)
    item = {"shape": [], "copies": copies, "half": False}
    worker.run_spyrrow({"gap": 0.0, "width": 1.0, "seed": 7, "items": [item]}, left)
    return [(told.exploration_time + told.compression_time).total_seconds() for told in engine.asked]


@pytest.mark.parametrize("asked", [59.6, 3.0, 1.2345, 0.4])
def test_an_engine_never_gets_more_time_than_asked(
    asked: float, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """59.6 became 60: the child was ended at 60.35, and on a busy machine with the last result."""
    engine = Engine(1.0)
    (given,) = ran(monkeypatch, engine, Given(asked, 0.0), copies=1000)
    assert asked - 0.0011 < given <= asked
    assert engine.asked[0].num_workers == 1, "two of them share two cores"
    assert '"final"' in capsys.readouterr().out


def test_runs_get_longer_until_they_gain_nothing(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    engine = Engine(1.0, 0.98, 0.97999, 0.985, 0.5)
    given = ran(monkeypatch, engine, Given(100.0), copies=8)
    assert given == pytest.approx([2.133, 3.2, 4.8, 7.2], abs=0.0011)
    assert [told.seed for told in engine.asked] == [7, 8, 9, 10], "two in a row gained nothing"
    said = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [line["attempt"] for line in said] == [0, 1, 2, 3]
    engine = Engine(1.0, 1.0, 0.9)
    assert len(ran(monkeypatch, engine, Given(100.0), copies=3)) == 2, "few pieces: one in vain is enough"


def test_no_scrap_of_time_is_left_and_none_is_begun(monkeypatch: pytest.MonkeyPatch) -> None:
    assert ran(monkeypatch, Engine(1.0, 0.9), Given(2.9, 0.45), copies=8) == [2.9]
    assert ran(monkeypatch, Engine(1.0, 0.9), Given(5.0, 3.0, 3.0, 0.4), copies=8) == [2.133, 3.0]
    engine = Engine(1.0, 0.9, 0.8)  # the first ends long before its time
    assert ran(monkeypatch, engine, Given(2.9, 2.7, 2.7, 2.6, 0.1), copies=8) == [2.9, 2.6]


def test_what_a_budget_has_left_follows_the_processor_time_the_search_got(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    clock, own = [100.0], [5.0]
    monkeypatch.setattr(time, "monotonic", lambda: clock[0])
    monkeypatch.setattr(time, "process_time", lambda: own[0])
    timer = worker.Timer(10.0, 1.0)
    assert timer.left() == 10.0
    clock[0], own[0] = 106.0, 8.0  # half of the clock's time
    assert timer.left() == pytest.approx(14.0), "7 s of the processor's"
    assert json.loads(capsys.readouterr().out.splitlines()[-1]) == {"stretch": pytest.approx(2.0)}
    clock[0], own[0] = 139.0, 9.0
    assert timer.left() == pytest.approx(1.0), "four times the budget is the end"
    clock[0] = 150.0
    assert timer.left() == 0.0
    assert json.loads(capsys.readouterr().out.splitlines()[-1]) == {"stretch": 4.0}
