"""One fit over all pictures: every camera, its lens and where each mark really lies, from the marks' corners.

Unknown: for every picture thirteen numbers (:mod:`panelmend.photo.camera`); for every mark its centre, turn
and lift off the face; one scale of the print. Known: the corners in the pictures; the measured places, each
with its error; what lenses of telephones are like (weak beliefs, below). Least squares, the corners
reweighted so that a covered or curled one has little say; the errors follow from the second derivatives.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
from scipy.optimize import least_squares

from panelmend.photo.camera import CAMERA, Array, CameraView, projected
from panelmend.photo.first_camera import FOCAL, Setup, Shot, first_camera

MARK = 4  # centre x, y, turn, lift
LEAST_NOISE = 0.08  # [picture elements] a corner is never believed closer
LEAST_PLACE = 0.0001  # [m] a measured place is never believed closer
# Beliefs about telephones' cameras, as standard deviations: from memory, no source.
FOCAL_SPREAD = 0.25  # of the logarithm of the focal length over the longer side
CENTRE_SPREAD, CENTRE_CROPPED = 0.01, 0.08  # of the lens's centre, over the longer side
LENS_SPREAD = (0.15, 0.15, 0.003, 0.003)  # k1, k2, p1, p2
SCALE_SPREAD = 0.005  # of the print; the check square allows 0.5 mm in 100
BELIEF = 6.0  # marks that the belief in the given errors counts for
LIFT_SPREAD = 0.0007  # [m] of a mark off the face: paper that curls


@dataclass(frozen=True)
class _Problem:
    setup: Setup
    shots: tuple[Shot, ...]
    numbers: tuple[int, ...]


@dataclass(frozen=True)
class Fitted:
    """The outcome: cameras, marks and the covariance of everything [SI]."""

    setup: Setup
    shots: tuple[Shot, ...]
    numbers: tuple[int, ...]
    values: Array
    covariance: Array
    noise: float
    inflation: float = 1.0
    left_out: dict[int, tuple[float, float]] = field(default_factory=dict)
    """For each measured mark: how far it lies from where the others put it, and the expected distance [m]."""

    def view(self, k: int) -> CameraView:
        """The camera of picture ``k``."""
        at = 1 + MARK * len(self.numbers) + CAMERA * k
        return CameraView(self.values[at : at + CAMERA], self.shots[k].width, self.shots[k].height)

    def mark(self, number: int) -> Array:
        """Centre x, y [m], turn [rad] and lift [m] of a mark."""
        at = 1 + MARK * self.numbers.index(number)
        return self.values[at : at + MARK]

    @property
    def side(self) -> float:
        """Side of a mark as it came out [m]."""
        return float(self.setup.side * np.exp(self.values[0]))

    def errors(self, k: int, points: Array, pixel_error: Array | float) -> Array:
        """Covariances (n, 2, 2) [m2] of surface points measured in picture ``k`` to ``pixel_error`` (n,)."""
        view, face = self.view(k), self.setup.face
        back = np.linalg.inv(view.slope(face, points))
        at = 1 + MARK * len(self.numbers) + CAMERA * k
        world = face.world(points)
        by_camera = np.empty((len(points), 2, CAMERA))
        for i in range(CAMERA):
            h = 1e-6
            d = np.zeros(CAMERA)
            d[i] = h
            by_camera[:, :, i] = (
                replace(view, values=view.values + d).project(world)
                - replace(view, values=view.values - d).project(world)
            ) / (2 * h)
        g = back @ by_camera
        made = g @ self.covariance[at : at + CAMERA, at : at + CAMERA] @ np.swapaxes(g, 1, 2)
        noise = np.broadcast_to(np.asarray(pixel_error, float), (len(points),)) ** 2
        made += noise[:, None, None] * (back @ np.swapaxes(back, 1, 2))
        h = 1e-5
        rise = (view.project(face.world(points, h)) - view.project(face.world(points, -h))) / (2 * h)
        off = (back @ rise[:, :, None])[:, :, 0] * self.setup.flatness
        made += off[:, :, None] * off[:, None, :]
        return np.asarray(made * self.inflation)

    def tip(self, number: int, over_side: tuple[float, float]) -> tuple[Array, Array]:
        """A printed point beside a mark, given in its own axes over its side: place [m], covariance [m2]."""
        i = self.numbers.index(number)
        x, y, turn, _ = self.mark(number)
        c, s = np.cos(turn), np.sin(turn)
        a, b = (v * self.side for v in over_side)
        at = np.array([x + c * a - s * b, y + s * a + c * b])
        g = np.array([[1.0, 0.0, -s * a - c * b], [0.0, 1.0, c * a - s * b]])
        k = 1 + MARK * i
        made = g @ self.covariance[k : k + 3, k : k + 3] @ g.T * self.inflation
        return at, made + np.eye(2) * 0.0003**2  # a pointer is laid by hand: 0.3 mm, no source


def corners_of(side: float) -> Array:
    """Corners (4, 2) of a mark in its own axes, x right, y up, clockwise from the upper left [m]."""
    h = 0.5 * side
    return np.array([[-h, h], [h, h], [h, -h], [-h, -h]])


def fit(setup: Setup, shots: tuple[Shot, ...], start: Array | None = None) -> Fitted:
    """Cameras and marks from the corners.

    Args:
        setup: what is known.
        shots: the marks found in each picture; marks of no use are left out before.
        start: values to start from, as :class:`Fitted` holds them.

    Raises:
        ReadingError: a picture with fewer than four measured marks, or from which no camera can be found.
    """
    numbers = tuple(sorted({m.number for s in shots for m in s.marks}))
    values = _begin(setup, shots, numbers) if start is None else np.array(start)
    weights = [np.ones((len(s.marks), 4)) for s in shots]
    noise = 0.3
    problem = _Problem(setup, shots, numbers)
    for turn in range(3):
        made = least_squares(
            _residuals,
            values,
            _slopes,
            args=(problem, noise, weights),
            method="trf",
            x_scale="jac",
            xtol=1e-10,
            ftol=1e-5 if turn < 2 else 1e-8,
            max_nfev=60,
        )
        values = made.x
        off = _corner_misfit(values, problem)
        sizes = np.concatenate([np.linalg.norm(o, axis=2).ravel() for o in off])
        free = max(1.0 - 0.5 * _unknowns(problem) / max(sizes.size, 1), 0.3)
        noise = max(LEAST_NOISE, float(np.median(sizes)) / 1.1774 / np.sqrt(free))  # Rayleigh's median
        weights = [np.minimum(1.0, 3.0 * noise / np.maximum(np.linalg.norm(o, axis=2), 1e-9)) for o in off]
    j = _slopes(values, problem, noise, weights)
    covariance = np.asarray(np.linalg.inv(j.T @ j), float)
    fitted = Fitted(setup, shots, numbers, values, covariance, noise)
    left_out, ratio = _left_out(fitted)
    return replace(fitted, left_out=left_out, inflation=max(1.0, ratio))


def _slopes(values: Array, problem: _Problem, noise: float, weights: list[Array]) -> Array:
    """Derivatives of :func:`_misfit`: a corner hangs on one mark, one camera and the scale, 18 steps do."""
    setup, shots, numbers = problem.setup, problem.shots, problem.numbers
    ends = 1 + MARK * len(numbers)
    corner = [np.sqrt(w)[:, :, None] / noise for w in weights]

    steps = np.zeros((1 + MARK + CAMERA, len(values)))
    steps[0, 0] = 1.0
    for i in range(MARK):
        steps[1 + i, 1 + i : ends : MARK] = 1.0
    for i in range(CAMERA):
        steps[1 + MARK + i, ends + i :: CAMERA] = 1.0
    h = 1e-6
    both = _corner_misfits(np.concatenate([values + h * steps, values - h * steps]), problem)
    slopes = [(b[: len(steps)] - b[len(steps) :]) / (2 * h) * c for b, c in zip(both, corner, strict=True)]
    sizes = [8 * len(s.marks) for s in shots]
    starts = np.concatenate([[0], np.cumsum(sizes)])
    made = np.zeros((int(starts[-1]), len(values)))
    for k, o in enumerate(slopes):
        own = slice(int(starts[k]), int(starts[k + 1]))
        made[own, 0] = o[0].ravel()
        for r, m in enumerate(shots[k].marks):
            at, first = 1 + MARK * numbers.index(m.number), own.start + 8 * r
            made[first : first + 8, at : at + MARK] = o[1 : 1 + MARK, r].reshape(MARK, 8).T
        at = ends + CAMERA * k
        made[own, at : at + CAMERA] = o[1 + MARK :].reshape(CAMERA, -1).T
    beliefs = _beliefs(values, setup, shots, numbers)
    return np.vstack([made, _belief_slopes(len(beliefs), setup, shots, numbers)])


def _unknowns(problem: _Problem) -> float:
    """Numbers that the corners alone must fix, roughly: three a mark and eight a picture."""
    return 3.0 * len(problem.numbers) + 8.0 * len(problem.shots)


def _corner_misfit(values: Array, problem: _Problem) -> list[Array]:
    """How far each picture's corners (marks, 4, 2) come out from where they were read [picture elements]."""
    return [o[0] for o in _corner_misfits(values[None], problem)]


def _corner_misfits(values: Array, problem: _Problem) -> list[Array]:
    """The same of many sets of values (b, ...) at once: (b, marks, 4, 2) for each picture."""
    setup, numbers = problem.setup, problem.numbers
    sets, end = len(values), 1 + MARK * len(numbers)
    marks = values[:, 1:end].reshape(sets, len(numbers), MARK)
    own = corners_of(setup.side) * np.exp(values[:, 0])[:, None, None]
    c, s = np.cos(marks[:, :, 2])[..., None], np.sin(marks[:, :, 2])[..., None]
    right, up = own[:, None, :, 0], own[:, None, :, 1]
    x = marks[:, :, 0:1] + c * right - s * up
    y = marks[:, :, 1:2] + s * right + c * up
    world = setup.face.world(np.column_stack([x.ravel(), y.ravel()]), np.repeat(marks[:, :, 3].ravel(), 4))
    world = world.reshape(sets, len(numbers), 4, 3)
    made = []
    for k, shot in enumerate(problem.shots):
        at = end + CAMERA * k
        rows = [numbers.index(m.number) for m in shot.marks]
        before = world[:, rows].reshape(sets, -1, 3)
        seen = projected(values[:, at : at + CAMERA], shot.width, shot.height, before)
        read = np.array([m.corners for m in shot.marks])
        made.append(np.nan_to_num(seen.reshape(sets, -1, 4, 2) - read, nan=1e4))
    return made


def _residuals(values: Array, problem: _Problem, noise: float, weights: list[Array]) -> Array:
    setup, shots, numbers = problem.setup, problem.shots, problem.numbers
    parts = [
        (o * np.sqrt(w)[:, :, None] / noise).ravel()
        for o, w in zip(_corner_misfit(values, problem), weights, strict=True)
    ]
    return np.concatenate([*parts, _beliefs(values, setup, shots, numbers)])


def _beliefs(values: Array, setup: Setup, shots: tuple[Shot, ...], numbers: tuple[int, ...]) -> Array:
    """What is believed beforehand, each over its standard deviation; straight in ``values``."""
    made = []
    lift = float(np.hypot(LIFT_SPREAD, setup.flatness))
    for i, n in enumerate(numbers):
        at = 1 + MARK * i
        if n in setup.placed:
            made += list((values[at : at + 2] - setup.placed[n]) / max(setup.place_error, LEAST_PLACE))
        made.append(values[at + 3] / lift)
    made.append(values[0] / SCALE_SPREAD)
    for k, shot in enumerate(shots):
        v = values[1 + MARK * len(numbers) + CAMERA * k :]
        middle = [0.0] * CAMERA
        middle[6] = float(np.log(FOCAL))
        made += [(v[i] - middle[i]) / spread for i, spread in _camera_spreads(shot)]
    return np.array(made)


def _camera_spreads(shot: Shot) -> list[tuple[int, float]]:
    centre = CENTRE_SPREAD if shot.from_camera else CENTRE_CROPPED
    return [(6, FOCAL_SPREAD), (7, centre), (8, centre), *((9 + i, v) for i, v in enumerate(LENS_SPREAD))]


def _belief_slopes(count: int, setup: Setup, shots: tuple[Shot, ...], numbers: tuple[int, ...]) -> Array:
    made = np.zeros((count, 1 + MARK * len(numbers) + CAMERA * len(shots)))
    row = 0
    for i, n in enumerate(numbers):
        at = 1 + MARK * i
        if n in setup.placed:
            made[row, at] = made[row + 1, at + 1] = 1.0 / max(setup.place_error, LEAST_PLACE)
            row += 2
        made[row, at + 3] = 1.0 / float(np.hypot(LIFT_SPREAD, setup.flatness))
        row += 1
    made[row, 0] = 1.0 / SCALE_SPREAD
    row += 1
    for k, shot in enumerate(shots):
        for i, spread in _camera_spreads(shot):
            made[row, 1 + MARK * len(numbers) + CAMERA * k + i] = 1.0 / spread
            row += 1
    return made


def _begin(setup: Setup, shots: tuple[Shot, ...], numbers: tuple[int, ...]) -> Array:
    """Values to start from: each camera from four marks that the others agree with best."""
    cameras = [first_camera(setup, s)[0] for s in shots]
    marks = np.zeros((len(numbers), MARK))
    own = corners_of(setup.side)
    for i, n in enumerate(numbers):
        k = next(k for k, s in enumerate(shots) if any(m.number == n for m in s.marks))
        view = CameraView(cameras[k], shots[k].width, shots[k].height)
        found = next(m for m in shots[k].marks if m.number == n)
        middle = np.mean(list(setup.placed.values()), axis=0)
        at = view.onto(setup.face, found.corners, np.array(setup.placed.get(n, middle)))
        if not np.isfinite(at).all():
            at = np.array(setup.placed.get(n, middle)) + own
        centre = at.mean(0)
        edge = (at[1] + at[2] - at[0] - at[3]) / 2
        marks[i] = *(setup.placed.get(n, centre)), np.arctan2(edge[1], edge[0]), 0.0
    return np.concatenate([[0.0], marks.ravel(), *cameras])


def _left_out(fitted: Fitted) -> tuple[dict[int, tuple[float, float]], float]:
    """Each measured mark against where all else puts it: distance, expected distance [m]; ratio squared."""
    setup, error = fitted.setup, max(fitted.setup.place_error, LEAST_PLACE)
    made, ratios = {}, []
    for i, n in enumerate(fitted.numbers):
        if n not in setup.placed:
            continue
        k = 1 + MARK * i
        c = fitted.covariance[k : k + 2, k : k + 2]
        own = np.eye(2) * error**2
        e = np.array(setup.placed[n]) - fitted.values[k : k + 2]
        gain = own - c  # covariance of what is left over
        e_out = own @ np.linalg.pinv(gain, rcond=1e-6) @ e
        spread = own @ np.linalg.pinv(gain, rcond=1e-6) @ own
        made[n] = (float(np.linalg.norm(e_out)), float(np.sqrt(np.trace(spread))))
        ratios.append(float(e_out @ np.linalg.pinv(spread, rcond=1e-9) @ e_out) / 2.0)
    return made, (BELIEF + sum(ratios)) / (BELIEF + len(ratios))
