"""A panel with marks, dots and a line painted on it, and the truth about them [mm]."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import cv2
import numpy as np

PAINT = {  # sRGB albedo of faces; invented
    "primer": (122, 138, 96),
    "grey": (168, 170, 172),
    "white": (222, 222, 218),
    "carbon": (44, 45, 48),
    "tan": (170, 150, 118),
}
INK = {
    "red": (190, 32, 38), "blue": (38, 62, 168), "green": (24, 128, 62), "orange": (232, 110, 24),
    "yellow": (238, 206, 40), "violet": (108, 44, 140),
}  # fmt: skip
MARK_SIDE = 40.0  # mm


@dataclass
class Dot:
    """A dot: what it means, its centre of area [mm]."""

    kind: str
    at: tuple[float, float]


@dataclass
class Scene:
    """A panel with everything on it, and the truth [mm]. Axes as looked at: x right, y up."""

    size: tuple[float, float] = (600.0, 400.0)
    marks: dict[int, tuple[float, float, float]] = field(default_factory=dict)  # x, y, turn
    dots: list[Dot] = field(default_factory=list)
    line: np.ndarray | None = None
    radius: float = 0.0
    axis: float = 0.0
    towards: float = 1.0
    curls: dict[int, tuple[float, float, float]] = field(default_factory=dict)  # lift, curl mm, direction
    texture: np.ndarray | None = None
    scale: float = 6.0
    margin: float = 90.0
    inks: dict[str, str] = field(default_factory=dict)
    shapes: dict[int, np.ndarray] = field(default_factory=dict)
    card: int | None = None
    waves: list[tuple[float, float, float, float]] = field(default_factory=list)  # mm, 1/mm, 1/mm, phase


def places_round(size: tuple[float, float], count: int) -> list[tuple[float, float]]:
    """Places for 4, 6 or 8 marks round a field [mm]."""
    w, h = size
    four = [(0, 0), (w, 0), (w, h), (0, h)]
    if count == 4:
        return four
    six = [*four, (w / 2, -5), (w / 2, h + 5)]
    return six if count == 6 else [*six, (-5, h / 2), (w + 5, h / 2)]


def scene(
    rng: np.random.Generator, *, family: str = "near", paint: str = "primer", count: int = 6, dots: int = 30,
    inks: tuple[str, str, str] = ("red", "blue", "orange"), curl: float = 0.8, scale: float = 6.0,
    radius: float = 0.0, axis: float = 0.0, towards: float = 1.0, line: bool = False, card: bool = False,
    size: tuple[float, float] = (600.0, 400.0), first: int = 1, uneven: float = 0.5,
    given: list[Dot] | None = None, things: dict[int, tuple[float, float, float]] | None = None,
) -> Scene:  # fmt: skip
    """A panel with marks round it, dots at random and, if wanted, a line round a damage and a card."""
    s = Scene(size=size, radius=radius, axis=axis, towards=towards, scale=scale)
    for _ in range(3):  # the face stands off by 0.5 mm, root mean square
        length, way = rng.uniform(250, 900), rng.uniform(0, 2 * math.pi)
        k = 2 * math.pi / length
        s.waves.append((uneven * math.sqrt(2 / 3), k * math.cos(way), k * math.sin(way), rng.uniform(0, 6.3)))
    s.inks = dict(zip(("dull", "sound", "line"), inks, strict=True))
    w, h = size
    for i, (x, y) in enumerate(places_round(size, count)):
        s.marks[first + i] = (x + rng.uniform(-8, 8), y + rng.uniform(-8, 8), rng.uniform(-0.3, 0.3))
    if card:
        s.card = 0
        s.marks[0] = (0.5 * w - 140, 66.0, rng.uniform(-0.1, 0.1))
    s.marks |= things or {}
    for n in s.marks:
        s.curls[n] = (rng.uniform(0, 0.5 * curl), rng.uniform(-1, 1) * curl, rng.uniform(0, math.pi))
    _paint(s, rng, paint, family)
    box = (75.0, 75.0) if not card else (75.0, 115.0)
    if line:
        centre = np.array([w * rng.uniform(0.4, 0.6), h * rng.uniform(0.5, 0.6)])
        t = np.linspace(0, 2 * math.pi, 241)[:-1]
        r = 60 * (1 + 0.18 * np.sin(2 * t + rng.uniform(0, 6)) + 0.08 * np.sin(3 * t + rng.uniform(0, 6)))
        s.line = centre + np.column_stack([r * np.cos(t), 0.8 * r * np.sin(t)])
        _draw(s, [texture_at(s, s.line)], INK[s.inks["line"]], thick=rng.uniform(1.5, 3.0))
    for dot in given or []:
        poly = _blob(rng, np.array(dot.at), family)
        _draw(s, [texture_at(s, poly)], INK[s.inks[dot.kind]])
        s.dots.append(Dot(dot.kind, _centroid(poly)))
    tries = 0 if given is None else 5000
    while len(s.dots) < dots and tries < 5000:
        tries += 1
        at = np.array([rng.uniform(30, w - 30), rng.uniform(box[0], h - 75)])
        if card and at[1] < 110 and at[0] < w * 0.6:
            continue
        if any(np.hypot(*(at - d.at)) < 16 for d in s.dots):
            continue
        if s.line is not None and np.min(np.hypot(*(s.line - at).T)) < 10:
            continue
        kind = "dull" if rng.random() < 0.4 else "sound"
        poly = _blob(rng, at, family)
        s.shapes[len(s.dots)] = poly
        _draw(s, [texture_at(s, poly)], INK[s.inks[kind]])
        s.dots.append(Dot(kind, _centroid(poly)))
    for n, place in s.marks.items():
        _stick(s, n, place, rng)
    return s


def _blob(rng: np.random.Generator, at: np.ndarray, family: str) -> np.ndarray:
    t = np.linspace(0, 2 * math.pi, 73)[:-1]
    if family == "near":
        r = rng.uniform(3.0, 4.5) * np.ones_like(t)
        for k in (2, 3, 4):
            r = r * (1 + rng.normal(0, 0.06) * np.cos(k * t + rng.uniform(0, 6)))
    else:  # a short stroke of a broad pen
        a, b, turn = rng.uniform(3.5, 6.0), rng.uniform(2.2, 3.2), rng.uniform(0, math.pi)
        r = a * b / np.sqrt((b * np.cos(t - turn)) ** 2 + (a * np.sin(t - turn)) ** 2)
        r = r * (1 + 0.12 * rng.normal() * np.cos(3 * t + rng.uniform(0, 6)))
    return at + np.column_stack([r * np.cos(t), r * np.sin(t)])


def _centroid(p: np.ndarray) -> tuple[float, float]:
    q = np.roll(p, -1, axis=0)
    c = p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]
    a = c.sum() / 2
    return float(((p[:, 0] + q[:, 0]) * c).sum() / (6 * a)), float(((p[:, 1] + q[:, 1]) * c).sum() / (6 * a))


def texture_at(s: Scene, p: np.ndarray) -> np.ndarray:
    """Texture places of points [mm]; (0, 0) is the centre of the first element."""
    return np.column_stack(
        [(p[:, 0] + s.margin) * s.scale - 0.5, (s.size[1] + s.margin - p[:, 1]) * s.scale - 0.5]
    )


def _draw(s: Scene, loops: list[np.ndarray], rgb: tuple[int, int, int], thick: float = 0.0) -> None:
    """Fill polygons (or draw them as lines ``thick`` mm wide), edges smoothed by four times finer drawing."""
    assert s.texture is not None
    pts = np.vstack(loops)
    pad = int(thick * s.scale) + 3
    x0, y0 = np.floor(pts.min(0)).astype(int) - pad
    x1, y1 = np.ceil(pts.max(0)).astype(int) + pad
    x0, y0 = max(x0, 0), max(y0, 0)
    x1, y1 = min(x1, s.texture.shape[1]), min(y1, s.texture.shape[0])
    if x1 <= x0 or y1 <= y0:
        return
    k = 4
    cover = np.zeros(((y1 - y0) * k, (x1 - x0) * k), np.uint8)
    # an element's centre (i) of the fine drawing stands at (i + 0.5) / k - 0.5 of the coarse one
    fine = [np.round((p + 0.5 - [x0, y0]) * k - 0.5).astype(np.int32) for p in loops]
    if thick:
        cv2.polylines(cover, fine, True, 255, max(1, round(thick * s.scale * k)))
    else:
        cv2.fillPoly(cover, fine, 255)
    share = (
        cv2.resize(cover, (x1 - x0, y1 - y0), interpolation=cv2.INTER_AREA).astype(np.float32)[..., None]
        / 255
    )
    part = s.texture[y0:y1, x0:x1].astype(np.float32)
    s.texture[y0:y1, x0:x1] = np.clip(part * (1 - share) + np.array(rgb, np.float32) * share, 0, 255).astype(
        np.uint8
    )


def _paint(s: Scene, rng: np.random.Generator, paint: str, family: str) -> None:
    w = round((s.size[0] + 2 * s.margin) * s.scale)
    h = round((s.size[1] + 2 * s.margin) * s.scale)
    base = np.empty((h, w, 3), np.uint8)
    base[:] = PAINT[paint]
    coarse = rng.normal(0, 1, (h // 60 + 2, w // 60 + 2)).astype(np.float32)
    mottle = cv2.resize(coarse, (w, h), interpolation=cv2.INTER_CUBIC) * 3
    if paint == "carbon" or family == "far":  # weave, and scratches
        x, y = np.arange(w) / s.scale, np.arange(h) / s.scale
        weave = np.sign(np.sin(x * math.pi / 2.0))[None, :] * np.sign(np.sin(y * math.pi / 2.0))[:, None]
        mottle = mottle + weave.astype(np.float32) * (9 if paint == "carbon" else 3)
    s.texture = np.clip(base.astype(np.float32) + mottle[..., None], 0, 255).astype(np.uint8)
    for _ in range(12 if family == "far" else 4):
        a = rng.uniform([-40, -40], [s.size[0] + 40, s.size[1] + 40])
        b = a + rng.normal(0, 40, 2)
        v = rng.uniform(60, 220)
        _draw(s, [texture_at(s, np.array([a, b, b + 0.2, a + 0.2]))], (v, v, v))


def bits(number: int) -> np.ndarray:
    """The cells of a mark, true where black."""
    d = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    return cv2.aruco.generateImageMarker(d, number, 8, borderBits=1) < 128


def _stick(s: Scene, n: int, place: tuple[float, float, float], rng: np.random.Generator) -> None:
    x, y, turn = place
    c, si = math.cos(turn), math.sin(turn)

    def at(p: list[tuple[float, float]]) -> np.ndarray:
        q = np.array(p, float)
        return texture_at(
            s, np.column_stack([x + c * q[:, 0] - si * q[:, 1], y + si * q[:, 0] + c * q[:, 1]])
        )

    half = 0.75 * MARK_SIDE
    right = half if n != 0 else MARK_SIDE * 2.25
    _draw(s, [at([(-half, -half), (right, -half), (right, half), (-half, half)])], (238, 238, 234))
    cell = MARK_SIDE / 8
    black = bits(n)
    for j in range(8):
        i = 0
        while i < 8:
            if not black[j, i]:
                i += 1
                continue
            k = i
            while k < 8 and black[j, k]:
                k += 1
            x0, x1 = -MARK_SIDE / 2 + i * cell, -MARK_SIDE / 2 + k * cell
            y1, y0 = MARK_SIDE / 2 - j * cell, MARK_SIDE / 2 - (j + 1) * cell
            _draw(s, [at([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])], (22, 22, 24))
            i = k
    if n == 0:
        for i, kind in enumerate(("dull", "sound", "line")):
            bx = (0.95 + 0.5 * i) * MARK_SIDE
            t = np.linspace(0, 2 * math.pi, 49)[:-1]
            poly = [(bx + 4.0 * math.cos(v), 4.0 * math.sin(v)) for v in t]
            _draw(s, [at(poly)], INK[s.inks[kind]])
