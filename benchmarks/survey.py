"""What a survey costs and what it is worth.

    scripts/bench survey

Time from readings to lines and next taps as the survey grows; how often the outer line and the plain rule
(last dull tap plus one spacing) contain a known damage, and the area they take over the damage's; and how
many taps the asked ones save against a finer regular grid for the same excess of area. Seeds differ from the
calibration's.
"""

from __future__ import annotations

import argparse
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from known_damage import Truth, damage, grid, tapped
from panelmend.job.survey.next_taps import next_taps
from panelmend.job.survey.readings import Array, SkinReadings, joined_passes, measures
from panelmend.job.survey.trace import trace
from panelmend.shapes import Outline
from tap_rule import plain_rule

STEP = 0.02  # [m]


def scaled(read: SkinReadings) -> SkinReadings:
    """Places in metres."""
    return replace(read, at=read.at * STEP)


def holds(outlines: list[Outline], truth: Truth) -> bool:
    """Whether one of the outlines contains the whole damage."""
    edge = [(float(x), float(y)) for x, y in truth.edge(120) * STEP]
    return any(all(o.contains(p) for p in edge) for o in outlines)


def measured(truth: Truth, at: Array, rng: np.random.Generator, scatter: float = 0.03) -> SkinReadings:
    """Contact-time ratios of a damage: 1 on sound places, 1.45 in it, with relative scatter [1]."""
    level = np.where(truth.contains(at), 1.45, 1.0) * (1.0 + scatter * rng.standard_normal(len(at)))
    return measures(at, level, 1.15, scatter)


def times() -> None:
    """Seconds by size."""
    for half in (5, 10, 18, 35):
        for wrong in (0.0, 0.03):
            rng = np.random.default_rng(1)
            read = scaled(tapped(damage(rng), grid(half), wrong, rng))
            start = time.perf_counter()
            made = trace(read)
            middle = time.perf_counter()
            next_taps(made)
            print(
                f"{len(read):6d} readings, {100 * wrong:.0f} % wrong: lines {middle - start:6.2f} s, "
                f"next taps {time.perf_counter() - middle:5.2f} s"
            )


def rates(count: int) -> None:
    """Containment and area."""
    for name, wrong in (("clean taps", 0.0), ("3 % wrong", 0.03), ("ratios", -1.0)):
        ours, plain, areas, plain_areas = 0, 0, [], []
        for i in range(count):
            rng = np.random.default_rng(9_000_000 + i)
            truth = damage(rng)
            at = grid(10.0)
            read = scaled(measured(truth, at, rng) if wrong < 0 else tapped(truth, at, wrong, rng))
            lines = [a.outer for a in trace(read).areas]
            rule = list(plain_rule(read))
            ours += holds(lines, truth)
            plain += holds(rule, truth)
            areas.append(sum(o.area for o in lines) / (truth.area * STEP**2) - 1.0)
            plain_areas.append(sum(o.area for o in rule) / (truth.area * STEP**2) - 1.0)
        print(
            f"{name:>10}: outer line contains {ours} of {count}, "
            f"takes {100 * np.mean(areas):.0f} % more area; "
            f"plain rule contains {plain} of {count}, takes {100 * np.mean(plain_areas):.0f} % more"
        )


def saved(count: int) -> None:
    """Asked taps against finer grids."""

    def excess(read: SkinReadings, truth: Truth) -> float:
        return trace(scaled(read)).areas[0].outer.area / (truth.area * STEP**2) - 1.0

    for rounds in (0, 2, 4, 6):
        found = []
        for i in range(count):
            rng = np.random.default_rng(i)
            truth = damage(rng)
            read = tapped(truth, grid(8.0), 0.0, rng)
            for _ in range(rounds):
                places = np.array([t.at for t in next_taps(trace(scaled(read)), 8)]) / STEP
                read = joined_passes([read, tapped(truth, places, 0.0, rng)])
            found.append(excess(read, truth))
        print(f"289 taps and {8 * rounds:3d} asked: {100 * np.mean(found):.1f} % more area")
    for step in (1.0, 0.9, 0.8, 0.7, 0.6, 0.5):
        found = []
        for i in range(count):
            rng = np.random.default_rng(i)
            truth = damage(rng)
            found.append(excess(tapped(truth, grid(8.0, step), 0.0, rng), truth))
        print(f"grid of {len(grid(8.0, step)):5d} taps: {100 * np.mean(found):.1f} % more area")


if __name__ == "__main__":
    words = argparse.ArgumentParser(description=__doc__)
    words.add_argument("--count", type=int, default=200)
    given = words.parse_args()
    times()
    rates(given.count)
    saved(max(8, given.count // 10))
