"""The survey: taps, how likely damage is, the lines, the chosen cut-out and its alternatives."""

from __future__ import annotations

from panelmend.job.case import Case
from panelmend.job.survey.part import SurveyPart
from panelmend.job.work import Work
from panelmend.render.drawing import ACCENT, HAIR, Cross, Item, Shape, Text
from panelmend.render.strokes import Ink
from panelmend.render.views.sheet import Looking, View, make_view, seen
from panelmend.shapes import Outline, circle, rectangle
from panelmend.units import show

OUTER = Ink(0.4, "warn", (2.0, 1.0))
MIDDLE = Ink(0.3, "warn")
OTHER = Ink(0.2, "grey", (1.0, 1.0))
SHADES = ("faint", "more", "more")


def survey_view(case: Case, part: SurveyPart, work: Work | None, size: tuple[float, float]) -> View:
    """The survey as seen from the side that was read.

    Dots are dull readings, rings sound ones, crosses the places to tap next. Shading grows with the
    probability of damage (10, 50 and 90 %); the dashed line is the outer line, the full one the 50 % line.
    """
    look = Looking(part.side)
    items: list[Item] = []
    for (_, lines), fill in zip(part.shades, SHADES, strict=True):
        items += [Shape((look.outline(o),), None, fill) for o in lines]
    items += [Shape((look.outline(o),), MIDDLE) for o in part.middles]
    items += [Shape((look.outline(o),), OUTER) for o in part.outers]
    if work is not None:
        for c in work.cutout.candidates:
            if c.opening.outline != work.cutout.opening.outline:
                items.append(Shape((look.outline(c.opening.outline),), OTHER))
        items.append(Shape((look.outline(work.cutout.opening.outline),), ACCENT))
    assert case.survey is not None, "a survey was read"
    readings = case.survey.readings()
    dot = max(0.12 * float(part.spacing), 1e-4)
    for (x, y), dull in zip(readings.at, readings.dull, strict=True):
        at = look.point((float(x), float(y)))
        items.append(Shape((circle(at, dot),), HAIR, "ink" if dull else "paper"))
    single = part.together is None
    for i, tap in enumerate(part.next_taps, 1):
        at = look.point(tap.at)
        items.append(Cross(at, size=2.6 if single else 1.2, ink=ACCENT))
        if single:
            items.append(Text(at, str(i), size=2.2, colour="accent", shift=(1.8, 1.4)))
    sure = f"at {100 * float(part.confidence):.0f} %" if part.claimed else "without a per cent (S112)"
    asked = "numbers: tap next"
    if part.together is not None:
        to = show(part.together, "area", case.view)
        asked = f"small crosses: all {len(part.next_taps)} tapped and sound, the line narrows to {to}"
    words = (
        f"{seen(part.side)}; black dots damaged, rings sound; dashed: outer line {sure}, "
        f"red: 50 % line, blue: cut-out, grey: alternatives; {asked}"
    )
    return make_view("survey", "Survey", words, items, [_frame(case, part, look, work)], size, margin=10)


def _frame(case: Case, part: SurveyPart, look: Looking, work: Work | None) -> Outline:
    """Two spacings round the lines and the cut-out."""
    shown = [*part.outers] + ([work.cutout.opening.outline] if work else [])
    boxes = [look.outline(o).bounds for o in shown] or [look.outline(case.geometry.outline).bounds]
    grow = 2.0 * float(part.spacing)
    x0, y0 = min(b[0] for b in boxes) - grow, min(b[1] for b in boxes) - grow
    x1, y1 = max(b[2] for b in boxes) + grow, max(b[3] for b in boxes) + grow
    wide, high, centre = x1 - x0, y1 - y0, (0.5 * (x0 + x1), 0.5 * (y0 + y1))
    if wide >= high:
        return rectangle(centre, wide, high)
    return rectangle(centre, high, wide, 1.5707963267948966)
