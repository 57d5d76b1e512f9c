"""What is laid when: nothing goes under what an operation before it has cured, and nothing is laid twice."""

from __future__ import annotations

import re

import pytest

from examples_here import FOLDER
from panelmend.document import parse
from panelmend.errors import DocumentError

HEAD = "[[data.cure]]\n"


def ordered(name: str, *lays: tuple[str, str]) -> str:
    """An example whose operations lay what is given, each with its side or none ("")."""
    text = (FOLDER / name / "repair.toml").read_text("utf8")
    start, end = text.index(HEAD), text.index("[bay]")
    body = re.sub(r'lays = .*\n|side = .*\n|name = "[^"]*"\n', "", text[start:end].split(HEAD)[-1])
    body = re.sub(r"^(pad|caul_sheet|pressure_aid) = .*\n", "", body, flags=re.M)
    made = ""
    for i, (parts, side) in enumerate(lays):
        given = ", ".join(f'"{p}"' for p in parts.split())
        made += (
            f'{HEAD}name = "Cure {i + 1}"\nlays = [{given}]\n' + (f'side = "{side}"\n' if side else "") + body
        )
    text = text[:start] + made + text[end:]
    text = text.replace('gap = "1/32 in", peel_plies = "both faces", ', "")
    return re.sub(r"\[\[choice\.heat\]\]\n(?:.+\n)+", "", text)


def refused(text: str) -> list[str]:
    try:
        parse(text.encode(), "repair.toml")
    except DocumentError as error:
        return [f.sentence() for f in error.faults]
    return []


DOOR, COWL, FAIRING = "gear_door", "cowling", "root_fairing"


@pytest.mark.parametrize(
    ("name", "lays"),
    [
        (DOOR, [("core cap", ""), ("plies", "")]),
        (DOOR, [("core", ""), ("cap", ""), ("plies", "")]),
        (DOOR, [("plies cap core", "")]),
        (DOOR, [("potting", ""), ("core", ""), ("cap plies", "")]),
        (FAIRING, [("core cap", ""), ("fill", ""), ("plies", "")]),
        (COWL, [("plies", "inside"), ("core cap", "outside"), ("plies", "outside")]),
        (COWL, [("plies", "inside"), ("core cap", ""), ("plies", "outside")]),
        (COWL, [("core cap", "outside"), ("plies", "outside"), ("plies", "inside")]),
        (COWL, [("core plies", "inside"), ("cap", "outside"), ("plies", "outside")]),
        (COWL, [("core cap", "outside"), ("plies", "")]),
    ],
)
def test_an_order_that_can_be_worked_is_taken(name: str, lays: list[tuple[str, str]]) -> None:
    assert refused(ordered(name, *lays)) == []


@pytest.mark.parametrize(
    ("name", "lays", "under", "over"),
    [
        (DOOR, [("plies", ""), ("core cap", "")], "core", "plies"),
        (DOOR, [("cap", ""), ("core plies", "")], "core", "cap"),
        (DOOR, [("core plies", ""), ("cap", "")], "cap", "plies"),
        (DOOR, [("core plies", ""), ("potting cap", "")], "potting", "plies"),
        (FAIRING, [("core cap", ""), ("plies", ""), ("fill", "")], "fill", "plies"),
        (FAIRING, [("core", ""), ("fill", ""), ("cap plies", "")], "cap", "fill"),
        (COWL, [("plies", "outside"), ("core cap", "outside"), ("plies", "inside")], "core", "plies"),
        (COWL, [("plies", "outside"), ("core cap", ""), ("plies", "inside")], "core", "plies"),
        (COWL, [("plies", "inside"), ("core cap", "inside"), ("plies", "outside")], "core", "plies"),
        (COWL, [("plies", ""), ("core cap", "outside")], "core", "plies"),
        (COWL, [("cap", "inside"), ("core", "outside"), ("plies", "")], "core", "cap"),
    ],
)
def test_nothing_is_laid_under_what_is_cured(
    name: str, lays: list[tuple[str, str]], under: str, over: str
) -> None:
    said = refused(ordered(name, *lays))
    assert len(said) == 1, said
    assert f"lays the {under} under the {over} that an operation before it has cured" in said[0]
    assert "line " in said[0]


@pytest.mark.parametrize(
    "lays",
    [
        [("core cap", "outside"), ("plies", ""), ("plies", "outside")],
        [("core cap", "outside"), ("plies", "inside"), ("plies", "")],
        [("core", "outside"), ("core cap", "inside"), ("plies", "")],
    ],
)
def test_nothing_is_laid_twice_where_one_operation_has_no_side(lays: list[tuple[str, str]]) -> None:
    said = refused(ordered(COWL, *lays))
    assert len(said) == 1, said
    assert "laid in two operations" in said[0]
    assert 'type its side = "outside" or "inside"' in said[0]


def test_a_side_typed_and_left_out_is_the_same_side_where_one_skin_is_damaged() -> None:
    said = refused(ordered(DOOR, ("core cap", ""), ("plies", ""), ("plies", "outside")))
    assert len(said) == 1, said
    assert "laid in two operations" in said[0]
    assert "both skins" not in said[0]
