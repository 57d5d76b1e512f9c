"""Choosing the cut-out: every permitted form tried, ranked by fit and by sound material removed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import assert_never, get_args

from panelmend.derive import Figure, Ledger, Source
from panelmend.derive.figure import PRACTICE
from panelmend.document.approved import CutoutForm
from panelmend.document.panel import Side
from panelmend.document.ply_ways import corners_rounded
from panelmend.errors import InputError, ShapeError, SolverError
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.clearances import neighbours
from panelmend.job.curvature import on_skin, outline_on
from panelmend.job.cutout import formulas as f
from panelmend.job.cutout.part import Candidate, CutoutPart, Opening
from panelmend.job.forms import Form, has_corners
from panelmend.job.formulas import area_of, same_angle, same_length, spare
from panelmend.job.layup import cut_layers, layup, sides_of, skin_depth
from panelmend.job.limits.part import LimitsPart
from panelmend.job.ply_offsets import grown, outermost
from panelmend.job.stock_fit import across_warp, best_blanket, plies_under_blanket, roll_widths
from panelmend.job.surveyed import far_outline_figure
from panelmend.shapes import Outline
from panelmend.units import show

FORMS: tuple[CutoutForm, ...] = get_args(CutoutForm)


@dataclass(frozen=True)
class Rules:
    """What the data says about the cut-out, as figures."""

    margin: Figure
    lie: Figure
    step: Figure
    radius: Figure | None
    damage: Figure
    far: Figure | None
    area: Figure


def make(case: Case, ledger: Ledger, limits: LimitsPart) -> CutoutPart:
    """Choose the cut-out.

    Args:
        case: the repair.
        ledger: takes the figures ``cutout.*``.
        limits: the limits part, whose damage area is used.

    Returns:
        The opening, how deep it goes, and every permitted form with its rank.

    Raises:
        InputError: a pinned cut-out that is none of the four forms, or no form covers the damage.
    """
    basis = Basis(case, ledger)
    damage, data = case.document.damage, case.document.data.cutout
    rules = _rules(basis, limits)
    found = [c for c in (_candidate(basis, form, rules) for form in _forms(basis)) if c is not None]
    ranked = tuple(sorted(found, key=lambda c: (not c.fits, round(float(c.sound_removed), 9))))
    pinned = case.document.choice.cutout is not None or case.document.choice.form is not None
    opening = _chosen(basis, ranked)
    cored = damage.cored
    cut = skin_depth(basis, damage.side)
    depth = ledger.derive_limit("most", "depth", "cutout.skin_depth", same_length, value=cut)
    far_side: Side = "inside" if damage.side == "outside" else "outside"
    return CutoutPart(
        side=damage.side,
        opening=opening,
        far=outline_on(case, opening.outline, damage.side, far_side) if damage.through else None,
        margin=rules.margin,
        skin_depth=depth,
        core_depth=_core_depth(basis),
        mouth_angle=basis.usual("cutout.mouth_angle", data.mouth_angle) if cored else None,
        plies_cut=len(cut_layers(basis, damage.side)),
        candidates=ranked,
        pinned=pinned,
    )


def _rules(basis: Basis, limits: LimitsPart) -> Rules:
    data, case = basis.case.document.data.cutout, basis.case
    held = data.held_to_axes
    lie = "held to the axes" if held is not None and held.value else "free"
    side = case.document.damage.side
    far = None
    if case.geometry.far_damage is not None:
        far = on_skin(basis, "damage.far_on_skin", far_outline_figure(basis), "outside", side)
    on_face = "damage.on_skin" if "damage.on_skin" in basis.ledger else "damage.outline"
    return Rules(
        margin=basis.usual("cutout.margin", data.margin),
        lie=basis.given("cutout.lie", held, value=lie)
        if held is not None
        else basis.ledger.default("cutout.lie", lie, source=PRACTICE),
        step=basis.usual("cutout.size_step", data.size_step),
        radius=basis.usual("cutout.corner_radius_least", data.corner_radius)
        if any(map(has_corners, _forms(basis)))
        else None,
        damage=basis.ledger[on_face],
        far=far,
        area=limits.area,
    )


def permitted(case: Case) -> tuple[CutoutForm, ...]:
    """The forms the data permits; all four where it says nothing."""
    given = case.document.data.cutout.forms
    return given.value if given is not None else FORMS


def _forms(basis: Basis) -> tuple[CutoutForm, ...]:
    """Permitted forms, and the planner's own choice where it is another (the checks speak up then)."""
    given, choice = basis.case.document.data.cutout.forms, basis.case.document.choice
    if given is None:
        basis.ledger.default("cutout.forms", ", ".join(FORMS), source=PRACTICE)
    else:
        basis.given("cutout.forms", given, value=", ".join(given.value))
    forms = permitted(basis.case)
    more = (choice.form,) if choice.form is not None and choice.form not in forms else ()
    return (*forms, *more)


def _candidate(basis: Basis, form: CutoutForm, rules: Rules) -> Candidate | None:
    key = f"cutout.{form}"
    more = {}
    if rules.far is not None:
        more["far"] = rules.far
    if has_corners(form) and rules.radius is not None:
        more["corner_radius"] = rules.radius
    name = basis.ledger.table(f"{key}.name", form, source=Source("forms of cut-out"))
    try:
        made = basis.ledger.derive(
            f"{key}.form",
            f.least_form,
            damage=rules.damage,
            margin=rules.margin,
            form=name,
            lie=rules.lie,
            step=rules.step,
            **more,
        )
    except (ShapeError, SolverError):
        return None
    return _judged(basis, key, made, rules)


def _judged(basis: Basis, key: str, made: Figure, rules: Rules) -> Candidate:
    opening = _opening(basis, key, made)
    removed = basis.ledger.derive(
        f"{key}.sound_removed", f.sound_removed, opening=opening.area, damage=rules.area
    )
    least, reasons = _fit(basis, key, made, opening)
    return Candidate(opening, removed, least, not reasons, reasons)


def _opening(basis: Basis, key: str, made: Figure) -> Opening:
    derive = basis.ledger.derive
    form = made.value
    assert isinstance(form, Form)
    outline = derive(f"{key}.outline", f.outline_of, form=made)
    return Opening(
        form=form.form,
        outline=form.outline,
        centre=form.centre,
        length=derive(f"{key}.length", f.length_of, form=made),
        width=derive(f"{key}.width", f.width_of, form=made),
        angle=derive(f"{key}.angle", f.angle_of, form=made),
        corner_radius=derive(f"{key}.corner_radius", f.corner_radius_of, form=made),
        area=derive(f"{key}.area", area_of, outline=outline),
    )


def _fit(basis: Basis, key: str, made: Figure, opening: Opening) -> tuple[Figure, tuple[str, ...]]:
    """The least spare distance round the plies this opening would take, and what does not fit."""
    view = basis.case.view
    worst: tuple[float, Figure, Figure] | None = None
    reasons: list[str] = []
    for side in sides_of(basis):
        specs = layup(basis, side)
        largest_spec = max(specs, key=lambda s: float(s.margin))
        hole, ply = _largest(basis, key, made, side, largest_spec.margin)
        pieces = {"cut-out": hole, "largest ply": ply}
        cut = hole.value
        assert isinstance(cut, Outline)
        for n in (n for n in neighbours(basis, side) if n.weight == "stop" and n.counts(cut)):
            shape = pieces[n.piece].value
            assert isinstance(shape, Outline)
            over = n.clear(shape) - n.asked
            if over < -1e-9:
                reasons.append(f"{n.piece} to {n.what}: {show(-over, 'length', view)} short")
            if worst is None or over < worst[0]:
                name = n.key.removeprefix("panel.")
                clear, asked = n.figures(basis, pieces[n.piece], f"{key}.{side}.{n.piece} to {name}")
                worst = (over, clear, asked)
        reasons += _not_large_enough(
            basis, f"{key}.{side}", ply, opening, largest_spec.cloth, largest_spec.warp
        )
        reasons += _under_a_blanket(basis, f"{key}.{side}", ply, opening, side)
    assert worst is not None
    left = basis.ledger.derive(f"{key}.spare", spare, clear=worst[1], asked=worst[2])
    return left, tuple(reasons)


def _largest(basis: Basis, key: str, made: Figure, side: Side, margin: Figure) -> tuple[Figure, Figure]:
    """The hole in one skin and the largest ply over it, for a form that is being tried."""
    case, derive = basis.case, basis.ledger.derive
    data, start = case.document.data.plies, case.document.damage.side
    form = made.value
    assert isinstance(form, Form)
    hole = on_skin(basis, f"{key}.{side}.hole", basis.ledger[f"{key}.outline"], start, side)
    if float(margin) <= 0.0:
        return hole, hole
    if not has_corners(form.form) or (data.corners is not None and corners_rounded(data.corners.value)):
        return hole, derive(f"{key}.{side}.largest", grown, outline=hole, margin=margin)
    plain = derive(f"{key}.sharp_outline", f.sharp_outline_of, form=made)
    sharp = on_skin(basis, f"{key}.{side}.sharp", plain, start, side)
    most = basis.usual("plies.trim", data.trim)
    tried = derive(f"{key}.{side}.largest", outermost, cutout=hole, sharp=sharp, margin=margin, most=most)
    return hole, tried


def _not_large_enough(
    basis: Basis, key: str, ply: Figure, opening: Opening, cloth: str, warp: float
) -> list[str]:
    view, reasons = basis.case.view, []
    direction = basis.typed(f"{key}.warp", warp, "angle", path="data.plies")
    need = basis.ledger.derive(f"{key}.across_warp", across_warp, outline=ply, warp=direction)
    rolls = roll_widths(basis, cloth)
    if rolls and all(float(width) < float(need) - 1e-9 for _, width in rolls):
        widest = max(float(w) for _, w in rolls)
        reasons.append(
            f"largest ply takes {show(float(need), 'length', view)} across its warp, "
            f"the widest roll of {cloth} has {show(widest, 'length', view)}"
        )
    return reasons


def _under_a_blanket(basis: Basis, key: str, ply: Figure, opening: Opening, side: Side) -> list[str]:
    if not plies_under_blanket(basis.case, side):
        return []
    blanket = best_blanket(basis, f"{key}.blanket_spare", ply, opening.angle)
    if blanket is None or float(blanket[1]) >= -1e-9:
        return []
    short = show(-float(blanket[1]), "length", basis.case.view)
    return [f"heat blanket {blanket[0]} is {short} too small"]


def _chosen(basis: Basis, ranked: tuple[Candidate, ...]) -> Opening:
    """The pinned cut-out, the planner's form, or the best candidate, under the plain keys ``cutout.*``."""
    choice, derive = basis.case.document.choice, basis.ledger.derive
    if choice.cutout is not None:
        return _pinned(basis)
    forms = [c for c in ranked if choice.form in (None, c.opening.form)]
    if not forms:
        raise InputError(
            "no permitted form of cut-out covers the damage",
            where=f"{basis.case.name}, data.cutout.forms",
            read=", ".join(_forms(basis)),
            todo="permit another form that the approved data allows, or pin one under choice.cutout",
        )
    best = forms[0].opening
    made = basis.ledger[f"cutout.{best.form}.form"]
    derive("cutout.outline", f.outline_of, form=made)
    derive("cutout.sharp_outline", f.sharp_outline_of, form=made)
    return Opening(
        best.form,
        best.outline,
        best.centre,
        derive("cutout.length", same_length, value=best.length),
        derive("cutout.width", same_length, value=best.width),
        derive("cutout.angle", same_angle, value=best.angle),
        derive("cutout.corner_radius", same_length, value=best.corner_radius),
        derive("cutout.area", area_of, outline=basis.ledger["cutout.outline"]),
    )


def _pinned(basis: Basis) -> Opening:
    case = basis.case
    typed = case.document.choice.cutout
    assert typed is not None
    shape = typed.circle or typed.ellipse or typed.oval or typed.rectangle
    if shape is None:
        raise InputError(
            "a pinned cut-out is one of the four forms",
            where=f"{case.name}, choice.cutout",
            read=typed.form,
            expected="circle, ellipse, oval or rectangle",
        )
    form: CutoutForm = typed.form  # type: ignore[assignment]
    length = typed.circle.diameter if typed.circle else shape.length  # type: ignore[union-attr]
    width = typed.circle.diameter if typed.circle else shape.width  # type: ignore[union-attr]
    angle = 0.0 if typed.circle else case.angle(shape.angle)  # type: ignore[union-attr]
    radius = typed.rectangle.corner_radius if typed.rectangle else 0.5 * width
    made = Form(form, case.point(shape.centre), length, width, angle, radius)
    figure = basis.typed("cutout.pinned", made, path="choice.cutout")
    opening = _opening(basis, "cutout", figure)
    basis.ledger.derive("cutout.sharp_outline", f.sharp_outline_of, form=figure)
    return opening


def _core_depth(basis: Basis) -> Figure:
    damage, core = basis.case.document.damage, basis.case.document.panel.core
    typed, path = core.thickness, "panel.core.thickness"
    match damage.depth:
        case "surface" | "plies" | "skin":
            return basis.ledger.table("cutout.core_depth", 0.0, "depth", source=Source("no core is removed"))
        case "skin and core":
            if damage.core_depth is not None:
                typed, path = damage.core_depth, "damage.core_depth"
        case "through":
            pass
        case _:
            assert_never(damage.depth)
    return basis.typed("cutout.core_depth", typed, "depth", path=path, limit="most")
