"""Codes of what the survey stage finds on readings and lines, and places in words."""

from __future__ import annotations

from panelmend.errors import caution_code, confirm_code, note_code
from panelmend.job.case import Case
from panelmend.units import show

Points = tuple[tuple[float, float], ...]
S101 = confirm_code(
    "S101",
    "The damage may extend past the edge of the survey",
    "tap further out on that side until sound places surround the damage",
)
S102 = caution_code(
    "S102",
    "Repeat readings at one place contradict each other",
    "read these places again; the plan used both readings and treats the place as in doubt",
)
S103 = confirm_code(
    "S103",
    "There are several damaged areas, too far apart to count as one",
    "plan each area in a document of its own; this plan repairs only the first",
)
S104 = confirm_code(
    "S104",
    "The readings are too far apart to find the smallest damage that matters",
    "take more readings between the places",
)
S105 = confirm_code(
    "S105",
    "Some readings outside the repair show damage",
    "read each place twice more. If it reads damaged again, it is a damaged area. If it reads sound, have "
    "the inspector accept it under survey.cleared, or check it by a second method. Or enlarge the outline "
    "that was typed",
)
S106 = confirm_code(
    "S106",
    "Some readings lie outside the panel",
    "check the sweep's origin, unit and turn, and the order of x and y",
)
S107 = confirm_code(
    "S107",
    "The outline that was typed does not enclose the survey's outer line",
    "enlarge the outline, or say why the readings are wrong",
)
S108 = caution_code(
    "S108",
    "The damaged side has no readings, or the readings show no damaged area",
    "the plan uses the outline that was typed; check the side of each sweep",
)
S109 = caution_code(
    "S109", "The skin is thick for a tap test", "confirm the extent by another method from the approved data"
)
S110 = note_code(
    "S110",
    "A tap test does not show the far bond line",
    "tap the other side too, or use another method for the far skin",
)

S111 = confirm_code(
    "S111",
    "An area beside the damage was not tapped",
    "tap at these places: nobody knows what lies between the readings there",
)
S112 = confirm_code(
    "S112",
    "The confidence in the outer line cannot be given in per cent",
    "do what the reasons call for, or have the extent confirmed by another method from the approved data",
)
S113 = note_code(
    "S113",
    "A crack or a thin tip may run past the outer line",
    "where a crack or a thin tip is possible, trace it by another method from the approved data",
)
S114 = confirm_code(
    "S114",
    "No engineer named under people takes responsibility for the compact line",
    "name that engineer under survey.compact_by",
)
S115 = caution_code(
    "S115",
    "The outer line is right only for compact damage",
    "after the cut, check that the rim is sound all round",
)
S116 = confirm_code(
    "S116",
    "A place listed under survey.cleared was not cleared",
    "read it again, or have the inspector named under people accept it; until then it counts as damaged",
)
S117 = note_code(
    "S117",
    "Places that first read damaged were accepted as sound",
    "check who accepted them, and on what evidence",
)


def places_listed(case: Case, points: Points, most: int = 6) -> str:
    """Places in words, no more than ``most``."""

    def one(p: tuple[float, float]) -> str:
        return f"({show(p[0], 'length', case.view)}, {show(p[1], 'length', case.view)})"

    more = f" and {len(points) - most} more" if len(points) > most else ""
    return ", ".join(one(p) for p in points[:most]) + more
