"""The panel loaded off its neutral plane: what a patch on one side does to the load it carries."""

from __future__ import annotations

import math

import numpy as np

from panelmend.derive import Source, formula
from panelmend.job.strength.sections import neutral, turned_section
from panelmend.job.strength.stacks import Section
from panelmend.physics.laminate import Criterion, FirstPly, first_ply_failure
from panelmend.physics.sandwich import Sandwich
from panelmend.physics.structure_inputs import Array

SECANT = Source(
    "Timoshenko and Gere, Theory of Elastic Stability, 2nd ed.",
    "secant formula, from memory; core shear added",
)


def first_ply_reserve(made: Sandwich, load: float, moment: float) -> float:
    """Least reserve [1] (maximum stress) of both faces under N [N/m] and M [N] about z = 0; or inf."""
    a, b, d = made.stiffness()
    both = np.linalg.solve(
        np.block([[a, b], [b, d]]), np.array([load, 0.0, 0.0, moment, 0.0, 0.0], dtype=float)
    )
    eps0: Array = both[:3]
    least = math.inf
    faces = made.face_responses(eps0, both[3:])
    for face, answer in zip((made.lower, made.upper), faces, strict=True):
        found = first_ply_failure(face, answer, Criterion.MAX_STRESS)
        if isinstance(found, FirstPly):
            least = min(least, found.reserve)
    return least


@formula(
    "N at the first ply failure of the patched strip, N in the sound panel's neutral plane",
    source=SECANT,
    kind="running load",
)
def offset_load(section: Section, parent: Section, direction: float, sense: float) -> float:
    """Running load of the whole panel at first ply failure, pulled off its middle, small deflections.

    section: the patched sandwich [section]
    parent: the sound one, in whose neutral plane the load acts [section]
    direction: of the load [rad]
    sense: 1 in tension, -1 in compression [1]
    return: running load, 0 or above [N/m]
    """
    made, sound = turned_section(section, direction), turned_section(parent, direction)
    return first_ply_reserve(made, sense, sense * neutral(sound)[1])
