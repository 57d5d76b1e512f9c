"""Cores against their density, and bagging by what it is for."""

from __future__ import annotations

import math

from panelmend.document.model import Document
from panelmend.document.question import MEMORY, PRACTICE, Subject, Weighed

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


def _cores(document: Document) -> Weighed:
    for core in document.materials.core:
        of, density = Subject(f"materials.{core.id}", core, core.id, source=MEMORY), core.density.value
        yield of.usual("density", f"density ({core.fibre})", "density", *DENSITY[core.fibre])
        if core.fibre != "foam":
            yield of.usual("cell_size", "cell", "length", 1.5e-3, 26e-3)
        names = ("e_through", "g_ribbon", "crush_strength", "s_ribbon")
        for name, (low, high) in zip(names, ON_DENSITY[core.fibre], strict=True):
            value = of.value(name)
            off = None if value is None else value / density / 1e6
            what = f"{name.replace('_', ' ')} in MPa over its density in kg/m3 ({core.fibre})"
            yield of.row(f"{name}.against_density", what, off, "ratio", low / 1e6, high / 1e6)
        even = 0.98 if core.fibre != "foam" else 1.0
        for across, along in (("g_across", "g_ribbon"), ("s_across", "s_ribbon")):
            what, source = "across the ribbon over along it", f"hexagonal cells; {MEMORY}"
            yield of.share(across, along, what, 0.25, even, source=source)
        what = "crush strength over shear strength along the ribbon"
        yield of.share("crush_strength", "s_ribbon", what, 0.8, 5.0)
        if core.thermal is not None:
            heat = Subject(f"{of.at}.thermal", core.thermal, core.id, source=MEMORY)
            for name in ("k_through", "k_in_plane"):
                yield heat.usual(name, f"conductivity ({core.fibre})", "conductivity", *THROUGH[core.fibre])
            what = "conductivity in its plane over that through it"
            yield heat.share("k_in_plane", "k_through", what, 0.1, 0.98 if core.fibre != "foam" else 1.05)
            yield heat.usual("specific_heat", "specific heat", "specific heat", 700.0, 2000.0)


def _bagging(document: Document) -> Weighed:
    for b in document.materials.bagging:
        of = Subject(f"materials.{b.id}", b, b.id, source=PRACTICE)
        thick, density, through = BAGGING[b.use]
        yield of.usual("thickness", f"thickness of a {b.use}", "thickness", *thick)
        if b.thermal is None:
            continue
        heat, rho = Subject(f"{of.at}.thermal", b.thermal, b.id, source=MEMORY), b.thermal.density
        if b.use == "caul" and rho is not None:
            through = next(k for most, k in SHEETS if rho < most)
        yield heat.usual("density", f"density of a {b.use}", "density", *density)
        what = f"conductivity of a {b.use} of its density"
        yield heat.usual("k_through", what, "conductivity", *through)
        low, high = (350.0, 1000.0) if rho is not None and rho >= 2300.0 else (650.0, 2300.0)
        yield heat.usual("specific_heat", f"specific heat of a {b.use}", "specific heat", low, high)


CHECKS = (_cores, _bagging)
