"""Sizes of the damage after clean-up, and what the approved data says about them."""

from __future__ import annotations

from panelmend.derive import Figure, Formula, Ledger
from panelmend.derive.ledger import words_of
from panelmend.document.panel import Side
from panelmend.errors import InputError
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.curvature import on_skin
from panelmend.job.formulas import area_of, clear_between
from panelmend.job.limits import formulas
from panelmend.job.limits.part import Compared, Disposition, LimitReason, LimitsPart, Sizes
from panelmend.job.surveyed import far_outline_figure, outline_figure
from panelmend.shapes import Outline, clearance
from panelmend.units import show
from panelmend.units.fundamental import QUARTER_TURN


def make(case: Case, ledger: Ledger) -> LimitsPart:
    """Measure the damage and compare it with every limit the data gives.

    Args:
        case: the repair.
        ledger: takes the figures ``limits.*``.

    Returns:
        Sizes, disposition and the reasons for it; a limit the data does not give is never judged.

    Raises:
        InputError: no outline of the damage is known.
    """
    basis = Basis(case, ledger)
    outline = damage_figure(basis)
    near = _sizes_of(basis, case.document.damage.side, "", outline)
    other = far_figure(basis, outline)
    far = None if other is None else _sizes_of(basis, other_side(case), "far_", other)
    elsewhere = _elsewhere(case)
    skins = [(near, outline)] + ([(far, other)] if far is not None and other is not None else [])
    reasons = (
        *(r for sizes, _ in skins for r in _sizes(basis, sizes, len(skins) > 1)),
        *_depth(basis),
        *_repair_count(basis, elsewhere),
        *(r for sizes, shape in skins for r in _neighbours(basis, sizes.side, shape, len(skins) > 1)),
    )
    return LimitsPart(
        near.along,
        near.across,
        near.largest,
        near.area,
        _disposition(case, reasons, elsewhere),
        reasons,
        far,
        elsewhere,
    )


def other_side(case: Case) -> Side:
    """The skin that is not worked on first."""
    return "inside" if case.document.damage.side == "outside" else "outside"


def far_figure(basis: Basis, near: Figure) -> Figure | None:
    """The damage in the far skin where it goes through, developed there; the near one where none is typed.

    Typed for a curved panel it counts as typed if projecting it to that skin would make it smaller: the
    document does not say on which face it was measured.
    """
    case = basis.case
    damage = case.document.damage
    if not damage.through:
        return None
    side = other_side(case)
    if case.geometry.far_damage is None:
        return on_skin(basis, "damage.far_at_its_skin", near, damage.side, side)
    typed = far_outline_figure(basis)
    carried = on_skin(basis, "damage.far_at_its_skin", typed, "outside", side)
    if damage.far_shape is None:
        return carried
    return max(typed, carried, key=_area)


def _area(outline: Figure) -> float:
    assert isinstance(outline.value, Outline)
    return outline.value.area


def _elsewhere(case: Case) -> bool:
    """Whether the damage of the far skin does not overlap that of the near one."""
    near, far = case.geometry.damage, case.geometry.far_damage
    if not case.document.damage.through or near is None or far is None:
        return False
    return not clearance(near, far).overlaps


def _sizes_of(basis: Basis, side: Side, prefix: str, outline: Figure) -> Sizes:
    zero, right = _direction(basis, "zero", 0.0), _direction(basis, "right", QUARTER_TURN)
    return Sizes(
        side,
        _size(basis, f"{prefix}along", outline, formulas.extent, direction=zero),
        _size(basis, f"{prefix}across", outline, formulas.extent, direction=right),
        _size(basis, f"{prefix}largest", outline, formulas.largest_dimension),
        basis.ledger.derive(f"limits.{prefix}area", area_of, outline=outline),
    )


def damage_figure(basis: Basis) -> Figure:
    """The damage on the skin worked on, as a figure.

    Raises:
        InputError: no outline is known.
    """
    case = basis.case
    if case.geometry.damage is None:
        raise InputError(
            "no outline of the damage is known",
            where=f"{case.name}, damage",
            read="neither a shape nor a survey",
            expected="damage.shape: a circle, ellipse, oval, rectangle or traced outline; or a survey",
        )
    if case.document.damage.shape is None:
        typed = outline_figure(basis)
    else:
        typed = basis.typed("damage.outline", case.geometry.damage, path="damage.shape")
    return on_skin(basis, "damage.on_skin", typed, "outside", case.document.damage.side)


def _direction(basis: Basis, name: str, angle: float) -> Figure:
    return basis.typed(f"panel.{name}", angle, "angle", path="panel.zero")


def _size(basis: Basis, name: str, outline: Figure, by: Formula, **more: Figure) -> Figure:
    given = basis.case.document.data.limits.resolution
    if given is None:  # nothing is rounded where the data asks for no rounding
        return basis.ledger.derive(f"limits.{name}", by, outline=outline, **more)
    exact = basis.ledger.derive(f"limits.{name}_measured", by, outline=outline, **more)
    step = basis.given("limits.resolution", given, "length")
    return basis.ledger.derive(f"limits.{name}", formulas.up_to_step, value=exact, step=step)


def _against(
    basis: Basis,
    compared: Compared,
    side: Side | None,
    figure: Figure,
    name: str,
    kind: str,
    fails: str,
    holds: str,
    *,
    skin: str = "",
) -> LimitReason:
    what = f"{WHAT.get(compared, compared)}{skin}"
    given = getattr(basis.case.document.data.limits, name)
    view = basis.case.view
    if given is None:
        return LimitReason(
            compared,
            side,
            what,
            figure,
            None,
            None,
            f"NOT CHECKED: the data gives no {WHAT.get(compared, compared)}",
        )
    limit = basis.given(f"limits.{name}", given, kind, limit="most")
    fine = float(figure) <= float(limit) * (1 + 1e-9)
    measured = show(float(figure), figure.kind, view, limit="least") if figure.kind else str(figure.value)
    words = f"{measured} against {words_of(limit, view)}: {holds if fine else fails}"
    return LimitReason(compared, side, what, figure, limit, fine, words)


WHAT: dict[Compared, str] = {"number of repairs": "number of repairs in the panel"}


def _sizes(basis: Basis, sizes: Sizes, both: bool) -> tuple[LimitReason, ...]:
    beyond, skin = "beyond what may be repaired here", f", {sizes.side} skin" if both else ""
    largest, area, side = sizes.largest, sizes.area, sizes.side
    return (
        _against(
            basis,
            "allowable size",
            side,
            largest,
            "allowable",
            "length",
            "needs a structural repair",
            "needs no structural repair",
            skin=skin,
        ),
        _against(
            basis,
            "repairable size",
            side,
            largest,
            "repairable",
            "length",
            beyond,
            "may be repaired here",
            skin=skin,
        ),
        _against(
            basis,
            "repairable area",
            side,
            area,
            "repairable_area",
            "area",
            beyond,
            "may be repaired here",
            skin=skin,
        ),
    )


def _depth(basis: Basis) -> tuple[LimitReason, ...]:
    damage, given = basis.case.document.damage, basis.case.document.data.limits.depths
    depth = basis.typed("limits.depth", damage.depth, path="damage.depth")
    if given is None:
        return (
            LimitReason(
                "depth",
                None,
                "depth",
                depth,
                None,
                None,
                "NOT CHECKED: the data does not say which depths it covers",
            ),
        )
    limit = basis.given("limits.depths", given, value=", ".join(given.value))
    fine = damage.depth in given.value
    words = f"depth {damage.depth!r}: {'covered' if fine else 'not covered'} (the data covers {limit.value})"
    return (LimitReason("depth", None, "depth", depth, limit, fine, words),)


def _repair_count(basis: Basis, elsewhere: bool) -> tuple[LimitReason, ...]:
    earlier = basis.typed("limits.earlier", len(basis.case.geometry.earlier), path="panel.earlier_repair")
    count = basis.ledger.derive("limits.count", formulas.repairs_with_this, earlier=earlier)
    for other in basis.case.others:  # each of them is a repair of its own
        count = basis.ledger.derive(
            f"limits.count_with_{other.id}", formulas.repairs_with_this, earlier=count
        )
    if elsewhere:
        count = basis.ledger.derive("limits.count_with_far", formulas.repairs_with_this, earlier=count)
    return (
        _against(
            basis, "number of repairs", None, count, "per_panel", "", "too many for this panel", "permitted"
        ),
    )


def _neighbours(basis: Basis, side: Side, outline: Figure, both: bool) -> tuple[LimitReason, ...]:
    """Earlier repairs so close that the data counts them and this damage as one."""
    given = basis.case.document.data.limits.merge_distance
    if given is None:
        return ()
    limit = basis.given("limits.merge_distance", given, "length")
    far_skin = "" if side == basis.case.document.damage.side else f".{side}"
    reasons = []
    for area in basis.case.geometry.earlier:
        typed = basis.typed(f"panel.repair.{area.id}", area.outline, path="panel.earlier_repair")
        other = on_skin(basis, f"panel.repair.{area.id}.{side}", typed, "outside", side)
        far = basis.ledger.derive(
            f"limits.distance{far_skin}.{area.id}", clear_between, piece=outline, other=other
        )
        fine = float(far) >= float(limit) - 1e-9
        view = basis.case.view
        reasons.append(
            LimitReason(
                "distance to a repair",
                side,
                f"distance to repair {area.id}" + (f", {side} skin" if both else ""),
                far,
                limit,
                fine,
                f"{show(float(far), 'length', view, limit='most')} to repair {area.id}, "
                f"{words_of(limit, view)} required: "
                f"{'it counts by itself' if fine else 'the data counts both as one'}",
            )
        )
    return tuple(reasons)


def _disposition(case: Case, reasons: tuple[LimitReason, ...], elsewhere: bool) -> Disposition:
    def of(kind: Compared) -> list[LimitReason]:
        return [r for r in reasons if r.kind == kind]

    if elsewhere or any(r.holds is False for r in reasons if r.kind != "allowable size"):
        return "engineering"
    if all(r.holds for r in of("allowable size")) or case.document.damage.depth == "surface":
        return "no structural repair"
    judged = (*of("repairable size"), *of("repairable area"))
    return "not judged" if all(r.holds is None for r in judged) else "repair"
