"""Plies: angles, counts against the damage, margins, taper."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelmend.document.approved import Given, PliesData, RepairPly, SidePlies
from panelmend.document.fault import Fault, fault_at
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.document.ply_kinds import PLY_KINDS

# Angles somebody may have typed in radians and called degrees.
_ROUND = {
    30: math.pi / 6,
    45: math.pi / 4,
    60: math.pi / 3,
    90: math.pi / 2,
    135: 3 * math.pi / 4,
    180: math.pi,
}


def repair_plies(data: PliesData) -> Iterator[tuple[Path, RepairPly]]:
    """Every ply of the repair with its path."""
    for side in ("outside", "inside"):
        given: SidePlies | None = getattr(data, side)
        if given is None:
            continue
        for kind in PLY_KINDS:
            plies: Given[tuple[RepairPly, ...]] | Given[RepairPly] | None = getattr(given, kind.name)
            here: Path = ("data", "plies", side, kind.name, "value")
            if plies is None:
                continue
            if isinstance(plies.value, RepairPly):
                yield here, plies.value
            else:
                yield from (((*here, i), ply) for i, ply in enumerate(plies.value))


def _angle(path: Path, angle: float) -> Iterator[Fault]:
    degrees = math.degrees(angle)
    if abs(angle) > 2 * math.pi + 1e-9:
        yield fault_at(
            path,
            "the angle is more than a full turn",
            f"{degrees:.1f} deg",
            "-360 to 360 deg",
            "check whether degrees were written as rad",
        )
        return
    for whole, radians in _ROUND.items():
        if abs(abs(degrees) - radians) < 6e-4:
            yield fault_at(
                path,
                "this looks like radians called degrees",
                f"{degrees:g} deg",
                f"{math.copysign(whole, angle):.0f} deg, or {abs(degrees):g} rad",
            )


def _panel_angles(document: Document) -> Iterator[Fault]:
    panel = document.panel
    yield from _angle(("panel", "core", "ribbon"), panel.core.ribbon)
    for side in ("outer_skin", "inner_skin"):
        for i, ply in enumerate(getattr(panel, side).plies):
            yield from _angle(("panel", side, "plies", i, "warp"), ply.warp)


def _repair_angles(document: Document) -> Iterator[Fault]:
    for path, ply in repair_plies(document.data.plies):
        yield from _angle((*path, "warp"), ply.warp)


def _cap_angles(document: Document) -> Iterator[Fault]:
    cap = document.data.core.cap
    for i, ply in enumerate(cap.value.plies if cap is not None else ()):
        yield from _angle(("data", "core", "cap", "value", "plies", i, "warp"), ply.warp)


def _ply_counts(document: Document) -> Iterator[Fault]:
    damage, data = document.damage, document.data.plies
    if damage.depth == "surface":
        return
    sides = ("outside", "inside") if damage.through else (damage.side,)
    for side in sides:
        given: SidePlies | None = getattr(data, side)
        if given is None or given.repair is None:
            yield fault_at(
                ("data", "plies", side),
                f"no repair plies are given for the skin on the {side}",
                expected=f"data.plies.{side}.repair: cloth and warp of each ply, and its place",
                todo="where the approved data has none for it, it is beyond the data: panelmend request asks",
            )
            continue
        if damage.depth == "plies" and damage.plies is not None:
            count = len(given.repair.value) + (len(given.fill.value) if given.fill else 0)
            if count < damage.plies:
                yield fault_at(
                    ("data", "plies", side, "repair"),
                    "fewer repair plies than damaged plies",
                    f"{count} {'ply' if count == 1 else 'plies'}",
                    f"at least {damage.plies}: one for each damaged ply",
                )


def _form(document: Document) -> Iterator[Fault]:
    data = document.data.plies
    for side in ("outside", "inside"):
        given: SidePlies | None = getattr(data, side)
        if given is not None and given.repair is not None and not given.repair.value:
            yield fault_at(
                ("data", "plies", side, "repair"),
                "an empty list of plies",
                "[]",
                "cloth and warp of each ply",
            )
    scarf = data.scheme is not None and data.scheme.value == "scarf"
    path: Path = ("data", "plies", "taper")
    if data.taper is not None and not scarf:
        yield fault_at(path, "a taper without the scarf scheme", f"{data.taper.value:g}", 'scheme "scarf"')


CHECKS = (
    (_panel_angles, ("panel",)),
    (_repair_angles, ("data.plies",)),
    (_cap_angles, ("data.core",)),
    (_ply_counts, ("damage", "data.plies")),
    (_form, ("data.plies",)),
)
