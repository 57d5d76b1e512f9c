"""The bag of one cure operation: its stack in section, and in plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from panelmend.job.bag.part import BagOperation
from panelmend.job.case import Case
from panelmend.job.cure.part import Placed
from panelmend.render.drawing import (
    ACCENT,
    EDGE,
    HAIR,
    THIN,
    Item,
    Run,
    Shape,
    Text,
    scale_to_fit,
    scale_words,
)
from panelmend.render.placing import Placer
from panelmend.render.strokes import Box, Flat, Ink
from panelmend.render.views.heat_places import mark
from panelmend.render.views.panel import surroundings
from panelmend.render.views.sheet import Looking, View, bar, free_view, make_view, seen
from panelmend.shapes import Outline
from panelmend.units import show

LAYER_FILL = {
    "peel ply": "paper",
    "perforated film": "tint",
    "bleeder": "faint",
    "parting film": "tint",
    "pressure aid": "light",
    "heat blanket": "warn",
    "breather": "faint",
}


def bag_section(case: Case, bag: BagOperation, width: float) -> View:
    """The stack from the panel up, each layer to its length; heights are not to scale."""
    along = float(bag.blanket_length)
    seal = max(bag.seal_line.largest_extent() * 0.5, 0.55 * along)
    lengths = [
        float(layer.length) for layer in bag.layers if layer.outline is not None and layer.length is not None
    ]
    reach_m = 0.5 * max([*lengths, 2 * seal * 0.9])
    k = 0.5 * (width - 66.0) / reach_m / 1e3
    reach = reach_m * k
    step, gap = 2.8e-3, 1.1e-3
    items: list[Item] = [
        Shape((bar(-reach - 4e-3, -5.0e-3, reach + 4e-3, 0.0),), EDGE, "light"),
        Text(
            (-reach - 4e-3, -5.0e-3),
            "panel",
            size=2.2,
            colour="grey",
            anchor="left",
            level="top",
            shift=(0, -0.8),
        ),
    ]
    patch = 0.5 * bag.patch.largest_extent() * k
    items.append(Shape((bar(-patch, 0.0, patch, step),), ACCENT, "tint"))
    items.append(Text((0.0, 0.5 * step), ", ".join(bag.lays), size=2.2, colour="accent", bold=True))
    level = step + gap
    for layer in bag.layers:
        if layer.use in ("bag film", "sealing tape"):
            continue
        half = (
            0.5 * float(layer.length) * k if layer.length is not None and layer.outline is not None else patch
        )
        shape = bar(-half, level, half, level + step)
        items.append(
            Shape(
                (shape,),
                Ink(0.3, "ink"),
                LAYER_FILL.get(layer.use, "paper") if layer.use != "heat blanket" else "tint",
            )
        )
        items += _named(
            case, layer.order, layer.use, half, level + 0.5 * step, reach, layer.length, layer.width
        )
        level += step + gap
    items += _film(case, bag, reach, level)
    return free_view(f"bag {bag.name}", f"Bag: {bag.name}", "section, heights not to scale", items)


def _named(
    case: Case, order: int, use: str, half: float, y: float, reach: float, length: object, width: object
) -> list[Item]:
    size = ""
    if length is not None and width is not None:
        size = f"   {show(float(length), 'length', case.view)} × {show(float(width), 'length', case.view)}"  # type: ignore[arg-type]
    return [
        Run(((half, y), (reach + 5.5e-3, y)), HAIR),
        Text((reach + 6.5e-3, y), f"{order}. {use}{size}", size=2.3, anchor="left"),
    ]


def _film(case: Case, bag: BagOperation, reach: float, level: float) -> list[Item]:
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
        items.append(Shape((bar(a, 0.0, b, 1.4e-3),), THIN, "grey"))
    for layer in bag.layers:
        if layer.use == "bag film":
            y = level
            items += _named(case, layer.order, layer.use, edge - 3e-3, y, reach, layer.length, layer.width)
        if layer.use == "sealing tape" and layer.length is not None:
            words = f"{layer.order}. sealing tape   {show(float(layer.length), 'length', case.view)} long"
            items.append(Text((reach + 6.5e-3, 0.7e-3), words, size=2.3, anchor="left"))
    return items


def bag_plan(case: Case, bag: BagOperation, sensors: Sequence[Placed], size: tuple[float, float]) -> View:
    """Where blanket, thermocouples and sealing tape lie on the panel."""
    look = Looking(bag.side)
    items: list[Item] = list(surroundings(case, look))
    frame: list[Outline] = [look.outline(bag.seal_line)]
    items.append(Shape((look.outline(bag.seal_line),), Ink(1.0, "light")))
    for layer in bag.layers:
        if layer.outline is not None and layer.use in ("breather", "heat blanket", "bleeder", "peel ply"):
            pen = Ink(0.45, "accent") if layer.use == "heat blanket" else HAIR
            items.append(Shape((look.outline(layer.outline),), pen))
    items.append(Shape((look.outline(bag.patch),), THIN, "tint"))
    items.append(Shape((look.outline(bag.sensor_line),), HAIR))
    made = make_view(f"plan {bag.name}", f"Bag in plan: {bag.name}", "", items, frame, size, margin=10)
    on_paper = scale_to_fit(frame, size[0] - 20.0, size[1] - 20.0)
    words = f"{seen(bag.side)}; blanket in colour, sealing tape in grey, thermocouples as dots"
    words += ", rings on the far face" if any(s.face == "far face" for s in sensors) else ""
    flats = (*made.flats, *_thermocouples(look, sensors, 1e3 * on_paper, made.window))
    return replace(made, words=f"{words}; scale {scale_words(on_paper)}", flats=flats)


def _thermocouples(look: Looking, sensors: Sequence[Placed], k: float, window: Box) -> list[Flat]:
    """Dots on the working side, rings on the far face, each with its number where there is room."""
    placer = Placer((window[0] + 1.0, window[1] + 1.0, window[2] - 1.0, window[3] - 8.0))
    dots = [((k * x, -k * y), s) for s in sensors for x, y in (look.point(s.at),)]
    made: list[Flat] = []
    for (x, y), s in sorted(dots, key=lambda d: d[1].face != "far face"):  # a dot lies in a ring behind it
        placer.keep((x - 1.7, y - 1.7, x + 1.7, y + 1.7))
        made += mark(x, y, s.face)
    for (x, y), s in dots:
        made += placer.place(x, y, s.id, 2.4, bold=True)
    return made
