"""Drying of the skins by diffusion, and what water behind them would take to leave through them."""

from __future__ import annotations

from dataclasses import dataclass

from panelmend.derive import Figure, Source
from panelmend.document.panel import Side
from panelmend.job.basis import Basis
from panelmend.job.case import Layer
from panelmend.job.drying import formulas as f
from panelmend.job.drying.part import FACES, Gas, Missing, SkinDrying, Way
from panelmend.job.formulas import total
from panelmend.materials import Cloth

CONSTANTS = (
    "moisture diffusivity of the cured laminate by temperature (ASTM D5229): D0 in m2/s and the activation "
    "energy in kJ/mol"
)
HELD = (
    "water the cured laminate holds when saturated, in per cent of its dry mass (ASTM D5229), and its density"
)


@dataclass(frozen=True)
class Dry:
    """How a skin is dried.

    ``outside`` and ``bag`` are contents in balance with the bay's air and the bag's gas (None where the one
    is not known or the other not used).
    """

    temperature: Figure
    duration: Figure | None
    content: Figure | None
    outside: Figure | None
    bag: Figure | None


def skins_of(basis: Basis, dry: Dry, missing: list[Missing]) -> tuple[SkinDrying, ...]:
    """Both skins; one whose constants are not given is left out and named in ``missing``."""
    g = basis.case.geometry
    made = (_skin(basis, "outside", g.outer, dry, missing), _skin(basis, "inside", g.inner, dry, missing))
    return tuple(skin for skin in made if skin is not None)


def _skin(
    basis: Basis, side: Side, layers: tuple[Layer, ...], dry: Dry, missing: list[Missing]
) -> SkinDrying | None:
    idents = tuple(dict.fromkeys(layer.cloth for layer in layers))
    cloths = {i: basis.case.catalogue.cloth(i) for i in idents}
    rates: dict[str, Figure] = {}
    for ident, cloth in cloths.items():
        made = _diffusivity(basis, cloth, dry.temperature)
        if made is None:
            fields = f"how fast water leaves {ident} [thermal.moisture_d0, thermal.moisture_ea]"
            ask = f"ask the supplier of {cloth.name}, or the engineer, for the {CONSTANTS}"
            missing.append(Missing("skins", f"drying of {cloth.name}", fields, ask))
        else:
            rates[ident] = made
    if len(rates) < len(cloths):
        return None
    ledger, key = basis.ledger, f"drying.{side}"
    plies = {
        f"ply_{n}": basis.table(
            f"drying.{p.cloth}.thickness", cloths[p.cloth].cured_thickness, "thickness", of=cloths[p.cloth]
        )
        for n, p in enumerate(layers, 1)
    }
    thickness = ledger.derive_as("thickness", f"{key}.thickness", total, **plies)
    if len(idents) > 1:
        named = {f"cloth_{n}": rates[i] for n, i in enumerate(idents, 1)}
        slowest = ledger.derive(f"{key}.slowest", f.slowest, **named)
    else:
        slowest = rates[idents[0]]
    ways = _ways(basis, key, thickness, slowest, dry)
    if not ways:
        return None
    return SkinDrying(
        side, thickness, slowest, idents, ways, _core_time(basis, key, thickness, cloths, rates, missing)
    )


def _diffusivity(basis: Basis, cloth: Cloth, temperature: Figure) -> Figure | None:
    thermal = cloth.thermal
    if thermal is None or thermal.moisture_d0 is None or thermal.moisture_ea is None:
        return None
    ledger, key, source = basis.ledger, f"drying.{cloth.id}", Source(cloth.source, cloth.name)
    stands = basis.case.stands(cloth)
    return ledger.derive(
        f"{key}.diffusivity",
        f.diffusivity,
        temperature=temperature,
        prefactor=ledger.table(f"{key}.d0", thermal.moisture_d0, "diffusivity", source=source, stands=stands),
        energy=ledger.table(
            f"{key}.energy", thermal.moisture_ea, "molar energy", source=source, stands=stands
        ),
    )


def _ways(basis: Basis, key: str, thickness: Figure, slowest: Figure, dry: Dry) -> tuple[Way, ...]:
    """From one face and from both, in the bay's air and under the bag."""
    ledger, found = basis.ledger, list[Way]()
    airs: tuple[tuple[Gas, Figure | None], ...] = (("bay", dry.outside), ("bag", dry.bag))
    for name, outside in airs:
        if outside is None:
            continue
        for count in FACES:
            faces = ledger.table(f"drying.faces_{count}", count, source=f.FACES[count])
            base = f"{key}.{name}_{count}"
            left = time = None
            if dry.duration is not None:
                left = ledger.derive(
                    f"{base}.left",
                    f.left_after,
                    thickness=thickness,
                    diffusivity=slowest,
                    duration=dry.duration,
                    outside=outside,
                    faces=faces,
                )
            if dry.content is not None and float(dry.content) > float(outside):
                time = ledger.derive(
                    f"{base}.time",
                    f.time_to,
                    thickness=thickness,
                    diffusivity=slowest,
                    content=dry.content,
                    outside=outside,
                    faces=faces,
                )
            found.append(Way(count, name, outside, left, time))
    return tuple(found)


def _core_time(
    basis: Basis,
    key: str,
    thickness: Figure,
    cloths: dict[str, Cloth],
    rates: dict[str, Figure],
    missing: list[Missing],
) -> Figure | None:
    """For each millimetre of water found, through the cloth that lets most through: it takes no less."""
    if basis.case.document.damage.moisture != "found":
        return None
    best: tuple[float, str] | None = None
    for ident, cloth in cloths.items():
        thermal = cloth.thermal
        if thermal is None or thermal.moisture_saturation is None or thermal.density is None:
            fields = f"thermal.moisture_saturation and density of {ident}"
            ask = f"ask the supplier of {cloth.name}, or the engineer, for the {HELD}"
            missing.append(Missing("core", f"water through {cloth.name}", fields, ask))
            return None
        through = float(rates[ident]) * thermal.moisture_saturation * thermal.density
        if best is None or through > best[0]:  # of cloths alike the first that is laid, whatever its name
            best = (through, ident)
    assert best is not None, "a skin without cloth"
    ident = best[1]
    thermal = cloths[ident].thermal
    assert thermal is not None, "seen above"
    ledger, source = basis.ledger, Source(cloths[ident].source, cloths[ident].name)
    stands = basis.case.stands(cloths[ident])
    return ledger.derive(
        f"{key}.core_time",
        f.core_time,
        water=ledger.table("drying.millimetre_of_water", 1.0, "areal mass", source=f.A_MILLIMETRE),
        thickness=thickness,
        diffusivity=rates[ident],
        saturation=ledger.table(
            f"drying.{ident}.saturation",
            thermal.moisture_saturation or 0.0,
            "ratio",
            source=source,
            stands=stands,
        ),
        density=ledger.table(
            f"drying.{ident}.density", thermal.density or 0.0, "density", source=source, stands=stands
        ),
    )
