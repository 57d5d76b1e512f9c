"""Lay-up by margins, and a scarf, worked by hand.

- Three plies over a 3.0 in circle, margins read per side and in total.
- Taper of 50 to 1 (FAA AC 43.13-1B, para 3-3a): a 0.030 in skin takes 1.5 in a side.
- Angles seen from the other side: +45 and -45 swap (TM 1-1500-204-23-11, para 5-7).

Circles are exact here, so sizes must agree to 1e-9 m.
"""

from __future__ import annotations

import math

import pytest

from examples_here import case_from, text
from panelmend.derive import Ledger
from panelmend.job import cutout, limits, plies
from panelmend.job.plies.part import PliesPart
from panelmend.units import INCH

REPAIR = """repair = { place = "x 1", value = [
  { cloth = "demo-glass-8h", warp = "0 deg" },
  { cloth = "demo-glass-8h", warp = "45 deg" },
  { cloth = "demo-glass-8h", warp = "0 deg" },
] }"""


def _document(plies_data: str, side: str = "outside") -> str:
    """The gear door with a 3 in circle of damage and the given plies."""
    doc = text("gear_door")
    start, end = doc.index("shape = { outline = { unit"), doc.index("depth = ")
    doc = doc[:start] + 'shape = { circle = { centre = "480, 390 mm", diameter = "3 in" } }\n' + doc[end:]
    doc = doc.replace('margin = { value = "6 mm"', 'margin = { value = "0 mm"')
    doc = doc.replace('size_step = { value = "1 mm"', 'size_step = { value = "0.25 in"')
    start, end = doc.index("[data.plies]"), doc.index("[data.core]")
    doc = doc[:start] + plies_data + "\n" + doc[end:]
    return doc.replace('side = "outside"\nmoisture', f'side = "{side}"\nmoisture')


def _plies(document: str) -> PliesPart:
    case, ledger = case_from(document), Ledger()
    sizes = limits.make(case, ledger)
    opening = cutout.make(case, ledger, sizes)
    made = plies.make(case, ledger, opening)
    assert ledger.replay() == []
    return made


def _stepped(kind: str) -> str:
    return f"""[data.plies]
first_margin = {{ value = "1 in", place = "x 1" }}
further_margin = {{ value = "0.5 in", place = "x 1" }}
margins_are = {{ value = "{kind}", place = "x 1" }}
[data.plies.outside]
{REPAIR}
"""


@pytest.mark.parametrize(("kind", "sizes"), [("per side", (5.0, 6.0, 7.0)), ("in total", (4.0, 4.5, 5.0))])
def test_three_plies_over_a_three_inch_circle(kind: str, sizes: tuple[float, ...]) -> None:
    made = _plies(_document(_stepped(kind)))
    for ply, size in zip(made.sides[0].plies, sizes, strict=True):
        assert ply.outline.extent(0.0) / INCH == pytest.approx(size, abs=1e-7)
        assert ply.outline.extent(1.0) / INCH == pytest.approx(size, abs=1e-7)
        assert float(ply.margin_total) == pytest.approx(2 * float(ply.margin), rel=1e-15)


def test_a_total_of_one_inch_each_time() -> None:
    data = _stepped("in total").replace('"0.5 in"', '"1 in"')
    made = _plies(_document(data))
    assert [p.outline.extent(0.0) / INCH for p in made.plies] == pytest.approx([4.0, 5.0, 6.0], abs=1e-7)


def test_a_scarf_of_fifty_to_one() -> None:
    """0.030 in of skin in three plies of 0.010 in: 1.5 in a side, 6.0 in outside, half an inch a ply."""
    data = f"""[data.plies]
scheme = {{ value = "scarf", place = "x 1" }}
[data.plies.outside]
{REPAIR}
"""
    doc = _document(data).replace('cured_thickness = "0.25 mm"', 'cured_thickness = "0.010 in"')
    made = _plies(doc)
    taper = made.sides[0].taper
    assert taper is not None
    assert float(taper) / INCH == pytest.approx(1.5, abs=1e-9)
    assert [p.outline.extent(0.3) / INCH for p in made.plies] == pytest.approx([4.0, 5.0, 6.0], abs=1e-7)


def test_angles_swap_when_seen_from_the_inside() -> None:
    data = _stepped("per side").replace("[data.plies.outside]", "[data.plies.inside]")
    made = _plies(_document(data, "inside"))
    ply = made.sides[0].plies[1]
    assert made.sides[0].seen_from == "inside"
    assert math.degrees(float(ply.warp)) == pytest.approx(45.0)
    assert math.degrees(float(ply.warp_seen)) == pytest.approx(-45.0)
    back = ply.template.mirrored_y().moved(*made.sides[0].centre)
    assert back.digest() == ply.outline.digest()
