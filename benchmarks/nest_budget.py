"""How short nests get with the time a search is given, over made jobs of 3 to 25 pieces.

    scripts/bench nest_budget [--budgets 1.5 3 5 10 30] [--pieces 3 4 6 9 13 18 25] [--seed 1]

A job is stacked repair plies: ellipses, rounded rectangles and trimmed rectangles in steps of 12 to 25 mm,
warp 0, 90, +45 and -45 degrees in turn, every third job on cloth with a direction, on a roll 1 m wide with
10 mm kept at each edge and 5 mm between pieces. Lengths are roll between the kept ends.
"""

from __future__ import annotations

import argparse
import math
import os

import numpy as np

from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import NestProblem, Piece, Strip
from panelmend.job.nest.shelf import shelf_nest
from panelmend.nesting.port import search

WARPS = (0.0, math.pi / 2, math.pi / 4, -math.pi / 4)


def outline(kind: int, a: float, b: float) -> tuple[tuple[float, float], ...]:
    """A ply 2a long and 2b wide [m]: an ellipse, a rounded or a trimmed rectangle."""
    if kind == 0:  # 48 sides outside the ellipse
        out = 1.0 / math.cos(math.pi / 48)
        turns = np.arange(48) * math.pi / 24
        return tuple((float(a * out * math.cos(t)), float(b * out * math.sin(t))) for t in turns)
    r = 0.3 * min(a, b)
    if kind == 1:
        corners = [(a - r, b - r, 0), (r - a, b - r, 1), (r - a, r - b, 2), (a - r, r - b, 3)]
        return tuple(
            (x + r * math.cos((q + k / 6) * math.pi / 2), y + r * math.sin((q + k / 6) * math.pi / 2))
            for x, y, q in corners
            for k in range(7)
        )
    return (
        (a, r - b),
        (a, b - r),
        (a - r, b),
        (r - a, b),
        (-a, b - r),
        (-a, r - b),
        (r - a, -b),
        (a - r, -b),
    )


def job(pieces: int, seed: int) -> NestProblem:
    """Stacks of plies, each larger than the last, until there are as many pieces as asked."""
    rng = np.random.default_rng(1000 * seed + pieces)
    made: list[Piece] = []
    while len(made) < pieces:
        kind, a, b = int(rng.integers(3)), rng.uniform(0.04, 0.16), rng.uniform(0.04, 0.14)
        step = rng.uniform(0.012, 0.025)
        for k in range(min(int(rng.integers(2, 7)), pieces - len(made))):
            shape = outline(kind, a + k * step, b + k * step)
            made.append(Piece(f"P{len(made) + 1}", shape, WARPS[k % 4], pieces % 3 != 0, False))
    return NestProblem(f"{pieces} pieces", tuple(made), (Strip("roll", 1.0, None, 0.01, 0.005),))


def main() -> None:
    """Run every job with every budget."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--budgets", type=float, nargs="+", default=[1.5, 3.0, 5.0, 10.0, 30.0])
    parser.add_argument("--pieces", type=int, nargs="+", default=[3, 4, 6, 9, 13, 18, 25])
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    for pieces in chosen.pieces:
        problem = job(pieces, chosen.seed)
        shelf = shelf_nest(problem)
        ends = 2.0 * problem.strips[0].edge
        bound = shelf.layouts[0].bound - ends
        row = [f"{problem.cloth:10s} bound {bound:.4f} shelves {shelf.roll_length - ends:.4f}"]
        for budget in chosen.budgets:
            result = search(problem, budget, chosen.seed)
            wrong = faults(problem, result.nest)
            length = result.nest.roll_length - ends
            row.append(f"{budget:g} s: {length:.4f} in {result.seconds:.1f} s {'; '.join(wrong)}".strip())
        print(" | ".join(row), f"| load {os.getloadavg()[0]:.1f}", flush=True)


if __name__ == "__main__":
    main()
