"""Distances along a bent surface from a piece to what it must keep clear of."""

from __future__ import annotations

import math
from types import SimpleNamespace as Made

import numpy as np
import pytest

from panelmend.job.clearances import Neighbour
from panelmend.job.curvature import point_on
from panelmend.job.plies.curved_around import clear_along
from panelmend.shapes import Outline, circle, ellipse
from panelmend.shapes.torus import Torus


def _neighbour(kind: str, outline: Outline | None = None, at: tuple[float, float] = (0.0, 0.0)) -> Neighbour:
    return Neighbour(
        "n",
        "it",
        "outside",
        "largest ply",
        kind,
        outline,
        outline,
        at,
        0.02,
        0.0,
        0.0,
        "",
        "",
        "stop",  # type: ignore[arg-type]
    )


@pytest.mark.parametrize("centre", [(0.0, 0.0), (0.05, 0.15)])
def test_clear_distance_on_a_sphere_is_a_great_circle_less_both_halves(centre: tuple[float, float]) -> None:
    ball, spot = Torus(0.6, 0.6, 1, 0.4), (0.28, -0.2)
    found = clear_along(ball, centre, circle(centre, 0.1), _neighbour("spot", at=spot))
    assert found.known
    places = [ball.embedded(*ball.local(*at)) + np.array([0.0, 0.0, 0.6]) for at in (centre, spot)]
    apart = 0.6 * math.acos(float(places[0] @ places[1]) / 0.36)
    assert found.clear == pytest.approx(apart - 0.05 - 0.01, abs=1e-6)


def test_the_place_that_is_nearest_along_the_surface_is_another_than_by_coordinates() -> None:
    """By coordinates an edge is nearest across the axis, where lengths are true; on the bowl it is nearer
    elsewhere: told as equal before."""
    bowl, piece = Torus(0.6, 0.7, 1), circle((0.0, 0.0), 0.1)
    edge = _neighbour("edge", ellipse((0.0, 0.0), 0.704, 0.7))
    assert edge.clear(piece) == pytest.approx(0.3, abs=1e-4)
    found = clear_along(bowl, (0.0, 0.0), piece, edge)
    angles = np.radians(range(0, 91, 2))
    ends = np.column_stack([0.352 * np.cos(angles), 0.35 * np.sin(angles)])
    by_hand = float(bowl.ways((0.0, 0.0), ends)[0].min())
    assert found.clear == pytest.approx(by_hand - 0.05, abs=2e-5)
    assert found.clear < 0.298


def test_a_neighbour_where_the_surface_is_not_known_counts_by_what_is_true_there() -> None:
    ball, piece = Torus(0.6, 0.6, 1), circle((0.0, 0.0), 0.1)
    inside, outside = (
        clear_along(ball, (0.0, 0.0), piece, _neighbour("spot", at=(0.0, y))) for y in (0.599, 0.601)
    )
    assert inside.known
    assert not outside.known
    assert outside.clear == pytest.approx(0.601 - 0.06)
    along = clear_along(ball, (0.0, 0.0), piece, _neighbour("spot", at=(0.601, 0.0)))
    assert (along.known, along.clear < 0.0) == (False, True)


@pytest.mark.parametrize(
    ("second", "along"), [(None, 100.0), (("outside", 2.0), 99.0), (("inside", 2.0), 101.0)]
)
def test_a_place_is_carried_round_each_bend_to_the_far_skin(
    second: tuple[str, float] | None, along: float
) -> None:
    """20 mm below a face of 1 m radius, 2 m along its axis: 100 mm become 98 mm round it, 99 or 101 along."""
    bend = Made(bulges="outside", second_radius=None, second_bulges=None)
    if second is not None:
        bend.second_bulges, bend.second_radius = second
    case = Made(
        document=Made(panel=Made(curvature=bend)),
        geometry=Made(cylinder=Made(radius=1.0, axis_angle=0.0), bulges="outside"),
        skin_depth=lambda side: 0.02 if side == "inside" else 0.0,
    )
    x, y = point_on(case, (0.1, 0.1), "outside", "inside")  # type: ignore[arg-type]
    assert (1e3 * x, 1e3 * y) == pytest.approx((along, 98.0))
    back = point_on(case, (x, y), "inside", "outside")  # type: ignore[arg-type]
    assert back == pytest.approx((0.1, 0.1))
