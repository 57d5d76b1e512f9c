"""What an oven changes: the whole panel gets hot, the bag is moved, and nothing under it heats (common practice)."""

from __future__ import annotations

from panelmend.job.bag.part import BagOperation
from panelmend.job.card import cautions as c
from panelmend.job.card.bench import Bench, bagged, heated_by, on_plate
from panelmend.job.card.part import Blank, Caution, Words
from panelmend.job.card.writing import note, number, tick
from panelmend.job.cure.part import CureOperation


def hot(bag: BagOperation) -> Caution:
    """The caution of what is hot in the cure of a bag."""
    return c.HOT_OVEN if in_oven(bag) else c.HEAT


def in_oven(bag: BagOperation) -> bool:
    """Whether an operation is cured in an oven."""
    return heated_by(bag) == "oven"


def whole_panel(bag: BagOperation) -> bool:
    """Whether the panel itself goes into the oven."""
    return in_oven(bag) and not on_plate(bag)


def any_oven(bench: Bench) -> bool:
    """Whether any operation is cured in an oven."""
    return any(in_oven(b) for b in bench.work.bag.operations)


def only_ovens(bench: Bench) -> bool:
    """Whether ovens heat and no blanket does, neither in a cure nor in drying."""
    return any_oven(bench) and not bench.blankets and not bench.dried_apart


def heaters_line(bench: Bench) -> str:
    """What is laid out to heat with."""
    blankets = ["blankets"] if bench.blankets else ["the blanket for drying"] if bench.dried_apart else []
    return ", ".join([*blankets, *(["oven"] if any_oven(bench) else [])])


def support(bench: Bench) -> list[str]:
    """What the support must stand."""
    if not any(whole_panel(b) for b in bench.work.bag.operations):
        return []
    return [
        "It goes into the oven with the panel: good to the maximum temperature, open to the air all round."
    ]


def proving(bench: Bench) -> list[str]:
    """What is looked at before the oven is used."""
    if not any_oven(bench):
        return []
    return [
        "Oven: in calibration, surveyed over the room the part takes, fan and door switch working, a port for "
        f"{'hoses and ' if any(bagged(b) for b in bench.work.bag.operations if in_oven(b)) else ''}thermocouples. Its own over-temperature cut-out counts when it has been tripped."
    ]


def thermocouple_count_line(bag: BagOperation, heated: CureOperation) -> str:
    """How many thermocouples there are: an oven's survey adds some, and so does a second blanket without a plan."""
    sensors, behind = len(heated.sensors), heated.unplanned_behind
    if in_oven(bag):
        return f"{sensors}, and those the oven's survey added"
    return f"{sensors}, and those of {behind} on the opposite side" if behind else f"{sensors}"


def proved(bench: Bench) -> list[Blank]:
    """What is written down of the oven."""
    return [note("Oven number, survey good until")] if any_oven(bench) else []


def survey_line(bag: BagOperation) -> str:
    """The heat survey."""
    if on_plate(bag):
        return (
            "Lay the stack dry on the plate, the plate in the oven, the thermocouple over the release film in the middle, "
            "another beside the cap. Draw vacuum, warm up slowly to well below the cure. Find the coldest and the hottest place of the plate: leave a thermocouple at each."
        )
    return (
        "Dry stack with clean film on the panel, the panel on its support in the oven, hoses and thermocouples through the "
        "port. Thermocouples at the places in the table, one more on the other face, one where the panel is thickest. Draw "
        "vacuum, warm up slowly to well below the cure. Find the coldest and the hottest place, both faces: leave a "
        "thermocouple at each."
    )


def oven_survey_blanks(bag: BagOperation) -> list[Blank]:
    """What must be so before the whole panel gets hot."""
    if not whole_panel(bag):
        return []
    return [
        tick("Panel off the aircraft; nothing in it that may not get so hot"),
        note("Water in the whole core: method, finding"),
    ]


def loading(bag: BagOperation) -> list[Words | str]:
    """How the bagged part stands in the oven."""
    if not in_oven(bag):
        return []
    part = "plate" if on_plate(bag) else "panel on its support"
    tested = (
        [
            "Moving opens bags: test for leaks again in the oven, hoses through the port, gauge outside, before heat."
        ]
        if bagged(bag)
        else []
    )
    return [
        *tested,
        f"The {part} free of walls, floor and heaters, so that air passes on both faces. Ramps, dwell and limits are those of "
        "the thermocouples on the part; the air of the oven runs ahead of them.",
    ]


def oven_load_blanks(bench: Bench, bag: BagOperation) -> list[Blank]:
    """What is written down before the oven heats."""
    if not in_oven(bag) or not bagged(bag):
        return []
    return [number("Lost in the oven, before heat", bench.units.vacuum, high=bag.leak_drop)]


def hazards(bag: BagOperation) -> list[Caution]:
    """Cautions of an oven."""
    if not in_oven(bag):
        return []
    return [c.OVEN, *([c.WHOLE_CORE] if whole_panel(bag) else [])]
