"""Closed forms of open holes and patches, with which the tests compare: limits, and numbers computed here.

S. G. Lekhnitskii, Anisotropic Plates, 1968 (circular hole); C. E. Inglis 1913 (ellipse); Kirsch 1898 (decay);
L. R. F. Rose, Int. J. Fracture 18 (1982) 135 (patch as inclusion), equal Poisson's ratio 1/3.
"""

from __future__ import annotations

import numpy as np
import pytest

from hole_oracle import (
    ellipse_factor,
    hole_factor,
    notched_ratio,
    patched_stress,
    stress_beside_hole,
)


def test_lekhnitskii_factor() -> None:
    """Isotropic 3; fabric 60/60/.05/4: 5.11096."""
    assert hole_factor(70e9, 70e9, 70e9 / 2.66, 0.33) == pytest.approx(3.0, rel=1e-12)
    assert hole_factor(60e9, 60e9, 4e9, 0.05) == pytest.approx(5.11096, rel=1e-6)


def test_inglis_ellipse() -> None:
    """1 + 2 a/b: 7 for an ellipse three times as wide as it is long."""
    assert ellipse_factor(70e9, 70e9, 70e9 / 2.6, 0.3, 3.0, 1.0) == pytest.approx(7.0, rel=1e-12)


def test_kirsch_decay() -> None:
    """(2 + q^2 + 3 q^4)/2 with q = a/x: 3 at the hole, 1.21875 at twice its radius."""
    assert stress_beside_hole(3.0, np.array([1.0, 2.0])) == pytest.approx([3.0, 1.21875])


def test_whitney_nuismer_limits() -> None:
    """A hole far smaller than d0 costs nothing; a huge one costs 1/Kt."""
    assert notched_ratio(3.0, 1e-6, 1e-3) == pytest.approx(1.0, abs=1e-5)
    assert notched_ratio(3.0, 1e3, 1e-3) == pytest.approx(1 / 3, rel=1e-4)


@pytest.mark.parametrize("s", [0.25, 1.0, 3.0])
def test_rose_patch(s: float) -> None:
    """Circle 1/(1 + 2S/3), wide 1/(1 + S), long 1."""
    assert patched_stress(s, 1.0, 1.0) == pytest.approx(1 / (1 + 2 * s / 3), rel=1e-12)
    assert patched_stress(s, 1e7, 1.0) == pytest.approx(1 / (1 + s), rel=1e-6)
    assert patched_stress(s, 1.0, 1e7) == pytest.approx(1.0, rel=1e-6)
