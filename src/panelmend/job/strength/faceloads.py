"""What a face of the sound panel carries at and round the cut-out, by the plate model."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from panelmend.document.panel import Side
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.drawn import STRIPS, bare_panel_cells, face_runs
from panelmend.job.strength.fields import Fields
from panelmend.job.strength.formulas import face_load
from panelmend.job.strength.levels import Level
from panelmend.job.strength.loads import Load, Resultants
from panelmend.job.strength.modes import nine_digits
from panelmend.job.strength.plates import PanelPlate
from panelmend.job.strength.stacks import Section
from panelmend.physics.plate import sample
from panelmend.physics.structure_inputs import NotComputed


@dataclass(frozen=True)
class Sampled:
    """Resultants of the sound panel under one given case: in the middle of the cut-out and round its edge."""

    load: Load
    places: tuple[Resultants, ...]


def resultants(panel: PanelPlate, load: Load, answer: Fields, at: tuple[float, float]) -> Resultants:
    """Resultants of an answer at a point in standard axes [m], held inside the panel's rectangle."""
    x = min(max(at[0] - panel.x0, 0.0), float(panel.grid.x[-1]))
    y = min(max(at[1] - panel.y0, 0.0), float(panel.grid.y[-1]))
    n, m, q = (nine_digits(sample(answer.grid, field, x, y)) for field in (answer.N, answer.M, answer.Q))
    return Resultants(n, m, q, load.pressure)  # type: ignore[arg-type]


def sampled(lay: AsLaid, loads: tuple[Load, ...], level: Level) -> tuple[Sampled, ...]:
    """The given cases in the sound panel at the middle of the cut-out and where each strip leaves its box,
    and in the repaired panel just outside the patch where each strip is loaded most.
    """
    panel, sound = level.panel, level.sound
    cx, cy = lay.cutout.opening.centre
    boxes = [s.cutout.bounds for s in lay.plies.sides]
    radius = max((0.5 * max(b[2] - b[0], b[3] - b[1]) for b in boxes), default=0.0)
    turns = [a + half for _, a in STRIPS for half in (0.0, math.pi)]
    points = [(cx, cy), *((cx + radius * math.cos(a), cy + radius * math.sin(a)) for a in turns)]
    found = []
    for number, (load, answer) in enumerate(zip(loads, sound, strict=True)):
        if load.given:
            plain = [resultants(panel, load, answer, p) for p in points]
            found.append(Sampled(load, (*plain, *_just_outside(lay, level, number, load))))
    return tuple(found)


def _just_outside(lay: AsLaid, level: Level, number: int, load: Load) -> list[Resultants]:
    """Resultants of the repaired panel in the bare cells round the patch, worst for each skin and strip."""
    section, where, fields = lay.parent(), bare_panel_cells(level), level.repaired[number]
    if isinstance(section, NotComputed) or not where.any():
        return []
    worst = {
        int(np.abs(face_runs(section, fields, layup.side, angle, where)).argmax())
        for layup in lay.plies.sides
        for _, angle in STRIPS
    }
    found = []
    for k in sorted(worst):
        n, m, q = (nine_digits(a[where][k]) for a in (fields.N, fields.M, fields.Q))
        found.append(Resultants(n, m, q, load.pressure))  # type: ignore[arg-type]
    return found


def largest(
    samples: tuple[Sampled, ...] | NotComputed, section: Section, side: Side, direction: float
) -> tuple[str, Resultants] | NotComputed:
    """The case and the resultants that load a face most along a direction [rad]."""
    if isinstance(samples, NotComputed):
        return samples
    upper = 1.0 if side == "outside" else 0.0
    found = [(s.load.name, r) for s in samples for r in s.places]
    if not found:
        return NotComputed("no load case is given")
    return max(found, key=lambda t: face_load(section=section, loads=t[1], direction=direction, upper=upper))
