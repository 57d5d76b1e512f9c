"""A nest job small enough to try by hand, for the tests and the benchmark."""

from __future__ import annotations

import math

from panelmend.job.nest.part import NestProblem, Piece, Strip
from panelmend.units import INCH


def nine_pieces() -> NestProblem:
    """Nine rectangles with trimmed corners, 8 x 6 to 20 x 18 in, together 1547.7 in2, on a 50 in roll."""
    trim = math.sqrt((sum((8 + 1.5 * i) * (6 + 1.5 * i) for i in range(9)) - 1547.7) / 18.0)
    pieces = []
    for i in range(9):
        a, b = (8 + 1.5 * i) / 2.0, (6 + 1.5 * i) / 2.0
        right = [(a - trim, -b), (a, trim - b), (a, b - trim), (a - trim, b)]
        points = right + [(-x, -y) for x, y in right]
        warp = math.radians((0.0, 90.0, 45.0, -45.0)[i % 4])
        pieces.append(Piece(f"P{i + 1}", tuple((x * INCH, y * INCH) for x, y in points), warp, True, False))
    strip = Strip("roll", 50 * INCH, None, 0.5 * INCH, 0.25 * INCH)
    return NestProblem("glass", tuple(pieces), (strip,))
