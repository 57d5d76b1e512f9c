"""Predictions of the damages of one job, which are kept in one file, do not push each other out of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from examples_here import FOLDER
from panelmend.app.heat import keep_predictions
from panelmend.job.cure.prediction import Prediction
from panelmend.plan.plan import Plan
from panelmend.predict.kept_predictions import FORMER, heat_path, read_predictions


@dataclass(frozen=True)
class _Problem:
    """Stands for a problem of heat, of which keeping asks its digest alone."""

    name: str

    def digest(self) -> str:
        return self.name


def _plan(names: list[str], damages: int) -> Plan:
    """Stands for the plan of one damage: what it asks to be predicted, and how many others there are."""
    heats = [(_Problem(name), None) for name in names]
    work = SimpleNamespace(cure=SimpleNamespace(heats=heats))
    return cast(Plan, SimpleNamespace(case=SimpleNamespace(others=(None,) * (damages - 1)), work=work))


def _any() -> Prediction:
    """A prediction of the demonstration, made short."""
    found = next(iter(read_predictions(FOLDER / "gear_door" / "repair.heat.json").values()))
    return replace(found, likelihood=None, advice=())


@pytest.mark.parametrize(("damages", "each"), [(6, 4), (2, 12)])
def test_what_every_damage_asks_for_stays(tmp_path: Path, damages: int, each: int) -> None:
    """Six damages with two dozen problems: those of the first were gone once the last were kept."""
    path = tmp_path / "repair.toml"
    base = _any()
    for n in range(damages):
        names = [f"{n} {i}" for i in range(each)]
        found = [replace(base, problem=name) for name in names]
        keep_predictions(path.with_name(f"repair.toml#{n}"), _plan(names, damages), found)
    assert set(read_predictions(heat_path(path))) == {f"{n} {i}" for n in range(damages) for i in range(each)}


def test_a_document_of_one_damage_keeps_as_many_as_before(tmp_path: Path) -> None:
    path = tmp_path / "repair.toml"
    base = _any()
    before = [f"{n}" for n in range(FORMER + 3)]
    keep_predictions(path, _plan(before, 1), [replace(base, problem=name) for name in before])
    keep_predictions(path, _plan(["now"], 1), [replace(base, problem="now")])
    assert len(read_predictions(heat_path(path))) == 1 + FORMER
