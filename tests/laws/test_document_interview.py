"""Making a document by asking: every answer is checked, the text is read back as what was answered."""

from __future__ import annotations

import math

import pytest

from panelmend.document import parse
from panelmend.document.answer_lists import plies_of, points_of
from panelmend.document.interview import Question, accept, next_question, questions
from panelmend.document.interview_text import draft
from panelmend.errors import DocumentError, InputError
from panelmend.job.defaults import DEPENDENT, USUAL


def write(answers: dict[str, str]) -> str:
    """The document as text, read as a whole."""
    text = draft(answers)
    parse(text.encode(), "new document")
    return text


GIVEN = {
    "repair.number": "DEMO-7",
    "repair.title": 'Fairing "B": dent',
    "repair.operator": "Tarnfell Air Services",
    "repair.aircraft": "Marlet 3",
    "repair.registration": "",
    "repair.work_date": "2026-11-25",
    "repair.units": "mm",
    "people.technician": "R. Osk",
    "people.inspector": "M. Verrin",
    "panel.name": "Fairing",
    "panel.part_number": "M3-1",
    "panel.serial": "",
    "panel.outline.form": "rectangle",
    "panel.outline.rectangle.centre": "300, 200 mm",
    "panel.outline.rectangle.length": "600 mm",
    "panel.outline.rectangle.width": "400 mm",
    "panel.outline.rectangle.angle": "",
    "panel.outline.rectangle.corner_radius": "20 mm",
    "panel.seen_from": "outside",
    "panel.zero": "forward",
    "panel.outer_skin.plies": "glass-7781: 0, 45 deg; glass-120: -45 deg",
    "panel.inner_skin.plies": "glass-7781: 45, 0 deg",
    "panel.core.material": "aramid-core-1-8-3.0",
    "panel.core.thickness": "1/2 in",
    "panel.core.ribbon": "0 deg",
    "panel.edge_band": "",
    "damage.shape.form": "outline",
    "damage.shape.outline.unit": "mm",
    "damage.shape.outline.points": "270, 180; 330, 180; 340, 200; 330, 220; 270, 220",
    "damage.depth": "skin and core",
    "damage.side": "outside",
    "damage.moisture": "none found",
    "data.manual.title": "Marlet 3 Structural Repair Manual",
    "data.manual.number": "M3-SRM",
    "data.manual.revision": "11",
    "data.manual.dated": "2026-03-02",
    "data.repair": "Repair 2",
    "data.limits.repairable.value": "200 mm",
    "data.limits.repairable.place": "table 101",
    "data.cutout.forms.value": "circle, oval",
    "data.cutout.forms.place": "fig 203",
    "data.plies.outside.repair.value": "own-glass: 0, 45, -45 deg",
    "data.plies.outside.repair.place": "fig 204",
    "data.core.adhesive.value": "own.paste",
    "data.core.adhesive.place": "para 4C",
    "materials.cloth.own-glass.name": "Own glass cloth",
    "materials.cloth.own-glass.source": "invented",
    "materials.cloth.own-glass.dated": "2026-11-01",
    "materials.cloth.own-glass.weave": "plain",
    "materials.cloth.own-glass.fibre": "glass",
    "materials.cloth.own-glass.areal_mass": "300 g/m2",
    "materials.cloth.own-glass.cured_thickness": "0.26 mm",
    "materials.cloth.own-glass.prepreg": "no",
    "materials.adhesive.own.paste.name": "Own paste",
    "materials.adhesive.own.paste.source": "invented",
    "materials.adhesive.own.paste.dated": "2026-11-01",
    "materials.adhesive.own.paste.form": "paste",
}


def asked(given: dict[str, str]) -> dict[str, str]:
    """Answer question by question, as somebody at a keyboard would; what is not given is left empty."""
    answers: dict[str, str] = {}
    while (question := next_question(answers)) is not None:
        assert question.words
        assert question.kind
        answers[question.path] = accept(question, given.get(question.path, ""))
        assert len(answers) < 200
    return answers


def test_the_text_says_what_was_answered() -> None:
    answers = asked(GIVEN)
    assert set(GIVEN) <= set(answers), "an answer was never asked for"
    document = parse(write(answers).encode()).document
    assert document.repair.title == 'Fairing "B": dent'
    assert document.panel.core.thickness == pytest.approx(0.0127)
    assert [p.cloth for p in document.panel.outer_skin.plies] == ["glass-7781", "glass-7781", "glass-120"]
    assert [round(math.degrees(p.warp)) for p in document.panel.outer_skin.plies] == [0, 45, -45]
    assert document.damage.shape is not None
    assert document.damage.shape.outline is not None
    assert document.damage.shape.outline.points[2] == (340.0, 200.0)
    assert document.data.limits.repairable is not None
    assert document.data.limits.repairable.place == "table 101"
    assert document.data.cutout.forms is not None
    assert document.data.cutout.forms.value == ("circle", "oval")
    assert document.data.plies.outside is not None
    assert document.data.plies.outside.repair is not None
    assert len(document.data.plies.outside.repair.value) == 3
    assert document.data.plies.first_margin is None
    assert [c.id for c in document.materials.cloth] == ["own-glass"]
    assert document.materials.cloth[0].prepreg is False
    assert [a.id for a in document.materials.adhesive] == ["own.paste"]


def test_what_is_left_out_is_said_in_a_remark() -> None:
    text = write(asked(GIVEN))
    remark = " ".join(line for line in text.splitlines() if line.startswith("#"))
    assert "data.plies.first_margin" in remark
    assert "data.limits.repairable" not in remark


@pytest.mark.parametrize("depth", ["surface", "plies", "skin", "skin and core", "through"])
@pytest.mark.parametrize("form", ["circle", "ellipse", "oval", "rectangle"])
def test_every_depth_and_form_makes_a_sound_document(depth: str, form: str) -> None:
    size = {
        "diameter": "60 mm",
        "length": "80 mm",
        "width": "50 mm",
        "centre": "300, 200 mm",
        "angle": "30 deg",
    }
    given = {
        **GIVEN,
        **{f"damage.shape.{form}.{name}": value for name, value in size.items()},
        "damage.shape.form": form,
        "damage.depth": depth,
        "damage.plies": "2",
        "data.plies.inside.repair.value": "glass-7781: 0, 45 deg",
        "data.plies.inside.repair.place": "fig 205",
    }
    document = parse(write(asked(given)).encode()).document
    assert document.damage.depth == depth
    assert document.damage.shape is not None
    assert document.damage.shape.form == form
    assert (document.data.plies.inside is not None) == (depth == "through")
    assert document.damage.plies == (2 if depth == "plies" else None)


def question_for(path: str) -> Question:
    return next(q for q in questions(asked(GIVEN)) if q.path == path)


@pytest.mark.parametrize(
    ("path", "text", "words"),
    [
        ("repair.number", "", "an answer is needed"),
        ("repair.number", "x" * 61, "the text is too long"),
        ("repair.number", "A\u202eB", "a hidden character"),
        ("repair.units", "cm", "mm"),
        ("repair.work_date", "25.11.2026", "not a day"),
        ("panel.core.thickness", "20", "without its unit"),
        ("panel.core.thickness", "20 kg", "a unit of mass"),
        ("panel.core.thickness", "-20 mm", "more than zero"),
        ("panel.edge_band", "1,250 mm", "thousands or decimals"),
        ("panel.seen_from", "above", "permitted words"),
        ("panel.outer_skin.plies", "glass-7781", "not plies of a cloth"),
        ("panel.outer_skin.plies", "glass-7781: 0, 45", "without the unit"),
        ("panel.outer_skin.plies", "glass-7781: 0, 45 mm", "a unit of length"),
        ("panel.outer_skin.plies", "glass-7781: 0, , 45 deg", "not a number"),
        ("damage.shape.outline.points", "1, 2; 3", "not a point"),
        ("damage.shape.outline.points", "1, 2", "too few points"),
        ("damage.shape.outline.points", "1, nan; 2, 3; 3, 4", "not a finite number"),
        ("data.cutout.forms.value", "circle, square", "permitted words"),
        ("data.limits.repairable.value", "200 C", "a unit of temperature"),
        ("materials.cloth.own-glass.areal_mass", "0 g/m2", "more than zero"),
        ("materials.cloth.own-glass.prepreg", "maybe", "neither yes nor no"),
    ],
)
def test_an_answer_that_cannot_be_used_is_refused(path: str, text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        accept(question_for(path), text)


def test_the_count_of_damaged_plies_is_a_count() -> None:
    question = next(q for q in questions({"damage.depth": "plies"}) if q.path == "damage.plies")
    assert accept(question, "2") == "2"
    for text in ("0", "two", "2.5"):
        with pytest.raises(InputError):
            accept(question, text)


def test_answers_that_do_not_fit_each_other_are_refused_with_their_line() -> None:
    answers = asked({**GIVEN, "people.inspector": "R. Osk"})
    with pytest.raises(DocumentError, match="nobody may inspect their own work"):
        write(answers)
    line = draft(answers).splitlines().index('inspector = "R. Osk"') + 1
    with pytest.raises(DocumentError, match=f"line {line}, people.inspector"):
        write(answers)


def test_an_open_question_is_named() -> None:
    answers = asked(GIVEN)
    del answers["panel.zero"]
    with pytest.raises(InputError, match=r"no answer yet; read panel\.zero"):
        write(answers)


def test_the_same_answers_give_the_same_text() -> None:
    assert write(asked(GIVEN)) == write(asked(GIVEN))


def test_plies_and_points_are_read_in_order() -> None:
    assert plies_of("a: 0, 45 deg; b: 1.5 rad") == [("a", "0 deg"), ("a", "45 deg"), ("b", "1.5 rad")]
    assert points_of("1, 2; 3, 4, 0.5;") == [(1.0, 2.0), (3.0, 4.0, 0.5)]


@pytest.mark.parametrize(
    ("surface", "asked_for"),
    [
        ("", set()),
        ("flat", set()),
        ("single", {"radius", "axis", "bulges"}),
        ("double", {"radius", "axis", "bulges", "second_radius", "second_bulges"}),
    ],
)
def test_the_bend_is_asked_for_and_written(surface: str, asked_for: set[str]) -> None:
    """Flat, single or double is always asked; radii only where there are some; empty stays open."""
    given = GIVEN | {"panel.surface": surface}
    bend = {
        "radius": "900 mm",
        "axis": "0 deg",
        "bulges": "outside",
        "second_radius": "2 m",
        "second_bulges": "inside",
    }
    answers = asked(given | {f"panel.curvature.{k}": v for k, v in bend.items()})
    assert "panel.surface" in answers
    assert {p.removeprefix("panel.curvature.") for p in answers if "curvature" in p} == asked_for
    made = parse(write(answers).encode()).document.panel
    assert made.surface == (surface or None)
    assert (made.curvature is not None) == bool(asked_for)
    if surface == "double":
        assert made.curvature is not None
        assert made.curvature.second_radius == pytest.approx(2.0)


def test_a_skin_of_carbon_is_asked_for_its_metal() -> None:
    """The card asks of it with J450 where nobody typed it."""
    glass = {q.path for q in questions(GIVEN)}
    carbon = {q.path: q for q in questions({**GIVEN, "panel.outer_skin.plies": "carbon-3k-plain: 0, 45 deg"})}
    assert set(carbon) - glass == {"panel.outer_skin.metal"}
    asked = carbon["panel.outer_skin.metal"]
    assert not asked.needed
    assert "aluminium" in asked.choices
    assert "none" in asked.choices


def test_a_paste_of_two_parts_is_asked_for_them_and_a_film_is_not() -> None:
    """Without its parts nothing is weighed, and the plan stops: nobody was asked."""
    parts = {f"materials.adhesive.own.paste.{n}" for n in ("resin_parts", "hardener_parts")}
    life = "materials.adhesive.own.paste.pot_life"
    every = {q.path for q in questions(GIVEN)}
    assert parts <= every
    assert life not in every
    assert life in {q.path for q in questions({**GIVEN, **dict.fromkeys(parts, "100")})}
    film = {**GIVEN, "materials.adhesive.own.paste.form": "film"}
    assert not parts & {q.path for q in questions(film)}
    made = {**GIVEN, **dict(zip(sorted(parts), ("50", "100"), strict=True)), life: "30 min"}
    text = draft(asked(made))
    assert parse(text.encode(), "x.toml").document.repair.number == "DEMO-7"
    assert "hardener_parts" in text
    assert "pot_life" in text


@pytest.mark.parametrize(
    "text", ["none", "N/A", "nobody", "d, outside", "TBD", "-", "same", "Repair 4: skin", "TRY-9"]
)
@pytest.mark.parametrize("path", ["people.technician", "people.inspector"])
def test_what_names_nobody_is_no_person(path: str, text: str) -> None:
    ask = next(q for q in questions(GIVEN) if q.path == path)
    with pytest.raises(InputError):
        accept(ask, text)
    for name in ("J. Na", "A. No", "Sameh", "Ines O."):
        assert accept(ask, name) == name


def test_a_usual_value_is_promised_only_where_the_trade_has_one() -> None:
    """An empty answer to a limit, a resin or an adhesive is no value: none may be promised."""
    empty = dict.fromkeys((p for p in GIVEN if p.startswith("data.") and p.endswith(".value")), "")
    given = GIVEN | empty | {"data.plies.outside.repair.value": GIVEN["data.plies.outside.repair.value"]}
    said = {q.path: q.why for q in questions(asked(given)) if "leave it empty" in q.why}
    renamed = {"resin.resin_to_cloth": "kit.resin_to_cloth"}
    assert len(said) == 12
    for path, why in said.items():
        name = path.removeprefix("data.").removesuffix(".value")
        figure = renamed.get(name, name)
        usual = figure in USUAL or figure in DEPENDENT
        assert ("the usual value of the trade stands in" in why) == usual, path
        assert ("nothing stands in" in why) != usual, path
