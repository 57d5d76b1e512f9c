"""A pot life in air warmer than that of its sheet, where no constants tell how much shorter it is: the maker is asked."""

from __future__ import annotations

from panelmend.derive import Figure
from panelmend.derive.ledger import words_of
from panelmend.document.model import Confirmation
from panelmend.errors import Finding, UnitError, confirm_code, note_code
from panelmend.job.basis import Basis
from panelmend.job.card.part import CardPart, WarmAir
from panelmend.job.case import Case
from panelmend.materials import Adhesive, Resin
from panelmend.units import read, show
from panelmend.units.fundamental import ZERO_CELSIUS

J642 = confirm_code(
    "J642",
    "The bay's air is warmer than that of the pot life's sheet, and nothing tells how much shorter it is there",
    "ask the maker how long it lasts in this air and have a named person confirm that time under [[confirm]] by the key "
    "that is given, with it as the value; or type the cure constants, or cool the bay",
)
J643 = note_code(
    "J643",
    "A named person confirmed how long a mix lasts in the warm air of this bay",
    "check that this person has it from the maker, for this air",
)


def told_key(case: Case, ident: str) -> str:
    """Key under which the time in this air is confirmed, for a material's id; "" where the air is not typed."""
    air = case.document.bay.air_temperature
    return "" if air is None else f"materials.{ident}.pot_life_in_{air - ZERO_CELSIUS:.1f}_C"


def without_constants(case: Case, ident: str) -> bool:
    """Whether a resin or adhesive has a pot life and no constants that tell how heat shortens it."""
    found = case.catalogue.get(ident)
    return isinstance(found, Resin | Adhesive) and found.pot_life is not None and found.kinetics is None


def keys_told(case: Case, warm: float) -> set[str]:
    """What a confirmation may name: a pot life in air above ``warm`` [K], of each material without constants."""
    air = case.document.bay.air_temperature
    if air is None or air <= warm:
        return set()
    return {told_key(case, i) for i in case.catalogue.ids() if without_constants(case, i)}


def _confirmed(case: Case, ident: str, typed: float) -> tuple[int, Confirmation, float] | None:
    """The confirmation that counts, its place in the list and its time [s]: shorter than the sheet's, or it is none."""
    key = told_key(case, ident)
    for at, c in enumerate(case.document.confirm, 1):
        if not key or c.figure != key or c.sheet:
            continue
        try:
            life = read(c.value, "time")
        except UnitError:
            continue
        if 0.0 < life < typed - 1e-6:
            return at, c, life
    return None


def told_life(basis: Basis, ident: str, typed: Figure) -> Figure | None:
    """How long a mix lasts in this air as a named person confirmed it; None where nobody did."""
    found = _confirmed(basis.case, ident, float(typed))
    if found is None:
        return None
    at, _, life = found
    key = told_key(basis.case, ident)
    if key in basis.ledger:
        return basis.ledger[key]
    return basis.typed(key, life, "time", path=f"confirm[{at}].value", limit="most")


def check_warm_air(case: Case, card: CardPart, materials: dict[str, str]) -> list[Finding]:
    """Pot lives that nothing tells, and those that somebody told; ``materials``: the material of each batch's id."""
    found: dict[str, Finding] = {}
    air = case.document.bay.air_temperature
    for clock in card.clocks:
        ident = materials[clock.batch]
        if air is None or ident in found or clock.warm not in (WarmAir.UNTOLD, WarmAir.TOLD):
            continue
        name, key = case.catalogue.get(ident).name, told_key(case, ident)
        warm = show(air, "temperature", case.view)
        life = words_of(clock.life, case.view)
        if clock.warm is WarmAir.UNTOLD:
            words = f'{name}: {life} on its sheet, the bay has {warm}; figure = "{key}"'
            found[ident] = J642(words, place=key)
            continue
        taken = _confirmed(case, ident, float("inf"))
        assert taken is not None, "told by somebody"
        by = taken[1]
        words = f"{name}: {life} in {warm}; confirmed by {by.by} on {by.on}"
        found[ident] = J643(f"{words}: {by.reason}" if by.reason else words, place=key)
    return list(found.values())
