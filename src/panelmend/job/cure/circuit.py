"""Blankets on circuits: what each draws at the bay's supply, and what its circuit may carry for hours."""

from __future__ import annotations

from collections.abc import Sequence

from panelmend.derive import Figure
from panelmend.document.bay import Bay
from panelmend.errors import InputError
from panelmend.job import blanket_supply
from panelmend.job.basis import Basis
from panelmend.job.cure.formulas import share_of_rated
from panelmend.job.cure.part import Circuited


def assign_circuits(basis: Basis, key_prefix: str, blanket_ids: Sequence[str]) -> tuple[Circuited, ...]:
    """Put the blankets of one operation on circuits of the bay.

    Args:
        basis: case and ledger.
        key_prefix: what the figures of this operation begin with, such as "cure.1".
        blanket_ids: the blanket, and the second one behind if there is one; "" is left out.

    Returns:
        One entry for each blanket in the same order. Power and current are None where the supply is not
        given; ``allowed`` is that of its circuit, of the strongest circuit where none will do, and None where
        no circuit is given.

    Raises:
        InputError: a blanket that the bay does not have, or the same one twice.
    """
    bay = basis.case.document.bay
    wanted = [i for i in blanket_ids if i]
    _known(basis, bay, wanted)
    places = [blanket_supply.blanket_index(bay, ident) for ident in wanted]
    volts = blanket_supply.supply_figure(basis)
    drawn = [_drawn(basis, f"{key_prefix}.{bay.blanket[i].id}", i, volts) for i in places]
    allowed = [blanket_supply.carried_figure(basis, i) for i in range(len(bay.circuit))]
    found: tuple[int | None, ...] = (None,) * len(wanted)
    if volts is not None:
        found = blanket_supply.assign(
            [float(c) for _, c, *_ in drawn if c is not None], [float(a) for a in allowed]
        )
    strongest = max(allowed, key=float) if allowed else None
    made = []
    for ident, (power, current, rated, density, share), at in zip(wanted, drawn, found, strict=True):
        made.append(
            Circuited(
                ident,
                bay.circuit[at].id if at is not None else "",
                power,
                current,
                allowed[at] if at is not None else strongest,
                at is not None,
                rated,
                density,
                share,
            )
        )
    return tuple(made)


def _known(basis: Basis, bay: Bay, wanted: list[str]) -> None:
    ids = [b.id for b in bay.blanket]
    for ident in wanted:
        if ident not in ids:
            raise InputError(
                "the bay has no such blanket",
                where=basis.case.name,
                read=repr(ident),
                expected=f"one of {', '.join(ids)}" if ids else "a blanket of [[bay.blanket]]",
            )
    if len(set(wanted)) < len(wanted):
        raise InputError(
            "one blanket cannot lie on both faces",
            where=basis.case.name,
            read=", ".join(wanted),
            expected="two blankets",
        )


def _drawn(
    basis: Basis, key: str, index: int, volts: Figure | None
) -> tuple[Figure | None, Figure | None, Figure, Figure, Figure | None]:
    """Power and current at the supply, rated power, power density at the supply, share of the rated power.

    Where the supply is not given the density is the rated one."""
    ledger = basis.ledger
    rated, voltage = blanket_supply.rated_power(basis, index), blanket_supply.rated_voltage(basis, index)
    if volts is None:
        return None, None, rated, blanket_supply.rated_density(basis, index), None
    power = ledger.derive(
        f"{key}.power", blanket_supply.power_at_supply, rated=rated, voltage=voltage, supply=volts
    )
    current = ledger.derive(f"{key}.current", blanket_supply.current_drawn, power=power, supply=volts)
    area = blanket_supply.area_figure(basis, index)
    density = ledger.derive(f"{key}.power_density", blanket_supply.density_of, power=power, area=area)
    share = ledger.derive(f"{key}.share_of_rated", share_of_rated, voltage=voltage, supply=volts)
    return power, current, rated, density, share
