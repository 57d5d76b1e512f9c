"""The gear door surveyed: the plan is made on the survey's outer line, from a document with taps only."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelmend.document import parse
from panelmend.document.geometry import shape_outline
from panelmend.errors import DocumentError, InputError
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.render.card import card_data
from panelmend.render.files import pack_files, survey_files
from panelmend.shapes import inside
from strength_made import coarse

DOOR = Path(__file__).parents[2] / "examples" / "gear_door"
TEXT = (DOOR / "surveyed.toml").read_text("utf8")


def test_the_plan_stands_on_the_survey_and_contains_the_traced_damage() -> None:
    plan = make_plan(case_of(parse(TEXT.encode(), "surveyed.toml")))
    assert plan.survey is not None
    assert plan.work is not None
    assert plan.ledger["damage.outline"].formula.endswith("outer_outline")
    assert plan.ledger["survey.count"].value == 221
    assert not plan.ledger.replay()
    typed = parse((DOOR / "repair.toml").read_bytes()).document.damage.shape
    assert typed is not None
    outer = plan.ledger["damage.outline"].value
    assert inside(shape_outline(typed), outer)  # type: ignore[arg-type]
    assert inside(outer, plan.work.cutout.opening.outline)  # type: ignore[arg-type]
    assert not [f for f in plan.findings if f.code in ("S101", "S103", "S105", "S106")]


def test_the_picture_stands_in_the_card_and_in_the_pack() -> None:
    plan = make_plan(case_of(parse(TEXT.encode(), "surveyed.toml")))
    with coarse():
        files = pack_files(plan, TEXT)
    assert files["survey/survey.png"].startswith(b"\x89PNG")
    assert b"Survey" in files["survey/survey.svg"]
    assert files["survey/survey.svg"] == survey_files(plan)["survey/survey.svg"]
    shown = card_data(plan)["planner"]["survey"]
    assert shown["name"] == "survey"
    assert "outer line at 95 %" in shown["words"]


def test_a_survey_that_gives_no_outline_is_refused_in_words() -> None:
    sound = TEXT.replace("d", "d").splitlines()
    all_sound = "\n".join(x.replace("d", "s") if x.strip().startswith('"s') else x for x in sound)
    with pytest.raises(InputError, match="no damaged area"):
        case_of(parse(all_sound.encode()))


def test_taps_outside_and_at_the_rim_are_found() -> None:
    moved = TEXT.replace('origin = "370 mm, 310 mm"', 'origin = "-80 mm, 310 mm"')
    codes = {f.code for f in make_plan(case_of(parse(moved.encode()))).findings}
    assert "S106" in codes
    cut = TEXT.splitlines()
    rows = [i for i, x in enumerate(cut) if x.strip().startswith('"s') and x.strip().endswith('",')]
    half = "\n".join(x for i, x in enumerate(cut) if i not in rows[:5])
    assert "S101" in {f.code for f in make_plan(case_of(parse(half.encode()))).findings}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (('kind = "tap"', 'kind = "time"'), "rows of letters"),
        (('spacing = "15 mm"', 'spacing = "15"'), "unit"),
        (('"sssssssssssssssss"', '"sssssssxsssssssss"'), "letter that does not mean a tap"),
        (("grid = {", 'unit = "mm"\ngrid = {'), "either by x and y"),
    ],
)
def test_faults_of_a_sweep_are_named(change: tuple[str, str], words: str) -> None:
    with pytest.raises(DocumentError, match=words):
        parse(TEXT.replace(*change).encode())
