"""Damages of one job beside each other: how far apart, and which the data counts as one."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from shapely.geometry import MultiPoint
from shapely.geometry.base import BaseGeometry

from panelmend.document.geometry import shape_outline
from panelmend.errors import InputError
from panelmend.job.case import Area, Case
from panelmend.shapes import Point, clearance, to_polygon
from panelmend.units import show

JOINED_WITHIN = 1e-5  # m: how far the outline of joined damages may stand off their arcs


@dataclass(frozen=True)
class Pair:
    """Two damages and the distance between their outlines [m]; 0 where they share ground."""

    a: int
    b: int
    apart: float


def with_others(cases: Sequence[Case]) -> tuple[Case, ...]:
    """Each case with the damages of the others beside it."""
    areas = [
        None if c.geometry.damage is None else Area(c.document.damage.id, "damage", c.geometry.damage)
        for c in cases
    ]
    return tuple(
        replace(
            c,
            others=tuple(a for j, a in enumerate(areas) if j != i and a is not None),
            wet=wet_of(o for j, o in enumerate(cases) if j != i),
        )
        for i, c in enumerate(cases)
    )


def wet_of(cases: Iterable[Case]) -> tuple[tuple[str, bool], ...]:
    """The names of damages not known to be dry, with whether water was found there; else nobody looked."""
    told = [(c.document.damage.id, c.document.damage.moisture) for c in cases]
    return tuple((name, moisture == "found") for name, moisture in told if moisture != "none found")


def pairs_of(cases: Sequence[Case]) -> tuple[Pair, ...]:
    """Every two damages with the distance between them."""
    found = []
    for i, a in enumerate(cases):
        for j, b in enumerate(cases[:i]):
            if a.geometry.damage is not None and b.geometry.damage is not None:
                near = clearance(a.geometry.damage, b.geometry.damage)
                found.append(Pair(j, i, 0.0 if near.overlaps else near.distance))
    return tuple(found)


def counted_as_one(cases: Sequence[Case]) -> tuple[tuple[int, ...], ...]:
    """Which damages are to be repaired as one, by the distance the data gives; groups in order.

    Raises:
        InputError: two that count as one cannot be joined: another depth, another side, a far outline.
    """
    merge = cases[0].merge
    group = list(range(len(cases)))
    for pair in pairs_of(cases):
        if pair.apart < merge or pair.apart == 0.0:
            _may_join(cases[pair.a], cases[pair.b], pair, merge)
            old, new = group[pair.b], group[pair.a]
            group = [new if g == old else g for g in group]
    while (near := _reached(cases, group, merge)) is not None:
        group = [near[0] if g == near[1] else g for g in group]
    return tuple(tuple(i for i, g in enumerate(group) if g == first) for first in dict.fromkeys(group))


def _reached(cases: Sequence[Case], group: Sequence[int], merge: float) -> tuple[int, int] | None:
    """Two groups that the outline round one of them brings as near as the data counts as one; None for none.

    Raises:
        InputError: two that come to count as one so cannot be joined.
    """
    members = {g: [i for i, x in enumerate(group) if x == g] for g in dict.fromkeys(group)}
    for a, b in itertools.combinations(members, 2):
        if len(members[a]) == len(members[b]) == 1:
            continue
        hulls = [_hull([cases[i] for i in members[g]]) for g in (a, b)]
        apart = hulls[0].distance(hulls[1])
        if apart < merge or apart == 0.0:
            for i, j in itertools.product(members[a], members[b]):
                _may_join(cases[i], cases[j], Pair(i, j, apart), merge)
            return a, b
    return None


def _hull(cases: Sequence[Case]) -> BaseGeometry:
    points: list[Point] = []
    for case in cases:
        if case.geometry.damage is not None:
            points += to_polygon(case.geometry.damage, JOINED_WITHIN, side="outside")
    return MultiPoint(points).convex_hull


def joined_points(cases: Sequence[Case]) -> list[list[float]]:
    """The outline round several damages [m], as typed: all of them and the ground between them.

    The least convex outline, so that no waist is left between them; it holds every one.
    """
    points = []
    for case in cases:
        shape = case.document.damage.shape
        assert shape is not None, "a survey is refused where there are several damages"
        points += to_polygon(shape_outline(shape), JOINED_WITHIN, side="outside")
    hull = MultiPoint(points).convex_hull
    return [[round(x, 7), round(y, 7)] for x, y in list(hull.exterior.coords)[:-1]]


def _may_join(a: Case, b: Case, pair: Pair, merge: float) -> None:
    one, two = a.document.damage, b.document.damage
    unlike = [
        words
        for words, x, y in (
            ("depth", one.depth, two.depth),
            ("side", one.side, two.side),
            ("count of plies", one.plies, two.plies),
            ("depth of core", one.core_depth, two.core_depth),
        )
        if x != y
    ]
    if one.far_shape is not None or two.far_shape is not None:
        unlike.append("outline in the far skin")
    if not unlike:
        return
    view = a.view
    how = (
        "they overlap"
        if pair.apart == 0.0
        else f"{show(pair.apart, 'length', view)} apart, and nearer than {show(merge, 'length', view)} is one"
    )
    raise InputError(
        f"damages {one.id} and {two.id} count as one and cannot be joined: {how}",
        where=f"{a.name}, damage",
        read=f"another {', another '.join(unlike)}",
        expected="one damage, with the deeper of both and an outline round both",
        todo="write them as one, or ask the engineer responsible for what the data does not cover",
    )
