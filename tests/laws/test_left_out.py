"""A small fixed sample of `scripts/left_out.py`: what is left out is planned around, or refused in words."""

from __future__ import annotations

import importlib.util
import random
import tomllib
from pathlib import Path
from types import ModuleType

import pytest

from examples_here import FOLDER, names, text

SCRIPT = Path(__file__).parents[2] / "scripts" / "left_out.py"


@pytest.fixture(scope="module")
def script() -> ModuleType:
    spec = importlib.util.spec_from_file_location("left_out", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


@pytest.mark.parametrize("example", names())
def test_a_sample_of_single_lines(example: str, script: ModuleType) -> None:
    every = script.cuts(text(example))
    assert len(every) > 400
    dice, came = random.Random(16), set()
    for name, cut in dice.sample(every, 10):
        document = script.without(text(example), cut)
        tomllib.loads(document)
        what, words = script.tried(document, FOLDER / example, studied=False, packed=False)
        assert what != "inner", f"{name} left out: {words}"
        came.add(what.split()[0])
    assert came <= {"planned", "refused"}


def test_an_inner_message_is_seen(script: ModuleType) -> None:
    assert script.INNER.search("figure core.splice_gap already has a value")
    assert script.INNER.search("read None")
    assert not script.INNER.search("repair.toml, line 3: 'thickness' is missing; read nothing")


def test_a_field_inside_a_line_goes_with_its_comma(script: ModuleType) -> None:
    line = 'a = { b = 1, c = "2 mm", d = [ { e = 3 } ] }\n'
    left = [script.without(line, cut).strip() for _, cut in script.cuts(line)]
    assert 'a = { c = "2 mm", d = [ { e = 3 } ] }' in [" ".join(x.split()) for x in left]
    assert 'a = { b = 1, c = "2 mm" }' in [" ".join(x.split()) for x in left]
    for one in left:
        tomllib.loads(one)
