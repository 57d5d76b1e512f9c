"""The cure stage: recipe, blanket, circuit and problem of each operation, and its prediction if any."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from panelmend.derive import Figure, Ledger
from panelmend.derive.figure import Origin
from panelmend.document.approved import Cure
from panelmend.document.bay import Bay, Blanket
from panelmend.document.panel import Side
from panelmend.job import air, blanket_supply
from panelmend.job.bag.part import BagOperation, BagPart
from panelmend.job.basis import Basis
from panelmend.job.case import Case
from panelmend.job.clearances import no_place_for_sensors
from panelmend.job.core.part import CorePart
from panelmend.job.cure import predicted as f
from panelmend.job.cure.bag_inputs import insulations
from panelmend.job.cure.circuit import assign_circuits
from panelmend.job.cure.core_inputs import warmed
from panelmend.job.cure.drying import drying_problem
from panelmend.job.cure.gathered import Gathered, Laid
from panelmend.job.cure.inputs import gather_stack
from panelmend.job.cure.metals import METALS
from panelmend.job.cure.part import Circuited, CureOperation, CurePart, MissingConstant, Placed
from panelmend.job.cure.prediction import Prediction, held_key
from panelmend.job.cure.problem import HeatProblem, HeatSource, Rib
from panelmend.job.cure.recipe import choice_for, legs, notes_of, ramp_rate, set_point
from panelmend.job.cure.unknowns import CHANNEL, UnknownsGiven, unknowns_of
from panelmend.job.cure.wet import wet_problem
from panelmend.job.curvature import outline_on
from panelmend.job.cutout.part import CutoutPart
from panelmend.job.defaults import LEAST_SENSORS, RATE_WINDOW
from panelmend.job.drying.part import DryingPart
from panelmend.job.plies.part import PliesPart
from panelmend.shapes import Outline, Point
from panelmend.units.fundamental import SEA_LEVEL_PRESSURE


def make(
    case: Case,
    ledger: Ledger,
    cutout: CutoutPart,
    plies: PliesPart,
    core: CorePart,
    bags: BagPart,
    predictions: Mapping[str, Prediction],
    drying: DryingPart | None = None,
) -> CurePart:
    """The cure operations.

    Args:
        case: the document.
        ledger: takes the figures.
        cutout: the hole.
        plies: what is laid.
        core: the plug and cap.
        bags: the bags.
        predictions: predictions by digest of their problem; where there is none the operation says so.
        drying: what is dried before, if anything.

    Returns:
        the stage's part.
    """
    basis = Basis(case, ledger)
    made, before = [], list[tuple[str, Side]]()
    for bag in bags.operations:
        there = [*before, ("cap", bag.heated_from)] if bag.bonds_cap else before
        laid = Laid(case, cutout, plies, core, bag, bag.cure, tuple(there))
        made.append(_operation(basis, replace(laid, coat=_coat(basis, laid)), predictions))
        if bag.on_panel:
            before += [(part, bag.heated_from) for part in bag.lays]
    first = next((o.problem for o in made if o.problem is not None), None)
    problem = drying_problem(first, drying) if drying is not None else None
    dried = predictions.get(problem.digest()) if problem is not None else None
    if dried is not None:
        whole = ledger.add(
            Figure("drying.heat", dried, "", Origin.COMPUTED, f.SOLVER, "", (("at", "drying.temperature"),))
        )
        for name, formula in f.DRIED.items():
            if formula(prediction=dried) is not None:
                ledger.derive(f"drying.heat.{name}", formula, prediction=whole)
    return CurePart(tuple(made), problem, dried)


def _coat(basis: Basis, laid: Laid) -> float:
    """Resin brushed on before the first wet ply [kg/m2], as the kit has it; 0 where none is."""
    resin = basis.case.document.data.resin
    wet = [
        p for p in laid.own() if p.role != "film adhesive" and not basis.case.catalogue.cloth(p.cloth).prepreg
    ]
    if not wet or not laid.bag.on_panel or resin.system is None:
        return 0.0
    return float(basis.usual("kit.brush_coat", resin.brush_coat))


def _operation(basis: Basis, laid: Laid, predictions: Mapping[str, Prediction]) -> CureOperation:
    bag, cure, key = laid.bag, laid.cure, f"cure.{laid.bag.number}"
    point, rate = set_point(basis, key, cure), ramp_rate(basis, key, cure)
    wanted = _Blankets.of(basis, bag, cure)
    put = assign_circuits(basis, key, [b.id for b in (wanted.blanket, wanted.behind) if b is not None])
    problem: HeatProblem | None = None
    missing: tuple[MissingConstant, ...] = ()
    if bag.on_panel and cure.heated_by == "blanket":
        problem, missing = _problem(
            basis, laid, wanted, float(point), float(rate) if rate is not None else None, put
        )
    prediction = predictions.get(problem.digest()) if problem is not None else None
    if prediction is not None:
        named = (("set_point", point), *((("rate", rate),) if rate is not None else ()))
        _figures(basis, key, prediction, named)
    wet = wet_problem(basis.case, problem, laid.cutout.opening.outline)
    return CureOperation(
        bag.number,
        cure.name,
        put,
        point,
        rate,
        problem,
        missing,
        prediction,
        _placed(bag, prediction),
        wet,
        predictions.get(wet.digest()) if wet is not None else None,
    )


@dataclass(frozen=True)
class _Blankets:
    """The blanket of an operation, a second one behind if chosen, and what else of the bay could be taken."""

    blanket: Blanket | None
    turned: bool
    behind: Blanket | None
    larger: Blanket | None
    second: Blanket | None

    @staticmethod
    def of(basis: Basis, bag: BagOperation, cure: Cure) -> _Blankets:
        bay = basis.case.document.bay
        by_id = {b.id: b for b in bay.blanket}
        own = by_id.get(bag.blanket)
        chosen = choice_for(basis, cure)
        behind = by_id.get(chosen.blanket_behind) if chosen is not None and chosen.blanket_behind else None
        turned = own is not None and abs(own.length - float(bag.blanket_length)) > 1e-9
        larger = second = None
        if own is not None:
            others = [b for b in bay.blanket if b not in (own, behind) and _serves(b, bay, cure)]
            with_it = [behind] if behind is not None else []
            above = [
                b
                for b in others
                if b.length > own.length + 1e-9
                and b.width > own.width + 1e-9
                and blanket_supply.carried_together([b, *with_it], bay)
            ]
            larger = min(above, key=lambda b: b.length * b.width, default=None)
            like = [
                b
                for b in others
                if b.length >= own.length - 1e-9
                and b.width >= own.width - 1e-9
                and blanket_supply.carried_together([own, b], bay)
            ]
            second = min(like, key=lambda b: b.length * b.width, default=None)
        return _Blankets(own, turned, behind, larger, second if behind is None else None)


def _serves(blanket: Blanket, bay: Bay, cure: Cure) -> bool:
    """Whether a blanket may be connected here and reach the recipe's temperatures."""
    hottest = max(s.to for s in cure.segment)
    known = blanket.thickness and blanket.areal_mass and blanket.specific_heat and blanket.conductivity
    suits = blanket_supply.suits(blanket, bay) != "high" and (
        blanket.limit is None or blanket.limit > hottest
    )
    return suits and bool(known)  # a change is not tried with the constants of another blanket


def _sources(
    basis: Basis, bag: BagOperation, wanted: _Blankets, put: tuple[Circuited, ...]
) -> tuple[HeatSource | None, ...]:
    """The blanket, the one behind, the next larger of the bay, and one that could lie behind."""
    density = {c.blanket: float(c.density) for c in put}

    def of(blanket: Blanket | None, off: Point) -> HeatSource | None:
        if blanket is None:
            return None
        power = density.get(blanket.id, blanket_supply.density_at_supply(basis.case.document.bay, blanket))
        return _source(bag, blanket, wanted.turned, power, off)

    front, middle = bag.hand.off, (0.0, 0.0)
    return (
        of(wanted.blanket, front),
        of(wanted.behind, middle),
        of(wanted.larger, front),
        of(wanted.second, middle),
    )


def _source(bag: BagOperation, blanket: Blanket, turned: bool, power: float, off: Point) -> HeatSource:
    """A blanket where it lies, with its power at the bay's supply [W/m2]."""
    long, wide = (blanket.width, blanket.length) if turned else (blanket.length, blanket.width)
    heated = _lying(bag, off, long - 2 * blanket.border, wide - 2 * blanket.border)
    stuff = None
    thickness, mass, specific = blanket.thickness, blanket.areal_mass, blanket.specific_heat
    if thickness and mass and specific and blanket.conductivity:
        stuff = (thickness, blanket.conductivity, mass * specific / thickness)
    return HeatSource(blanket.id, heated, _lying(bag, off, long, wide), power, blanket.limit, stuff)


def _lying(bag: BagOperation, off: Point, length: float, width: float) -> Outline:
    """A rectangle of the bag, in its middle or off it."""
    return bag.frame.box(*off, length, width) if any(off) else bag.frame.rectangle(length, width)


def _problem(
    basis: Basis, laid: Laid, wanted: _Blankets, point: float, rate: float | None, put: tuple[Circuited, ...]
) -> tuple[HeatProblem | None, tuple[MissingConstant, ...]]:
    case, bag, cure = laid.case, laid.bag, laid.cure
    bay, panel = case.document.bay, case.document.panel
    own, behind_it, larger, second = _sources(basis, bag, wanted, put)
    made = gather_stack(
        laid, [(s, b) for s, b in ((own, wanted.blanket), (behind_it, wanted.behind)) if s and b]
    )
    if own is None:
        made.lacks("a blanket that is large enough", "bay.blanket", "the size the bag stage names")
    if bay.air_temperature is None:
        made.lacks(
            "the air temperature of the bay", "bay.air_temperature", "read a thermometer beside the panel"
        )
    if not bag.hand.usable:
        made.lacks(
            "blanket and thermocouples placed where a cure can be predicted with them",
            "choice.heat",
            "the findings of what is placed by hand say what to move",
        )
    chosen = choice_for(basis, cure)
    (over, most_over), (behind, most_behind) = insulations(case, made, chosen)
    if made.missing or own is None or bay.air_temperature is None:
        return None, tuple(made.missing)
    near = laid.near
    ribs = tuple(
        Rib(
            s.id,
            s.kind,
            s.side == near,
            outline_on(case, area.outline, "outside", near),
            s.thickness,
            s.height,
            *METALS[s.metal],
            s.contact,
            s.limit,
        )
        for s, area in zip(panel.structure, case.geometry.structure, strict=True)
    )
    pressure = air.pressure_of(basis)
    places = _placed_within(basis)
    problem = HeatProblem(
        operation=cure.name,
        number=bag.number,
        side=near,
        frame=(bag.frame.centre, bag.frame.direction),
        panel=outline_on(case, case.geometry.outline, "outside", near),
        sheets=tuple(made.sheets),
        core=made.core,
        curing=tuple(made.curing),
        ribs=ribs,
        source=own,
        source_behind=behind_it,
        larger=larger,
        insulation_over=over,
        insulation_behind=behind,
        attitude=case.document.choice.attitude,
        air=bay.air_temperature,
        pressure=float(pressure) if pressure is not None else SEA_LEVEL_PRESSURE,
        film=bay.film_coefficient,
        legs=legs(cure, point, rate, chosen=chosen is not None and chosen.rate is not None),
        follow=cure.control or "lagging",
        ceiling=cure.ceiling,
        panel_limit=panel.limit,
        least_sensors=max(LEAST_SENSORS, cure.thermocouples_least or 0),
        bond=bag.patch,
        floor=laid.core.plug.opening if laid.core.plug is not None and "core" in bag.lays else None,
        seal_line=bag.seal_line,
        sensor_line=bag.sensor_line,
        sensors=tuple((s.id, s.at) for s in bag.sensors),
        unknowns=unknowns_of(
            UnknownsGiven(
                bay,
                ribs,
                tuple(made.curing),
                made.bled,
                behind_it is not None,
                places,
                max(s.to for s in cure.segment),
                chosen.measured if chosen is not None else (),
                case.view,
                made.splice is not None,
                warmed(laid, made.core, bay.air_temperature, behind_it is not None),
            )
        ),
        view=case.view,
        second=second,
        avoid=no_place_for_sensors(case, near, off_metal=0.0),
        spread_most=cure.spread_most,
        release_below=cure.release_below,
        rate_window=cure.rate_window if cure.rate_window is not None else RATE_WINDOW,
        notes=(*notes_of(cure), *dict.fromkeys(made.notes), *_left_out(laid, made)),
        bled=made.bled,
        places=places,
        channel=CHANNEL,
        placed=True if bag.hand.sensors else None,
        splice=made.splice,
        uncounted=tuple(made.uncounted) or None,
        insulation_limits=(most_over, most_behind) if (most_over or most_behind) else None,
    )
    return problem, ()


def _left_out(laid: Laid, made: Gathered) -> list[str]:
    """What a prediction of this cure does not count and a planner could think it does."""
    said = []
    if made.core is not None and laid.case.document.damage.moisture != "none found":
        said.append(
            "no water is counted in the core: what drying has left heats more slowly, stays colder and lifts "
            "the skin; dry it to what the data asks first"
        )
    if any(x.use == "caul sheet" for x in laid.bag.layers):
        said.append(
            "how the caul sheet presses on the steps of the plies is not computed: it may bridge them"
        )
    return said


def _placed_within(basis: Basis) -> tuple[float, float]:
    """How far blankets and thermocouples may lie off their marks [m]: given for the bay, or the usual."""
    bay, made = basis.case.document.bay, []
    for name, value in (
        ("blanket_placed", bay.blanket_placed),
        ("thermocouple_placed", bay.thermocouple_placed),
    ):
        key = f"cure.{name}"
        if key in basis.ledger:
            figure = basis.ledger[key]
        elif value is not None:
            figure = basis.typed(key, value, "length", path=f"bay.{name}")
        else:
            figure = basis.default(key)
        made.append(float(figure))
    return made[0], made[1]


def _placed(bag: BagOperation, prediction: Prediction | None) -> tuple[Placed, ...]:
    """Thermocouples as predicted, or spread evenly as the bag has them."""
    if prediction is None:
        why = "placed by hand" if bag.hand.sensors else "spread evenly"
        return tuple(Placed(s.id, s.at, "repair side", f"{why}: not predicted") for s in bag.sensors)
    return tuple(Placed(s.id, s.at, s.face, s.why) for s in prediction.sensors)


def _figures(basis: Basis, key: str, prediction: Prediction, inputs: tuple[tuple[str, Figure], ...]) -> None:
    """The prediction as one figure, and the numbers people ask for by themselves."""
    ledger = basis.ledger
    named = tuple((n, figure.key) for n, figure in inputs)
    whole = ledger.add(Figure(f"{key}.prediction", prediction, "", Origin.COMPUTED, f.SOLVER, "", named))
    for name, formula in f.READ.items():
        if formula(prediction=prediction) is not None:
            ledger.derive(f"{key}.{name}", formula, prediction=whole)
    if prediction.likelihood is not None:
        number = int(key.rpartition(".")[2])
        ledger.derive(held_key(number, prediction), f.cases_held, prediction=whole)
