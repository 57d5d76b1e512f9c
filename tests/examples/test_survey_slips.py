"""Slips at the panel: each is refused, asked for or shown; once each went into a plan without a word."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from examples_here import FOLDER, case_from
from panelmend.app.cli import REFUSED, main
from panelmend.derive import Ledger
from panelmend.derive.figure import Origin
from panelmend.errors import DocumentError, InputError, ReadingError, Severity
from panelmend.job import limits
from panelmend.shapes import inside
from panelmend.survey import HeardTap, dull_taps, higher_than, propose_table, read_table
from surveyed_door import HEAD, TAIL, TAPS, findings, found, rows_of, rows_with, tapped

DOOR = FOLDER / "gear_door"
GRID = 'grid = { origin = "370 mm, 310 mm", spacing = "15 mm" }\n'
ROWS = rows_of(TAPS)
DULL = [(370 + 15 * j, 310 + 15 * i) for i, r in enumerate(ROWS) for j, c in enumerate(r) if c == "d"]
EVERY = [(370 + 15 * j, 310 + 15 * i) for i in range(13) for j in range(17)]


def sweep(kind: str, rows: list[list[float]], more: str = "", side: str = "outside") -> str:
    return (
        f'\n\n[[survey.sweep]]\nkind = "{kind}"\nside = "{side}"\nunit = "mm"\n{more}readings = '
        f"{[list(r) for r in rows]}\n"
    )


def timed(level: float, more: str) -> str:
    """The door read by an instrument instead of taps: ``level`` over damage, 1 elsewhere."""
    rows = [[x, y, level if (x, y) in DULL else 1.0] for x, y in EVERY]
    return HEAD.replace(GRID, 'unit = "mm"\n').replace('kind = "tap"', f'kind = "time"\n{more}') + (
        f"readings = {rows}{TAIL}"
    )


def severities(text: str) -> dict[str, Severity]:
    return {f.code: f.severity for f in findings(text)}


def test_a_row_with_a_tap_left_out_is_refused() -> None:
    """Once all taps behind it moved by a place, and the line still said 95 %."""
    rows = [*ROWS[:5], ROWS[5][:3] + ROWS[5][4:], *ROWS[6:]]
    with pytest.raises(DocumentError, match="16 letters in row 6; expected 17"):
        case_from(tapped(rows))


def test_an_instrument_that_reads_less_over_damage_is_asked_about() -> None:
    """Once a reading at half of the sound place was as sound as sound can be."""
    rows = [[445.0, 370.0, 0.5], [460.0, 370.0, 0.5], [475.0, 370.0, 0.98]]
    words = found(tapped(ROWS, sweep=sweep("ratio", rows)), "S130")[0].words
    assert "2 of 3" in words
    assert "0.5 of it at (445.0 mm, 370.0 mm)" in words
    just = [[445.0, 370.0, 0.87], [460.0, 370.0, 1.149]]
    assert not {"S130", "S132"} & set(severities(tapped(ROWS, sweep=sweep("ratio", just))))


def test_a_reference_in_another_unit_is_named_where_nothing_is_found() -> None:
    with pytest.raises(InputError, match="221 readings lie far below the sound place"):
        case_from(timed(1.4, "reference = [1000.0]\n"))


@pytest.mark.parametrize(
    ("reference", "asked"),
    [
        ("[1.0, 1.0]", True),
        ("[1.0, 1.0, 1.01]", False),
        ("[0.95, 1.0, 1.09]", False),
        ("[0.95, 1.0, 1.1]", True),
    ],
)
def test_a_sound_place_that_does_not_settle_is_asked_about(reference: str, asked: bool) -> None:
    """Three readings at least; they may differ by less than sound and damaged do, 1.15 times."""
    assert ("S131" in severities(timed(1.4, f"reference = {reference}\n"))) is asked


def test_a_limit_typed_too_high_names_what_it_calls_sound() -> None:
    rows = [[445.0, 640.0, 1.3], [460.0, 640.0, 1.2], [475.0, 640.0, 1.0]]
    with_limit = sweep("ratio", rows, "dull_from = 1.4\n")
    words = found(tapped(ROWS, sweep=with_limit), "S132")[0].words
    assert words.startswith("2 readings from 1.15 to the limit of 1.40, the highest 1.30 at (445.0 mm")
    assert "S132" not in severities(tapped(ROWS, sweep=sweep("ratio", rows, "dull_from = 1.2\n")))


def test_moisture_outside_the_line_is_shown() -> None:
    """Once moisture readings were kept and looked at by nobody."""
    rows = [[475.0, 385.0, 34.0], [900.0, 640.0, 31.0], [880.0, 640.0, 12.0]]
    assert "S134" in severities(tapped(ROWS, sweep=sweep("moisture", rows)))
    dry = "reference = [12.0, 12.5, 12.2]\n"
    words = found(tapped(ROWS, sweep=sweep("moisture", rows, dry)), "S133")[0].words
    assert words.startswith("1 of the 2 wet places")
    assert "(900.0 mm, 640.0 mm)" in words
    assert "S133" not in severities(tapped(ROWS, sweep=sweep("moisture", [rows[0], rows[2]], dry)))


def test_wet_readings_and_a_document_that_says_dry() -> None:
    dry = tapped(ROWS, sweep=sweep("moisture", [[475.0, 385.0, 34.0]], "reference = [12.0]\n"))
    assert "S135" not in severities(dry)
    says = dry.replace('moisture = "found"', 'moisture = "none found"').replace('wet_area = "40 cm2"\n', "")
    assert severities(says)["S135"] is Severity.CONFIRM


@pytest.mark.parametrize(("by", "asked"), [("", True), ("P. Lind", True), ("d. aune", False)])
def test_less_than_95_per_cent_has_an_engineer(by: str, asked: bool) -> None:
    given = f'[survey]\nconfidence = "80 %"\nconfidence_by = "{by}"\n\n[[survey.sweep]]'
    assert ("S136" in severities(TAPS.replace("[[survey.sweep]]", given, 1))) is asked
    assert "S136" not in severities(TAPS)


def test_readings_off_the_panel_make_a_draft() -> None:
    def off(x: float) -> str:
        return tapped(ROWS, sweep=sweep("tap", [[x, 400.0, 0]]))

    assert severities(off(-5.1))["S106"] is Severity.CONFIRM
    assert "S106" not in severities(off(-4.9))


COWLING = (FOLDER / "cowling" / "repair.toml").read_text("utf8")


def disc(x: float, y: float, radius: float) -> list[list[float]]:
    steps = [15.0 * i for i in range(-10, 11)]
    return [[x + u, y + v, int(np.hypot(u, v) < radius)] for u in steps for v in steps]


def through(*sweeps: str) -> str:
    bare = re.sub(r"\nfar_shape = [^\n]*|\nshape = \{ ellipse[^\n]*", "", COWLING)
    return bare.replace("[data]\n", "".join(sweeps) + "\n[data]\n", 1)


def test_a_far_side_damaged_further_than_the_near_one_is_cut_as_far() -> None:
    """Once the far skin was cut by the near side's line: damage of 140 mm in a far hole for one of 90 mm."""
    near, far = sweep("tap", disc(40, -60, 45)), sweep("tap", disc(40, -60, 70), side="inside")
    case = case_from(through(near, far))
    line = case.geometry.far_damage
    assert line is not None
    assert case.geometry.damage is not None
    assert line.area > 1.3 * case.geometry.damage.area
    for x, y, dull in disc(40, -60, 70):
        assert not dull or line.contains((1e-3 * x, 1e-3 * y))
    assert not inside(line, case.geometry.damage)
    assert "S105" not in severities(through(near, far))


def test_the_limits_are_held_against_the_far_line_and_say_where_it_comes_from() -> None:
    near, far = sweep("tap", disc(40, -60, 25)), sweep("tap", disc(40, -60, 70), side="inside")
    case, ledger = case_from(through(near, far)), Ledger()
    part = limits.make(case, ledger)
    assert part.far is not None
    assert float(part.largest) < 0.12 < float(part.far.largest)
    assert part.disposition == "engineering"
    assert "L101" in {f.code for f in limits.check(case, ledger, part)}
    assert ledger["damage.far_outline"].origin is not Origin.TYPED


def test_a_far_side_that_is_dull_all_over_is_refused() -> None:
    far = [[20.0 + 5 * i, -80.0 + 10 * j, 1] for i in range(9) for j in range(5)]
    with pytest.raises(InputError, match="all 45 readings on the far side"):
        case_from(through(sweep("tap", disc(40, -60, 45)), sweep("tap", far, side="inside")))


def test_a_far_side_nobody_surveyed_makes_a_draft() -> None:
    assert severities(through(sweep("tap", disc(40, -60, 45))))["S137"] is Severity.CONFIRM
    typed = COWLING.replace("[data]\n", sweep("tap", disc(40, -60, 30)) + "\n[data]\n", 1)
    assert "S137" not in severities(typed)


@pytest.mark.parametrize(("x", "asked"), [(40.0, False), (64.0, False), (66.0, True), (-40.0, True)])
def test_sides_swept_in_different_axes_are_asked_about(x: float, asked: bool) -> None:
    """The middles of the two sides' damage are further than 25 mm apart."""
    text = through(sweep("tap", disc(40, -60, 45)), sweep("tap", disc(x, -60, 45), side="inside"))
    assert ("S138" in severities(text)) is asked


@pytest.mark.parametrize(
    ("header", "sound", "dull"),
    [
        ("sound", "1", "0"),
        ("sound?", "yes", "no"),
        ("ok", "y", "n"),
        ("dull", "0", "1"),
        ("dull?", "no", "yes"),
        ("tap", "0", "1"),
        ("sound", "sound", "dull"),
    ],
)
def test_yes_and_no_are_read_by_what_the_column_asks(header: str, sound: str, dull: str) -> None:
    """Once a column "sound" with yes and no was read the other way round: damage as sound skin."""
    t = read_table(propose_table(f"x mm;y mm;{header}\n1;2;{sound}\n3;4;{dull}\n5;6;{sound}\n"))
    assert [v for *_, v in t.rows] == [0.0, 1.0, 0.0]
    assert t.counted() == "  3 taps: 1 dull, 2 sound"


def test_yes_to_nothing_is_not_read() -> None:
    with pytest.raises(ReadingError, match="name the column sound or dull"):
        read_table(propose_table("x mm;y mm;tap\n1;2;yes\n3;4;no\n"))


@pytest.mark.parametrize(("x", "y", "unit"), [("x in mm", "y in mm", "mm"), ("x [in]", "y [in]", "in")])
def test_the_unit_is_the_last_word(x: str, y: str, unit: str) -> None:
    """Once "x in mm" was in inches."""
    assert propose_table(f"{x};{y};tap\n1;2;s\n").unit == unit


@pytest.mark.parametrize("y", ["y in", "y"])
def test_x_and_y_in_different_units_are_refused(y: str) -> None:
    with pytest.raises(ReadingError, match="not in the same unit"):
        propose_table(f"x mm;{y};tap\n1;2;s\n")


def test_lines_that_were_not_understood_do_not_go_missing(tmp_path: Path) -> None:
    """Once three dull taps written "dulll" were left out of the document, with exit 0."""
    table, made = tmp_path / "taps.csv", tmp_path / "made.toml"
    table.write_text((DOOR / "taps.csv").read_text("utf8").replace("370;dull", "370;dulll"), "utf8")
    words = ["survey", str(table), "--yes", "--into", str(DOOR / "repair.toml"), "--to", str(made)]
    lost = table.read_text("utf8").count("dulll")
    for more in ([], ["--without", str(lost - 1)]):
        done = CliRunner().invoke(main, [*words, "--side", "outside", *more])
        assert done.exit_code == REFUSED
        assert not made.exists()
    assert CliRunner().invoke(main, words).exit_code == REFUSED, "nor is the side guessed"
    done = CliRunner().invoke(main, [*words, "--side", "outside", "--without", str(lost)])
    assert done.exit_code == 0, done.output


def test_a_grid_without_unit_is_refused_in_words(tmp_path: Path) -> None:
    table = tmp_path / "grid.csv"
    table.write_text("row,column,tap\n1,1,s\n1,2,d\n2,1,s\n2,2,s\n", "utf8")
    done = CliRunner().invoke(main, ["survey", str(table), "--yes", "--spacing", "15"])
    assert done.exit_code == REFUSED
    assert "a number without its unit" in done.output


def tap(frequency: float, above: float = 40.0) -> HeardTap:
    return HeardTap(0.0, frequency, 0.01, False, above)


def test_a_reference_recorded_on_damage_is_not_believed() -> None:
    """Once sound and dull taps alike were then sound."""
    spot = (tap(800), tap(820), tap(780))
    heard = (tap(1900), tap(800), tap(1850))
    assert dull_taps(heard, spot) == (False, False, False)
    assert higher_than(heard, spot) == (True, False, True)
    assert higher_than((tap(999), tap(1001)), spot) == (False, True)


def test_a_reference_needs_three_taps_that_agree() -> None:
    with pytest.raises(ReadingError, match="2 taps that can be told, of 3"):
        dull_taps((tap(900),), (tap(1000), tap(1000), tap(1000, above=5.0)))
    with pytest.raises(ReadingError, match="differ as much as sound and dull"):
        dull_taps((tap(900),), (tap(1000), tap(1000), tap(790)))
    assert dull_taps((tap(850),), (tap(1000), tap(1000), tap(810))) == (False,)


MIDDLE = {(i, j) for i in (5, 6, 7) for j in (7, 8, 9)}
RIM = {(i, j) for i in (0, 1) for j in (0, 1, 2)}


@pytest.mark.parametrize(("dull", "off"), [(MIDDLE, 0), (RIM, 1), (MIDDLE | RIM, 1)])
def test_one_area_of_several_that_comes_to_the_rim_of_the_survey_is_told(
    dull: set[tuple[int, int]], off: int
) -> None:
    assert len(found(tapped(rows_with(dull)), "S101")) == off


@pytest.mark.parametrize(("other", "passes"), [(0.0, False), (30.0, True), (50.0, True)])
def test_every_area_of_the_far_skin_is_held_against_what_was_typed_for_it(other: float, passes: bool) -> None:
    """A circle of 180 mm typed round one area: another beside it passes it, the smaller as the larger."""
    far = [
        [x, y, int(np.hypot(x + 20.0, y + 60.0) < 40.0 or np.hypot(x - 130.0, y + 60.0) < other)]
        for x, y, _ in disc(40, -60, 45)
    ]
    text = through(sweep("tap", disc(40, -60, 45)), sweep("tap", far, side="inside"))
    shape = '[damage]\nfar_shape = { circle = { centre = "-20, -60 mm", diameter = "180 mm" } }\n'
    told = found(text.replace("[damage]\n", shape, 1), "S107")
    assert ["inside" in f.words for f in told] == [True] * passes
