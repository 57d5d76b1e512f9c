"""A point on the plate's edge lies on it, though the edge was computed and misses it by a last digit."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from panelmend.errors import InputError
from panelmend.physics.plate.loads import node_weights

GRID = SimpleNamespace(x=np.array([2.8e-17, 0.1, 0.3]), y=np.array([0.0, 0.2, 0.4]))


def test_a_corner_missed_by_rounding_is_on_the_plate() -> None:
    nodes, weight = node_weights(GRID, 0.0, 0.0)  # type: ignore[arg-type]
    assert nodes[0] == 0
    assert weight.tolist() == [1.0, 0.0, 0.0, 0.0]


@pytest.mark.parametrize(
    ("x", "off"), [(-0.9e-9, False), (-1.1e-9, True), (0.3 + 0.9e-9, False), (0.3 + 1.1e-9, True)]
)
def test_the_slack_is_a_nanometre(x: float, off: bool) -> None:
    if off:
        with pytest.raises(InputError, match="off the plate"):
            node_weights(GRID, x, 0.1)  # type: ignore[arg-type]
    else:
        assert sum(node_weights(GRID, x, 0.1)[1]) == pytest.approx(1.0)  # type: ignore[arg-type]
