"""Outlines as drawing paths: SVG with true arcs, cubic curves for PDF, bulges for DXF."""

from __future__ import annotations

import math

from panelmend.shapes.outline import Outline
from panelmend.shapes.segments import Arc, Point

Cubic = tuple[Point, Point, Point, Point]


def _number(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def to_svg_path(outline: Outline, scale: float = 1000.0, flip: bool = True, decimals: int = 4) -> str:
    """The outline as SVG path data with true arcs, closed.

    Args:
        outline: the shape.
        scale: drawing units per metre [1/m]; 1000 draws in millimetres.
        flip: y turned over, because SVG's y points down.
        decimals: digits after the point [1].

    Returns:
        Path data such as ``M 0 0 L 10 0 A 5 5 0 0 0 ... Z``.
    """
    sign = -1.0 if flip else 1.0

    def at(x: float, y: float) -> str:
        return f"{_number(scale * x, decimals)} {_number(sign * scale * y, decimals)}"

    words = [f"M {at(*outline.parts[0].start)}"]
    last = len(outline.parts) - 1
    for i, s in enumerate(outline.parts):
        if not isinstance(s, Arc):
            if i < last:
                words.append(f"L {at(*s.end)}")
            continue
        # An arc of more than 180 degrees is drawn as two: no reader can then take the other way round.
        pieces = [s] if abs(s.sweep) <= math.pi + 1e-12 else [s.part(0.0, 0.5), s.part(0.5, 1.0)]
        turn = 1 if (s.sweep > 0.0) != flip else 0
        r = _number(scale * s.radius, decimals + 2)
        words += [f"A {r} {r} 0 0 {turn} {at(*p.end)}" for p in pieces[:-1]]
        words.append(f"A {r} {r} 0 0 {turn} {at(*s.end)}")
    return " ".join([*words, "Z"])


def to_cubics(outline: Outline, tolerance: float = 1e-7) -> list[Cubic]:
    """The outline as cubic curves, four control points [m] each, within ``tolerance`` [m].

    An arc of the angle w by the usual cubic (handles 4/3 tan(w/4) r) lies outside the circle by at most
    r (4/27) sin^6(w/4) / cos^2(w/4); arcs are cut until that is within the tolerance.
    """
    cubics: list[Cubic] = []
    for s in outline.parts:
        if not isinstance(s, Arc):
            cubics.append((s.start, s.at(1.0 / 3.0), s.at(2.0 / 3.0), s.end))
            continue
        n = max(1, math.ceil(abs(s.sweep) / (0.5 * math.pi) - 1e-9))
        while _cubic_error(s.radius, s.sweep / n) > tolerance:
            n += 1
        points = [s.start, *(s.at(k / n) for k in range(1, n)), s.end]
        handle = 4.0 / 3.0 * math.tan(abs(s.sweep) / n / 4.0) * s.radius
        for k in range(n):
            (ux, uy), (vx, vy) = s.tangent(k / n), s.tangent((k + 1) / n)
            p, q = points[k], points[k + 1]
            cubics.append(
                (
                    p,
                    (p[0] + handle * ux, p[1] + handle * uy),
                    (q[0] - handle * vx, q[1] - handle * vy),
                    q,
                )
            )
    return cubics


def _cubic_error(radius: float, sweep: float) -> float:
    quarter = abs(sweep) / 4.0
    return float(radius * 4.0 / 27.0 * math.sin(quarter) ** 6 / math.cos(quarter) ** 2)


def to_bulges(outline: Outline) -> list[tuple[float, float, float]]:
    """Rows (x, y, bulge) [m, m, 1] of a closed DXF polyline."""
    return [(v.x, v.y, v.bulge) for v in outline.vertices]
