"""How long nests get: shelves, the bound, and each search engine in the same run.

    scripts/bench nest [--seconds 10] [--seed 1] [--data DIR]

The job is nine rectangles with trimmed corners, 8 x 6 to 20 x 18 in, warp 0, 90, +45, -45 in turn, together
1547.7 in2, gap 0.25 in on a 50 in roll with 0.5 in kept at each edge. DIR may hold public strip-packing
instances as JSON (items with vertices, demand, allowed turns; strip_width); their best known lengths:
Gardeyn, Vanden Berghe and Wauters 2025, arXiv 2509.13329, tables 2 and 3.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from nine_pieces import nine_pieces
from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import NestProblem, Piece, Strip
from panelmend.job.nest.shelf import shelf_nest
from panelmend.nesting.port import engines_here, search
from panelmend.units import INCH

BEST_KNOWN = {"albano": 9692.056, "dagli": 56.087, "shapes0": 57.012}


def instance(path: Path) -> tuple[NestProblem, float]:
    """A public instance, scaled to a strip 1 m wide, and metres for one of its units."""
    data = json.loads(path.read_text("utf8"))
    unit = 1.0 / data["strip_width"]
    pieces = []
    for item in data["items"]:
        turns = item["allowed_rotations_deg"]
        if turns not in ([0.0], [0.0, 180.0]):
            raise SystemExit(f"{path.name}: cloth cannot be turned by {turns}")
        points = tuple((x * unit, y * unit) for x, y in item["vertices"])
        pieces.append(Piece(item["id"], points, 0.0, len(turns) == 2, False, item["demand"]))
    return NestProblem(data["name"], tuple(pieces), (Strip("strip", 1.0, None, 0.0, 0.0),)), unit


def report(name: str, problem: NestProblem, unit: float, word: str, seconds: float, seed: int) -> None:
    """Print one block: lengths between the kept ends, in the job's own unit."""
    strip = problem.strips[0]
    ends = 2.0 * strip.edge
    area = sum(p.area() * p.quantity for p in problem.pieces)
    started = time.perf_counter()
    shelf = shelf_nest(problem)
    took = time.perf_counter() - started
    print(f"{name}: {sum(p.quantity for p in problem.pieces)} pieces, {area / unit**2:.1f} {word}2")

    def line(what: str, length: float, took: float, more: str = "") -> None:
        density = 100.0 * area / (strip.usable_width * (length - ends))
        print(f"  {what:14s} {(length - ends) / unit:10.3f} {word}  {density:5.2f} %  {took:6.2f} s  {more}")

    line("bound", shelf.layouts[0].bound, 0.0)
    line("shelves", shelf.roll_length, took)
    for engine in engines_here():
        before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime
        result = search(problem, seconds, seed, engines=(engine,))
        own = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before
        wrong = faults(problem, result.nest)
        notes = "; ".join(
            (*wrong, *result.notes, *([] if result.engine == engine else ["shelves were better"]))
        )
        busy = f"processor {own:.0f} s, load {os.getloadavg()[0]:.1f}"
        line(engine, result.nest.roll_length, result.seconds, f"{busy}, {notes or 'legal'}")
    if name in BEST_KNOWN:
        line("best known", BEST_KNOWN[name] * unit + ends, 0.0)


def main() -> None:
    """Run the job and every instance of the folder."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--data", type=Path)
    chosen = parser.parse_args()
    report("nine pieces", nine_pieces(), INCH, "in", chosen.seconds, chosen.seed)
    for path in sorted(chosen.data.glob("*.json")) if chosen.data else []:
        problem, unit = instance(path)
        report(problem.cloth, problem, unit, "u", chosen.seconds, chosen.seed)


if __name__ == "__main__":
    main()
