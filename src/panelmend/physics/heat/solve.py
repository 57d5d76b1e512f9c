"""Run a heat model from its start to the end of its recipes."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np

from panelmend.errors import InputError, SolverError
from panelmend.physics.heat.grid import Array
from panelmend.physics.heat.model import HeatModel
from panelmend.physics.heat.result import HeatResult, Progress
from panelmend.physics.heat.state import State

Report = Callable[[Progress], None]
_BLOCK = 60  # steps between reports
_LIVELY = 8.0  # K: a step in which the resin heats its own layer by more is taken to be too long
_HALVINGS = 6  # times the step may be halved for it


def run(
    model: HeatModel,
    *,
    longest: float,
    step: float = 10.0,
    sample: float = 60.0,
    report: Report | None = None,
) -> HeatResult:
    """Temperatures and cure over time.

    Args:
        model: what to solve.
        longest: time after which the run ends even if a recipe has not [s].
        step: time step [s]; halved as often as the heat of cure asks for.
        sample: time between recorded samples, a whole number of steps [s].
        report: called every 60 steps; it may raise :class:`panelmend.errors.Cancelled` to stop the run.

    Returns:
        the finished run [K, s, J].

    Raises:
        InputError: a model that makes no sense; the message says what.
        SolverError: a temperature that is no number any more.
        Cancelled: raised by ``report``.

    Source: finite volumes, Douglas' alternating directions with Crank-Nicolson in time.
    """
    if not 0.0 < step <= longest:
        raise InputError(
            "the time step must be positive and shorter than the run", read=f"{step:g} s, {longest:g} s"
        )
    every = round(sample / step)
    if every < 1 or abs(every * step - sample) > 1e-6 * sample:
        raise InputError(
            "samples must lie a whole number of steps apart", read=f"{sample:g} s and {step:g} s"
        )
    tell = report or (lambda progress: None)
    shortest = step / 2**_HALVINGS
    while True:
        made, rise = _once(model, longest, step, every, tell)
        if rise <= _LIVELY:
            return made
        step, every = 0.5 * step, 2 * every
        if step < shortest:
            raise SolverError(
                f"the resin heats its own layer by {rise:.0f} K within a step of {2 * step:g} s: "
                "it runs away; check heat and constants of cure, and the thickness laid up at once"
            )
        tell(Progress(0.0, 0.0, f"the resin heats up fast: once more with steps of {step:g} s"))


def _once(
    model: HeatModel, longest: float, step: float, every: int, tell: Report
) -> tuple[HeatResult, float]:
    """One run with a fixed step, and the most the resin heated its own layer within a step [K]."""
    state = State(model, step, longest, every)
    kernel = _kernel(tell)
    pivots = _pivots(state)
    steps = math.ceil(longest / step - 1e-9)
    done = 0
    while done < steps:
        block = min(_BLOCK, steps - done)
        solid = state.solid
        cells = (solid.capacity, solid.g_x, solid.g_y, solid.g_z, *pivots, solid.void)
        moved = (state.clock, state.T, state.old, cells, state.faces, state.resin, state.heaters, state.wet)
        taken = int(kernel.advance(block, *moved, state.out))
        done += taken
        if not math.isfinite(float(state.T.sum())) or float(state.T.min()) <= 0.0:
            raise SolverError(
                "the heat run broke down: a temperature is below absolute zero or no number; "
                "try a shorter time step, and no layer without heat capacity under strong radiation"
            )
        tell(Progress(done / steps, done * step, f"{done * step / 60:.0f} min of the process"))
        if taken < block or state.totals[4] > _LIVELY:
            break
        if state.dried():
            pivots = _pivots(state)
    return state.result(done, finished=done < steps or state.ended()), float(state.totals[4])


def _kernel(tell: Report) -> Any:
    from panelmend.physics.heat import kernel  # late: importing numba takes half a second

    if not kernel.advance.signatures:
        tell(Progress(0.0, 0.0, "preparing the solver (up to half a minute the first time, kept afterwards)"))
    return kernel


def _pivots(state: State) -> tuple[Array, Array]:
    from panelmend.physics.heat.sweeps import factor

    made = np.empty_like(state.T), np.empty_like(state.T)
    factor(state.solid.capacity, state.solid.g_x, 0.5 * state.step, 2, made[0])
    factor(state.solid.capacity, state.solid.g_y, 0.5 * state.step, 1, made[1])
    return made
