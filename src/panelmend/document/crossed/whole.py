"""Cures against what is cured in them, gaps of readings against the dwell, the part's weight, old sheets."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.crossed.data import value_of
from panelmend.document.geometry import shape_outline
from panelmend.document.model import Document, catalogue_of
from panelmend.document.question import Asked, Reader
from panelmend.errors import PanelmendError
from panelmend.materials import Cloth, Core
from panelmend.materials.cure_law import law_of
from panelmend.physics.cure_chemistry.history import integrate

ROOM = 296.15  # K: 23 C
CURED = 0.7  # degree of cure at the end of the least dwell
USABLE = 0.35  # degree of cure after the longest time out of the freezer
GAP = 0.1  # of the least time at heat
AGE = 15.0  # years from a data sheet to the work
WEIGHT = (0.8, 6.0)  # of skins and core alone; edge members, fittings and paint come on top
YEAR = 365.25  # days


def _prepregs(document: Document, view: str) -> Iterator[Asked]:
    """Constants of a prepreg: the dwell of its cure cures it, its time out of the freezer does not."""
    ask, catalogue = Reader(view), catalogue_of(document)
    laid: dict[str, Cloth] = {}
    for side in (document.data.plies.outside, document.data.plies.inside):
        for ply in (value_of(side.repair) or ()) if side is not None else ():
            try:
                cloth = catalogue.cloth(ply.cloth)
            except PanelmendError:
                continue  # said where its name is
            if cloth.prepreg and cloth.kinetics is not None:
                laid[cloth.id] = cloth
    for cloth in laid.values():
        assert cloth.kinetics is not None
        at = f"materials.{cloth.id}.kinetics"
        law = law_of(cloth.kinetics)
        for cure in document.data.cure:
            dwells = [s for s in cure.segment if s.kind == "dwell" and s.least]
            if not {"plies", "fill"} & set(cure.lays) or cure.heated_by == "room temperature" or not dwells:
                continue
            s = max(dwells, key=lambda one: one.to)
            assert s.least is not None
            degree = integrate(law, (0.0, s.least), (s.to, s.to), tolerance=1e-5).degree[-1]
            yield from ask.about(
                f"{at}.against_dwell",
                f"{cloth.id}: degree of cure by its constants after the least dwell of {cure.name}",
                degree,
                "ratio",
                CURED,
                1.0,
                because="the dwell cures it",
            )
        lives = [r.out_life for r in document.stores.roll if r.material == cloth.id and r.out_life]
        if lives:
            degree = integrate(law, (0.0, max(lives)), (ROOM, ROOM), tolerance=1e-5).degree[-1]
            yield from ask.about(
                f"{at}.against_out_life",
                f"{cloth.id}: degree of cure by its constants after its longest time out at 23 C",
                degree,
                "ratio",
                0.0,
                USABLE,
                because="it can still be laid then",
            )


def _gaps(document: Document, view: str) -> Iterator[Asked]:
    for i, cure in enumerate(document.data.cure):
        least = [s.least for s in cure.segment if s.kind == "dwell" and s.least]
        if cure.longest_gap is not None and least:
            yield from Reader(view).about(
                f"data.cure[{i + 1}].longest_gap.against_dwell",
                f"{cure.name}: longest time without readings over the least time at heat",
                cure.longest_gap / min(least),
                "ratio",
                0.0,
                GAP,
                because="nobody knows what happened in it",
            )


def _weight(document: Document, view: str) -> Iterator[Asked]:
    """What the part may weigh against its skins and core alone."""
    most, panel = value_of(document.data.finishing.weight_most), document.panel
    if most is None:
        return
    catalogue = catalogue_of(document)
    try:
        core = catalogue.get(panel.core.material)
        square = core.density.value * panel.core.thickness if isinstance(core, Core) else 0.0
        for ply in (*panel.outer_skin.plies, *panel.inner_skin.plies):
            cloth = catalogue.cloth(ply.cloth)
            square += cloth.areal_mass.value * (1.0 if cloth.prepreg else 1.6)
    except PanelmendError:
        return  # said where the name is
    yield from Reader(view).about(
        "data.finishing.weight_most.against_panel",
        "largest weight of the part over that of its skins and core alone",
        most / (square * shape_outline(panel.outline).area),
        "ratio",
        *WEIGHT,
        because="edge members, fittings and paint come on top",
    )


def _old(document: Document, view: str) -> Iterator[Asked]:
    typed = document.materials
    for m in (*typed.cloth, *typed.resin, *typed.adhesive, *typed.core):
        yield from Reader(view).about(
            f"materials.{m.id}.dated.usual",
            f"{m.id}: years since its values were taken from their source",
            round((document.repair.work_date - m.dated).days / YEAR, 1),
            "",
            high=AGE,
        )


CHECKS = (_prepregs, _gaps, _weight, _old)
