"""Temperature maps: what is drawn lies where the temperatures are, and its colours are read in grey too."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import Polygon

from panelmend.job.cure.prediction import HeatMap
from panelmend.render.heat_colours import COLDER, even_colours, scale_for
from panelmend.render.heat_field import Field
from panelmend.render.placing import Placer, placed_apart
from panelmend.render.strokes import Label
from panelmend.shapes import circle, rectangle
from panelmend.units import to_unit

FRAME = ((0.4, 0.3), math.radians(20.0))


def linear(u: float, v: float) -> float:
    return 350.0 + 40.0 * u - 15.0 * v


def _map(columns: int = 24, rows: int = 18, gap: float = 0.0, holes: bool = False) -> HeatMap:
    """A field that rises evenly, on lines that stand apart unevenly where ``gap`` is not 0."""
    us = np.cumsum([0.0, *(0.01 + gap * (i % 3) for i in range(columns))]) - 0.12
    vs = np.cumsum([0.0, *(0.01 + gap * (j % 2) for j in range(rows))]) - 0.09
    cu, cv = 0.5 * (us[1:] + us[:-1]), 0.5 * (vs[1:] + vs[:-1])
    kelvin = tuple(tuple(None if holes and u > 0.05 else linear(float(u), float(v)) for u in cu) for v in cv)
    return HeatMap("m", 0.0, "repair side", tuple(map(float, us)), tuple(map(float, vs)), kelvin)


def _frame(at: tuple[float, float], mirrored: bool) -> tuple[float, float]:
    """From what is seen back into the frame."""
    (cx, cy), angle = FRAME
    x, y = at[0] - cx, (-at[1] if mirrored else at[1]) - cy
    c, s = math.cos(angle), math.sin(angle)
    return (c * x + s * y, -s * x + c * y)


@pytest.mark.parametrize("mirrored", [False, True])
@pytest.mark.parametrize("gap", [0.0, 0.004])
def test_an_isoline_lies_where_the_field_has_its_temperature(gap: float, mirrored: bool) -> None:
    field = Field(_map(gap=gap), FRAME)
    lines = field.lines(350.7, mirrored)
    assert len(lines) == 1
    assert len(lines[0]) > 10
    u, v, _ = field.cells
    for at in lines[0]:
        pu, pv = _frame(at, mirrored)
        if u[0] <= pu <= u[-1] and v[0] <= pv <= v[-1]:  # in the outermost half cells a value runs level
            assert linear(pu, pv) == pytest.approx(350.7, abs=1e-9)


@pytest.mark.parametrize("mirrored", [False, True])
def test_what_is_above_a_temperature_has_the_area_the_field_has(mirrored: bool) -> None:
    field = Field(_map(), FRAME)
    rings = field.above(350.7, (-1.0, -1.0, 2.0, 2.0), mirrored)
    assert len(rings) == 1
    shape = Polygon(rings[0])
    fine = np.linspace(-0.12, 0.12, 961)[:-1] + 0.000125
    lines = np.linspace(-0.09, 0.09, 721)[:-1] + 0.000125
    share = np.mean([[linear(u, v) > 350.7 for u in fine] for v in lines])
    assert shape.area == pytest.approx(share * 0.24 * 0.18, rel=5e-3)
    inside = [_frame(p, mirrored) for p in (shape.representative_point().coords[0],)]
    assert all(linear(*p) > 350.7 for p in inside)


def test_a_window_cuts_what_is_drawn_and_nothing_is_drawn_where_there_is_nothing() -> None:
    field = Field(_map(holes=True), FRAME)
    window = (0.35, 0.2, 0.42, 0.34)
    for ring in field.above(300.0, window, False):
        for x, y in ring:
            assert window[0] - 1e-9 <= x <= window[2] + 1e-9
            assert window[1] - 1e-9 <= y <= window[3] + 1e-9
    whole = field.above(300.0, (-1.0, -1.0, 2.0, 2.0), False)
    assert max(_frame(p, False)[0] for ring in whole for p in ring) == pytest.approx(0.05, abs=1e-6)


def test_extremes_are_those_of_the_cells_inside() -> None:
    field = Field(_map(gap=0.003), FRAME)
    within = circle(field.place(0.02, 0.01), 0.12)
    found = field.extremes(within)
    assert found is not None
    u, v, kelvin = field.cells
    cells = [
        (kelvin[j, i], field.place(u[i], v[j]))
        for j, i in itertools.product(range(len(v)), range(len(u)))
        if math.dist(field.place(u[i], v[j]), field.place(0.02, 0.01)) < 0.06
    ]
    assert found[0] == min(cells)
    assert found[1] == max(cells)
    assert field.extremes(rectangle((5.0, 5.0), 0.1, 0.1)) is None


def _lab(colour: str) -> tuple[float, float, float]:
    """CIELAB of an sRGB colour, worked out by the inverse way (IEC 61966-2-1, CIE 15)."""
    rgb = [int(colour[i : i + 2], 16) / 255.0 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in rgb)
    xyz = (
        0.4124 * r + 0.3576 * g + 0.1805 * b,
        0.2126 * r + 0.7152 * g + 0.0722 * b,
        0.0193 * r + 0.1192 * g + 0.9505 * b,
    )
    f = [
        t ** (1 / 3) if t > (6 / 29) ** 3 else t / (3 * (6 / 29) ** 2) + 4 / 29
        for t in (a / w for a, w in zip(xyz, (0.95047, 1.0, 1.08883), strict=True))
    ]
    return 116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])


@pytest.mark.parametrize("count", range(2, 10))
def test_colours_darken_evenly_from_cold_to_hot(count: int) -> None:
    labs = [_lab(c) for c in (COLDER, *even_colours(count))]
    falls = [a[0] - b[0] for a, b in itertools.pairwise(labs)]
    assert all(fall > 3.0 for fall in falls), "each step is told from the next in grey"
    steps = [math.dist(a, b) for a, b in itertools.pairwise(labs[1:])]
    assert max(steps) < 1.1 * min(steps), "even to the eye; few steps cut the corners of the path"


@given(st.floats(250.0, 500.0), st.floats(0.0, 150.0), st.sampled_from(["mm", "in"]), st.floats(0.0, 1.0))
def test_a_scale_holds_its_range_in_few_round_steps(
    low: float, range_: float, view: str, share: float
) -> None:
    scale = scale_for(low, low + range_, view)
    assert 2 <= len(scale.colours) <= 9
    ends = [to_unit(k, "temperature", scale.unit) for k in (low, low + range_)]
    assert scale.edges[0] <= ends[0] + 1e-6
    assert ends[1] <= scale.edges[-1] + 1e-6
    for edge in scale.edges:
        assert to_unit(scale.kelvin(edge), "temperature", scale.unit) == pytest.approx(edge, abs=1e-9)
    kelvin = low + share * range_
    shown = to_unit(kelvin, "temperature", scale.unit)
    step = scale.colours.index(scale.colour(kelvin))
    assert scale.edges[step] <= shown + 1e-6
    assert shown <= scale.edges[step + 1] + 1e-6
    assert scale.colour(scale.kelvin(scale.edges[0]) - 5.0) == COLDER


@given(st.lists(st.floats(-50.0, 50.0), max_size=12), st.floats(0.5, 6.0))
def test_spread_keeps_order_and_distance_and_moves_nothing_without_need(
    wanted: list[float], apart: float
) -> None:
    places = placed_apart(wanted, apart)
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], i))
    for a, b in itertools.pairwise(order):
        assert places[b] - places[a] >= apart - 1e-9
    gaps = [wanted[b] - wanted[a] for a, b in itertools.pairwise(order)]
    if all(g >= apart for g in gaps):
        assert places == pytest.approx(wanted)
    if places:
        mean = sum(places) / len(places)
        assert mean == pytest.approx(sum(wanted) / len(wanted), abs=1e-6)


def test_spread_stays_between_its_ends_while_there_is_room() -> None:
    places = placed_apart([1.0, 1.0, 1.0, 9.9], 2.0, 0.0, 10.0)
    assert min(places) >= -1e-9
    assert max(places) <= 10.0 + 1e-9
    assert all(b - a >= 2.0 - 1e-9 for a, b in itertools.pairwise(sorted(places)))


def test_labels_cover_neither_each_other_nor_what_is_kept() -> None:
    placer = Placer((-40.0, -40.0, 40.0, 40.0))
    points = [(0.0, 0.0), (2.0, 1.0), (-1.5, 2.5), (3.0, -2.0)]
    boxes = [(x - 1.0, y - 1.0, x + 1.0, y + 1.0) for x, y in points]
    for box in boxes:
        placer.keep(box)
    placer.shun((-6.0, -6.0, 6.0, 6.0))
    labels = [
        item
        for n, (x, y) in enumerate(points)
        for item in placer.place(x, y, f"T{n}", 2.4)
        if isinstance(item, Label)
    ]
    assert len(labels) == len(points)
    taken = [*boxes, *(label.box() for label in labels)]
    for a, b in itertools.combinations(taken[len(boxes) :], 2):
        assert min(a[2], b[2]) <= max(a[0], b[0]) or min(a[3], b[3]) <= max(a[1], b[1])
    for label in labels:
        for box in boxes:
            a = label.box()
            assert min(a[2], box[2]) <= max(a[0], box[0]) or min(a[3], box[3]) <= max(a[1], box[1])
