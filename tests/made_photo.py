"""Rendered photographs of known truth: a panel with marks, dots and a line, through a lens, in bad light.

Written without the product's own camera: the picture is made from the picture elements outwards (a lens
inverted, a ray met with a plane or cylinder, the paint looked up there). Two families: "near" has the lens
model that the fit uses; "far" has another lens (division model, its centre off the middle), other light,
other dots and scratched, woven paint, and is only ever judged with, never tuned on.
"""

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
        _draw(s, [_px(s, s.line)], INK[s.inks["line"]], thick=rng.uniform(1.5, 3.0))
    for dot in given or []:
        poly = _blob(rng, np.array(dot.at), family)
        _draw(s, [_px(s, poly)], INK[s.inks[dot.kind]])
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
        _draw(s, [_px(s, poly)], INK[s.inks[kind]])
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


def _px(s: Scene, p: np.ndarray) -> np.ndarray:
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
        _draw(s, [_px(s, np.array([a, b, b + 0.2, a + 0.2]))], (v, v, v))


def bits(number: int) -> np.ndarray:
    """The cells of a mark, true where black."""
    d = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    return cv2.aruco.generateImageMarker(d, number, 8, borderBits=1) < 128


def _stick(s: Scene, n: int, place: tuple[float, float, float], rng: np.random.Generator) -> None:
    x, y, turn = place
    c, si = math.cos(turn), math.sin(turn)

    def at(p: list[tuple[float, float]]) -> np.ndarray:
        q = np.array(p, float)
        return _px(s, np.column_stack([x + c * q[:, 0] - si * q[:, 1], y + si * q[:, 0] + c * q[:, 1]]))

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


@dataclass
class Shot:
    """How a picture is taken."""

    tilt: float = 20.0  # degrees from square on
    round: float = 0.0  # direction the camera leans to, degrees
    roll: float = 0.0
    width: int = 4000
    height: int = 3000
    focal: float = 0.75  # over the longer side
    lens: tuple[float, float] = (-0.08, 0.03)  # k1, k2, or the division model's two numbers
    centre: tuple[float, float] = (0.0, 0.0)  # lens's centre off the middle, over the longer side
    blur: float = 1.0  # picture elements
    smear: float = 0.0  # motion, picture elements
    noise: float = 0.006
    shade: float = 0.45  # how much a shadow takes
    glare: float = 0.0  # strength of a reflection
    glare_at: tuple[float, float] = (0.5, 0.5)  # of the field
    glare_size: float = 25.0  # mm
    cast: tuple[float, float, float] = (1.0, 1.0, 1.0)
    quality: int = 85
    fill: float = 0.93
    exposure: float = 0.85


def random_shot(rng: np.random.Generator, family: str, tilt: float | None = None, mega: float = 12.0) -> Shot:
    """A picture as people take them."""
    width = round(math.sqrt(mega * 1e6 * 4 / 3))
    shot = Shot(width=width, height=round(width * 3 / 4))
    k = width / 4000
    shot.tilt = rng.uniform(0, 40) if tilt is None else tilt
    shot.round, shot.roll = rng.uniform(0, 360), rng.uniform(-12, 12)
    shot.focal = rng.uniform(0.65, 0.85)
    shot.blur = rng.uniform(0.6, 2.2) * max(k, 0.5)
    shot.smear = rng.choice([0.0, rng.uniform(1, 5) * k])
    shot.shade = rng.uniform(0, 0.6)
    shot.glare, shot.glare_size = rng.choice([0.0, rng.uniform(0.5, 3.0)]), rng.uniform(10, 35)
    shot.glare_at = (rng.uniform(0.1, 0.9), rng.uniform(0.1, 0.9))
    shot.cast = tuple(np.exp(rng.normal(0, 0.12, 3)))
    shot.quality = int(rng.integers(60, 96))
    shot.lens = (rng.uniform(-0.12, 0.06), rng.uniform(-0.04, 0.06))
    shot.centre = tuple(rng.normal(0, 0.004, 2))
    if family == "far":
        shot.lens = (rng.uniform(-0.10, 0.05), rng.uniform(-0.03, 0.03))
        shot.centre = tuple(rng.normal(0, 0.010, 2))
    return shot


def _turn(shot: Shot) -> tuple[np.ndarray, np.ndarray]:
    """Camera's axes (rows right, down, forward) in the world, and its direction from the field's middle."""
    tilt, way, roll = (math.radians(v) for v in (shot.tilt, shot.round, shot.roll))
    out = np.array([math.sin(tilt) * math.cos(way), math.sin(tilt) * math.sin(way), math.cos(tilt)])
    forward = -out
    up = np.array([0.0, 1.0, 0.0])
    right = np.cross(forward, up)
    right /= np.linalg.norm(right)
    down = np.cross(forward, right)
    c, s = math.cos(roll), math.sin(roll)
    return np.array([c * right + s * down, -s * right + c * down, forward]), out


def _undistorted(shot: Shot, family: str, x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    if family == "far":
        r2 = x * x + y * y
        k = 1 + shot.lens[0] * r2 + shot.lens[1] * r2 * r2
        return x / k, y / k
    u, v = x.copy(), y.copy()
    for _ in range(40):
        r2 = u * u + v * v
        k = 1 + shot.lens[0] * r2 + shot.lens[1] * r2 * r2
        u, v = x / k, y / k
    return u, v


def _met(s: Scene, place: np.ndarray, rays: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Surface coordinates [mm] where rays from ``place`` meet the face, about the middle of the field."""
    mid = np.array([s.size[0] / 2, s.size[1] / 2])
    if s.radius == 0.0:
        t = -place[2] / rays[..., 2]
        return place[0] + t * rays[..., 0] + mid[0], place[1] + t * rays[..., 1] + mid[1]
    c, si = math.cos(s.axis), math.sin(s.axis)
    # axes along and across the cylinder; its centre line lies at out = -towards * radius
    pu, pv = c * place[0] + si * place[1], -si * place[0] + c * place[1]
    ru, rv = c * rays[..., 0] + si * rays[..., 1], -si * rays[..., 0] + c * rays[..., 1]
    pw, rw = place[2] + s.towards * s.radius, rays[..., 2]
    a, b, k = rv**2 + rw**2, pv * rv + pw * rw, pv**2 + pw**2 - s.radius**2
    root = np.sqrt(np.maximum(b * b - a * k, 0.0))
    t = (-b - root) / a if s.towards > 0 else (-b + root) / a
    u, v, w = pu + t * ru, pv + t * rv, (pw + t * rw) * s.towards
    arc = s.radius * np.arctan2(v, w)
    return c * u - si * arc + mid[0], si * u + c * arc + mid[1]


def _surface(s: Scene, x: float, y: float) -> tuple[np.ndarray, np.ndarray]:
    """World point and local axes (rows: along x, along y, out) of a surface point."""
    mid = np.array([s.size[0] / 2, s.size[1] / 2])
    dx, dy = x - mid[0], y - mid[1]
    if s.radius == 0.0:
        return np.array([dx, dy, 0.0]), np.eye(3)
    c, si = math.cos(s.axis), math.sin(s.axis)
    u, v = c * dx + si * dy, -si * dx + c * dy
    t = v / s.radius
    across, out = s.radius * math.sin(t), s.towards * (s.radius * math.cos(t) - s.radius)
    eu = np.array([c, si, 0.0])
    ev = np.array([-si * math.cos(t), c * math.cos(t), -s.towards * math.sin(t)])
    p = np.array([c * u - si * across, si * u + c * across, out])
    return p, np.array([c * eu - si * ev, si * eu + c * ev, np.cross(eu, ev)])


def _rays(shot: Shot, family: str, px: np.ndarray, py: np.ndarray, axes: np.ndarray) -> np.ndarray:
    long = max(shot.width, shot.height)
    x = ((px - 0.5 * (shot.width - 1)) / long - shot.centre[0]) / shot.focal
    y = ((py - 0.5 * (shot.height - 1)) / long - shot.centre[1]) / shot.focal
    u, v = _undistorted(shot, family, x, y)
    return u[..., None] * axes[0] + v[..., None] * axes[1] + axes[2]


def render(s: Scene, shot: Shot, rng: np.random.Generator, family: str = "near") -> np.ndarray:
    """The picture as 8-bit (blue, green, red), before it is written to a file."""
    axes, out = _turn(shot)
    w, h = shot.width, shot.height
    ring_x = np.concatenate([np.linspace(0, w, 21), np.linspace(0, w, 21), np.zeros(21), np.full(21, w)])
    ring_y = np.concatenate([np.zeros(21), np.full(21, h), np.linspace(0, h, 21), np.linspace(0, h, 21)])
    ring = _rays(
        shot, family, w / 2 + (ring_x - w / 2) * shot.fill, h / 2 + (ring_y - h / 2) * shot.fill, axes
    )
    need = np.array([(x, y) for x in (-35, s.size[0] + 35) for y in (-35, s.size[1] + 35)], float)
    low, high = 200.0, 6000.0
    for _ in range(40):  # as near as it can be with all marks in the picture
        d = 0.5 * (low + high)
        gx, gy = _met(s, out * d, ring)
        hull = cv2.convexHull(np.column_stack([gx, gy]).astype(np.float32))
        inside = all(cv2.pointPolygonTest(hull, (float(x), float(y)), False) > 0 for x, y in need)
        low, high = (low, d) if inside else (d, high)
    place = out * high
    step = 8
    cw, ch = w // step + 2, h // step + 2
    px, py = np.meshgrid(np.arange(cw) * step + 0.0, np.arange(ch) * step + 0.0)
    gx, gy = _met(s, place, _rays(shot, family, px, py, axes))
    grid = np.stack([gx, gy], -1).astype(np.float32)
    # element i of the fine map reads the coarse one at i / step
    fx, fy = np.meshgrid((np.arange(w) / step).astype(np.float32), (np.arange(h) / step).astype(np.float32))
    fine = cv2.remap(grid, fx, fy, cv2.INTER_LINEAR)
    _curled(s, place, fine)
    tx = (fine[..., 0] + s.margin) * s.scale - 0.5
    ty = (s.size[1] + s.margin - fine[..., 1]) * s.scale - 0.5
    assert s.texture is not None
    seen = cv2.remap(
        s.texture, tx, ty, cv2.INTER_LINEAR, borderMode=cv2.BORDER_CONSTANT, borderValue=(150, 140, 128)
    )
    linear = ((np.arange(256) / 255.0) ** 2.2).astype(np.float32)[seen]
    linear *= _light(s, shot, rng, family, fine)[..., None]
    linear *= np.array(shot.cast, np.float32) * shot.exposure
    if shot.glare:
        mid = np.array(shot.glare_at) * s.size
        r2 = (fine[..., 0] - mid[0]) ** 2 + (fine[..., 1] - mid[1]) ** 2
        if family == "far":  # a window: long and narrow
            turn = rng.uniform(0, math.pi)
            u = (fine[..., 0] - mid[0]) * math.cos(turn) + (fine[..., 1] - mid[1]) * math.sin(turn)
            v = -(fine[..., 0] - mid[0]) * math.sin(turn) + (fine[..., 1] - mid[1]) * math.cos(turn)
            r2 = np.abs(v) ** 2 * 4 + (np.abs(u) / 3) ** 2
        linear += (shot.glare * np.exp(-r2 / (2 * shot.glare_size**2)))[..., None].astype(np.float32)
    size = int(6 * shot.blur) | 1
    linear = cv2.GaussianBlur(linear, (size, size), shot.blur)
    if shot.smear > 0.5:
        n = math.ceil(shot.smear) | 1
        kernel = np.zeros((n, n), np.float32)
        turn = rng.uniform(0, math.pi)
        for t in np.linspace(-0.5, 0.5, 8 * n):
            kernel[
                round(n // 2 + t * (shot.smear - 1) * math.sin(turn)),
                round(n // 2 + t * (shot.smear - 1) * math.cos(turn)),
            ] += 1
        linear = cv2.filter2D(linear, -1, kernel / kernel.sum())
    quick = np.random.default_rng(int(rng.integers(1 << 31)))
    linear += quick.standard_normal(linear.shape, np.float32) * (
        shot.noise * np.sqrt(np.clip(linear, 0.02, 1))
    )
    grey = np.clip(linear, 0, 1) ** (1 / 2.2)
    return (grey[..., ::-1] * 255 + 0.5).astype(np.uint8)


def _curled(s: Scene, place: np.ndarray, fine: np.ndarray) -> None:
    """Shift what is looked up on each mark as paper that lifts off the face shifts it for this camera."""
    _waved(s, place, fine)
    base = fine.copy()
    for n, (lift, curl, way) in s.curls.items():
        if lift == 0.0 and curl == 0.0:
            continue
        x, y, turn = s.marks[n]
        c, si = math.cos(turn), math.sin(turn)
        dx, dy = base[..., 0] - x, base[..., 1] - y
        u, v = c * dx + si * dy, -si * dx + c * dy
        half = 0.75 * MARK_SIDE  # the paper alone lifts, not the panel beside it
        near = (u > -half) & (u < (half if n else 2.25 * MARK_SIDE)) & (np.abs(v) < half)
        if not near.any():
            continue
        world, local = _surface(s, x, y)
        sight = local @ (place - world)
        t = sight[:2] / sight[2]
        q = base[near]
        p = q.copy()
        for _ in range(2):
            along = (p[:, 0] - x) * math.cos(way) + (p[:, 1] - y) * math.sin(way)
            height = (
                lift
                + max(curl, 0.0) * (along / 30.0) ** 2
                + max(-curl, 0.0) * (1 - (along / 30.0) ** 2).clip(0)
            )
            p = q + height[:, None] * t
        fine[near] = p


def _waved(s: Scene, place: np.ndarray, fine: np.ndarray) -> None:
    """Shift everything as a face that is not quite flat shifts it (lines of sight taken every 40 mm)."""
    if not s.waves:
        return
    xs, ys = np.arange(-120, s.size[0] + 121, 40.0), np.arange(-120, s.size[1] + 121, 40.0)
    slopes = np.zeros((len(ys), len(xs), 2), np.float32)
    for j, y in enumerate(ys):
        for i, x in enumerate(xs):
            world, local = _surface(s, x, y)
            sight = local @ (place - world)
            slopes[j, i] = sight[:2] / max(sight[2], 1.0)
    height = np.zeros(fine.shape[:2], np.float32)
    for size, kx, ky, phase in s.waves:
        height += size * np.cos(kx * fine[..., 0] + ky * fine[..., 1] + phase).astype(np.float32)
    at_x, at_y = (fine[..., 0] + 120) / 40, (fine[..., 1] + 120) / 40
    shift = cv2.remap(slopes, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    fine += height[..., None] * shift


def _light(s: Scene, shot: Shot, rng: np.random.Generator, family: str, at: np.ndarray) -> np.ndarray:
    x, y = at[..., 0] / s.size[0] - 0.5, at[..., 1] / s.size[1] - 0.5
    g = rng.uniform(-0.3, 0.3, 2)
    light = np.clip(1.0 + g[0] * x + g[1] * y, 0.2, 2.0)
    way, off = rng.uniform(0, 2 * math.pi), rng.uniform(-0.3, 0.3)
    edge = x * math.cos(way) + y * math.sin(way) - off
    soft = 0.05 if family == "near" else 0.004
    light *= 1.0 - shot.shade / (1.0 + np.exp(np.clip(-edge / soft, -60, 60)))
    if family == "far":
        light *= 1.0 + 0.15 * np.sin(9 * x + 4 * y + rng.uniform(0, 6))
    yy, xx = np.mgrid[0 : shot.height, 0 : shot.width].astype(np.float32)
    r2 = ((xx - shot.width / 2) ** 2 + (yy - shot.height / 2) ** 2) / (
        0.25 * (shot.width**2 + shot.height**2)
    )
    return (light * (1.0 - 0.25 * r2)).astype(np.float32)


def jpeg(picture: np.ndarray, quality: int = 85, camera: bool = True, orientation: int = 1) -> bytes:
    """The bytes of a JPEG file; with the directory a camera writes, if wanted."""
    ok, data = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, quality])
    assert ok
    made = data.tobytes()
    if not camera and orientation == 1:
        return made
    entries = []
    if camera:
        entries.append((0x010F, 2, 4, b"Inv\0"))
    entries.append((0x0112, 3, 1, orientation.to_bytes(2, "little") + b"\0\0"))
    tiff = b"II*\0" + (8).to_bytes(4, "little") + len(entries).to_bytes(2, "little")
    for tag, kind, count, value in entries:
        tiff += tag.to_bytes(2, "little") + kind.to_bytes(2, "little") + count.to_bytes(4, "little") + value
    tiff += bytes(4)
    part = b"Exif\0\0" + tiff
    return made[:2] + b"\xff\xe1" + (len(part) + 2).to_bytes(2, "big") + part + made[2:]
