"""Laws of doubly curved surfaces and of cloth laid on them: spheres, tori, the sum rule, the case K = 0.

The tables and the rules are own derivations, no print was found: the sphere by its ordinary differential
equation, the torus by its metric, both against the fishnet, which is built in space from chords.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from panelmend.errors import RangeError, ShapeError
from panelmend.shapes import rectangle
from panelmend.shapes.drape import Net, drape
from panelmend.shapes.torus import Torus

SPHERE = Torus(1.0, 1.0, 1)
DOUGHNUT = Torus(0.6, 2.0, 1)
SADDLE = Torus(0.6, 2.0, -1)


def distance(surface: Torus, a: tuple[float, float], b: tuple[float, float]) -> float:
    """Along the surface [m] between two places of the developed plane [m]."""
    ends = np.array([surface.local(*b)], float)
    return float(surface.ways(surface.local(*a), ends)[0][0])


def place_of(net: Net, p: np.ndarray, q: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Developed u, v [m] of yarn lengths [m]."""
    along, across, _ = net._splines
    return along(p, q, grid=False), across(p, q, grid=False)


def angle_on_a_sphere(z: float) -> float:
    """Angle between the yarns [degrees] at u v / R^2 = z: d/dz (z dw/dz) = -sin w."""

    def rate(t: float, s: np.ndarray) -> list[float]:
        return [s[1] / t, -math.sin(s[0])]

    t0 = 1e-9
    made = solve_ivp(rate, (t0, z), [0.5 * math.pi - t0, -t0], rtol=1e-11, atol=1e-13)
    return math.degrees(float(made.y[0, -1]))


def angle(net: Net, p: float, q: float) -> float:
    """Angle between the yarns [degrees] at two yarn lengths."""
    return 90.0 - math.degrees(float(net.shear_at(np.array([p]), np.array([q]))[0]))


@pytest.mark.parametrize(
    ("length", "degrees"), [(0.25, 86.4198), (0.5, 75.7256), (0.75, 58.3254), (1.0, 35.6817)]
)
def test_the_fishnet_on_a_sphere_has_the_angles_of_its_equation(length: float, degrees: float) -> None:
    """Table of two own methods; the third one here is the net in space, within 0.01 degrees at 48 cells."""
    assert angle_on_a_sphere(length**2) == pytest.approx(degrees, abs=1e-4)
    assert angle(drape(SPHERE, 0.4, 1.05, 48), length, length) == pytest.approx(degrees, abs=0.01)


def test_a_finer_net_comes_nearer_as_the_square_of_its_cells() -> None:
    errors = [abs(angle(drape(SPHERE, 0.0, 0.9, n), 0.75, 0.75) - 58.32545) for n in (12, 24)]
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.25)


def test_the_rim_of_a_hemisphere_on_the_bias_shears_52_43_degrees() -> None:
    """Yarn length .98051 R each way, and the point there lies on the rim: a quarter turn from the pole."""
    net = drape(SPHERE, 0.0, 1.05, 48)
    assert 90.0 - angle(net, 0.98051, 0.98051) == pytest.approx(52.43, abs=0.02)
    u, v = place_of(net, np.array([0.98051]), np.array([0.98051]))
    place = SPHERE.embedded(u, v)[0]
    assert float(place[2]) + 1.0 == pytest.approx(0.0, abs=3e-4)  # as high as the centre of the sphere


@pytest.mark.parametrize("surface", [SPHERE, DOUGHNUT, SADDLE], ids=["sphere", "torus", "saddle"])
@pytest.mark.parametrize("warp", [0.0, 0.5, 1.2])
def test_shear_is_the_curvature_summed_over_the_block(surface: Torus, warp: float) -> None:
    """Hazzidakis: from two geodesic first yarns, 90 degrees less the angle is the integral of K."""
    reach = 0.5 * min(surface.radius, surface.second)
    net = drape(surface, warp, reach, 32)
    n = 32
    middle = 0.25 * (net.v[1:, 1:] + net.v[1:, :-1] + net.v[:-1, 1:] + net.v[:-1, :-1])
    summed = surface.gauss(middle) * net.area
    for i, j in ((28, 28), (20, 28), (30, 9)):
        block = float(summed[n : n + i, n : n + j].sum())
        there = float(net.shear_at(np.array([net.yarn[n + i]]), np.array([net.yarn[n + j]]))[0])
        assert there == pytest.approx(block, rel=4e-3)


@pytest.mark.parametrize("surface", [SPHERE, DOUGHNUT, SADDLE], ids=["sphere", "torus", "saddle"])
def test_near_the_middle_shear_is_curvature_times_both_lengths(surface: Torus) -> None:
    reach = 0.1 * min(surface.radius, surface.second)
    net = drape(surface, 0.3, reach, 16)
    first = float(surface.gauss(0.0)) * (0.8 * reach) * (0.7 * reach)
    assert math.radians(90.0 - angle(net, 0.8 * reach, 0.7 * reach)) == pytest.approx(first, rel=0.02)
    assert angle(net, 0.8 * reach, -0.7 * reach) - 90.0 == pytest.approx(math.degrees(first), rel=0.02)


def test_cloth_on_a_surface_bent_one_way_does_not_shear() -> None:
    """K = 0: a torus whose second radius is 100 km is a cylinder to a few parts in a million."""
    coarse, fine = (drape(Torus(0.6, 1e5, 1), 0.7, 0.3, n) for n in (32, 64))
    assert float(np.max(np.abs(coarse.shear))) < 3e-5  # radians; what chords leave, and it falls with them
    assert float(np.max(np.abs(fine.shear))) < 0.8e-5


def test_yarns_keep_their_length() -> None:
    """Every side of every cell is as long as every other, as laid in space."""
    net = drape(SADDLE, 0.9, 0.3, 24)
    place = SADDLE.embedded(net.u, net.v)
    along = np.linalg.norm(np.diff(place, axis=0), axis=-1)
    across = np.linalg.norm(np.diff(place, axis=1), axis=-1)
    sides = np.concatenate([along.ravel(), across.ravel()])
    assert sides.max() / sides.min() - 1.0 < 2e-5
    assert np.max(np.abs(SADDLE.off(place)[0])) < 1e-12


def test_places_go_back_to_their_yarn_lengths() -> None:
    net = drape(DOUGHNUT, 0.4, 0.25)
    p, q = np.array([0.1, -0.2, 0.03]), np.array([0.2, 0.11, -0.19])
    u, v = place_of(net, p, q)
    back = net.lengths_at(u, v, 0.4)
    assert np.allclose(back, (p, q), atol=1e-9)
    with pytest.raises(RangeError, match="does not reach"):
        net.lengths_at(np.array([0.6]), np.array([0.6]), 0.4)


def test_cloth_that_closes_altogether_is_refused() -> None:
    """On a sphere w falls to 5 degrees at z = 1.83: a net a little short of that is laid, past it refused."""
    closes = [angle_on_a_sphere(z) for z in (1.7, 1.95)]
    assert closes[0] > 5.0 > closes[1]
    assert angle(drape(SPHERE, 0.0, 1.3, 48), 1.27, 1.27) == pytest.approx(
        angle_on_a_sphere(1.27**2), abs=0.1
    )
    for reach in (1.4, 1.6):
        with pytest.raises(RangeError, match="close or part"):
            drape(SPHERE, 0.0, reach, 48)


def test_distances_on_a_sphere_are_those_of_great_circles() -> None:
    def unit(u: float, v: float) -> np.ndarray:
        return np.array([math.cos(v) * math.sin(u), math.sin(v), math.cos(v) * math.cos(u)])

    rng = np.random.default_rng(3)
    for _ in range(20):
        a, b = rng.uniform(-0.6, 0.6, (2, 2))
        exact = math.acos(float(unit(*a) @ unit(*b)))
        assert distance(SPHERE, tuple(a), tuple(b)) == pytest.approx(exact, abs=2e-7)


def test_distance_on_a_torus_is_no_longer_than_any_other_way() -> None:
    """Against the shortest of many paths through the metric; both ways the same."""
    for surface in (DOUGHNUT, SADDLE):
        a, b = (-0.2, 0.15), (0.25, 0.2)
        found = distance(surface, a, b)
        assert distance(surface, b, a) == pytest.approx(found, abs=1e-9)

        def length(bow: float, s: Torus = surface) -> float:
            def piece(t: float) -> float:
                v = 0.15 + 0.05 * t + bow * t * (1.0 - t)
                return math.hypot(0.45 * float(s.stretch(v)), 0.05 + bow * (1.0 - 2.0 * t))

            return quad(piece, 0.0, 1.0)[0]

        least = min(length(k) for k in np.linspace(-0.08, 0.08, 161))
        assert found <= least + 1e-9
        assert found == pytest.approx(least, abs=2e-5)


def test_the_axis_turns_distances_with_it() -> None:
    turned = Torus(0.6, 2.0, 1, 0.5)
    c, s = math.cos(0.5), math.sin(0.5)
    at = (0.1 * c - 0.2 * s, 0.1 * s + 0.2 * c)
    assert distance(turned, (0.0, 0.0), at) == pytest.approx(
        distance(DOUGHNUT, (0.0, 0.0), (0.1, 0.2)), abs=1e-9
    )
    assert distance(DOUGHNUT, (0.0, 0.0), (0.0, 0.599)) == pytest.approx(0.599)


def test_sagitta_is_how_far_the_surface_falls_from_its_tangent_plane() -> None:
    assert float(SPHERE.sagitta(0.0, 0.3)) == pytest.approx(1.0 - math.cos(0.3))
    assert float(SPHERE.sagitta(0.3, 0.0)) == pytest.approx(1.0 - math.cos(0.3))
    for surface in (DOUGHNUT, SADDLE):
        u, v = np.array([0.1, -0.2]), np.array([0.15, 0.05])
        z = surface.embedded(u, v)[:, 2]
        assert np.allclose(surface.sagitta(u, v), -surface.sense * z)
    assert float(SADDLE.sagitta(0.3, 0.0)) < 0.0


@pytest.mark.parametrize("bad", [(0.0, 1.0, 1), (1.0, -1.0, 1), (1.0, math.nan, 1), (1.0, 1.0, 0)])
def test_surfaces_that_are_none_are_refused(bad: tuple[float, float, int]) -> None:
    with pytest.raises(ShapeError):
        Torus(*bad)


def test_a_square_patch_on_a_torus_misses_what_was_reckoned_by_hand() -> None:
    """Radii 2000/600 mm, developed as a cylinder: f = 1 - .3 (1 - cos(v/.6)); v .1 and .2 m."""
    from panelmend.job.curved_formulas import edge_mismatch, template_strain

    for side, strain, mismatch in ((0.2, 0.0042, 0.0008), (0.4, 0.0165, 0.0066)):
        square = rectangle((0.1, 0.05), side, side)
        place = {"x": 0.1, "y": 0.05, "axis": 0.0, "radius": 0.6, "second": 2.0, "sense": 1}
        by_hand = 0.3 * (1.0 - math.cos(0.5 * side / 0.6))
        assert template_strain(outline=square, **place) == pytest.approx(by_hand, rel=1e-9)
        assert template_strain(outline=square, **place) == pytest.approx(strain, abs=5e-5)
        assert edge_mismatch(outline=square, **place) == pytest.approx(mismatch, abs=5e-5)
        assert edge_mismatch(outline=square, **place) == pytest.approx(by_hand * side, rel=1e-6)
