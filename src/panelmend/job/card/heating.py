"""What a cure asks of heat: its stages, limits, circuits, what is predicted, and what to do when it is interrupted."""

from __future__ import annotations

from panelmend.derive import Figure, Source
from panelmend.document.approved import Cure, Segment
from panelmend.errors import MissingError
from panelmend.job.bag.part import BagOperation
from panelmend.job.basis import Basis
from panelmend.job.card import thermocouples
from panelmend.job.card.bench import Bench, heated_by
from panelmend.job.card.part import Blank, StepTable, Words
from panelmend.job.card.unpredicted import says_unpredicted, unpredicted_words
from panelmend.job.card.writing import clock_blank, note, number
from panelmend.job.case import Case
from panelmend.job.cure.part import Circuited, CureOperation, Outlook
from panelmend.job.defaults import CUT_OUT_ROOM, OF_A_CYCLE
from panelmend.job.degree_reached import unfinished
from panelmend.job.heat_taken import accepted_heat, by_whom
from panelmend.job.kit.part import Mix
from panelmend.units import show

TIGHT = "may end the cure: ask the planner first"
"""Where the band reaches so near to the maximum that no value lies safely between them."""
LOOK = (
    "If a thermocouple reads outside its range in the table: check its lead, joint and tape, then the blanket (place, "
    "folds, plug), then the bag (leak, bridging). If all is well: go by the cure cycle and the thermocouples, and write it "
    "down."
)


ONLY = "Only the heat of a blanket on the panel is predicted here."
LAGS = (
    "In an oven the air is hot long before the part: what lies deep, is thick or has structure on it gets hot last, and so does "
    "the face turned away from the air stream. Count no dwell before the slowest thermocouple of both faces, the thickest "
    "place and any structure behind the repair is in the band; a potting or a thick stack gets hotter than the air."
)


WET = (
    "By the prediction water left in the core breaks a limit of this cure, and thermocouples beside the patch may "
    "not show it: no heat before a check shows that the core is dry."
)


def insulated(case: Case, operation: str) -> list[tuple[str, str]]:
    """Insulation the planner chose for a cure: where it goes, and what it is."""
    chosen = case.document.choice.heat_for(operation)
    if chosen is None:
        return []
    rows = (("over the bag", chosen.insulation_over), ("on the opposite side", chosen.insulation_behind))
    return [(where, _name(case, ident)) for where, ident in rows if ident]


def _name(case: Case, ident: str) -> str:
    try:
        return case.catalogue.get(ident).name
    except MissingError:
        return ident


def unpredicted_why(heated: CureOperation) -> str:
    """Why the heat of a cure is not predicted."""
    if heated.never:
        return ONLY
    if heated.missing:
        return "cure-plan.pdf lists the missing constants and whom to ask."
    return "Nothing is missing: panelmend heat makes the prediction."


def as_set(recipe: Cure, heated: CureOperation) -> Cure:
    """The cure cycle with the set point of its long dwell, and of the ramp to it, as the planner set it."""
    point = float(heated.set_point)
    longest = recipe.longest_dwell
    made: list[Segment] = []
    for i, s in enumerate(recipe.segment):
        leads = s.kind == "ramp" and recipe.segment[i + 1 : i + 2] == (longest,)
        made.append(s.model_copy(update={"to": point}) if s is longest or leads else s)
    return recipe.model_copy(update={"segment": tuple(made)})


def _to(heated: CureOperation, data: Figure, kept: bool) -> Words:
    """A stage's temperature: the data's, or what the planner chose inside its band."""
    if kept or float(data) == float(heated.set_point):
        return (data,)
    return (heated.set_point, " (chosen inside the band; the data has ", data, ")")


def figure(bench: Bench, bag: BagOperation, name: str, value: float | None, kind: str) -> Figure | None:
    """A value of the cure cycle [SI unit of its kind] with its place in the data."""
    if value is None:
        return None
    manual = bench.case.document.data.manual
    source = Source(f"{manual.number} rev {manual.revision}", bag.cure.place)
    key, stands = f"cure.{bag.number}.{name}", bench.case.stands(bag.cure)
    limit = OF_A_CYCLE.get(name.rsplit(".", 1)[-1], "")
    return bench.basis.ledger.approved(key, value, kind, source=source, limit=limit, stands=stands)


def ceiling_of(bench: Bench, bag: BagOperation) -> Figure | None:
    """The maximum temperature of a cure."""
    return figure(bench, bag, "ceiling", bag.cure.ceiling, "temperature")


def cut_outs(bench: Bench) -> list[Blank]:
    """Where the over-temperature cut-out trips: above the dwell band of a cure, or it would end that cure, and no higher
    than what no thermocouple may pass; for each cure where one value cannot serve all, or where an oven has a
    cut-out of its own."""
    rows: list[tuple[str, Figure | None, Figure | None]] = []
    heaters, tight = set[str](), set[str]()
    for bag in bench.work.bag.operations:
        if heated_by(bag) == "room temperature":
            continue
        heaters.add(heated_by(bag))
        tops = [
            top
            for i, s in enumerate(bag.cure.segment, 1)
            if s.kind == "dwell"
            and (top := figure(bench, bag, f"s{i}.high", s.high, "temperature")) is not None
        ]
        most = ceiling_of(bench, bag)
        least = max(tops, key=float, default=None)
        if bag.cure.cut_out_room is not None and bag.cure.cut_out_room < CUT_OUT_ROOM - 1e-9:
            tight.add(bag.name)
            least = None
        rows.append((bag.name, least, most))
    unit, what = bench.units.temperature, "Cut-out trips at"
    lowest = max((x for _, x, _ in rows if x is not None), key=float, default=None)
    highest = min((x for _, _, x in rows if x is not None), key=float, default=None)
    apart = (
        lowest is not None and highest is not None and float(highest) - float(lowest) < CUT_OUT_ROOM - 1e-9
    )
    if len(rows) == 1 or not (apart or tight or len(heaters) > 1):
        said = TIGHT if tight else ""
        return [number(what, unit, low=lowest, high=highest, said=said)]
    return [
        number(f"{what}, {name}", unit, low=low, high=high, said=TIGHT if name in tight else "")
        for name, low, high in rows
    ]


def release_of(bench: Bench, bag: BagOperation) -> Figure | None:
    """Where the vacuum may go off."""
    return figure(bench, bag, "release_below", bag.cure.release_below, "temperature")


def rate_set(rate: Figure, view: str) -> Figure | str:
    """The rate a controller is set to. A slow one beside the data's least wants its second decimal: 0.55 is
    not 0.6."""
    exact = show(float(rate), "temperature rate", view, decimals=2)
    return rate if exact.split()[0].endswith("0") else exact


def stage_lines(bench: Bench, bag: BagOperation) -> tuple[list[Words], list[Blank]]:
    """The stages of the cure cycle in words, and what is written down of each dwell."""
    heated, recipe = bench.cure(bag), bag.cure
    unit = bench.units.temperature
    lines: list[Words] = []
    blanks: list[Blank] = []

    def fig(name: str, value: float | None, kind: str) -> Figure | None:
        return figure(bench, bag, name, value, kind)

    for i, (s, own) in enumerate(zip(recipe.segment, as_set(recipe, heated).segment, strict=True), 1):
        k = f"s{i}"
        to = fig(f"{k}.to", s.to, "temperature")
        words: list[str | Figure] = [
            f"{i}. ",
            {"ramp": "Heat to ", "dwell": "Hold at ", "cool": "Cool to "}[s.kind],
        ]
        words += [*_to(heated, to, kept=s is own)] if to is not None else []
        if s is not own and s.kind == "ramp" and heated.rate is not None:
            words += [", set to ", rate_set(heated.rate, bench.case.view)]
        rate = fig(f"{k}.rate_most", s.rate_most, "temperature rate")
        least = fig(f"{k}.rate_least", s.rate_least, "temperature rate")
        words += [", no faster than ", rate] if rate is not None else []
        words += [", no slower than ", least] if least is not None else []
        low, high = fig(f"{k}.low", s.low, "temperature"), fig(f"{k}.high", s.high, "temperature")
        if low is not None and high is not None:
            words += [", every thermocouple between ", low, " and ", high]
        elif low is not None or high is not None:
            words += [", every thermocouple ", "above " if low is not None else "below ", low or high or ""]
        held = fig(f"{k}.least", s.least, "time")
        words += [", for at least ", held, " counted on the slowest"] if held is not None else []
        longest = fig(f"{k}.most", s.most, "time")
        words += [", and no longer than ", longest] if longest is not None else []
        lines.append((*words, "."))
        if s.kind == "dwell":
            blanks += [
                number(f"Stage {i}: coldest", unit, low=low, high=high),
                number(f"Stage {i}: hottest", unit, low=low, high=high),
                clock_blank(f"Stage {i}: slowest in at"),
                clock_blank(f"Stage {i}: ended"),
            ]
    ceiling = ceiling_of(bench, bag)
    if ceiling is not None:
        lines.append(("Maximum temperature of any thermocouple, ever: ", ceiling, "."))
    if recipe.control is not None:
        lines.append((f"Control on the {recipe.control} thermocouple.",))
    return lines, blanks


def circuit_lines(heated: CureOperation) -> list[Words | str]:
    """What each blanket draws, and from which circuit."""
    lines: list[Words | str] = [_circuit(b) for b in heated.blankets]
    if not heated.blankets:
        lines.append("Blanket and circuit NOT CHECKED: the bay has no suitable blanket.")
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
            "(bay.supply). Read its plate, and ask whoever looks after the bay's electricity, before you switch on.",
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


def not_held(heated: CureOperation) -> list[str]:
    """What the prediction says will not hold."""
    found = heated.prediction
    if found is None:
        return []
    broken = [f"{r.what} ({r.place})" for r in found.limits if not r.holds]
    if not found.finished:
        broken.append("the cure cycle never finishes")
    tried = found.likelihood
    if tried is not None and found.outlook is Outlook.MOSTLY_BREAKS:
        broken.append(f"a limit in {tried.cases - tried.everything} of {tried.cases} cases tried")
    return broken


def stop_lines(heated: CureOperation) -> list[Words | str]:
    """What stops the hand before heat goes on."""
    broken = not_held(heated)
    if not broken:
        return []
    return [
        f"NOT HELD in the prediction: {'; '.join(broken)}. Do not switch on until the planner has settled it: "
        "cure-plan.pdf says what would change it."
    ]


def doubted(bench: Bench, heated: CureOperation) -> list[Words | str]:
    """How sure the prediction is, where it is not."""
    found, tried = heated.prediction, None if heated.prediction is None else heated.prediction.likelihood
    untold = unpredicted_words(bench, heated)
    if found is None or found.outlook is Outlook.BREAKS:
        return untold
    said: list[Words | str] = [WET] if heated.wetted is not None and not heated.wetted.holds else []
    said += [*untold, *unfinished(heated, bench.work.cure.operations, bench.case.view)]
    if tried is None:
        once = "Predicted once, with likely values: no other case was tried. Go by the thermocouples."
        return [*said, once]
    if found.outlook is Outlook.UNSURE:
        by = accepted_heat(bench.case.document, heated.number, found)
        what = f"By the prediction {tried.everything} of {tried.cases} cases tried keep every limit. "
        wait = "Do not heat until the engineer accepts it by name."
        said.append(what + (f"Accepted by {by_whom(by)}." if by is not None else wait))
    if tried.blind:
        said.append(
            f"In {tried.blind} of {tried.cases} cases tried every thermocouple reads inside the cure cycle while the "
            "bond line or what lies beside it does not: a good log alone proves nothing."
        )
    return said


def dwell_start_lines(bench: Bench, bag: BagOperation) -> list[Words | str]:
    """From when a dwell counts."""
    heated = bench.cure(bag)
    found, key = heated.prediction, f"cure.{heated.number}"
    if found is None:
        lags = [LAGS] if heated.never and heated_by(bag) == "oven" else []
        if says_unpredicted(bench, heated):
            return ["Go by the thermocouples.", *lags]
        if not heated.never:
            return ["The temperatures of this cure are NOT PREDICTED. Go by the thermocouples."]
        return [
            "The temperatures of this cure are NOT PREDICTED: the tool never predicts an oven, a plate or a room.",
            *lags,
        ]
    if found.coldest_arrives is None:
        return ["By the prediction the coldest place of the bond line never enters the band."]
    return [
        (
            "By the prediction the coldest place of the bond line enters the band ",
            bench.basis.ledger[f"{key}.coldest_arrives"],
            " after heat goes on: count no dwell before that, and none before every thermocouple is in the band.",
        )
    ]


def reasoned(basis: Basis, heated: CureOperation) -> list[Words | str]:
    """The reasoning behind a cure, for the workings."""
    if heated.prediction is None:
        return [
            "The temperatures of this cure are NOT PREDICTED: nobody has computed where it gets coldest. "
            + unpredicted_why(heated)
        ]
    return [*thermocouples.unseen_lines(basis, heated)]


def interrupted(
    bench: Bench, *, oven: bool = False, bagged: bool = True, heated: bool = True
) -> tuple[list[StepTable], list[Blank]]:
    """What the data orders when the cure is interrupted, printed before it begins; a blank to write it in where the
    document has nothing. An oven has an order of its own: that of a blanket is none. Without a bag no pump stops,
    without heat nothing but the bag can."""
    data = bench.case.document.data.interruption
    rows: list[tuple[Words, ...]] = []
    asked: list[Blank] = []
    heater = ("oven", "Oven or its controller fails") if oven else ("blanket", "Blanket or controller fails")
    pump, leak = [("pump", "Pump stops")], [("leak", "Bag leaks")]
    power, before = [("power", "Power fails")], "heat" if heated else "it begins"
    for name, what in (*(power * heated), *(pump * bagged), *([heater] * heated), *(leak * bagged)):
        given = getattr(data, name)
        figure = bench.given(f"card.interruption.{name}", given)
        if figure is not None:
            rows.append(((what,), (figure, f" ({given.place})")))
        else:
            asked.append(note(f"{what}: what the data says, before {before}"))
    heads = ("What", "What the data says")
    return [StepTable("When the cure is interrupted", heads, tuple(rows))] if rows else [], asked


def hand_placed_lines(bag: BagOperation) -> list[Words | str]:
    """Where the planner placed the blanket by hand: nobody lays it over the middle by habit."""
    if bag.hand.blanket is None:
        return []
    along, across = bag.hand.blanket
    words: Words = (
        "The planner placed the blanket by hand. Its middle goes ",
        along,
        " along and ",
        across,
        " across the length of the opening off its middle, as drawn: minus is the other way. Mark it before the bag closes.",
    )
    return [words]


def marking_lines(basis: Basis, heated: CureOperation) -> list[Words | str]:
    """How far blanket and thermocouples may lie off, and how to mark where they go before they are covered."""
    keys = ("cure.blanket_placed", "cure.thermocouple_placed")
    if heated.problem is None or not all(key in basis.ledger for key in keys):
        return []
    blanket, joint = (basis.ledger[key] for key in keys)
    return [
        (
            "On tape past the bag: centre lines of the opening, the blanket's corners, a cross beside each joint. At "
            "most off the marks: blanket ",
            blanket,
            ", joint ",
            joint,
            ". Measure two corners again under vacuum: a bag drags what it covers.",
        )
    ]


def left_over(mix: Mix, under: str) -> list[Words | str]:
    """What of a mix bleeds, and what is laid on no ply: both get hot by themselves."""
    if mix.bled is None or mix.left is None:
        return []
    return [
        (
            "About ",
            mix.bled,
            f" bleeds into the bleeder and cures there, hot, {under}. About ",
            mix.left,
            " goes on no ply: spread it thin on a metal tray in the open; never put it in a cup or bin until it is set and cold.",
        )
    ]
