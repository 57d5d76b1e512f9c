"""Thermal constants and constants of cure: sizes and signs that no material has.

Bounds: common handbook ranges, widened, from memory.
"""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.bounds import faults_below
from panelmend.document.fault import Fault, fault_at
from panelmend.document.faults.plausible import fault_outside
from panelmend.document.model import Document
from panelmend.document.places import Path
from panelmend.errors import InputError
from panelmend.materials import Adhesive, Bagging, Cloth, Core, MaterialSet, Resin
from panelmend.materials.cure_law import law_of
from panelmend.materials.model import Kinetics, Thermal

CUP_TEMPERATURE, HOTTER_THAN_CURES = 293.15, 473.15  # K: a cup of mixed resin, and hotter than most cures
# Conductivity in the plane and through it [W/(m K)] by what the material is. A laminate conducts less than
# its fibre along itself (E-glass 1, quartz 1.4, aramid 4, pitch carbon 500), a solid more than vacuum panels.
PLANE = {"carbon": (0.02, 500.0), "glass": (0.02, 10.0), "aramid": (0.02, 10.0), "quartz": (0.02, 10.0)}
CORE = {"aluminium": (0.005, 50.0), "aramid": (0.005, 5.0), "glass": (0.005, 5.0), "foam": (0.005, 5.0)}
CONDUCTIVITY_THROUGH = (0.02, 20.0)
INSULATION = (0.005, 1.0)
ANY = (0.005, 500.0)
CONDUCTIVITIES = {
    **{f"cloth of {fibre}": (pair, CONDUCTIVITY_THROUGH) for fibre, pair in PLANE.items()},
    **{f"core of {fibre}": (pair, pair) for fibre, pair in CORE.items()},
    "insulation": (INSULATION, INSULATION),
    "anything else": (ANY, ANY),
}
KILO = "check the unit: thousandths of it (mW/mK) may have been written as whole ones (W/mK)"
MILLI = "check the unit: W/mmK or kW/mK may have been written as W/mK"


def material_faults(materials: MaterialSet, path: Path = ("materials",)) -> Iterator[Fault]:
    """Every implausible thermal constant of a set of materials."""
    for kind in ("cloth", "resin", "adhesive", "core", "bagging"):
        for i, material in enumerate(getattr(materials, kind)):
            here = (*path, kind, i)
            thermal: Thermal | None = getattr(material, "thermal", None)
            if thermal is not None:
                yield from _thermal((*here, "thermal"), thermal, *_conductivities(material))
            kinetics: Kinetics | None = getattr(material, "kinetics", None)
            if kinetics is not None:
                yield from _kinetics((*here, "kinetics"), kinetics)


def _conductivities(
    material: Cloth | Resin | Adhesive | Core | Bagging,
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Bounds of the conductivity in the plane and through it."""
    if isinstance(material, Cloth):
        return PLANE[material.fibre], CONDUCTIVITY_THROUGH
    if isinstance(material, Core):
        return CORE[material.fibre], CORE[material.fibre]
    if isinstance(material, Bagging) and material.use == "insulation":
        return INSULATION, INSULATION
    return ANY, ANY


def _thermal(
    path: Path, t: Thermal, plane: tuple[float, float], through: tuple[float, float]
) -> Iterator[Fault]:
    for field, words, (low, high) in (
        ("k_in_plane", "conductivity in the plane", plane),
        ("k_through", "conductivity through the thickness", through),
    ):
        value = getattr(t, field)
        here = (*path, field)
        yield from fault_outside(
            here, words, value, "conductivity", low, high, low_todo=MILLI, high_todo=KILO
        )


def _kinetics(path: Path, k: Kinetics) -> Iterator[Fault]:
    found = list(faults_below(k, path))  # said elsewhere; here they only keep the law from being tried
    outside_bounds = len(found)
    if k.tg_lambda is not None and not 0.0 < k.tg_lambda <= 1.0:
        found.append(
            fault_at(
                (*path, "tg_lambda"),
                "not a constant of DiBenedetto",
                f"{k.tg_lambda:g}",
                "above 0, at most 1",
            )
        )
    yield from found[outside_bounds:]
    if not found:
        yield from _law(path, k)


def _law(path: Path, k: Kinetics) -> Iterator[Fault]:
    """Constants that make no law, or one that no resin follows."""
    try:
        law = law_of(k)
    except InputError as error:
        yield fault_at(path, error.words, error.read, error.expected, error.todo)
        return
    todo = "check the units: rates in 1/s or 1/min, energies in J/mol or kJ/mol"
    steps = [0.1 * i for i in range(9)]
    if law(0.0, HOTTER_THAN_CURES) <= 0.0:
        yield fault_at(
            path,
            "by these constants uncured resin never begins to cure",
            f"a1 = {k.a1 or 0.0:g} 1/s" if k.a1 is not None or k.law == "autocatalytic" else f"law {k.law}",
            "a rate above zero at degree of cure 0",
            "give a1 and e1",
        )
    elif max(law(a, HOTTER_THAN_CURES) for a in steps) < 1.0 / (30 * 86400.0):
        slow = f"{max(law(a, HOTTER_THAN_CURES) for a in steps) * 86400:.2g} of the cure in a day at 200 C"
        yield fault_at(
            path, "implausible constants: it would not cure in a month at 200 C", slow, "faster", todo
        )
    elif max(law(a, CUP_TEMPERATURE) for a in steps) > 0.1:
        fast = f"{max(law(a, CUP_TEMPERATURE) for a in steps):.2g} of the cure in a second at 20 C"
        yield fault_at(path, "implausible constants: it would cure in the cup at once", fast, "slower", todo)


def _materials(document: Document) -> Iterator[Fault]:
    yield from material_faults(document.materials)


CHECKS = ((_materials, ("materials",)),)
