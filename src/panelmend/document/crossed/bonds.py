"""Resins and adhesives: mix, pot, strength and constants of cure against each other."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.crossed.data import part_of_whole
from panelmend.document.model import Document
from panelmend.document.question import MEMORY, Asked, Reader
from panelmend.materials import Adhesive, Cloth, Resin
from panelmend.materials.constants import Kinetics

PARTS = (1.0, 2.0, 3.0, 4.0, 5.0, 10.0, 100.0)


def _mixes(document: Document, view: str) -> Iterator[Asked]:
    ask = Reader(view)
    mixed: tuple[Resin | Adhesive, ...] = (*document.materials.resin, *document.materials.adhesive)
    for material in mixed:
        at = f"materials.{material.id}"
        resin, hardener = material.resin_parts, material.hardener_parts
        if resin is not None and hardener is not None:
            yield from ask.about(
                f"{at}.hardener_parts.against_resin_parts",
                f"{material.id}: hardener over resin, by weight",
                hardener.value / resin.value,
                "ratio",
                0.08,
                1.2,
            )
            yield from ask.about(
                f"{at}.resin_parts.usual",
                f"{material.id}: parts of resin, which are 100, 10 or 1 as a rule:",
                resin.value,
                "",
                1.0,
                100.0,
            )
            if not any(abs(resin.value - p) <= 1e-9 for p in PARTS):
                yield from ask.about(
                    f"{at}.resin_parts.whole",
                    f"{material.id}: parts of resin, which are 100, 10 or a small whole number as a rule:",
                    resin.value,
                    "",
                    100.0,
                    100.0,
                )
            if resin.value == hardener.value:
                yield from ask.about(
                    f"{at}.hardener_parts.equal",
                    f"{material.id}: hardener over resin, equal parts:",
                    hardener.value / resin.value,
                    "ratio",
                    0.08,
                    0.99,
                    because="a line typed twice makes equal parts",
                )
            life = material.pot_life
            yield from ask.about(
                f"{at}.pot_life.usual",
                f"{material.id}: working time of what is mixed",
                None if life is None else life.value,
                "time",
                480.0,
                6 * 3600.0,
            )
            pot = material.pot_mass
            yield from ask.about(
                f"{at}.pot_mass.usual",
                f"{material.id}: largest mass in a pot",
                None if pot is None else pot.value,
                "mass",
                0.05,
                1.0,
            )
        tolerance = material.ratio_tolerance
        yield from ask.about(
            f"{at}.ratio_tolerance.usual",
            f"{material.id}: tolerance of the mix",
            None if tolerance is None else tolerance.value,
            "ratio",
            0.005,
            0.1,
        )
        if material.kinetics is not None:
            yield from _cure(ask, at, material, material.kinetics)
    for cloth in document.materials.cloth:
        if cloth.kinetics is not None:
            yield from _cure(ask, f"materials.{cloth.id}", cloth, cloth.kinetics)
    for resin_of in document.materials.resin:
        yield from ask.about(
            f"materials.{resin_of.id}.density.usual",
            f"{resin_of.id}: density of the mix",
            resin_of.density.value,
            "density",
            950.0,
            1450.0,
            source=MEMORY,
        )


def _cure(ask: Reader, at: str, material: Resin | Adhesive | Cloth, k: Kinetics) -> Iterator[Asked]:
    if k.law == "reference time":
        yield from ask.about(
            f"{at}.kinetics.e1.usual",
            f"{material.id}: activation energy",
            k.e1,
            "molar energy",
            35e3,
            130e3,
            source=f"epoxies 45 to 100 kJ/mol; {MEMORY}",
        )
        yield from ask.about(
            f"{at}.kinetics.reference_degree.usual",
            f"{material.id}: reference degree of cure",
            k.reference_degree,
            "ratio",
            0.6,
            0.995,
        )
    yield from ask.about(
        f"{at}.kinetics.heat.usual",
        f"{material.id}: heat of reaction",
        k.heat,
        "specific energy",
        80e3,
        650e3,
        source=f"epoxies 300 to 550 kJ/kg, less with filler; {MEMORY}",
    )
    yield from ask.about(
        f"{at}.kinetics.tg0.usual",
        f"{material.id}: glass transition before it cures",
        k.tg0,
        "temperature",
        213.15,
        293.15,
        source=f"epoxies -50 to 10 C; {MEMORY}",
    )
    yield from ask.about(
        f"{at}.kinetics.tg_full.usual",
        f"{material.id}: glass transition fully cured",
        k.tg_full,
        "temperature",
        313.15,
        533.15,
        source=f"epoxies 50 to 250 C; {MEMORY}",
    )
    yield from ask.about(
        f"{at}.kinetics.tg_lambda.usual",
        f"{material.id}: DiBenedetto's constant",
        k.tg_lambda,
        "ratio",
        0.2,
        1.0,
        source=MEMORY,
    )


def _adhesives(document: Document, view: str) -> Iterator[Asked]:
    ask = Reader(view)
    for a in document.materials.adhesive:
        at = f"materials.{a.id}"
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
            given = getattr(a, name)
            value = None if given is None else given.value
            yield from ask.about(
                f"{at}.{name}.usual", f"{a.id}: {what}", value or None, kind, low, high, source=MEMORY
            )
        of = {n: g.value for n in type(a).model_fields if hasattr(g := getattr(a, n), "value")}
        yield from ask.about(
            f"{at}.shear_strength.against_shear_modulus",
            f"{a.id}: shear strength over its modulus",
            part_of_whole(of.get("shear_strength"), of.get("shear_modulus")),
            "ratio",
            0.01,
            0.2,
            source=MEMORY,
        )
        yield from ask.about(
            f"{at}.peel_strength.against_shear_strength",
            f"{a.id}: peel strength over shear strength",
            part_of_whole(of.get("peel_strength"), of.get("shear_strength")),
            "ratio",
            0.25,
            3.0,
            source=MEMORY,
        )
        yield from ask.about(
            f"{at}.flatwise_hot_wet.against_flatwise_strength",
            f"{a.id}: flatwise strength hot and wet over that at room temperature",
            part_of_whole(of.get("flatwise_hot_wet"), of.get("flatwise_strength")),
            "ratio",
            0.15,
            0.98,
            source=MEMORY,
        )


CHECKS = (_mixes, _adhesives)
