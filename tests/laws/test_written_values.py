"""Values written into a document's text: only they change, whatever kind of table they stand in."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from examples_here import FOLDER as EXAMPLES
from panelmend.document.written import toml_string, with_value, written
from panelmend.errors import InputError

SOME = """# kept
a = "1"  # beside a
b.c = 2

[t]   # a heading
x = { y = "z", k = [1, 2] }  # beside x
# under x

[[list]]
n = 1

[[list]]
n = 2
[deep.er]
e = {}
"""


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        (("a",), "2", 'a = "2"  # beside a'),
        (("b", "c"), 3, "b.c = 3"),
        (("t", "x", "y"), 'q"\\\n', 'x = { y = "q\\"\\\\\\U0000000a", k = [1, 2] }  # beside x'),
        (("t", "x", "new"), True, 'x = { y = "z", k = [1, 2], new = true }  # beside x'),
        (("t", "x", "y"), None, "x = { k = [1, 2] }  # beside x"),
        (("t", "x", "k"), None, 'x = { y = "z" }  # beside x'),
        (("t", "x", "k", 1), 9, 'x = { y = "z", k = [1, 9] }  # beside x'),
        (("t", "more"), {"u v": 1.5}, 'more = { "u v" = 1.5 }'),
        (("list", 1, "m"), [1, "2"], 'm = [1, "2"]'),
        (("deep", "er", "e", "f"), 1, "e = { f = 1 }"),
        (("new", "table", "v"), "w", 'v = "w"'),
    ],
)
def test_one_value_changes_one_line(path: tuple[str | int, ...], value: Any, line: str) -> None:
    made = written(SOME, {path: value})
    assert tomllib.loads(made) == with_value(tomllib.loads(SOME), path, value)
    assert line in made.splitlines()
    kept = [x for x in SOME.splitlines() if x not in made.splitlines()]
    assert len(kept) <= 1


def test_what_is_the_same_leaves_the_bytes_alone() -> None:
    assert written(SOME, {("a",): "1", ("nothing", "there"): None}) == SOME


@pytest.mark.parametrize("path", [("list", 7, "n"), ("a", "b"), ("t", "x", "y", "z")])
def test_a_place_that_is_none_is_refused(path: tuple[str | int, ...]) -> None:
    with pytest.raises(InputError):
        written(SOME, {path: 1})


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_line_ends_stay(end: str) -> None:
    made = written(SOME.replace("\n", end), {("t", "more"): 1, ("list", 0, "n"): None})
    assert made.replace(end, "").count("\n") == 0
    assert tomllib.loads(made)["t"]["more"] == 1


PATHS = [
    ("damage", "wet_area"), ("bay", "pump"), ("bay", "blanket", 1, "length"), ("choice", "heat", 0, "rate"),
    ("data", "core", "cap", "value", "margin"), ("repair", "registration"), ("choice", "blanket"),
]  # fmt: skip


@settings(max_examples=15, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(PATHS), st.none() | st.text(max_size=12)), max_size=3))
def test_any_values_in_a_whole_document(changes: list[tuple[tuple[str | int, ...], str | None]]) -> None:
    text = (EXAMPLES / "gear_door" / "repair.toml").read_text("utf8")
    wanted, made = tomllib.loads(text), text
    for path, value in changes:
        made = written(made, {path: value})
        wanted = with_value(wanted, path, value)
    assert tomllib.loads(made) == wanted


def test_a_string_of_toml_is_read_as_it_was() -> None:
    """DEL too, which JSON leaves bare and TOML refuses."""
    text = "".join(map(chr, range(0x00, 0x250))) + "\u2028\U0001f527"
    assert tomllib.loads(f"x = {toml_string(text)}") == {"x": text}
