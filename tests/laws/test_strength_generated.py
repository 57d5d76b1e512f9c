"""Made repairs from end to end: the headline is the least that is printed; what is missing is on top."""

from __future__ import annotations

from unittest.mock import patch

import numpy as np
import pytest

from examples_here import text
from panelmend.job.strength import modes
from panelmend.job.strength.part import Region, Rests
from panelmend.plan.study import Study
from panelmend.render.strength_report import strength_data
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


def test_a_headline_on_a_value_not_given_says_so_and_names_the_least_of_the_others(flap: Study) -> None:
    data = strength_data(flap)
    top = data["least"][0]
    assert top["peel"]
    assert top["rests"] == Rests.ACROSS
    (given,) = data["given"]
    assert given["rests"] == ""
    assert float(given["value"]["text"]) > float(top["value"]["text"])
    assert "T130" in {f.code for f in flap.findings}


def test_a_region_enlarged_never_raises_the_reserve(flap: Study) -> None:
    """Every region a cell wider all round: no mode has a higher least reserve in it."""
    plain = modes.regions_of

    def wider(panel):
        found = {}
        for region, mask in plain(panel).items():
            more = np.pad(mask, 1)
            grown = more[:-2, 1:-1] | more[2:, 1:-1] | more[1:-1, :-2] | more[1:-1, 2:] | mask
            found[region] = grown
        return found

    with patch.object(modes, "regions_of", wider):
        again = rough(text("flap_rib_bay") + LOADED)

    def least(made: Study) -> dict[tuple[object, ...], float]:
        return {
            (m.where, m.mode, m.place, m.condition): float(m.reserve)
            for m in made.part.modes
            if m.reserve is not None
        }

    before, after = least(flap), least(again)
    assert len(before) > 20
    assert set(before) <= set(after)
    assert all(after[key] <= before[key] for key in before)
    assert any(after[key] < before[key] for key in before if key[0] is not Region.SOUND)
