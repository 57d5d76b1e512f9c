"""The cure recipe drawn over time, with its dwell bands."""

from __future__ import annotations

from panelmend.document.approved import Cure, Segment
from panelmend.job.case import Case
from panelmend.render.drawing import ACCENT, HAIR, THIN, DrawnShape, Item, Run, Text
from panelmend.render.strokes import Ink
from panelmend.render.views.sheet import View, bar, free_view
from panelmend.units import show

START = 293.15  # K, where the drawing begins when the bay's temperature is not known
USUAL_RATE = 2.0 / 60.0  # K/s, for drawing only


def recipe_view(case: Case, cure: Cure, width: float, height: float = 46.0) -> View:
    """Set temperature over time; times of ramps follow the set rate, or the greatest one."""
    at = case.document.bay.air_temperature or START
    clock, rows = 0.0, [(0.0, at)]
    bands: list[tuple[float, float, Segment]] = []
    for s in cure.segment:
        if s.kind == "dwell":
            rows.append((clock, s.to))
            end = clock + (s.least or 0.0)
            bands.append((clock, end, s))
            clock = end
        else:
            clock += abs(s.to - rows[-1][1]) / (s.rate or s.rate_most or USUAL_RATE)
        rows.append((clock, s.to))
    top = max([cure.ceiling or 0.0, *(max(s.to, s.high or 0.0) for s in cure.segment)])
    low = min(t for _, t in rows)
    kx = (width - 24.0) * 1e-3 / clock
    ky = (height - 12.0) * 1e-3 / (top - low)

    def p(time: float, kelvin: float) -> tuple[float, float]:
        return (time * kx, (kelvin - low) * ky)

    items: list[Item] = []
    for start, end, s in bands:
        if s.low is not None and s.high is not None:
            (x0, y0), (x1, y1) = p(start, s.low), p(end, s.high)
            items.append(DrawnShape((bar(x0, y0, x1, y1),), None, "tint"))
        held = f"{show(s.to, 'temperature', case.view)}, {show(s.least or 0.0, 'time', case.view)}"
        middle = p(0.5 * (start + end), s.to)
        items.append(Text(middle, held, size=2.6, bold=True, level="base", shift=(0, 1.0)))
    items.append(Run((p(0.0, low), p(clock, low)), THIN))
    items.append(Run((p(0.0, low), p(0.0, top)), THIN))
    if cure.ceiling is not None:
        last = p(clock, cure.ceiling)
        items.append(Run((p(0.0, cure.ceiling), last), Ink(0.25, "warn", (1.6, 1.0))))
        words = f"maximum temperature {show(cure.ceiling, 'temperature', case.view)}"
        items.append(Text(last, words, 2.3, "right", "base", colour="warn", shift=(0, 0.8)))
    items.append(Run(tuple(p(t, k) for t, k in rows), ACCENT))
    for hour in range(int(clock // 3600) + 1):
        x, y = p(3600.0 * hour, low)
        items.append(Run(((x, y), (x, y - 1.0e-3)), HAIR))
        items.append(Text((x, y), f"{hour} h", size=2.2, colour="grey", level="top", shift=(0, -1.6)))
    begun = show(at, "temperature", case.view, decimals=0)
    items.append(Text(p(0.0, at), begun, size=2.3, colour="grey", anchor="right", shift=(-1.2, 0)))
    return free_view(
        f"cure {cure.name}",
        f"Cure cycle: {cure.name}",
        f"{cure.place}; ramps at their set or greatest rate",
        items,
    )
