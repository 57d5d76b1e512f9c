#!/usr/bin/env python3
"""Make src/panelmend/job/survey/calibration.toml again: the level of the outer line.

For each simulated damage the level of the field's mean is found at which the outer line just contains the
whole of it; the table keeps, for each confidence, the order statistic that is an
upper 95 % bound of that quantile, of the worse of the families of surveys.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from scipy.stats import binom

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "src"))

from panelmend.job.survey.field import best_kernel, laplace, merged  # noqa: E402
from panelmend.job.survey.simulate import damage, grid, measured, tapped  # noqa: E402

COUNT, SEED = int(sys.argv[1]) if len(sys.argv) > 1 else 400, 43_1305
FAMILIES = {"taps, none wrong": 0.0, "taps, 3 % wrong": 0.03, "ratios, 3 % scatter": -1.0}
LEVELS = (0.8, 0.9, 0.95, 0.99)


def needed(seed: int, wrong: float) -> float:
    """Level below 0 at which the line of the mean contains the damage [logit]."""
    rng = np.random.default_rng(seed)
    truth, at = damage(rng), grid(10.0)
    readings = measured(truth, at, rng) if wrong < 0 else tapped(truth, at, wrong, rng)
    m = merged(readings)
    posterior = laplace(m, best_kernel(m, 1.0))
    inner = grid(10.0, 0.5)
    places = np.vstack([truth.edge(120), inner[truth.contains(inner)]])
    return float(-posterior.latent(places)[0].min())


def bound(values: np.ndarray, level: float) -> float:
    """Upper 95 % bound of a quantile by order statistics; the greatest where there are too few."""
    rank = int(binom.ppf(0.95, len(values), level))
    return float(np.sort(values)[min(rank, len(values) - 1)])


def main() -> None:
    found = {
        name: np.array([needed(SEED + 7919 * i + COUNT * j, wrong) for i in range(COUNT)])
        for j, (name, wrong) in enumerate(FAMILIES.items())
    }
    lines = [
        "# How far below 0 the outer line follows the mean of the field [logit]: made by",
        "# scripts/calibrate_survey.py, do not edit. Damages are wavy ellipses of mean radius 1.5 to 5 tap",
        "# spacings, up to 2.2 times as long as wide, anywhere on a square grid of 441 taps.",
        "# Each value is an upper 95 % bound of the quantile (order statistic), of the worst family.",
        "",
        f"simulated = {COUNT * len(FAMILIES)}",
        f"seed = {SEED}",
        "families = [" + ", ".join(f'"{n}"' for n in FAMILIES) + "]",
        "",
        "[level]",
    ]
    for level in LEVELS:
        each = {n: bound(v, level) for n, v in found.items()}
        print(level, {n: round(b, 3) for n, b in each.items()})
        lines.append(f'"{level:g}" = {max(each.values()):.3f}')
    path = ROOT / "src/panelmend/job/survey/calibration.toml"
    path.write_text("\n".join(lines) + "\n", "utf8")


if __name__ == "__main__":
    main()
