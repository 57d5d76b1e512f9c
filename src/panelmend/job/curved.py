"""Pieces on a curved panel: what a flat template misses, how cloth shears, how far flat things stand off.

Nothing is made here for a flat panel. A panel that is bent one way has templates without strain; it gets the
sagitta alone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from panelmend.derive import Figure
from panelmend.derive.figure import PRACTICE
from panelmend.document.panel import Side
from panelmend.errors import InputError, RangeError
from panelmend.job import curved_darts as d
from panelmend.job import curved_formulas as f
from panelmend.job.basis import Basis
from panelmend.job.curvature import bend_figures, surface_on
from panelmend.job.curved_darts import Dart
from panelmend.shapes import Outline, Point
from panelmend.shapes.torus import Torus
from panelmend.units import Limit, show
from panelmend.units.showing import safely

USUAL_STRAIN = 0.01  # usual limit of a template's strain; common practice, no source
MOST_HALF_ANGLE = (
    0.5  # [rad] how far round from its centre a piece may reach; own choice, see docs/method/curved.md
)
HONEST = 0.03  # strain beyond which a flat template with darts is no template; own choice


@dataclass(frozen=True)
class Bent:
    """What double curvature does to one piece.

    ``strain`` is of the template developed as a cylinder, from its centre to its rim, ``mismatch`` the length
    it is out by; ``shear`` of the cloth and ``off``, how far its edge comes down from its place (None for
    what is no cloth). ``darts`` are in the axes of the piece, ``count`` how many each edge takes, ``left``
    the strain that stays with them. ``strips`` is into how many strips along
    the axis it would have to be split to fit; ``cloth`` is False for what takes no darts.
    """

    id: str
    side: Side
    strain: Figure
    mismatch: Figure
    shear: Figure | None
    off: Figure | None
    count: Figure
    darts: tuple[Dart, ...]
    left: Figure
    strips: Figure
    cloth: bool


@dataclass(frozen=True)
class Flat:
    """One piece as it is developed: figures of its outline and, for woven cloth, of its warp.

    ``cloth`` is False for what takes no darts (a template to mark by, a plug, a cap).
    """

    id: str
    outline: Figure
    warp: Figure | None
    cloth: bool = True


def bent_pieces(
    basis: Basis, side: Side, centre: tuple[Figure, Figure], pieces: Iterable[Flat]
) -> tuple[Bent, ...]:
    """Every piece laid on a face that is bent both ways; nothing for other panels.

    Raises:
        InputError: a piece that reaches farther round, or strains more, than this can answer for.
    """
    surface = surface_on(basis.case, side)
    if surface is None:
        return ()
    bend = face_figures(basis, side)
    data = basis.case.document.data.plies
    most = basis.given_or("plies.strain_most", data.strain_most, USUAL_STRAIN, "strain", source=PRACTICE)
    return tuple(_bent(basis, side, surface, bend, centre, most, piece) for piece in pieces)


def face_figures(basis: Basis, side: Side) -> dict[str, Figure]:
    """Axis and radii of the face of a skin as figures; nothing for a flat panel."""
    bend = bend_figures(basis)
    if not bend or side == "outside":
        return bend
    case, derive = basis.case, basis.ledger.derive
    depth = case.skin_depth(side) if case.geometry.bulges == "outside" else -case.skin_depth(side)
    path = "panel.outer_skin, panel.core, panel.inner_skin"
    deep = basis.typed(f"panel.depth.{side}", depth, "length", path=path)
    face = dict(bend)
    face["radius"] = derive(f"panel.radius.{side}", f.radius_at, radius=bend["radius"], depth=deep)
    if "second" in bend:
        face["second"] = derive(
            f"panel.second_radius.{side}", f.second_at, radius=bend["second"], sense=bend["sense"], depth=deep
        )
    return face


def sagitta_figure(
    basis: Basis, key: str, side: Side, outline: Figure, centre: tuple[Figure, Figure]
) -> Figure | None:
    """How far a flat piece stands off the face of a skin; None for a flat panel."""
    face = face_figures(basis, side)
    if not face:
        return None
    by = f.sagitta_twice if "second" in face else f.sagitta_once
    return basis.ledger.derive(key, by, outline=outline, x=centre[0], y=centre[1], **face)


def _bent(
    basis: Basis,
    side: Side,
    surface: Torus,
    bend: dict[str, Figure],
    centre: tuple[Figure, Figure],
    most: Figure,
    piece: Flat,
) -> Bent:
    derive, key = basis.ledger.derive, f"curved.{piece.id}"
    place = {"outline": piece.outline, "x": centre[0], "y": centre[1], **bend}
    at = (float(centre[0]), float(centre[1]))
    shape = piece.outline.value
    assert isinstance(shape, Outline)
    _refuse_reach(basis, piece.id, shape, at, surface)
    strain = derive(f"{key}.strain", f.template_strain, **place)
    if float(strain) > HONEST:
        raise _refusal(
            basis,
            piece.id,
            f"its flat template is strained {percent(float(strain))}",
            f"at most {percent(HONEST)}",
        )
    shear = off = None
    if piece.warp is not None:
        try:
            shear = derive(f"{key}.shear", f.cloth_shear, **place, warp=piece.warp)
            off = derive(f"{key}.off", f.cloth_off, **place, warp=piece.warp)
        except RangeError as error:
            raise _refusal(basis, piece.id, str(error), "cloth that reaches its edge") from None
    count = derive(f"{key}.darts", d.darts_needed, **place, most=most)
    return Bent(
        id=piece.id,
        side=side,
        strain=strain,
        mismatch=derive(f"{key}.mismatch", f.edge_mismatch, **place),
        shear=shear,
        off=off,
        count=count,
        darts=d.darts_of(shape, at, surface, float(most), int(float(count))) if piece.cloth else (),
        left=derive(f"{key}.strain_left", d.strain_left, **place, most=most, darts=count),
        strips=derive(f"{key}.strips", d.strips_needed, **place, most=most),
        cloth=piece.cloth,
    )


def _refuse_reach(basis: Basis, ident: str, shape: Outline, at: Point, surface: Torus) -> None:
    along, across = f.reaches(shape, *at, surface.axis_angle)
    for reach, radius in ((along, surface.second), (across, surface.radius)):
        if reach > MOST_HALF_ANGLE * radius * (1.0 + 1e-9):
            view = basis.case.view
            raise _refusal(
                basis,
                ident,
                f"it reaches {show(reach, 'length', view)} from its centre over a radius of "
                f"{show(radius, 'length', view)}",
                f"at most {show(MOST_HALF_ANGLE * radius, 'length', view)}, half the radius",
            )


def _refusal(basis: Basis, ident: str, read: str, expected: str) -> InputError:
    return InputError(
        f"{ident} goes too far round the double curve for a flat template",
        where=f"{basis.case.name}, panel.curvature",
        read=read,
        expected=expected,
        todo="take the shape off the panel or its mould by draping, ask the engineer, or check the radii",
    )


def percent(strain: float, limit: Limit = "") -> str:
    """A strain [1] as it is printed for a template; a limit, or what passes one, rounds to its safe side."""
    return f"{safely(100.0 * strain, 2, limit):.2f} %"
