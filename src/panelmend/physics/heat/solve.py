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
from panelmend.physics.heat.state import HeatState

Report = Callable[[Progress], None]
_BLOCK, _FINE_BLOCK = 60, 64  # steps between reports
_LIVELY = 8.0  # K: a step in which the resin heats its own layer by more is taken to be too long
_CALM = 2.0  # K: with less the step is doubled again
_HALVINGS = 12  # times the step may be halved for it


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
        step: time step [s]; halved where and as often as the heat of cure asks for.
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
    state = HeatState(model, step, longest, every)
    kernel = _kernel(tell)
    steps = math.ceil(longest / step - 1e-9)
    pivots: dict[int, tuple[Array, Array]] = {}
    taken = 0
    while state.done < steps:
        block = min(_block(state), math.ceil((steps - state.done) * state.parts))
        before = state.snapshot()
        if state.parts not in pivots:
            pivots[state.parts] = _pivots(state)
        solid = state.solid
        cells = (
            solid.capacity,
            solid.g_x,
            solid.g_y,
            solid.g_z,
            *pivots[state.parts],
            *state.where,
            *state.padded,
            state.most,
        )
        moved = (state.clock, state.T, state.old, cells, state.faces, state.resin, state.heaters, state.wet)
        done = int(kernel.advance(block, *moved, state.out))
        rise = state.rise()
        if rise > _LIVELY:
            state.restore(before)
            if state.parts == 2**_HALVINGS:
                raise SolverError(
                    f"the resin heats its own layer by {rise:.0f} K within a step of "
                    f"{step / state.parts:.2g} s: it runs away; check heat and constants of cure, and the "
                    "thickness laid up at once"
                )
            state.split(2)
            tell(Progress(state.done / steps, state.done * step, _shorter(step / state.parts)))
            continue
        taken += done
        if not math.isfinite(float(state.T.sum())) or float(state.T.min()) <= 0.0:
            raise SolverError(
                "the heat run broke down: a temperature is below absolute zero or no number; "
                "try a shorter time step, and no layer without heat capacity under strong radiation"
            )
        minutes = state.done * step / 60.0
        tell(Progress(state.done / steps, 60.0 * minutes, f"{minutes:.0f} min of the process"))
        if done < block:
            break
        if state.dried():
            pivots.clear()
        if state.parts > 1 and rise < _CALM:
            state.split(1)
    return state.result(taken, finished=state.done < steps or state.ended())


def _block(state: HeatState) -> int:
    """Steps to take at once; parts of a step end where they can be put together again."""
    return _BLOCK if state.parts == 1 else _FINE_BLOCK - int(state.clock[2]) % _FINE_BLOCK


def _shorter(step: float) -> str:
    return f"the resin heats up fast: steps of {step:.2g} s there"


def _kernel(tell: Report) -> Any:
    from panelmend.physics.heat import kernel  # late: importing numba takes half a second

    if not kernel.advance.signatures:
        tell(Progress(0.0, 0.0, "preparing the solver (up to half a minute the first time, kept afterwards)"))
    return kernel


def _pivots(state: HeatState) -> tuple[Array, Array]:
    from panelmend.physics.heat.sweeps import factor

    made = np.empty_like(state.T), np.empty_like(state.T)
    half = 0.5 * state.step / state.parts
    factor(state.solid.capacity, state.solid.g_x, half, 2, made[0])
    factor(state.solid.capacity, state.solid.g_y, half, 1, made[1])
    return made
