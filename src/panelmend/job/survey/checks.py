"""What the survey stage finds."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.errors import Finding, Severity, finding_code
from panelmend.job.case import Case
from panelmend.job.survey.part import SurveyPart
from panelmend.shapes import least_overlap
from panelmend.units import show

THICK = 0.080 * 0.0254  # [m] skins heard well by tapping are thinner: AC 43.13-1B 5-105
WIDE = 0.0254  # [m] usual spacing 13 to 25 mm, common practice
LEAST = 3.0  # least size over spacing in the simulations the outer line was calibrated on
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
    Severity.CAUTION,
    "The grid is coarse for the size of the damage",
    "tap between the places: the outer line was calibrated on damage at least three spacings across",
)
S105 = finding_code(
    "S105",
    Severity.CONFIRM,
    "Single damaged readings stand outside every area",
    "tap at and round these places again: a small damage there is not in the outline",
)
S106 = finding_code(
    "S106", Severity.CAUTION, "Readings lie outside the panel", "check origin, unit and turn of the sweep"
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
    "Nothing was read on the damaged side, or the readings show no damage",
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


def check(case: Case, ledger: Ledger, part: SurveyPart | None) -> tuple[Finding, ...]:
    """The findings of the survey stage."""
    if case.document.survey is None:
        return ()
    if part is None or not part.outers:
        return (S108(f"{part.count.value if part else 0} readings", place="survey.sweep"), *_method(case))
    return (*_lines(case, part), *_places(case, part), *_method(case))


def _list(case: Case, points: tuple[tuple[float, float], ...]) -> str:
    def one(p: tuple[float, float]) -> str:
        return f"({show(p[0], 'length', case.view)}, {show(p[1], 'length', case.view)})"

    more = f" and {len(points) - 6} more" if len(points) > 6 else ""
    return ", ".join(one(p) for p in points[:6]) + more


def _lines(case: Case, part: SurveyPart) -> list[Finding]:
    found = []
    spacing = float(part.spacing)
    if part.runs_off:
        found.append(S101("the outer line comes to where nothing was read", place="survey.sweep"))
    if len(part.groups) > 1:
        sizes = "; ".join(show(part.outers[g[0]].largest_extent(), "length", case.view) for g in part.groups)
        words = f"{len(part.groups)} areas, largest dimensions {sizes}"
        found.append(S103(words, place="data.limits.merge_distance"))
    least = min(min(m.extent(0.0), m.extent(1.5707963267948966)) for m in part.middles)
    if least < LEAST * spacing or spacing > WIDE * 1.001:
        found.append(
            S104(
                f"spacing {show(spacing, 'length', case.view)}, damage "
                f"{show(least, 'length', case.view)} across; usual spacing is 13 to 25 mm",
                place="survey.sweep",
            )
        )
    typed = case.geometry.damage
    if case.document.damage.shape is not None and typed is not None:
        over = least_overlap(part.outers[0], typed)[0]
        if over < -1e-6:
            words = f"it passes the outline by up to {show(-over, 'length', case.view)}"
            found.append(S107(words, place="damage.shape"))
    return found


def _places(case: Case, part: SurveyPart) -> list[Finding]:
    found = []
    if part.contradictory:
        found.append(S102(_list(case, part.contradictory), place="survey.sweep"))
    if part.doubtful:
        found.append(S105(_list(case, part.doubtful), place="survey.sweep"))
    assert case.survey is not None, "a survey was read"
    out = tuple((r[0], r[1]) for r in case.survey.rows if not case.geometry.outline.contains((r[0], r[1])))
    if out:
        found.append(S106(f"{len(out)} of {part.count.value}: {_list(case, out)}", place="survey.sweep"))
    return found


def _method(case: Case) -> list[Finding]:
    survey, damage, g = case.document.survey, case.document.damage, case.geometry
    assert survey is not None, "a survey was read"
    tapped = [s for s in survey.sweep if s.kind == "tap"]
    found = []
    for side, skin in (("outside", g.outer), ("inside", g.inner)):
        thick = sum(layer.thickness for layer in skin)
        if any(s.side == side for s in tapped) and thick > THICK:
            words = f"the skin on the {side} is {show(thick, 'length', case.view)} thick; AC 43.13-1B 5-105 "
            found.append(S109(words + "says below 0.080 in", place="survey.sweep"))
    if damage.depth == "through" and tapped and len({s.side for s in tapped}) == 1:
        found.append(S110("the damage goes through and one side only was tapped", place="survey.sweep"))
    return found
