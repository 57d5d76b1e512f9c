#!/usr/bin/env python3
"""Make src/panelmend/job/survey/calibration.toml again: how far out the lines stand.

    scripts/calibrate_survey.py [COUNT]

For each simulated damage the multiple is found at which the line for any shape just contains the whole of
it; the table keeps, for each confidence, the order statistic that is an upper 95 % bound of that quantile,
of the worst of all families and layouts. A damage with a body that no tap met is left out: it is not
promised. The level of the compact line is kept as it was found.
"""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

import numpy as np
from scipy.stats import binom

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from damage_families import PROMISED  # noqa: E402
from simulated_taps import LAYOUTS, bodies_met, followed_up, least_multiple, surveyed  # noqa: E402

COUNT, SEED = int(sys.argv[1]) if len(sys.argv) > 1 else 400, 140_1305
LEVELS = (0.8, 0.9, 0.95, 0.99)


def bound(values: np.ndarray, level: float) -> float:
    """Upper 95 % bound of a quantile by order statistics; the greatest where there are too few."""
    rank = int(binom.ppf(0.95, len(values), level))
    return float(np.sort(values)[min(rank, len(values) - 1)])


def main() -> None:
    found: dict[tuple[str, str], np.ndarray] = {}
    for i, (family, maker) in enumerate(PROMISED.items()):
        for j, (name, layout) in enumerate(LAYOUTS.items()):
            values = []
            for k in range(COUNT):
                made = surveyed(maker, layout, SEED + 1_000_003 * i + 100_003 * j + k)
                core = followed_up(made)
                if core is not None and bodies_met(made):
                    values.append(least_multiple(made, core))
            found[family, name] = np.array(values)
            row = {level: round(bound(found[family, name], level), 2) for level in LEVELS}
            print(f"{family:22} {name:8} {len(values)} surveys {row}", flush=True)
    path = ROOT / "src/panelmend/job/survey/calibration.toml"
    kept = tomllib.loads(path.read_text("utf8"))
    lines = [
        "# Made by scripts/calibrate_survey.py, do not edit: how far out the lines stand.",
        "# reach: multiple of the coverage spacing, for a damage of any shape. Each value is an upper 95 %",
        "# bound of the quantile (order statistic), of the worst family and layout.",
        "# level: how far below 0 the compact line follows the mean of the field [logit]; for wavy ellipses",
        "# of three spacings across and more on a square grid, no place written down wrongly.",
        "",
        f"simulated = {sum(map(len, found.values()))}",
        f"seed = {SEED}",
        "families = [" + ", ".join(f'"{n}"' for n in PROMISED) + "]",
        "layouts = [" + ", ".join(f'"{n}"' for n in LAYOUTS) + "]",
        "",
        "[reach]",
        *(f'"{x:g}" = {max(bound(v, x) for v in found.values()):.3f}' for x in LEVELS),
        "",
        "[level]",
        *(f'"{name}" = {value:.3f}' for name, value in kept["level"].items()),
    ]
    path.write_text("\n".join(lines) + "\n", "utf8")


if __name__ == "__main__":
    main()
