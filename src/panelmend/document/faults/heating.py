"""What is heated and with what: blankets, circuits, structure, and the planner's choices for each cure."""

from __future__ import annotations

from collections.abc import Iterator

from panelmend.document.approved import Cure
from panelmend.document.bay import Blanket
from panelmend.document.fault import Fault, fault
from panelmend.document.faults.cures import FASTEST
from panelmend.document.faults.plausible import outside, plainly
from panelmend.document.faults.thermal import specific_heat
from panelmend.document.model import Document, HeatChoice
from panelmend.document.places import Path
from panelmend.document.wording import did_you_mean
from panelmend.materials import Bagging, MaterialSet, builtin
from panelmend.units import show

MILD, HOTTEST = 313.15, 673.15  # K: a limit below would be reached in the sun; above, no blanket and no bag
DEGREES = "check the unit: C, F or K"


def _blankets(document: Document) -> Iterator[Fault]:
    for i, blanket in enumerate(document.bay.blanket):
        yield from _blanket(("bay", "blanket", i), blanket)


def _blanket(path: Path, b: Blanket) -> Iterator[Fault]:
    for field in ("length", "width"):
        value = getattr(b, field)
        yield from outside(
            (*path, field), f"{field} of a blanket", value, "length", 0.02, 5.0, high_todo="check the unit"
        )
    yield from outside((*path, "voltage"), "rated voltage", b.voltage, "voltage", 10.0, 1000.0)
    yield from _density(path, b)
    yield from outside(
        (*path, "areal_mass"),
        "mass of a blanket on its area",
        b.areal_mass,
        "areal mass",
        0.2,
        30.0,
        low_todo="check the unit: kg/m2 may have been written as g/m2",
        high_todo="check the unit: g/m2 may have been written as kg/m2",
    )
    yield from outside(
        (*path, "thickness"),
        "thickness of a blanket",
        b.thickness,
        "length",
        2e-4,
        0.05,
        low_todo="check the unit",
        high_todo="check the unit",
    )
    if b.areal_mass is not None and b.thickness is not None and 0.2 <= b.areal_mass <= 30.0:
        yield from outside(
            (*path, "areal_mass"),
            "blanket: mass on its area over thickness makes a density",
            b.areal_mass / b.thickness,
            "density",
            100.0,
            5000.0,
            low_todo="check both units; silicone rubber has about 1200 kg/m3",
            high_todo="check both units; silicone rubber has about 1200 kg/m3",
        )
    yield from specific_heat((*path, "specific_heat"), b.specific_heat)
    yield from outside(
        (*path, "conductivity"),
        "conductivity of a blanket",
        b.conductivity,
        "conductivity",
        0.02,
        20.0,
        high_todo="check the unit: mW/mK may have been written as W/mK",
    )
    yield from outside(
        (*path, "limit"),
        "limit of a blanket",
        b.limit,
        "temperature",
        MILD,
        HOTTEST,
        low_todo=DEGREES,
        high_todo=DEGREES,
    )


def _density(path: Path, b: Blanket) -> Iterator[Fault]:
    """Power density, typed or from power and size (a border that leaves nothing is said elsewhere)."""
    field, density = "power_density", b.power_density
    if density is None and b.power is not None and 2 * b.border < min(b.length, b.width):
        field = "power"
        density = b.power / ((b.length - 2 * b.border) * (b.width - 2 * b.border))
    yield from outside(
        (*path, field),
        "power density of a blanket" if field == "power_density" else "power of a blanket: its area makes",
        density,
        "power density",
        200.0,
        40e3,
        low_todo="check the unit: W/in2 or W/cm2 may have been written as W/m2",
        high_todo="check the unit: W/m2 may have been written as W/in2, W/cm2 or kW/m2",
    )


def _circuits(document: Document) -> Iterator[Fault]:
    for i, circuit in enumerate(document.bay.circuit):
        path: Path = ("bay", "circuit", i)
        if circuit.rating < 0.5:
            yield fault(
                (*path, "rating"),
                "smaller than any breaker of a bay",
                show(circuit.rating, "current", decimals=3),
                "0.5 A or more",
                "check the unit",
            )
        if circuit.continuous is not None and circuit.continuous < 0.2:
            yield fault(
                (*path, "continuous"),
                "implausible share of the rating: hardly anything could be drawn",
                f"{100 * circuit.continuous:g} %",
                "20 % to 100 %, usually 80 %",
                'eighty per cent is "80 %" or 0.8; leave it out if it is not known',
            )


def _film(document: Document) -> Iterator[Fault]:
    yield from outside(
        ("bay", "film_coefficient"),
        "loss to the air",
        document.bay.film_coefficient,
        "film coefficient",
        1.0,
        500.0,
        low_todo="still air takes 3 to 10 W/m2K; leave it out if it was not measured",
        high_todo="check the unit: moving air takes up to some 100 W/m2K",
    )


def _structure(document: Document) -> Iterator[Fault]:
    panel = document.panel
    yield from _limit(("panel", "limit"), "limit of the panel", panel.limit)
    for i, part in enumerate(panel.structure):
        path: Path = ("panel", "structure", i)
        yield from outside(
            (*path, "contact"),
            "contact conductance",
            part.contact,
            "film coefficient",
            1.0,
            1e6,
            low_todo="leave it out if it is not known; a part that does not touch draws no heat",
            high_todo="check the unit",
        )
        yield from outside(
            (*path, "thickness"),
            f"thickness of a {part.kind}",
            part.thickness,
            "length",
            1e-4,
            0.5,
            low_todo="check the unit",
            high_todo="check the unit",
        )
        yield from outside(
            (*path, "height"), "height of a web", part.height, "length", 1e-3, 5.0, high_todo="check the unit"
        )
        yield from _limit((*path, "limit"), f"limit of a {part.kind}", part.limit)


def _limit(path: Path, what: str, value: float | None) -> Iterator[Fault]:
    yield from outside(path, what, value, "temperature", MILD, HOTTEST, low_todo=DEGREES, high_todo=DEGREES)


def _choices(document: Document) -> Iterator[Fault]:
    cures = {c.name: c for c in document.data.cure}
    seen: set[str] = set()
    for i, heat in enumerate(document.choice.heat):
        path: Path = ("choice", "heat", i)
        if heat.cure not in cures:
            yield fault(
                (*path, "cure"),
                "no cure operation has this name",
                repr(heat.cure),
                f"one of {', '.join(map(repr, cures))}" if cures else "an operation of [[data.cure]]",
                did_you_mean(heat.cure, list(cures)),
            )
        elif heat.cure in seen:
            yield fault(
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
        yield fault(
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
    if not 0.0 < heat.rate <= FASTEST:
        yield from outside(
            here,
            "heating rate",
            heat.rate,
            "temperature rate",
            1e-9,
            FASTEST,
            low_todo="leave it out, or give a rate",
            high_todo="check the unit: a rate per minute may have been written per second",
        )
        return
    for segment in cure.segment:
        low, high = segment.rate_least, segment.rate_most
        if segment.kind == "ramp" and (
            (low is not None and heat.rate < low - 1e-12) or (high is not None and heat.rate > high + 1e-12)
        ):
            words = [f"at least {show(low, 'temperature rate')}"] if low is not None else []
            words += [f"at most {show(high, 'temperature rate')}"] if high is not None else []
            yield fault(
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
                yield fault(
                    ("choice", "heat", i, field),
                    "the bay has no such blanket",
                    repr(chosen),
                    f"one of {', '.join(ids)}" if ids else "a blanket of [[bay.blanket]]",
                    did_you_mean(chosen, ids),
                )
        if heat.blanket_behind and heat.blanket_behind == (heat.blanket or document.choice.blanket):
            yield fault(
                ("choice", "heat", i, "blanket_behind"),
                "one blanket cannot lie on both faces",
                repr(heat.blanket_behind),
                "another blanket than on the repair side",
            )


def _insulation(document: Document) -> Iterator[Fault]:
    known: dict[str, object] = {}
    for group in (document.materials, builtin()):
        for kind in MaterialSet.model_fields:
            for material in getattr(group, kind):
                known.setdefault(material.id, material)
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
            yield fault(
                ("choice", "heat", i, field),
                words,
                repr(chosen),
                f'bagging with use = "insulation": {", ".join(usable) or "none is known"}',
                did_you_mean(chosen, usable) or "describe it under [[materials.bagging]]",
            )


CHECKS = (
    (_blankets, ("bay",)),
    (_circuits, ("bay",)),
    (_film, ("bay",)),
    (_structure, ("panel",)),
    (_choices, ("choice", "data.cure")),
    (_heat_blankets, ("bay", "choice")),
    (_insulation, ("choice", "materials")),
)
