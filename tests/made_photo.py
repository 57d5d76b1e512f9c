"""Rendered photographs of known truth: a panel with marks, dots and a line, through a lens, in bad light.

Written without the product's own camera: the picture is made from the picture elements outwards (a lens
inverted, a ray met with a plane or cylinder, the paint looked up there). Two families: "near" has the lens
model that the fit uses; "far" has another lens (division model, its centre off the middle), other light,
other dots and scratched, woven paint, and is only ever judged with, never tuned on.
"""

from __future__ import annotations

import math

import cv2
import numpy as np

from made_camera import Shot, met_by, rays_of, surface_at, turn_of
from made_panel import MARK_SIDE, Scene


def render(s: Scene, shot: Shot, rng: np.random.Generator, family: str = "near") -> np.ndarray:
    """The picture as 8-bit (blue, green, red), before it is written to a file."""
    axes, out = turn_of(shot)
    w, h = shot.width, shot.height
    ring_x = np.concatenate([np.linspace(0, w, 21), np.linspace(0, w, 21), np.zeros(21), np.full(21, w)])
    ring_y = np.concatenate([np.zeros(21), np.full(21, h), np.linspace(0, h, 21), np.linspace(0, h, 21)])
    ring = rays_of(
        shot, family, w / 2 + (ring_x - w / 2) * shot.fill, h / 2 + (ring_y - h / 2) * shot.fill, axes
    )
    need = np.array([(x, y) for x in (-35, s.size[0] + 35) for y in (-35, s.size[1] + 35)], float)
    low, high = 200.0, 6000.0
    for _ in range(40):  # as near as it can be with all marks in the picture
        d = 0.5 * (low + high)
        gx, gy = met_by(s, out * d, ring)
        hull = cv2.convexHull(np.column_stack([gx, gy]).astype(np.float32))
        inside = all(cv2.pointPolygonTest(hull, (float(x), float(y)), False) > 0 for x, y in need)
        low, high = (low, d) if inside else (d, high)
    place = out * high
    step = 8
    cw, ch = w // step + 2, h // step + 2
    px, py = np.meshgrid(np.arange(cw) * step + 0.0, np.arange(ch) * step + 0.0)
    gx, gy = met_by(s, place, rays_of(shot, family, px, py, axes))
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
        world, local = surface_at(s, x, y)
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
            world, local = surface_at(s, x, y)
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
