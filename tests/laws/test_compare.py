"""What nobody saw but who typed it is shown to a second person: each figure, and each slip that passes."""

from __future__ import annotations

import random
import sys
import tomllib
from collections.abc import Iterator
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from examples_here import case, names, text
from panelmend.document.typed_out import NAMES, SECTIONS, typed_out
from panelmend.errors import Severity
from panelmend.job.case import Case, case_of
from panelmend.plan.compare import check_compared, papers_of
from shelf_files import Shop

SCRIPT = Path(__file__).parents[2] / "scripts" / "slips.py"


@pytest.fixture(scope="module")
def script() -> ModuleType:
    """The script that slips at every figure."""
    spec = spec_from_file_location("slips", SCRIPT)
    assert spec is not None
    assert spec.loader is not None
    made = sys.modules["slips"] = module_from_spec(spec)
    spec.loader.exec_module(made)
    return made


def told(case: Case) -> list[str]:
    return [f.words for f in check_compared(case) if f.code == "J350" and f.severity is Severity.CAUTION]


@pytest.mark.parametrize("name", names())
def test_every_figure_is_compared_or_was_checked(name: str) -> None:
    made = case(name)
    papers = papers_of(made)
    assert sum(len(p.rows) + sum(p.checked.values()) for p in papers) == len(made.typed) > 100


def test_fields_in_which_slips_pass_come_first() -> None:
    first = {f.field: not f.is_doubted for f in case("root_fairing").typed}
    assert first["data.limits.edge_distance"], "the line below it passes"
    assert first["panel.outer_skin.plies.warp"]
    assert not first["data.bag.least_vacuum"]


def test_what_a_second_person_checked_is_not_asked_for_again(tmp_path: Path) -> None:
    (words,) = told(case("gear_door"))
    assert "data" in words
    shop = Shop(tmp_path)
    assert told(case_of(shop.load())) == []
    deviation = (
        '\n[[deviation]]\nof = "data.limits.edge_distance"\nvalue = "85 mm"\nreason = "x 1"\nby = "D. Aune"\n'
        'on = 2026-11-24\nreference = "E-1"\n'
    )
    shop.text += deviation
    assert told(case_of(shop.load())) == ["1 values: data 1"], "who checked the entry did not see this one"
    shop.text = shop.text.removesuffix(deviation)
    shop.edit("bays", "door cell", ("240 m", "241 m"), check=False)
    (words,) = told(case_of(shop.load()))
    assert words.endswith(f"bay {words.split()[0]}"), "a check that is void covers nothing"


def test_a_figure_is_shown_as_typed_in_other_units_and_with_its_place() -> None:
    rows = {f.field: f for f in typed_out(tomllib.loads(text("root_fairing")))}
    limit = rows["data.limits.edge_distance"]
    assert (limit.words, limit.read, limit.place) == ("4 in", "101.6 mm", "53-40-06 table 101 note 1")
    assert rows["data.plies.outside.repair.warp"].words == "demo-carbon-plain, 0 deg"
    assert rows["bay.pace.mix"].words == "4 min"
    assert rows["damage.shape.outline"].words.startswith("9 points, in: 20.4 15.1; 21.3 14.4")


@pytest.mark.parametrize(
    ("before", "after", "field"),
    [
        ('at_0 = "FWD"', 'at_0 = "AFT"', "panel.directions.at_0"),
        ('seen_from = "outside"', 'seen_from = "inside"', "panel.seen_from"),
        ('type = "T"', 'type = "K"', "bay.instrument.type"),
        ('revision = "11"', 'revision = "10"', "data.manual.revision"),
        ("expires = 2027-02-28", "expires = 2027-08-22", "stores.lot.expires"),
        ('coating = { value = "', 'coating = { value = "no ', "data.finishing.coating"),
    ],
)
def test_a_word_a_mark_or_a_day_that_nothing_can_check_is_shown(before: str, after: str, field: str) -> None:
    """It passed by unseen: it was no figure, and no list had it."""
    sound = text("gear_door")
    if before not in sound:
        sound = text("cowling")
    rows = [
        {(f.path, f.words) for f in typed_out(tomllib.loads(t)) if f.field == field}
        for t in (sound, sound.replace(before, after, 1))
    ]
    assert before in sound
    assert rows[0] != rows[1]
    assert rows[0]


def test_whatever_is_typed_stands_on_the_list_or_names_a_thing() -> None:
    """No field of the examples is missing, but for names and sources, which head the papers."""
    for name in names():
        raw = tomllib.loads(text(name))
        shown = {f.path for f in typed_out(raw)}
        lost = [p for s in SECTIONS if s in raw for p in leaves(raw[s], (s,)) if not on_it(p, shown)]
        assert lost == []


def leaves(value: Any, path: tuple[str | int, ...]) -> Iterator[tuple[str | int, ...]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, (*path, key))
    elif isinstance(value, list) and any(isinstance(x, dict) for x in value):
        for i, item in enumerate(value):
            yield from leaves(item, (*path, i))
    else:
        yield path


def on_it(path: tuple[str | int, ...], shown: set[tuple[str | int, ...]]) -> bool:
    if path[-1] in NAMES or path[-2:] == ("repair", "value"):
        return True
    if path[-1] == "cloth" and (*path[:-1], "warp") in shown:  # one line with its warp
        return True
    return path in shown or path[:-1] in shown  # an outline is one row


@pytest.mark.parametrize("name", names())
def test_no_slip_of_a_sample_is_neither_found_nor_shown(name: str, script: ModuleType) -> None:
    """Sampled; the script tries them all."""
    sound = case(name)
    every = list(script.slips(text(name)))
    sample = random.Random(3).sample(every, 12)
    silent = [s.words for s in sample if script.outcome(s.text, sound, whole=False)[0] == "silent"]
    assert silent == []
    assert [s.words for s in sample if not script.touched(s.text, sound.text)] == [], "each is in a figure"


def test_a_figure_that_is_not_shown_would_be_silent(
    script: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    sound = case("root_fairing")
    slip = sound.text.replace('edge_distance = { value = "4 in"', 'edge_distance = { value = "3 in"')
    assert script.outcome(slip, sound, whole=False) == ("shown", "")
    monkeypatch.setattr(script, "typed_out", lambda raw: ())
    assert script.outcome(slip, sound, whole=False) == ("silent", "")
