"""Predictions made at once: each may use every core, and what is done is told before any run."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from examples_here import FOLDER
from panelmend.app import heat, service
from panelmend.errors import SolverError
from panelmend.predict import sensors
from panelmend.predict.kept_predictions import heat_path


@pytest.fixture
def job(tmp_path: Path) -> Path:
    shutil.copy(FOLDER / "gear_door" / "repair.toml", tmp_path)
    return tmp_path / "repair.toml"


def test_no_core_is_idle_while_the_last_operation_is_at_work(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []

    def predict(problem: object, tell: object, *, advice: bool, threads: int) -> None:
        asked.append(threads)
        raise SolverError("not here")

    monkeypatch.setattr(heat, "predict", predict)
    with pytest.raises(SolverError):
        heat.predict_heat(job, service.plan(job))
    assert len(asked) > heat.ATONCE
    assert set(asked) == {heat.ATONCE}


def test_what_is_done_is_told_before_the_first_run(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    at_first_run: list[int] = []

    def solve(*args: Any, **named: Any) -> Any:
        at_first_run.append(len(told))
        raise SolverError("not here")

    monkeypatch.setattr(sensors, "solve", solve)
    made = service.plan(job)
    with pytest.raises(SolverError):
        heat.predict_heat(job, made, told.append)
    assert min(at_first_run) > 0
    assert all("places of thermocouples" in words for words in told)
    assert not heat_path(job).exists() or "problem" not in heat_path(job).read_text("utf8")


def test_where_all_is_predicted_nothing_is_asked_and_where_one_is_not_it_is(
    job: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = service.plan(job)
    assert made.work is not None
    asked: list[object] = []
    monkeypatch.setattr(heat, "predict_heat", lambda path, plan, *rest: asked.append(plan) or plan)
    every = tuple((problem, object()) for problem, _ in made.work.cure.heats)
    for heats, times in ((every, 0), ((*every[:-1], (every[-1][0], None)), 1)):
        asked.clear()
        work = SimpleNamespace(cure=SimpleNamespace(heats=heats), nest=SimpleNamespace(cloths=()))
        service.with_layouts_and_heat(job, replace(made, work=work), 0.0, lambda words: None, None, heat=True)  # type: ignore[arg-type]
        assert len(asked) == times
