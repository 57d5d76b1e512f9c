"""Materials: values of one that rule each other out, and a form that cannot do what it is named for."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.fault import Fault, fault_at
from panelmend.document.faults.plausible import fault_outside
from panelmend.document.model import Document, catalogue_of
from panelmend.errors import PanelmendError
from panelmend.materials import Adhesive

# Mass over thickness of a cured ply is density of the fibre times its share: 1380 kg/m3 (aramid) to 2600
# (glass), a fifth to three quarters of it fibre; widened, from memory.
FIBRE = (150.0, 2400.0)
HARDENER = (0.5, 90.0)  # % of a mix: beyond, a decimal was lost; common practice, no source


def _cloths(document: Document) -> Iterator[Fault]:
    for i, cloth in enumerate(document.materials.cloth):
        yield from fault_outside(
            ("materials", "cloth", i, "cured_thickness"),
            "cloth: mass on its area over thickness of a ply makes a density of fibre",
            cloth.areal_mass.value / cloth.cured_thickness.value,
            "density",
            *FIBRE,
            low_todo="check both units: g/m2 or oz/yd2, mm or in",
            high_todo="check both units: g/m2 or oz/yd2, mm or in",
        )


def _mixes(document: Document) -> Iterator[Fault]:
    for kind in ("resin", "adhesive"):
        for i, material in enumerate(getattr(document.materials, kind)):
            if material.resin_parts is None or material.hardener_parts is None:
                continue
            resin, hardener = material.resin_parts.value, material.hardener_parts.value
            share = 100.0 * hardener / (resin + hardener)
            if not HARDENER[0] <= share <= HARDENER[1]:
                yield fault_at(
                    ("materials", kind, i, "hardener_parts"),
                    f"implausible mix: hardly any {'resin' if share > 50.0 else 'hardener'}",
                    f"{resin:g} to {hardener:g} parts by weight",
                    f"a hardener of {HARDENER[0]:g} to {HARDENER[1]:g} % of the mix",
                    "look at the data sheet: by weight, not by volume",
                )


def _splice(document: Document) -> Iterator[Fault]:
    """A film is cut, not mixed: it fills no gap between plug and core."""
    given = document.data.core.adhesive
    if given is None:
        return
    try:
        known = catalogue_of(document).get(given.value)
    except PanelmendError:
        return  # said where its id is
    if isinstance(known, Adhesive) and known.form == "film":
        yield fault_at(
            ("data", "core", "adhesive"),
            "a film adhesive fills no splice",
            repr(given.value),
            'an adhesive of form "paste"',
            "a film under the plug is data.core.floor_adhesive; foaming film for a splice is not covered",
        )


CHECKS = ((_cloths, ("materials",)), (_mixes, ("materials",)), (_splice, ("data.core", "materials")))
