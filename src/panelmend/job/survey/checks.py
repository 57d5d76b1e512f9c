"""Findings of the survey stage."""

from __future__ import annotations

from panelmend.derive import Ledger
from panelmend.errors import Finding
from panelmend.job.case import Case
from panelmend.job.defaults import HALF_INCH
from panelmend.job.survey.cleared import same_name
from panelmend.job.survey.codes import (
    S101,
    S102,
    S103,
    S104,
    S105,
    S106,
    S107,
    S108,
    S109,
    S110,
    S111,
    S112,
    S113,
    S114,
    S115,
    S116,
    S117,
    Points,
    places_listed,
)
from panelmend.job.survey.coverage import PLACE_WITHIN, ROOT2
from panelmend.job.survey.doubts import check_numbers
from panelmend.job.survey.far import check_far
from panelmend.job.survey.part import SurveyPart, SurveyReadings
from panelmend.shapes import Outline, least_overlap
from panelmend.units import INCH, show

THICKEST_TAPPED = 0.080 * INCH  # [m] skins heard well by tapping are thinner: AC 43.13-1B 5-105
CLOSE_SPACING, WIDE_SPACING = HALF_INCH, 2.0 * HALF_INCH  # [m] usual spacing, common practice
LEAST_SIZE_RATIO = 3.0  # size over spacing from which damage is told in its shape: common practice, no source
MOST_PLACES_TOLD = 12  # places in one finding


def check(case: Case, ledger: Ledger, part: SurveyPart | None) -> tuple[Finding, ...]:
    """The findings of the survey stage."""
    if case.document.survey is None:
        return ()
    found = [*_lost(case, part), *_cleared(case), *_method(case)]
    found += [*check_numbers(case, part), *check_far(case)]
    if part is not None:
        found += _places(case, part)
        found += _not_covered(case, part)
    if part is None or not part.outers:
        found.append(S108(f"{part.count.value if part else 0} readings", place="survey.sweep"))
    else:
        found += _lines(case, part)
    return tuple(found)


def _lost(case: Case, part: SurveyPart | None) -> list[Finding]:
    """Damaged readings outside every area, outside a typed outline, or on the skin that is not being
    repaired: all of them."""
    damage, g = case.document.damage, case.geometry
    found: list[tuple[str, Points]] = []
    if case.survey is not None:
        holders = [g.damage] if g.damage is not None and damage.shape is not None else []
        if not holders and part is not None:
            holders = list(part.outers)
        found.append(("", _dull_outside(case.survey, holders)))
    if case.far_survey is not None:
        through = damage.depth == "through"
        holders = [g.far_damage] if through and g.far_damage is not None else []
        other = "inside" if damage.side == "outside" else "outside"
        found.append((f"on the {other}: ", _dull_outside(case.far_survey, holders)))
    return [
        S105(
            side + places_listed(case, points[i : i + MOST_PLACES_TOLD], MOST_PLACES_TOLD),
            place="survey.sweep",
        )
        for side, points in found
        for i in range(0, len(points), MOST_PLACES_TOLD)
    ]


def _dull_outside(readings: SurveyReadings, holders: list[Outline]) -> Points:
    r = readings.readings()
    at = sorted({(float(x), float(y)) for x, y in r.at[r.dull]})
    return tuple(p for p in at if not any(o.contains(p) for o in holders))


def _cleared(case: Case) -> list[Finding]:
    found = []
    for readings in (case.survey, case.far_survey):
        if readings is None:
            continue
        found += [
            S116(f"{places_listed(case, (p,))}: {why.value}", place="survey.cleared")
            for p, why in readings.refused
        ]
        for i in range(0, len(readings.cleared), MOST_PLACES_TOLD):
            found.append(
                S117(
                    places_listed(case, readings.cleared[i : i + MOST_PLACES_TOLD], MOST_PLACES_TOLD),
                    place="survey.cleared",
                )
            )
    return found


def _not_covered(case: Case, part: SurveyPart) -> list[Finding]:
    """Gaps in coverage, and what is not promised."""
    found, survey = [], case.document.survey
    assert survey is not None, "a survey was read"
    spacing = show(float(part.spacing), "length", case.view)
    near = show(PLACE_WITHIN, "length", case.view, decimals=0 if case.view == "mm" else 1)
    if part.gaps:
        found.append(S111(f"tap here: {places_listed(case, part.gaps, 12)}", place="survey.sweep"))
    if not part.outers:
        return found
    if part.withheld:
        found.append(S112("; ".join(w.words(case.view) for w in part.withheld), place="survey.confidence"))
    found.append(
        S113(
            f"a crack, a sharp tip or a neck narrower than the spacing of {spacing}; a second damage so "
            f"small that no reading met it; readings more than {near} from where they are written; what "
            "sounds different without damage, such as ribs and inserts",
            place="survey.confidence",
        )
    )
    if survey.line == "compact":
        if not same_name(survey.compact_by, case.document.people.engineer):
            found.append(
                S114(f"answered for by {survey.compact_by!r} [compact_by]", place="survey.compact_by")
            )
        found.append(
            S115(
                f"no lumps, arms, crescents or second areas; answered for by {survey.compact_by}",
                place="survey.line",
            )
        )
    return found


def _lines(case: Case, part: SurveyPart) -> list[Finding]:
    found, places = [], 0 if case.view == "mm" else None
    spacing, survey = float(part.spacing), case.document.survey
    assert survey is not None, "a survey was read"
    if part.runs_off:
        found.append(S101("the outer line comes to where nothing was read", place="survey.sweep"))
    if len(part.groups) > 1:
        sizes = "; ".join(show(part.outers[g[0]].largest_extent(), "length", case.view) for g in part.groups)
        words = f"{len(part.groups)} areas, largest dimensions {sizes}"
        found.append(S103(words, place="data.limits.merge_distance"))
    sought = survey.smallest
    if (
        part.least < LEAST_SIZE_RATIO * spacing * (1 - 1e-9)
        or spacing > WIDE_SPACING * 1.001
        or _missed(spacing, sought)
    ):
        looked = "" if sought is None else f"; the survey must not miss {show(sought, 'length', case.view)}"
        narrow, wide = (show(v, "length", case.view, decimals=places) for v in (CLOSE_SPACING, WIDE_SPACING))
        words = (
            f"spacing {show(spacing, 'length', case.view)}, damage "
            f"{show(part.least, 'length', case.view)} across; usual are {narrow} to {wide}, and three "
            f"spacings to a damage{looked}; between the readings lies room for "
            f"{show(ROOT2 * spacing, 'length', case.view)}"
        )
        found.append(S104(words, place="survey.sweep"))
    typed = case.geometry.damage
    if case.document.damage.shape is not None and typed is not None:
        for outer in part.outers:
            over = least_overlap(outer, typed)[0]
            if over < -1e-6:
                words = (
                    f"the area at {places_listed(case, (outer.centroid,))} passes the outline by up to "
                    f"{show(-over, 'length', case.view)}"
                )
                found.append(S107(words, place="damage.shape"))
    return found


def _missed(spacing: float, sought: float | None) -> bool:
    """Whether a round damage as wide as ``sought`` [m] can lie between readings of a ``spacing`` [m]."""
    return sought is not None and ROOT2 * spacing > sought * (1 + 1e-9)


def _places(case: Case, part: SurveyPart) -> list[Finding]:
    found = []
    if part.contradictory:
        found.append(S102(places_listed(case, part.contradictory), place="survey.sweep"))
    assert case.survey is not None, "a survey was read"
    read = {(r[0], r[1]) for r in case.survey.rows}
    out = tuple(sorted(p for p in read if not case.geometry.outline.contains(p, PLACE_WITHIN)))
    if out:
        found.append(
            S106(f"{len(out)} of {part.count.value}: {places_listed(case, out)}", place="survey.sweep")
        )
    return found


def _method(case: Case) -> list[Finding]:
    survey, damage, g = case.document.survey, case.document.damage, case.geometry
    assert survey is not None, "a survey was read"
    tapped = [s for s in survey.sweep if s.kind == "tap"]
    found = []
    for side, skin in (("outside", g.outer), ("inside", g.inner)):
        thick = sum(layer.thickness for layer in skin)
        if any(s.side == side for s in tapped) and thick > THICKEST_TAPPED:
            has, below = (show(v, "length", case.view, decimals=3) for v in (thick, THICKEST_TAPPED))
            words = f"the skin on the {side} is {has} thick; AC 43.13-1B 5-105 says below {below}"
            found.append(S109(words, place="survey.sweep"))
    cored = damage.depth in ("skin and core", "through")
    if cored and len({s.side for s in tapped}) == 1:
        found.append(S110(f"tapped on the {tapped[0].side} only", place="survey.sweep"))
    return found
