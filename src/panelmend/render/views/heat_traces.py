"""Temperatures of a predicted cure over time: the whole cycle, and its dwell enlarged."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from panelmend.job.cure.prediction import Prediction, Trace, TraceKind
from panelmend.job.cure.problem import HeatProblem
from panelmend.render.axes import Axes, clock, round_step
from panelmend.render.drawing import HAIR, THIN, Drawing, DrawnShape, Item, Run, Text
from panelmend.render.placing import halo, placed_apart
from panelmend.render.strokes import Flat, Ink, Label, Level, Loop, Stroke, bounds
from panelmend.render.views.heat_map import CEILING, limits_of, ribs_shown
from panelmend.render.views.sheet import View, bar
from panelmend.trade import trade_word
from panelmend.units import KINDS, show, to_unit, unit_for

CurveKind = TraceKind | Literal["set point"]
PENS: dict[CurveKind, Ink] = {  # in the order they are drawn
    "set point": Ink(0.3, "grey", (0.5, 0.6)),
    "structure": Ink(0.3, "grey", (3.0, 0.8, 0.7, 0.8)),
    "far skin": Ink(0.3, "ink", (0.7, 0.7)),
    "check": Ink(0.2, "ink", (1.2, 0.6)),
    "sensor": Ink(0.2, "ink"),
    "coldest": Ink(0.55, "accent", (2.4, 0.8)),
    "hottest": Ink(0.55, "warn"),
}
BOND = ("hottest", "coldest", "sensor")  # what the enlarged dwell is sized by
WARMS = 2.0  # [K] structure that rises by less is not warmed
_GAP = 2.9  # [mm] between names one under another


@dataclass(frozen=True)
class Curve:
    """A curve of the chart: its name, pen, times [s] and temperatures [K]."""

    name: str
    kind: CurveKind
    times: tuple[float, ...]
    kelvin: tuple[float, ...]

    @property
    def ink(self) -> Ink:
        """Its pen: one for each kind, told apart without colour."""
        return PENS[self.kind]

    def value(self, time: float) -> float:
        """Temperature at a time, straight between two steps [K]."""
        times, kelvin = self.times, self.kelvin
        if time <= times[0]:
            return kelvin[0]
        for i in range(1, len(times)):
            if time <= times[i]:
                share = (time - times[i - 1]) / (times[i] - times[i - 1])
                return kelvin[i - 1] + share * (kelvin[i] - kelvin[i - 1])
        return kelvin[-1]


def curves_of(prediction: Prediction, problem: HeatProblem) -> tuple[Curve, ...]:
    """Set point and traces, thin ones first so that hottest and coldest lie on top.

    Structure that stays as cold as it began and lies outside the maps is left out.
    """
    order = tuple(PENS)
    made = [Curve("set point", "set point", prediction.times, prediction.set_point)]
    made += [
        Curve(_name(t), t.kind, prediction.times, t.kelvin)
        for t in prediction.traces
        if not (t.kind == "structure" and _tells_nothing(t, problem))
    ]
    return tuple(sorted(made, key=lambda c: order.index(c.kind)))


def _tells_nothing(trace: Trace, problem: HeatProblem) -> bool:
    """Whether structure never warms and is not in the maps' window."""
    if max(trace.kelvin) - trace.kelvin[0] >= WARMS:
        return False
    shown = {r.id for r in ribs_shown(problem)}
    return trace.name not in shown


def _name(trace: Trace) -> str:
    return trace.kind if trace.kind in ("hottest", "coldest", "far skin") else trace.name


def whole_view(prediction: Prediction, problem: HeatProblem, view: str, width: float = 165.0) -> View:
    """The whole cycle, with the duty of the blanket under it.

    Args:
        prediction: what was predicted.
        problem: of what; gives band and ceiling.
        view: units, "mm" for C and "in" for F.
        width: on paper [mm].
    """
    curves = curves_of(prediction, problem)
    zoom = dwell_axes(prediction, problem, curves, view, width)
    named = [c for c in curves if c.kind in ("hottest", "coldest", "set point") or not _ends_in(c, zoom)]
    axes = whole_axes(prediction, problem, curves, view, width)
    flats = [*_whole(prediction, problem, curves, named, axes, view), *_duty(prediction, axes)]
    words = (
        "thin lines are the thermocouples, named in the next chart; band in tint, maximum temperature dashed"
    )
    return _view("whole", "The whole cycle", words, flats, width)


def dwell_view(prediction: Prediction, problem: HeatProblem, view: str, width: float = 165.0) -> View:
    """The dwell enlarged, every curve named at its end; arguments as of :func:`whole_view`."""
    curves = curves_of(prediction, problem)
    axes = dwell_axes(prediction, problem, curves, view, width)
    words = "what each reads at the end of the dwell stands at the right"
    return _view(
        "dwell", "The dwell, enlarged", words, _dwell(prediction, problem, curves, axes, view), width
    )


def _view(name: str, title: str, words: str, flats: list[Flat], width: float) -> View:
    x0, y0, x1, y1 = bounds(flats)
    window = (min(x0, -12.0), y0 - 1.0, max(x1, width - 12.0), y1 + 1.0)
    return View(f"traces {name}", title, words, tuple(flats), window)


def whole_axes(
    prediction: Prediction, problem: HeatProblem, curves: Sequence[Curve], view: str, width: float
) -> Axes:
    """Axes of the whole cycle."""
    values = [v for c in curves for v in c.kelvin] + [k for k, *_ in limits_of(problem)]
    bottom, top, unit = _range(min(values), max(values), view, 9)
    return Axes(0.0, prediction.duration, bottom, top, unit, (width - 14.0) * 1e-3, 50e-3)


def dwell_axes(
    prediction: Prediction, problem: HeatProblem, curves: Sequence[Curve], view: str, width: float
) -> Axes:
    """Axes of the dwell enlarged: from a little before its first place is in the band to its end."""
    start, end = dwell_span(prediction, problem)
    bond = [c for c in curves if c.kind in BOND]
    inside = [c.value(t) for c in bond for t in prediction.times if start <= t <= end]
    dwell = problem.dwell
    high = max([*inside, dwell.high if dwell.high is not None else dwell.target + 5.0]) + 2.0
    if problem.ceiling is not None and problem.ceiling < high + 8.0:
        high = max(high, problem.ceiling)
    settled = [c.value(end) for c in bond]
    low = min([dwell.low, *settled]) - 4.0
    bottom, top, unit = _range(low, high, view, 7)
    before = 0.12 * (end - start)
    return Axes(max(start - before, 0.0), end, bottom, top, unit, (width - 40.0) * 1e-3, 62e-3)


def dwell_span(prediction: Prediction, problem: HeatProblem) -> tuple[float, float]:
    """From set point, or the dwell's beginning, to its end [s]; the time at set point where none is."""
    dwell = problem.dwell
    held = [t for t, s in zip(prediction.times, prediction.set_point, strict=True) if s >= dwell.target - 0.5]
    start = held[0] if held else prediction.times[0]
    end = held[-1] if held else prediction.times[-1]
    start = min(start, prediction.dwell_from) if prediction.dwell_from is not None else start
    end = prediction.dwell_to if prediction.dwell_to is not None else end
    return start, max(end, start + 60.0)


def _range(low: float, high: float, view: str, steps: int) -> tuple[float, float, str]:
    """Round ends in the reader's unit that hold two temperatures [K]."""
    unit = unit_for("temperature", view)
    a, b = (to_unit(v, "temperature", unit) for v in (low, high))
    step = round_step((b - a) / steps)
    return step * math.floor(a / step + 1e-9), step * math.ceil(b / step - 1e-9), unit


def _line_step(axes: Axes, steps: int) -> float:
    return round_step((axes.top - axes.bottom) / steps - 1e-9)


def _whole(
    prediction: Prediction,
    problem: HeatProblem,
    curves: Sequence[Curve],
    named: Sequence[Curve],
    axes: Axes,
    view: str,
) -> list[Flat]:
    items = [*_band(prediction, problem, axes), *axes.lines(_line_step(axes, 9))]
    items += _limits(problem, axes, view, 0.02, ("ceiling",))
    items += [
        Run(tuple(axes.at(t, k) for t, k in zip(c.times, c.kelvin, strict=True)), c.ink) for c in curves
    ]
    flats = list(Drawing(tuple(items), 1.0).flat())
    start, end = dwell_span(prediction, problem)
    for i, c in enumerate(named):
        # The set point is named on its ramp, the others one after another along the dwell.
        time = 0.45 * start if c.kind == "set point" else start + (end - start) * (i + 0.5) / len(named)
        x, y = axes.at(time, c.value(time))
        lift = {"hottest": -1.7, "coldest": 1.7, "set point": -1.0}.get(c.kind, 0.0)
        label = Label(1e3 * x, -1e3 * y + lift, c.name, 2.3, "middle", "middle", 0.0, _colour(c))
        if c.kind == "set point":  # left of its ramp, or right of it where the ramp is too near the axis
            room = 1e3 * x - 1.5 - label.width() > 0.5
            label = replace(
                label, x=1e3 * x - 1.5 if room else 1e3 * x + 4.0, anchor="right" if room else "left"
            )
        flats += [halo(label, 0.2), label]
    return flats


def _dwell(
    prediction: Prediction, problem: HeatProblem, curves: Sequence[Curve], axes: Axes, view: str
) -> list[Flat]:
    items = [
        *_band(prediction, problem, axes),
        *axes.lines(_line_step(axes, 7)),
        *_limits(problem, axes, view, 0.55),
    ]
    x0, y0 = axes.base
    top = y0 + axes.height
    for c in curves:
        items += [Run(piece, c.ink) for piece in clipped(c, axes) if len(piece) > 1]
    arrives = prediction.coldest_arrives
    if arrives is not None and axes.start <= arrives <= axes.end:
        x = axes.x(arrives)
        items.append(Run(((x, y0), (x, top)), Ink(0.2, "accent", (0.4, 0.6))))
    flats = list(Drawing(tuple(items), 1.0).flat())
    if arrives is not None and axes.start <= arrives <= axes.end:
        words = f"coldest place enters the band: {clock(arrives)}"
        label = Label(
            1e3 * axes.x(arrives) + 1.2, -1e3 * y0 - 2.6, words, 2.3, "left", "middle", 0.0, "accent"
        )
        flats += [halo(label, 0.2), label]
    beside = [c for c in curves if _ends_in(c, axes)]
    ends = [-1e3 * axes.at(axes.end, c.value(axes.end))[1] for c in beside]
    places = placed_apart(ends, _GAP, -1e3 * top + 1.0, -1e3 * y0 - 1.0)
    right = 1e3 * (x0 + axes.width)
    for c, y, at in zip(beside, ends, places, strict=True):
        rows = ((right, y, 0.0), (right + 1.0, y, 0.0), (right + 4.0, at, 0.0), (right + 5.0, at, 0.0))
        flats.append(Stroke((Loop(rows, closed=False),), Ink(0.13, "grey")))
        words = f"{c.name}  {show(c.value(axes.end), 'temperature', view)}"
        bold = c.kind in ("hottest", "coldest")
        flats.append(Label(right + 5.6, at, words, 2.3, "left", "middle", 0.0, _colour(c), bold))
    return flats


def _ends_in(curve: Curve, axes: Axes) -> bool:
    """Whether a curve is inside the enlarged chart at its right edge."""
    return _axis_end_kelvin(axes, 0) <= curve.value(axes.end) <= _axis_end_kelvin(axes, 1)


def _axis_end_kelvin(axes: Axes, end: int) -> float:
    scale, offset = KINDS["temperature"].units[axes.unit]
    return (axes.top if end else axes.bottom) * scale + offset


def clipped(curve: Curve, axes: Axes) -> list[tuple[tuple[float, float], ...]]:
    """A curve on paper as far as it lies in the frame: in pieces where it leaves it."""
    low, high = _axis_end_kelvin(axes, 0), _axis_end_kelvin(axes, 1)
    pieces: list[list[tuple[float, float]]] = [[]]
    pairs = itertools.pairwise(zip(curve.times, curve.kelvin, strict=True))
    for (t0, k0), (t1, k1) in pairs:
        a, b = 0.0, 1.0
        for start, run, least, most in ((t0, t1 - t0, axes.start, axes.end), (k0, k1 - k0, low, high)):
            if run == 0.0:
                if not least <= start <= most:
                    a, b = 1.0, 0.0
                continue
            ends = sorted(((least - start) / run, (most - start) / run))
            a, b = max(a, ends[0]), min(b, ends[1])
        if a >= b:
            continue
        first, last = (axes.at(t0 + s * (t1 - t0), k0 + s * (k1 - k0)) for s in (a, b))
        if not pieces[-1] or math.dist(pieces[-1][-1], first) > 1e-9:
            pieces.append([first])
        pieces[-1].append(last)
    return [tuple(p) for p in pieces if p]


def _band(prediction: Prediction, problem: HeatProblem, axes: Axes) -> list[Item]:
    """The band over the dwell, in tint."""
    dwell = problem.dwell
    start = prediction.dwell_from if prediction.dwell_from is not None else dwell_span(prediction, problem)[0]
    end = dwell_span(prediction, problem)[1]
    if dwell.high is None:
        return []
    (x0, y0), (x1, y1) = axes.at(max(start, axes.start), dwell.low), axes.at(min(end, axes.end), dwell.high)
    return [DrawnShape((bar(x0, y0, x1, y1),), None, "tint")] if x1 > x0 and y1 > y0 else []


def _limits(
    problem: HeatProblem,
    axes: Axes,
    view: str,
    share: float,
    names: tuple[str, ...] = ("band from", "band to", "ceiling"),
) -> Iterator[Item]:
    """Band and ceiling as lines, with their names above or below them at a share of the width."""
    for kelvin, name, ink in limits_of(problem):
        if name not in names:
            continue
        y = axes.at(axes.start, kelvin)[1]
        if not axes.base[1] <= y <= axes.base[1] + axes.height + 1e-9:
            continue
        x0, x1 = axes.base[0], axes.base[0] + axes.width
        yield Run(((x0, y), (x1, y)), CEILING if name == "ceiling" else Ink(0.2, "ink"))
        words = f"{trade_word(name)} {show(kelvin, 'temperature', view)}"
        at = (x0 + share * (x1 - x0), y)
        under = name == "band from"
        level: Level = "top" if under else "base"
        off = -0.8 if under else 0.8
        yield Text(at, words, size=2.1, anchor="left", level=level, shift=(0, off), colour=ink.colour)


def _duty(prediction: Prediction, axes: Axes) -> list[Flat]:
    """The duty of the blanket as blocks over their times: greatest in the ramp, mean in the dwell."""
    base, high = -15.0e-3, 7.0e-3
    start = prediction.dwell_from if prediction.dwell_from is not None else prediction.duration
    spans = [(0.0, start, prediction.duty[0], "duty at most")]
    if prediction.dwell_from is not None and prediction.dwell_to is not None:
        spans.append((prediction.dwell_from, prediction.dwell_to, prediction.duty[1], "duty on average"))
    items: list[Item] = [
        Run(((0.0, base), (axes.width, base)), THIN),
        Run(((0.0, base + high), (axes.width, base + high)), HAIR),
    ]
    items += [
        Text((-1.2e-3, base + share * high), f"{100 * share:.0f} %", size=2.1, anchor="right", colour="grey")
        for share in (0.0, 1.0)
    ]
    for t0, t1, duty, words in spans:
        x0, x1 = axes.x(t0), axes.x(t1)
        if duty > 0.0:
            items.append(DrawnShape((bar(x0, base, x1, base + high * min(duty, 1.0)),), THIN, "light"))
        share, middle = f"{words} {100 * duty:.0f} %", 0.5 * (x0 + x1)
        items.append(Text((middle, base), share, size=2.1, level="top", shift=(0, -0.9)))
    return list(Drawing(tuple(items), 1.0).flat())


def _colour(curve: Curve) -> str:
    return "ink" if curve.ink.colour in ("grey", "light") else curve.ink.colour
