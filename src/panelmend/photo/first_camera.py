"""A first camera for each picture, from four marks that the others agree with; what is known before."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from panelmend.errors import ReadingError
from panelmend.photo.camera import CAMERA, Array, CameraView, Face, rotation_matrix
from panelmend.photo.finding import Found
from panelmend.photo.library import vision

FOCAL = 0.75  # focal length over the longer side of a telephone's picture: from memory, no source


@dataclass(frozen=True)
class Shot:
    """What one picture gives to the fit: its marks, its size, and whether it is as the camera made it."""

    name: str
    marks: tuple[Found, ...]
    width: int
    height: int
    from_camera: bool = True


@dataclass(frozen=True)
class Setup:
    """What is known of the panel: as looked at, [m].

    ``placed`` measured centres by number; ``free`` marks whose place is wanted; ``side`` of a mark.
    """

    face: Face
    placed: dict[int, tuple[float, float]]
    free: tuple[int, ...]
    side: float
    place_error: float
    flatness: float


def first_camera(setup: Setup, shot: Shot) -> tuple[Array, float]:
    """A camera without lens errors, from four marks that the others agree with best, and its misfit.

    Raises:
        ReadingError: fewer than four measured marks, all in a line, or mirrored.
    """
    cv2 = vision()
    known = [m for m in shot.marks if m.number in setup.placed]
    if len(known) < 4:
        read = ", ".join(str(m.number) for m in known) or "none"
        raise ReadingError(
            "too few measured marks in the picture",
            where=shot.name,
            read=f"{len(known)} of {len(setup.placed)} (mark {read})",
            expected="four or more, round the field",
            todo="take it so that more marks are in the picture, whole, sharp and without glare",
        )
    places = np.array([setup.placed[m.number] for m in known])
    spread = np.linalg.svd(places - places.mean(0), compute_uv=False)
    if spread[1] < 0.08 * spread[0]:
        raise ReadingError(
            "the measured marks stand in one line",
            where=shot.name,
            expected="marks all round the field",
            todo="stick marks at its corners",
        )
    world = setup.face.world(places)
    seen = np.array([m.corners.mean(0) for m in known])
    view = CameraView(np.zeros(CAMERA), shot.width, shot.height)
    f = FOCAL * view.long
    matrix = np.array([[f, 0, 0.5 * (shot.width - 1)], [0, f, 0.5 * (shot.height - 1)], [0, 0, 1.0]])
    sets = list(combinations(range(len(known)), 4))
    if len(sets) > 80:
        sets = [sets[i] for i in np.random.default_rng(len(sets)).choice(len(sets), 80, replace=False)]
    best, score, behind = None, np.inf, False
    typical = float(np.median([m.side for m in known]))
    for chosen in sets:
        rows = list(chosen)
        try:
            ok, turn, shift = cv2.solvePnP(world[rows], seen[rows], matrix, None, flags=cv2.SOLVEPNP_SQPNP)
        except cv2.error:
            continue
        if not ok:
            continue
        values = np.concatenate([turn.ravel(), shift.ravel(), [np.log(FOCAL)], np.zeros(6)])
        if not np.isfinite(values).all():
            continue
        off = np.linalg.norm(replace(view, values=values).project(world) - seen, axis=1)
        value = float(np.sum(np.minimum(np.nan_to_num(off, nan=1e9), typical)))
        if value < score:
            best, score = values, value
            centre = places.mean(0)[None, :]
            sight = -rotation_matrix(values[:3]).T @ values[3:6] - setup.face.world(centre)[0]
            behind = bool(sight @ setup.face.normals(centre)[0] < 0.0)
    if best is None:
        raise ReadingError(
            "no camera can be found from the marks", where=shot.name, todo="measure the marks again"
        )
    if behind and score < 0.5 * typical * len(known):
        raise ReadingError(
            "the marks lie mirrored to the places in the file",
            where=shot.name,
            todo="check the signs of x and y, and which face (side) and which axes (seen_from) the file says",
        )
    return best, score
