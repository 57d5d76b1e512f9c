"""A cure that no bag holds: what presses on it instead, by the approved data, and how that is surveyed and laid on."""

from __future__ import annotations

from typing import assert_never

from panelmend.derive import Figure
from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card import oven
from panelmend.job.card.bench import Bench, heated_by, on_plate
from panelmend.job.card.order import Place
from panelmend.job.card.part import Blank, Caution, Hold, Step, Words
from panelmend.job.card.writing import clock_blank, note, number, step, tick

BY = {
    "weights": "pressed by weights",
    "clamps": "pressed by clamps",
    "contact": "held by contact alone",
    "nothing": "pressed by nothing",
}
LOADED = ("weights", "clamps")
SURVEYED = Hold(
    "H5",
    "inspector",
    "the coldest and hottest places are known, thermocouples stand at them, what presses stays where it was put",
)
"""H5 where no bag is drawn."""


def pressed_by(bag: BagOperation) -> str:
    """What presses where no bag does, in the words of the table; "" where nobody said."""
    pressed = bag.cure.pressed
    if pressed is None:
        return ""
    return BY[pressed.by] + (f": {pressed.what}" if pressed.what else "")


def is_weighted(bag: BagOperation) -> bool:
    """Whether weights or clamps press on it."""
    return bag.cure.pressed is not None and bag.cure.pressed.by in LOADED


def pressure_ordered(bench: Bench, bag: BagOperation) -> Words:
    """What presses, how hard, by what mass, and who says so."""
    pressed, pad, aid = bag.cure.pressed, bag.cure.pad, bag.pressure_aid
    over = bench.name(pad.material) if pad is not None else aid.what if aid is not None else ""
    under = f" Under it, over the film: {over}." if over else ""
    if pressed is None:
        if over:
            return (f"On it, evenly and without shifting a ply: {over}, as the data says.",)
        return (
            "On it, evenly and without shifting a ply, what the data says to hold or weigh it down. If it says nothing: stop, "
            "ask the engineer.",
        )
    said = pressed_by(bag)
    place = f" ({pressed.place})"
    hard: list[str | Figure] = []
    if bag.pressure is not None:
        hard += [", with at least ", bag.pressure, " all over"]
    if bag.weights is not None:
        hard += [": weights of ", bag.weights, " or more in all, with what lies under them"]
    match pressed.by:
        case "weights":
            spread = " Keep the face level, or the weights slide; spread them evenly, none over the edge."
        case "clamps":
            spread = " A stiff plate spreads them; tightened in turns across, never one alone."
        case "contact":
            return (f"It is {said}{place}. Nothing may lift or shift it.{under}",)
        case "nothing":
            return (f"It is {said}{place}.{under}",)
        case _:
            assert_never(pressed.by)
    return (f"On it, evenly and without shifting a ply, {said}{place}", *hard, f".{spread}{under}")


def cautions(bag: BagOperation) -> list[Caution]:
    """Cautions of what presses: weights are not ruled out where nobody said what does."""
    return [c.WEIGHTS] if is_weighted(bag) or bag.cure.pressed is None else []


def _readings(bench: Bench, bag: BagOperation) -> list[Blank]:
    """What is written down of what presses."""
    pressed = bag.cure.pressed
    if pressed is None:
        return [note("Held or weighed down with, place in the data")]
    if not is_weighted(bag):
        return []
    if bag.weights is not None:
        return [number("Weights in all", bench.units.weight, low=bag.weights)]
    if bag.pressure is not None:
        return [note("Clamps: how many, how set for this pressure")]
    return [note(f"{pressed.by.capitalize()}: how many, how heavy or tight, place in the data")]


def cover_step(bench: Bench, bag: BagOperation) -> Step:
    """What goes over a repair that no bag holds, while what was mixed can still be moved."""
    heated = heated_by(bag) != "room temperature"
    return step(
        Place("O21", bag.number),
        f"{bag.name}: cover it and hold it down",
        "Release film over all that was laid and past where it squeezes out, no wrinkle, no air under it.",
        pressure_ordered(bench, bag),
        *(["Thermocouples as in the heat survey, none under what presses."] if heated else []),
        cautions=[c.FILM, *cautions(bag)],
        blanks=[
            *_readings(bench, bag),
            tick("Nothing laid has moved"),
            *([tick("Thermocouples where the survey had them")] if heated else []),
            clock_blank("Covered and held at", "before the lay-by time"),
        ],
    )


def survey_words(bag: BagOperation) -> str:
    """The heat survey of what no bag holds."""
    what = "the plate in the oven" if on_plate(bag) else "the panel on its support in the oven"
    more = "" if on_plate(bag) else ", one more on the other face, one where the panel is thickest"
    return (
        f"What you lay lies dry under clean film with everything that will press on it, {what}. Weights and clamps take up "
        f"heat: they go in as for the cure. Thermocouples at the places in the table{more}. No vacuum is drawn. Warm up slowly to well below "
        "the cure. Find the coldest and the hottest place: leave a thermocouple at each. Carry it to the oven and back once: "
        "nothing that presses may have moved."
    )


def moved(bag: BagOperation) -> list[Words | str]:
    """What is looked at once it stands in the oven."""
    if not oven.in_oven(bag):
        return []
    return ["Carry it as one, level. In the oven, before heat: what presses must be where you put it."]


def moved_blanks(bag: BagOperation) -> list[Blank]:
    """What is ticked once it stands in the oven."""
    return [tick("What presses has not moved")] if oven.in_oven(bag) else []
