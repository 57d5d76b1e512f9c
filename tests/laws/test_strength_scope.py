"""What is left out: one list for the report's first page and the method page."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest

from panelmend.job.strength.scope import NOT_COVERED
from panelmend.render.views.ratio import ratio_colour

PAGE = Path(__file__).parents[2] / "docs" / "method" / "strength.md"


def test_the_method_page_holds_the_list_word_for_word() -> None:
    section = PAGE.read_text("utf8").split("## Not covered\n\n- ")[1].split("\n\n")[0]
    assert tuple(" ".join(point.split()) for point in section.split("\n- ")) == NOT_COVERED


def _grey(colour: str) -> float:
    """Relative luminance of a colour [1] (IEC 61966-2-1)."""
    parts = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    line = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * line[0] + 0.7152 * line[1] + 0.0722 * line[2]


def test_the_maps_of_ratios_are_read_in_grey() -> None:
    """The larger the ratio the darker, each class told from the next, below 0.80 far from above 1.20."""
    tones = [_grey(ratio_colour(v)) for v in (0.79, 0.94, 1.0, 1.19, 1.21)]
    assert tones == sorted(tones, reverse=True)
    # contrast of two areas that meet: (L1 + .05) / (L2 + .05)
    steps = [(a + 0.05) / (b + 0.05) for a, b in pairwise(tones)]
    assert min(steps) > 1.25
    assert (tones[0] + 0.05) / (tones[-1] + 0.05) > 4.0


@pytest.mark.parametrize("edge", [0.80, 0.95, 1.05, 1.20])
def test_a_ratio_just_above_a_class_is_darker(edge: float) -> None:
    assert _grey(ratio_colour(edge)) > _grey(ratio_colour(edge + 1e-9))


def test_what_is_not_compared_has_no_colour() -> None:
    assert ratio_colour(math.nan) == ""
