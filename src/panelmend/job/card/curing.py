"""Heating a cure operation and opening its bag: electricity, recipe, what is predicted, what to do."""

from __future__ import annotations

from panelmend.derive import Figure, Source
from panelmend.document.approved import Cure, Segment
from panelmend.errors import MissingError
from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card import thermocouples
from panelmend.job.card.drying import steam
from panelmend.job.card.part import Blank, Step, Words
from panelmend.job.card.writing import INSPECTOR, Units, blank, step
from panelmend.job.case import Case
from panelmend.job.cure.part import Circuited, CureOperation
from panelmend.job.ground import Ground
from panelmend.job.work import Work

LOOK = (
    "When a thermocouple reads outside its range in the table: look first at its lead, joint and tape, then at the "
    "blanket (its place, folds, plug), then at the bag (leak, bridging). If all is well the prediction does not fit "
    "this panel: go by the recipe and the thermocouples, and write it down."
)


def insulated(case: Case, operation: str) -> list[tuple[str, str]]:
    """Insulation the planner chose for a cure: where it goes, and what it is."""
    chosen = case.document.choice.heat_for(operation)
    if chosen is None:
        return []
    rows = (("over the bag", chosen.insulation_over), ("on the far face", chosen.insulation_behind))
    return [(where, _name(case, ident)) for where, ident in rows if ident]


def _name(case: Case, ident: str) -> str:
    try:
        return case.catalogue.get(ident).name
    except MissingError:
        return ident


def before_closing(case: Case, heated: CureOperation) -> list[Words | str]:
    """What is laid for the heat: thermocouples, insulation, a second blanket."""
    lines: list[Words | str] = []
    if heated.prediction is None:
        lines.append(
            "Thermocouples spread evenly at the places in the table: where it gets coldest and hottest is NOT "
            "PREDICTED. " + _why_not(heated)
        )
    else:
        lines.append(
            "Thermocouples at the places in the table, before the blanket goes on: the prediction chose them. One that "
            "must stand elsewhere is written down; then what it should read no longer holds."
        )
    for where, name in insulated(case, heated.name):
        lines.append(f"Insulation {where}: {name}.")
    if len(heated.blankets) > 1:
        behind = [s.id for s in heated.sensors if s.face == "far face" and s.id.startswith("B")]
        follows = (
            f", which follows {', '.join(behind)} on that face"
            if behind
            else " and thermocouples on that face"
        )
        lines.append(
            f"Blanket {heated.blankets[1].blanket} goes on the far face under a bag of its own, with a controller of "
            f"its own{follows}."
        )
    return lines


def _why_not(heated: CureOperation) -> str:
    if heated.missing:
        return "The constants that are missing, and whom to ask, stand in cure-plan.pdf."
    return "panelmend heat makes the prediction; nothing is missing for it."


def as_set(recipe: Cure, heated: CureOperation) -> Cure:
    """The recipe with the set point of its long dwell, and of the ramp to it, as the planner set it."""
    point = float(heated.set_point)
    longest = recipe.longest_dwell
    made: list[Segment] = []
    for i, s in enumerate(recipe.segment):
        leads = s.kind == "ramp" and recipe.segment[i + 1 : i + 2] == (longest,)
        made.append(s.model_copy(update={"to": point}) if s is longest or leads else s)
    return recipe.model_copy(update={"segment": tuple(made)})


def _to(heated: CureOperation, data: Figure, kept: bool) -> Words:
    """A segment's temperature: the data's, or what the planner chose inside its band."""
    if kept or float(data) == float(heated.set_point):
        return (data,)
    return (heated.set_point, " (chosen inside the band; the data has ", data, ")")


def _circuits(heated: CureOperation) -> list[Words | str]:
    """What each blanket draws, and from which circuit."""
    lines: list[Words | str] = [_circuit(b) for b in heated.blankets]
    if not heated.blankets:
        lines.append("Blanket and circuit NOT CHECKED: the bay has no blanket that will do.")
    if len(heated.blankets) > 1:
        first, second = heated.blankets[:2]
        lines.append(
            f"Never plug {first.blanket} and {second.blanket} into one circuit. Controller and thermocouples of one "
            "never drive the other: trace each lead by hand before switching on."
        )
    return lines


def _circuit(at: Circuited) -> Words:
    if at.power is None or at.current is None:
        return (
            f"Blanket {at.blanket}, ",
            at.rated,
            " at its own voltage. What it draws here is NOT CHECKED: the document gives no supply voltage "
            "(bay.supply). Read its plate, and ask who looks after the bay's electricity, before switching on.",
        )
    draws: Words = (f"Blanket {at.blanket} draws ", at.power, " and ", at.current, " at the bay's supply")
    if at.allowed is None:
        return (
            *draws,
            ". Whether a circuit carries that is NOT CHECKED: the document gives none (bay.circuit).",
        )
    if not at.holds:
        return (
            *draws,
            ": no free circuit carries that for hours (the strongest ",
            at.allowed,
            "). Do not switch it on there.",
        )
    return (
        *draws,
        f": plug it into {at.circuit}, which may carry ",
        at.allowed,
        " for hours, and nothing else into that circuit beyond its share.",
    )


def _predicted(ground: Ground, heated: CureOperation) -> list[Words | str]:
    """What is predicted of the bond line, and what to do when the thermocouples say otherwise."""
    found, key = heated.prediction, f"cure.{heated.number}"
    if found is None:
        return [
            "The heat of this cure is NOT PREDICTED: nobody has computed where it gets coldest. "
            + _why_not(heated)
        ]
    lines: list[Words | str] = []
    broken = [f"{r.what} ({r.place})" for r in found.limits if not r.holds]
    if not found.finished:
        broken.append("the recipe does not come to its end")
    if broken:
        lines.append(
            f"NOT HELD in the prediction: {'; '.join(broken)}. Do not switch on before the planner has settled it: "
            "cure-plan.pdf says what would change it."
        )
    if found.coldest_arrives is None:
        lines.append("By the prediction the coldest place of the bond line never enters the band.")
    else:
        lines.append(
            (
                "By the prediction the coldest place of the bond line enters the band ",
                ground.ledger[f"{key}.coldest_arrives"],
                " after heat goes on: count no dwell before that, and none before every thermocouple is in the band. "
                "The recipe and the thermocouples decide.",
            )
        )
    lines += thermocouples.unseen(ground, heated)
    return [*lines, LOOK]


def _tools(heated: CureOperation) -> list[str]:
    made = [f"heat blanket {b.blanket}" for b in heated.blankets] or ["heat blanket"]
    return [*made, "a controller for each blanket" if len(made) > 1 else "controller", "logger"]


def cure(case: Case, ground: Ground, work: Work, bag: BagOperation) -> Step:
    """The cure: electricity, recipe, what the thermocouples should read, and what to do when they do not."""
    recipe, key = bag.cure, f"cure.{bag.number}"
    heated = next(o for o in work.cure.operations if o.number == bag.number)
    manual = case.document.data.manual
    source = Source(f"{manual.number} rev {manual.revision}", recipe.place)

    def fig(name: str, value: float | None, kind: str) -> Figure | None:
        return None if value is None else ground.ledger.approved(f"{key}.{name}", value, kind, source=source)

    lines: list[Words | str] = []
    blanks: list[Blank] = []
    unit = Units.of(case.view).temperature
    for i, (s, own) in enumerate(zip(recipe.segment, as_set(recipe, heated).segment, strict=True), 1):
        k = f"s{i}"
        to = fig(f"{k}.to", s.to, "temperature")
        words: list[str | Figure] = [
            f"{i}. ",
            {"ramp": "Heat to ", "dwell": "Hold at ", "cool": "Cool to "}[s.kind],
        ]
        words += [*_to(heated, to, kept=s is own)] if to is not None else []
        if s is not own and s.kind == "ramp" and heated.rate is not None:
            words += [", set to ", heated.rate]
        rate = fig(f"{k}.rate_most", s.rate_most, "temperature rate")
        least = fig(f"{k}.rate_least", s.rate_least, "temperature rate")
        words += [", no faster than ", rate] if rate is not None else []
        words += [", no slower than ", least] if least is not None else []
        low, high = fig(f"{k}.low", s.low, "temperature"), fig(f"{k}.high", s.high, "temperature")
        if low is not None and high is not None:
            words += [", every thermocouple between ", low, " and ", high]
        held = fig(f"{k}.least", s.least, "time")
        words += [", for at least ", held, " counted on the slowest"] if held is not None else []
        longest = fig(f"{k}.most", s.most, "time")
        words += [", and no longer than ", longest] if longest is not None else []
        lines.append((*words, "."))
        if s.kind == "dwell":
            blanks += [
                blank(f"Segment {i}: lowest / highest", low=low, high=high, unit=unit),
                blank(f"Segment {i}: from / to"),
            ]
    ceiling = fig("ceiling", recipe.ceiling, "temperature")
    if ceiling is not None:
        lines.append(("No thermocouple may ever pass ", ceiling, "."))
    if recipe.control is not None:
        lines.append(f"Control on the {recipe.control} thermocouple.")
    lines.append(("Keep at least ", bag.least_vacuum, " all through."))
    water, burst = steam(work, bag.number)
    return step(
        "cure",
        f"{bag.name}: cure",
        *_circuits(heated),
        f"Recipe: {recipe.place}. Record every thermocouple and the vacuum at least once a minute, and keep the log file.",
        *lines,
        *water,
        *_predicted(ground, heated),
        cautions=[c.HEAT, c.MAINS, *([c.TWO_BLANKETS] if len(heated.blankets) > 1 else []), *burst],
        tools=_tools(heated),
        blanks=[
            *blanks,
            blank("Log file name"),
            blank("Least vacuum seen", low=bag.least_vacuum, unit="inHg"),
        ],
        drawing=f"cure {bag.name}",
        tables=thermocouples.readings(ground, work, bag, heated),
    )


def open_(case: Case, ground: Ground, bag: BagOperation) -> Step:
    """Vacuum off, bag off, first look."""
    below = bag.cure.release_below
    lines: list[Words | str] = []
    release: Figure | None = None
    if below is not None:
        manual = case.document.data.manual
        source = Source(f"{manual.number} rev {manual.revision}", bag.cure.place)
        release = ground.ledger.approved(
            f"cure.{bag.number}.release_below", below, "temperature", source=source
        )
        lines.append(("Keep the vacuum until every thermocouple is below ", release, "."))
    else:
        lines.append("Keep the vacuum until the repair is cool to the touch, or as the data says.")
    lines.append(
        "Take off bag, films and tape; look for dry spots, bridging, wrinkles and lifted edges; tap the repair."
    )
    if "cap" in bag.lays:
        lines.append("Trim the cured cap to the opening, and abrade and clean it as before.")
    return step(
        "cure",
        f"{bag.name}: open and inspect",
        *lines,
        cautions=[c.HEAT, c.DUST] if "cap" in bag.lays else [c.HEAT],
        blanks=[
            blank("Hottest thermocouple at release", high=release, unit=Units.of(case.view).temperature),
            blank("Tapped sound (yes / no)"),
        ],
        hold=INSPECTOR,
    )
