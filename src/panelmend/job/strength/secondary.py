"""Secondary bending: a patch on one side shifts the panel's neutral plane, and its load then bends it.

A strip of the panel along a direction, patched all along and loaded in the sound panel's neutral plane: it
bends at least as much as the panel that all four edges hold. In compression the bending grows with the load
by the secant of a column, taken with the buckling load of the panel; in tension its relief is left out.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from panelmend.derive import Figure, Ledger, Source, formula
from panelmend.derive.figure import Origin
from panelmend.job.strength.as_laid import LAID, PLATE, AsLaid
from panelmend.job.strength.levels import Level
from panelmend.job.strength.loads import Load
from panelmend.job.strength.modes import RESERVE_WITHOUT_LOAD, regions_of
from panelmend.job.strength.offset import SECANT, first_ply_reserve
from panelmend.job.strength.own import thing_of
from panelmend.job.strength.part import ModeRow, Region
from panelmend.job.strength.sections import neutral, turned_section
from panelmend.job.strength.stacks import CONDITIONS, Section
from panelmend.physics.structure_inputs import NotComputed

NOTHING = 1.0  # N/m: less is noise of the plate model


@formula(
    "1/N = 1/Nb + 1/S, Nb = pi^2/b^2 (Dx (m b/a)^2 + 2 (Dxy + 2 Dss) + Dy (a/(m b))^2), least over m",
    source=Source("Timoshenko and Gere, Theory of Elastic Stability, 2nd ed.", "ch. 9, from memory"),
    kind="running load",
)
def panel_buckling(section: Section, along: float, across: float, direction: float) -> float:
    """Compression at which a simply supported panel of one section buckles, the core's shear in series.

    section: the sandwich [section]
    along: length of the panel along the load [m]
    across: its width across the load [m]
    direction: of the load [rad]
    return: running load [N/m]
    """
    made = turned_section(section, direction)
    a, b, d = made.stiffness()
    own = d - b @ np.linalg.solve(a, b)
    mixed = 2.0 * (own[0, 1] + 2.0 * own[2, 2])
    least = min(
        own[0, 0] * (m * across / along) ** 2 + mixed + own[1, 1] * (along / (m * across)) ** 2
        for m in range(1, 9)
    )
    bend = (math.pi / across) ** 2 * float(least)
    return 1.0 / (1.0 / bend + 1.0 / float(np.linalg.eigvalsh(made.shear_stiffness())[0]))


@formula("R with first ply failure under R N and R N e sec(pi/2 sqrt(R N/Ncr))", source=SECANT, kind="ratio")
def secondary_reserve(
    section: Section, parent: Section, direction: float, load: float, buckles: float
) -> float:
    """Reserve of the patched strip on a compression of the whole panel, its bending growing with the load.

    section: the patched sandwich [section]
    parent: the sound one, in whose neutral plane the load acts [section]
    direction: of the load [rad]
    load: compression of the whole panel, above 0 [N/m]
    buckles: compression at which the panel buckles [N/m]
    return: reserve factor, at most that of buckling [1]
    """
    made, sound = turned_section(section, direction), turned_section(parent, direction)
    z, at, limit = neutral(made)[1], neutral(sound)[1], buckles / load

    def holds(r: float) -> bool:
        n = r * load
        grown = 1.0 / math.cos(0.5 * math.pi * math.sqrt(r / limit))
        return first_ply_reserve(made, -n, -n * z - n * (at - z) * grown) >= 1.0

    low, high = 0.0, limit * (1.0 - 1e-6)
    if holds(high):
        return high
    while high - low > 1e-6 * high:
        middle = 0.5 * (low + high)
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


NONLINEAR = "secondary bending, growing with the load"


def secondary_rows(
    ledger: Ledger, lay: AsLaid, levels: tuple[Level, ...], loads: tuple[Load, ...]
) -> tuple[ModeRow, ...]:
    """The patched strip along 0 and 90 degrees under each given case that compresses the panel there."""
    x0, y0, x1, y1 = lay.case.geometry.outline.bounds
    rows = []
    for number, load in enumerate(loads):
        if not load.given:
            continue
        fields = levels[-1].sound[number]
        near = regions_of(levels[-1].panel)
        mask = near[Region.OVER_CUT] | near[Region.SPLICE] | near[Region.UNDER_PATCH]
        for condition in CONDITIONS:
            here = replace(lay, condition=condition)
            parent = here.parent()
            for name, angle, part, spans in (
                ("0°", 0.0, 0, (x1 - x0, y1 - y0)),
                ("90°", math.pi / 2, 1, (y1 - y0, x1 - x0)),
            ):
                push = max(0.0, -float(fields.N[..., part][mask].min()))
                for where, section in (
                    (Region.OVER_CUT, here.middle()),
                    (Region.UNDER_PATCH, here.patched()),
                ):
                    row = ModeRow(load.name, where, NONLINEAR, "", f"along {name}", condition, None, "")
                    if isinstance(parent, NotComputed) or isinstance(section, NotComputed):
                        lacks = parent if isinstance(parent, NotComputed) else section
                        assert isinstance(lacks, NotComputed)
                        rows.append(replace(row, reason=lacks.reason))
                        continue
                    if push < NOTHING:
                        rows.append(replace(row, reason="no compression in this direction"))
                        continue
                    key = f"strength.secondary.{load.name}.{where}.{name}.{condition}"
                    one, two = thing_of(ledger, section), thing_of(ledger, parent)
                    at = ledger.typed(f"strength.direction.{name}", angle, "angle", source=LAID)
                    figure = ledger.add(
                        Figure(f"{key}.load", float(f"{push:.9g}"), "running load", Origin.COMPUTED, PLATE)
                    )
                    sizes = (
                        ledger.typed(f"{key}.{n}", v, "length", source=LAID)
                        for n, v in zip(("along", "across"), spans, strict=True)
                    )
                    weak = two if _softer(parent, section, angle) else one
                    wide, across = sizes
                    buckles = ledger.derive(
                        f"{key}.buckles",
                        panel_buckling,
                        section=weak,
                        along=wide,
                        across=across,
                        direction=at,
                    )
                    reserve = ledger.derive(
                        f"{key}.reserve",
                        secondary_reserve,
                        section=one,
                        parent=two,
                        direction=at,
                        load=figure,
                        buckles=buckles,
                    )
                    if float(reserve) > RESERVE_WITHOUT_LOAD:
                        rows.append(replace(row, reason="not loaded in this case"))
                    else:
                        rows.append(replace(row, reserve=reserve))
    return tuple(rows)


def _softer(one: Section, two: Section, direction: float) -> bool:
    """Whether the first of two sandwiches is the softer one in bending."""
    return neutral(turned_section(one, direction))[2] <= neutral(turned_section(two, direction))[2]
