"""Bad repair documents: each fault is refused with its file, its line, what was read and what was expected.

Every case of ``document_faults.toml`` spoils ``document_sound.toml`` in one place. Its ``at`` is a piece of
the spoiled line, whose number is looked up in the spoiled text: the test does not use the code it checks.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest

from panelmend.document import parse
from panelmend.errors import DocumentError

HERE = Path(__file__).parent
DOOR = (HERE / "document_sound.toml").read_text("utf8")
JARGON = (
    "input should",
    "valid dictionary",
    "pydantic",
    "type=",
    "traceback",
    "given[",
    "none of them,",
    "union",
)

CASES = tomllib.loads((HERE / "document_faults.toml").read_text("utf8"))["case"]


def spoiled(old: str, new: str) -> str:
    assert old in DOOR, f"the sound document does not have {old!r}"
    return DOOR.replace(old, new, 1)


def refused(data: bytes) -> DocumentError:
    with pytest.raises(DocumentError) as caught:
        parse(data, "repair.toml")
    low = str(caught.value).lower()
    for word in JARGON:
        assert word not in low, str(caught.value)
    return caught.value


def test_the_sound_document_is_sound() -> None:
    assert parse(DOOR.encode(), "repair.toml").document.panel.part_number == "M3-5201-17-1"


def test_there_are_many_kinds() -> None:
    assert len({case["name"] for case in CASES}) == len(CASES) >= 100


@pytest.mark.parametrize("case", CASES, ids=[c["name"] for c in CASES])
def test_refused_in_words_at_its_line(case: dict[str, Any]) -> None:
    text = spoiled(case["old"], case["new"])
    error = refused(text.encode())
    matching = [f for f in error.faults if all(w in f.sentence() for w in case["words"])]
    assert len(matching) == 1, str(error)
    fault = matching[0]
    found = re.match(r"repair\.toml, line (\d+)", fault.where)
    assert found, fault.where
    if at := case.get("at"):
        expected = text[: text.index(at)].count("\n") + 1
        assert int(found[1]) == expected, f"{fault.sentence()}\nexpected line {expected}"
    assert fault.read or "; read " in fault.sentence()
    assert fault.expected or fault.todo, fault.sentence()


def test_all_faults_at_once_in_the_order_of_lines() -> None:
    text = DOOR
    for old, new in (
        ("hardener_parts = 30", "hardener_parts = 0"),  # a single field
        ('edge_band = "35 mm"', 'edge_band = "35"'),  # a single field, far above
        ('inspector = "M. Verrin"', 'inspector = "R. Osk"'),  # two fields
        ('barometer = "985 hPa"', 'barometer = "98.5 hPa"'),  # one field's range
        ('to = "66 C", low = "60 C"', 'to = "66 C", low = "70 C"'),  # a recipe
        ("resin_to_cloth = { value = 1.0", "resin_to_cloth = { value = nan"),  # a bare value
    ):
        assert old in text
        text = text.replace(old, new, 1)
    error = refused(text.encode())
    lines = [int(re.search(r"line (\d+)", f.where)[1]) for f in error.faults]  # type: ignore[index]
    assert lines == sorted(lines)
    paths = [f.where.rsplit(", ", 1)[1] for f in error.faults]
    assert paths == [
        "people.inspector",
        "panel.edge_band",
        "data.resin.resin_to_cloth.value",
        "data.cure[1].segment[2].to",
        "bay.barometer",
        "materials.resin[1].hardener_parts",
    ]


def test_a_broken_section_raises_no_false_alarm_elsewhere() -> None:
    error = refused(spoiled('id = "demo-glass-8h"\nname', 'id = ["demo-glass-8h"]\nname').encode())
    assert [f.where.rsplit(", ", 1)[1] for f in error.faults] == ["materials.cloth[1].id"]


def test_a_long_list_of_faults_is_cut_and_counted() -> None:
    points = ", ".join(["[1]"] * 900)
    error = refused(spoiled("[412, 377],", f"{points}, ").encode())
    assert len(error.faults) == 201
    assert "and 700 more faults" in str(error.faults[-1])


def test_huge_file() -> None:
    error = refused(DOOR.encode() + b"#" * 4_000_001)
    assert "repair.toml: the file is too large" in str(error)
    assert "at most 4,000,000 bytes" in str(error)


def test_not_utf8() -> None:
    data = DOOR.encode().replace(b"R. Osk", "R. \u00d8sk".encode("latin-1"))
    line = DOOR[: DOOR.index("R. Osk")].count("\n") + 1
    message = str(refused(data))
    assert f"line {line}: the file is not UTF-8 text; read byte 0xd8" in message
    assert "save it as UTF-8" in message


@pytest.mark.parametrize("data", [b"", b"\n\n", b"# only a remark\n"])
def test_empty_file(data: bytes) -> None:
    assert "line 1: the document does not say which version of the form it uses" in str(refused(data))


@pytest.mark.parametrize(
    "bomb",
    [
        "x = " + "[" * 3000 + "]" * 3000,
        "x = " + "{a = " * 300 + "1" + "}" * 300,
        "x = " + "[" * 60 + "]" * 60,
        ".".join("abcdefghij" * 6) + " = 1",
        "[" + ".".join("abcdefghij" * 6) + "]",
    ],
    ids=["arrays", "tables", "sixty", "dotted", "heading"],
)
def test_nesting_bombs(bomb: str) -> None:
    assert "nested too deeply" in str(refused(f"panelmend = 1\n{bomb}\n".encode()))


@pytest.mark.parametrize("number", ["9" * 5000, "0x" + "f" * 5000, "1e999999", "-" + "9" * 400])
def test_numbers_of_thousands_of_digits(number: str) -> None:
    message = str(refused(spoiled('edge_band = "35 mm"', f"edge_band = {number}").encode()))
    assert "number" in message
    assert len(message) < 1000


def test_unclosed_list_at_the_end() -> None:
    message = str(refused(b"panelmend = 1\nx = [1, 2\n"))
    assert "closing bracket" in message
    assert "line 3" in message


def test_windows_line_ends_and_a_byte_order_mark_are_fine() -> None:
    data = b"\xef\xbb\xbf" + DOOR.replace("\n", "\r\n").encode()
    assert parse(data).document.repair.number == "TAS-26-0417"
    bad = data.replace(b'"35 mm"', b'"35"')
    line = DOOR[: DOOR.index("edge_band")].count("\n") + 1
    assert f"line {line}, panel.edge_band" in str(refused(bad))


def test_quoted_and_dotted_names_have_their_lines() -> None:
    text = DOOR.replace("[bay]\nelevation = ", '[bay]\n"eleva\\u0074ion" = ', 1).replace(
        '"240 m"', '"240"', 1
    )
    line = text[: text.index('"240"')].count("\n") + 1
    assert f"line {line}, bay.elevation" in str(refused(text.encode()))
    dotted = DOOR.replace("[stores]\n", "[choice]\ncutout.circle.diameter = 5\n\n[stores]\n", 1)
    line = dotted[: dotted.index("cutout.circle")].count("\n") + 1
    message = str(refused(dotted.encode()))
    assert f"line {line}, choice.cutout.circle.diameter: a number without its unit" in message
    assert f"line {line}, choice.cutout.circle: 'centre' is missing" in message
