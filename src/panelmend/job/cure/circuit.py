"""Blankets on circuits: what each draws at the bay's supply, and what its circuit may carry for hours."""

from __future__ import annotations

from collections.abc import Sequence

from panelmend.derive import Figure
from panelmend.document.bay import Bay
from panelmend.errors import InputError
from panelmend.job import supply
from panelmend.job.cure.formulas import share_of_rated
from panelmend.job.cure.part import Circuited
from panelmend.job.ground import Ground


def circuits(ground: Ground, key_prefix: str, blanket_ids: Sequence[str]) -> tuple[Circuited, ...]:
    """Put the blankets of one operation on circuits of the bay.

    Args:
        ground: case and ledger.
        key_prefix: what the figures of this operation begin with, such as "cure.1".
        blanket_ids: the blanket, and the second one behind if there is one; "" is left out.

    Returns:
        One entry for each blanket in the same order. Power and current are None where the supply is not
        given; ``allowed`` is that of its circuit, of the strongest circuit where none will do, and None where
        no circuit is given.

    Raises:
        InputError: a blanket that the bay does not have, or the same one twice.
    """
    bay = ground.case.document.bay
    wanted = [i for i in blanket_ids if i]
    _known(ground, bay, wanted)
    places = [supply.place_of(bay, ident) for ident in wanted]
    volts = supply.supply_figure(ground)
    drawn = [_drawn(ground, f"{key_prefix}.{bay.blanket[i].id}", i, volts) for i in places]
    allowed = [supply.carried_figure(ground, i) for i in range(len(bay.circuit))]
    found: tuple[int | None, ...] = (None,) * len(wanted)
    if volts is not None:
        found = supply.assign([float(c) for _, c, *_ in drawn if c is not None], [float(a) for a in allowed])
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


def _known(ground: Ground, bay: Bay, wanted: list[str]) -> None:
    ids = [b.id for b in bay.blanket]
    for ident in wanted:
        if ident not in ids:
            raise InputError(
                "the bay has no such blanket",
                where=ground.case.name,
                read=repr(ident),
                expected=f"one of {', '.join(ids)}" if ids else "a blanket of [[bay.blanket]]",
            )
    if len(set(wanted)) < len(wanted):
        raise InputError(
            "one blanket cannot lie on both faces",
            where=ground.case.name,
            read=", ".join(wanted),
            expected="two blankets",
        )


def _drawn(
    ground: Ground, key: str, index: int, volts: Figure | None
) -> tuple[Figure | None, Figure | None, Figure, Figure, Figure | None]:
    """Power and current at the supply, rated power, power density at the supply, share of the rated power.

    Where the supply is not given the density is the rated one."""
    ledger = ground.ledger
    rated, voltage = supply.rated_power(ground, index), supply.rated_voltage(ground, index)
    if volts is None:
        return None, None, rated, supply.rated_density(ground, index), None
    power = ledger.derive(f"{key}.power", supply.power_at_supply, rated=rated, voltage=voltage, supply=volts)
    current = ledger.derive(f"{key}.current", supply.current_drawn, power=power, supply=volts)
    area = supply.area_figure(ground, index)
    density = ledger.derive(f"{key}.power_density", supply.density_of, power=power, area=area)
    share = ledger.derive(f"{key}.share_of_rated", share_of_rated, voltage=voltage, supply=volts)
    return power, current, rated, density, share
