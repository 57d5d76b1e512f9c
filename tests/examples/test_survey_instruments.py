"""Contact times and moisture readings (invented) from their tables to the survey stage and its pictures."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from examples_here import FOLDER, case_from
from panelmend.app.cli import REFUSED, main
from panelmend.derive import Ledger
from panelmend.job.survey.checks import check
from panelmend.job.survey.doubts import moisture_at
from panelmend.job.survey.make import make
from panelmend.render.views import far_survey_view, survey_view
from panelmend.shapes import inside
from surveyed_door import TAPS, tapped

DOOR = FOLDER / "gear_door"
SOUND = ["--reference", "412", "--reference", "408", "--reference", "415", "--reference", "410"]
DRY = ["--reference", "11", "--reference", "12", "--reference", "11"]
PANEL = ["--yes", "--side", "outside"]


def run(*words: str) -> str:
    done = CliRunner().invoke(main, ["survey", *words])
    assert done.exit_code == 0, done.output
    return done.output


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The gear door with both tables, and no typed outline."""
    folder: Path = tmp_path_factory.mktemp("door")
    one, two = folder / "one.toml", folder / "two.toml"
    first = run(
        str(DOOR / "contact-times.csv"), *PANEL, *SOUND, "--into", str(DOOR / "repair.toml"), "--to", str(one)
    )
    assert "221 readings from" in first
    second = run(str(DOOR / "moisture.csv"), *PANEL, *DRY, "--into", str(one), "--to", str(two))
    assert "40 readings from" in second
    text = two.read_text("utf8")
    return re.sub(r"(?s)(\[damage\]\n)shape = .*?(?=\ndepth = )", r"\1", text, count=1)


def test_they_make_an_outline_and_moisture_is_held_against_it(made: str) -> None:
    case, ledger = case_from(made), Ledger()
    part = make(case, ledger)
    assert part is not None
    assert part.count.value == 221, "moisture is no reading of damage"
    assert part.dull.value == 43
    by_tap = make(case_from(TAPS), Ledger())
    assert by_tap is not None
    assert inside(by_tap.middles[0], part.outers[0])
    codes = {f.code for f in check(case, ledger, part)}
    assert not codes & {"S130", "S131", "S132", "S134"}
    places = moisture_at(case, "outside")
    assert len(places) == 40
    wet = [p for p, is_wet in places if is_wet]
    outside = [p for p in wet if not part.outers[0].contains(p)]
    assert ("S133" in codes) is bool(outside)


def test_the_page_shows_moisture_and_what_is_not_known(made: str) -> None:
    case = case_from(made)
    part = make(case, Ledger())
    assert part is not None
    drawn = survey_view(case, part, None, (180.0, 105.0))
    assert "blue squares: moisture, full wet, empty dry" in drawn.words
    unknown = case_from(made.replace("reference = [11.0, 12.0, 11.0]\n", ""))
    assert "not known" in survey_view(unknown, part, None, (180.0, 105.0)).words
    assert far_survey_view(case, None, (180.0, 105.0)) is None


def test_both_sides_are_drawn() -> None:
    """Once the sweep of the side nobody works on was drawn nowhere."""
    far = (
        '\n\n[[survey.sweep]]\nkind = "tap"\nside = "inside"\nunit = "mm"\n'
        "readings = [[400, 400, 0], [420, 400, 1], [440, 400, 0], [420, 420, 0]]\n"
    )
    rows = [x.strip().strip('",') for x in TAPS.splitlines() if x.startswith('  "s')]
    view = far_survey_view(case_from(tapped(rows, sweep=far)), None, (180.0, 105.0))
    assert view is not None
    assert view.words.startswith("seen from the inside") or "inside" in view.words
    assert len(view.flats) >= 4


def test_moisture_alone_gives_no_outline() -> None:
    done = CliRunner().invoke(main, ["survey", str(DOOR / "moisture.csv"), "--yes"])
    assert done.exit_code == REFUSED
    assert "--into" in done.output
