"""Resins and adhesives: mix, pot, strength and constants of cure against each other."""

from __future__ import annotations

from panelmend.document.model import Document
from panelmend.document.question import MEMORY, PRACTICE, Subject, Weighed
from panelmend.materials import Adhesive, Cloth, Resin
from panelmend.materials.constants import Kinetics

RESIN_PARTS = (1.0, 2.0, 3.0, 4.0, 5.0, 10.0, 100.0)


def _mixes(document: Document) -> Weighed:
    mixed: tuple[Resin | Adhesive, ...] = (*document.materials.resin, *document.materials.adhesive)
    for material in mixed:
        of = Subject(f"materials.{material.id}", material, material.id, source=PRACTICE)
        if material.resin_parts is not None and material.hardener_parts is not None:
            resin, hardener = material.resin_parts.value, material.hardener_parts.value
            yield of.share("hardener_parts", "resin_parts", "hardener over resin, by weight", 0.08, 1.2)
            yield of.usual("resin_parts", "parts of resin, which are 100, 10 or 1 as a rule:", "", 1.0, 100.0)
            if not any(abs(resin - p) <= 1e-9 for p in RESIN_PARTS):
                what = "parts of resin, which are 100, 10 or a small whole number as a rule:"
                yield of.row("resin_parts.whole", what, resin, "", 100.0, 100.0)
            if resin == hardener:
                what, why = "hardener over resin, equal parts:", "a line typed twice makes equal parts"
                yield of.row("hardener_parts.equal", what, hardener / resin, "ratio", 0.08, 0.99, because=why)
            yield of.usual("pot_life", "working time of what is mixed", "time", 480.0, 6 * 3600.0)
            yield of.usual("pot_mass", "largest mass in a pot", "mass", 0.05, 1.0)
        yield of.usual("ratio_tolerance", "tolerance of the mix", "ratio", 0.005, 0.1)
        if material.kinetics is not None:
            yield from _cure(material, material.kinetics)
    for cloth in document.materials.cloth:
        if cloth.kinetics is not None:
            yield from _cure(cloth, cloth.kinetics)
    for resin_of in document.materials.resin:
        of = Subject(f"materials.{resin_of.id}", resin_of, resin_of.id, source=MEMORY)
        yield of.usual("density", "density of the mix", "density", 950.0, 1450.0)


def _cure(material: Resin | Adhesive | Cloth, k: Kinetics) -> Weighed:
    of = Subject(f"materials.{material.id}.kinetics", k, material.id, source=PRACTICE)
    if k.law == "reference time":
        epoxies = f"epoxies 45 to 100 kJ/mol; {MEMORY}"
        yield of.usual("e1", "activation energy", "molar energy", 35e3, 130e3, source=epoxies)
        yield of.usual("reference_degree", "reference degree of cure", "ratio", 0.6, 0.995)
    epoxies = f"epoxies 300 to 550 kJ/kg, less with filler; {MEMORY}"
    yield of.usual("heat", "heat of reaction", "specific energy", 80e3, 650e3, source=epoxies)
    epoxies = f"epoxies -50 to 10 C; {MEMORY}"
    yield of.usual("tg0", "glass transition before it cures", "temperature", 213.15, 293.15, source=epoxies)
    epoxies = f"epoxies 50 to 250 C; {MEMORY}"
    yield of.usual("tg_full", "glass transition fully cured", "temperature", 313.15, 533.15, source=epoxies)
    yield of.usual("tg_lambda", "DiBenedetto's constant", "ratio", 0.2, 1.0, source=MEMORY)


def _adhesives(document: Document) -> Weighed:
    for a in document.materials.adhesive:
        of = Subject(f"materials.{a.id}", a, a.id, source=MEMORY)
        density = {"film": (900.0, 1500.0), "paste": (450.0, 2000.0)}[a.form]
        for name, what, kind, low, high in (
            ("density", "density", "density", *density),
            ("thickness", "bond line", "thickness", 0.04e-3, 0.8e-3),
            ("filler", "filler on the mix", "ratio", 0.02, 1.0),
            ("shear_modulus", "shear modulus", "stiffness", 100e6, 2e9),
            ("shear_strength", "shear strength", "stiffness", 6e6, 70e6),
            ("plastic_strain", "plastic strain", "ratio", 0.01, 2.0),
            ("peel_strength", "peel strength", "stiffness", 4e6, 100e6),
            ("flatwise_strength", "flatwise strength", "stiffness", 1e6, 18e6),
        ):
            yield of.row(f"{name}.usual", what, of.value(name) or None, kind, low, high)
        yield of.share("shear_strength", "shear_modulus", "shear strength over its modulus", 0.01, 0.2)
        yield of.share("peel_strength", "shear_strength", "peel strength over shear strength", 0.25, 3.0)
        what = "flatwise strength hot and wet over that at room temperature"
        yield of.share("flatwise_hot_wet", "flatwise_strength", what, 0.15, 0.98)


CHECKS = (_mixes, _adhesives)
