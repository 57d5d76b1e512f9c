"""The one door to the packing engines: search a better nest than shelves, within a time budget.

The shelf nest is the floor: the result is never longer. Engines run in a child process that is ended when the
budget is over; every layout they find is brought back to our own types, repaired where only rounding is off,
and counts only when the independent check finds nothing.
"""

from __future__ import annotations

import importlib.util
import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from panelmend.errors import InputError
from panelmend.job.nest.bound import roll_bound
from panelmend.job.nest.geometry import turned
from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import Nest, NestProblem, Piece, Placement, Strip
from panelmend.job.nest.placements import measured
from panelmend.job.nest.shelf import shelf_candidates
from panelmend.job.nest.stored import rounded
from panelmend.nesting.child import Event, run_child
from panelmend.nesting.repair import repaired
from panelmend.nesting.simpler import simpler
from panelmend.nesting.tasks import Task, fuller_tasks, roll_tasks, whole_tasks

GRACE = 0.75
"""How long after its budget an engine may still answer before it is ended [s]."""

_SCALE = 1000.0  # the engines see a usable width of this, whatever the cloth's
_START = 0.4  # from starting the child to its first layout [s]
_SHORTEST = 1.5  # [s] for a try to fill a remnant
_TRIED = 4
_NOTHING_TO_GAIN = 1e-5  # [m]: this near the bound no search is run


@dataclass(frozen=True)
class SearchProgress:
    """Where a search stands.

    ``engine`` found a layout ``found`` [m] long on ``strip``; ``elapsed`` and ``budget`` [s]; ``best`` [m] of
    roll so far.
    """

    engine: str
    strip: str
    elapsed: float
    budget: float
    best: float
    found: float
    phase: str


@dataclass(frozen=True)
class SearchResult:
    """The best legal nest, the engine that made it ("shelves" when none did better), time taken [s] and
    notes."""

    nest: Nest
    engine: str
    seconds: float
    notes: tuple[str, ...]


def engines_here() -> tuple[str, ...]:
    """The engines this interpreter can run, the preferred one first."""
    return tuple(name for name in ("packingsolver", "spyrrow") if importlib.util.find_spec(name) is not None)


def search(
    problem: NestProblem,
    budget: float,
    seed: int = 0,
    *,
    progress: Callable[[SearchProgress], None] | None = None,
    cancel: Event | None = None,
    engines: Sequence[str] | None = None,
) -> SearchResult:
    """Search a nest that takes less roll than shelves do.

    The result differs from run to run: engines stop by the clock. Store what was found.

    Args:
        problem: pieces and strips of one cloth.
        budget: time for the whole search; 0 gives the shelf nest at once [s]. On a machine that is busy with
            other things the search takes up to four times as long, so that it comes as far.
        seed: start of the engines' random numbers.
        progress: told about every better layout an engine finds.
        cancel: ends the search at once when set.
        engines: names to use instead of :func:`engines_here`.

    Returns:
        The best nest found; it passes :func:`panelmend.job.nest.legality.faults` and is never worse than
        shelves.

    Raises:
        Cancelled: ``cancel`` was set.
        InputError: the budget is no time.
    """
    if not math.isfinite(budget) or budget < 0.0:
        raise InputError("the search needs a time budget", read=f"{budget} s", expected="0 s or more")
    names = engines_here() if engines is None else tuple(engines)
    floor = shelf_candidates(problem)[0]
    run = _Run(problem, names, budget, seed, progress, cancel, floor)
    if not names:
        run.notes.append("no search engine is installed; this is the shelf layout")
    for task in whole_tasks(problem, floor):
        run.engines_on(task, 0.25 * budget)
    base = run.filled_remnants(floor, 0.4 * budget)
    tasks = roll_tasks(problem, [base, run.best] if base is not run.best else [base])
    for number, task in enumerate(tasks):
        run.engines_on(task, run.elapsed() + (budget - run.elapsed()) / (len(tasks) - number))
    return SearchResult(run.best, run.engine, run.elapsed(), tuple(run.notes))


class _Run:
    """One search while it runs: its clock, and the best legal nest so far."""

    def __init__(
        self,
        problem: NestProblem,
        names: tuple[str, ...],
        budget: float,
        seed: int,
        progress: Callable[[SearchProgress], None] | None,
        cancel: Event | None,
        floor: Nest,
    ) -> None:
        self.problem, self.names, self.budget, self.seed = problem, names, budget, seed
        self.progress, self.cancel = progress, cancel
        self.best, self.engine = floor, "shelves"
        self.notes: list[str] = []
        self._goal = (0, roll_bound(problem) + _NOTHING_TO_GAIN)
        self._started = time.monotonic()
        self._waited = 0.0

    def elapsed(self) -> float:
        """Time since the search began [s], without what the engines waited for others."""
        return time.monotonic() - self._started - self._waited

    def filled_remnants(self, nest: Nest, until: float) -> Nest:
        """Get more onto each remnant in turn, the largest first; the nest with what could be moved there."""
        used = [layout.strip for layout in nest.layouts if layout.strip.remnant]
        for strip in sorted(used, key=lambda s: -s.width * (s.length or 0.0)):
            for task in fuller_tasks(self.problem, nest, strip):
                found = self.engines_on(task, min(until, self.elapsed() + _SHORTEST))
                if found is not None:
                    nest = found
                    break
        return nest

    def engines_on(self, task: Task, until: float) -> Nest | None:
        """Run every engine on a task; the last legal nest it made, whether or not it is the best."""
        found = None
        for number, name in enumerate(self.names):
            left = min(until, self.budget) - self.elapsed()
            if left < _START or self.best.cost()[:2] <= self._goal:
                break
            found = self._one(task, name, left / (len(self.names) - number)) or found
        return found

    def _one(self, task: Task, name: str, seconds: float) -> Nest | None:
        scale = _SCALE / task.strip.usable_width

        def show(elapsed: float, length: float, phase: str) -> None:
            if self.progress is not None:
                found = length / scale + 2.0 * task.strip.edge
                best = self.best.roll_length
                self.progress(
                    SearchProgress(name, task.strip.id, self.elapsed(), self.budget, best, found, phase)
                )

        request = request_for(task, name, seconds - _START, self.seed, scale)
        answer = run_child(request, seconds + GRACE, cancel=self.cancel, show=show)
        self._waited += answer.seconds * (1.0 - 1.0 / answer.stretch)
        self.notes += answer.notes
        nest, words = best_of(self.problem, task, answer.layouts, scale)
        if words:
            self.notes.append(f"{name} {words}")
        if nest is not None and nest.cost() < self.best.cost():
            self.best, self.engine = nest, name
        return nest


def request_for(task: Task, engine: str, seconds: float, seed: int, scale: float) -> dict[str, Any]:
    """What the worker is asked: shapes with their warp along x, copies, and how they may lie.

    Args:
        task: the strip and the copies to lay on it.
        engine: which engine.
        seconds: its time [s].
        seed: start of its random numbers.
        scale: engine units for a metre [1/m].

    Returns:
        The request as JSON data.
    """
    items = [
        {
            "shape": (simpler(piece.lying()) * scale).tolist(),
            "copies": len(numbers),
            "half": piece.half_turn,
            "over": piece.mirror,
        }
        for piece, numbers in task.items
    ]
    return {
        "engine": engine,
        "width": task.strip.usable_width * scale,
        "gap": task.strip.gap * scale,
        "seconds": seconds,
        "seed": seed,
        "reach": task.reach * scale,
        "items": items,
    }


def best_of(
    problem: NestProblem, task: Task, layouts: Sequence[dict[str, Any]], scale: float
) -> tuple[Nest | None, str]:
    """The shortest layout of an answer that may be cut.

    Args:
        problem: pieces and strips.
        task: what was asked.
        layouts: what the engine said.
        scale: engine units for a metre [1/m].

    Returns:
        The whole nest, or None; and why the last one was discarded if none may be cut.
    """
    far = (task.reach if task.strip.length is None else task.strip.usable_length) * scale * (1.0 + 1e-4)
    short = [said for said in layouts if float(said.get("length", math.inf)) <= far]
    words = ""
    for said in sorted(short, key=lambda said: float(said["length"]))[:_TRIED]:
        try:
            placed = placements_from(task, said["layout"], scale)
        except (LookupError, TypeError, ValueError) as error:
            words = f"gave a layout that cannot be read ({type(error).__name__})"
            continue
        placed = repaired(task.strip, placed, {p.id: p for p, _ in task.items})
        placed = tuple(map(rounded, placed))
        nest = task.whole(measured(task.strip, placed, problem.pieces))
        wrong = faults(problem, nest)
        if not wrong:
            return nest, ""
        words = f"gave a layout that may not be cut ({wrong[0]}); it was discarded"
    return None, words


def placements_from(task: Task, rows: Sequence[Sequence[Any]], scale: float) -> tuple[Placement, ...]:
    """An engine's rows as placements.

    Args:
        task: what the engine was asked.
        rows: (item, x, y, half, over) each: the lying shape mirrored in x if over, half turned, then moved.
        scale: engine units for a metre [1/m].

    Returns:
        One placement for each row, in strip axes [m].

    Raises:
        LookupError: an item that was not asked, or a copy too many.
        ValueError: an item the wrong way round, or a value that is no number.
    """
    used = [0] * len(task.items)
    made = []
    for item, x, y, half, over in rows:
        piece, numbers = task.items[int(item)]
        copy = numbers[used[int(item)]]
        used[int(item)] += 1
        made.append(_placement(piece, copy, task.strip, (x / scale, y / scale), bool(half), bool(over)))
    return tuple(made)


def _placement(
    piece: Piece, copy: int, strip: Strip, at: tuple[float, float], half: bool, over: bool
) -> Placement:
    if half > piece.half_turn or over > piece.mirror:
        raise ValueError(f"piece {piece.id} may not lie this way")
    if not all(math.isfinite(v) for v in at):
        raise ValueError(f"piece {piece.id} lies nowhere")
    turn = piece.turns(over)[int(half)]
    corner = turned(piece.lying(), math.pi if half else 0.0, over).min(axis=0)
    own = turned(piece.boundary, turn, over).min(axis=0)
    shift = corner - own
    return Placement(
        piece.id,
        copy,
        strip.id,
        float(at[0] + shift[0] + strip.edge),
        float(at[1] + shift[1] + strip.edge),
        turn,
        over,
    )
