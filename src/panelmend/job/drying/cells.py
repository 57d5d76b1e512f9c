"""Closed wet cells: the pressure in them at every heating step, and the bonds that hold against it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from panelmend.derive import Figure, Source
from panelmend.document.approved import Cure
from panelmend.errors import RangeError
from panelmend.job import air
from panelmend.job.basis import Basis
from panelmend.job.core.part import CorePart
from panelmend.job.defaults import OF_A_CYCLE
from panelmend.job.drying import formulas as f
from panelmend.job.drying.part import Heating, Missing, SteamBond, SteamReserve
from panelmend.job.operations import operations_of
from panelmend.materials import Adhesive
from panelmend.physics.steam import CRITICAL, LOWEST
from panelmend.units import show

TEST = "flatwise tension of this bond, hot and wet (ASTM C297), and the temperature it was tested at"
NO_BOND = "look up in the panel's manual, or ask its maker, which adhesive bonds skins and core"
VACUUM = Source("an empty bag")
NO_BAG = Source("no bag")


@dataclass(frozen=True)
class _Step:
    """A heating step before its pressures are known."""

    id: str
    name: str
    number: int
    temperature: Figure
    least: Figure | None
    bagged: bool = True


# ---- Bonds


def bonds_of(
    basis: Basis, core: CorePart, pressure: Figure | None, warm: Figure | None, missing: list[Missing]
) -> tuple[SteamBond, ...]:
    """The bonds that steam loads: skins to core in the panel, and what the repair itself bonds to core."""
    data, cures = basis.case.document.data, basis.case.document.data.cure
    made = [_bond(basis, "panel", "skins to core in the panel", basis.case.document.panel.core.bond, 0)]
    if core.action == "replace" and core.floor_adhesive:
        number = _laid_in(cures, "core")
        made.append(_bond(basis, "floor", "plug to the far skin", core.floor_adhesive, number))
    if core.action == "pot" and core.adhesive:
        number = _laid_in(cures, "potting", "core")
        made.append(_bond(basis, "potting", "potting to the skins", core.adhesive, number))
    film = data.plies.film_adhesive
    if film is not None and core.action != "none":
        for number, cure in enumerate(cures, 1):
            if "plies" in cure.lays:
                where = f"film adhesive to core, {cure.name}"
                made.append(_bond(basis, f"film_{number}", where, film.value, number))
    for bond in made:
        _ask(basis, bond, missing)
    return tuple(_reached(basis, bond, pressure, warm) for bond in made)


def _laid_in(cures: tuple[Cure, ...], *parts: str) -> int:
    """The number of the operation that lays one of these parts; past the last one where none does."""
    return next((n for n, c in enumerate(cures, 1) if set(parts) & set(c.lays)), len(cures) + 1)


def _bond(basis: Basis, ident: str, where: str, adhesive: str, made_in: int) -> SteamBond:
    if not adhesive:
        return SteamBond(ident, where, "", None, None, None, None, made_in)
    of = basis.case.catalogue.adhesive(adhesive)
    return SteamBond(ident, where, adhesive, *_strengths(basis, of), None, None, made_in)


def _strengths(basis: Basis, of: Adhesive) -> tuple[Figure | None, Figure | None]:
    """Flatwise strength hot and wet, and at room temperature, as far as they are given."""
    key, cool = f"drying.{of.id}", None
    if of.flatwise_strength is not None:
        cool = basis.table(f"{key}.flatwise", of.flatwise_strength, "pressure", of=of)
    if of.flatwise_hot_wet is not None:
        return basis.table(f"{key}.flatwise_hot_wet", of.flatwise_hot_wet, "pressure", of=of), cool
    if cool is not None and of.hot_wet_factor is not None:
        factor = basis.table(f"{key}.hot_wet_factor", of.hot_wet_factor, "ratio", of=of)
        made = basis.ledger.derive(f"{key}.flatwise_hot_wet", f.hot_wet_strength, room=cool, factor=factor)
        return made, cool
    return None, cool


def _ask(basis: Basis, bond: SteamBond, missing: list[Missing]) -> None:
    if not bond.adhesive:
        missing.append(
            Missing("strength", bond.where, "panel.core.bond", f"{NO_BOND}; ask its supplier for {TEST}")
        )
    elif bond.strength is None:
        name = basis.case.catalogue.adhesive(bond.adhesive).name
        missing.append(
            Missing(
                "strength",
                f"{bond.where}, {name}",
                f"flatwise_hot_wet of {bond.adhesive}",
                f"ask the supplier of {name} for {TEST}",
            )
        )


def _reached(basis: Basis, bond: SteamBond, pressure: Figure | None, warm: Figure | None) -> SteamBond:
    """The bond with the temperatures at which a wet cell lifts with its strength."""
    if bond.strength is None or pressure is None or warm is None:
        return bond
    ledger = basis.ledger
    empty = ledger.table("drying.empty_bag", 0.0, "pressure", source=VACUUM)
    found: list[Figure | None] = []
    for name, outside in (("reached", pressure), ("reached_bridged", empty)):
        try:
            made = ledger.derive(
                f"drying.bond.{bond.id}.{name}",
                f.reached_at,
                strength=bond.strength,
                outside=outside,
                sealed_at=warm,
                sealed_pressure=pressure,
            )
        except RangeError:
            made = None
        found.append(made)
    return replace(bond, reached=found[0], reached_bridged=found[1])


# ---- Heating steps


def heatings_of(
    basis: Basis,
    core: CorePart,
    temperature: Figure | None,
    vacuum: Figure | None,
    bonds: tuple[SteamBond, ...],
    missing: list[Missing],
) -> tuple[Heating, ...]:
    """Every heating step with the pressure of a closed wet cell in it."""
    pressure, warm = air.pressure_of(basis), air.temperature_of(basis)
    if pressure is None or warm is None:
        return ()
    made = []
    for at in _heating_steps(basis, core, temperature, vacuum):
        kelvin = float(at.temperature)
        if kelvin > CRITICAL:
            words = show(kelvin, "temperature", basis.case.view)
            missing.append(
                Missing(
                    "pressure",
                    f"pressure of water at {words}, above its critical point",
                    f"data.cure[{at.number}]",
                    "ask the engineer: nothing may be wet at this temperature",
                )
            )
        elif kelvin >= LOWEST:
            made.append(_heating(basis, at, bonds, pressure, warm))
    return tuple(made)


def _heating_steps(
    basis: Basis, core: CorePart, temperature: Figure | None, vacuum: Figure | None
) -> list[_Step]:
    """Drying, and of each cure every temperature it heats to, then its ceiling (or the top of its band)."""
    made = []
    if temperature is not None:
        made.append(_Step("dry", "drying", 0, temperature, vacuum))
    for one in operations_of(basis.case.document, core):
        n, cure = one.number, one.cure
        if cure.on_plate:
            continue  # away from the panel
        least = air.least_vacuum_of(basis, n, cure) if cure.bagged else None
        seen: set[float] = set()
        for name, words, figure in _temperatures(basis, n, cure):
            if float(figure) not in seen:
                made.append(_Step(f"c{n}{name}", words, n, figure, least, cure.bagged))
            seen.add(float(figure))
    return made


def _temperatures(basis: Basis, n: int, cure: Cure) -> list[tuple[str, str, Figure]]:
    """Name, words and figure of each temperature of one cure."""
    document = basis.case.document
    manual = document.data.manual
    source = Source(f"{manual.number} rev {manual.revision}", cure.place)

    def given(key: str, kelvin: float) -> Figure:
        stands = basis.case.stands(cure)
        limit = OF_A_CYCLE.get(key.rsplit(".", 1)[-1], "")
        return basis.ledger.approved(
            f"cure.{n}.{key}", kelvin, "temperature", source=source, limit=limit, stands=stands
        )

    heats = [(i, s) for i, s in enumerate(cure.segment, 1) if s.kind != "cool"]
    rows = [(f"s{i}", cure.name, given(f"s{i}.to", s.to)) for i, s in heats]
    for i, chosen in enumerate(document.choice.heat, 1):
        if chosen.cure == cure.name and chosen.set_point is not None:
            path = f"choice.heat[{i}].set_point"
            figure = basis.typed(f"cure.{n}.set_point", chosen.set_point, "temperature", path=path)
            rows.append(("set", f"{cure.name}, chosen set point", figure))
    if cure.ceiling is not None:
        rows.append(("ceiling", f"{cure.name}, maximum", given("ceiling", cure.ceiling)))
    else:
        tops = [(i, s.high) for i, s in heats if s.high is not None and s.kind == "dwell"]
        rows += [
            (f"s{i}_high", f"{cure.name}, top of its band", given(f"s{i}.high", high)) for i, high in tops
        ]
    return rows


def _heating(
    basis: Basis, at: _Step, bonds: tuple[SteamBond, ...], pressure: Figure, warm: Figure
) -> Heating:
    ledger, key = basis.ledger, f"drying.{at.id}"
    cell = ledger.derive(
        f"{key}.cell", f.wet_cell, temperature=at.temperature, sealed_at=warm, sealed_pressure=pressure
    )
    lift = ledger.derive(f"{key}.lift", f.lifting, cell=cell, outside=pressure)
    bridged = boiling = None
    if at.least is not None and float(at.least) <= float(pressure):
        bridged = ledger.derive(
            f"{key}.lift_bridged", f.lifting_bridged, cell=cell, barometer=pressure, vacuum=at.least
        )
        left = ledger.derive(f"{key}.absolute", air.left_under_bag, barometer=pressure, vacuum=at.least)
        boiling = ledger.derive(f"{key}.boiling", air.boiling_at, pressure=left)
    available = air.deepest_vacuum_of(basis)
    if not at.bagged:
        available = ledger.table("drying.no_bag", 0.0, "vacuum", source=NO_BAG)
    assert available is not None, "a pressure without its deepest vacuum"
    deepest = ledger.derive(
        f"{key}.lift_deepest", f.lifting_bridged, cell=cell, barometer=pressure, vacuum=available
    )
    hot = float(at.temperature) > float(warm)
    reserves = tuple(
        _reserve(basis, at, bond, lift, deepest, hot) for bond in bonds if _bond_exists(bond, at)
    )
    return Heating(
        at.id, at.name, at.number, at.temperature, cell, lift, bridged, deepest, boiling, reserves, at.bagged
    )


def _bond_exists(bond: SteamBond, at: _Step) -> bool:
    """Whether a bond exists in a step, or is made in it."""
    return bond.made_in == 0 or bond.made_in <= at.number


def _reserve(
    basis: Basis, at: _Step, bond: SteamBond, lift: Figure, deepest: Figure, hot: bool
) -> SteamReserve:
    if bond.made_in == at.number and bond.made_in > 0:
        return SteamReserve(
            bond.id, None, None, None, "made in this cure: it has no strength until it has set"
        )
    strength = bond.strength if hot else bond.cool
    if strength is None:
        return SteamReserve(bond.id, None, None, None, "NOT KNOWN")
    ledger, key, found = basis.ledger, f"drying.{at.id}.{bond.id}", list[Figure | None]()
    for name, by in (("in_air", lift), ("bridged", deepest)):
        found.append(
            ledger.derive(f"{key}.{name}", f.reserve, strength=strength, lift=by) if float(by) > 0.0 else None
        )
    return SteamReserve(bond.id, strength, found[0], found[1], "" if hot else "no warmer than the bay")
