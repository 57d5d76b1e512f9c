"""The child process: runs one packing engine on one strip and says what it finds, line by line.

It is started by path, apart from the package, so that it is up in a tenth of a second and a panic, an
endless loop or a killed engine can take nothing else down. One request comes as a line of JSON on standard
input; each layout that is better than the last goes out as a line on standard output. When standard input
closes, the parent is gone and so is this process.

Engines stop by the clock. On a machine that is busy with other things they would stop before they have done
anything, so the time asked for is stretched by how much slower than its processor time this process runs,
four times at most.

Request: engine, width, gap, seconds, seed, reach (length the shelf layout has), items (shape, copies, half,
over). Answer lines: {"layout": [[item, x, y, half, over], ...], "length": l, "phase": p, "attempt": n},
{"note": words}, {"done": true}; the first line is {"stretch": s}, which may come again. The unit of length is
the parent's choice; shapes lie with their warp along x.
"""

from __future__ import annotations

import json
import math
import os
import sys
import threading
import time
from collections.abc import Callable
from datetime import timedelta
from typing import Any

WIDER_BY = 1e-5
"""How much wider spyrrow's strip is made: it can't find layouts that fill the width exactly."""

EXPLORING = 0.8
"""Share of a run in which whole pieces change places; the rest pushes the best layout together."""

RUN, GROWN, SCRAP = (1.0, 1.0 / 30.0), 1.5, 0.5
"""The first run of an engine takes a second or this much times the square of the number of pieces [s], each
later one so many times as long; less than this share of a run is not left over but added to it."""

VAIN, LEAST_SHORTENING, TIME_FOR_ANOTHER = 4, 5e-4, 0.5
"""One run for this many pieces (one at least) that gains less than this share ends the search when they come
in a row, and so does less time than this left [s]."""

CLOSE_RATIO = 1.02
"""Layouts of later runs are said where they are at most this many times as long as the best."""

MOST_STRETCH = 4.0
_SAMPLE, _JITTER = 0.05, 1.25  # [s] of processor time to look at; slower by less is not told from jitter


def write_answer(line: dict[str, Any]) -> None:
    """Write one answer line."""
    sys.stdout.write(json.dumps(line) + "\n")
    sys.stdout.flush()


def run_spyrrow(request: dict[str, Any], timer: Timer) -> None:
    """Search with spyrrow; it never turns a piece over, and keeps the gap to the strip's edges too.

    What a run finds depends more on its random numbers than on its time. So there are several, each longer
    than the last and with other numbers, until they gain nothing or the time is over.
    """
    import spyrrow

    gap, turns = request["gap"], [0.0, 180.0]
    items = [
        spyrrow.Item(str(i), [(x, y) for x, y in item["shape"]], item["copies"], turns[: 1 + item["half"]])
        for i, item in enumerate(request["items"])
    ]
    height = request["width"] * (1.0 + WIDER_BY) + 2.0 * gap
    instance = spyrrow.StripPackingInstance("strip", height, items)
    copies = sum(item["copies"] for item in request["items"])
    run, enough = max(RUN[0], RUN[1] * copies**2), max(1, copies // VAIN)
    best, vain, attempt = math.inf, 0, 0
    while True:
        left = timer.left()
        if left < (1.0 + SCRAP) * run * timer.slower:
            run = math.inf
        config = spyrrow.StripPackingConfig(
            early_termination=True,
            min_items_separation=gap or None,
            total_computation_time=1,
            num_workers=1,
            seed=request["seed"] + attempt,
        )
        # thousandths of a second, never more than asked: the result of what comes later is lost
        given = max(math.floor(min(left, run * timer.slower) * 1000.0), 1)
        exploring = math.floor(given * EXPLORING)
        config.exploration_time = timedelta(milliseconds=exploring)
        config.compression_time = timedelta(milliseconds=given - exploring)
        length = _one_attempt(instance, config, gap, attempt, best)
        vain = 0 if length < best * (1.0 - LEAST_SHORTENING) else vain + 1
        best, attempt, run = min(best, length), attempt + 1, run * GROWN
        if length == math.inf or vain >= enough or timer.left() < TIME_FOR_ANOTHER:
            return
        if run == math.inf:  # it ended early and left time for another
            run = timer.left() / timer.slower


def _one_attempt(instance: Any, config: Any, gap: float, attempt: int, best: float) -> float:
    """Say each layout of one run that is shorter than the best; the least length, infinite after a panic."""
    import spyrrow

    queue = spyrrow.ProgressQueue()
    outcome: list[Any] = []

    def work() -> None:
        try:
            outcome.append(instance.solve(config, queue))
        except BaseException as error:  # the engine's panics are no Exception
            outcome.append(error)

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    least = math.inf
    kinds = (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas)
    while thread.is_alive():
        thread.join(0.1)
        found = [(kind, s) for kind, s in queue.drain() if kind in kinds]
        if found:
            kind, solution = min(found, key=lambda f: f[1].width)
            if solution.width < least:
                least = solution.width
                if attempt == 0 or least < best * CLOSE_RATIO:
                    write_answer(_spyrrow_layout(solution, gap, kind.phase_name(), attempt))
    if isinstance(outcome[0], BaseException):
        write_answer({"note": f"spyrrow stopped: {str(outcome[0])[:300]}"})
        return math.inf
    write_answer(_spyrrow_layout(outcome[0], gap, "final", attempt))
    return float(outcome[0].width)


def _spyrrow_layout(solution: Any, gap: float, phase: str, attempt: int) -> dict[str, Any]:
    rows = [
        [
            int(p.id),
            p.translation[0] - gap,
            p.translation[1] - gap,
            abs(p.rotation % 360.0 - 180.0) < 1.0,
            False,
        ]
        for p in solution.placed_items
    ]
    length = solution.width - 2.0 * gap
    return {"layout": rows, "length": length, "phase": phase, "attempt": attempt}


def run_packingsolver(request: dict[str, Any], timer: Timer) -> None:
    """Search with packingsolver (Python 3.12 and later)."""
    import packingsolver.irregular as engine

    builder = engine.InstanceBuilder()
    builder.set_objective(engine.Objective.OpenDimensionX)
    builder.set_item_item_minimum_spacing(request["gap"])
    builder.add_bin_type(engine.build_rectangle(request["reach"] * 1.001, request["width"]))
    for item in request["items"]:
        # its mirror changes the sign of x, ours that of y: half a turn lies between them
        turns = [(0.0, 0.0, False)] + [(180.0, 180.0, False)] * item["half"]
        if item["over"]:
            turns += [(180.0, 180.0, True)] + [(0.0, 0.0, True)] * item["half"]
        shape = engine.build_shape([tuple(p) for p in item["shape"]])
        builder.add_item_type(shape, copies=item["copies"], allowed_rotations=turns)
    wanted = sum(item["copies"] for item in request["items"])
    parameters = engine.OptimizeParameters()
    parameters.time_limit = timer.left()
    parameters.verbosity_level = 0
    parameters.messages_to_stdout = False

    def show(output: Any, phase: str = "exploring") -> None:
        solution = output.solution
        if solution.number_of_bins() != 1 or solution.number_of_items() != wanted:
            return
        rows = [
            [
                s.item_type_id,
                s.bl_corner.x,
                s.bl_corner.y,
                (abs(s.angle % 360.0 - 180.0) < 1.0) != s.mirror,
                s.mirror,
            ]
            for s in solution.bin(0).items
        ]
        write_answer({"layout": rows, "length": solution.x_max(), "phase": phase})

    parameters.new_solution_callback = show
    output = engine.optimize(builder.build(), parameters)
    if not output.solution.full():
        write_answer({"note": "packingsolver could not place every piece"})
    show(output, "final")


ENGINES: dict[str, Callable[[dict[str, Any], Timer], None]] = {
    "spyrrow": run_spyrrow,
    "packingsolver": run_packingsolver,
}


def _leave_with_parent() -> None:
    sys.stdin.read()
    os._exit(4)


def stretch() -> float:
    """How many seconds of the clock one second of processor time takes here now, 1 to MOST_STRETCH."""
    clock, own = time.monotonic(), time.thread_time()
    while time.thread_time() - own < _SAMPLE and time.monotonic() - clock < _SAMPLE * MOST_STRETCH:
        pass
    return clock_stretch(time.monotonic() - clock, time.thread_time() - own)


def clock_stretch(clock: float, own: float) -> float:
    """The stretch of a sample that took ``clock`` and ``own`` processor time [s]; what jitters is 1."""
    slower = clock / own if own > 0.0 else MOST_STRETCH
    return 1.0 if slower < _JITTER else min(slower, MOST_STRETCH)


class Timer:
    """What is left of a budget: by the clock, stretched by how slowly this process runs.

    ``seconds`` of the budget; ``slower`` the stretch when it began. After each run the processor time used
    tells how much slower it was in truth, and the parent is told.
    """

    def __init__(self, seconds: float, slower: float) -> None:
        self.seconds, self.slower = seconds, slower
        self._clock, self._own = time.monotonic(), time.process_time()

    def left(self) -> float:
        """Time by the clock that is left [s], at least 0."""
        clock, own = time.monotonic() - self._clock, time.process_time() - self._own
        if own > 1.0:
            self.slower = clock_stretch(clock, min(own, clock))
        most = self.seconds * MOST_STRETCH - clock
        left = min(max(self.seconds - clock / self.slower, 0.0) * self.slower, max(most, 0.0))
        write_answer({"stretch": min(max((clock + left) / self.seconds, 1.0), MOST_STRETCH)})
        return left


def main() -> None:
    """Read one request, search, answer."""
    request = json.loads(sys.stdin.readline())
    threading.Thread(target=_leave_with_parent, daemon=True).start()
    timer = Timer(max(request["seconds"], 1e-3), stretch())
    try:
        ENGINES[request["engine"]](request, timer)
    except BaseException as error:  # panics derive from BaseException
        write_answer({"note": f"{request['engine']} stopped: {type(error).__name__}: {str(error)[:300]}"})
    write_answer({"done": True})
    os._exit(0)


if __name__ == "__main__":
    main()
