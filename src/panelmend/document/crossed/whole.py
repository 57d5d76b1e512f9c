"""Cures against what is cured in them, gaps of readings against the dwell, the part's weight, old sheets."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from panelmend.document.geometry import shape_outline
from panelmend.document.given import value_of
from panelmend.document.model import Document, catalogue_of
from panelmend.document.ply_kinds import PLY_KINDS
from panelmend.document.question import PRACTICE, Subject, Usual, Weighed
from panelmend.errors import PanelmendError
from panelmend.materials import Adhesive, Cloth, Core, Resin
from panelmend.materials.constants import Kinetics
from panelmend.materials.cure_law import law_of
from panelmend.physics.cure_chemistry.history import integrate
from panelmend.units.fundamental import ROOM_TEMPERATURE

DEGREE_AFTER_DWELL = 0.7  # degree of cure at the end of the least dwell
USABLE = 0.35  # degree of cure after the longest time out of the freezer
GAP_SHARE = 0.1  # of the least time at heat
AGE = 15.0  # years from a data sheet to the work
WEIGHT = (0.8, 6.0)  # of skins and core alone; edge members, fittings and paint come on top
YEAR = 365.25  # days
MIXED = {"film": False, "paste": True}
OF_ONE_TIME = {"nth order": False, "autocatalytic": False, "two stage": False, "reference time": True}


@dataclass(frozen=True)
class _Laid:
    """A material with constants of cure, the cures it is laid in, how long it may lie before [s]."""

    material: Cloth | Resin | Adhesive
    kinetics: Kinetics
    parts: set[str]
    before: tuple[tuple[str, float, str], ...]


def _constants(document: Document) -> Weighed:
    """Constants of what is laid: the least dwell of its cure cures it, its time before that does not."""
    for laid in _laid(document):
        material, law = laid.material, law_of(laid.kinetics)
        of = Subject(f"materials.{material.id}.kinetics", laid.kinetics, material.id, source=PRACTICE)
        for cure in document.data.cure:
            dwells = [s for s in cure.segment if s.kind == "dwell" and s.least]
            if not laid.parts & set(cure.lays) or not dwells:
                continue
            if _by_reference(laid) and cure.heated_by != "room temperature":
                continue  # asked about by its reference time
            s = max(dwells, key=lambda one: one.to)
            assert s.least is not None
            degree = integrate(law, (0.0, s.least), (s.to, s.to), tolerance=1e-5).degree[-1]
            what = f"degree of cure by its constants after the least dwell of {cure.name}"
            yield of.row(
                "against_dwell", what, degree, "ratio", DEGREE_AFTER_DWELL, 1.0, because="the dwell cures it"
            )
        for key, time, what in laid.before:
            degree = integrate(law, (0.0, time), (ROOM_TEMPERATURE, ROOM_TEMPERATURE), tolerance=1e-5).degree[
                -1
            ]
            what, why = f"degree of cure by its constants after {what} at 23 C", "it can still be laid then"
            yield of.row(key, what, degree, "ratio", 0.0, USABLE, because=why)


def _by_reference(laid: _Laid) -> bool:
    """Whether it is a mixed one of this law; KeyError for a law or a form that nobody knows."""
    mixed = MIXED[laid.material.form] if isinstance(laid.material, Adhesive) else True
    return OF_ONE_TIME[laid.kinetics.law] and mixed and not isinstance(laid.material, Cloth)


def _laid(document: Document) -> Iterator[_Laid]:
    """What the data lays that has constants of cure, each material once."""
    catalogue, parts = catalogue_of(document), dict[str, set[str]]()
    for name, of in _named(document):
        parts.setdefault(name, set()).update(of)
    for name, of in parts.items():
        try:
            material = catalogue.get(name)
        except PanelmendError:
            continue  # said where its name is
        if not isinstance(material, Cloth | Resin | Adhesive) or material.kinetics is None:
            continue
        if isinstance(material, Cloth) and not material.prepreg:
            continue
        before = []
        lives = [r.out_life for r in document.stores.roll if r.material == name and r.out_life]
        if lives:
            before.append(("against_out_life", max(lives), "its longest time out"))
        pot = None if isinstance(material, Cloth) else material.pot_life
        if pot is not None:
            before.append(("against_pot_life", pot.value, "its working life"))
        yield _Laid(material, material.kinetics, of, tuple(before))


def _named(document: Document) -> Iterator[tuple[str, set[str]]]:
    """Materials that the data lays, by name, with the parts they are laid in."""
    data = document.data
    for side in (data.plies.outside, data.plies.inside):
        for kind in PLY_KINDS if side is not None else ():
            plies = value_of(getattr(side, kind.name)) or ()
            for ply in plies if isinstance(plies, tuple) else (plies,):
                yield ply.cloth, {kind.laid}
    cap = value_of(data.core.cap)
    for ply in cap.plies if cap is not None else ():
        yield ply.cloth, {"cap"}
    for given, of in (
        (data.plies.film_adhesive, {"plies", "fill"}),
        (data.core.floor_adhesive, {"core"}),
        (data.core.adhesive, {"core", "potting"}),
        (data.resin.system, {"cap", "fill", "plies"}),
    ):
        name = value_of(given)
        if name:
            yield name, of


def _gaps(document: Document) -> Weighed:
    for i, cure in enumerate(document.data.cure):
        least = [s.least for s in cure.segment if s.kind == "dwell" and s.least]
        if cure.longest_gap is not None and least:
            yield Usual(
                f"data.cure[{i + 1}].longest_gap.against_dwell",
                f"{cure.name}: longest time without readings over the least time at heat",
                cure.longest_gap / min(least),
                "ratio",
                0.0,
                GAP_SHARE,
                because="nobody knows what happened in it",
                source=PRACTICE,
            )


def _weight(document: Document) -> Weighed:
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
    yield Usual(
        "data.finishing.weight_most.against_panel",
        "largest weight of the part over that of its skins and core alone",
        most / (square * shape_outline(panel.outline).area),
        "ratio",
        *WEIGHT,
        because="edge members, fittings and paint come on top",
        source=PRACTICE,
    )


def _old(document: Document) -> Weighed:
    typed = document.materials
    for m in (*typed.cloth, *typed.resin, *typed.adhesive, *typed.core):
        what = f"{m.id}: years since its values were taken from their source"
        years = round((document.repair.work_date - m.dated).days / YEAR, 1)
        yield Usual(f"materials.{m.id}.dated.usual", what, years, "", high=AGE, source=PRACTICE)


CHECKS = (_constants, _gaps, _weight, _old)
