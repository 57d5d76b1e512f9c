"""The survey: taps, how likely damage is, the lines, the chosen cut-out and its alternatives."""

from __future__ import annotations

from typing import TYPE_CHECKING

from panelmend.document.panel import Side
from panelmend.job.case import Case
from panelmend.job.work import Work
from panelmend.render.drawing import ACCENT, HAIR, Cross, DrawnShape, Item, Text
from panelmend.render.strokes import Ink
from panelmend.render.views.sheet import Looking, View, make_view, seen_from_words
from panelmend.shapes import Outline, circle, rectangle
from panelmend.units import show
from panelmend.units.fundamental import QUARTER_TURN

if TYPE_CHECKING:  # where it is worked with, it is read in late: most documents have no survey
    from panelmend.job.survey.part import SurveyPart, SurveyReadings

Moisture = tuple[tuple[tuple[float, float], bool | None], ...]
OUTER = Ink(0.4, "warn", (2.0, 1.0))
MIDDLE = Ink(0.3, "warn")
OTHER = Ink(0.2, "grey", (1.0, 1.0))
SHADES = ("faint", "more", "more")


def survey_view(case: Case, part: SurveyPart, work: Work | None, size: tuple[float, float]) -> View:
    """The survey as seen from the side that was read.

    Dots are dull readings, rings sound ones, crosses the places to tap next. Shading grows with the
    probability of damage (10, 50 and 90 %); the dashed line is the outer line, the full one the 50 % line.
    """
    from panelmend.job.survey.doubts import moisture_at

    look = Looking(part.side)
    items: list[Item] = []
    for (_, lines), fill in zip(part.shades, SHADES, strict=True):
        items += [DrawnShape((look.outline(o),), None, fill) for o in lines]
    items += [DrawnShape((look.outline(o),), MIDDLE) for o in part.middles]
    items += [DrawnShape((look.outline(o),), OUTER) for o in part.outers]
    if work is not None:
        for c in work.cutout.candidates:
            if c.opening.outline != work.cutout.opening.outline:
                items.append(DrawnShape((look.outline(c.opening.outline),), OTHER))
        items.append(DrawnShape((look.outline(work.cutout.opening.outline),), ACCENT))
    assert case.survey is not None, "a survey was read"
    dot = max(0.12 * float(part.spacing), 1e-4)
    items += _dots(case.survey, look, dot)
    wet = moisture_at(case, part.side)
    items += _squares(wet, look, dot)
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
        f"{seen_from_words(part.side)}; black dots damaged, rings sound; dashed: outer line {sure}, "
        f"red: 50 % line, blue: cut-out, grey: alternatives; {asked}{_moisture_words(wet)}"
    )
    return make_view("survey", "Survey", words, items, [_frame(case, part, look, work)], size, margin=10)


def far_survey_view(case: Case, work: Work | None, size: tuple[float, float]) -> View | None:
    """The readings of the side that is not worked from, seen from there; None where nothing was read.

    Its own outer line stands where the damage goes through; the cut-out of that skin is drawn too.
    """
    if case.document.survey is None and case.far_survey is None:
        return None
    from panelmend.job.survey.doubts import moisture_at
    from panelmend.job.survey.far import far_trace

    side: Side = "inside" if case.document.damage.side == "outside" else "outside"
    readings, wet = case.far_survey, moisture_at(case, side)
    rows = readings.rows if readings is not None else ()
    if not rows and not wet:
        return None
    look, items = Looking(side), list[Item]()
    traced = far_trace(case)
    outers = [a.outer for a in traced.areas] if traced is not None else []
    items += [DrawnShape((look.outline(o),), OUTER) for o in outers]
    cut = work.cutout.far if work is not None else None
    if cut is not None:
        items.append(DrawnShape((look.outline(cut),), ACCENT))
    at = [(x, y) for x, y, *_ in rows] + [p for p, _ in wet]
    dot = max(0.12 * (traced.spacing if traced is not None else 0.015), 1e-4)
    if readings is not None:
        items += _dots(readings, look, dot)
    items += _squares(wet, look, dot)
    boxes = [look.outline(o).bounds for o in [*outers, *([cut] if cut is not None else [])]]
    for p in at:
        x, y = look.point(p)
        boxes.append((x, y, x, y))
    words = f"{seen_from_words(side)}; black dots damaged, rings sound{_moisture_words(wet)}"
    if outers:
        words += "; dashed: outer line of this side"
    if cut is not None:
        words += "; blue: cut-out of this skin"
    return make_view(
        "far survey", "Survey of the other side", words, items, [_round(boxes, 5 * dot)], size, margin=10
    )


def _dots(readings: SurveyReadings, look: Looking, dot: float) -> list[Item]:
    r = readings.readings()
    return [
        DrawnShape((circle(look.point((float(x), float(y))), dot),), HAIR, "ink" if dull else "paper")
        for (x, y), dull in zip(r.at, r.dull, strict=True)
    ]


def _squares(wet: Moisture, look: Looking, dot: float) -> list[Item]:
    """Squares beside the dots: full where wet, empty where dry or not known."""
    return [
        DrawnShape((rectangle(look.point(p), 3.0 * dot, 3.0 * dot),), ACCENT, "accent" if is_wet else "")
        for p, is_wet in wet
    ]


def _moisture_words(wet: Moisture) -> str:
    if not wet:
        return ""
    if any(w is None for _, w in wet):
        return "; blue squares: moisture read, wet or dry not known"
    return "; blue squares: moisture, full wet, empty dry"


def _frame(case: Case, part: SurveyPart, look: Looking, work: Work | None) -> Outline:
    """Two spacings round the lines and the cut-out."""
    from panelmend.job.survey.doubts import moisture_at

    shown = [*part.outers] + ([work.cutout.opening.outline] if work else [])
    boxes = [look.outline(o).bounds for o in shown] or [look.outline(case.geometry.outline).bounds]
    boxes += [
        look.outline(circle(p, 1e-3)).bounds for p, wet in moisture_at(case, part.side) if wet is not False
    ]
    return _round(boxes, 2.0 * float(part.spacing))


def _round(boxes: list[tuple[float, float, float, float]], grow: float) -> Outline:
    x0, y0 = min(b[0] for b in boxes) - grow, min(b[1] for b in boxes) - grow
    x1, y1 = max(b[2] for b in boxes) + grow, max(b[3] for b in boxes) + grow
    wide, high, centre = x1 - x0, y1 - y0, (0.5 * (x0 + x1), 0.5 * (y0 + y1))
    if wide >= high:
        return rectangle(centre, wide, high)
    return rectangle(centre, high, wide, QUARTER_TURN)
