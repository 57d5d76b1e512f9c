"""How people write lengths and a damage in one line, and what is refused."""

from __future__ import annotations

from typing import Any

import pytest

from panelmend.errors import InputError
from panelmend.shelves.outlines import outline_value
from panelmend.units import read
from panelmend.units.written import as_read


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("2½ in", 2.5),
        ("2 1/2″", 2.5),
        ('2 1/2"', 2.5),
        ("2-1/2 in.", 2.5),
        ("2,5 inches", 2.5),
        ("63,5 mm", 2.5),
        ("2 ½ in", 2.5),
        ("½''", 0.5),
        ("−3 in", -3.0),
    ],
)
def test_the_ways_people_write_a_length(typed: str, meant: float) -> None:
    assert read(as_read(typed), "length") == pytest.approx(meant * 0.0254)


def test_glyphs_are_exchanged_and_never_a_value() -> None:
    assert as_read("45º") == "45°"
    assert as_read("180 ℃") == "180 °C"
    for slip in ("2 7/8 mm", "1,250 mm", "52", "52 MM"):
        with pytest.raises(InputError):
            read(as_read(slip), "length")


@pytest.mark.parametrize(
    ("line", "made"),
    [
        ("circle 52 mm at 262, 222 mm", {"circle": {"centre": "262; 222 mm", "diameter": "52 mm"}}),
        (
            "Circle Ø52,5 mm at 262,5 mm, 222,0 mm",
            {"circle": {"centre": "262,5 mm; 222,0 mm", "diameter": "52,5 mm"}},
        ),
        (
            'round 2 1/16" dia at 10 5/16", 8 3/4"',
            {"circle": {"centre": '10 5/16"; 8 3/4"', "diameter": '2 1/16"'}},
        ),
        (
            "ellipse 70 x 48 mm at 40, -60 mm turned 20°",
            {"ellipse": {"length": "70 mm", "width": "48 mm", "centre": "40; -60 mm", "angle": "20°"}},
        ),
        (
            "oval 2 3/4 × 1 7/8 in at x = 1 in, y = 2 in, -30 deg",
            {"oval": {"length": "2 3/4 in", "width": "1 7/8 in", "centre": "1 in; 2 in", "angle": "-30 deg"}},
        ),
        (
            "rectangle 40 mm by 60 mm corners 5 mm at 1, 2 mm",
            {
                "rectangle": {
                    "length": "40 mm",
                    "width": "60 mm",
                    "centre": "1; 2 mm",
                    "corner_radius": "5 mm",
                }
            },
        ),
        (
            "outline mm: 1,5 2; 30 2,5; 20, 40",
            {"outline": {"unit": "mm", "points": [[1.5, 2], [30, 2.5], [20, 40]]}},
        ),
        ("circle 5 mm at x = 1, y = 2 mm", {"circle": {"diameter": "5 mm", "centre": "1; 2 mm"}}),
        (
            "outline 1,2; 30,2; 20,40,0.5 in",
            {"outline": {"unit": "in", "points": [[1, 2], [30, 2], [20, 40, 0.5]]}},
        ),
    ],
)
def test_a_damage_in_one_line(line: str, made: dict[str, Any]) -> None:
    assert outline_value(line) == made


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("", "no form of a damage"),
        ("cirle 5 mm at 1, 2 mm", "did you mean 'circle'"),
        ("circle 52 mm", "a damage needs its size, 'at', and where its centre lies"),
        ("circle 52 at 262, 222 mm", "without its unit"),
        ("circle 52 mm at 262, 222", "without its unit"),
        ("circle 52 mm at 262 mm", "two numbers with a comma"),
        ("circle 52 mm at 262,5 mm, 222,5 mm, 9 mm", "not a point of two"),
        ("circle 52 mm at 262, 222 mm turned 20 deg", "a circle has no angle"),
        ("circle 2 7/8 mm at 262, 222 mm", "fraction of 'mm'"),
        ("ellipse 48 x 70 mm at 1, 2 mm", "the longer one first"),
        ("ellipse 48 mm at 1, 2 mm", "an ellipse has two sizes"),
        ("circle -5 mm at 1, 2 mm", "more than zero"),
        ("outline mm: 412,5, 377; 1, 2; 3, 4 in", "names its unit once"),
        ("outline mm: 412, 5, 377; 1, 2; 3, 4", "more than half a circle"),
        ("outline mm: 412,5,1,2; 1, 2", "not a point"),
        ("outline mm: 1, 2", "too few"),
        ("outline mm: 412,5,0; 1, 2; 3, 4", "three numbers that may be two"),
        ("circle 52 mm at y 262, x 222 mm", "x first and y second"),
        ("circle 52 mm at y = 262 mm, x = 222 mm", "x first and y second"),
    ],
)
def test_a_damage_that_cannot_be_meant_so_is_refused(line: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        outline_value(line)
