"""A dull tap never leaves a plan by itself: named, held, or accepted as sound by the inspector."""

from __future__ import annotations

import pytest

from examples_here import case_from
from panelmend.errors import DocumentError, InputError, Severity
from panelmend.plan.make import make_plan
from surveyed_door import CIRCLE, TAPS, findings, found, rows_of, rows_with, tapped

DIAGONAL = {(i, i + 2) for i in range(3, 10)}


def test_seven_dull_taps_in_a_diagonal_row_and_a_typed_circle_elsewhere() -> None:
    """Once: exit 0, no DRAFT, "the readings show no damage"."""
    plan = make_plan(case_from(tapped(rows_with(DIAGONAL), CIRCLE)))
    assert plan.is_draft
    named = " ".join(f.words for f in plan.findings if f.code == "S105")
    for i, j in DIAGONAL:
        assert f"({370 + 15 * j}.0 mm, {310 + 15 * i}.0 mm)" in named
    assert not [f for f in plan.findings if f.code == "S108"], "the row is an area"
    assert [f for f in plan.findings if f.code == "S107"], "and it passes the circle"


def test_two_dull_taps_are_named_and_the_plan_says_that_there_is_no_area() -> None:
    text = tapped(rows_with({(3, 3), (9, 12)}), CIRCLE)
    assert [f.words for f in found(text, "S105")] == ["(415.0 mm, 355.0 mm), (550.0 mm, 445.0 mm)"]
    assert found(text, "S105")[0].severity is Severity.CONFIRM
    assert found(text, "S108")
    with pytest.raises(InputError, match=r"415\.0 mm, 355\.0 mm; 550\.0 mm, 445\.0 mm"):
        case_from(tapped(rows_with({(3, 3), (9, 12)})))


def test_dull_taps_on_the_skin_nobody_works_on_are_named() -> None:
    """Once: the other side's sweep was never looked at."""
    other = (
        '\n\n[[survey.sweep]]\nkind = "tap"\nside = "inside"\nunit = "mm"\n'
        "readings = [[400, 400, 0], [420, 400, 1], [440, 400, 0], [420, 420, 0]]\n"
    )
    assert not found(TAPS, "S105")
    words = [f.words for f in found(tapped(rows_of(TAPS), sweep=other), "S105")]
    assert words == ["on the inside: (420.0 mm, 400.0 mm)"]


LONE = {(i, j) for i in range(4, 9) for j in range(3, 7)} | {(6, 13)}
AT = "565 mm, 400 mm"
AGAIN = (
    '\n\n[[survey.sweep]]\nname = "again"\nkind = "tap"\nside = "outside"\nunit = "mm"\n'
    "readings = [[565, 400, 0], [566, 400, 0]]\n"
)


def clearing(how: str, by: str, method: str = "") -> str:
    return (
        f'[[survey.cleared]]\nat = ["{AT}"]\nside = "outside"\nhow = "{how}"\nmethod = "{method}"\n'
        f'by = "{by}"\non = 2026-11-25\n\n'
    )


@pytest.mark.parametrize(
    ("sweep", "how", "by", "method", "clears"),
    [
        ("", "tapped again", "M. Verrin", "", False),
        (AGAIN.replace(", [566, 400, 0]", ""), "tapped again", "M. Verrin", "", False),
        (AGAIN, "tapped again", "m.  verrin", "", True),
        (AGAIN, "tapped again", "R. Osk", "", False),
        (AGAIN, "tapped again", "Somebody", "", False),
        ("", "second method", "M. Verrin", "ultrasonic report 12", True),
        ("", "second method", "R. Osk", "ultrasonic report 12", False),
    ],
)
def test_a_dull_tap_leaves_only_by_what_an_inspector_accepts(
    sweep: str, how: str, by: str, method: str, clears: bool
) -> None:
    codes = {f.code for f in findings(tapped(rows_with(LONE), sweep=sweep, more=clearing(how, by, method)))}
    assert ("S105" in codes) is not clears
    assert ("S116" in codes) is not clears
    assert ("S117" in codes) is clears


def test_sound_repeats_alone_clear_nothing() -> None:
    assert [f.words for f in found(tapped(rows_with(LONE), sweep=AGAIN), "S105")] == ["(565.0 mm, 400.0 mm)"]


def test_read_dull_twice_it_is_an_area() -> None:
    again = AGAIN.replace("[565, 400, 0], [566, 400, 0]", "[565, 400, 1]")
    codes = {f.code for f in findings(tapped(rows_with(LONE), sweep=again))}
    assert "S103" in codes
    assert "S105" not in codes


def test_a_place_that_was_never_dull_cannot_be_cleared() -> None:
    more = clearing("second method", "M. Verrin", "ultrasonic report 12").replace(AT, "385 mm, 325 mm")
    assert "nothing was read as damaged there" in found(tapped(rows_with(LONE), more=more), "S116")[0].words


def test_a_second_method_has_a_name_and_a_compact_line_an_engineer() -> None:
    with pytest.raises(DocumentError, match="second method without its name"):
        case_from(tapped(rows_with(LONE), more=clearing("second method", "M. Verrin")))
    compact = '[survey]\nline = "compact"\n{}\n[[survey.sweep]]'
    with pytest.raises(DocumentError, match="needs the engineer"):
        case_from(TAPS.replace("[[survey.sweep]]", compact.format("")))
    for by, code in (("D. Aune", "S115"), ("P. Lind", "S114")):
        text = TAPS.replace("[[survey.sweep]]", compact.format(f'compact_by = "{by}"'))
        assert found(text, code)
    assert not found(TAPS.replace("[[survey.sweep]]", compact.format('compact_by = "D. Aune"')), "S114")


@pytest.mark.parametrize(("least", "coarse"), [("21.3 mm", False), ("21.1 mm", True)])
def test_too_coarse_for_what_is_looked_for_is_to_be_confirmed(least: str, coarse: bool) -> None:
    """Between taps 15 mm apart there is room for a round damage of 15 sqrt(2) = 21.21 mm."""
    text = TAPS.replace("[[survey.sweep]]", f'[survey]\nsmallest = "{least}"\n\n[[survey.sweep]]')
    codes = {f.code: f.severity.value for f in findings(text)}
    assert codes.get("S104") == ("confirm" if coarse else None)
