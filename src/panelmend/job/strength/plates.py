"""The whole panel as a plate: sound, repaired as laid, and with the hole left open."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from panelmend.job.strength.lay import CARRIES, Lay
from panelmend.job.strength.part import Maps
from panelmend.job.strength.stacks import Section as Sandwiched
from panelmend.physics.plate import (
    Case,
    PlateAnswer,
    PointSupport,
    Section,
    even_grid,
    simple,
    solve_cases,
    uniform_edges,
    zones,
)
from panelmend.physics.structure_inputs import NotComputed
from panelmend.shapes import Outline
from panelmend.shapes.points import inside_of

Array = NDArray[np.float64]
CELLS = 80  # along the longer side: deflection within 0.1 % of a grid twice as fine
SAMPLES = 4
SPRING = 1e4  # N/m: holds the panel in its plane; balanced loads put next to no force on it
NEXT_TO_NOTHING = 0.05  # of the largest in the sound panel: below this no ratio is shown
LITTLE_SHEAR = 0.02  # of the running loads: core shear below this is a by-product of unequal skins
OPEN = 1e-4  # stiffness of an open hole on that of the panel


class Panel:
    """The panel's bounding rectangle with its zones. Other outlines are taken as that rectangle."""

    def __init__(self, lay: Lay) -> None:
        self.lay = lay
        self.x0, self.y0, x1, y1 = lay.case.geometry.outline.bounds
        wide, high = x1 - self.x0, y1 - self.y0
        n = CELLS / max(wide, high)
        self.grid = even_grid(wide, high, max(12, round(n * wide)), max(12, round(n * high)))

    def _mask(self, outline: Outline) -> Callable[[Array, Array], NDArray[np.bool_]]:
        test = inside_of(outline)
        return lambda x, y: test(x + self.x0, y + self.y0)

    def repaired(
        self, *, hole: bool
    ) -> tuple[list[Section], Callable[[Array, Array], NDArray[np.int64]]] | NotComputed:
        """Sections of every zone, and which zone is where. With ``hole`` no ply is laid."""
        lay = self.lay
        tests, plies = [], []
        for side in ("outside", "inside"):
            layup = lay.side(side)
            if layup is None:
                continue
            tests.append((side, "cut", self._mask(layup.cutout)))
            if not hole:
                for p in sorted(layup.plies, key=lambda p: p.number):
                    if p.role in CARRIES:
                        tests.append((side, p.id, self._mask(p.outline)))
                        plies.append(p)
        known: dict[int, int] = {}
        sections: list[Section] = []
        by_id = {p.id: p for p in plies}

        def section_for(code: int) -> Section | NotComputed:
            on = {(s, n) for bit, (s, n, _) in enumerate(tests) if code >> bit & 1}
            rows, gone = {}, False
            for side in ("inside", "outside"):
                cut = (side, "cut") in on
                base = lay.left(side) if cut else lay.skin(side)
                over = [
                    by_id[n]
                    for s, n in sorted(on, key=lambda t: by_id[t[1]].number if t[1] in by_id else 0)
                    if s == side and n in by_id
                ]
                if not cut:
                    over = [p for p in over if p.role != "fill"]
                rows[side] = lay.with_patch(side, base, over)
                gone = gone or not rows[side]
            cored = any(n == "cut" for _, n in on) and lay.core.action == "replace"
            if gone:
                sound = lay.parent()
                return sound if isinstance(sound, NotComputed) else _plate_section(sound, OPEN)
            made = lay.section("zone", rows["inside"], rows["outside"], plug=cored and not hole)
            return made if isinstance(made, NotComputed) else _plate_section(made)

        n = SAMPLES
        part = (np.arange(n) + 0.5) / n
        xs = (self.grid.x[:-1, None] + np.diff(self.grid.x)[:, None] * part).ravel()
        ys = (self.grid.y[:-1, None] + np.diff(self.grid.y)[:, None] * part).ravel()
        px, py = np.meshgrid(xs, ys)
        codes = np.zeros(px.shape, np.int64)
        for bit, (_, _, test) in enumerate(tests):
            codes |= test(px, py).astype(np.int64) << bit
        for code in np.unique(codes):
            made = section_for(int(code))
            if isinstance(made, NotComputed):
                return made
            known[int(code)] = len(sections)
            sections.append(made)
        index = np.vectorize(known.__getitem__, otypes=[np.int64])(codes)
        return sections, lambda x, y: index

    def solve(self, cases: list[Case], *, state: str) -> tuple[PlateAnswer, ...] | NotComputed:
        """The plate under several cases: ``state`` is "sound", "repaired" or "open"."""
        if state == "sound":
            sound = self.lay.parent()
            if isinstance(sound, NotComputed):
                return sound
            return solve_cases(self.grid, zones(self.grid, [_plate_section(sound)]), cases)
        made = self.repaired(hole=state == "open")
        if isinstance(made, NotComputed):
            return made
        sections, at = made
        return solve_cases(self.grid, zones(self.grid, sections, at, samples=SAMPLES), cases)

    def case(self, nx: float, ny: float, nxy: float, pressure: float, clamped: bool) -> Case:
        """A load case: edges held out of plane, balanced loads round them, pressure on the outside."""
        from panelmend.physics.plate import CLAMPED_IN_BENDING

        edges = {s: CLAMPED_IN_BENDING if clamped else simple(s) for s in ("left", "right", "bottom", "top")}
        wide, high = float(self.grid.x[-1]), float(self.grid.y[-1])
        held = [PointSupport(0.0, 0.0, 1.0, SPRING), PointSupport(wide, high, 1.0, SPRING)]
        return Case(edges, held, uniform_edges(nx, ny, nxy), pressure=-pressure)

    def maps(self, name: str, sound: PlateAnswer, repaired: PlateAnswer, opened: PlateAnswer | None) -> Maps:
        """Ratios of the repaired and the open panel to the sound one.

        Core shear is compared only where the sound panel carries some: not under loads in its plane alone.
        """
        strain = _ratio(self._strain(repaired), self._strain(sound))
        was, now = (np.hypot(a.Q[..., 0], a.Q[..., 1]) for a in (sound, repaired))
        shear = np.full(strain.shape, np.nan)
        if was.max() > LITTLE_SHEAR * abs(sound.N).max():
            shear = _ratio(now, was)
        hole = np.full(strain.shape, np.nan)
        if opened is not None:
            hole = np.where(self.in_the_hole(), np.nan, _ratio(self._strain(opened), self._strain(sound)))
        fields = (np.round(a, 4) for a in (strain, shear, hole))
        return Maps(name, self.grid.x + self.x0, self.grid.y + self.y0, *fields)

    def in_the_hole(self) -> NDArray[np.bool_]:
        """Cells whose middle lies in a cut-out."""
        x, y = np.meshgrid(*((line[1:] + line[:-1]) / 2 for line in (self.grid.x, self.grid.y)))
        found = np.zeros(x.shape, np.bool_)
        for layup in self.lay.plies.sides:
            found |= self._mask(layup.cutout)(x, y)
        return found

    def _strain(self, answer: PlateAnswer) -> Array:
        """Largest principal strain by size in either face's middle, at each cell [1]."""
        sound = self.lay.parent()
        assert isinstance(sound, Sandwiched), "the sound panel was solved"
        s = sound.sandwich()
        found = np.zeros(answer.grid.shape)
        for z in (s.z_lower, s.z_upper):
            e = answer.strain_at(z)
            mean, half = 0.5 * (e[..., 0] + e[..., 1]), 0.5 * (e[..., 0] - e[..., 1])
            radius = np.hypot(half, 0.5 * e[..., 2])
            found = np.maximum(found, np.maximum(abs(mean + radius), abs(mean - radius)))
        return found


def _ratio(top: Array, bottom: Array) -> Array:
    least = NEXT_TO_NOTHING * float(bottom.max())
    if least <= 0.0:
        return np.full(top.shape, np.nan)
    return np.where(bottom > least, top / np.maximum(bottom, least), np.nan)


def _plate_section(section: Sandwiched, factor: float = 1.0) -> Section:
    made = section.sandwich()
    a, b, d = made.stiffness()
    return Section(factor * a, factor * b, factor * d, factor * made.shear_stiffness(), name="zone")


def nearest_edge(outlines: list[tuple[str, Outline]], at: tuple[float, float]) -> str:
    """Name of the outline whose edge lies nearest to a point, with its distance."""
    if not outlines:
        return "no edge"
    name, far = min(((n, o.reach(*at)[0]) for n, o in outlines), key=lambda t: t[1])
    return f"{name}, {1e3 * far:.0f} mm from its edge"
