"""The whole panel as a plate: sound, repaired as laid, and with the hole left open."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.document.panel import Side
from panelmend.document.ply_kinds import CARRIES
from panelmend.job.strength.as_laid import AsLaid, Rows
from panelmend.job.strength.fields import Fields
from panelmend.job.strength.grids import graded_grid
from panelmend.job.strength.solved import solved
from panelmend.job.strength.stacks import Section as Sandwiched
from panelmend.physics.plate import (
    CLAMPED_IN_BENDING,
    PlateAnswer,
    PlateLoads,
    PlateSection,
    PointSupport,
    Zones,
    simple,
    solve_cases,
    uniform_edges,
    zones,
)
from panelmend.physics.structure_inputs import NotComputed
from panelmend.shapes import Outline
from panelmend.shapes.points import inside_test
from panelmend.units import show

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
CELL_SAMPLES = 4
SPRING = 1e4  # N/m: holds the panel in its plane; balanced loads put next to no force on it
HOLE_STIFFNESS = 1e-4  # stiffness of a hole through both skins on that of the panel
FINE_GRID_MARGIN = 0.15  # of the repair's size: how far the fine part of the grid reaches beyond it
NEXT_TO_NOTHING = 0.05  # of the largest in the sound panel: below this no ratio is shown
SIDES: tuple[Side, Side] = ("inside", "outside")


@dataclass(frozen=True)
class PlateZone:
    """What lies in one zone: rows of each skin from the inside out (empty: cut away), and whether the core
    is the plug's.
    """

    inner: tuple[tuple[str, float, float], ...]
    outer: tuple[tuple[str, float, float], ...]
    plug: bool

    def sandwich(self, lay: AsLaid) -> Sandwiched | NotComputed:
        """The zone's sandwich in the condition of a lay-up; NotComputed where a skin is cut away."""
        if not self.inner or not self.outer:
            return NotComputed("a skin is cut away here")
        return lay.section("zone", list(self.inner), list(self.outer), plug=self.plug)


@dataclass(frozen=True, eq=False)
class PlateState:
    """The panel in one state on a grid: its averaged cells, and the zone of each section number."""

    cells: Zones
    zones: tuple[PlateZone, ...]


class PanelPlate:
    """The panel's bounding rectangle with its zones. Other outlines are taken as that rectangle.

    ``fine``: cells along the longer side of the repair's box.
    """

    def __init__(self, lay: AsLaid, fine: int) -> None:
        self.lay = lay
        self.x0, self.y0, x1, y1 = lay.case.geometry.outline.bounds
        wide, high = x1 - self.x0, y1 - self.y0
        box = repair_box(lay)
        size = max(box[2] - box[0], box[3] - box[1])
        more = FINE_GRID_MARGIN * size
        near = (box[0] - self.x0 - more, box[1] - self.y0 - more)
        far = (box[2] - self.x0 + more, box[3] - self.y0 + more)
        self.grid = graded_grid(wide, high, (*near, *far), size / fine)

    def inside(self, outline: Outline, x: Array, y: Array) -> Mask:
        """Which points of the grid's axes [m] lie in an outline of the standard axes, shape of x."""
        return inside_test(outline)(x + self.x0, y + self.y0)

    def centres(self) -> tuple[Array, Array]:
        """Cell centres in standard axes [m]."""
        x, y = self.grid.centres()
        return x + self.x0, y + self.y0

    def near(self, x: Array, y: Array) -> Mask:
        """Which places [m] lie in or round the repair: its box, a quarter of its size larger all round."""
        x0, y0, x1, y1 = repair_box(self.lay)
        more = 0.25 * max(x1 - x0, y1 - y0)
        return np.asarray((x > x0 - more) & (x < x1 + more) & (y > y0 - more) & (y < y1 + more))

    def state(self, name: str) -> PlateState | NotComputed:
        """The panel "sound", "repaired" or "open" in the condition of its lay-up."""
        if name == "sound":
            zone = PlateZone(tuple(self.lay.skin("inside")), tuple(self.lay.skin("outside")), False)
            sound = self.lay.parent()
            if isinstance(sound, NotComputed):
                return sound
            return PlateState(zones(self.grid, [_plate_section(sound)]), (zone,))
        found, index = self._zones(hole=name == "open")
        sections = []
        for zone in found:
            made = self.section_of(zone)
            if isinstance(made, NotComputed):
                return made
            sections.append(made)
        return PlateState(zones(self.grid, sections, index, samples=CELL_SAMPLES), tuple(found))

    def _zones(self, *, hole: bool) -> tuple[list[PlateZone], NDArray[np.int64]]:
        """Every zone, and which one is at each sample point. With ``hole`` no ply is laid."""
        lay = self.lay
        tests: list[tuple[Side, str, Outline]] = []
        for side in SIDES:
            layup = lay.side(side)
            if layup is None:
                continue
            tests.append((side, "", layup.cutout))
            if not hole:
                ordered = sorted(layup.plies, key=lambda p: p.number)
                tests += [(side, p.id, p.outline) for p in ordered if p.role in CARRIES]
        part = (np.arange(CELL_SAMPLES) + 0.5) / CELL_SAMPLES
        xs, ys = (
            (lines[:-1, None] + np.diff(lines)[:, None] * part).ravel()
            for lines in (self.grid.x, self.grid.y)
        )
        px, py = np.meshgrid(xs, ys)
        codes = np.zeros(px.shape, np.int64)
        for bit, (_, _, outline) in enumerate(tests):
            codes |= self.inside(outline, px, py).astype(np.int64) << bit
        kinds, index = np.unique(codes, return_inverse=True)
        names = [(side, ident) for side, ident, _ in tests]
        found = [
            self.zone_of({n for bit, n in enumerate(names) if int(code) >> bit & 1}, hole=hole)
            for code in kinds
        ]
        return found, np.asarray(index.reshape(px.shape), np.int64)

    def zone_of(self, on: set[tuple[Side, str]], *, hole: bool) -> PlateZone:
        """The rows of both skins where cut-outs and plies overlap.

        Args:
            on: what lies there: a side with the ident of a ply, or with "" for the cut-out of that side.
            hole: the repair is looked at as an open hole: core in it carries nothing.
        """
        lay, rows = self.lay, dict[Side, Rows]()
        for side in SIDES:
            cut = (side, "") in on
            layup = lay.side(side)
            ordered = sorted(layup.plies, key=lambda p: p.number) if layup is not None else []
            over = [p for p in ordered if (side, p.id) in on and (cut or p.role != "fill")]
            base = lay.left(side) if cut else lay.base(side, over)
            rows[side] = lay.with_patch(side, base, over)
        cored = any(ident == "" for _, ident in on) and lay.core.action == "replace"
        return PlateZone(tuple(rows["inside"]), tuple(rows["outside"]), cored and not hole)

    def section_of(self, zone: PlateZone) -> PlateSection | NotComputed:
        """Plate stiffness of a zone; where a skin is cut away the other one carries on alone."""
        if zone.inner and zone.outer:
            made = zone.sandwich(self.lay)
            return made if isinstance(made, NotComputed) else _plate_section(made)
        sound = self.lay.parent()
        if isinstance(sound, NotComputed):
            return sound
        if not zone.inner and not zone.outer:
            return _plate_section(sound, HOLE_STIFFNESS)
        rows, z = (zone.inner, -1.0) if zone.inner else (zone.outer, 1.0)
        stack = self.lay.stack("one skin alone", list(rows))
        if isinstance(stack, NotComputed):
            return stack
        face = stack.laminate()
        z *= 0.5 * (sound.thickness + face.h)
        # without the other skin the core bends with it; transverse shear by the solid plate's rule
        shear = np.diag([5.0 / 6.0 * float(face.A[2, 2])] * 2)
        return PlateSection(face.A, face.B + z * face.A, face.D + 2 * z * face.B + z * z * face.A, shear)

    def case(self, nx: float, ny: float, nxy: float, pressure: float, clamped: bool) -> PlateLoads:
        """A load case: edges held out of plane, balanced loads [N/m] round them, pressure [Pa] outside."""
        edges = {s: CLAMPED_IN_BENDING if clamped else simple(s) for s in ("left", "right", "bottom", "top")}
        wide, high = float(self.grid.x[-1]), float(self.grid.y[-1])
        held = [PointSupport(0.0, 0.0, 1.0, SPRING), PointSupport(wide, high, 1.0, SPRING)]
        return PlateLoads(edges, held, uniform_edges(nx, ny, nxy), pressure=-pressure)

    def solve(self, state: PlateState, cases: list[PlateLoads]) -> tuple[PlateAnswer, ...]:
        """The plate in one state under several cases."""
        return solved(solve_cases, self.grid, state.cells, cases)

    def strain(self, answer: Fields, *, open_hole: bool = False) -> Array:
        """Largest principal strain by size in either face's middle, at each cell (ny, nx) [1].

        With ``open_hole`` a face counts only where it is there: not in the hole of a skin cut through.
        """
        found = np.full(answer.grid.shape, np.nan)
        for side in SIDES:
            size = face_strain(self.lay, side, answer.eps, answer.kappa)
            if open_hole:
                size = np.where(self._gone(side), np.nan, size)
            found = np.fmax(found, size)
        return found

    def _gone(self, side: Side) -> Mask:
        """Cells that touch the hole of a skin that is cut through."""
        layup = self.lay.side(side)
        none = np.zeros(self.grid.shape, np.bool_)
        if layup is None or self.lay.left(side):
            return none
        px, py = np.meshgrid(self.grid.x, self.grid.y)
        hit = self.inside(layup.cutout, px, py)
        touched: Mask = hit[1:, 1:] | hit[1:, :-1] | hit[:-1, 1:] | hit[:-1, :-1]
        return touched


def face_strain(lay: AsLaid, side: Side, eps: Array, kappa: Array) -> Array:
    """Largest principal strain by size [1] in a face's middle, of strains [1] and curvatures [1/m]
    of shape (..., 3)."""
    sound = lay.parent()
    assert isinstance(sound, Sandwiched), "the sound panel was solved"
    s = sound.sandwich()
    e = eps + (s.z_upper if side == "outside" else s.z_lower) * kappa
    mean, half = 0.5 * (e[..., 0] + e[..., 1]), 0.5 * (e[..., 0] - e[..., 1])
    return np.asarray(abs(mean) + np.hypot(half, 0.5 * e[..., 2]))


def repair_box(lay: AsLaid) -> tuple[float, float, float, float]:
    """Bounds of every ply that carries and every cut-out, standard axes [m]."""
    boxes = [s.cutout.bounds for s in lay.plies.sides]
    boxes += [p.outline.bounds for s in lay.plies.sides for p in s.plies if p.role in CARRIES]
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )


def _plate_section(section: Sandwiched, factor: float = 1.0) -> PlateSection:
    made = section.sandwich()
    a, b, d = made.stiffness()
    return PlateSection(factor * a, factor * b, factor * d, factor * made.shear_stiffness(), name="zone")


def nearest_edge(outlines: list[tuple[str, Outline]], at: tuple[float, float], view: str) -> str:
    """Name of the outline whose edge lies nearest to a point [m], with its distance in the reader's units."""
    if not outlines:
        return "no edge"
    name, far = min(((n, o.reach(*at)[0]) for n, o in outlines), key=lambda t: t[1])
    away = show(far, "length", view, decimals=0 if view == "mm" else 1)
    return f"{name}, {away} from its edge"
