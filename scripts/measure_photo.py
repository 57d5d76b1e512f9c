#!/usr/bin/env python3
"""How well points are measured in rendered photographs of known truth; the whole of what tests sample.

    scripts/measure_photo.py --family near --first 0 --count 12 --mega 12

Every picture: a field of 600 x 400 mm that stands off from flat (or from its cylinder) by 0.5 mm, six or
eight marks whose places were measured with 0.5 mm of error (normal, each coordinate), curling paper, five
paints, tilt 0 to 40 degrees, blur, smear, shadow, glare, colour cast, JPEG 60 to 95.
"""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path

import cv2
import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from made_camera import random_shot  # noqa: E402
from made_panel import MARK_SIDE, scene  # noqa: E402
from made_photo import jpeg, render  # noqa: E402
from panelmend.errors import InputError  # noqa: E402
from panelmend.photo import decoded, measure, parse_places  # noqa: E402

PAINTS = ("primer", "grey", "white", "carbon", "tan")
PENS = {"tan": ("red", "green", "red"), "carbon": ("orange", "blue", "orange")}


def one(seed: int, family: str, mega: float, pictures: int) -> dict[str, object]:
    """One panel photographed: what came back."""
    rng = np.random.default_rng([seed, len(family)])
    paint = PAINTS[seed % 5]
    inks = PENS.get(paint, ("red", "blue", "red"))
    curved = seed % 4 == 3
    s = scene(
        rng, family=family, paint=paint, count=6 + 2 * (seed % 2), scale=6.0 if mega > 6 else 4.0, inks=inks,
        card=seed % 3 == 0, radius=float(rng.uniform(600, 3000)) if curved else 0.0,
        axis=float(rng.uniform(0, 3)), towards=float(rng.choice([-1.0, 1.0])), line=seed % 3 == 1,
    )  # fmt: skip
    shots = [random_shot(rng, family, mega=mega) for _ in range(pictures)]
    if curved:
        for shot in shots:
            shot.tilt = min(shot.tilt, 20.0)
    read = tuple(
        decoded(jpeg(render(s, shot, rng, family), shot.quality), f"{i}.jpg") for i, shot in enumerate(shots)
    )
    lines = ['side = "outside"', 'seen_from = "outside"', f'mark_side = "{MARK_SIDE:g} mm"']
    if curved:
        bulges = "outside" if s.towards > 0 else "inside"
        lines += ["[surface]", f'radius = "{s.radius} mm"', f'axis = "{s.axis} rad"', f'bulges = "{bulges}"']
    for n, (x, y, _) in s.marks.items():
        if n:
            dx, dy = rng.normal(0, 0.5, 2)
            lines += ["[[mark]]", f"number = {n}", f'at = "{x + dx} mm, {y + dy} mm"']
    row: dict[str, object] = {
        "seed": seed, "paint": paint, "tilt": round(shots[0].tilt, 1), "curved": curved, "marks": len(s.marks)
    }  # fmt: skip
    try:
        m = measure(
            read,
            parse_places("\n".join(lines).encode()),
            {} if s.card is not None else dict(zip(("dull", "sound"), inks[:2], strict=True)),
        )
    except InputError as error:
        return row | {"refused": str(error)}
    truth = np.array([d.at for d in s.dots])
    errors, radii, wrong, extra, left = [], [], 0, 0, set(range(len(truth)))
    for spot in m.spots:
        if spot.doubt or spot.outline:
            continue
        off = np.hypot(*(truth - 1e3 * np.array(spot.at)).T)
        i = int(off.argmin())
        if off[i] > 5.0:
            extra += 1
            continue
        wrong += s.dots[i].kind != spot.meaning
        left.discard(i)
        errors.append(float(off[i]))
        radii.append(1e3 * spot.radius)
    asked = [(1e3 * np.array(f.at), 6.0 + 500.0 * f.across) for f in m.spots if f.doubt]
    silent = [i for i in left if not any(np.hypot(*(at - truth[i])) < reach for at, reach in asked)]
    row |= {
        "dots": len(truth), "sure": len(errors), "wrong": wrong, "extra": extra, "silent": len(silent),
        "doubts": len(m.doubtful), "errors": errors, "radii": radii,
    }  # fmt: skip
    if s.line is not None:
        found = [f for f in m.spots if f.meaning == "line" and len(f.outline) > 2]
        if found:
            dense = np.vstack(
                [np.linspace(a, b, 20) for a, b in zip(s.line, np.roll(s.line, -1, 0), strict=True)]
            )
            off = [float(np.min(np.hypot(*(dense - 1e3 * np.array(p)).T))) for p in found[0].outline]
            row |= {"line_worst": max(off), "line_radius": 1e3 * found[0].radius}
        else:
            row |= {"line_lost": True}
    return row


def summary(rows: list[dict[str, object]]) -> str:
    """The figures in a few lines."""
    done = [r for r in rows if "errors" in r]
    e = np.concatenate([np.array(r["errors"]) for r in done])
    q = np.concatenate([np.array(r["radii"]) for r in done])
    each = [float(np.sqrt(np.mean(np.square(r["errors"])))) for r in done]
    text = [
        f"{len(rows)} panels, {len(rows) - len(done)} refused; {sum(r['dots'] for r in done)} dots, "
        f"{len(e)} found for sure, {sum(r['wrong'] for r in done)} wrong meaning, "
        f"{sum(r['extra'] for r in done)} that are none, "
        f"{sum(r['silent'] for r in done)} lost without a word",
        f"rms {np.sqrt(np.mean(e**2)):.2f} mm (a panel {min(each):.2f} to {max(each):.2f}), "
        f"95 % {np.percentile(e, 95):.2f}, worst {e.max():.2f} mm",
        f"within their 95 % radius: {100 * np.mean(e < q):.1f} % of dots; radius median {np.median(q):.2f}, "
        f"largest {q.max():.2f} mm",
    ]
    lines = [r for r in done if "line_worst" in r]
    if lines:
        text.append(
            f"{len(lines)} lines, farthest point {max(r['line_worst'] for r in lines):.2f} mm off; "
            f"lost or asked: {sum(1 for r in done if 'line_lost' in r)}"
        )
    return "\n".join(text)


def main() -> None:
    """Measure and print."""
    p = argparse.ArgumentParser(description=__doc__)
    p.add_argument("--family", choices=("near", "far"), default="near")
    p.add_argument("--first", type=int, default=0)
    p.add_argument("--count", type=int, default=12)
    p.add_argument("--mega", type=float, default=12.0)
    p.add_argument("--pictures", type=int, default=1)
    given = p.parse_args()
    cv2.setNumThreads(1)
    rows = []
    for seed in range(given.first, given.first + given.count):
        row = one(seed, given.family, given.mega, given.pictures)
        rows.append(row)
        told = {k: v for k, v in row.items() if k not in ("errors", "radii")}
        if "errors" in row:
            told |= {
                "rms": round(float(np.sqrt(np.mean(np.square(row["errors"])))), 2),
                "worst": round(max(row["errors"]), 2),
            }
        print(json.dumps(told, default=float), flush=True)
    print(summary(rows))


if __name__ == "__main__":
    main()
