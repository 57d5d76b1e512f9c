"""Cores against their density, and bagging by what it is for."""

from __future__ import annotations

import math
from collections.abc import Iterator

from panelmend.document.crossed.data import part_of_whole
from panelmend.document.model import Document
from panelmend.document.question import MEMORY, Asked, Reader

# Of a core of each kind on its density [m2/s2]: modulus through it, shear modulus along the ribbon, crush
# strength, shear strength along the ribbon.
ON_DENSITY = {
    "aramid": ((1.2e6, 5.5e6), (0.3e6, 2.2e6), (0.012e6, 0.2e6), (0.008e6, 0.05e6)),
    "glass": ((1.0e6, 16e6), (0.6e6, 5e6), (0.012e6, 0.25e6), (0.008e6, 0.06e6)),
    "aluminium": ((3e6, 30e6), (2e6, 14e6), (0.015e6, 0.25e6), (0.01e6, 0.06e6)),
    "foam": ((0.2e6, 5e6), (0.1e6, 1.5e6), (0.003e6, 0.1e6), (0.003e6, 0.05e6)),
}
DENSITY = {"aramid": (22.0, 180.0), "glass": (28.0, 250.0), "aluminium": (14.0, 260.0), "foam": (25.0, 400.0)}
THROUGH = {"aramid": (0.03, 0.25), "glass": (0.03, 0.4), "aluminium": (0.5, 40.0), "foam": (0.015, 0.15)}
# By use: thickness [m], density [kg/m3], conductivity through it [W/mK].
BAGGING = {
    "peel ply": ((0.05e-3, 0.6e-3), (300.0, 2000.0), (0.03, 0.5)),
    "parting film": ((0.01e-3, 0.4e-3), (800.0, 2400.0), (0.1, 0.6)),
    "perforated film": ((0.01e-3, 0.4e-3), (800.0, 2400.0), (0.1, 0.6)),
    "bleeder": ((0.15e-3, 6e-3), (50.0, 900.0), (0.02, 0.3)),
    "breather": ((0.5e-3, 10e-3), (40.0, 600.0), (0.02, 0.2)),
    "bag film": ((0.02e-3, 0.5e-3), (800.0, 1800.0), (0.1, 0.6)),
    "sealing tape": ((1e-3, 10e-3), (800.0, 2000.0), (0.1, 1.0)),
    "PTFE tape": ((0.03e-3, 0.5e-3), (1200.0, 2400.0), (0.1, 0.6)),
    "caul": ((0.4e-3, 12e-3), (900.0, 8200.0), (0.1, 420.0)),
    "insulation": ((3e-3, 100e-3), (15.0, 300.0), (0.015, 0.12)),
}

# A caul by its density [kg/m3]: rubber or a laminate, aluminium, titanium, steel, copper; its conductivity
# [W/mK].
SHEETS = (
    (2300.0, (0.1, 2.0)),
    (3200.0, (80.0, 250.0)),
    (6500.0, (5.0, 30.0)),
    (8300.0, (10.0, 110.0)),
    (math.inf, (50.0, 420.0)),
)


def _cores(document: Document, view: str) -> Iterator[Asked]:
    ask = Reader(view)
    for core in document.materials.core:
        at, density = f"materials.{core.id}", core.density.value
        of = {n: g.value for n in type(core).model_fields if hasattr(g := getattr(core, n), "value")}
        yield from ask.about(
            f"{at}.density.usual",
            f"{core.id}: density ({core.fibre})",
            density,
            "density",
            *DENSITY[core.fibre],
            source=MEMORY,
        )
        if core.fibre != "foam":
            yield from ask.about(
                f"{at}.cell_size.usual",
                f"{core.id}: cell",
                core.cell_size.value,
                "length",
                1.5e-3,
                26e-3,
                source=MEMORY,
            )
        names = ("e_through", "g_ribbon", "crush_strength", "s_ribbon")
        for name, (low, high) in zip(names, ON_DENSITY[core.fibre], strict=True):
            value = of.get(name)
            off = None if value is None else value / density / 1e6
            yield from ask.about(
                f"{at}.{name}.against_density",
                f"{core.id}: {name.replace('_', ' ')} in MPa over its density in kg/m3 ({core.fibre})",
                off,
                "ratio",
                low / 1e6,
                high / 1e6,
                source=MEMORY,
            )
        for across, along in (("g_across", "g_ribbon"), ("s_across", "s_ribbon")):
            yield from ask.about(
                f"{at}.{across}.against_{along}",
                f"{core.id}: across the ribbon over along it",
                part_of_whole(of.get(across), of.get(along)),
                "ratio",
                0.25,
                0.98 if core.fibre != "foam" else 1.0,
                source=f"hexagonal cells; {MEMORY}",
            )
        yield from ask.about(
            f"{at}.crush_strength.against_s_ribbon",
            f"{core.id}: crush strength over shear strength along the ribbon",
            part_of_whole(of.get("crush_strength"), of.get("s_ribbon")),
            "ratio",
            0.8,
            5.0,
            source=MEMORY,
        )
        if core.thermal is not None:
            for name in ("k_through", "k_in_plane"):
                yield from ask.about(
                    f"{at}.thermal.{name}.usual",
                    f"{core.id}: conductivity ({core.fibre})",
                    getattr(core.thermal, name),
                    "conductivity",
                    *THROUGH[core.fibre],
                    source=MEMORY,
                )
            yield from ask.about(
                f"{at}.thermal.k_in_plane.against_k_through",
                f"{core.id}: conductivity in its plane over that through it",
                part_of_whole(core.thermal.k_in_plane, core.thermal.k_through),
                "ratio",
                0.1,
                0.98 if core.fibre != "foam" else 1.05,
                source=MEMORY,
            )
            yield from ask.about(
                f"{at}.thermal.specific_heat.usual",
                f"{core.id}: specific heat",
                core.thermal.specific_heat,
                "specific heat",
                700.0,
                2000.0,
                source=MEMORY,
            )


def _bagging(document: Document, view: str) -> Iterator[Asked]:
    ask = Reader(view)
    for b in document.materials.bagging:
        at = f"materials.{b.id}"
        thick, density, through = BAGGING[b.use]
        value = None if b.thickness is None else b.thickness.value
        what = f"{b.id}: thickness of a {b.use}"
        yield from ask.about(f"{at}.thickness.usual", what, value, "thickness", *thick)
        if b.thermal is None:
            continue
        k, rho, heat = b.thermal.k_through, b.thermal.density, b.thermal.specific_heat
        if b.use == "caul" and rho is not None:
            through = next(k for most, k in SHEETS if rho < most)
        what = f"{b.id}: density of a {b.use}"
        yield from ask.about(f"{at}.thermal.density.usual", what, rho, "density", *density, source=MEMORY)
        what = f"{b.id}: conductivity of a {b.use} of its density"
        yield from ask.about(
            f"{at}.thermal.k_through.usual", what, k, "conductivity", *through, source=MEMORY
        )
        metal = rho is not None and rho >= 2300.0
        what = f"{b.id}: specific heat of a {b.use}"
        low, high = (350.0, 1000.0) if metal else (650.0, 2300.0)
        yield from ask.about(
            f"{at}.thermal.specific_heat.usual", what, heat, "specific heat", low, high, source=MEMORY
        )


CHECKS = (_cores, _bagging)
