"""Cloths: modulus by fibre, strength against modulus, hot and wet against room, heat and water."""

from __future__ import annotations

import math

from panelmend.document.model import Document
from panelmend.document.question import MEMORY, Subject, Weighed, part_of_whole
from panelmend.materials import Cloth
from panelmend.materials.constants import Structural, Thermal
from panelmend.units.fundamental import GAS, ROOM_TEMPERATURE

# Modulus of a cured ply along its warp [Pa]: woven, one way.
MODULUS = {
    "glass": ((10e9, 38e9), (30e9, 65e9)),
    "quartz": ((10e9, 38e9), (30e9, 65e9)),
    "carbon": ((35e9, 150e9), (80e9, 450e9)),
    "aramid": ((14e9, 48e9), (45e9, 110e9)),
}
DENSITY = {"glass": (1400.0, 2300.0), "quartz": (1400.0, 2100.0), "carbon": (1250.0, 1850.0)} | {
    "aramid": (1050.0, 1550.0)
}
K_PLANE = {"glass": (0.2, 1.8), "quartz": (0.2, 2.5), "carbon": (1.0, 100.0), "aramid": (0.1, 3.0)}
K_WOVEN = 15.0  # W/mK: the most of a woven cloth, from memory
PRESSED = {
    "glass": 1.15,
    "quartz": 1.15,
    "carbon": 0.98,
    "aramid": 0.98,
}  # the most in compression over tension
FAILURE_STRAINS = (0.003, 0.033)  # at failure along fibres; aramid in compression is the least
SHEAR_STRAIN = (0.005, 0.06)
STRENGTHS = ("xt", "xc", "yt", "yc", "s")
FIBRE = {"glass": 2550.0, "quartz": 2200.0, "carbon": 1780.0, "aramid": 1440.0}  # kg/m3, from memory
WATER_DIFFUSIVITIES = (2e-14, 4e-12)  # m2/s at room temperature: diffusivity of water in a laminate


def _cloths(document: Document) -> Weighed:
    for cloth in document.materials.cloth:
        of = Subject(f"materials.{cloth.id}", cloth, cloth.id, source=MEMORY)
        share = cloth.areal_mass.value / FIBRE[cloth.fibre] / cloth.cured_thickness.value
        what = f"share of {cloth.fibre} in a cured ply, by volume"
        yield of.row("cured_thickness.against_areal_mass", what, share, "ratio", 0.28, 0.72)
        for name in ("room", "hot_wet"):
            given: Structural | None = getattr(cloth, name)
            if given is not None:
                state = Subject(f"{of.at}.{name}", given, cloth.id, source=MEMORY)
                yield from _stiff(state, cloth, given)
                yield from _strong(state, cloth, given)
        if cloth.room is not None and cloth.hot_wet is not None:
            yield from _hot(of, cloth.room, cloth.hot_wet)
        if cloth.thermal is not None:
            yield from _thermal(cloth, cloth.thermal)


def _stiff(of: Subject, cloth: Cloth, given: Structural) -> Weighed:
    one_way = not cloth.woven
    what, ends = f"modulus along the warp ({cloth.fibre})", MODULUS[cloth.fibre][one_way]
    yield of.usual("e1", what, "stiffness", *ends)
    what, ends = "modulus across the warp over that along it", (0.01, 0.6) if one_way else (0.6, 1.6)
    yield of.share("e2", "e1", what, *ends)
    least = given.e2 if one_way else min(given.e1, given.e2)
    what = f"shear modulus over the modulus {'across' if one_way else 'along'} the warp"
    ends = (0.2, 0.9) if one_way else (0.03, 0.35)
    yield of.row("g12.against_e", what, given.g12 / least, "ratio", *ends)
    ends = (0.15, 0.45) if one_way else (0.02, 0.25)
    yield of.usual("nu12", "Poisson's ratio", "ratio", *ends)


def _strong(of: Subject, cloth: Cloth, given: Structural) -> Weighed:
    one_way = not cloth.woven
    for name in ("xt", "xc", "yt", "yc"):
        share = part_of_whole(of.value(name), given.e1 if name[0] == "x" else given.e2)
        what = f"{name} over its modulus, which is a strain at failure:"
        yield of.row(
            f"{name}.against_e", what, share, "ratio", *((0.001, 0.04) if one_way else FAILURE_STRAINS)
        )
    for tension, compression in (("xt", "xc"), ("yt", "yc")):
        if one_way and tension == "yt":
            continue  # across the fibres compression is the stronger one
        what = "strength in compression over that in tension"
        most = 0.98 if of.at.endswith("hot_wet") else PRESSED[cloth.fibre]
        yield of.share(compression, tension, what, 0.2, most)
    if not one_way:
        yield of.share("yt", "xt", "strength along the fill over that along the warp", 0.7, 1.4)
    yield of.share("s", "g12", "shear strength over its modulus", *SHEAR_STRAIN)


def _hot(of: Subject, room: Structural, hot: Structural) -> Weighed:
    for name in ("e1", "e2", "g12", *STRENGTHS):
        share = part_of_whole(getattr(hot, name), getattr(room, name))
        what = f"{name} hot and wet over that at room temperature"
        yield of.row(f"hot_wet.{name}.against_room", what, share, "ratio", 0.25, 1.02)


def _thermal(cloth: Cloth, given: Thermal) -> Weighed:
    of = Subject(f"materials.{cloth.id}.thermal", given, cloth.id, source=MEMORY)
    low, high = K_PLANE[cloth.fibre]
    one_way = not cloth.woven
    high = high if one_way else min(high, K_WOVEN)
    yield of.usual("k_in_plane", f"conductivity in its plane ({cloth.fibre})", "conductivity", low, high)
    what = "conductivity through it over that in its plane"
    yield of.share("k_through", "k_in_plane", what, 0.005, 0.98)
    yield of.usual("k_through", "conductivity through it", "conductivity", 0.1, 1.5)
    what = f"density of the laminate ({cloth.fibre})"
    yield of.usual("density", what, "density", *DENSITY[cloth.fibre])
    yield of.usual("specific_heat", "specific heat", "specific heat", 600.0, 1900.0)
    ply = None if given.density is None else given.density * cloth.cured_thickness.value
    yield of.row(
        "density.against_areal_mass",
        "dry cloth over the mass of a cured ply",
        part_of_whole(cloth.areal_mass.value, ply),
        "ratio",
        0.3,
        0.85,
        source="share of fibre by weight; common practice, no source",
    )
    if given.moisture_d0 is not None and given.moisture_ea is not None:
        at_room = given.moisture_d0 * math.exp(-given.moisture_ea / (GAS * ROOM_TEMPERATURE))
        off = at_room if not WATER_DIFFUSIVITIES[0] <= at_room <= WATER_DIFFUSIVITIES[1] else None
        yield of.row(
            "moisture_d0.against_moisture_ea",
            "diffusivity of water at 23 C by its constants over 1e-13 m2/s",
            None if off is None else off / 1e-13,
            "ratio",
            WATER_DIFFUSIVITIES[0] / 1e-13,
            WATER_DIFFUSIVITIES[1] / 1e-13,
        )
    yield of.usual("moisture_saturation", "water it holds when saturated", "ratio", 0.004, 0.08)


CHECKS = (_cloths,)
