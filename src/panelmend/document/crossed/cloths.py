"""Cloths: modulus by fibre, strength against modulus, hot and wet against room, heat and water."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelmend.document.crossed.data import part_of_whole
from panelmend.document.model import Document
from panelmend.document.question import MEMORY, Asked, Reader
from panelmend.materials import Cloth
from panelmend.materials.constants import Structural, Thermal

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
STRAIN = (0.003, 0.033)  # at failure along fibres; aramid in compression is the least
SHEAR_STRAIN = (0.005, 0.06)
STRENGTHS = ("xt", "xc", "yt", "yc", "s")
GAS = 8.314462618
ROOM = 296.15
FIBRE = {"glass": 2550.0, "quartz": 2200.0, "carbon": 1780.0, "aramid": 1440.0}  # kg/m3, from memory
SPREAD = (2e-14, 4e-12)  # m2/s at room temperature: diffusivity of water in a laminate


def _cloths(document: Document, view: str) -> Iterator[Asked]:
    ask = Reader(view)
    for cloth in document.materials.cloth:
        yield from ask.about(
            f"materials.{cloth.id}.cured_thickness.against_areal_mass",
            f"{cloth.id}: share of {cloth.fibre} in a cured ply, by volume",
            cloth.areal_mass.value / FIBRE[cloth.fibre] / cloth.cured_thickness.value,
            "ratio",
            0.28,
            0.72,
            source=MEMORY,
        )
        for name in ("room", "hot_wet"):
            given: Structural | None = getattr(cloth, name)
            if given is not None:
                yield from _stiff(ask, f"materials.{cloth.id}.{name}", cloth, given)
                yield from _strong(ask, f"materials.{cloth.id}.{name}", cloth, given)
        if cloth.room is not None and cloth.hot_wet is not None:
            yield from _hot(ask, cloth, cloth.room, cloth.hot_wet)
        if cloth.thermal is not None:
            yield from _thermal(ask, cloth, cloth.thermal)


def _stiff(ask: Reader, at: str, cloth: Cloth, given: Structural) -> Iterator[Asked]:
    one_way = cloth.weave == "unidirectional"
    low, high = MODULUS[cloth.fibre][one_way]
    what = f"{cloth.id}: modulus along the warp ({cloth.fibre})"
    yield from ask.about(f"{at}.e1.usual", what, given.e1, "stiffness", low, high, source=MEMORY)
    e2 = (0.01, 0.6) if one_way else (0.6, 1.6)
    what = f"{cloth.id}: modulus across the warp over that along it"
    yield from ask.about(f"{at}.e2.against_e1", what, given.e2 / given.e1, "ratio", *e2, source=MEMORY)
    least = given.e2 if one_way else min(given.e1, given.e2)
    g12 = (0.2, 0.9) if one_way else (0.03, 0.35)
    what = f"{cloth.id}: shear modulus over the modulus {'across' if one_way else 'along'} the warp"
    yield from ask.about(f"{at}.g12.against_e", what, given.g12 / least, "ratio", *g12, source=MEMORY)
    nu = (0.15, 0.45) if one_way else (0.02, 0.25)
    yield from ask.about(
        f"{at}.nu12.usual", f"{cloth.id}: Poisson's ratio", given.nu12, "ratio", *nu, source=MEMORY
    )


def _strong(ask: Reader, at: str, cloth: Cloth, given: Structural) -> Iterator[Asked]:
    one_way = cloth.weave == "unidirectional"
    for name in ("xt", "xc", "yt", "yc"):
        modulus = given.e1 if name[0] == "x" else given.e2
        yield from ask.about(
            f"{at}.{name}.against_e",
            f"{cloth.id}: {name} over its modulus, which is a strain at failure:",
            part_of_whole(getattr(given, name), modulus),
            "ratio",
            *((0.001, 0.04) if one_way else STRAIN),
            source=MEMORY,
        )
    for tension, compression in (("xt", "xc"), ("yt", "yc")):
        if one_way and tension == "yt":
            continue  # across the fibres compression is the stronger one
        yield from ask.about(
            f"{at}.{compression}.against_{tension}",
            f"{cloth.id}: strength in compression over that in tension",
            part_of_whole(getattr(given, compression), getattr(given, tension)),
            "ratio",
            0.2,
            0.98 if at.endswith("hot_wet") else PRESSED[cloth.fibre],
            source=MEMORY,
        )
    if not one_way:
        yield from ask.about(
            f"{at}.yt.against_xt",
            f"{cloth.id}: strength along the fill over that along the warp",
            part_of_whole(given.yt, given.xt),
            "ratio",
            0.7,
            1.4,
            source=MEMORY,
        )
    yield from ask.about(
        f"{at}.s.against_g12",
        f"{cloth.id}: shear strength over its modulus",
        part_of_whole(given.s, given.g12),
        "ratio",
        *SHEAR_STRAIN,
        source=MEMORY,
    )


def _hot(ask: Reader, cloth: Cloth, room: Structural, hot: Structural) -> Iterator[Asked]:
    for name in ("e1", "e2", "g12", *STRENGTHS):
        yield from ask.about(
            f"materials.{cloth.id}.hot_wet.{name}.against_room",
            f"{cloth.id}: {name} hot and wet over that at room temperature",
            part_of_whole(getattr(hot, name), getattr(room, name)),
            "ratio",
            0.25,
            1.02,
            source=MEMORY,
        )


def _thermal(ask: Reader, cloth: Cloth, given: Thermal) -> Iterator[Asked]:
    at = f"materials.{cloth.id}.thermal"
    low, high = K_PLANE[cloth.fibre]
    one_way = cloth.weave == "unidirectional"
    high = high if one_way else min(high, K_WOVEN)
    what = f"{cloth.id}: conductivity in its plane ({cloth.fibre})"
    yield from ask.about(
        f"{at}.k_in_plane.usual", what, given.k_in_plane, "conductivity", low, high, source=MEMORY
    )
    what = f"{cloth.id}: conductivity through it over that in its plane"
    yield from ask.about(
        f"{at}.k_through.against_k_in_plane",
        what,
        part_of_whole(given.k_through, given.k_in_plane),
        "ratio",
        0.005,
        0.98,
        source=MEMORY,
    )
    what = f"{cloth.id}: conductivity through it"
    yield from ask.about(
        f"{at}.k_through.usual", what, given.k_through, "conductivity", 0.1, 1.5, source=MEMORY
    )
    what = f"{cloth.id}: density of the laminate ({cloth.fibre})"
    yield from ask.about(
        f"{at}.density.usual", what, given.density, "density", *DENSITY[cloth.fibre], source=MEMORY
    )
    what = f"{cloth.id}: specific heat"
    yield from ask.about(
        f"{at}.specific_heat.usual", what, given.specific_heat, "specific heat", 600.0, 1900.0, source=MEMORY
    )
    what = f"{cloth.id}: dry cloth over the mass of a cured ply"
    ply = None if given.density is None else given.density * cloth.cured_thickness.value
    yield from ask.about(
        f"{at}.density.against_areal_mass",
        what,
        part_of_whole(cloth.areal_mass.value, ply),
        "ratio",
        0.3,
        0.85,
        source="share of fibre by weight; common practice, no source",
    )
    if given.moisture_d0 is not None and given.moisture_ea is not None:
        at_room = given.moisture_d0 * math.exp(-given.moisture_ea / (GAS * ROOM))
        off = at_room if not SPREAD[0] <= at_room <= SPREAD[1] else None
        what = f"{cloth.id}: diffusivity of water at 23 C by its constants over 1e-13 m2/s"
        yield from ask.about(
            f"{at}.moisture_d0.against_moisture_ea",
            what,
            None if off is None else off / 1e-13,
            "ratio",
            SPREAD[0] / 1e-13,
            SPREAD[1] / 1e-13,
            source=MEMORY,
        )
    what = f"{cloth.id}: water it holds when saturated"
    yield from ask.about(
        f"{at}.moisture_saturation.usual",
        what,
        given.moisture_saturation,
        "ratio",
        0.004,
        0.08,
        source=MEMORY,
    )


CHECKS = (_cloths,)
