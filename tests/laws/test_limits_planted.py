"""What faults planted in the limits changed unnoticed: who is told of a far skin, and who is not."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

import pytest

from panelmend.job.limits.checks import _far_face, _far_not_typed


@pytest.mark.parametrize(
    ("typed", "survey", "far", "told"),
    [
        (None, None, Made(largest=0.05, area=0.002), True),
        ("shape", None, Made(largest=0.05, area=0.002), False),
        (None, "survey", Made(largest=0.05, area=0.002), False),
        (None, None, None, False),
    ],
)
def test_a_far_skin_that_nobody_typed_or_surveyed_is_asked_for(
    typed: Any, survey: Any, far: Any, told: bool
) -> None:
    case: Any = Made(document=Made(damage=Made(far_shape=typed), survey=survey), view="mm")
    part: Any = Made(far=far)
    assert bool(_far_not_typed(case, part)) is told


@pytest.mark.parametrize(("shape", "outline"), [(None, "outline"), ("shape", None)])
def test_a_far_outline_that_was_not_typed_stands_on_no_face(shape: Any, outline: Any) -> None:
    case: Any = Made(document=Made(damage=Made(far_shape=shape)), geometry=Made(far_damage=outline))
    part: Any = Made(far=Made(area=0.002))
    assert _far_face(case, part) == []
