"""Stiffness, loads and reserves of laminates, sandwiches and bonds that are small enough for paper."""

from __future__ import annotations

import math

import pytest

from panelmend.job.nest import formulas as nest
from panelmend.job.nest.part import Layout, Nest, NestProblem, Piece, Placement, Strip
from panelmend.job.strength import formulas as f
from panelmend.job.strength.loads import Resultants
from panelmend.job.strength.stacks import BondThing, Section, Stack
from panelmend.materials.model import Structural
from panelmend.physics.joint import AdhesiveLayer, Bond, BondStep
from panelmend.physics.joint.bond import Ends
from panelmend.physics.sandwich import SandwichCore
from panelmend.physics.structure_inputs import NotComputed

AT = 0.3  # [rad] direction of the plies' warp
T = 0.5e-3  # [m]
PLY = Structural.model_construct(
    e1=60e9, e2=20e9, nu12=0.25, g12=5e9, xt=600e6, xc=400e6, yt=100e6, yc=200e6, s=50e6
)
CORE = SandwichCore(GL=200e6, GW=100e6)


def stack(thickness: float = T, angle: float = AT) -> Stack:
    return Stack("made", ((PLY, angle, thickness),))


def section(outer: float = T, angle: float = AT) -> Section:
    return Section(stack(angle=angle), stack(outer, angle), CORE, 10e-3, 0.0)


@pytest.mark.parametrize(
    ("turn", "stiffness"),
    [
        (0.0, 30e6),
        (0.5 * math.pi, 10e6),
        # 1 / E = (1 / E1 + 1 / E2 + 1 / G - 2 nu / E1) / 4 at 45 degrees
        (0.25 * math.pi, 4 * T / (1 / 60e9 + 1 / 20e9 + 1 / 5e9 - 0.5 / 60e9)),
        (-0.25 * math.pi, 4 * T / (1 / 60e9 + 1 / 20e9 + 1 / 5e9 - 0.5 / 60e9)),
    ],
)
def test_stiffness_of_a_face(turn: float, stiffness: float) -> None:
    assert f.membrane_along(stack=stack(), direction=AT + turn) == pytest.approx(stiffness, rel=1e-9)


def test_a_sandwich_along_its_plies() -> None:
    # each face 30 MN/m at 5.25 mm, and its own E t^3 / 12
    own = 60e9 * T**3 / 12
    even = section()
    assert f.stretch_along(section=even, direction=AT) == pytest.approx(60e6, rel=1e-9)
    assert f.neutral_height(section=even, direction=AT) == pytest.approx(0.0, abs=1e-12)
    assert f.bending_along(section=even, direction=AT) == pytest.approx(
        2 * (30e6 * 5.25e-3**2 + own), rel=1e-9
    )
    across = f.bending_along(section=even, direction=AT + 0.5 * math.pi)
    assert across == pytest.approx(2 * (30e6 * 5.25e-3**2 + own) / 3, rel=1e-9)


def test_a_sandwich_with_one_face_of_twice_the_thickness() -> None:
    odd = section(2 * T)
    assert f.stretch_along(section=odd, direction=AT) == pytest.approx(90e6, rel=1e-9)
    # (60 * 5.5 - 30 * 5.25) / 90 mm
    assert f.neutral_height(section=odd, direction=AT) == pytest.approx(172.5e-3 / 90, rel=1e-9)


def test_load_of_a_face() -> None:
    flat = section(angle=0.0)

    def face(n: tuple[float, float, float], m: float, direction: float, upper: float) -> float:
        loads = Resultants(n, (m, 0.0, 0.0), (0.0, 0.0), 0.0)
        return float(f.face_load(section=flat, loads=loads, direction=direction, upper=upper))

    pull, bend = (1000.0, 0.0, 0.0), 100.0
    assert face(pull, 0.0, 0.0, 1.0) == pytest.approx(500.0)
    assert face(pull, 0.0, 0.5, 0.0) == pytest.approx(500.0 * math.cos(0.5) ** 2)
    assert face((0.0, 800.0, 0.0), 0.0, 0.5, 0.0) == pytest.approx(400.0 * math.sin(0.5) ** 2)
    assert face((0.0, 0.0, 400.0), 0.0, 0.25 * math.pi, 1.0) == pytest.approx(200.0)
    # the faces' stiffness in common taken out: M t z / (2 t z^2 + t^3 / 6)
    bent = bend * T * 5.25e-3 / (2 * T * 5.25e-3**2 + T**3 / 6)
    assert face((0.0, 0.0, 0.0), bend, 0.0, 1.0) == pytest.approx(bent)
    assert face((0.0, 0.0, 0.0), bend, 0.0, 0.0) == pytest.approx(bent)
    assert face(pull, bend, 0.0, 1.0) == pytest.approx(bent + 500.0)
    assert face(pull, bend, 0.0, 0.0) == pytest.approx(bent - 500.0)


def test_first_ply_along_its_warp() -> None:
    assert f.first_ply_sense(stack=stack(), direction=AT, sense=1.0) == pytest.approx(600e6 * T)
    assert f.first_ply_sense(stack=stack(), direction=AT, sense=-1.0) == pytest.approx(400e6 * T)
    assert f.first_ply_load(stack=stack(), direction=AT) == pytest.approx(600e6 * T)
    across = f.first_ply_load(stack=stack(), direction=AT + 0.5 * math.pi)
    assert across == pytest.approx(200e6 * T), "stronger in compression there"


def test_distance_to_a_line() -> None:
    assert f.distance_to_line((3.0, 4.0), ((0.0, 0.0), (2.0, 0.0))) == pytest.approx(4.0)
    assert f.distance_to_line((1.0, 6.0), ((1.0, 1.0), (4.0, 5.0))) == pytest.approx(3.0)
    assert f.distance_to_line((2.0, 1.0), ((1.0, 1.0), (4.0, 5.0))) == pytest.approx(0.8)


LAP = Bond((BondStep(0.040, 20e6, 20e6),), AdhesiveLayer(G=1e9, t=0.2e-3, tau_p=40e6))


@pytest.mark.parametrize("load", [100e3, 50e3, 3e3])
def test_a_lap_of_equal_sheets(load: float) -> None:
    """Volkersen: peak P lambda / 2 coth(lambda L / 2), lambda^2 = G / t (1 / K + 1 / K)."""
    decay = math.sqrt(1e9 / 0.2e-3 * 2 / 20e6)
    peak = 0.5 * load * decay / math.tanh(0.5 * decay * 0.040)
    thing = BondThing(LAP, ("lap",), through=False)
    assert f.bond_reserve(bond=thing, load=load) == pytest.approx(40e6 / peak, rel=1e-6)


def test_a_bond_that_carries_nothing_is_asked_as_it_is() -> None:
    assert isinstance(f.load_held(LAP, Ends(0.0, 0.0, 0.0)), NotComputed)


def test_a_bond_is_solved_once_for_loads_in_proportion() -> None:
    f._held.cache_clear()
    both = [f.load_held(LAP, Ends(load, 0.0, load)) for load in (70e3, 35e3)]
    assert both[1] == pytest.approx(2 * both[0], rel=1e-12)  # type: ignore[operator]
    assert f._held.cache_info().misses == 1
    for load in (70e3, 35e3):
        f.load_held(LAP, Ends(load, 0.0, load, dT=-60.0))
    assert f._held.cache_info().misses == 3, "with heat in it a bond is solved for its own load"


BOX = ((0.0, 0.0), (0.2, 0.0), (0.2, 0.1), (0.0, 0.1))


def test_what_a_nest_takes_of_each_strip() -> None:
    roll, rest = Strip("roll", 1.0, None, 0.01, 0.005), Strip("rest", 0.5, 0.4, 0.01, 0.005, remnant=True)
    piece = Piece("A", BOX, 0.0, half_turn=False, mirror=False, quantity=3)
    problem = NestProblem("cloth", (piece,), (rest, roll))
    low, high = Placement("A", 1, "roll", 0.01, 0.01, 0.0), Placement("A", 2, "roll", 0.01, 0.115, 0.0)
    made = Nest(
        (
            Layout(rest, (Placement("A", 3, "rest", 0.01, 0.02, 0.0),), 0.22, 0.18, 0.2),
            Layout(roll, (low, high), 0.23, 0.17, 0.2),
        ),
        (),
    )
    assert nest.roll_length(nest=made) == pytest.approx(0.23)
    assert nest.used_on(nest=made, strip="roll") == pytest.approx(0.23)
    assert nest.used_on(nest=made, strip="rest") == pytest.approx(0.22)
    assert nest.nest_width(nest=made, problem=problem, strip="roll") == pytest.approx(0.215)
    assert nest.nest_width(nest=made, problem=problem, strip="rest") == pytest.approx(0.12)
    assert nest.nest_width(nest=made, problem=problem, strip="none") == 0.0


def test_faces_whose_plies_lie_crosswise_carry_the_pull_and_the_moment_between_them() -> None:
    """A face of two plies bends when it is pulled; the faces' loads add up to the pull all the same."""
    crossed = Stack("made", ((PLY, 0.0, T), (PLY, 0.5 * math.pi, T)))
    odd = Section(stack(angle=0.0), crossed, CORE, 2e-3, 0.0)

    def faces(pull: float, moment: float) -> list[float]:
        loads = Resultants((pull, 0.0, 0.0), (moment, 0.0, 0.0), (0.0, 0.0), 0.0)
        return [f.face_load(section=odd, loads=loads, direction=0.0, upper=u) for u in (0.0, 1.0)]

    assert sum(faces(1000.0, 0.0)) == pytest.approx(1000.0)
    inner, outer = faces(0.0, 10.0)
    assert inner == pytest.approx(outer), "a moment alone pulls one as it presses the other"
