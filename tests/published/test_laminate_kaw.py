"""Laminates and failure of a ply, to the four digits that the book prints.

Our own further digits stand in tests/laws/test_laminate_digits.py.
"""

from __future__ import annotations

from math import radians

import numpy as np

from panelmend.physics.laminate import (
    Criterion,
    Lamina,
    LaminatePly,
    Strengths,
    first_ply_failure,
    laminate,
    max_stress,
    reserve_factors,
    response,
    tsai_hill,
    tsai_wu,
)
from panelmend.physics.laminate.lamina import stress_turn
from printed_values import Seen, Source, printed

KAW = Source("A. K. Kaw, Mechanics of Composite Materials, 2nd ed., CRC Press 2006", Seen.MEMORY)
MPA = 1e6
GRAPHITE = Lamina(
    181e9,
    10.3e9,
    7.17e9,
    0.28,
    alpha1=0.02e-6,
    alpha2=22.5e-6,
    strengths=Strengths(Xt=1500 * MPA, Xc=1500 * MPA, Yt=40 * MPA, Yc=246 * MPA, S=68 * MPA),
    name="graphite/epoxy",
)


def three_plies():
    return laminate([LaminatePly(GRAPHITE, radians(a), 5e-3) for a in (0, 30, -45)])


def test_example_4_2_stiffness() -> None:
    """Reduced stiffness and A, B, D of [0/30/-45] to the four digits that the book prints."""
    lam = three_plies()
    q = GRAPHITE.Q()
    assert [q[0, 0], q[0, 1], q[1, 1]] == printed(
        [181.8e9, 2.897e9, 10.35e9], source=KAW, place="example 4.2, Q11, Q12, Q22 [Pa]", rel=5e-4
    )
    a = [lam.A[0, 0], lam.A[0, 1], lam.A[1, 1], lam.A[0, 2], lam.A[1, 2], lam.A[2, 2]]
    assert a == printed(
        [1.739e9, 3.884e8, 4.533e8, 5.663e7, -1.141e8, 4.525e8],
        source=KAW,
        place="example 4.2, A11, A12, A22, A16, A26, A66 [N/m]",
        rel=5e-4,
    )
    assert [lam.B[0, 0], lam.B[0, 2]] == printed(
        [-3.129e6, -1.072e6], source=KAW, place="example 4.2, B11, B16 [N]", rel=5e-4
    )
    assert [lam.D[0, 0], lam.D[2, 2]] == printed(
        [3.343e4, 7.663e3], source=KAW, place="example 4.2, D11, D66 [N m]", rel=5e-4
    )


def test_example_4_3_strain_and_ply_stress() -> None:
    """Nx = Ny = 1000 N/m: mid-plane strain and stress at the top of the 30 degree ply, four digits."""
    answer = response(three_plies(), N=(1000.0, 1000.0, 0.0))
    assert answer.eps0 == printed(
        [3.123e-7, 3.492e-6, -7.598e-7], source=KAW, place="example 4.3, mid-plane strain", rel=5e-4
    )
    # the book's z points down, so its "top" of the ply is the face listed first: our "bottom"
    top = answer.plies.local_stress[1][0]
    place = "example 4.3, local stress at the top of the 30 degree ply [Pa]"
    assert top == printed([9.973e4, 4.348e4, 1.890e4], source=KAW, place=place, rel=5e-4)


def test_example_4_5_cure_cooling() -> None:
    """[0/90] cooled by 75 C: loads, mid-plane strain -3.907e-4, curvature -0.1276 1/m."""
    answer = response(laminate([LaminatePly(GRAPHITE, a, 5e-3) for a in (0.0, radians(90))]), dT=-75.0)
    strain, bent = answer.eps0[:2], answer.kappa[:2]
    assert strain == printed(
        [-3.907e-4, -3.907e-4], source=KAW, place="example 4.5, mid-plane strain", rel=2e-4
    )
    assert bent == printed([-1.276e-1, 1.276e-1], source=KAW, place="example 4.5, curvature [1/m]", rel=5e-4)


def off_axis():
    """Local stress of the 60 degree lamina under sx = 2, sy = -3, txy = 4 (S = 1 MPa)."""
    return stress_turn(radians(60)) @ np.array([2.0, -3.0, 4.0]) * MPA


def test_example_2_17_to_2_19_failure_of_a_60_degree_lamina() -> None:
    stress = off_axis()
    s = GRAPHITE.strengths
    most, hill, wu = max_stress(stress, s), tsai_hill(stress, s, signed=False), tsai_wu(stress, s)
    assert most == printed(16.33, source=KAW, place="example 2.17, largest stress [MPa]", within=0.005)
    assert hill == printed(10.94, source=KAW, place="example 2.18, Tsai-Hill [MPa]", within=0.005)
    assert wu == printed(22.39, source=KAW, place="example 2.19, Tsai-Wu [MPa]", within=0.005)


def test_modified_tsai_hill() -> None:
    """The same lamina with strengths by the sign of each stress."""
    hill = tsai_hill(off_axis(), GRAPHITE.strengths)
    assert hill == printed(16.06, source=KAW, place="chapter 2, modified Tsai-Hill [MPa]", within=0.005)


def test_tsai_wu_other_interaction() -> None:
    """Tsai-Hill's and Hoffman's form of the interaction: 22.49 MPa; F12 = -1/(2 Xt^2)."""
    interaction = -0.5 / 1500.0**2 * np.sqrt(1500.0 * 1500.0 * 40.0 * 246.0)
    wu = tsai_wu(off_axis(), GRAPHITE.strengths, interaction=interaction)
    assert wu == printed(22.49, source=KAW, place="chapter 2, Tsai-Wu by Hoffman's form [MPa]", within=0.005)


def test_example_5_3_first_ply_of_a_cross_ply() -> None:
    """0/90/0, 5 mm plies, Nx alone, Tsai-Wu: 7.277e6 N/m breaks the 90 ply, 1.339e7 N/m the 0 plies."""
    lam = laminate([LaminatePly(GRAPHITE, radians(a), 5e-3) for a in (0, 90, 0)])
    answer = response(lam, N=(1.0, 0.0, 0.0))
    first = first_ply_failure(lam, answer, Criterion.TSAI_WU)
    assert first.ply == 1
    assert first.reserve == printed(7.277e6, source=KAW, place="example 5.3, first ply [N/m]", rel=1e-4)
    factors = reserve_factors(lam, answer, Criterion.TSAI_WU)
    assert float(factors[0].min()) == printed(
        1.339e7, source=KAW, place="example 5.3, 0 degree plies [N/m]", rel=5e-4
    )
