"""Sizes of the damage after clean-up, and what the approved data says to them."""

from __future__ import annotations

from panelmend.derive import Figure, Formula, Ledger
from panelmend.errors import InputError
from panelmend.job.bend import on_skin
from panelmend.job.case import Case
from panelmend.job.formulas import area_of, clear_between
from panelmend.job.ground import Ground
from panelmend.job.limits import formulas
from panelmend.job.limits.part import Disposition, LimitsPart, Reason
from panelmend.job.surveyed import outline_figure
from panelmend.units import show

HALF_TURN = 1.5707963267948966


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
    ground = Ground(case, ledger)
    outline = damage_figure(ground)
    along = _size(ground, "along", outline, formulas.extent, direction=_direction(ground, "zero", 0.0))
    across = _size(
        ground, "across", outline, formulas.extent, direction=_direction(ground, "right", HALF_TURN)
    )
    largest = _size(ground, "largest", outline, formulas.largest_dimension)
    area = ledger.derive("limits.area", area_of, outline=outline)
    reasons = (
        *_sizes(ground, largest, area),
        *_depth(ground),
        *_number(ground),
        *_neighbours(ground, outline),
    )
    return LimitsPart(along, across, largest, area, _disposition(case, reasons), reasons)


def damage_figure(ground: Ground) -> Figure:
    """The damage on the skin worked on, as a figure; raises InputError where no outline is known."""
    case = ground.case
    if case.geometry.damage is None:
        raise InputError(
            "no outline of the damage is known",
            where=f"{case.name}, damage",
            read="neither a shape nor a survey",
            expected="damage.shape: a circle, ellipse, oval, rectangle or traced outline; or a survey",
        )
    if case.document.damage.shape is None:
        typed = outline_figure(ground)
    else:
        typed = ground.typed("damage.outline", case.geometry.damage, path="damage.shape")
    return on_skin(ground, "damage.on_skin", typed, "outside", case.document.damage.side)


def _direction(ground: Ground, name: str, angle: float) -> Figure:
    return ground.typed(f"panel.{name}", angle, "angle", path="panel.zero")


def _size(ground: Ground, name: str, outline: Figure, by: Formula, **more: Figure) -> Figure:
    given = ground.case.document.data.limits.resolution
    if given is None:  # nothing is rounded where the data asks for no rounding
        return ground.ledger.derive(f"limits.{name}", by, outline=outline, **more)
    exact = ground.ledger.derive(f"limits.{name}_measured", by, outline=outline, **more)
    step = ground.given("limits.resolution", given, "length")
    return ground.ledger.derive(f"limits.{name}", formulas.up_to_step, value=exact, step=step)


def _against(
    ground: Ground, what: str, figure: Figure, name: str, kind: str, fails: str, holds: str
) -> Reason:
    given = getattr(ground.case.document.data.limits, name)
    view = ground.case.view
    if given is None:
        return Reason(what, figure, None, None, f"NOT CHECKED: the data gives no {what}")
    limit = ground.given(f"limits.{name}", given, kind)
    fine = float(figure) <= float(limit) * (1 + 1e-9)

    def words(f: Figure) -> str:
        return show(float(f), f.kind, view) if f.kind else str(f.value)

    return Reason(
        what, figure, limit, fine, f"{words(figure)} against {words(limit)}: {holds if fine else fails}"
    )


def _sizes(ground: Ground, largest: Figure, area: Figure) -> tuple[Reason, ...]:
    beyond = "beyond what may be repaired here"
    return (
        _against(
            ground,
            "allowable size",
            largest,
            "allowable",
            "length",
            "needs a structural repair",
            "needs no structural repair",
        ),
        _against(ground, "repairable size", largest, "repairable", "length", beyond, "may be repaired here"),
        _against(ground, "repairable area", area, "repairable_area", "area", beyond, "may be repaired here"),
    )


def _depth(ground: Ground) -> tuple[Reason, ...]:
    damage, given = ground.case.document.damage, ground.case.document.data.limits.depths
    depth = ground.typed("limits.depth", damage.depth, path="damage.depth")
    if given is None:
        return (
            Reason("depth", depth, None, None, "NOT CHECKED: the data does not say which depths it covers"),
        )
    limit = ground.given("limits.depths", given, value=", ".join(given.value))
    fine = damage.depth in given.value
    words = f"depth {damage.depth!r}: {'covered' if fine else 'not covered'} (the data covers {limit.value})"
    return (Reason("depth", depth, limit, fine, words),)


def _number(ground: Ground) -> tuple[Reason, ...]:
    earlier = ground.typed("limits.earlier", len(ground.case.geometry.earlier), path="panel.earlier_repair")
    count = ground.ledger.derive("limits.count", formulas.repairs_with_this, earlier=earlier)
    return (
        _against(
            ground,
            "number of repairs in the panel",
            count,
            "per_panel",
            "",
            "too many for this panel",
            "permitted",
        ),
    )


def _neighbours(ground: Ground, outline: Figure) -> tuple[Reason, ...]:
    """Earlier repairs so near that the data counts them and this damage as one."""
    given = ground.case.document.data.limits.merge_distance
    if given is None:
        return ()
    limit = ground.given("limits.merge_distance", given, "length")
    side = ground.case.document.damage.side
    reasons = []
    for area in ground.case.geometry.earlier:
        typed = ground.typed(f"panel.repair.{area.id}", area.outline, path="panel.earlier_repair")
        other = on_skin(ground, f"panel.repair.{area.id}.{side}", typed, "outside", side)
        far = ground.ledger.derive(f"limits.distance.{area.id}", clear_between, piece=outline, other=other)
        fine = float(far) >= float(limit)
        view = ground.case.view
        reasons.append(
            Reason(
                f"distance to repair {area.id}",
                far,
                limit,
                fine,
                f"{show(float(far), 'length', view)} to repair {area.id}: "
                f"{'counts by itself' if fine else 'the data counts both as one'}",
            )
        )
    return tuple(reasons)


def _disposition(case: Case, reasons: tuple[Reason, ...]) -> Disposition:
    by_what = {r.what: r for r in reasons}
    allowable, size = by_what["allowable size"], by_what["repairable size"]
    area = by_what["repairable area"]
    if any(r.holds is False for r in reasons if r.what != "allowable size"):
        return "engineering"
    if allowable.holds or case.document.damage.depth == "surface":
        return "no structural repair"
    return "not judged" if size.holds is None and area.holds is None else "repair"
