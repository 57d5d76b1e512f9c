"""What is heated and with what: blankets, circuits, structure, and the planner's choices for each cure."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.approved import Cure
from panelmend.document.bay import Blanket
from panelmend.document.bounds import plainly
from panelmend.document.fault import Fault, fault_at
from panelmend.document.faults.names import known_materials
from panelmend.document.faults.plausible import fault_outside
from panelmend.document.model import Document, HeatChoice
from panelmend.document.places import Path
from panelmend.document.wording import did_you_mean
from panelmend.materials import Bagging
from panelmend.units import show


def _blankets(document: Document) -> Iterator[Fault]:
    for i, blanket in enumerate(document.bay.blanket):
        yield from _blanket(("bay", "blanket", i), blanket)


def _blanket(path: Path, b: Blanket) -> Iterator[Fault]:
    yield from _density(path, b)
    if b.areal_mass is not None and b.thickness is not None and 0.2 <= b.areal_mass <= 30.0:
        yield from fault_outside(
            (*path, "areal_mass"),
            "blanket: mass on its area over thickness makes a density",
            b.areal_mass / b.thickness,
            "density",
            100.0,
            5000.0,
            low_todo="check both units; silicone rubber has about 1200 kg/m3",
            high_todo="check both units; silicone rubber has about 1200 kg/m3",
        )


def _density(path: Path, b: Blanket) -> Iterator[Fault]:
    """Power density from power and size (a border that leaves nothing is said elsewhere)."""
    if b.power is None or 2 * b.border >= min(b.length, b.width):
        return
    density = b.power / ((b.length - 2 * b.border) * (b.width - 2 * b.border))
    yield from fault_outside(
        (*path, "power"),
        "power of a blanket: its area makes",
        density,
        "power density",
        200.0,
        40e3,
        low_todo="check the unit: W/in2 or W/cm2 may have been written as W/m2",
        high_todo="check the unit: W/m2 may have been written as W/in2, W/cm2 or kW/m2",
    )


def _choices(document: Document) -> Iterator[Fault]:
    cures = {c.name: c for c in document.data.cure}
    seen: set[str] = set()
    for i, heat in enumerate(document.choice.heat):
        path: Path = ("choice", "heat", i)
        if heat.cure not in cures:
            yield fault_at(
                (*path, "cure"),
                "no cure operation has this name",
                repr(heat.cure),
                f"one of {', '.join(map(repr, cures))}" if cures else "an operation of [[data.cure]]",
                did_you_mean(heat.cure, list(cures)),
            )
        elif heat.cure in seen:
            yield fault_at(
                (*path, "cure"), "two choices for one cure", repr(heat.cure), "one [[choice.heat]] for each"
            )
        else:
            yield from _set_point(path, heat, cures[heat.cure])
            yield from _rate(path, heat, cures[heat.cure])
        seen.add(heat.cure)


def _set_point(path: Path, heat: HeatChoice, cure: Cure) -> Iterator[Fault]:
    """The set point of the longest dwell, inside its band and below the ceiling."""
    dwells = [s for s in cure.segment if s.kind == "dwell"]
    if heat.set_point is None or not dwells:
        return
    dwell = max(dwells, key=lambda s: s.least or 0.0)
    low = dwell.low if dwell.low is not None else dwell.to
    high = dwell.high if dwell.high is not None else dwell.to
    if cure.ceiling is not None:
        high = min(high, cure.ceiling)
    if not low - 1e-6 <= heat.set_point <= high + 1e-6:
        banded = dwell.low is not None or dwell.high is not None
        yield fault_at(
            (*path, "set_point"),
            "the set point lies outside the band of the dwell"
            if banded
            else "the approved data gives the dwell no band to choose from",
            plainly(heat.set_point, "temperature"),
            f"{plainly(low, 'temperature')} to {plainly(high, 'temperature')}"
            if banded
            else plainly(dwell.to, "temperature"),
            "choose inside the band, or leave it out",
        )


def _rate(path: Path, heat: HeatChoice, cure: Cure) -> Iterator[Fault]:
    if heat.rate is None:
        return
    here = (*path, "rate")
    for segment in cure.segment:
        low, high = segment.rate_least, segment.rate_most
        if segment.kind == "ramp" and (
            (low is not None and heat.rate < low - 1e-12) or (high is not None and heat.rate > high + 1e-12)
        ):
            words = [f"at least {show(low, 'temperature rate')}"] if low is not None else []
            words += [f"at most {show(high, 'temperature rate')}"] if high is not None else []
            yield fault_at(
                here,
                "the rate lies outside the limits of the approved data",
                show(heat.rate, "temperature rate"),
                " and ".join(words),
                f"see {cure.place}",
            )
            return


def _heat_blankets(document: Document) -> Iterator[Fault]:
    ids = [b.id for b in document.bay.blanket]
    for i, heat in enumerate(document.choice.heat):
        for field in ("blanket", "blanket_behind"):
            chosen = getattr(heat, field)
            if chosen and chosen not in ids:
                yield fault_at(
                    ("choice", "heat", i, field),
                    "the bay has no such blanket",
                    repr(chosen),
                    f"one of {', '.join(ids)}" if ids else "a blanket of [[bay.blanket]]",
                    did_you_mean(chosen, ids),
                )
        if heat.blanket_behind and heat.blanket_behind == (heat.blanket or document.choice.blanket):
            yield fault_at(
                ("choice", "heat", i, "blanket_behind"),
                "one blanket cannot lie on both faces",
                repr(heat.blanket_behind),
                "another blanket than on the repair side",
            )


def _insulation(document: Document) -> Iterator[Fault]:
    known = known_materials(document)
    usable = [n for n, m in known.items() if isinstance(m, Bagging) and m.use == "insulation"]
    for i, heat in enumerate(document.choice.heat):
        for field in ("insulation_over", "insulation_behind"):
            chosen = getattr(heat, field)
            if not chosen or chosen in usable:
                continue
            found = known.get(chosen)
            if found is None:
                words = "no material has this id"
            elif isinstance(found, Bagging):
                words = f"this material is not for insulating (its use is {found.use!r})"
            else:
                words = f"this is a material of another kind ({type(found).__name__.lower()})"
            yield fault_at(
                ("choice", "heat", i, field),
                words,
                repr(chosen),
                f'bagging with use = "insulation": {", ".join(usable) or "none is known"}',
                did_you_mean(chosen, usable) or "describe it under [[materials.bagging]]",
            )


CHECKS = (
    (_blankets, ("bay",)),
    (_choices, ("choice", "data.cure")),
    (_heat_blankets, ("bay", "choice")),
    (_insulation, ("choice", "materials")),
)
