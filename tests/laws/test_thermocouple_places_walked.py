"""Free places along a thermocouples' line are tried from the nearest on: the walk is the order of a sort."""

from __future__ import annotations

import pytest

from panelmend.job.bag.sensors import nearest_first


@pytest.mark.parametrize("count", [1, 2, 3, 4, 7, 12])
def test_the_walk_is_the_order_of_all_points_by_steps_and_number(count: int) -> None:
    for wanted in range(count):
        steps = {j: min(abs(j - wanted), count - abs(j - wanted)) for j in range(count)}
        assert list(nearest_first(wanted, count)) == sorted(range(count), key=lambda j: (steps[j], j))
