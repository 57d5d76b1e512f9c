"""Temperatures of a layer in plan, over what they are caused by: blanket, patch, ribs, panel edge."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelmend.job.case import Case
from panelmend.job.cure.prediction import Extreme, HeatMap, PlannedSensor
from panelmend.job.cure.problem import HeatProblem, Rib
from panelmend.render.axes import clock
from panelmend.render.drawing import Drawing, DrawnShape, Item, Rings, Run, scale_words
from panelmend.render.heat_colours import COLDER, HeatScale
from panelmend.render.heat_field import Field, drawn_field
from panelmend.render.placing import Placer, halo
from panelmend.render.strokes import Box, Flat, Ink, Label, Loop, Stroke
from panelmend.render.views.sheet import Looking, View, bar, compass, paper_round, seen_from_words
from panelmend.shapes import Outline, Point
from panelmend.units import show
from panelmend.units.fundamental import QUARTER_TURN

REPAIR_SIDE, FAR_SKIN = (
    "repair side",
    "far skin",
)  # layers of maps; any other lies at the bottom of the opening
BELOW, RIGHT = 7.0, 19.0  # [mm] room for the 0-degree arrow, and for the scale
SAME = 0.6  # [K] a map keeps its values to a tenth, and its cells meet the extreme no better
CASING = 0.35  # [mm] paper white on each side of a line, so that it is seen on dark colours too
PATCH, CUTOUT = Ink(0.5, "ink"), Ink(0.3, "ink", (0.5, 0.7))
HEATED, RIB = Ink(0.35, "accent", (3.0, 0.9, 0.6, 0.9)), Ink(0.25, "ink", (1.6, 1.0))
LOW, HIGH, CEILING = Ink(0.3, "ink"), Ink(0.3, "ink", (1.2, 0.7)), Ink(0.35, "warn", (2.2, 0.8))
LEGEND = (
    "Full line patch, dotted cut-out, chain line heated area of the blanket{ribs}. Lines with a temperature "
    "on them: lower and upper end of the band, and the maximum temperature. ▲ hottest and ▽ coldest place "
    "under the patch in this map, circles thermocouples. Under the patch the repair side is the bond line, "
    "round it the skin. White is colder than the scale."
)
NOT_MAPPED = "Paste round the plug is in no map: the bond line over it gets hotter than any place shown."


@dataclass(frozen=True)
class MapsShown:
    """What all maps of one operation share; bond line and far skin have a colour scale each."""

    case: Case
    problem: HeatProblem
    cutout: Outline
    sensors: tuple[PlannedSensor, ...]
    extremes: tuple[Extreme, ...]


def heat_map(shown: MapsShown, m: HeatMap, scale: HeatScale, size: tuple[float, float]) -> View:
    """One map, as seen from the side the work is done from; ``size`` with its scale and words [mm]."""
    problem, look = shown.problem, Looking(shown.problem.side)
    field = drawn_field(m, problem.frame)
    x0, y0, x1, y1 = map_frame(problem, look)
    on_paper = map_scale(x1 - x0, y1 - y0, size)
    k = 1e3 * on_paper
    frame = (k * x0, -k * y1, k * x1, -k * y0)
    flats = list(Drawing(tuple(_under(shown, field, scale, look, (x0, y0, x1, y1))), on_paper).flat())
    mask, edge = paper_round(frame)
    flats += [mask, Stroke((edge,), Ink(0.13, "grey"))]
    window = (frame[0] - 1.0, frame[1] - 1.0, frame[2] + RIGHT, frame[3] + BELOW)
    flats += Drawing(tuple(compass(((frame[0] + 9.0) / k, -(frame[3] + 4.5) / k))), on_paper).flat()
    flats += scale_bar(
        scale, problem, shown.case.view, frame[2] + 2.5, frame[1] + 3.0, frame[3] - frame[1] - 4.0
    )
    flats += _marks(shown, field, m, look, k, frame)
    through = "" if m.layer == REPAIR_SIDE else ", through the panel"
    words = (
        f"{m.title}, {clock(m.time)}; {seen_from_words(problem.side)}{through}, scale {scale_words(on_paper)}"
    )
    title = m.layer[:1].upper() + m.layer[1:]
    return View(f"heat {problem.operation} {m.layer}", title, words, tuple(flats), window)


def map_scale(wide: float, high: float, size: tuple[float, float]) -> float:
    """The largest scale one to a whole number at which a map of wide by high [m] fits ``size`` [mm]."""
    least = max(1e3 * wide / (size[0] - RIGHT - 2.0), 1e3 * high / (size[1] - BELOW - 2.0))
    return 1.0 / math.ceil(least - 1e-9)


def map_frame(problem: HeatProblem, look: Looking) -> Box:
    """What the maps show [m], as seen: heated area and patch with a little round them, on the panel."""
    boxes = [look.outline(o).bounds for o in (problem.source.heated, problem.bond, problem.sensor_line)]
    panel = look.outline(problem.panel).bounds
    x0, y0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
    x1, y1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
    more = 0.12 * max(x1 - x0, y1 - y0)
    edge = 0.02 * max(x1 - x0, y1 - y0)
    return (
        max(x0 - more, panel[0] - edge),
        max(y0 - more, panel[1] - edge),
        min(x1 + more, panel[2] + edge),
        min(y1 + more, panel[3] + edge),
    )


def ribs_shown(problem: HeatProblem) -> tuple[Rib, ...]:
    """The ribs and the like that lie in what the maps show."""
    look = Looking(problem.side)
    x0, y0, x1, y1 = map_frame(problem, look)
    boxes = [(rib, look.outline(rib.outline).bounds) for rib in problem.ribs]
    return tuple(r for r, b in boxes if b[0] < x1 and b[2] > x0 and b[1] < y1 and b[3] > y0)


def legend(problem: HeatProblem) -> str:
    """What the lines and marks of the maps mean."""
    said = LEGEND.format(ribs=", dashed ribs" if ribs_shown(problem) else "")
    return f"{said} {NOT_MAPPED}" if problem.splice is not None else said


def limits_of(problem: HeatProblem) -> tuple[tuple[float, str, Ink], ...]:
    """The temperatures of a recipe that a map or chart shows [K], with their names and pens."""
    dwell = problem.dwell
    found = [(dwell.low, "band from", LOW)]
    found += [(dwell.high, "band to", HIGH)] if dwell.high is not None else []
    found += [(problem.ceiling, "ceiling", CEILING)] if problem.ceiling is not None else []
    return tuple(found)


def scale_bar(
    scale: HeatScale, problem: HeatProblem, view: str, x: float, y: float, height: float
) -> list[Flat]:
    """The colours with their temperatures, hot at the top, and where the recipe's limits lie on them [mm]."""
    steps = len(scale.colours)
    wide, high = 4.0, height / (steps + 0.6)
    foot = y + high * steps
    made: list[Flat] = []
    for i, colour in enumerate((COLDER, *scale.colours)):
        top = foot - high * i
        low = top + (0.6 * high if i == 0 else high)
        rows = ((x, top, 0.0), (x + wide, top, 0.0), (x + wide, low, 0.0), (x, low, 0.0))
        made.append(Stroke((Loop(rows),), Ink(0.13, "grey"), colour))
    for i, edge in enumerate(scale.edges):
        made.append(Label(x + wide + 1.0, foot - high * i, f"{edge:g}", 2.2, "left", "middle"))
    made.append(Label(x, y - 1.4, scale.unit, 2.3, "left", "base", bold=True))
    for kelvin, _, ink in limits_of(problem):
        share = scale.share(kelvin)
        if 0.0 <= share <= 1.0:
            at = foot - share * high * steps
            loop = Loop(((x - 1.2, at, 0.0), (x + wide + 0.6, at, 0.0)), closed=False)
            made += [Stroke((loop,), Ink(ink.width + 2 * CASING, "paper")), Stroke((loop,), ink)]
    return made


def _under(
    shown: MapsShown, field: Field, scale: HeatScale, look: Looking, window: tuple[float, float, float, float]
) -> list[Item]:
    """The coloured steps, what is beyond the panel taken out, the outlines and the isolines."""
    problem, mirrored = shown.problem, look.side == "inside"
    items: list[Item] = [
        Rings(field.above(scale.kelvin(edge), window, mirrored), None, colour)
        for edge, colour in zip(scale.edges, scale.colours, strict=False)
    ]
    panel = look.outline(problem.panel)
    px0, py0, px1, py1 = panel.bounds
    wide = bar(
        min(px0, window[0]) - 1.0,
        min(py0, window[1]) - 1.0,
        max(px1, window[2]) + 1.0,
        max(py1, window[3]) + 1.0,
    )
    items.append(DrawnShape((wide, panel), None, "paper"))
    outlines = [(r.outline, RIB) for r in problem.ribs]
    outlines += [(problem.panel, Ink(0.45, "ink")), (problem.source.heated, HEATED)]
    if problem.source_behind is not None:
        outlines.append((problem.source_behind.heated, HEATED))
    outlines += [(problem.bond, PATCH), (shown.cutout, CUTOUT)]
    for outline, ink in outlines:
        items += _cased(DrawnShape((look.outline(outline),)), ink)
    for kelvin, _, ink in limits_of(problem):
        for line in field.lines(kelvin, mirrored):
            items += _cased(Run(line), ink)
    return items


def _cased(item: DrawnShape | Run, ink: Ink) -> list[Item]:
    """A line over a wider one of paper white."""
    casing = Ink(ink.width + 2 * CASING, "paper")
    return [replace(item, ink=casing), replace(item, ink=ink)]


def _marks(shown: MapsShown, field: Field, m: HeatMap, look: Looking, k: float, frame: Box) -> list[Flat]:
    """Thermocouples, the hottest and the coldest place, the names of ribs and isolines: none over another."""
    view, problem = shown.case.view, shown.problem
    face = {REPAIR_SIDE: "repair side", FAR_SKIN: "far face"}.get(m.layer, "")
    placer = Placer((frame[0] + 0.5, frame[1] + 0.5, frame[2] - 0.5, frame[3] - 0.5))

    def paper(at: Point) -> Point:
        x, y = look.point(at)
        return (k * x, -k * y)

    dots = [(paper(s.at), s) for s in shown.sensors if s.face == face]
    found = map_extremes(shown, field, m)
    spots = [(paper(at), kelvin, hot) for kelvin, at, hot in found]
    for x, y in (*(at for at, _ in dots), *(at for at, _, _ in spots)):
        placer.keep((x - 1.2, y - 1.2, x + 1.2, y + 1.2))
    patch = look.outline(problem.bond).bounds
    placer.shun((k * patch[0], -k * patch[3], k * patch[2], -k * patch[1]))
    made: list[Flat] = []
    for (x, y), _, hot in spots:
        made.append(triangle(x, y, hot))
    for (x, y), _ in dots:  # on top: a thermocouple often sits at the extreme itself
        made.append(Stroke((Loop(((x - 0.65, y, 1.0), (x + 0.65, y, 1.0))),), Ink(0.3, "ink"), "paper"))
    for (x, y), kelvin, hot in spots:
        words = ("▲ " if hot else "▽ ") + show(kelvin, "temperature", view)
        made += placer.place(x, y, words, 2.6, bold=True)
    for (x, y), sensor in dots:
        made += placer.place(x, y, sensor.id, 2.3, bold=True)
    made += _line_names(field, problem, look, k, placer, view)
    made += _rib_names(problem, look, k, frame, placer)
    return made


def map_extremes(shown: MapsShown, field: Field, m: HeatMap) -> list[tuple[float, Point, bool]]:
    """The coldest and the hottest of the bond line in a map: temperature [K], place, whether the hottest.

    At the moment of an extreme of the whole cure its own value and place stand, else those of the cells.
    """
    within = field.extremes(shown.problem.bond)
    if within is None:
        return []
    own_layer = {REPAIR_SIDE: "bond line"}.get(m.layer, m.layer)
    rows = []
    for hot, (kelvin, at) in zip((False, True), within, strict=True):
        own = [e for e in shown.extremes if abs(e.time - m.time) < 1.0 and e.layer == own_layer]
        same = next((e for e in own if abs(e.kelvin - kelvin) < SAME), None)
        rows.append((kelvin, at, hot) if same is None else (same.kelvin, same.at, hot))
    return rows


def triangle(x: float, y: float, hot: bool) -> Stroke:
    """A mark at a place on paper: filled and pointing up for hot, open and pointing down for cold [mm]."""
    tip, base, half = (y - 1.4, y + 0.9, 1.25) if hot else (y + 1.4, y - 0.9, 1.25)
    rows = ((x, tip, 0.0), (x + half, base, 0.0), (x - half, base, 0.0))
    return Stroke((Loop(rows),), Ink(0.35, "paper" if hot else "ink"), "ink" if hot else "paper")


def _line_names(
    field: Field, problem: HeatProblem, look: Looking, k: float, placer: Placer, view: str
) -> list[Flat]:
    """The temperature of each isoline on it, at the first place along it where there is room."""
    made: list[Flat] = []
    for kelvin, _, ink in limits_of(problem):
        for line in field.lines(kelvin, look.side == "inside")[:1]:
            words = show(kelvin, "temperature", view)
            label = _on_line(line, words, k, placer, ink.colour)
            if label is not None:
                placer.keep(label.box())
                made += [halo(label, 0.2), label]
    return made


def _on_line(line: Sequence[Point], words: str, k: float, placer: Placer, colour: str) -> Label | None:
    count = len(line)
    for i in range(12):
        x, y = line[(count // 8 + i * count // 12) % count]
        label = Label(k * x, -k * y, words, 2.1, "middle", "middle", 0.0, colour)
        if placer.free(label.box()):
            return label
    return None


def rib_name(kind: str, ident: str) -> str:
    """A rib's name: its kind is not said twice."""
    return ident if ident.startswith(kind) else f"{kind} {ident}"


def _rib_names(problem: HeatProblem, look: Looking, k: float, frame: Box, placer: Placer) -> list[Flat]:
    """The names of ribs and the like where they can be seen."""
    made: list[Flat] = []
    for rib in problem.ribs:
        x0, y0, x1, y1 = look.outline(rib.outline).bounds
        left, right = max(k * x0, frame[0]), min(k * x1, frame[2])
        top, foot = max(-k * y1, frame[1]), min(-k * y0, frame[3])
        if right - left < 0.5 or foot - top < 0.5:
            continue
        words = rib_name(rib.kind, rib.id)
        upright = foot - top > right - left
        turn = QUARTER_TURN if upright else 0.0
        for share in (0.12, 0.88, 0.3, 0.7, 0.5):
            x = 0.5 * (left + right) if upright else left + share * (right - left)
            y = top + share * (foot - top) if upright else 0.5 * (top + foot)
            label = Label(x, y, words, 2.1, "middle", "middle", turn)
            if placer.free(label.box()):
                placer.keep(label.box())
                made += [halo(label, 0.2), label]
                break
    return made
