"""Finding the marks in a picture: numbers, corners to a fraction of an element, blur; or words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from panelmend.errors import ReadingError
from panelmend.photo.camera import Array
from panelmend.photo.library import vision
from panelmend.photo.pictures import Picture
from panelmend.photo.sheet import MARK_CELLS, dictionary

LEAST_CELL = 3.0  # [picture elements] side of a mark's cell; below, numbers are guessed and corners are poor
MOST_BLUR = 0.28  # standard deviation of the blur over the side of a cell


@dataclass(frozen=True)
class Found:
    """A mark in a picture: ``corners`` (4, 2) clockwise from the upper left as printed, ``blur`` both in
    picture elements, the blur as a standard deviation."""

    number: int
    corners: Array
    blur: float

    @property
    def side(self) -> float:
        """Shortest side [picture elements]."""
        return float(np.min(np.linalg.norm(self.corners - np.roll(self.corners, 1, axis=0), axis=1)))


def find_marks(picture: Picture) -> tuple[Found, ...]:
    """Every mark in a picture.

    Raises:
        ReadingError: none, a mirrored picture, the same number twice, marks too small or blurred.
        NoPhotoPartError: the picture library is not installed.
    """
    cv2 = vision()
    grey = cv2.cvtColor(picture.pixels, cv2.COLOR_BGR2GRAY)
    found = _detected(grey)
    if not found:
        if _detected(np.ascontiguousarray(grey[:, ::-1])):
            raise ReadingError(
                "the picture is mirrored",
                where=picture.name,
                todo="use the camera's own file; switch off mirroring of the front camera",
            )
        raise ReadingError(
            "no mark was found",
            where=picture.name,
            expected="printed marks, sharp, whole and with white round them",
            todo="come nearer, hold still, and look for glare and shade on the marks",
        )
    numbers = [n for n, _ in found]
    twice = sorted({n for n in numbers if numbers.count(n) > 1})
    if twice:
        raise ReadingError(
            "the same mark is in the picture twice: two sheets, or two panels",
            where=picture.name,
            read=f"mark {', '.join(map(str, twice))}",
            todo="cover one of them, or use other numbers for the second panel",
        )
    marks = [_sharpened(grey, n, c) for n, c in found]
    small = [m for m in marks if m.side / MARK_CELLS < LEAST_CELL]
    if small:
        worst = min(small, key=lambda m: m.side)
        raise ReadingError(
            "marks are too small in the picture",
            where=picture.name,
            read=f"mark {worst.number} has {worst.side:.0f} picture elements along a side",
            expected=f"at least {LEAST_CELL * MARK_CELLS:.0f}",
            todo="come nearer, or print larger marks",
        )
    blurred = [m for m in marks if m.blur > MOST_BLUR * m.side / MARK_CELLS]
    if blurred:
        worst = max(blurred, key=lambda m: m.blur / m.side)
        raise ReadingError(
            "the picture is blurred",
            where=picture.name,
            read=f"mark {worst.number}: edges {2.5 * worst.blur:.0f} picture elements wide, "
            f"its cells {worst.side / MARK_CELLS:.0f}",
            todo="clean the lens, let it focus on the panel, hold still, more light",
        )
    return tuple(sorted(marks, key=lambda m: m.number))


def _detected(grey: np.ndarray) -> list[tuple[int, Array]]:
    cv2 = vision()
    settings = cv2.aruco.DetectorParameters()
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_NONE
    settings.minMarkerPerimeterRate = 0.01
    settings.errorCorrectionRate = 0.4
    corners, numbers, _ = cv2.aruco.ArucoDetector(dictionary(), settings).detectMarkers(grey)
    if numbers is None:
        return []
    kept: list[tuple[int, Array]] = []
    for n, c in zip(numbers.ravel(), corners, strict=True):
        at = np.asarray(c, float).reshape(4, 2)
        if any(k == n and np.linalg.norm(at.mean(0) - o.mean(0)) < 5.0 for k, o in kept):
            continue
        kept.append((int(n), at))
    return kept


def _sharpened(grey: np.ndarray, number: int, corners: Array) -> Found:
    """Corners where straight lines through the border's outer edges cross, and the blur of those edges."""
    lines, blurs = [], []
    for i in range(4):
        a, b = corners[i], corners[(i + 1) % 4]
        made = _edge(grey, a, b)
        if made is None:
            lines.append((a, (b - a) / max(float(np.linalg.norm(b - a)), 1e-9)))
            continue
        lines.append(made[:2])
        blurs.append(made[2])
    fine = np.array([_crossing(lines[i - 1], lines[i]) for i in range(4)])
    off = np.linalg.norm(fine - corners, axis=1)
    limit = 0.08 * float(np.linalg.norm(corners[1] - corners[0])) + 1.5
    fine = np.where((off < limit)[:, None] & np.isfinite(fine), fine, corners)
    return Found(number, fine, float(np.median(blurs)) if blurs else 99.0)


def _edge(grey: np.ndarray, a: Array, b: Array) -> tuple[Array, Array, float] | None:
    """A point and direction of the line along an edge of the border, and its blur [picture elements]."""
    cv2 = vision()
    along = b - a
    length = float(np.linalg.norm(along))
    if length < 8.0:
        return None
    along = along / length
    out = np.array([along[1], -along[0]])  # corners run clockwise as seen, y down: this points outwards
    reach = min(max(0.09 * length, 3.0), 30.0)
    steps = np.arange(-reach, reach + 0.25, 0.5)
    places = np.linspace(0.12, 0.88, int(min(max(length / 2, 8), 60)))
    base = a + places[:, None] * length * along
    at = base[:, None, :] + steps[None, :, None] * out
    read = cv2.remap(
        grey, at[..., 0].astype(np.float32), at[..., 1].astype(np.float32), cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_REPLICATE,
    ).astype(float)  # fmt: skip
    # a lens blurs light, and files hold about its 2.2nd root: there a blurred edge would look moved outwards
    read = 255.0 * (read / 255.0) ** 2.2
    slope = np.clip(np.gradient(read, 0.5, axis=1), 0.0, None)  # black inside, white outside
    peak = slope.max(axis=1)
    rise = np.percentile(read, 90, axis=1) - np.percentile(read, 10, axis=1)
    good = (peak > 1.0) & (rise > 10.0)
    if good.sum() < 5:
        return None
    weight = np.where(slope > 0.25 * peak[:, None], slope, 0.0)
    centre = (weight * steps).sum(1)[good] / weight.sum(1)[good]
    x = (places * length)[good]
    for _ in range(3):
        slope_, shift = np.polyfit(x, centre, 1)
        off = np.abs(centre - (slope_ * x + shift))
        keep = off <= max(0.35, 2.5 * float(np.median(off)))
        if keep.all() or keep.sum() < 5:
            break
        x, centre = x[keep], centre[keep]
    direction = along + slope_ * out
    blur = float(np.median(rise[good] / (peak[good] * np.sqrt(2.0 * np.pi))))
    return a + shift * out, direction / np.linalg.norm(direction), blur


def _crossing(one: tuple[Array, Array], other: tuple[Array, Array]) -> Array:
    m = np.column_stack([one[1], -other[1]])
    if abs(float(np.linalg.det(m))) < 0.05:
        return np.array([np.nan, np.nan])
    t = np.linalg.solve(m, other[0] - one[0])
    return np.asarray(one[0] + t[0] * one[1])
