"""Made repairs from end to end: the headline is the least that is printed; what is missing is on top."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any

import pytest

from examples_here import text
from panelmend.derive import Figure
from panelmend.derive.figure import PRACTICE, Origin
from panelmend.job.strength.checks import check
from panelmend.job.strength.part import Kind, Reserve, Rests
from panelmend.plan.study import Study
from panelmend.render.strength_report import given_least, strength_data
from strength_made import LOADED, drawn, headline, rough


@pytest.mark.parametrize("seed", [1, 2])
def test_the_headline_is_the_least_of_every_table(seed: int) -> None:
    """Two of many: scripts/least_generated.py makes as many as are asked for."""
    top, rows = headline(rough(drawn(seed)))
    assert rows
    assert top == min(rows)


@pytest.fixture(scope="module")
def flap() -> Study:
    return rough(text("flap_rib_bay") + LOADED)


def test_a_mismatch_that_nobody_can_compute_stands_on_the_first_page(flap: Study) -> None:
    data = strength_data(flap)
    assert any(w.startswith("thermal mismatch") for w in data["not-checked"])


def test_a_headline_on_a_value_not_given_says_so_and_names_the_least_of_the_others() -> None:
    """T130 where the least rests on such a value, and not where another figure is lower."""

    def row(value: float, rests: tuple[Rests, ...]) -> Reserve:
        figure = Figure(f"r{value}", value, "ratio", Origin.TYPED, PRACTICE)
        return Reserve(Kind.PEEL, figure, "outside skin", "along 0", "room", "load", rests=rests)

    for lowest, known in ((0.4, False), (0.9, True)):
        rows = (row(lowest, (Rests.ACROSS,)), row(0.6, ()), row(0.7, ()))
        least = min(rows, key=lambda r: float(r.value))
        part: Any = SimpleNamespace(
            reserves=rows,
            least=least,
            not_checked=(),
            differences=(),
            membrane=(),
            moment_added=None,
            moment_limit=None,
            loads=(("a", "b"),),
            loads_given=True,
        )
        anything: Any = None
        codes = [f.code for f in check(anything, anything, part)]
        assert ("T130" in codes) is not known
        told: Any = SimpleNamespace(part=part)
        assert [float(r.value) for r in given_least(told)] == ([] if known else [0.6])
