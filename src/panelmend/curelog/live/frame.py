"""A running cure as plain text for a terminal, and the loop that shows it."""

from __future__ import annotations

import asyncio
import contextlib
import math
import textwrap
import time
from collections.abc import AsyncIterator, Callable, Sequence
from typing import Protocol, TextIO

import numpy as np

from panelmend.curelog.live.buffer import Buffer, Sample
from panelmend.errors import PanelmendError, Severity
from panelmend.plan.judge import Alarm, CureRecipe, Now, Predicted, look
from panelmend.plan.judge.log import ChannelRole, CureLog, FloatArray
from panelmend.plan.judge.said import time_left
from panelmend.units import show

_STEPS = " ._-=+*#"
_UNITS = {"mm": ("C", "inHg", "C/min"), "in": ("F", "inHg", "F/min")}


def frame(now: Now, log: CureLog, *, width: int = 78, view: str = "mm") -> str:
    """One text screen of a running cure.

    Args:
        now: its state.
        log: the readings so far.
        width: columns of the terminal, 40 at least.
        view: "mm" for C, "in" for F; a vacuum is in inHg, as gauges and the report show it.

    Returns:
        Lines of plain text, none longer than ``width``.
    """
    width = max(40, width)
    hot, press, rate = _UNITS[view]
    lines = [f"{now.clock}   {now.segment} ({now.kind})" if now.kind else f"{now.clock}   segment not found"]
    stops = [a for a in now.alarms if a.finding.severity is Severity.STOP]
    for alarm in stops:  # above everything that a short terminal scrolls away
        lines += _alarm_lines(alarm, width)
    lines.append(f"slowest {now.slowest or '-'} {_as(now.lowest, 'temperature', hot)}   "
                 f"fastest {now.fastest or '-'} {_as(now.highest, 'temperature', hot)}")  # fmt: skip
    lines.append(f"set point {_as(now.set_point, 'temperature', hot)}   "
                 f"slowest moves {_as(now.rate, 'temperature rate', rate)}")  # fmt: skip
    lines.append(f"vacuum {_as(now.vacuum, 'pressure', press)}   thermocouples that work: {now.working}")
    if math.isfinite(now.expected):
        lines.append(f"predicted of the slowest now {_as(now.expected, 'temperature', hot)}")
    if math.isfinite(now.needed):
        lines.append(f"held {_whole(now.held)} of {-_whole(-now.needed)} min")
    left = f"{-_whole(-now.left)} min" if math.isfinite(now.left) else "not known"
    lines.append(f"left: {left} ({now.left_how})")
    lines.append("")
    for channel in log.of_role(ChannelRole.THERMOCOUPLE):
        lines.append(_trace(channel.name, log.times, channel.values, width, hot))
    lines.append("")
    for alarm in now.alarms:
        if alarm not in stops:
            lines += _alarm_lines(alarm, width)
    if not now.alarms:
        lines.append("no alarm")
    for words in (*now.said, *log.notes[-3:]):
        lines += textwrap.wrap(f"- {words}", width, subsequent_indent="    ")
    return "\n".join(x[:width].rstrip() for x in lines) + "\n"


def _alarm_lines(alarm: Alarm, width: int) -> list[str]:
    """What is wrong or soon will be, and what to do."""
    mark = "NOW" if alarm.within <= 0 else f"in {time_left(alarm.within)}"
    stop = "STOP, " if alarm.finding.severity is Severity.STOP else ""
    lines = textwrap.wrap(f"! {stop}{mark}: {alarm.finding.words}", width, subsequent_indent="    ")
    return lines + textwrap.wrap(f"  do: {alarm.finding.todo}", width, subsequent_indent="      ")


def _whole(seconds: float) -> int:
    """The whole minutes in a time [s], rounded down: half a minute before its end a dwell is not shown as
    done."""
    return math.floor(round(seconds / 60, 6))


def _as(value: float, kind: str, unit: str) -> str:
    return show(value, kind, unit=unit, decimals=1) if math.isfinite(value) else "not known"


def _trace(name: str, times: FloatArray, values: FloatArray, width: int, unit: str) -> str:
    """A line of marks over time, low to high; a blank means no reading."""
    columns = width - 24
    edges = np.linspace(times[0], times[-1], columns + 1)
    at = np.clip(np.searchsorted(edges, times, side="right") - 1, 0, columns - 1)
    good = np.isfinite(values) & (values > 200) & (values < 700)
    low, high = (float(values[good].min()), float(values[good].max())) if good.any() else (0.0, 1.0)
    marks = []
    for i in range(columns):
        inside = good & (at == i)
        if not inside.any():
            marks.append(" ")
            continue
        share = (float(values[inside].mean()) - low) / max(high - low, 1e-9)
        marks.append(_STEPS[1 + min(len(_STEPS) - 2, int(share * (len(_STEPS) - 1)))])
    newest = float(values[-1]) if np.isfinite(values[-1]) else math.nan
    return f"{name[:10]:<10} {''.join(marks)} {_as(newest, 'temperature', unit)}"


async def follow_samples(
    samples: AsyncIterator[Sample],
    buffer: Buffer,
    recipe: CureRecipe,
    out: TextIO,
    *,
    period: float = 2.0,
    width: int = 78,
    view: str = "mm",
    clear: bool = True,
    go_on: Callable[[], bool] = lambda: True,
    predicted: Predicted | None = None,
    refused: Callable[[], int] = lambda: 0,
    kept: Callable[[Sample], None] | None = None,
) -> None:
    """Show a running cure whose samples come from Modbus or MQTT; every sample goes into ``buffer``.

    Args:
        samples: such as ``Modbus(...).samples()`` or ``Mqtt(...).samples()``.
        buffer: keeps the samples; its log can be judged afterwards.
        recipe, out, period, width, view, clear, go_on, predicted: as for :func:`follow`.
        refused: how many messages were no readings so far; shown.
        kept: called with each sample that is new.
    """
    picture = _Picture(recipe, width, view, clear, predicted, refused)
    unkept = ""

    async def collect() -> None:
        nonlocal unkept
        async for sample in samples:
            if buffer.add(sample) and kept is not None:
                try:
                    kept(sample)
                    unkept = ""
                except PanelmendError as error:  # a full disk must not end the watch
                    unkept = str(error)

    task = asyncio.create_task(collect())
    try:
        while go_on() and not task.done():
            out.write(picture.of(buffer, unkept, what="readings are not kept"))
            out.flush()
            await asyncio.sleep(period)
        if task.done():
            task.result()
    finally:
        task.cancel()
        with contextlib.suppress(asyncio.CancelledError):
            await task


class LogSoFar(Protocol):
    """A source of the log so far."""

    @property
    def notes(self) -> Sequence[str]:
        """What to say beside the picture, a sentence each."""

    def __len__(self) -> int: ...

    def log(self) -> CureLog:
        """The log of what came so far."""


class _Picture:
    """Draws one screen after another and tracks the age of the newest valid reading."""

    def __init__(
        self,
        recipe: CureRecipe,
        width: int,
        view: str,
        clear: bool,
        predicted: Predicted | None,
        refused: Callable[[], int] = lambda: 0,
    ) -> None:
        self.recipe, self.width, self.view = recipe, width, view
        self.top = "\x1b[H\x1b[J" if clear else ""
        self.predicted, self.refused = predicted, refused
        self.judged = 0
        self.last = time.monotonic()

    def of(self, source: LogSoFar, trouble: str = "", what: str = "nothing new can be read") -> str:
        """The current screen, under ``trouble``: the reason, and ``what`` follows from it."""
        turned = self.refused()
        more = f"{turned} messages refused: they were no readings\n" if turned else ""
        if trouble:
            told = textwrap.wrap(f"! STOP, NOW: {what}: {trouble}", self.width)
            return self.top + "\n".join(told) + "\n" + self._drawn(source, more)
        return self.top + self._drawn(source, more)

    def _drawn(self, source: LogSoFar, more: str) -> str:
        if len(source) < 2:
            age = time.monotonic() - self.last
            told = [x for n in source.notes for x in textwrap.wrap(f"- {n}", self.width)]
            return "\n".join([f"waiting for readings, {age:.0f} s so far", *told]) + f"\n{more}"
        log = source.log()
        now = look(self.recipe, log, predicted=self.predicted, view=self.view)
        if now.judged != self.judged:
            self.judged = now.judged
            self.last = time.monotonic()
        silent = time.monotonic() - self.last
        if silent > 1.0:
            now = look(self.recipe, log, silent=silent, predicted=self.predicted, view=self.view)
        return frame(now, log, width=self.width, view=self.view) + more


class Growing(LogSoFar, Protocol):
    """A source that is read repeatedly: a growing file."""

    def poll(self) -> int:
        """Read what was added since; how many samples came."""


def follow(
    source: Growing,
    recipe: CureRecipe,
    out: TextIO,
    *,
    period: float = 2.0,
    width: int = 78,
    view: str = "mm",
    clear: bool = True,
    go_on: Callable[[], bool] = lambda: True,
    predicted: Predicted | None = None,
) -> None:
    """Show a running cure until ``go_on`` returns False; silence is measured from the last valid reading.

    Args:
        source: where readings come from.
        recipe: what is to be done.
        out: the terminal.
        period: between looks [s].
        width, view: as for :func:`frame`.
        clear: move to the top of the screen before each picture.
        go_on: asked before each look.
        predicted: what a prediction says of the slowest thermocouple.
    """
    picture = _Picture(recipe, width, view, clear, predicted)
    trouble = ""
    while go_on():
        try:
            if source.poll():
                trouble = ""
        except PanelmendError as error:  # a watch that ends is silent: it stays and says what it cannot read
            trouble = str(error)
        out.write(picture.of(source, trouble))
        out.flush()
        time.sleep(period)
