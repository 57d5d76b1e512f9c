"""What a careless or hostile user can hand in as a photograph: refused in words, or read as it is."""

from __future__ import annotations

import builtins
from dataclasses import replace
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from click.testing import CliRunner

from made_camera import Shot
from made_panel import MARK_SIDE, Scene, scene
from made_photo import jpeg, render
from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.errors import DocumentError, InputError, ReadingError
from panelmend.photo import decoded, measure, parse_places, read_picture
from panelmend.photo.ink import Doubt

PENS = {"dull": "red", "sound": "blue"}
SHOT = Shot(tilt=15, width=1200, height=900)


@pytest.fixture(scope="module")
def made() -> tuple[Scene, np.ndarray]:
    rng = np.random.default_rng(31)
    s = scene(rng, paint="grey", count=6, scale=3, dots=10, inks=("red", "blue", "red"))
    return s, render(s, SHOT, rng)


def toml(s: Scene, change: dict[int, tuple[float, float]] | None = None, head: str = "") -> bytes:
    at = {n: (x, y) for n, (x, y, _) in s.marks.items() if n} | (change or {})
    head = head or f'side = "outside"\nseen_from = "outside"\nmark_side = "{MARK_SIDE} mm"\n'
    return (
        head + "".join(f'[[mark]]\nnumber = {n}\nat = "{x} mm, {y} mm"\n' for n, (x, y) in at.items())
    ).encode()


def refused(picture: np.ndarray, places: bytes, words: str) -> None:
    with pytest.raises(InputError, match=words):
        measure((decoded(jpeg(picture), "a.jpg"),), parse_places(places), PENS)


def test_the_picture_itself_is_read(made: tuple[Scene, np.ndarray]) -> None:
    s, picture = made
    m = measure((decoded(jpeg(picture), "a.jpg"),), parse_places(toml(s)), PENS)
    assert not m.doubtful
    assert len(m.spots) == 10


def test_a_mirrored_picture_is_named(made: tuple[Scene, np.ndarray]) -> None:
    refused(np.ascontiguousarray(made[1][:, ::-1]), toml(made[0]), "mirrored")


def test_places_from_the_other_side_are_named(made: tuple[Scene, np.ndarray]) -> None:
    s, picture = made
    refused(picture, toml(s, {n: (x, -y) for n, (x, y, _) in s.marks.items()}), "mirrored to the places")


def test_a_face_seen_from_behind_its_axes_is_turned_over(made: tuple[Scene, np.ndarray]) -> None:
    """Axes drawn from the outside, the inside photographed: y turns over and every dot is where it is."""
    s, picture = made
    head = f'side = "inside"\nseen_from = "outside"\nmark_side = "{MARK_SIDE} mm"\n'
    places = parse_places(toml(s, {n: (x, -y) for n, (x, y, _) in s.marks.items()}, head))
    m = measure((decoded(jpeg(picture), "a.jpg"),), places, PENS)
    truth = np.array([d.at for d in s.dots]) * [1, -1]
    for spot in m.spots:
        assert np.min(np.hypot(*(truth - 1e3 * np.array(spot.at)).T)) < 2.0


def test_swapped_numbers_are_named(made: tuple[Scene, np.ndarray]) -> None:
    s, picture = made
    a, b = s.marks[2], s.marks[5]
    refused(picture, toml(s, {2: b[:2], 5: a[:2]}), "2 and 5 look swapped")


@pytest.mark.parametrize("off", [12.0, 60.0])
def test_a_moved_mark_is_named(made: tuple[Scene, np.ndarray], off: float) -> None:
    s, picture = made
    refused(picture, toml(s, {4: (s.marks[4][0] + off, s.marks[4][1])}), "mark 4 lies")


def test_a_mark_within_the_ruler_s_error_passes(made: tuple[Scene, np.ndarray]) -> None:
    """Just inside: 1 mm off with 0.5 mm of usual error is no contradiction."""
    s, picture = made
    places = parse_places(toml(s, {4: (s.marks[4][0] + 1.0, s.marks[4][1])}))
    assert measure((decoded(jpeg(picture), "a.jpg"),), places, PENS).spots


def test_two_panels_with_the_same_marks_are_named(made: tuple[Scene, np.ndarray]) -> None:
    s, picture = made
    both = np.vstack([picture, picture])
    refused(both, toml(s), "twice")


def test_marks_of_another_panel_are_named(made: tuple[Scene, np.ndarray]) -> None:
    s, picture = made
    few = {n: (x, y) for n, (x, y, _) in s.marks.items() if n not in (5, 6)}
    other = replace(s, marks={n: s.marks[n] for n in few})
    refused(picture, toml(other), r"does not name.*5, 6")
    head = f'side = "outside"\nseen_from = "outside"\nmark_side = "{MARK_SIDE} mm"\nother = [5, 6]\n'
    assert measure((decoded(jpeg(picture), "a.jpg"),), parse_places(toml(other, head=head)), PENS).spots


def test_too_few_marks_and_marks_in_a_row_are_refused(made: tuple[Scene, np.ndarray]) -> None:
    s, picture = made
    covered = picture.copy()
    covered[: covered.shape[0] // 2] = 128
    refused(covered, toml(s), "too few measured marks|no mark")
    refused(picture, toml(s, {n: (100.0 * n, 50.0) for n in s.marks}), "in one line")


def test_a_tiny_a_blurred_and_a_blank_picture_are_refused(made: tuple[Scene, np.ndarray]) -> None:
    s, picture = made
    small = cv2.resize(picture, None, fx=0.35, fy=0.35, interpolation=cv2.INTER_AREA)
    refused(
        np.pad(small, ((300, 300), (300, 300), (0, 0)), constant_values=90),
        toml(s),
        "too small|no mark|too few",
    )
    refused(cv2.GaussianBlur(picture, (0, 0), 3.0), toml(s), "blurred|no mark|too few")
    refused(np.full((900, 1200, 3), 128, np.uint8), toml(s), "no mark was found")


def test_the_wrong_colours_are_asked_not_taken(made: tuple[Scene, np.ndarray]) -> None:
    s, picture = made
    p = decoded(jpeg(picture), "a.jpg")
    m = measure((p,), parse_places(toml(s)), {"dull": "green", "sound": "yellow"})
    assert all(spot.doubt is Doubt.COLOUR for spot in m.spots)
    with pytest.raises(InputError, match="look alike"):
        measure((p,), parse_places(toml(s)), {"dull": "red", "sound": "orange"})
    with pytest.raises(InputError, match="no pen is known"):
        measure((p,), parse_places(toml(s)), {})


@pytest.mark.parametrize("orientation", [3, 6, 8])
def test_a_picture_turned_by_the_camera_s_note_is_the_same(
    made: tuple[Scene, np.ndarray], orientation: int
) -> None:
    s, picture = made
    stored = {3: cv2.ROTATE_180, 6: cv2.ROTATE_90_COUNTERCLOCKWISE, 8: cv2.ROTATE_90_CLOCKWISE}[orientation]
    data = jpeg(cv2.rotate(picture, stored), orientation=orientation)
    p = decoded(data, "a.jpg")
    assert p.size == (1200, 900)
    assert p.from_camera
    assert len(measure((p,), parse_places(toml(s)), PENS).spots) == 10


def test_a_screenshot_is_said(made: tuple[Scene, np.ndarray]) -> None:
    s, picture = made
    data = cv2.imencode(".png", picture)[1].tobytes()
    m = measure((decoded(data, "a.png"),), parse_places(toml(s)), PENS)
    assert any("names no camera" in n for n in m.notes)


def test_the_same_picture_twice_is_no_second_picture(made: tuple[Scene, np.ndarray]) -> None:
    s, picture = made
    p = decoded(jpeg(picture), "a.jpg")
    with pytest.raises(InputError, match="given twice"):
        measure((p, p), parse_places(toml(s)), PENS)


@pytest.mark.parametrize("share", [0.02, 0.3, 0.7, 0.99])
@pytest.mark.parametrize("kind", ["jpg", "png"])
def test_a_file_cut_short_is_refused(made: tuple[Scene, np.ndarray], share: float, kind: str) -> None:
    data = jpeg(made[1]) if kind == "jpg" else cv2.imencode(".png", made[1][:500, :600])[1].tobytes()
    with pytest.raises(ReadingError, match=r"cut short|damaged"):
        decoded(data[: int(share * len(data))], f"a.{kind}")


def test_files_that_are_no_pictures_are_refused(tmp_path: Path) -> None:
    for data, words in (
        (b"", "empty"), (b"hello" * 100, "no JPEG"), (b"\0\0\0\x18ftypheic" + bytes(50), "HEIC"),
        (b"\xff\xd8" + bytes(1000), "cut short"), (b"\x89PNG\r\n\x1a\n" + bytes(1000), "damaged|cut short"),
    ):  # fmt: skip
        with pytest.raises(ReadingError, match=words):
            decoded(data, "a")
    large = tmp_path / "a.jpg"
    with large.open("wb") as file:
        file.truncate(81 * 2**20)
    with pytest.raises(ReadingError, match="too large"):
        read_picture(large)


def test_a_40_mb_file_is_read(made: tuple[Scene, np.ndarray], tmp_path: Path) -> None:
    """Behind the picture's end telephones put films and depth: 40 MB of it are let be."""
    path = tmp_path / "a.jpg"
    path.write_bytes(jpeg(made[1]) + bytes(40 * 2**20))
    assert read_picture(path).size == (1200, 900)


def test_a_picture_that_says_it_is_huge_is_not_decoded() -> None:
    rows = b"\xff\xd8\xff\xc0\x00\x11\x08\xff\xff\xff\xff\x03" + bytes(9) + b"\xff\xda\x00\x02" + b"\xff\xd9"
    with pytest.raises(ReadingError, match="too large"):
        decoded(rows, "a.jpg")


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("number = 2", "number = 1", "twice"),
        ("number = 2", "number = 0", "greater|1 to"),
        ("number = 2", "number = 587", "less|1 to"),
        ('mark_side = "40.0 mm"', 'mark_side = "40.0"', "unit"),
        ('mark_side = "40.0 mm"', 'mark_side = "4 m"', "likely side"),
        ('side = "outside"', 'side = "top"', "input should be|expected"),
        ("[[mark]]", "[[marks]]", "no such field"),
    ],
)
def test_faults_of_the_file_of_marks_are_named(
    made: tuple[Scene, np.ndarray], old: str, new: str, words: str
) -> None:
    text = toml(made[0]).decode()
    assert old in text
    with pytest.raises(DocumentError) as caught:
        parse_places(text.replace(old, new, 1).encode())
    import re

    assert re.search(words, "; ".join(f.sentence() for f in caught.value.faults).lower())


def test_without_the_optional_part_there_is_a_word(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name == "cv2":
            raise ImportError("No module named 'cv2'")
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    done = CliRunner().invoke(main, ["marks", str(tmp_path / "m.pdf")])
    assert done.exit_code == Exit.NOT_INSTALLED
    assert "panelmend[photo]" in done.output
    places = tmp_path / "marks.toml"
    places.write_text(
        'side="outside"\nseen_from="outside"\nmark_side="40 mm"\n[[mark]]\nnumber=1\nat="1 mm, 2 mm"\n'
    )
    (tmp_path / "a.jpg").write_bytes(b"x")
    done = CliRunner().invoke(main, ["photo", str(tmp_path / "a.jpg"), "--marks", str(places)])
    assert done.exit_code == Exit.NOT_INSTALLED
    assert (
        CliRunner().invoke(main, ["photo", str(tmp_path / "b.jpg"), "--marks", "none.toml"]).exit_code
        == Exit.REFUSED
    )


def test_a_picture_of_a_panel_bent_both_ways_is_refused() -> None:
    """Measured as a cylinder before, without a word."""
    from examples_here import text
    from panelmend.app.photo_rows import fits
    from panelmend.document import parse

    head = 'side = "outside"\nseen_from = "outside"\nmark_side = "40 mm"\n'
    bend = '[surface]\nradius = "600 mm"\naxis = "0 deg"\nbulges = "outside"\n'
    marks = [(0, 0), (300, 0), (0, 200), (300, 200), (150, 100), (150, 0)]
    rows = "".join(f'[[mark]]\nnumber = {i}\nat = "{x} mm, {y} mm"\n' for i, (x, y) in enumerate(marks, 1))
    places = parse_places((head + bend + rows).encode())
    single = text("cowling")
    old = 'bulges = "outside", coordinates = "surface"'
    double = single.replace(old, 'bulges = "outside", second_radius = "2 m", second_bulges = "outside"')
    double = double.replace('surface = "single"', 'surface = "double"')
    fits(places, parse(single.encode()).document)
    with pytest.raises(InputError, match="bent both ways"):
        fits(places, parse(double.encode()).document)
