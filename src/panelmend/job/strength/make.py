"""The strength stage: parent against repair."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from panelmend.derive import Figure, Ledger
from panelmend.derive.figure import Origin
from panelmend.job.case import Case
from panelmend.job.core.part import CorePart
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.ground import Ground
from panelmend.job.plies.part import PliesPart
from panelmend.job.strength import formulas as f
from panelmend.job.strength.bondrows import NO_LOAD, bond_rows
from panelmend.job.strength.changes import changes_of, denser_core
from panelmend.job.strength.faceloads import resultants, sampled
from panelmend.job.strength.lay import DIRECTIONS, LAID, PLATE, Lay
from panelmend.job.strength.loads import Load, Resultants, loads_of
from panelmend.job.strength.part import BondRow, HotSpot, Maps, ModeRow, Ratio, StrengthPart
from panelmend.job.strength.plates import Panel, nearest_edge
from panelmend.job.strength.stacks import CONDITIONS, Section
from panelmend.job.strength.weight import mass_added, moment_added
from panelmend.physics.plate import PlateAnswer
from panelmend.physics.sandwich import ModeCheck, check_section
from panelmend.physics.structure_inputs import NotComputed
from panelmend.shapes import Outline

UNLOADED = "not loaded in this case"


def make(case: Case, ledger: Ledger, cutout: CutoutPart, plies: PliesPart, core: CorePart) -> StrengthPart:
    """Compare the repaired panel with the sound one.

    Returns:
        Ratios, bond and sandwich reserves, maps and changes; what data are missing for stands in
        ``not_checked`` with the reason and is never taken as passed.
    """
    lay = Lay(case, cutout, plies, core)
    missing: list[str] = []
    membrane = _membrane(ledger, lay, missing)
    bending = _bending(ledger, lay, missing)
    loads = loads_of(case)
    panel = Panel(lay)
    answers = _answers(case, panel, loads)
    samples = None
    if any(load.given for load in loads):
        samples = answers if isinstance(answers, NotComputed) else sampled(lay, panel, loads, answers[0])
    bonds = bond_rows(Ground(case, ledger), lay, samples)
    missing += [
        f"bond, {b.side} skin, {b.direction}, {b.condition}: {b.reason}"
        for b in bonds
        if b.reason and b.reason != NO_LOAD
    ]
    outlines = [(f"cut-out, {s.side}", s.cutout) for s in plies.sides]
    outlines += [(p.id, p.outline) for s in plies.sides for p in s.plies if p.role in ("repair", "extra")]
    maps, spots, modes = _plates(ledger, lay, panel, loads, answers, outlines, missing)
    if core.plug is not None and not denser_core(lay):
        missing.append(
            "core one grade denser: no denser core of this kind with shear moduli in the tables or document"
        )
    mass = mass_added(Ground(case, ledger), lay)
    moment, limit = moment_added(Ground(case, ledger), mass, cutout.opening.centre)
    governing, words = _governing(bonds, modes)
    return StrengthPart(
        tuple(
            (load.words(case.view), load.place or ("typed" if load.given else "unit case: ratios only"))
            for load in loads
        ),
        membrane,
        bending,
        bonds,
        modes,
        maps,
        spots,
        tuple(outlines),
        mass,
        moment,
        limit,
        governing,
        words,
        changes_of(lay, loads),
        tuple(dict.fromkeys(missing)),
        _assumptions(lay, loads),
    )


def _thing(ledger: Ledger, key: str, value: object) -> Figure:
    return ledger.add(Figure(key, value, "", Origin.COMPUTED, LAID))  # type: ignore[arg-type]


def _membrane(ledger: Ledger, lay: Lay, missing: list[str]) -> tuple[Ratio, ...]:
    found = []
    for layup in lay.plies.sides:
        side = layup.side
        rows = lay.with_patch(side, lay.left(side), lay.carrying(side))
        parent, repair = lay.stack(f"sound skin, {side}", lay.skin(side)), lay.stack(f"repair, {side}", rows)
        for part in (parent, repair):
            if isinstance(part, NotComputed):
                missing.append(f"stiffness of the {side} skin: {part.reason}")
        if isinstance(parent, NotComputed) or isinstance(repair, NotComputed):
            continue
        key = f"strength.{side}"
        one, two = _thing(ledger, f"{key}.sound_skin", parent), _thing(ledger, f"{key}.repair_skin", repair)
        for name, angle in DIRECTIONS:
            at = ledger.typed(f"strength.direction.{name}", angle, "angle", source=LAID)
            old = ledger.derive(f"{key}.{name}.sound", f.membrane_along, stack=one, direction=at)
            new = ledger.derive(f"{key}.{name}.repair", f.membrane_along, stack=two, direction=at)
            ratio = ledger.derive(f"{key}.{name}.ratio", f.stiffness_ratio, repair=new, parent=old)
            found.append(Ratio(side, at, old, new, ratio))
    return tuple(found)


def _bending(ledger: Ledger, lay: Lay, missing: list[str]) -> tuple[Ratio, ...]:
    parent, repair = lay.parent(), lay.middle()
    for part in (parent, repair):
        if isinstance(part, NotComputed):
            missing.append(f"bending stiffness: {part.reason}")
            return ()
    one, two = (
        _thing(ledger, "strength.sound_panel", parent),
        _thing(ledger, "strength.repaired_panel", repair),
    )
    found = []
    for name, angle in DIRECTIONS:
        at = ledger.typed(f"strength.direction.{name}", angle, "angle", source=LAID)
        old = ledger.derive(f"strength.bending.{name}.sound", f.bending_along, section=one, direction=at)
        new = ledger.derive(f"strength.bending.{name}.repair", f.bending_along, section=two, direction=at)
        ratio = ledger.derive(f"strength.bending.{name}.ratio", f.stiffness_ratio, repair=new, parent=old)
        found.append(Ratio(lay.cutout.side, at, old, new, ratio))
    return tuple(found)


def _answers(
    case: Case, panel: Panel, loads: tuple[Load, ...]
) -> tuple[tuple[PlateAnswer, ...], ...] | NotComputed:
    """The sound, the repaired and the open panel under every case."""
    clamped = case.document.data.strength.edges == "clamped"
    cases = [panel.case(n.nx, n.ny, n.nxy, n.pressure, clamped) for n in loads]
    answers: list[tuple[PlateAnswer, ...]] = []
    for state in ("sound", "repaired", "open"):
        found = panel.solve(cases, state=state)
        if isinstance(found, NotComputed):
            return NotComputed(f"plate model: {found.reason}")
        answers.append(found)
    return tuple(answers)


def _plates(
    ledger: Ledger,
    lay: Lay,
    panel: Panel,
    loads: tuple[Load, ...],
    answers: tuple[tuple[PlateAnswer, ...], ...] | NotComputed,
    outlines: list[tuple[str, Outline]],
    missing: list[str],
) -> tuple[tuple[Maps, ...], tuple[HotSpot, ...], tuple[ModeRow, ...]]:
    if isinstance(answers, NotComputed):
        missing.append(answers.reason)
        return (), (), ()
    maps, spots, modes = [], [], []
    for i, load in enumerate(loads):
        made = panel.maps(load.name, answers[0][i], answers[1][i], answers[2][i])
        maps.append(made)
        spots += _spots(ledger, made, outlines)
        if load.given:
            modes += _modes(ledger, lay, panel, load, answers[0][i], answers[1][i], missing)
    return tuple(maps), tuple(spots), tuple(modes)


def _spots(ledger: Ledger, maps: Maps, outlines: list[tuple[str, Outline]]) -> list[HotSpot]:
    found = []
    thing = _thing(ledger, f"strength.maps.{maps.case}", maps)
    fields = (
        ("strain", maps.strain),
        ("core shear", maps.shear),
        ("strain, hole left open", maps.hole_strain),
    )
    near = _near(maps, outlines)
    for what, whole in fields:
        field = np.where(near, whole, np.nan)
        if not np.isfinite(field).any():
            continue
        j, i = np.unravel_index(int(np.nanargmax(field)), field.shape)
        x, y = 0.5 * (maps.x[i] + maps.x[i + 1]), 0.5 * (maps.y[j] + maps.y[j + 1])
        key = f"strength.{maps.case}.{what}"
        value = ledger.add(
            Figure(
                key, round(float(field[j, i]), 4), "ratio", Origin.COMPUTED, PLATE, "", (("maps", thing.key),)
            )
        )
        found.append(HotSpot(maps.case, what, value, (float(x), float(y)), nearest_edge(outlines, (x, y))))
    return found


def _near(maps: Maps, outlines: list[tuple[str, Outline]]) -> NDArray[np.bool_]:
    """Cells in and round the repair: its box, a quarter of its size larger on every side."""
    boxes = [o.bounds for _, o in outlines]
    x0, y0 = min(b[0] for b in boxes), min(b[1] for b in boxes)
    x1, y1 = max(b[2] for b in boxes), max(b[3] for b in boxes)
    more = 0.25 * max(x1 - x0, y1 - y0)
    x, y = np.meshgrid((maps.x[1:] + maps.x[:-1]) / 2, (maps.y[1:] + maps.y[:-1]) / 2)
    return np.asarray((x > x0 - more) & (x < x1 + more) & (y > y0 - more) & (y < y1 + more))


def _modes(
    ledger: Ledger,
    lay: Lay,
    panel: Panel,
    load: Load,
    sound: PlateAnswer,
    repaired: PlateAnswer,
    missing: list[str],
) -> list[ModeRow]:
    centre = lay.cutout.opening.centre
    rows = []
    for condition in CONDITIONS:
        here = replace(lay, condition=condition)
        tail = "" if condition == "room" else f", {condition}"
        places = (("sound panel", here.parent(), sound), ("repair", here.middle(), repaired))
        for where, section, answer in places:
            if isinstance(section, NotComputed):
                missing.append(f"sandwich modes, {where}, {condition}: {section.reason}")
                continue
            there = resultants(panel, load, answer, centre)
            key = f"strength.modes.{load.name}.{where}"
            loads = _thing(ledger, f"{key}.loads", there)
            what = _thing(ledger, f"strength.modes.{where}.{condition}", section)
            found = _mode_rows(ledger, f"{key}{tail}", load.name, where, section, there, loads, what)
            rows += [replace(r, mode=r.mode + tail) for r in found]
            missing += [
                f"{r.mode}, {r.place}, {where}{tail}: {r.reason}"
                for r in found
                if r.reason and r.reason != UNLOADED
            ]
    return rows


def _mode_rows(
    ledger: Ledger,
    key: str,
    case: str,
    where: str,
    section: Section,
    there: Resultants,
    loads: Figure,
    what: Figure,
) -> list[ModeRow]:
    rows = []
    for number, mode in enumerate(check_section(section.sandwich(), *there.arrays(), there.pressure)):
        if not isinstance(mode, ModeCheck):
            rows.append(ModeRow(case, where, mode.mode, mode.place, None, mode.reason))
            continue
        if not np.isfinite(mode.reserve) or mode.reserve > 1e4:
            rows.append(ModeRow(case, where, mode.mode, mode.place, None, UNLOADED))
            continue
        count = ledger.typed(f"strength.mode.{number}", number, source=LAID)
        reserve = ledger.derive(f"{key}.{number}", f.mode_reserve, section=what, loads=loads, number=count)
        rows.append(
            ModeRow(
                case, where, f"{mode.mode} ({mode.form})" if mode.form else mode.mode, mode.place, reserve, ""
            )
        )
    return rows


def _governing(bonds: tuple[BondRow, ...], modes: tuple[ModeRow, ...]) -> tuple[Figure | None, str]:
    rows: list[tuple[float, Figure, str]] = []
    for b in bonds:
        if b.reserve is not None:
            rows.append(
                (
                    float(b.reserve),
                    b.reserve,
                    f"bond, {b.side} skin, {b.direction}, {b.condition}: {b.ground}",
                )
            )
    for m in modes:
        if m.reserve is not None and m.where == "repair":
            rows.append((float(m.reserve), m.reserve, f"{m.mode}, {m.place}, {m.case}"))
    if not rows:
        return None, "nothing could be computed"
    least = min(rows, key=lambda r: r[0])
    return least[1], least[2]


def _assumptions(lay: Lay, loads: tuple[Load, ...]) -> tuple[str, ...]:
    words = [
        "The sanding ply carries nothing.",
        "The panel is taken as the rectangle round its outline, flat, held at its four edges out of plane.",
        "Strain ratios compare the largest principal strain of the faces' middles; peaks of adhesive stress "
        "come from the bond computation and not from the plate model.",
        "The bond in a direction is a strip from the edge of the cut-out outwards; the whole load of the cut "
        "plies goes through it, none goes round the hole.",
        "Under a given load case the face's load is the largest of the sound panel at the middle and round "
        "the edge of the cut-out, pull and bending together; hot and wet keeps the load of the room.",
    ]
    if lay.case.document.panel.edge_band or lay.case.geometry.solid:
        words.append(
            "The plate model takes the panel as sandwich all over: its solid edge band and solid areas are "
            "left out, so maps near them are not to be relied on."
        )
    if not any(n.given for n in loads):
        words.append(
            "The document gives no load case: unit loads give ratios only, and bonds are compared with the "
            "load at which the first ply of the sound skin fails."
        )
    if lay.case.document.data.plies.film_adhesive is None:
        words.append("A wet lay-up bonds with its own resin; the plug's paste adhesive stands in for it.")
    return tuple(words)
