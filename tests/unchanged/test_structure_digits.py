"""Laminates, sandwiches, bonds and plates: what they gave for skew, unlike and unsymmetric input, no term of
which is zero or one."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from digits_kept import plain, same, unchanged
from panelmend.physics import joint, laminate
from panelmend.physics.joint import AdhesiveLayer, BeamStep, Bond, BondStep, Ends, PlugSpring
from panelmend.physics.joint.bond import length_where, shear_decay
from panelmend.physics.joint.capacity import _by_bisection
from panelmend.physics.joint.line import answer_at
from panelmend.physics.joint.scheme import mesh_of, system
from panelmend.physics.laminate import Lamina
from panelmend.physics.laminate.failure import (
    Criterion,
    first_ply_failure,
    max_strain,
    max_stress,
    reserve_factors,
    tsai_hill,
    tsai_wu,
)
from panelmend.physics.laminate.lamina import turned_expansion, turned_stiffness
from panelmend.physics.laminate.stack import free_strains, hygrothermal_loads, invariants
from panelmend.physics.sandwich import (
    SandwichCore,
    check_section,
    honeycomb,
)
from panelmend.physics.sandwich.field import mode_fields
from panelmend.physics.sandwich.modes import Wrinkling
from panelmend.physics.sandwich.section import state
from skew_panels import CORE, SKEW, UD, WEAVE, skew_panel

CASES: dict[str, Callable[[], Any]] = {}


def case(made: Callable[[], Any]) -> Callable[[], Any]:
    CASES[made.__name__.strip("_").replace("_", " ")] = made
    return made


LOAD = np.array(
    [[3e8, -2e7, 3e7], [-4e8, 3e7, -2e7], [1e8, 2.5e7, 5e7], [-2e8, -1.1e8, 1e7], [0.0, 1e7, 0.0]]
)
FIXED = np.array([[-5e7, 1.1e7, 6e6], [3e7, -9e6, 8e6], [2e7, 1e7, -3e6], [-6e7, 5e6, 2e6], [4e7, -3e6, 1e6]])
BIG = FIXED * 80.0


@case
def _a_skew_laminate() -> Any:
    lam = laminate.laminate(SKEW)
    return [
        lam.z,
        lam.A,
        lam.B,
        lam.D,
        lam.compliance,
        lam.h,
        laminate.effective_moduli(lam),
        laminate.effective_moduli(lam, flat=True),
        [invariants(p.lamina) for p in SKEW],
        [turned_stiffness(p.lamina, p.theta) for p in SKEW],
        [turned_expansion(p.lamina, p.theta) for p in SKEW],
        UD.nu21,
        UD.Q(),
    ]


@case
def _heat_and_moisture_of_a_skew_laminate() -> Any:
    lam = laminate.laminate(SKEW)
    wet = np.array([0.004, 0.007, 0.002])
    hot = np.array([-90.0, 35.0, 12.0])
    return [
        hygrothermal_loads(lam),
        hygrothermal_loads(lam, -90.0),
        hygrothermal_loads(lam, dm=wet),
        free_strains(lam),
        free_strains(lam, hot, wet),
        laminate.response(lam),
        laminate.response(lam, (4e4, -1.5e4, 2e4), (31.0, 17.0, -9.0), hot, wet),
        laminate.response(lam, (4e4, -1.5e4, 2e4)),
        laminate.response(lam, M=(31.0, 17.0, -9.0)),
        laminate.response(lam, dm=0.003),
    ]


@case
def _strained_alone() -> Any:
    from panelmend.physics.laminate.response import strained

    lam = laminate.laminate(SKEW)
    eps, kappa = np.array([1e-3, -4e-4, 7e-4]), np.array([0.3, 0.7, -1.1])
    return [strained(lam, eps, kappa), strained(lam, eps, kappa, -40.0), strained(lam, eps, kappa, dm=0.002)]


@pytest.mark.parametrize("fixed", [None, FIXED, BIG], ids=["alone", "beside heat", "beside too much heat"])
@pytest.mark.parametrize("lamina", [UD, WEAVE], ids=["tape", "weave"])
def test_reserves(lamina: Lamina, fixed: Any) -> None:
    s, e = lamina.strengths, lamina.limits
    strain = None if fixed is None else fixed / 5e10
    found = [
        max_stress(LOAD, s, fixed),
        max_strain(LOAD / 5e10, e, strain),
        tsai_hill(LOAD, s, fixed),
        tsai_hill(LOAD, s, fixed, signed=False),
        tsai_wu(LOAD, s, fixed),
        tsai_wu(LOAD, s, fixed, interaction=0.2),
        max_stress(-LOAD, s, fixed),
        max_strain(-LOAD / 5e10, e, strain),
        tsai_hill(-LOAD, s, fixed),
        tsai_hill(-LOAD, s, fixed, signed=False),
        tsai_wu(-LOAD, s, fixed),
    ]
    size = 0.0 if fixed is None else float(abs(fixed).max())
    unchanged("structure_digits", f"reserves of {lamina.name} beside {size:g}", found)


@pytest.mark.parametrize("criterion", Criterion)
def test_first_ply(criterion: Criterion) -> None:
    lam = laminate.laminate(SKEW)
    load, held = (
        laminate.response(lam, (4e4, -1.5e4, 2e4), (3.0, 1.0, -2.0)),
        laminate.response(lam, dT=-95.0),
    )
    bare = laminate.laminate([dataclasses.replace(SKEW[0], lamina=Lamina(61e9, 47e9, 4.3e9, 0.07)), SKEW[1]])
    found = [
        reserve_factors(lam, load, criterion),
        reserve_factors(lam, load, criterion, held),
        first_ply_failure(lam, load, criterion, held),
        first_ply_failure(lam, load, criterion),
        first_ply_failure(lam, laminate.response(lam), criterion).__class__.__name__,
        reserve_factors(bare, laminate.response(bare, (1.0, 0.0, 0.0)), criterion),
    ]
    unchanged("structure_digits", f"first ply by {criterion}", found)


RUN, BENT, ACROSS = (
    np.array([-7e4, -2.6e4, 1.9e4]),
    np.array([410.0, -230.0, 70.0]),
    np.array([2900.0, -1700.0]),
)


@pytest.mark.parametrize("wrinkling", Wrinkling)
def test_modes_of_a_section(wrinkling: Wrinkling) -> None:
    found = [
        check_section(skew_panel(), RUN, BENT, ACROSS, 3e4, wrinkling=wrinkling),
        check_section(
            skew_panel(), -RUN, -BENT, -ACROSS, -2e4, wrinkling=wrinkling, criterion=Criterion.MAX_STRAIN
        ),
        check_section(skew_panel(SandwichCore(63e6, 31e6)), RUN, BENT, ACROSS, wrinkling=wrinkling),
        check_section(skew_panel(), 0 * RUN, 0 * BENT, 0 * ACROSS, wrinkling=wrinkling),
    ]
    unchanged("structure_digits", f"modes of a section, {wrinkling}", found)


@pytest.mark.parametrize("criterion", [Criterion.TSAI_WU, Criterion.MAX_STRESS])
def test_modes_over_a_field_are_those_of_the_section(criterion: Criterion) -> None:
    made = skew_panel()
    share = np.array([1.0, -0.7, 0.4, 0.15])[:, None]
    n, m, q = share * RUN, share[::-1] * BENT, share * ACROSS
    for pressure in (0.0, 3e4, -2e4):
        fields = mode_fields(made, n, m, q, pressure, criterion=criterion)
        each = [check_section(made, *row, pressure, criterion=criterion) for row in zip(n, m, q, strict=True)]
        alone = np.array([[c.reserve for c in one] for one in each]).T  # type: ignore[union-attr]
        assert fields == pytest.approx(alone, rel=1e-9)
        unchanged("structure_digits", f"fields by {criterion} under {pressure:g}", fields)
    bare = mode_fields(skew_panel(SandwichCore(63e6, 31e6)), n, m, q)
    assert np.isinf(bare[[1, 2, 4, 5, 7, 8]]).all()
    assert np.isfinite(bare[[0, 3]]).all()


@case
def _a_sandwich_of_unlike_faces() -> Any:
    made = skew_panel()
    e, k = state(made, RUN, BENT)
    return [
        made.h,
        made.d,
        made.z_lower,
        made.z_upper,
        made.stiffness(),
        made.shear_stiffness(),
        e,
        k,
        made.thermal(),
        made.thermal(-60.0, 25.0),
        made.face_responses(e, k, -60.0, 25.0),
        made.face_responses(e, k),
        dataclasses.replace(made, shift=0.0, ribbon=0.0).stiffness(),
        CORE.shear_moduli(1.2),
        honeycomb(71e9, 0.31, 2710.0, 0.05e-3, 4.1e-3),
    ]


GLUE = AdhesiveLayer(610e6, 0.17e-3, 33e6, 0.21, E=2.9e9, peel=41e6)
STEPS = (
    BondStep(9e-3, 41e6, 73e6, None, None, 2e-6, 13e-6),
    BondStep(17e-3, 41e6, 73e6, 29e6, 55e6, 3e-6, 9e-6),
    BondStep(7e-3, 29e6, 55e6, 6e6, 51e6),
)


@pytest.mark.parametrize("faces", [1, 2])
@pytest.mark.parametrize("load", [3e4, 3.9e5, -6e5], ids=["light", "flowing", "pressed"])
def test_shear_along_steps(load: float, faces: int) -> None:
    bond = Bond(STEPS, GLUE, faces)
    made = joint.solve_bond(bond, joint.lap(load, -70.0), 24)
    kept = [made.x, made.tau, made.gamma, made.T1, made.T2, made.first, made.peaks, made.peak]
    kept += [made.lightly_stressed(), made.lightly_stressed(0.4)]
    half = joint.solve_bond(bond, Ends(None, 0.3 * load, load, 20.0), 24)
    other = joint.solve_bond(bond, Ends(0.6 * load, None, load), 24)
    unchanged(
        "structure_digits", f"shear along steps, {load:g}, {faces}", [kept, half.tau, half.T1, other.tau]
    )


@pytest.mark.parametrize("heat", [0.0, -70.0, 900.0, 9000.0])
def test_capacity_of_steps(heat: float) -> None:
    found: list[Any] = []
    for adhesive in (GLUE, dataclasses.replace(GLUE, gp=0.0), dataclasses.replace(GLUE, gp=2.0)):
        bond = Bond(STEPS, adhesive, 1)
        for ends in (joint.lap(1e5, heat), Ends(None, 2e4, 7e4, heat)):
            made = joint.capacity(bond, ends, 24)
            assert isinstance(made, joint.Capacity)
            found.append([made.factor, made.at, made.answer.tau, made.answer.gamma])
    unchanged("structure_digits", f"capacity of steps, {heat:g}", found)


@case
def _what_a_bond_is_made_of() -> Any:
    bond, ends = Bond(STEPS, GLUE, 2), Ends(2e4, 7e3, 5e4, -30.0)
    mesh = mesh_of(bond, 5)
    y = np.sin(1.0 + np.arange(2 * len(mesh.x))) * np.tile([2e4, 0.08], len(mesh.x))
    residual, jacobian = system(bond, ends, mesh, y)
    width = 1e-6
    return [
        mesh.x,
        mesh.h,
        mesh.K1,
        mesh.K2,
        mesh.pull,
        mesh.first,
        residual,
        jacobian.solve(-residual),
        jacobian.bordered(-residual, np.cos(np.arange(len(y))) * 1e-3, 3, 0.02),
        jacobian.bordered(-residual, np.cos(np.arange(len(y))) * 1e-3, 0, 0.02),
        shear_decay(GLUE, 41e6, 73e6),
        shear_decay(GLUE, 41e6, 73e6, 2),
        GLUE.g_flow,
        GLUE.g_break,
        GLUE.shear(np.linspace(-0.2, 0.2, 9)),
        GLUE.elastic().g_flow,
        ends.scaled(0.3),
        bond.length,
        length_where(np.array([0.0, 1.0, 3.0, 4.0, 6.0]), np.array([-1.0, 2.0, 1.0, -3.0, 0.0])),
        length_where(np.array([0.0, 1.0, 3.0]), np.array([0.0, 0.0, 2.0])),
        width,
    ]


@case
def _capacity_by_halving() -> Any:
    made = _by_bisection(Bond(STEPS, GLUE, 1), joint.lap(1e5, -20.0), 12, 0.5, GLUE.g_break)
    again = _by_bisection(Bond(STEPS, GLUE, 1), joint.lap(1e5), 12, 0.0, GLUE.g_break)
    alone = answer_at(Bond(STEPS, GLUE, 1), joint.lap(1e5), 12)
    return [round(made.factor, 5), made.at, round(again.factor, 5), alone.tau]


STRAPS = (
    BeamStep(2.3, 0.7e-3),
    BeamStep(2.3, 0.7e-3, 0.0, 0.9, 0.5e-3, 0.2e-3),
    BeamStep(0.9, 0.5e-3, 0.2e-3),
)
SKINS = (BeamStep(4.1, 1.1e-3), BeamStep(4.1, 1.1e-3, 0.1e-3, 3.2, 1.0e-3, 0.0), BeamStep(3.2, 1.0e-3))
FINE = (BeamStep(2.3, 0.7e-3), BeamStep(2.3, 0.7e-3), BeamStep(2.3, 0.7e-3, 0.0, 1e-6, 0.7e-5))


@pytest.mark.parametrize(
    "plug", [None, PlugSpring(7e10, 21e-3), PlugSpring(7e9, 0.4)], ids=["none", "short", "long"]
)
@pytest.mark.parametrize("lever", [True, False])
@pytest.mark.parametrize("straps", [STRAPS, FINE], ids=["blunt", "feathered"])
def test_peel_along_steps(straps: Any, lever: bool, plug: PlugSpring | None) -> None:
    made = joint.peel_on_core(Bond(STEPS, GLUE, 1), 5.1e4, straps, SKINS, 1.3e10, plug, lever=lever, cells=12)
    half = 0.0 if plug is None else plug.half
    unchanged("structure_digits", f"peel along steps, {straps is FINE:d}, {lever:d}, {half:g}", made)


@pytest.mark.parametrize("name", CASES)
def test_digits_stand(name: str) -> None:
    unchanged("structure_digits", name, CASES[name]())


def test_a_changed_digit_is_seen() -> None:
    kept = plain({"one": np.array([1.0, 2e-3]), "two": [True, "x", None, float("nan")]})
    assert same(
        kept, plain({"one": np.array([1.0, 2e-3 * (1 + 1e-8)]), "two": [True, "x", None, float("nan")]})
    )
    for other in (np.array([1.0, 2.001e-3]), np.array([1.0]), np.array([1.0, -2e-3])):
        assert not same(kept, plain({"one": other, "two": [True, "x", None, float("nan")]}))
    assert not same(kept, plain({"one": np.array([1.0, 2e-3]), "two": [False, "x", None, float("nan")]}))
    large = np.linspace(0.0, 7.0, 40)
    for k in range(40):
        assert not same(plain(large), plain(large + 1e-3 * (np.arange(40) == k)))
