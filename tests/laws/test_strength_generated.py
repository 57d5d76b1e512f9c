"""Made repairs from end to end: the headline is the least that is printed; what is missing is on top."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any
from unittest.mock import patch

import numpy as np
import pytest
from numpy.typing import NDArray

from examples_here import text
from panelmend.app.telling import strength_words
from panelmend.derive import Figure
from panelmend.derive.figure import PRACTICE, Origin
from panelmend.job.strength import modes
from panelmend.job.strength.checks import check
from panelmend.job.strength.part import Region, Reserve, ReserveKind, Rests
from panelmend.job.strength.plates import PanelPlate
from panelmend.job.strength.reserves import three_digits
from panelmend.job.strength.scope import NOT_COVERED
from panelmend.plan.strength_study import StrengthStudy
from panelmend.render.strength_report import given_least, strength_data
from strength_made import LOADED, drawn, headline, rough


@pytest.mark.parametrize("seed", [1, 2])
def test_the_headline_is_the_least_of_every_table(seed: int) -> None:
    """Two of many that can be drawn."""
    top, rows = headline(rough(drawn(seed), changes=False))
    assert rows
    assert top == min(rows)


@pytest.fixture(scope="module")
def flap() -> StrengthStudy:
    return rough(text("flap_rib_bay") + LOADED)


def _worst(made: StrengthStudy) -> dict[tuple[object, ...], float]:
    return {
        (m.case, m.where, m.mode, m.place, m.condition): float(m.reserve)
        for m in made.part.modes
        if m.reserve is not None
    }


def test_a_region_enlarged_never_raises_a_reserve(flap: StrengthStudy) -> None:
    """Regions of the repaired panel one cell wider: each worst place is there again, or a worse one."""
    whole = modes.regions_of.__wrapped__

    def wider(panel: PanelPlate) -> dict[Region, NDArray[np.bool_]]:
        found = {}
        for region, mask in whole(panel).items():
            padded = np.pad(mask, 1)
            shifts = ((j, i) for j in range(3) for i in range(3))
            cells = [padded[j : j + mask.shape[0], i : i + mask.shape[1]] for j, i in shifts]
            found[region] = np.logical_or.reduce(cells)
        return found

    with patch.object(modes, "regions_of", wider):
        after = _worst(rough(text("flap_rib_bay") + LOADED, changes=False))
    before = _worst(flap)
    regions = {key[1] for key in before}
    assert regions >= {Region.OVER_CUT, Region.UNDER_PATCH, Region.JUST_OUTSIDE, Region.PANEL}
    assert all(after[key] <= value * (1.0 + 1e-12) for key, value in before.items())
    lower = {key[1] for key, value in before.items() if after[key] < value * (1.0 - 1e-6)}
    assert len(lower - {Region.SOUND}) >= 3


def test_a_mismatch_that_nobody_can_compute_stands_on_the_first_page(flap: StrengthStudy) -> None:
    data = strength_data(flap)
    assert any(w.startswith("thermal mismatch") for w in data["not-checked"])


def test_a_headline_on_a_value_not_given_says_so_and_names_the_least_of_the_others() -> None:
    """T130 where the least rests on such a value, and not where another figure is lower."""

    def row(value: float, rests: tuple[Rests, ...]) -> Reserve:
        figure = Figure(f"r{value}", value, "ratio", Origin.TYPED, PRACTICE)
        return Reserve(ReserveKind.PEEL, figure, "outside skin", "along 0", "room", "load", rests=rests)

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


def test_the_screen_says_the_least_first_and_what_is_not_sure(flap: StrengthStudy) -> None:
    """It stood under a hundred rows; a hole's strain was told without NOT RESOLVED, 0.999 as 1.00."""
    words = strength_words(flap).splitlines()
    least = flap.part.least
    assert least is not None
    assert words[1].startswith(f"Least of all that was computed: {three_digits(float(least.value))}")
    assert least.words in words[1]
    assert sum(w.startswith("NOT COVERED") for w in words) == len(NOT_COVERED)
    assert sum(w.startswith("NOT CHECKED") for w in words) == len(flap.part.not_checked)
    spots = [w for w in words if w.startswith("  largest ")]
    assert sum("NOT RESOLVED" in w for w in spots) == sum(not s.resolved for s in flap.part.hot_spots) > 0
    assert len(words) < 60
