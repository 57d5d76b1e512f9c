"""The one door to the packing engines: search a better nest than shelves, within a time budget.

The shelf nest is the floor: the result is never longer. Engines run in a child process that is ended when the
budget is over; every layout they find is brought back to our own types, repaired where only rounding is off,
and counts only when the independent check finds nothing.
"""

from __future__ import annotations

import importlib.util
import math
import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import Any

from panelmend.errors import Cancelled, InputError
from panelmend.job.nest.bound import roll_bound
from panelmend.job.nest.part import Nest, NestProblem
from panelmend.job.nest.shelf import shelf_candidates
from panelmend.long_work import Stop
from panelmend.machine import cores
from panelmend.nesting.answers import EngineLayout, best_of, said_by
from panelmend.nesting.child import START_TIME, ChildAnswer, run_child
from panelmend.nesting.simpler import simpler
from panelmend.nesting.tasks import Task, fuller_tasks, roll_tasks, whole_tasks

GRACE_TIME = 0.75
"""How long after its budget an engine may still answer before it is ended [s]."""

_SCALE = 1000.0  # the engines see a usable width of this, whatever the cloth's
_SHORTEST = 1.5  # [s] for a try to fill a remnant
_PUSHING = (0.1, 3.0)  # pushing layouts together gets this share of the time, and no more than this [s]
_NEAR, _AGAIN, _LOOKED = 1.02, 0.998, 0.3
# a layout this near what is possible is pushed together at once; then one this much shorter; for so long [s]
_AT_ONCE = 4  # engines at the same time
_APART = 1000  # between the random numbers of two children; each takes the next ones when it starts again
SEEDED = ("spyrrow",)
"""Engines that find another layout with other random numbers."""
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
    cancel: Stop | None = None,
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
        cancel: Stop | None,
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
        batches = engine_turns(self.names, cores())
        for number, batch in enumerate(batches):
            left = min(until, self.budget) - self.elapsed()
            if left < START_TIME or self.best.cost()[:2] <= self._goal:
                break
            found = self._batch(task, batch, left / (len(batches) - number)) or found
        return found

    def _batch(self, task: Task, names: Sequence[str], seconds: float) -> Nest | None:
        """Run engines at the same time, the same one with other random numbers; the best legal nest."""
        scale = _SCALE / task.strip.usable_width
        pushing = min(_PUSHING[0] * seconds, _PUSHING[1])
        asked = seconds - START_TIME - pushing
        watch = _Watch(self.problem, task, scale)

        def run(number: int) -> ChildAnswer:
            name = names[number]

            def told(line: dict[str, Any]) -> None:
                (said,) = said_by(name, number, [line])
                if math.isfinite(said.length):
                    with watch.lock:
                        found = said.length / scale + 2.0 * task.strip.edge
                        self._tell(name, task, found, str(line.get("phase", "")))
                        watch.look(said)

            request = request_for(task, name, asked, self.seed + _APART * number, scale)
            try:
                return run_child(request, asked + GRACE_TIME, cancel=self.cancel, over=watch.over, told=told)
            except BaseException:
                watch.over.set()
                raise

        with ThreadPoolExecutor(len(names)) as pool:
            try:
                answers = list(pool.map(run, range(len(names))))
            except BaseException:  # an interrupt, too: the pool waits for its threads, they for their engines
                watch.over.set()
                raise
        self._waited += max(a.waited for a in answers)
        self.notes += dict.fromkeys(note for answer in answers for note in answer.notes)
        nest, name, words = watch.found, watch.engine, tuple[str, ...]()
        if nest is None:
            said = [s for k, a in enumerate(answers) for s in said_by(names[k], k, a.layouts)]
            began = time.monotonic(), time.thread_time()
            nest, name, words = best_of(self.problem, task, said, scale, pushing, self.cancel)
            if self.cancel is not None and self.cancel.is_set():
                raise Cancelled("the search for a layout was stopped")
            self._waited += max(0.0, time.monotonic() - began[0] - (time.thread_time() - began[1]))
        self.notes += words
        if nest is not None and nest.cost() < self.best.cost():
            self.best, self.engine = nest, name
            self._tell(name, task, max(n.used_length for n in nest.layouts if n.strip == task.strip), "done")
        return nest

    def _tell(self, name: str, task: Task, found: float, phase: str) -> None:
        if self.progress is not None:
            best = self.best.roll_length
            self.progress(
                SearchProgress(name, task.strip.id, self.elapsed(), self.budget, best, found, phase)
            )


class _Watch:
    """Ends the engines of a task as soon as one has found what cannot be bettered."""

    def __init__(self, problem: NestProblem, task: Task, scale: float) -> None:
        self.problem, self.task, self.scale = problem, task, scale
        self.lock, self.over = threading.Lock(), threading.Event()
        self.found: Nest | None = None
        self.engine = ""
        goal = task.strip.usable_length if task.strip.remnant else task.bound - 2.0 * task.strip.edge
        self._worth = goal * scale * _NEAR
        self._least = task.least_cost()

    def look(self, said: EngineLayout) -> None:
        """Push a layout together that may reach the least cost; end the engines if it does."""
        if self.over.is_set() or said.length > self._worth:
            return
        nest, engine, _ = best_of(self.problem, self.task, [said], self.scale, _LOOKED)
        least = (self._least[0], self._least[1] + _NOTHING_TO_GAIN)
        if nest is not None and nest.cost()[:2] <= least:
            self.found, self.engine = nest, engine
            self.over.set()
        elif nest is not None:
            self._worth = said.length * _AGAIN


def engine_turns(names: Sequence[str], cores: int) -> list[tuple[str, ...]]:
    """Which engines run at the same time, one core each, and in how many turns.

    Args:
        names: the engines, the preferred one first.
        cores: how many this process may use.

    Returns:
        The names of each turn. With cores to spare an engine whose result depends on its random numbers runs
        more than once.
    """
    at_once = max(1, min(cores, _AT_ONCE))
    turns = [tuple(names[i : i + at_once]) for i in range(0, len(names), at_once)]
    seeded = [name for name in names if name in SEEDED]
    if len(turns) == 1 and seeded:
        turns[0] += tuple(seeded[i % len(seeded)] for i in range(at_once - len(turns[0])))
    return turns


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
