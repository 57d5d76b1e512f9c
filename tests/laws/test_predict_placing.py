"""How far things may lie off is the same however many runs go at once, and can be stopped between them."""

from __future__ import annotations

import itertools
import threading
import time
from collections.abc import Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from panelmend.app import heat as heat_app
from panelmend.app import service
from panelmend.errors import Cancelled
from panelmend.job.cure.prediction import Placing
from panelmend.predict import placing as placing_module
from panelmend.predict import sensors as sensors_module
from panelmend.predict.model import MEDIUM
from panelmend.predict.placing import placing
from panelmend.predict.sensors import READ_ALIKE_WITHIN, first_of_extremes
from panelmend.shapes import rectangle

SPOTS = [SimpleNamespace(id=f"T{n}", count=n != 3) for n in (1, 2, 3)]
PROBLEM = SimpleNamespace(places=(0.008, 0.003), operation="Repair plies", source_behind=None)
FOLDER = Path(__file__).parents[2] / "examples"


class Runs:
    """A cure whose least margin falls straight with every metre that something lies off, on either grid."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, steep: float = 1.0) -> None:
        self.asked: list[Mapping[str, float]] = []
        self.steep = steep
        monkeypatch.setattr(placing_module, "solve", self.solve)
        monkeypatch.setattr(placing_module, "limit_rows", lambda _p, _s, result: result)
        monkeypatch.setattr(placing_module, "worst_of", lambda rows: rows)

    def solve(self, _p: object, _s: object, values: Mapping[str, float], fine: object, *, maps: bool) -> Any:
        assert not maps
        self.asked.append(values)
        time.sleep(0.001 * (len(self.asked) % 3))  # runs end in another order than they begin
        slopes = {"blanket along": (100.0, 300.0), "blanket across": (80.0, 60.0)}
        loss = sum(
            abs(v) * slopes.get(name, (50.0, 90.0 if name.startswith("T2") else 40.0))[v < 0.0]
            for name, v in values.items()
        )
        return None, 4.0 - self.steep * loss * (1.1 if fine is MEDIUM else 1.0)


def found(worst: float, threads: int) -> Placing:
    return placing(PROBLEM, SPOTS, worst, threads=threads)  # type: ignore[arg-type]


@pytest.mark.parametrize("worst", [4.0, 2.0, -1.0])
def test_threads_change_nothing(monkeypatch: pytest.MonkeyPatch, worst: float) -> None:
    runs = Runs(monkeypatch)
    alone = found(worst, 1)
    asked = len(runs.asked)
    assert found(worst, 4) == alone
    assert len(runs.asked) == 2 * asked, "each run once"
    assert alone.way == "back"
    assert [ident for ident, _ in alone.sensors] == ["T1", "T2"], "a check that does not count is left out"


def test_the_worst_way_and_the_reach_are_those_of_the_slopes(monkeypatch: pytest.MonkeyPatch) -> None:
    Runs(monkeypatch)
    made = found(4.0, 2)
    # straight: 4 K are gone after 4 / 300 m back on the coarse grid; the finer one, a tenth steeper, allows
    # the next tried step below that
    assert made.blanket == pytest.approx(0.010)
    assert made.margin == pytest.approx(4.0 - 1.1 * 300.0 * 0.008, abs=0.005)
    assert dict(made.sensors) == {
        "T1": pytest.approx(4.0 - 1.1 * 50.0 * 0.003, abs=0.005),
        "T2": pytest.approx(4.0 - 1.1 * 90.0 * 0.003, abs=0.005),
    }


@pytest.mark.parametrize("way", ["along", "across"])
@pytest.mark.parametrize("sense", [1.0, -1.0])
def test_a_thermocouple_is_moved_each_way(monkeypatch: pytest.MonkeyPatch, way: str, sense: float) -> None:
    """200 K a metre towards one side alone: 3 mm take 0.6 K of 4 K, whichever side it is."""
    runs = Runs(monkeypatch)

    def solve(_p: object, _s: object, values: Mapping[str, float], fine: object, *, maps: bool) -> Any:
        return None, 4.0 - 200.0 * max(0.0, sense * values.get(f"T2 {way}", 0.0))

    monkeypatch.setattr(placing_module, "solve", solve)
    assert not runs.asked
    assert dict(found(4.0, 2).sensors) == {"T1": 4.0, "T2": 3.4}


def test_the_blanket_behind_is_moved_too(monkeypatch: pytest.MonkeyPatch) -> None:
    runs = Runs(monkeypatch)
    assert found(4.0, 2).behind is None
    both = SimpleNamespace(**(vars(PROBLEM) | {"source_behind": object()}))
    made = placing(both, SPOTS, 4.0, threads=2)  # type: ignore[arg-type]
    assert made.blanket == pytest.approx(0.010), "each alone"
    assert made.behind is not None
    reach, way, margin = made.behind
    assert reach == pytest.approx(0.03)
    assert way == "ahead", "ways alike: the first"
    assert margin == pytest.approx(4.0 - 1.1 * 50.0 * 0.008, abs=0.005)
    assert any("behind across" in asked for asked in runs.asked)


def test_it_stops_after_the_runs_that_go_on(monkeypatch: pytest.MonkeyPatch) -> None:
    runs, gone_on, number = Runs(monkeypatch), threading.Event(), itertools.count()
    ends = threading.Timer(2.0, gone_on.set)  # on a busy machine too what waits is taken back before then

    def held(*words: Any, **named: Any) -> Any:
        first = next(number) == 0
        made = runs.solve(*words, **named)
        if not first:
            assert gone_on.wait(60.0)
        return made

    def stop(words: str) -> None:
        ends.start()
        raise Cancelled(words)

    monkeypatch.setattr(placing_module, "solve", held)
    with pytest.raises(Cancelled, match="1 of"):
        placing(PROBLEM, SPOTS, 4.0, stop, threads=2)  # type: ignore[arg-type]
    assert len(runs.asked) <= 3, "the first, and the two that had begun"


def test_operations_are_predicted_side_by_side_and_all_stop(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.toml"
    path.write_text((FOLDER / "gear_door" / "repair.toml").read_text("utf8"), "utf8")
    both, asked, told = threading.Barrier(2, timeout=20.0), threading.Event(), list[str]()

    def waits(problem: Any, tell: Any, *, advice: bool, threads: int) -> Any:
        assert threads == heat_app.ATONCE, "each may use every core, also the last one"
        both.wait()  # one alone would wait here for good
        told.append(problem.operation)
        asked.set()
        while True:
            tell("on and on")
            time.sleep(0.001)

    monkeypatch.setattr(heat_app, "predict", waits)
    with pytest.raises(Cancelled):
        heat_app.predict_heat(path, service.plan(path), stop=asked)
    assert set(told[:2]) == {"Drying", "Core and cap"}, "those that had begun; who comes after stops at once"
    assert not path.with_suffix(".heat.json").exists()


def test_no_last_digit_chooses_among_places_alike() -> None:
    row = np.array([350.0, 352.0, 351.0, 352.0 + 1e-7, 352.0 - 1e-7, 350.0 - 1e-7])
    for nudged in (row, row[::-1].copy(), row + 1e-8 * np.arange(6)):
        hot, cold = (first_of_extremes(nudged, hot=h) for h in (True, False))
        assert hot == int(np.flatnonzero(np.abs(nudged - 352.0) < 1e-3)[0])
        assert cold == int(np.flatnonzero(np.abs(nudged - 350.0) < 1e-3)[0])
    assert first_of_extremes(np.array([350.0, 350.0 + 2 * READ_ALIKE_WITHIN]), hot=True) == 1
    assert first_of_extremes(np.array([350.0, 350.0 + 0.5 * READ_ALIKE_WITHIN]), hot=True) == 0


@pytest.mark.parametrize("tilt", [1e-9, -1e-9])
def test_the_way_told_is_the_first_of_those_alike(monkeypatch: pytest.MonkeyPatch, tilt: float) -> None:
    def solve(_p: object, _s: object, values: Mapping[str, float], fine: object, *, maps: bool) -> Any:
        return None, 4.0 - sum(300.0 * abs(v) * (1.0 + tilt * (v < 0.0)) for v in values.values())

    Runs(monkeypatch)
    monkeypatch.setattr(placing_module, "solve", solve)
    assert found(4.0, 1).way == "ahead"


@pytest.mark.parametrize(("over", "there"), [((), True), (("rib",), False), (("fastener",), False)])
def test_the_check_lies_behind_the_hottest_of_the_bond_line(
    monkeypatch: pytest.MonkeyPatch, over: tuple[str, ...], there: bool
) -> None:
    """Of two bonds the one that gets hotter; in it the place that was hottest at any time, not at the end."""
    warm = SimpleNamespace(temperature=np.array([[350.0, 360.0, 340.0], [356.0, 352.0, 341.0]]))
    warm.place = lambda n: [(0.1, 0.2), (0.3, 0.4), (0.5, 0.6)][n]
    cool = SimpleNamespace(temperature=np.array([[330.0, 331.0]] * 2), place=lambda n: (9.0, 9.0))
    monkeypatch.setattr(sensors_module, "bonded", lambda result: [("cool", cool), ("warm", warm)])
    monkeypatch.setattr(sensors_module, "from_frame", lambda at, frame: at)
    under = rectangle((0.3, 0.4), 0.02, 0.02)
    problem = SimpleNamespace(
        frame=None,
        ribs=[SimpleNamespace(near=False, outline=under)] if "rib" in over else [],
        avoid=[under] if "fastener" in over else [],
    )
    found = sensors_module._check(problem, None)  # type: ignore[arg-type]
    assert (found is not None) is there
    if found is not None:
        assert (found.at, found.face, found.count) == ((0.3, 0.4), "far face", False)
