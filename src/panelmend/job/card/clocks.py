"""Each batch against its pot life: by when it is laid, by when the bag is tight, and whether that can be done."""

from __future__ import annotations

import math

from panelmend.derive import Figure, Source, formula
from panelmend.job.air import temperature_of
from panelmend.job.bag.part import BagOperation
from panelmend.job.basis import Basis
from panelmend.job.card.laid import laid_in
from panelmend.job.card.part import Clock, WarmAir
from panelmend.job.card.warm_air import told_life
from panelmend.job.kit.part import Mix
from panelmend.job.openings import cap_alone
from panelmend.job.work import Work
from panelmend.materials import Adhesive, Resin
from panelmend.units.fundamental import GAS, ROOM_TEMPERATURE

POT_LIFE_HALVED_FROM = 305.37  # [K] 90 F: above it the pot life halves (TM 1-1500-204-23-11, scan page 169)
POT_LIFE_AT = ROOM_TEMPERATURE  # [K] sheets have their pot life at it or at 25 C (common practice, no source)
POT_LIFE_SHORTER_FROM = 298.15  # [K] 25 C: in warmer air no pot life of a sheet is taken whole
_ARRHENIUS = Source(
    "Arrhenius's law; gas constant of CODATA 2018", "pot life at 23 C: common practice, no source"
)
_TM = Source("US Army TM 1-1500-204-23-11", "scan page 169")
_SUM = Source("minutes of the bench added up: common practice, no source")
_PACE = ("mix", "wet_out", "lay", "plug", "bag", "hold")


@formula("0.5 x pot life, mixed in air above 90 F", source=_TM, kind="time")
def in_hot_air(life: float) -> float:
    """Pot life of what is mixed in air above 90 F.

    life: pot life [s]
    return: pot life in hot air [s]
    """
    return 0.5 * life


@formula("t exp(E/R (1/T - 1/296.15 K))", source=_ARRHENIUS, kind="time")
def in_warm_air(life: float, air: float, energy: float) -> float:
    """Pot life in air that is warmer than the 23 C of its sheet.

    life: pot life at 23 C [s]
    air: air of the bay [K]
    energy: activation energy of the cure, the greatest typed [J/mol]
    return: pot life in this air [s]
    """
    return life * math.exp(energy / GAS * (1.0 / air - 1.0 / POT_LIFE_AT))


@formula("bag + leak test + hold", source=_SUM, kind="time")
def closing(bag: float, leak: float, hold: float) -> float:
    """From the last piece laid to a bag that was accepted as tight.

    bag: closing the bag [s]
    leak: leak test [s]
    hold: the inspector's hold on the bag [s]
    return: time [s]
    """
    return math.fsum((bag, leak, hold))


@formula("batches x mix + plug + sheets x wet out + plies x lay + holds x hold", source=_SUM, kind="time")
def laying(
    mix: float,
    plug: float,
    wet_out: float,
    lay: float,
    hold: float,
    batches: int,
    plugs: int,
    sheets: int,
    plies: int,
    holds: int,
) -> float:
    """From the first contact of resin and hardener to the last piece laid.

    mix: weighing and mixing a batch [s]
    plug: setting the plug, the potting or a cap cured beforehand [s]
    wet_out: wetting out a sheet [s]
    lay: laying a ply [s]
    hold: an inspector's hold [s]
    batches: batches mixed in that time [1]
    plugs: plugs or caps set [1]
    sheets: sheets wetted [1]
    plies: plies laid [1]
    holds: holds on the lay-up [1]
    return: time [s]
    """
    parts = (batches * mix, plugs * plug, sheets * wet_out, plies * lay, holds * hold)
    return math.fsum(parts)


@formula("laying + closing", source=_SUM, kind="time")
def needed(laid: float, closed: float) -> float:
    """From mixing to a bag that was accepted as tight.

    laid: laying [s]
    closed: closing and testing the bag [s]
    return: time [s]
    """
    return laid + closed


@formula("pot life - closing, never below 0", source=_SUM, kind="time")
def left_to_lay(life: float, closed: float) -> float:
    """How long after mixing all must be laid.

    life: pot life [s]
    closed: closing and testing the bag [s]
    return: time [s]
    """
    return max(0.0, life - closed)


def clocks(basis: Basis, work: Work) -> tuple[Clock, ...]:
    """The clock of every batch that has a pot life, in working order."""
    made = []
    for bag in work.bag.operations:
        mine = [m for m in work.kit.mixes if m.operation == bag.name]
        made += [c for i, m in enumerate(mine) if (c := _clock(basis, work, bag, mine, i)) is not None]
    return tuple(made)


def in_the_heat(basis: Basis) -> bool:
    """Whether the bay's air is so hot that what is mixed in it lasts half as long."""
    air = basis.case.document.bay.air_temperature
    return air is not None and air > POT_LIFE_HALVED_FROM


def in_warmth(basis: Basis) -> bool:
    """Whether the bay's air is warmer than that of the sheets that pot lives come from."""
    air = basis.case.document.bay.air_temperature
    return air is not None and air > POT_LIFE_SHORTER_FROM


def _life(basis: Basis, mix: Mix, key: str, typed: Figure) -> tuple[Figure, WarmAir]:
    """The pot life in the air of the bay, and how it was told: the shorter of the two rules."""
    ledger, air, life, warm = basis.ledger, temperature_of(basis), typed, WarmAir.NOT
    if in_warmth(basis):
        told = told_life(basis, mix.material, typed)
        life, warm = (typed, WarmAir.UNTOLD) if told is None else (told, WarmAir.TOLD)
        found = basis.case.catalogue.get(mix.material)
        kinetics = found.kinetics if isinstance(found, Resin | Adhesive) else None
        if kinetics is not None and air is not None:
            energies = [e for e in (kinetics.e1, kinetics.e2, kinetics.e3) if e is not None]
            energy = ledger.table(
                f"materials.{mix.material}.pot_life_energy",
                max(energies),
                "molar energy",
                source=Source(kinetics.source, mix.material),
            )
            warm = WarmAir.RECKONED
            life = ledger.derive_limit(
                "most", "time", f"{key}.warm_life", in_warm_air, life=typed, air=air, energy=energy
            )
    if in_the_heat(basis):  # 22.5 min are 22, as in the blanks that must keep it
        half = ledger.derive_limit("most", "time", f"{key}.life", in_hot_air, life=typed)
        if warm is WarmAir.UNTOLD or float(half) <= float(life):
            return half, WarmAir.HALVED
    return life, warm


def _clock(basis: Basis, work: Work, bag: BagOperation, mixes: list[Mix], at: int) -> Clock | None:
    mix, bay, ledger = mixes[at], basis.case.document.bay, basis.ledger
    if mix.pot_life is None:
        return None
    key = f"card.{bag.number}.batch{at + 1}"
    life, warm = _life(basis, mix, key, mix.pot_life)
    if bay.pace is None:
        return Clock(mix.id, bag.number, life, None, None, warm)
    pace = {
        name: basis.typed(f"bay.pace.{name}", getattr(bay.pace, name), "time", path=f"bay.pace.{name}")
        for name in _PACE
    }
    following = mixes[at:]
    core = {"core", "potting"} & set(bag.lays) or cap_alone(bag, work.bag.operations, work.core)
    sheets = [s for s in work.kit.sheets if s.operation == bag.name]
    plies = laid_in(work, bag)
    counts = {
        "batches": sum(len(m.pots) for m in following),
        "plugs": 1 if core and any(pastes(basis, m) for m in following) else 0,
        "sheets": len(sheets),
        "plies": len(plies),
        "holds": 1,
    }
    figures = {n: ledger.typed(f"{key}.{n}", v, "", source=_SUM) for n, v in counts.items()}
    chosen = {n: pace[n] for n in ("mix", "plug", "wet_out", "lay", "hold")}
    laid = ledger.derive(f"{key}.laying", laying, **chosen, **figures)
    closed = pace["hold"]  # nothing more to close where no bag is drawn
    if bag.bagged:
        closed = ledger.derive(
            f"{key}.closing", closing, bag=pace["bag"], leak=bag.leak_time, hold=pace["hold"]
        )
    whole = ledger.derive(f"{key}.needed", needed, laid=laid, closed=closed)
    lay = ledger.derive(f"{key}.lay_by", left_to_lay, life=life, closed=closed)
    return Clock(mix.id, bag.number, life, lay, whole, warm)


def pastes(basis: Basis, mix: Mix) -> bool:
    """Whether a mix is adhesive of the core, not laminating resin."""
    return isinstance(basis.case.catalogue.get(mix.material), Adhesive)


def minutes(figure: Figure) -> str:
    """A time in whole minutes, rounded down."""
    return f"{math.floor(float(figure) / 60.0 + 1e-9)} min"
