"""The chart of a running cure as SVG: bands, readings, gaps as gaps, the predicted course.

Nothing is smoothed: where there are more readings than dots, the least and the most of each piece are drawn.
A line ends where nothing was read. Pens are classes of ``static/cure.css``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from html import escape

import numpy as np

from panelmend.app.cure_watch import Looked
from panelmend.plan.judge import ChannelRole, CureRecipe, Predicted, SegmentKind
from panelmend.plan.judge.faults_clock import gap_step
from panelmend.plan.judge.log import FloatArray
from panelmend.screen.words import say
from panelmend.units import KINDS

WIDE, HIGH = 780.0, 380.0  # of the picture
LEFT, RIGHT, TOP, BOTTOM = 70.0, 92.0, 14.0, 40.0
VACUUM = 78.0  # height of the strip with the vacuum
DOTS = 400  # readings drawn to a line before least and most of pieces stand for them
UNITS = {"mm": ("C", "inHg"), "in": ("F", "inHg")}  # a vacuum as gauges and the report show it
LEAST, MOST = 200.0, 700.0  # [K]: outside is no temperature of a bond and is not drawn


@dataclass(frozen=True)
class ChartFrame:
    """Where times [s] and values lie on the picture: ``t0`` to ``t1`` across, ``low`` to ``high`` upwards."""

    t0: float
    t1: float
    low: float
    high: float
    top: float
    bottom: float

    def x(self, t: float) -> float:
        """Across."""
        return LEFT + (t - self.t0) / (self.t1 - self.t0) * (WIDE - LEFT - RIGHT)

    def y(self, v: float) -> float:
        """Downwards; held at the edges."""
        share = (min(max(v, self.low), self.high) - self.low) / (self.high - self.low)
        return self.bottom - share * (self.bottom - self.top)


def chart(
    looked: Looked, recipe: CureRecipe, predicted: Predicted | None, view: str, span: float | None
) -> str:
    """The chart of what was seen.

    Args:
        looked: what was seen last, with its evidence.
        recipe: bands and limits.
        predicted: what a thermal model expects of the slowest.
        view: "mm" or "in".
        span: the last so many seconds [s]; None for the whole cure.

    Returns:
        An SVG element.
    """
    e = looked.evidence
    assert e is not None
    times = e.times
    end, start = float(np.max(times)), float(np.min(times))
    now = end + max(0.0, looked.silent) if looked.silent > gap_step(e.log) else end
    t0 = start if span is None else max(start, now - span)
    ahead = _ahead(looked, predicted) if span is None else 0.04 * span
    t1 = max(now + ahead, t0 + 600.0)
    hot, press = UNITS[view]
    temps = ChartFrame(t0, t1, *_range(looked, recipe, (t0, t1)), TOP, HIGH - BOTTOM - VACUUM - 12)
    parts = [*_bands(temps, looked, recipe, hot)]
    if predicted is not None and span is None:
        parts += _course(temps, looked, predicted)
    gaps = gaps_of(looked)
    names = []
    for i, c in enumerate(e.log.of_role(ChannelRole.THERMOCOUPLE)):
        values = np.where((c.values > LEAST) & (c.values < MOST), c.values, np.nan)
        cls = f"line line-{i % 4}"
        parts += _lines(temps, times, values, e.gap, cls)
        last = _last(times, values)
        if last is not None and last[0] >= t0:
            names.append((temps.y(last[1]), temps.x(last[0]), c.name, i % 4, end - last[0] > gap_step(e.log)))
    parts += _names(names, temps)
    points = e.log.of_role(ChannelRole.SET_POINT)
    if points:
        parts += _lines(temps, times, points[0].values, e.gap, "line set-point")
    strip = _vacuum(looked, recipe, (t0, t1), press)
    parts += strip
    which = "all" if span is None else "last"
    parts += _hatches(temps, gaps, now, end, which)
    parts += _axis(temps, looked, hot)
    label = say("cure.chart_all") if span is None else say("cure.chart_last", minutes=round(span / 60))
    return (
        f'<svg class="plot" viewBox="0 0 {WIDE:g} {HIGH:g}" role="img" aria-label="{escape(label)}">'
        f'<defs><pattern id="hatch-{which}" width="8" height="8" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><path d="M0 0V8" class="hatch"/></pattern></defs>'
        + "".join(parts)
        + "</svg>"
    )


def gaps_of(looked: Looked) -> tuple[tuple[float, float], ...]:
    """Where nothing was read: from and to [s]."""
    e = looked.evidence
    assert e is not None
    step = gap_step(e.log)
    at = np.flatnonzero(np.diff(e.times) > step)
    return tuple((float(e.times[i]), float(e.times[i + 1])) for i in at)


def _ahead(looked: Looked, predicted: Predicted | None) -> float:
    """How far the chart goes past now [s]: what is still expected, an hour at most without a prediction."""
    e = looked.evidence
    assert e is not None
    if predicted is not None and looked.heat + predicted.times[-1] > e.times[-1]:
        return looked.heat + predicted.times[-1] - float(e.times[-1])
    left = looked.now.left if looked.now is not None else float("nan")
    return min(left, 3600.0) if np.isfinite(left) else 600.0


def _range(looked: Looked, recipe: CureRecipe, span: tuple[float, float]) -> tuple[float, float]:
    """The least and the most that the picture shows [K]: every reading in its span, and the limits."""
    e = looked.evidence
    assert e is not None
    inside = (e.times >= span[0]) & (e.times <= span[1])
    seen = [
        v
        for c in e.log.of_role(ChannelRole.THERMOCOUPLE)
        for v in c.values[inside & (c.values > LEAST) & (c.values < MOST)]
    ]
    limits = [x.value for s in recipe.segments for x in (s.band_low, s.band_high, s.ceiling) if x is not None]
    limits += [recipe.ceiling.value] if recipe.ceiling is not None else []
    every = [*seen, *limits] or [293.0, 400.0]
    room = 0.04 * (max(every) - min(every)) + 1.0
    return min(every) - room, max(every) + room


def _bands(f: ChartFrame, looked: Looked, recipe: CureRecipe, hot: str) -> Iterator[str]:
    """Each dwell's band where it lies: a dwell that was not found yet from now on."""
    e = looked.evidence
    assert e is not None
    now = float(e.times[-1])
    for i, s in enumerate(looked.stretches):
        low, high = s.segment.band_low, s.segment.band_high
        if s.segment.kind is not SegmentKind.DWELL or low is None:
            continue
        after = [x.start for x in looked.stretches[i + 1 :] if x.found and x.start < now]
        begin = s.start if s.found else now
        stop = after[0] if after and s.found else f.t1
        if not s.found and any(
            not x.found for x in looked.stretches[:i] if x.segment.kind is SegmentKind.DWELL
        ):
            continue  # the one after the next: its place is not known
        x0, x1 = f.x(max(begin, f.t0)), f.x(min(stop, f.t1))
        if x1 <= x0:
            continue
        top = f.y(high.value) if high is not None else f.top
        size = f'width="{x1 - x0:.1f}" height="{f.y(low.value) - top:.1f}"'
        yield f'<rect class="band" x="{x0:.1f}" y="{top:.1f}" {size}/>'
        for limit in (low, high):
            if limit is not None:
                yield f'<path class="limit" d="M{x0:.1f} {f.y(limit.value):.1f}H{x1:.1f}"/>'
                if x0 < WIDE - RIGHT - 60:
                    yield _text(
                        f.x(f.t1) + 6, f.y(limit.value) + 6, _shown(limit.value, "temperature", hot), "b bl"
                    )
    if recipe.ceiling is not None and f.low < recipe.ceiling.value < f.high:
        y = f.y(recipe.ceiling.value)
        yield f'<path class="most" d="M{LEFT} {y:.1f}H{WIDE - RIGHT}"/>'
        yield _text(
            LEFT + 6, y - 5, say("cure.most", value=_shown(recipe.ceiling.value, "temperature", hot)), "rd"
        )


def _course(f: ChartFrame, looked: Looked, p: Predicted) -> Iterator[str]:
    """What a thermal model expects of the slowest, from where the heat began."""
    points = [
        (f.x(looked.heat + t), f.y(v))
        for t, v in zip(p.times, p.temps, strict=True)
        if t >= 0.0 and f.t0 <= looked.heat + t <= f.t1
    ]
    if len(points) > 1:
        yield f'<path class="course" d="M{"L".join(f"{x:.1f} {y:.1f}" for x, y in points)}"/>'


def _lines(f: ChartFrame, times: FloatArray, values: FloatArray, gap: float, cls: str) -> Iterator[str]:
    """A line in pieces: it ends where nothing was read, and at a gap."""
    inside = (times >= f.t0) & (times <= f.t1)
    t, v = times[inside], values[inside]
    if not t.size:
        return
    good = np.isfinite(v)
    cut = np.flatnonzero((np.diff(t) > gap) | (np.diff(t) < 0) | ~good[1:] | ~good[:-1]) + 1
    for piece_t, piece_v in zip(np.split(t, cut), np.split(v, cut), strict=True):
        known = np.isfinite(piece_v)
        a, b = _thinned(piece_t[known], piece_v[known], f.t1 - f.t0)
        if a.size == 1:
            yield f'<circle class="dot {cls}" cx="{f.x(a[0]):.1f}" cy="{f.y(b[0]):.1f}" r="1.6"/>'
        elif a.size:
            path = "L".join(f"{f.x(x):.1f} {f.y(y):.1f}" for x, y in zip(a, b, strict=True))
            yield f'<path class="{cls}" d="M{path}"/>'


def _thinned(t: FloatArray, v: FloatArray, span: float) -> tuple[FloatArray, FloatArray]:
    """Least and most of each piece of time where there are more readings than dots; every extreme stays."""
    if t.size <= DOTS:
        return t, v
    bins = np.floor((t - t[0]) / (span / (DOTS / 2))).astype(np.int64)
    keep: set[int] = {0, t.size - 1}
    for edge in np.split(np.arange(t.size), np.flatnonzero(np.diff(bins)) + 1):
        keep |= {int(edge[np.argmin(v[edge])]), int(edge[np.argmax(v[edge])])}
    at = np.array(sorted(keep))
    return t[at], v[at]


def _last(times: FloatArray, values: FloatArray) -> tuple[float, float] | None:
    good = np.flatnonzero(np.isfinite(values))
    return (float(times[good[-1]]), float(values[good[-1]])) if good.size else None


def _names(names: list[tuple[float, float, str, int, bool]], f: ChartFrame) -> Iterator[str]:
    """Names at the ends of the lines, never over each other; a stale one ends in a ring."""
    at = f.top - 20.0
    for y, x, name, pen, stale in sorted(names):
        at = max(y + 5.0, at + 19.0)
        mark = "ring" if stale else "end"
        yield f'<circle class="{mark} line-{pen}" cx="{x:.1f}" cy="{y:.1f}" r="{5.5 if stale else 4}"/>'
        word = f"{name} {say('cure.stale')}" if stale else name
        left = x > WIDE - RIGHT - 130 and stale
        yield _text(x - 9 if left else x + 9, at, word, f"b name-{pen}", "end" if left else "start")


def _vacuum(looked: Looked, recipe: CureRecipe, span: tuple[float, float], press: str) -> Iterator[str]:
    e = looked.evidence
    assert e is not None
    if not np.isfinite(e.vacuum).any():
        yield _text(LEFT, HIGH - BOTTOM - 30, say("cure.no_vacuum"), "q")
        return
    inside = (e.times >= span[0]) & (e.times <= span[1])
    seen = e.vacuum[inside & np.isfinite(e.vacuum)]
    least = recipe.vacuum.least.value if recipe.vacuum is not None else None
    every = [*seen.tolist(), *([least] if least is not None else [])] or [0.0, 80e3]
    room = 0.12 * (max(every) - min(every)) + 1500.0
    f = ChartFrame(*span, min(every) - room, max(every) + room, HIGH - BOTTOM - VACUUM, HIGH - BOTTOM)
    yield f'<path class="part" d="M{LEFT} {f.top - 6:.1f}H{WIDE - RIGHT}"/>'
    if least is not None:
        yield f'<path class="most" d="M{LEFT} {f.y(least):.1f}H{WIDE - RIGHT}"/>'
        yield _text(LEFT - 8, f.y(least) + 5, _shown(least, "pressure", press, bare=True), "rd", "end")
    yield from _lines(f, e.times, e.vacuum, e.gap, "line line-0")
    yield _text(LEFT + 6, f.top + 14, say("cure.vacuum_axis", unit=press), "q")


def _hatches(
    f: ChartFrame, gaps: tuple[tuple[float, float], ...], now: float, end: float, which: str
) -> Iterator[str]:
    """Gaps as hatched paper, the bands under them broken; silence since the last reading too."""
    for a, b in (*gaps, *(((end, now),) if now > end else ())):
        x0, x1 = f.x(max(a, f.t0)), f.x(min(b, f.t1))
        if x1 - x0 < 0.5:
            continue
        box = f'x="{x0:.1f}" y="{TOP}" width="{x1 - x0:.1f}" height="{HIGH - BOTTOM - TOP}"'
        yield f'<rect class="gap-paper" {box}/><rect class="gap" fill="url(#hatch-{which})" {box}/>'
    yield f'<path class="now" d="M{f.x(now):.1f} {TOP}V{HIGH - BOTTOM}"/>'


def _axis(f: ChartFrame, looked: Looked, hot: str) -> Iterator[str]:
    e = looked.evidence
    assert e is not None
    yield f'<path class="axis" d="M{LEFT} {HIGH - BOTTOM}H{WIDE - RIGHT}"/>'
    marks = list(_round(f, hot))
    for value in marks:
        word = _shown(value, "temperature", hot, bare=value != marks[-1])  # the unit once, at the top
        yield f'<path class="tick" d="M{LEFT} {f.y(value):.1f}h-5"/>'
        yield _text(LEFT - 8, f.y(value) + 5, word, "q", "end")
    step = next(s for s in (300, 600, 900, 1800, 3600, 7200, 14400, 86400) if (f.t1 - f.t0) / s <= 7)
    began = _began(e.log.started)
    first = f.t0 if began is None else f.t0 + (-(began + timedelta(seconds=f.t0)).timestamp()) % step
    t = first
    while t <= f.t1:
        yield f'<path class="tick" d="M{f.x(t):.1f} {HIGH - BOTTOM}v6"/>'
        word = (began + timedelta(seconds=t)).strftime("%H:%M") if began is not None else f"{t / 60:.0f} min"
        yield _text(f.x(t), HIGH - BOTTOM + 24, word, "q", "middle")
        t += step


KINDS_WORD = {"C": "°C", "F": "°F"}


def _began(started: str) -> datetime | None:
    try:
        return datetime.fromisoformat(started) if started and not started.startswith("T") else None
    except ValueError:
        return None


def _round(f: ChartFrame, hot: str) -> Iterator[float]:
    """Round temperatures on the axis [K]."""
    scale, offset = KINDS["temperature"].units[hot]
    low, high = (f.low - offset) / scale, (f.high - offset) / scale
    step = next(s for s in (5, 10, 20, 50, 100, 200) if (high - low) / s <= 7)
    value = np.ceil(low / step) * step
    while value <= high:
        yield float(value * scale + offset)
        value += step


def _shown(value: float, kind: str, unit: str, *, bare: bool = False) -> str:
    scale, offset = KINDS[kind].units[unit]
    number = f"{(value - offset) / scale:.1f}".removesuffix(".0")
    return number if bare else f"{number} {KINDS_WORD.get(unit, unit)}"


def _text(x: float, y: float, words: str, cls: str, anchor: str = "start") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" class="{cls}" text-anchor="{anchor}">{escape(words)}</text>'
