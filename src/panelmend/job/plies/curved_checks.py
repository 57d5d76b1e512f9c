"""What the plies stage finds on curved panels, and on panels nobody has called flat."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelmend.derive import Ledger
from panelmend.errors import Finding, caution_code, confirm_code, note_code, stop_code
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.clearances import Neighbour, neighbours
from panelmend.job.curvature import surface_on
from panelmend.job.curved import MOST_HALF_ANGLE, Bent, percent
from panelmend.job.plies.curved_around import clear_along
from panelmend.job.plies.part import PliesPart, SideLayup
from panelmend.shapes import Outline
from panelmend.shapes.torus import Torus
from panelmend.units import show

LEAST_RADIUS_RATIO = 10.0  # radius over thickness; below, formulas of flat panels are out by over a tenth
LENGTHS_DIFFER_BY = 0.01  # lengths by coordinates may differ so much from those of the panel; own choice
DISTANCE_TOLD = 5e-4  # [m] a distance that differs by less along the surface is not told

P121 = confirm_code(
    "P121",
    "The document does not say whether the panel is flat, curved one way or curved both ways",
    "lay a straight edge on the panel along and across, over the area of the repair, and type panel.surface "
    "= 'flat', 'single' or 'double'",
)
P122 = caution_code(
    "P122",
    "The panel is curved both ways: no flat template fits it exactly",
    "try every template dry on the panel, and trim on the panel whatever lies outside its line",
)
P123 = stop_code(
    "P123",
    "A flat template would strain more than permitted",
    "ask the engineer to permit darts (data.plies.darts with its place), split the piece, or drape it on "
    "the panel or its mould",
)
P124 = caution_code(
    "P124",
    "Some plies need darts",
    "slit the middle of each wedge, try the ply dry on the panel, cut away only what overlaps there, and "
    "put the darts of the next ply beside these, not over them",
)
P125 = stop_code(
    "P125",
    "The cloth would shear more than permitted",
    "use a smaller or split ply or another cloth, or ask the engineer for a limit (data.plies.shear_most)",
)
P126 = stop_code(
    "P126",
    "Measured along the doubly curved surface, a distance is shorter than required",
    "measure it with a tape on the panel and ask the engineer",
)
P127 = caution_code(
    "P127",
    "Measured along the doubly curved surface, a distance differs from the coordinates",
    "measure it with a tape on the panel",
)
P128 = stop_code(
    "P128",
    "The panel is curved too tightly for its thickness",
    "check the radius; heat, strength and bag are calculated for flat panels, so ask the engineer",
)
P129 = caution_code(
    "P129",
    "The repair extends far round the curve",
    "check that bag, blanket and caul follow the curve; heat and strength are calculated as for a flat panel",
)
P130 = note_code(
    "P130",
    "A flat caul or pad does not seat on the curved panel",
    "use one that is formed to the panel, or one that flexes",
)
P131 = caution_code(
    "P131",
    "Shear was not checked: this is a unidirectional cloth on a doubly curved panel",
    "make a trial lay-up: the yarns of this cloth part or overlap instead of shearing",
)
P132 = confirm_code(
    "P132",
    "One radius is typed, but nobody has said that the panel is straight along its axis",
    "lay a straight edge along the axis and type panel.surface = 'single' or 'double'",
)

P133 = stop_code(
    "P133",
    "The repair is so far round the double curve that coordinates there are not true lengths",
    "put the zero point on the axis line through the repair, measure all places from there, and type the "
    "radii at that point",
)


def check_curved(case: Case, ledger: Ledger, part: PliesPart) -> tuple[Finding, ...]:
    """The findings of curvature; a flat panel that is called flat has none."""
    curve, said = case.document.panel.curvature, case.document.panel.surface
    if curve is None:
        return () if said is not None else (P121("panel.surface is not typed", place="panel.surface"),)
    found: list[Finding] = []
    if said is None and curve.second_radius is None:
        radius = show(curve.radius, "length", case.view)
        found.append(P132(f"radius {radius}, panel.surface is not typed", place="panel.surface"))
    found += _thickness(case)
    found += _round(case, part)
    found += _pads(case, part)
    if part.bent:
        found += _bent(case, part)
        for side in part.sides:
            found += _along_surface(case, ledger, side)
    return tuple(found)


def _thickness(case: Case) -> Iterator[Finding]:
    curve, thick = case.document.panel.curvature, case.skin_depth("inside")
    assert curve is not None
    for name in ("radius", "second_radius"):
        radius = getattr(curve, name)
        if radius is not None and radius < LEAST_RADIUS_RATIO * thick * (1.0 - 1e-9):
            yield P128(
                f"{show(radius, 'length', case.view)} for {show(thick, 'length', case.view)} of thickness; "
                f"at least {LEAST_RADIUS_RATIO:g} times as much is covered",
                place=f"panel.curvature.{name}",
            )


def _round(case: Case, part: PliesPart) -> Iterator[Finding]:
    cylinder = case.geometry.cylinder
    assert cylinder is not None
    across = cylinder.axis_angle + 0.5 * math.pi
    for side in part.sides:
        outline = side.largest.outline
        middle = side.centre[0] * math.cos(across) + side.centre[1] * math.sin(across)
        reach = max(outline.support(across) - middle, outline.support(across + math.pi) + middle)
        if reach > MOST_HALF_ANGLE * cylinder.radius * (1.0 + 1e-9):
            yield P129(
                f"the largest ply on the {side.side} reaches {show(reach / cylinder.radius, 'angle')} round "
                f"from its centre; up to {show(MOST_HALF_ANGLE, 'angle')} is covered",
                place=side.largest.id,
            )


def _pads(case: Case, part: PliesPart) -> Iterator[Finding]:
    """For every cure that names a caul or a pad; whether it gives way or is formed nobody can read here."""
    default = case.document.damage.side
    off = {s.side: pad for s, pad in zip(part.sides, part.pads, strict=True)}
    for i, cure in enumerate(case.document.data.cure):
        pad = off.get(cure.side or default)
        if pad is None or float(pad) <= DISTANCE_TOLD or cure.on_plate:
            continue
        if cure.pad is not None:
            named, field = cure.pad.material, "pad"
        elif cure.pressure_aid is not None:
            named, field = cure.pressure_aid.what, "pressure_aid"
        elif cure.caul_sheet is not None:
            named, field = cure.caul_sheet.material, "caul_sheet"
        else:
            continue
        yield P130(
            f"cure {i + 1}, {cure.name}, '{named}': flat, it would stand off by "
            f"{show(float(pad), 'length', case.view)} between the middle and the rim of the largest ply, "
            f"{cure.side or default}",
            place=f"data.cure[{i + 1}].{field}",
        )


def _bent(case: Case, part: PliesPart) -> Iterator[Finding]:
    assert part.strain_most is not None
    assert part.shear_most is not None
    curve, view = case.document.panel.curvature, case.view
    assert curve is not None
    assert curve.second_radius is not None
    worst = max(part.bent, key=lambda b: float(b.strain))
    draped = [b for b in part.bent if b.off is not None]
    words = (
        f"radii {show(curve.radius, 'length', view)} across the axis and "
        f"{show(curve.second_radius, 'length', view)} along it"
        f"{', a saddle' if curve.second_bulges != curve.bulges else ''}; {worst.id} is strained "
        f"{percent(float(worst.strain))} and out by {show(float(worst.mismatch), 'length', view)}"
    )
    if draped:
        far = max(draped, key=lambda b: float(b.off or 0.0))
        assert far.off is not None
        words += (
            f"; the edge of {far.id} comes down up to {show(float(far.off), 'length', view)} from its line"
        )
    yield P122(
        f"{words}. Left out: radii that change over the panel, slip and locking of the cloth, and that bag, "
        "blanket, heat and strength are calculated as for a flat panel",
        place="panel.curvature",
    )
    for b in part.bent:
        yield from strained_findings(case, b, float(part.strain_most))
        if b.shear is not None and float(b.shear) > float(part.shear_most) * (1.0 + 1e-9):
            yield P125(
                f"{b.id}: {show(float(b.shear), 'angle', limit='least')}, at most "
                f"{show(float(part.shear_most), 'angle', limit='most')}",
                place=b.shear.key,
            )
    for side in part.sides:
        for ply in side.plies:
            if ply.role != "film adhesive" and not case.catalogue.cloth(ply.cloth).woven:
                yield P131(f"{ply.id}, {ply.cloth}", place=f"plies.{ply.id}")


def strained_findings(case: Case, b: Bent, most: float) -> Iterator[Finding]:
    """A piece whose template is strained beyond the limit ``most`` [1]: darted where that is permitted,
    else stopped."""
    if float(b.strain) <= most * (1.0 + 1e-9):
        return
    given = case.document.data.plies.darts
    words = f"{b.id}: {percent(float(b.strain), 'least')}, at most {percent(most, 'most')}"
    split = f"split along the axis into {float(b.strips):.0f} strips, each fits; no such split is drawn"
    if not b.cloth:
        yield P123(f"{words}; a template to mark and cut by takes no darts", place=b.strain.key)
        return
    helps = float(b.count) > 0.0 and float(b.left) <= most * (1.0 + 1e-9)
    if not helps:
        yield P123(f"{words}; darts do not help here; {split}", place=b.strain.key)
        return
    widest = max((d.width for d in b.darts), default=0.0)
    words += (
        f"; {len(b.darts)} darts, the widest {show(widest, 'length', case.view)} at the rim, leave "
        f"{percent(float(b.left))}"
    )
    if given is None or not given.value:
        yield P123(f"{words}; {split}", place=b.strain.key)
    else:
        yield P124(f"{words} ({given.place})", place=b.strain.key)


def _along_surface(case: Case, ledger: Ledger, side: SideLayup) -> Iterator[Finding]:
    """Distances to neighbours along the surface, where they differ from those of the developed plane."""
    surface = surface_on(case, side.side)
    assert surface is not None
    assert side.tape_outer is not None
    yield from _zero(case, side, surface)
    pieces = {"cut-out": side.cutout, "largest ply": side.largest.outline, "tape": side.tape_outer}
    for n in (n for n in neighbours(Basis(case, ledger), side.side) if n.counts(side.cutout)):
        yield from _one(case, side, surface, n, pieces[n.piece])


def _zero(case: Case, side: SideLayup, surface: Torus) -> Iterator[Finding]:
    """Off the axis line through the zero, 1 mm counted along that line is another length on the panel."""
    _, v = surface.local(*side.centre)
    change = abs(1.0 - float(surface.stretch(v)))
    if change > LENGTHS_DIFFER_BY * (1.0 + 1e-9):
        yield P133(
            f"the repair lies {show(abs(float(v)), 'length', case.view)} off the axis line through the zero, "
            f"{side.side}: lengths along the axis are {percent(change)} "
            f"{'shorter' if surface.sense > 0 else 'longer'} there than by coordinates, at most "
            f"{percent(LENGTHS_DIFFER_BY)}",
            place="panel.curvature",
        )


def _one(case: Case, side: SideLayup, surface: Torus, n: Neighbour, piece: Outline) -> Iterator[Finding]:
    view, what = case.view, f"{n.piece} to {n.what}, {side.side}"
    clear, found = n.clear(piece), clear_along(surface, side.centre, piece, n)
    here, asked = (show(length, "length", view) for length in (found.clear, n.asked))
    along = f"{here} along the surface" if found.known else "along the surface not known"
    if not found.known and found.clear > 0.0:
        along += f", at least {here}"
    words = f"{what}: {show(clear, 'length', view)} by coordinates, {along}, {asked} required"
    if n.weight == "stop" and found.clear < n.asked - 1e-9 <= clear:
        yield P126(words, place=n.path)
    elif not found.known or abs(found.clear - clear) > DISTANCE_TOLD:
        yield P127(words, place=n.path)
