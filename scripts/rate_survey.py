#!/usr/bin/env python3
"""How often the survey's line for any shape holds the whole damage, family by family, on seeds of its own.

    scripts/rate_survey.py [COUNT] [CONFIDENCE]

Prints for each family and layout: held of met with the exact (Clopper-Pearson) 95 % interval, how many had a
body that no tap met, and the median area taken beyond the damage. Families and layouts marked * were never
tuned on; those marked - are not promised.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
from scipy.stats import beta

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "src"), str(ROOT / "tests")]

from damage_families import NOT_PROMISED, PROMISED  # noqa: E402
from panelmend.job.survey.calibration import reach_at  # noqa: E402
from simulated_taps import (  # noqa: E402
    LAYOUTS,
    area_excess,
    bodies_met,
    followed_up,
    least_multiple,
    surveyed,
)
from survey_held import HELD, HELD_LAYOUTS, HELD_NOT_PROMISED  # noqa: E402

COUNT = int(sys.argv[1]) if len(sys.argv) > 1 else 200
K = reach_at(float(sys.argv[2]) if len(sys.argv) > 2 else 0.95)
SEED = 99_000_000


def interval(held: int, of: int) -> tuple[float, float]:
    """Exact 95 % interval of a rate [1]."""
    low = 0.0 if held == 0 else float(beta.ppf(0.025, held, of - held + 1))
    high = 1.0 if held == of else float(beta.ppf(0.975, held + 1, of - held))
    return low, high


def main() -> None:
    groups = [("", PROMISED), ("*", HELD), ("-", NOT_PROMISED), ("*-", HELD_NOT_PROMISED)]
    for mark, families in groups:
        for family, maker in families.items():
            for i, (name, layout) in enumerate({**LAYOUTS, **HELD_LAYOUTS}.items()):
                held, missed, excess = 0, 0, []
                for k in range(COUNT):
                    made = surveyed(maker, layout, SEED + 1009 * i + k)
                    core = followed_up(made)
                    if core is None or not bodies_met(made):
                        missed += 1
                        continue
                    held += least_multiple(made, core) <= K
                    excess.append(area_excess(made, core, K) if k < 40 else np.nan)
                of = COUNT - missed
                low, high = interval(held, of) if of else (0.0, 1.0)
                star = "*" if name in HELD_LAYOUTS else ""
                print(
                    f"{family + ' ' + mark:26} {name + star:17} {held:4d} of {of:4d} "
                    f"({100 * held / max(of, 1):3.0f} %, {100 * low:3.0f} to {100 * high:3.0f}), "
                    f"{missed:3d} not met, area {100 * np.nanmedian(excess):4.0f} % more",
                    flush=True,
                )


if __name__ == "__main__":
    main()
