"""Formulas that take a whole section or a shape: equilibrium, and a form held to the axes of the panel."""

from __future__ import annotations

import math

import pytest

from panelmend.job.cutout.formulas import least_form
from panelmend.job.strength import formulas as strength
from panelmend.job.strength.loads import Resultants
from panelmend.job.strength.stacks import Section, Stack
from panelmend.materials.model import Structural
from panelmend.physics.sandwich.core import SandwichCore
from panelmend.shapes import outline

TAPE = Structural.model_validate(
    {"e1": "130 GPa", "e2": "9 GPa", "g12": "5 GPa", "nu12": 0.3, "s": "90 MPa"}
    | dict.fromkeys(("xt", "xc", "yt", "yc"), "500 MPa")
)
LOPSIDED = Section(
    Stack("in", ((TAPE, 0.0, 0.6e-3), (TAPE, 0.5 * math.pi, 0.2e-3))),
    Stack("out", ((TAPE, 0.0, 0.3e-3), (TAPE, 0.5 * math.pi, 0.7e-3))),
    SandwichCore(60e6, 30e6, name="paper"),
    0.01,
    0.0,
)


@pytest.mark.parametrize("direction", [0.0, 0.3, 0.5 * math.pi])
def test_the_faces_of_a_lopsided_sandwich_carry_the_whole_load(direction: float) -> None:
    """The core carries no load along itself: what both faces carry is what was put on, bent or not."""
    loads = Resultants((9e4, 7e4, 6e3), (60.0, 20.0, 0.0), (0.0, 0.0), 0.0)
    upper, lower = (
        strength.face_load(section=LOPSIDED, loads=loads, direction=direction, upper=place)
        for place in (1.0, 0.0)
    )
    c, s = math.cos(direction), math.sin(direction)
    assert upper + lower == pytest.approx(9e4 * c * c + 7e4 * s * s + 2.0 * 6e3 * s * c, rel=1e-9)


def test_bending_pulls_the_outside_face_by_moment_over_arm() -> None:
    """Equal thin faces 10.8 mm apart: M / d each, to what the faces bend by themselves."""
    even = Stack("face", ((TAPE, 0.0, 0.8e-3),))
    section = Section(even, even, LOPSIDED.core, 0.01, 0.0)
    loads = Resultants((1e4, 0.0, 0.0), (54.0, 0.0, 0.0), (0.0, 0.0), 0.0)
    upper, lower = (
        strength.face_load(section=section, loads=loads, direction=0.0, upper=place) for place in (1.0, 0.0)
    )
    assert upper == pytest.approx(5e3 + 54.0 / 0.0108, rel=5e-3)
    assert lower == pytest.approx(abs(5e3 - 54.0 / 0.0108), abs=50.0)


def test_a_form_held_to_the_axes_is_not_turned() -> None:
    turn = 0.4
    corners = [(0.05, 0.01), (-0.05, 0.01), (-0.05, -0.01), (0.05, -0.01)]
    c, s = math.cos(turn), math.sin(turn)
    slanted = outline([(x * c - y * s, x * s + y * c) for x, y in corners])
    free, held = (
        least_form(damage=slanted, margin=0.0, form="rectangle", lie=lie, step=1e-3, corner_radius=0.0)
        for lie in ("free", "held")
    )
    assert free.outline.area == pytest.approx(0.1 * 0.02, rel=0.08)
    wide, high = held.outline.extent(0.0), held.outline.extent(0.5 * math.pi)
    assert held.outline.area == pytest.approx(wide * high, rel=1e-9)
    assert wide == pytest.approx(0.1 * c + 0.02 * s, abs=2.1e-3)
    assert high == pytest.approx(0.1 * s + 0.02 * c, abs=2.1e-3)
