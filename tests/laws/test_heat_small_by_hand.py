"""Small questions of the heat model that no quick test asked, each by hand."""

from __future__ import annotations

import numpy as np
import pytest

from panelmend.errors import InputError
from panelmend.physics.heat import kernel
from panelmend.physics.heat.grid import lines


def test_an_absent_place_lies_between_those_above_and_below_it() -> None:
    """Three layers of two rows of four: 0 to 7, 8 to 15 and 16 to 23. Of place 9 a quarter is that below."""
    temperature = np.arange(24.0).reshape(3, 2, 4)
    temperature[1] = -1.0
    kernel._bridge(temperature, np.array([9, 14]), np.array([0.25, 1.0]))
    assert temperature[1, 0, 1] == 0.25 * 1.0 + 0.75 * 17.0
    assert temperature[1, 1, 2] == 6.0
    assert np.flatnonzero(temperature[1] != -1.0).tolist() == [1, 6]


def test_a_grid_between_ends_that_are_one_place_is_refused() -> None:
    assert lines([0.5], 0.4999999995, 0.5000000005, 0.1)[0] == pytest.approx(0.5)
    with pytest.raises(InputError, match="between the ends"):
        lines([0.5], 0.5, 0.5, 0.1)
    with pytest.raises(InputError, match="between the ends"):
        lines([0.5], 0.6, 0.5, 0.1)
