"""Answers that are lists: plies, points, words."""

from __future__ import annotations

import math
import re

from panelmend.errors import InputError
from panelmend.units import read


def plies_of(text: str) -> list[tuple[str, str]]:
    """Plies such as ``"glass-7781: 0, 45, 0 deg; glass-120: 90 deg"`` as pairs of cloth and warp angle."""
    expected = "cloth: angle, angle ... deg, such as glass-7781: 0, 45, 0 deg; glass-120: 90 deg"
    plies: list[tuple[str, str]] = []
    for group in text.split(";"):
        cloth, colon, angles = (part.strip() for part in group.partition(":"))
        unit = re.search(r"[^\d\s.,+-]+$", angles)
        if not (cloth and colon and angles):
            raise InputError("not plies of a cloth", read=repr(group.strip()), expected=expected)
        if unit is None:
            raise InputError(
                "plies without the unit of their angles", read=repr(group.strip()), expected=expected
            )
        for angle in angles[: unit.start()].split(","):
            written = f"{angle.strip()} {unit[0]}"
            read(written, "angle")
            plies.append((cloth, written))
    return plies


def points_of(text: str) -> list[tuple[float, ...]]:
    """Points such as ``"412, 377; 437, 352; 478, 341"``, plain numbers."""
    points = []
    for part in text.strip("; ").split(";"):
        try:
            point = tuple(float(n) for n in part.split(","))
        except ValueError:
            point = ()
        if len(point) not in (2, 3):
            raise InputError(
                "not a point", read=repr(part.strip()), expected="x, y or x, y, bulge: plain numbers"
            )
        points.append(point)
    if any(not math.isfinite(n) for p in points for n in p):
        raise InputError("not a finite number", read=repr(text[:60]), expected="x, y; x, y; x, y ...")
    if len(points) < 2:
        raise InputError("too few points", read=str(len(points)), expected="x, y; x, y; x, y ...")
    return points


def words_listed(text: str) -> list[str]:
    """Words with commas between them."""
    return [word.strip() for word in text.split(",")]
