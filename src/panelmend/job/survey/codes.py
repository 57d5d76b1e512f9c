"""Codes of what the survey stage finds on readings and lines, and places in words."""

from __future__ import annotations

from panelmend.errors import Severity, finding_code
from panelmend.job.case import Case
from panelmend.units import show

Points = tuple[tuple[float, float], ...]
S101 = finding_code(
    "S101",
    Severity.CONFIRM,
    "The damage may run off the survey",
    "tap further out on that side until sound places are met all round",
)
S102 = finding_code(
    "S102",
    Severity.CAUTION,
    "Repeated readings at one place contradict each other",
    "read these places again; both readings were used, as a place in doubt",
)
S103 = finding_code(
    "S103",
    Severity.CONFIRM,
    "There is more than one damaged area, and they do not count as one",
    "plan each area in a document of its own; this plan repairs the first only",
)
S104 = finding_code(
    "S104",
    Severity.CONFIRM,
    "The readings are too coarse for the damage that is looked for",
    "read between the places",
)
S105 = finding_code(
    "S105",
    Severity.CONFIRM,
    "Damaged readings lie outside the repair",
    "read each place twice more: damaged again, it is an area; sound, the inspector accepts it under "
    "survey.cleared, or by a second method there; or enlarge the outline that was typed",
)
S106 = finding_code(
    "S106",
    Severity.CONFIRM,
    "Readings lie outside the panel",
    "check origin, unit, turn and the order of x and y of the sweep",
)
S107 = finding_code(
    "S107",
    Severity.CONFIRM,
    "The outline that was typed does not contain the survey's outer line",
    "enlarge the outline, or say why the readings are wrong",
)
S108 = finding_code(
    "S108",
    Severity.CAUTION,
    "Nothing was read on the damaged side, or the readings make no damaged area",
    "the outline that was typed was used; check the side of each sweep",
)
S109 = finding_code(
    "S109",
    Severity.CAUTION,
    "The skin is thick for a tap test",
    "confirm the extent by another method of the approved data",
)
S110 = finding_code(
    "S110",
    Severity.NOTE,
    "A tap test does not hear the far bond line",
    "tap the other side too, or use another method for the far skin",
)

S111 = finding_code(
    "S111",
    Severity.CONFIRM,
    "Ground that nobody tapped lies beside the damage",
    "tap at these places: what lies between the readings there is not known",
)
S112 = finding_code(
    "S112",
    Severity.CONFIRM,
    "No confidence in per cent can be given for the outer line",
    "do what the reasons ask for, or have the extent confirmed by another method of the approved data",
)
S113 = finding_code(
    "S113",
    Severity.NOTE,
    "The outer line does not promise to hold every crack or thin tip",
    "where a crack or a thin tip is possible, follow it by another method of the approved data",
)
S114 = finding_code(
    "S114",
    Severity.CONFIRM,
    "No engineer named under people answers for the compact line",
    "name that engineer under survey.compact_by",
)
S115 = finding_code(
    "S115",
    Severity.CAUTION,
    "The outer line is for a compact damage only",
    "check after the cut that the rim is sound all round",
)
S116 = finding_code(
    "S116",
    Severity.CONFIRM,
    "A place that was to be cleared was not",
    "read it again, or have the inspector named under people accept it; until then it counts as damaged",
)
S117 = finding_code(
    "S117",
    Severity.NOTE,
    "Places once read as damaged were accepted as sound",
    "check who accepted them, and on what",
)


def places_listed(case: Case, points: Points, most: int = 6) -> str:
    """Places in words, no more than ``most``."""

    def one(p: tuple[float, float]) -> str:
        return f"({show(p[0], 'length', case.view)}, {show(p[1], 'length', case.view)})"

    more = f" and {len(points) - most} more" if len(points) > most else ""
    return ", ".join(one(p) for p in points[:most]) + more
