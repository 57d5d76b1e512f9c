"""From printed marks over a photograph to a document: shown, counted, corrected, and only then written."""

from __future__ import annotations

import csv
import hashlib
import json
import tomllib
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from made_camera import Shot
from made_panel import MARK_SIDE, Dot, Scene, scene
from made_photo import jpeg, render
from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.app.photo_document import into, with_outline
from panelmend.app.photo_rows import placed_lines
from panelmend.app.photos import look_at_pictures
from panelmend.document import parse
from panelmend.errors import InputError
from panelmend.photo import PlaceRow

DOOR = Path(__file__).parents[2] / "examples" / "gear_door" / "repair.toml"
ORIGIN = np.array([240.0, 230.0])  # of the photographed field in the door's axes [mm]
SIZE = (480.0, 300.0)


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Scene, Path]:
    """Taps every 25 mm over a dull ellipse, a thermocouple's mark, and the file of places."""
    folder = tmp_path_factory.mktemp("photo")
    rng = np.random.default_rng(77)
    dots = []
    for x in np.arange(115.0, 390.0, 25.0):
        for y in np.arange(60.0, 250.0, 25.0):
            dull = ((x - 245) / 80) ** 2 + ((y - 150) / 45) ** 2 < 1
            dots.append(Dot("dull" if dull else "sound", (x, y)))
    s = scene(
        rng, paint="primer", count=6, scale=3, size=SIZE, inks=("red", "blue", "red"), given=dots,
        things={101: (70.0, 150.0, 0.2)},
    )  # fmt: skip
    data = jpeg(render(s, Shot(tilt=18, round=60, width=1600, height=1200), rng))
    (folder / "a.jpg").write_bytes(data)
    rows = "".join(
        f'[[mark]]\nnumber = {n}\nat = "{x + ORIGIN[0]:.1f} mm, {y + ORIGIN[1]:.1f} mm"\n'
        for n, (x, y, _) in s.marks.items()
        if n < 100
    )
    (folder / "marks.toml").write_text(
        f'side = "outside"\nseen_from = "outside"\nmark_side = "{MARK_SIDE:g} mm"\n{rows}'
        '[[item]]\nname = "TC1"\nkind = "thermocouple"\nnumbers = [101]\n'
    )
    return s, folder


def run(folder: Path, found: Path, *words: str, answers: str = "") -> tuple[int, str]:
    given = [
        "photo",
        str(folder / "a.jpg"),
        "--marks",
        str(folder / "marks.toml"),
        "--dull",
        "red",
        "--sound",
        "blue",
    ]
    done = CliRunner().invoke(main, [*given, "--found", str(found / "found"), *words], input=answers)
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.output


def counts(s: Scene) -> list[str]:
    dull = sum(d.kind == "dull" for d in s.dots)
    return ["--dull-dots", str(dull), "--sound-dots", str(len(s.dots) - dull), "--by", "R. Osk"]


def test_marks_and_their_file_are_written_once(tmp_path: Path) -> None:
    words = ["marks", str(tmp_path / "m.pdf"), "--items", "2", "--places", str(tmp_path / "m.toml")]
    done = CliRunner().invoke(main, words)
    assert done.exit_code == 0, done.output
    assert (tmp_path / "m.pdf").read_bytes()[:5] == b"%PDF-"
    assert len(tomllib.loads((tmp_path / "m.toml").read_text())["mark"]) == 8
    assert CliRunner().invoke(main, words).exit_code == Exit.NOT_WRITTEN


def test_nothing_is_used_that_was_not_counted_and_confirmed(made: tuple[Scene, Path], tmp_path: Path) -> None:
    s, folder = made
    dull = sum(d.kind == "dull" for d in s.dots)
    sound = len(s.dots) - dull
    target = tmp_path / "made.toml"
    into = ["--into", str(DOOR), "--to", str(target), "--by", "R. Osk"]
    code, words = run(folder, tmp_path, *into, answers=f"{dull + 1}\n")
    assert code == Exit.REFUSED
    assert f"{dull} in the pictures, {dull + 1} counted" in words
    code, words = run(folder, tmp_path, *into, answers=f"{dull}\n{sound}\nn\n")
    assert code == Exit.REFUSED
    assert not target.exists()
    assert not (tmp_path / "made-photos").exists()
    code, words = run(folder, tmp_path, *into, answers=f"{dull}\n{sound}\ny\n")
    assert code == 0, words
    assert "thermocouple TC1: " in words
    assert "1 damaged area" in words
    survey = parse(target.read_bytes()).document.survey
    assert survey is not None
    assert hashlib.sha256((folder / "a.jpg").read_bytes()).hexdigest()[:12] in survey.sweep[-1].name
    read = np.array(survey.sweep[-1].readings)
    assert len(read) == len(s.dots)
    truth = np.array([[*(np.array(d.at) + ORIGIN), d.kind == "dull"] for d in s.dots], float)
    for x, y, tap in read:
        off = np.hypot(*(truth[:, :2] - (x, y)).T)
        assert off.min() < 2.5
        assert truth[off.argmin(), 2] == tap
    picture = (folder / "a.jpg").read_bytes()
    kept = tmp_path / "made-photos" / f"{hashlib.sha256(picture).hexdigest()}.jpg"
    assert kept.read_bytes() == picture
    record = json.loads(next((tmp_path / "made-photos").glob("record-*.json")).read_text())
    assert record["confirmed_by"] == "R. Osk"
    assert record["pictures"][0]["sha256"] in kept.name
    assert len(record["points"]) == len(s.dots)
    code, _ = run(folder, tmp_path, *into, answers=f"{dull}\n{sound}\ny\n")
    assert code == Exit.NOT_WRITTEN


def test_yes_alone_puts_nothing_into_a_document(made: tuple[Scene, Path], tmp_path: Path) -> None:
    into = ["--yes", "--into", str(DOOR), "--to", str(tmp_path / "x.toml")]
    words_of = counts(made[0])
    for given, said in (
        ([], "nobody is named who answers"),
        (words_of[4:], "dull dots were not counted"),
        (words_of[:2] + words_of[4:], "sound dots were not counted"),
        ([*words_of[:4], "--by", " "], "nobody is named who answers"),
    ):
        code, words = run(made[1], tmp_path, *into, *given)
        assert code == Exit.REFUSED
        assert said in words
    assert not (tmp_path / "x.toml").exists()


def test_where_a_thermocouple_really_sits(made: tuple[Scene, Path], tmp_path: Path) -> None:
    s, folder = made
    beside = tmp_path / "job.toml"
    code, words = run(folder, tmp_path, "--items-only", "--into", str(beside), "--yes")
    assert (code, "nobody is named who answers" in words) == (Exit.REFUSED, True)
    code, words = run(folder, tmp_path, "--items-only", "--into", str(beside), "--yes", "--by", "R. Osk")
    assert code == 0, words
    item = json.loads(next((tmp_path / "job-photos").glob("record-*.json")).read_text())["items"][0]
    x, y, turn = s.marks[101]
    tip = ORIGIN + np.array([x - 0.75 * MARK_SIDE * np.sin(turn), y + 0.75 * MARK_SIDE * np.cos(turn)])
    off = float(np.hypot(*(1e3 * np.array(item["points_m"][0]) - tip)))
    assert off < 1.5
    assert off < 1e3 * item["within_95_m"][0]


def test_a_corrected_table_is_read_back_and_never_overwritten(
    made: tuple[Scene, Path], tmp_path: Path
) -> None:
    s, folder = made
    dull = sum(d.kind == "dull" for d in s.dots)
    sound = len(s.dots) - dull
    run(folder, tmp_path, "--yes")
    table = tmp_path / "found" / "found.csv"
    rows = list(csv.reader(table.read_text().splitlines(), delimiter=";"))
    rows[1][2] = "no"
    rows.append(["mine-1", "sound", "yes", "300,5", "250", "", "", "", ""])
    edited = tmp_path / "edited.csv"
    edited.write_text("\n".join(";".join(r) for r in rows))
    counted = ["--dull-dots", str(dull - 1), "--sound-dots", str(sound + 1)]
    code, words = run(folder, tmp_path, "--corrected", str(edited), "--yes", *counted)
    assert code == 0, words
    edited.write_text("\n".join(";".join(r) for r in rows[:1] + rows[2:]))
    code, words = run(folder, tmp_path, "--corrected", str(edited), "--yes")
    assert code == Exit.REFUSED
    assert "rows are missing" in words
    for cells, said in (
        (["mine-2", "dull", "yes", "3000,5", "250", "", "", "", ""], "far outside the marks"),
        (["mine-2", "dull", "yes", "300,5", "250", "6", "", "", ""], "not known well enough"),
    ):
        edited.write_text("\n".join(";".join(r) for r in [*rows, cells]))
        more = ["--dull-dots", str(dull), "--sound-dots", str(sound + 1)]
        code, words = run(folder, tmp_path, "--corrected", str(edited), "--yes", *more)
        assert said in words
    rows[1][2] = "maybe"
    edited.write_text("\n".join(";".join(r) for r in rows))
    code, words = run(folder, tmp_path, "--corrected", str(edited), "--yes")
    assert code == Exit.REFUSED
    assert "line 2" in words
    table.write_text(table.read_text().replace("yes", "no", 1))
    code, words = run(folder, tmp_path, "--yes")
    assert code == Exit.NOT_WRITTEN
    assert "--corrected" in words


def test_a_document_of_another_side_or_bend_is_refused(made: tuple[Scene, Path], tmp_path: Path) -> None:
    _, folder = made
    text = DOOR.read_text("utf8")
    for old, new, said in (
        ('seen_from = "outside"', 'seen_from = "inside"', "another side"),
        (
            'seen_from = "outside"',
            'seen_from = "outside"\ncurvature = { radius = "900 mm", axis = "0 deg", bulges = "outside" }',
            "whether the panel is curved",
        ),
        (
            'seen_from = "outside"',
            'seen_from = "outside"\ncurvature = { radius = "2 m", axis = "0 deg", bulges = "outside", '
            'second_radius = "6 m", second_bulges = "outside" }',
            "bent both ways",
        ),
    ):
        other = tmp_path / "other.toml"
        bent = (
            'surface = "double"'
            if "second" in new
            else 'surface = "single"'
            if "curv" in new
            else 'surface = "flat"'
        )
        other.write_text(text.replace(old, new, 1).replace('surface = "flat"', bent))
        code, words = run(
            folder,
            tmp_path,
            "--yes",
            *counts(made[0]),
            "--into",
            str(other),
            "--to",
            str(tmp_path / "x.toml"),
        )
        assert code == Exit.REFUSED
        assert said in words
        assert not (tmp_path / "x.toml").exists()


def test_a_line_becomes_the_shape_of_the_damage_where_there_is_none() -> None:
    text = DOOR.read_text("utf8")
    line = PlaceRow(
        "line-1",
        "line",
        True,
        True,
        (0.48, 0.38),
        0.001,
        ((0.43, 0.35), (0.53, 0.35), (0.53, 0.41), (0.43, 0.41)),
    )
    with pytest.raises(InputError, match="has a shape already"):
        with_outline(text, line, "a.toml")
    start = text.index("shape = { outline", text.index("[damage]"))
    bare = text[:start] + text[text.index("] }", text.index("] }", start)) + 3 :].lstrip(" }\n")
    made = parse(with_outline(bare, line, "a.toml").encode()).document.damage.shape
    assert made is not None
    assert made.outline is not None
    assert len(made.outline.points) == 4


def row(name: str, meaning: str, at: tuple[float, float], *outline: tuple[float, float]) -> PlaceRow:
    return PlaceRow(name, meaning, True, True, at, 0.001, tuple(outline))


def bare() -> str:
    text = DOOR.read_text("utf8")
    start = text.index("shape = { outline", text.index("[damage]"))
    return text[:start] + text[text.index("] }", text.index("] }", start)) + 3 :].lstrip(" }\n")


SQUARE = ((0.43, 0.35), (0.53, 0.35), (0.53, 0.41), (0.43, 0.41))


def test_a_line_never_pushes_the_dots_out_of_the_document(made: tuple[Scene, Path], tmp_path: Path) -> None:
    """A dull dot outside the drawn line must reach the plan: line and dots are both written."""
    folder = made[1]
    looked = look_at_pictures([folder / "a.jpg"], folder / "marks.toml", {"dull": "red", "sound": "blue"})
    source, target = tmp_path / "bare.toml", tmp_path / "made.toml"
    source.write_text(bare(), "utf8")
    found = [row("line-1", "line", (0.48, 0.38), *SQUARE), row("dull-1", "dull", (0.6, 0.4))]
    found += [row(f"sound-{i}", "sound", (0.3 + 0.05 * i, 0.3)) for i in range(4)]
    into(looked, found, source, target, "line-1", "R. Osk")
    read = parse(target.read_bytes()).document
    assert read.damage.shape is not None
    assert read.survey is not None
    assert (600.0, 400.0, 1.0) in [tuple(np.round(r, 3)) for r in read.survey.sweep[-1].readings]
    assert looked.pictures[0].digest[:12] in target.read_text("utf8").split("# moved out by")[0]


def test_a_used_line_that_would_go_nowhere_is_asked_for() -> None:
    lines = [row("line-1", "line", (0.48, 0.38), *SQUARE), row("line-2", "line", (0.48, 0.38), *SQUARE)]
    placed_lines(lines[:1], "line-1")
    placed_lines([], None)
    for found, wanted in ((lines[:1], None), (lines, "line-1")):
        with pytest.raises(InputError, match="left out"):
            placed_lines(found, wanted)


def test_the_outline_stands_outside_the_line_by_its_error() -> None:
    made = parse(with_outline(bare(), row("line-1", "line", (0.48, 0.38), *SQUARE), "a").encode())
    shape = made.document.damage.shape
    assert shape is not None
    assert shape.outline is not None
    x, y = np.array([p[:2] for p in shape.outline.points]).T
    assert (x.min(), x.max(), y.min(), y.max()) == pytest.approx((429.0, 531.0, 349.0, 411.0), abs=0.02)
