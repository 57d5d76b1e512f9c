"""The damage against the panel: counts of plies, depth of core, far side."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.fault import Fault, fault_at
from panelmend.document.geometry import shape_outline
from panelmend.document.model import Document
from panelmend.errors import ShapeError
from panelmend.units import show


def _plies(document: Document) -> Iterator[Fault]:
    damage, panel = document.damage, document.panel
    skin = panel.outer_skin if damage.side == "outside" else panel.inner_skin
    if damage.depth == "plies" and damage.plies is not None and damage.plies > len(skin.plies):
        yield fault_at(
            ("damage", "plies"),
            "more plies are damaged than the skin has",
            str(damage.plies),
            f"at most {len(skin.plies)}, the plies of the skin on the {damage.side}",
        )
    depth = damage.core_depth
    if depth is not None and damage.cored:
        if depth > panel.core.thickness + 1e-9:
            yield fault_at(
                ("damage", "core_depth"),
                "core damage deeper than the core",
                show(depth, "length"),
                f"at most {show(panel.core.thickness, 'length')}",
            )
        elif damage.through and depth < panel.core.thickness - 1e-9:
            yield fault_at(
                ("damage", "core_depth"),
                "damage that goes through leaves no core, but a core depth is typed",
                show(depth, "length"),
                f"no core_depth, or the core's thickness {show(panel.core.thickness, 'length')}",
            )


def _depth(document: Document) -> Iterator[Fault]:
    damage = document.damage
    if damage.depth == "plies" and damage.plies is None:
        yield fault_at(
            ("damage",), "'plies' is missing", expected='how many plies, since the depth is "plies"'
        )
    if damage.depth != "plies" and damage.plies is not None:
        yield fault_at(
            ("damage", "plies"),
            "'plies' goes with depth \"plies\" only",
            f'depth "{damage.depth}"',
            "no count of plies",
        )
    if damage.far_shape is not None and not damage.through:
        yield fault_at(
            ("damage", "far_shape"),
            "a far outline, but the damage does not go right through",
            f'depth "{damage.depth}"',
            'depth "through"',
        )
    if damage.core_depth is not None and not damage.cored:
        yield fault_at(
            ("damage", "core_depth"),
            "a depth of core damage, but the core is not damaged",
            f'depth "{damage.depth}"',
            'depth "skin and core"',
        )


def _count_limit(document: Document) -> Iterator[Fault]:
    limit = document.data.limits.per_panel
    if limit is not None and limit.value < 1:
        yield fault_at(
            ("data", "limits", "per_panel"), "no repair at all is permitted", str(limit.value), "1 or more"
        )
    allowable, repairable = document.data.limits.allowable, document.data.limits.repairable
    if allowable is not None and repairable is not None and allowable.value > repairable.value:
        yield fault_at(
            ("data", "limits", "repairable"),
            "the limit for a repair is below the limit for no repair",
            show(repairable.value, "length"),
            f"at least {show(allowable.value, 'length')}",
        )


def _wet(document: Document) -> Iterator[Fault]:
    wet = document.damage.wet_area
    try:
        area = shape_outline(document.panel.outline).area
    except ShapeError:
        return
    if wet is not None and wet > area:
        yield fault_at(
            ("damage", "wet_area"),
            "the wet area is larger than the panel",
            show(wet, "area", document_view(document)),
            f"at most {show(area, 'area', document_view(document))}",
            "check the unit",
        )


def document_view(document: Document) -> str:
    """The reader's units; millimetres where the table that says so could not be read."""
    repair = getattr(document, "repair", None)
    return repair.units if repair is not None else "mm"


CHECKS = (
    (_plies, ("damage", "panel")),
    (_wet, ("damage", "panel")),
    (_depth, ("damage",)),
    (_count_limit, ("data.limits",)),
)
