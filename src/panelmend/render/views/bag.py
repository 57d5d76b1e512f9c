"""The bag of one cure operation: its stack in section, and in plan."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from panelmend.derive import Figure
from panelmend.derive.ledger import words_for, words_of
from panelmend.job.bag.air_path import AirPath
from panelmend.job.bag.part import BagLayer, BagOperation, LayerUse
from panelmend.job.case import Case
from panelmend.job.cure.part import Placed
from panelmend.render.drawing import (
    ACCENT,
    EDGE,
    HAIR,
    THIN,
    Cross,
    Dimension,
    DrawnShape,
    Item,
    Pointer,
    Run,
    Text,
    scale_to_fit,
    scale_words,
)
from panelmend.render.placing import Placer
from panelmend.render.strokes import Box, Flat, Ink
from panelmend.render.views.heat_places import mark
from panelmend.render.views.panel import surroundings
from panelmend.render.views.sheet import Looking, View, bar, free_view, make_view, seen_from_words
from panelmend.render.workings import measured
from panelmend.shapes import Outline
from panelmend.trade import trade_word

LAYER_FILL: dict[LayerUse, str] = {
    "peel ply": "paper",
    "perforated film": "tint",
    "bleeder": "faint",
    "parting film": "tint",
    "pressure aid": "light",
    "pressure pad": "light",
    "caul sheet": "light",
    "support": "light",
    "plate": "light",
    "heat blanket": "tint",
    "breather": "faint",
    "lower breather": "faint",
    "edge breather": "faint",
    "breather collar": "faint",
    "glass cloth": "faint",
    "vacuum base": "paper",
    "sealing tape": "paper",
    "bag film": "paper",
}
STEP, GAP = 2.8e-3, 1.1e-3
_BASE = 1.75  # [mm] half of the cross of a vacuum base
SIZED = 130.0  # [mm] a section that is at least so wide has room for the layers' sizes
APART = ("bag film", "sealing tape", "vacuum base", "plate")


@dataclass(frozen=True)
class _Section:
    """What a section shows: its layers, what lies under them, how far the seal stands out, the air's way."""

    name: str
    layers: tuple[BagLayer, ...]
    words: str
    patch: float  # half length [m]
    seal: float  # half length [m]
    air: AirPath | None
    ground: str
    direction: float  # of the section [rad]


def bag_section(case: Case, bag: BagOperation, width: float) -> View:
    """The stack from panel or plate up, each layer to its length; heights are not to scale.

    Where ``width`` [mm] leaves no room for their sizes the layers have number and name only.
    """
    on = "panel" if bag.on_panel else "heat-proof plate"
    words = ", ".join(bag.lays)
    half, seal = 0.5 * _extent_along_bag(bag, bag.patch), 0.5 * _extent_along_bag(bag, bag.seal_line)
    section = _Section(bag.name, bag.layers, words, half, seal, bag.air, on, bag.frame.direction)
    return _drawn(case, section, width, f"bag {bag.name}", f"Bag: {bag.name}")


def behind_section(case: Case, bag: BagOperation, width: float) -> View | None:
    """The stack on the other side of the panel, from the panel out; None where nothing lies there."""
    other = bag.behind
    if other is None:
        return None
    words = {"other skin": "plies", "support": "opening", "second blanket": "far skin"}[other.kind]
    half, seal = 0.5 * _extent_along_bag(bag, other.patch), 0.5 * _extent_along_bag(bag, other.seal_line)
    name = f"{bag.name}, {other.side}"
    section = _Section(
        name, other.layers, words, half, seal, other.air, f"panel, {other.side}", bag.frame.direction
    )
    return _drawn(case, section, width, f"bag behind {bag.name}", f"Bag on the {other.side}: {bag.name}")


def _extent_along_bag(bag: BagOperation, outline: Outline) -> float:
    """Extent along the bag's length [m]."""
    return outline.extent(bag.frame.direction)


def _drawn(case: Case, of: _Section, width: float, name: str, title: str) -> View:
    halves = [0.5 * float(x.length) for x in of.layers if x.length is not None and len(x.outlines) == 1]
    reach_m = max([*halves, of.seal, of.patch])
    sized = width >= SIZED
    k = 0.5 * (width - (84.0 if sized else 56.0)) / reach_m / 1e3
    reach = reach_m * k
    items: list[Item] = [
        DrawnShape((bar(-reach - 4e-3, -5.0e-3, reach + 4e-3, 0.0),), EDGE, "light"),
        Text((0.0, -2.5e-3), of.ground, size=2.2),  # inside: below it the room of the tape is measured
    ]
    level, heights = 0.0, dict[str, float]()
    stack = [x for x in of.layers if x.use not in APART]
    for layer in (x for x in stack if x.below):
        level = _layer(case, items, heights, layer, of, reach, level, k, sized)
    patch = of.patch * k
    items.append(DrawnShape((bar(-patch, level, patch, level + STEP),), ACCENT, "tint"))
    items.append(Text((0.0, level + 0.5 * STEP), of.words, size=2.2, colour="accent", bold=True))
    level += STEP + GAP
    for layer in (x for x in stack if not x.below):
        level = _layer(case, items, heights, layer, of, reach, level, k, sized)
    if any(x.use == "bag film" for x in of.layers):
        items += _film(case, of.layers, reach, level, sized)
        items += _tape_room(case, of, reach, k)
        items += _bases(of, level, k)
    if of.air is not None:
        items += _air_drawn(of.air, heights, patch, reach, level)
    words = "section, heights not to scale"
    if of.air is not None and of.air.open:
        words += "; the dashed line is the way of the air to the vacuum base"
    elif of.air is not None:
        words += "; NO WAY FOR THE AIR: STOP"
    return free_view(name, title, words, items)


def _layer(
    case: Case,
    items: list[Item],
    heights: dict[str, float],
    layer: BagLayer,
    of: _Section,
    reach: float,
    level: float,
    k: float,
    sized: bool,
) -> float:
    """One layer at its height; several pieces are drawn where the section cuts them."""
    fill = LAYER_FILL[layer.use]
    half = 0.5 * float(layer.length) * k if layer.length is not None else of.patch * k
    bars = [(-half, half)]
    if layer.hole is not None:
        hole = 0.5 * layer.hole.largest_extent() * k
        bars = [(-half, -min(hole, half)), (min(hole, half), half)]
    elif len(layer.outlines) > 1 and layer.length is not None:
        near, far = _strip_ends(layer, of.direction)
        bars = [(-far * k, -near * k), (near * k, far * k)]
    items += [
        DrawnShape((bar(x0, level, x1, level + STEP),), Ink(0.3, "ink"), fill) for x0, x1 in bars if x1 > x0
    ]
    middle = level + 0.5 * STEP
    heights[f"{layer.order}. {layer.use}"] = middle
    edge = max((x1 for _, x1 in bars), default=0.0)
    size = (layer.length, layer.width) if sized else (None, None)
    items += _named(case, layer.order, layer.use, edge, middle, reach, *size)
    return level + STEP + GAP


def _strip_ends(layer: BagLayer, direction: float) -> tuple[float, float]:
    """Where a pair of strips begins and ends from the middle between them [m]; both 0 beside the section."""
    (x0, y0), (x1, y1) = (o.centroid for o in layer.outlines[:2])
    along = abs((x1 - x0) * math.cos(direction) + (y1 - y0) * math.sin(direction))
    if along < 0.5 * math.hypot(x1 - x0, y1 - y0):
        return 0.0, 0.0
    apart, long = 0.5 * along, 0.5 * float(layer.length or 0.0)
    return apart - long, apart + long


def _named(
    case: Case,
    order: int,
    use: str,
    half: float,
    y: float,
    reach: float,
    length: Figure | None,
    width: Figure | None,
) -> list[Item]:
    size = ""
    if length is not None and width is not None:
        size = f"   {words_of(length, case.view)} × {words_of(width, case.view)}"
    return [
        Run(((half, y), (reach + 5.5e-3, y)), HAIR),
        Text((reach + 6.5e-3, y), f"{order}. {_called(use)}{size}", size=2.3, anchor="left"),
    ]


def _called(use: str) -> str:
    """A layer's name without what some shops call it as well."""
    return trade_word(use).partition(" (")[0]


def _film(case: Case, layers: tuple[BagLayer, ...], reach: float, level: float, sized: bool) -> list[Item]:
    """Bag film over everything, down to the sealing tape."""
    items: list[Item] = []
    edge = reach + 1.5e-3
    points = (
        (-edge - 1.5e-3, 1.4e-3),
        (-edge + 0.5e-3, level * 0.6),
        (-edge + 3e-3, level),
        (edge - 3e-3, level),
        (edge - 0.5e-3, level * 0.6),
        (edge + 1.5e-3, 1.4e-3),
    )
    items.append(Run(points, Ink(0.4, "accent")))
    for sign in (-1.0, 1.0):
        a, b = sorted((sign * (edge - 0.5e-3), sign * (edge + 2.5e-3)))
        items.append(DrawnShape((bar(a, 0.0, b, 1.4e-3),), THIN, "grey"))
    for layer in layers:
        if layer.use == "bag film":
            size = (layer.length, layer.width) if sized else (None, None)
            items += _named(case, layer.order, layer.use, edge - 3e-3, level, reach, *size)
        if layer.use == "sealing tape" and layer.length is not None:
            long = f"   {words_of(layer.length, case.view)} long" if sized else ""
            words = f"{layer.order}. {trade_word(layer.use)}{long}"
            items.append(Text((reach + 6.5e-3, -2.2e-3), words, size=2.3, anchor="left"))
    return items


def _tape_room(case: Case, of: _Section, reach: float, k: float) -> list[Item]:
    """How far the inner edge of the sealing tape lies outside the blanket."""
    tape = next((x for x in of.layers if x.use == "sealing tape"), None)
    blanket = next((x for x in of.layers if x.use == "heat blanket" and x.length is not None), None)
    if tape is None or tape.margin is None or blanket is None or blanket.length is None:
        return []
    words = _at_least(case, tape.margin)
    start, end = (-(reach + 1.0e-3), 0.0), (-0.5 * float(blanket.length) * k, 0.0)
    # the words beside the arrows: they are wider than the room, and its lines would go through them
    beside = Text(end, words, size=2.2, anchor="left", shift=(1.5, -9.5))
    return [Dimension(start, end, "", away=-9.5, size=2.2), beside]


def _bases(of: _Section, level: float, k: float) -> list[Item]:
    """The two vacuum bases on the bare ends of the breather."""
    breather = next((x for x in of.layers if x.use == "breather" and x.length is not None), None)
    if breather is None or breather.length is None:
        return []
    blanket = next((x for x in of.layers if x.use == "heat blanket" and x.length is not None), None)
    outer = 0.5 * float(breather.length) * k
    inner = (
        0.5 * float(blanket.length) * k
        if blanket is not None and blanket.length is not None
        else of.patch * k
    )
    x = 0.5 * (outer + inner)
    top = level - GAP
    made: list[Item] = [
        DrawnShape((bar(s * x - 1.6e-3, top, s * x + 1.6e-3, top + 2.4e-3),), EDGE, "grey")
        for s in (-1.0, 1.0)
    ]
    order = next((y.order for y in of.layers if y.use == "vacuum base"), 0)
    words = f"{order}. vacuum bases"
    made.append(
        Text((-x - 1.6e-3, top + 2.4e-3), words, size=2.2, level="base", anchor="left", shift=(0, 0.8))
    )
    return made


def _air_drawn(
    air: AirPath, heights: dict[str, float], patch: float, reach: float, level: float
) -> list[Item]:
    """The way of the air through the layers, from the patch to the vacuum base; words where there is none."""
    if not air.open:
        return [Text((0.0, level), f"no way for the air: {air.under}", size=2.6, colour="warn", bold=True)]
    names = list(dict.fromkeys(name for name, _ in air.way))
    there = [heights[n] for n in names if n in heights]
    if not there:
        return []
    steps = len(there)
    points = [(0.35 * patch, 0.5 * STEP)]
    for i, y in enumerate(there):
        x = 0.35 * patch + (0.93 * reach - 0.35 * patch) * (i + 1) / steps
        points += [(points[-1][0], y), (x, y)]
    points.append((points[-1][0], level))
    return [
        Run(tuple(points), Ink(0.5, "accent", (1.4, 0.9))),
        Pointer(points[-1], 0.5 * math.pi, 2.0, Ink(0.5, "accent"), 2.0, shift=(0.0, 0.6)),
    ]


def bag_plan(case: Case, bag: BagOperation, sensors: Sequence[Placed], size: tuple[float, float]) -> View:
    """Where blanket, thermocouples and sealing tape lie on the panel."""
    look = Looking(bag.side)
    items: list[Item] = list(surroundings(case, look)) if bag.on_panel else []
    frame: list[Outline] = [look.outline(bag.seal_line if bag.bagged else bag.sensor_line)]
    if bag.bagged:
        items.append(DrawnShape((look.outline(bag.seal_line),), Ink(1.0, "light")))
    for layer in bag.layers:
        if layer.use in ("breather", "heat blanket", "bleeder", "peel ply", "edge breather", "pressure pad"):
            pen = Ink(0.6, "accent") if layer.use == "heat blanket" else HAIR
            fill = "faint" if layer.use == "edge breather" else ""
            items += [DrawnShape((look.outline(o),), pen, fill) for o in layer.outlines]
    items.append(DrawnShape((look.outline(bag.patch),), THIN, "tint"))
    items.append(DrawnShape((look.outline(bag.sensor_line),), HAIR))
    items += [Cross(look.point(at), 2.0 * _BASE, EDGE, ring=True) for at in bag.fittings]
    made = make_view(
        f"plan {bag.name}",
        f"{'Bag' if bag.bagged else 'Thermocouples'} in plan: {bag.name}",
        "",
        items,
        frame,
        size,
        margin=10,
    )
    on_paper = scale_to_fit(frame, size[0] - 20.0, size[1] - 20.0)
    far = next((x.margin for x in bag.layers if x.use == "sealing tape"), None)
    beyond = f", {_at_least(case, far)} outside it" if far is not None else ""
    blanket = any(layer.use == "heat blanket" for layer in bag.layers)
    words = f"{seen_from_words(bag.side)}{'; blanket the bold line' if blanket else ''}"
    if bag.bagged:
        words += f"{',' if blanket else ';'} sealing tape the broad grey one{beyond}, vacuum bases as crosses"
    else:
        words += "; no bag; what is laid is shaded"
    words += ", thermocouples as dots" if sensors else ""
    words += ", rings on the opposite side" if any(s.face == "far face" for s in sensors) else ""
    flats = (*made.flats, *_thermocouples(look, bag, sensors, 1e3 * on_paper, made.window))
    return replace(made, words=f"{words}; scale {scale_words(on_paper)}", flats=flats)


def _thermocouples(
    look: Looking, bag: BagOperation, sensors: Sequence[Placed], k: float, window: Box
) -> list[Flat]:
    """Dots on the working side, rings on the far face, its number where it covers no vacuum base."""
    placer = Placer((window[0] + 1.0, window[1] + 1.0, window[2] - 1.0, window[3] - 8.0))
    dots = [((k * x, -k * y), s) for s in sensors for x, y in (look.point(s.at),)]
    kept = _BASE + 0.5  # its line, and the white round words
    for x, y in map(look.point, bag.fittings):
        placer.keep((k * x - kept, -k * y - kept, k * x + kept, -k * y + kept))
    made: list[Flat] = []
    for (x, y), s in sorted(dots, key=lambda d: d[1].face != "far face"):  # a dot lies in a ring behind it
        placer.keep((x - 1.7, y - 1.7, x + 1.7, y + 1.7))
        made += mark(x, y, s.face)
    for (x, y), s in dots:
        made += placer.place(x, y, s.id, 2.4, bold=True)
    return made


def _at_least(case: Case, distance: Figure) -> str:
    """A least distance, on a page in inches by the marks of a rule."""
    by_rule = measured(distance, case.view, "least")
    return f"at least {by_rule or words_for(distance.value, distance.kind, case.view, 'least')}"
