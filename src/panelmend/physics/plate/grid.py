"""Grid of a rectangular plate, and the stiffness of each cell averaged over the zones that cut it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from panelmend.errors import InputError
from panelmend.physics.structure_inputs import Array

Index = NDArray[np.int64]
ZoneAt = Callable[[Array, Array], Index]


@dataclass(frozen=True, eq=False)
class PlateGrid:
    """Grid lines ``x`` (nx + 1,) and ``y`` (ny + 1,) [m], rising. Fields on cells have shape (ny, nx).

    Raises:
        InputError: fewer than two lines a way, lines that do not rise, or that are not finite.
    """

    x: Array
    y: Array

    def __post_init__(self) -> None:
        for name, lines in (("x", self.x), ("y", self.y)):
            if (
                lines.ndim != 1
                or lines.size < 2
                or not np.isfinite(lines).all()
                or (np.diff(lines) <= 0).any()
            ):
                raise InputError(
                    f"grid lines {name}", read=f"{lines.size} lines", expected="rising finite lines"
                )

    @property
    def shape(self) -> tuple[int, int]:
        """Cells (ny, nx)."""
        return self.y.size - 1, self.x.size - 1

    @property
    def nodes(self) -> int:
        """Number of nodes; node (j, i) has number j (nx + 1) + i."""
        return self.x.size * self.y.size

    def centres(self) -> tuple[Array, Array]:
        """Cell centres [m], X and Y, each (ny, nx)."""
        xc, yc = (self.x[1:] + self.x[:-1]) / 2, (self.y[1:] + self.y[:-1]) / 2
        grid_x, grid_y = np.meshgrid(xc, yc)
        return grid_x, grid_y


def even_grid(width: float, height: float, nx: int, ny: int) -> PlateGrid:
    """A grid of equal cells over width by height [m] from (0, 0)."""
    return PlateGrid(np.linspace(0.0, width, nx + 1), np.linspace(0.0, height, ny + 1))


@dataclass(frozen=True, eq=False)
class PlateSection:
    """Stiffness of one zone: ``A`` [N/m], ``B`` [N], ``D`` [N m], each (3, 3), about one common reference
    plane; ``S`` [N/m] (2, 2) transverse shear for xz, yz.

    Raises:
        InputError: wrong shapes, or a stiffness that is not symmetric and positive definite.
    """

    A: Array
    B: Array
    D: Array
    S: Array
    name: str = "zone"

    def __post_init__(self) -> None:
        shapes = [(self.A, 3), (self.B, 3), (self.D, 3), (self.S, 2)]
        if any(np.shape(m) != (n, n) or not np.isfinite(m).all() for m, n in shapes):
            raise InputError(f"{self.name}: A, B, D must be 3 x 3 and S 2 x 2, all finite")
        for matrix, label in ((self.abd, "[A B; B D]"), (self.S, "S")):
            scale = np.sqrt(np.abs(np.diag(matrix)))
            if (scale == 0).any() or np.linalg.eigvalsh(
                _symmetric(matrix / np.outer(scale, scale))
            ).min() <= 1e-12:
                raise InputError(
                    f"{self.name}: {label} is not positive definite",
                    expected="a section that resists every strain",
                    todo="check moduli, thicknesses and the reference plane",
                )

    @property
    def abd(self) -> Array:
        """[A B; B D], shape (6, 6)."""
        return np.block([[self.A, self.B], [self.B.T, self.D]])


def _symmetric(m: Array) -> Array:
    return (m + m.T) / 2


@dataclass(frozen=True, eq=False)
class Zones:
    """Cells of a plate: averaged ``abd`` (ny, nx, 6, 6) and ``shear`` (ny, nx, 2, 2), the ``share`` [1] of
    each section (ny, nx, sections), the ``main`` section of each cell (ny, nx), the ``sections``.
    """

    abd: Array
    shear: Array
    share: Array
    main: Index
    sections: tuple[PlateSection, ...]


def zones(
    grid: PlateGrid, sections: Sequence[PlateSection], at: ZoneAt | Index | int = 0, samples: int = 4
) -> Zones:
    """Area-average sections into the cells.

    Args:
        grid: the grid.
        sections: the zones' stiffness.
        at: which section where: a function of sample points X, Y [m] giving indices of the same shape, an
            array of indices (ny samples, nx samples) in grid order, or one index for the whole plate.
        samples: sample points a cell and way.

    Returns:
        The averaged stiffness of each cell.

    Raises:
        InputError: indices of the wrong shape or naming no section.
    """
    ny, nx = grid.shape
    if isinstance(at, int):
        picked = np.full((ny, nx, 1, 1), at)
        samples = 1
    else:
        part = (np.arange(samples) + 0.5) / samples
        xs = (grid.x[:-1, None] + np.diff(grid.x)[:, None] * part).ravel()
        ys = (grid.y[:-1, None] + np.diff(grid.y)[:, None] * part).ravel()
        raw = at(*np.meshgrid(xs, ys)) if callable(at) else at
        array = np.asarray(raw)
        if array.shape != (ny * samples, nx * samples):
            raise InputError(
                "zone indices", read=f"shape {array.shape}", expected=f"{(ny * samples, nx * samples)}"
            )
        picked = array.reshape(ny, samples, nx, samples).transpose(0, 2, 1, 3)
    if picked.size and (picked.min() < 0 or picked.max() >= len(sections)):
        raise InputError(
            "zone index", read=f"{picked.min()} to {picked.max()}", expected=f"0 to {len(sections) - 1}"
        )
    share = np.stack([(picked == k).mean(axis=(2, 3)) for k in range(len(sections))], axis=-1)
    abd = np.tensordot(share, np.stack([s.abd for s in sections]), 1)
    shear = np.tensordot(share, np.stack([s.S for s in sections]), 1)
    return Zones(abd, shear, share, np.argmax(share, axis=-1), tuple(sections))
