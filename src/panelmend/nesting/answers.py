"""From what the engines said to layouts that may be cut: read, repaired, pushed together, checked."""

from __future__ import annotations

import math
import time
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from panelmend.job.nest.geometry import turned_boundary
from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import Nest, NestProblem, Piece, Placement, Strip
from panelmend.job.nest.placements import layout_measured
from panelmend.job.nest.stored import rounded
from panelmend.long_work import Stop
from panelmend.nesting.compaction import compacted
from panelmend.nesting.repair import repaired
from panelmend.nesting.tasks import Task

_TRIED = 4  # layouts of one run that are looked at before its result is given up
_CLOSE = 1.02  # a layout this many times as long as the best may become the shortest when pushed together


@dataclass(frozen=True)
class EngineLayout:
    """A layout as ``engine`` said it, in the run that ``run`` names."""

    engine: str
    run: tuple[int, int]
    length: float
    rows: Any


def said_by(engine: str, number: int, layouts: Sequence[dict[str, Any]]) -> list[EngineLayout]:
    """The layouts of one child.

    Args:
        engine: which engine ran in it.
        number: which child it was.
        layouts: its answer lines.

    Returns:
        One entry for each line; a length that is no number is infinite.
    """
    made = []
    for line in layouts:
        try:
            length, run = float(line["length"]), (number, int(line.get("attempt", 0)))
        except (LookupError, TypeError, ValueError, OverflowError):
            length, run = math.inf, (number, 0)
        made.append(
            EngineLayout(engine, run, length if math.isfinite(length) else math.inf, line.get("layout"))
        )
    return made


def best_of(
    problem: NestProblem,
    task: Task,
    said: Sequence[EngineLayout],
    scale: float,
    seconds: float,
    cancel: Stop | None = None,
) -> tuple[Nest | None, str, tuple[str, ...]]:
    """The shortest layout that may be cut: the best of each run, pushed together where there is time.

    Args:
        problem: pieces and strips.
        task: what was asked.
        said: what the engines said.
        scale: engine units for a metre [1/m].
        seconds: processor time for pushing together [s].
        cancel: ends it at once when set.

    Returns:
        The whole nest, or None; the engine it came from; and why runs were discarded of which no layout may
        be cut.
    """
    far = (task.reach if task.strip.length is None else task.strip.usable_length) * scale * _CLOSE
    runs: dict[tuple[int, int], list[EngineLayout]] = {}
    for one in sorted(said, key=lambda s: s.length):
        if one.length <= far:
            runs.setdefault(one.run, []).append(one)
    until = time.thread_time() + seconds
    best, engine, words = None, "", dict[str, None]()
    for run in runs.values():
        if cancel is not None and cancel.is_set():
            break
        if best is not None and run[0].length > runs[next(iter(runs))][0].length * _CLOSE:
            break
        why = ""
        for one in run[:_TRIED]:
            nest, why = _nest(problem, task, one, scale, until, cancel)
            if nest is not None:
                if best is None or nest.cost() < best.cost():
                    best, engine = nest, one.engine
                break
        if why:
            words[f"{run[0].engine} {why}"] = None
    return best, engine, tuple(words)


def _nest(
    problem: NestProblem, task: Task, one: EngineLayout, scale: float, until: float, cancel: Stop | None
) -> tuple[Nest | None, str]:
    try:
        placed = placements_from(task, one.rows, scale)
    except (LookupError, TypeError, ValueError) as error:
        return None, f"gave a layout that cannot be read ({type(error).__name__})"
    pieces = {p.id: p for p, _ in task.items}
    placed = repaired(task.strip, placed, pieces)
    nest, wrong = _checked(problem, task, placed)
    left = until - time.thread_time()
    if left > 0.0:
        closer, still_wrong = _checked(problem, task, compacted(task.strip, placed, pieces, left, cancel))
        if not still_wrong and (wrong or closer.cost() < nest.cost()):
            nest, wrong = closer, ()
    if wrong:
        return None, f"gave a layout that may not be cut ({wrong[0]}); it was discarded"
    return nest, ""


def _checked(problem: NestProblem, task: Task, placed: tuple[Placement, ...]) -> tuple[Nest, tuple[str, ...]]:
    nest = task.whole(layout_measured(task.strip, tuple(map(rounded, placed)), problem.pieces))
    return nest, faults(problem, nest)


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
        if int(item) < 0:
            raise LookupError(f"no item {item}")
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
    corner = turned_boundary(piece.lying(), math.pi if half else 0.0, over).min(axis=0)
    own = turned_boundary(piece.boundary, turn, over).min(axis=0)
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
