"""The panel with the hole left open, on a mesh that follows the edge of the cut-out.

An edge without corners has a finite peak, and it stands on the edge itself, where a grid of averaged cells
reads it a quarter too low. The peak is read on the edge: straight on across the cells beside it, by cubics
along it. A cut-out with a corner, one that bends inwards, or cut-outs of two skins that differ, stay on the
grid (:mod:`panelmend.job.strength.levels`), whose figures are then told with both values where they move.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.document.panel import Side
from panelmend.job.strength.as_laid import AsLaid
from panelmend.job.strength.fields import Fields
from panelmend.job.strength.hole_edge import INSIDE, OUTSIDE, HoleEdgeMesh, ring_mesh
from panelmend.job.strength.levels import SOUND_PANEL_CELLS, Settled, cases_of, settled_value
from panelmend.job.strength.loads import Load
from panelmend.job.strength.plates import NEXT_TO_NOTHING, SIDES, PanelPlate, face_strain
from panelmend.job.strength.solved import solved
from panelmend.physics.plate.fitted import FittedAnswer, along_edge, solve_fitted
from panelmend.physics.structure_inputs import NotComputed
from panelmend.shapes import Outline

Array = NDArray[np.float64]
EDGE_CELLS = (3, 5)  # cells along a quarter turn of the edge
FURTHER = (8, 12)  # one more mesh always: two can agree by chance; the last where a peak has not settled
SIZES_ALIKE = 0.01  # of their size: cut-outs of two skins that differ by less are one hole


@dataclass(frozen=True, eq=False)
class OpenHole:
    """The open panel on one mesh, one answer a load; ``size`` of its cells beside those of the others."""

    panel: PanelPlate
    rings: HoleEdgeMesh
    size: float
    answers: tuple[FittedAnswer, ...]
    gone: tuple[Side, ...]

    def strains(self, number: int) -> list[tuple[Array, Array]]:
        """Places in the panel's grid axes [m], (n, 2), and the largest strain of the faces there [1]."""
        mesh, answer = self.rings.mesh, self.answers[number]
        found = []
        for zone, cells, outward in ((OUTSIDE, self.rings.outside, True), (INSIDE, self.rings.inside, False)):
            if not len(cells):
                continue
            gone = self.gone if zone == INSIDE else ()
            own = mesh.zone == zone
            found.append(
                (
                    mesh.places[own].reshape(-1, 2),
                    self._size(answer.eps[own].reshape(-1, 3), answer.kappa[own].reshape(-1, 3), gone),
                )
            )
            eps, kappa = (along_edge(v, cells, outward=outward) for v in (answer.eps, answer.kappa))
            found.append((self.rings.edge_places(), self._size(eps, kappa, gone)))
        return found

    def _size(self, eps: Array, kappa: Array, gone: tuple[Side, ...]) -> Array:
        found = np.full(len(eps), np.nan)
        for side in SIDES:
            if side not in gone:
                found = np.fmax(found, face_strain(self.panel.lay, side, eps, kappa))
        return found

    def on(self, panel: PanelPlate) -> list[Array]:
        """The largest strain [1] of the faces at the cells of a panel's grid, one array of its shape a load;
        NaN in a hole through both skins."""
        x, y = panel.grid.centres()
        cell, weight = self.rings.mesh.locate(np.stack([x.ravel(), y.ravel()], 1))
        inside, found = self.rings.mesh.zone[cell] == INSIDE, list[Array]()
        hole = hole_edge_of(self.panel.lay)
        assert hole is not None, "the mesh was made round it"
        through = self.panel.inside(hole, x, y) & (len(self.rings.inside) == 0)
        for answer in self.answers:
            eps, kappa = (np.einsum("kp,kpc->kc", weight, v[cell]) for v in (answer.eps, answer.kappa))
            size = np.where(inside, self._size(eps, kappa, self.gone), self._size(eps, kappa, ()))
            found.append(np.where(through, np.nan, size.reshape(x.shape)))
        return found


def _hole_settled(made: list[OpenHole], number: int, sound: Fields) -> bool:
    found = settled_hole(tuple(made), number, sound)
    return found is None or found[0].resolved


def hole_edge_of(lay: AsLaid) -> Outline | None:
    """The one edge of the hole, standard axes; None where the cut-outs of two skins differ.

    On a bent panel one cut square to the surface is developed on two faces: the outer one stands for both.
    """
    cut = {s.side: s.cutout for s in lay.plies.sides}
    if not cut:
        return None
    first, *others = [cut[side] for side in ("outside", "inside") if side in cut]
    x0, y0, x1, y1 = first.bounds
    slack = SIZES_ALIKE * max(x1 - x0, y1 - y0)
    curve = lay.case.document.panel.curvature
    if curve is not None:
        depth = abs(lay.case.skin_depth("inside") - lay.case.skin_depth("outside"))
        slack += depth / curve.radius * max(map(abs, first.bounds))
    for other in others:
        far = [other.reach(v.x, v.y)[0] for v in first.vertices]
        far += [first.reach(v.x, v.y)[0] for v in other.vertices]
        if max(far) > slack:
            return None
    return first


def mesh_follows(lay: AsLaid) -> bool:
    """Whether a mesh can follow the edge of the cut-out."""
    return all(_rings(lay, PanelPlate(lay, 4), fine, filled=True) is not None for fine in EDGE_CELLS)


def opened_meshes(lay: AsLaid, loads: tuple[Load, ...], sound: tuple[Fields, ...]) -> tuple[OpenHole, ...]:
    """The open panel on finer and finer meshes, none where it cannot be solved on them.

    Args:
        lay: the lay-up.
        loads: the loads.
        sound: the sound panel's fields under each.
    """
    made: list[OpenHole] = []
    for fine in (*EDGE_CELLS, *FURTHER):
        if len(made) > len(EDGE_CELLS) and all(_hole_settled(made, n, f) for n, f in enumerate(sound)):
            break
        one = _opened(lay, loads, fine)
        if one is None:
            return tuple(made) if len(made) >= len(EDGE_CELLS) else ()
        made.append(one)
    return tuple(made)


def hole_peak(opened: OpenHole, number: int, sound: Fields) -> tuple[float, tuple[float, float]] | None:
    """The largest strain of the open panel over the sound one in and round the repair, and where [m].

    In standard axes; None where the sound panel carries next to nothing.
    """
    panel = opened.panel
    least = NEXT_TO_NOTHING * float(max(panel.strain(sound).max(), 0.0))
    best: tuple[float, tuple[float, float]] | None = None
    for at, size in opened.strains(number):
        x, y = at.T
        eps, kappa = sound.at(x, y)
        was = np.fmax(*(face_strain(panel.lay, side, eps, kappa) for side in SIDES))
        ratio = np.where((was > least) & panel.near(x + panel.x0, y + panel.y0), size / was, -np.inf)
        k = int(np.argmax(np.where(np.isnan(ratio), -np.inf, ratio)))
        if np.isfinite(ratio[k]) and (best is None or ratio[k] > best[0]):
            best = float(ratio[k]), (float(x[k] + panel.x0), float(y[k] + panel.y0))
    return best


def settled_hole(
    opened: tuple[OpenHole, ...], number: int, sound: Fields
) -> tuple[Settled, tuple[float, float]] | None:
    """The peak [1] of the finest mesh, and where it stands [m].

    Its error is the larger of those against the two meshes before: round narrow ends, and in cloth that
    shears easily, two meshes can be off alike.
    """
    *others, finest = opened[-3:]
    found = hole_peak(finest, number, sound)
    before = [hole_peak(o, number, sound) for o in others]
    known = [(o, p[0]) for o, p in zip(others, before, strict=True) if p is not None]
    if found is None or len(known) < len(others) or not known:
        return None
    return worst_mesh([(o.size, value) for o, value in known], finest.size, found[0]), found[1]


def worst_mesh(before: list[tuple[float, float]], size: float, value: float) -> Settled:
    """The value of the finest mesh with cells of ``size``, by the worst of the meshes before it.

    Args:
        before: size of the cells [m] and value [1] of each, the finest last.
        size: of the finest mesh's cells [m].
        value: the finest mesh's [1].
    """
    errors = [settled_value(then, value, coarse, size).error for coarse, then in before]
    return Settled(value, before[-1][1], max(errors))


def _rings(lay: AsLaid, panel: PanelPlate, fine: int, *, filled: bool) -> HoleEdgeMesh | None:
    hole = hole_edge_of(lay)
    wide, high = float(panel.grid.x[-1]), float(panel.grid.y[-1])
    if hole is None:
        return None
    return ring_mesh(hole.moved(-panel.x0, -panel.y0), wide, high, fine, filled=filled)


def _opened(lay: AsLaid, loads: tuple[Load, ...], fine: int) -> OpenHole | None:
    panel = PanelPlate(lay, SOUND_PANEL_CELLS)
    zone = panel.zone_of({(s.side, "") for s in lay.plies.sides}, hole=True)
    filled = bool(zone.inner or zone.outer)
    sound, within = lay.parent(), panel.section_of(zone)
    rings = _rings(lay, panel, fine, filled=filled)
    if rings is None or isinstance(sound, NotComputed) or isinstance(within, NotComputed):
        return None
    clamped = lay.case.document.data.strength.clamped
    whole = panel.section_of(panel.zone_of(set(), hole=True))
    assert not isinstance(whole, NotComputed), "the sound panel has its stiffness"
    answers = solved(solve_fitted, rings.mesh, (whole, within), cases_of(panel, loads, clamped))
    gone = tuple(s.side for s in lay.plies.sides if not lay.left(s.side))
    return OpenHole(panel, rings, 1.0 / fine, answers, gone)
