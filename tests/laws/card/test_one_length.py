"""On a page in inches one length stands in one way: by a rule's marks where computed, else as typed."""

from __future__ import annotations

import re
from functools import cache

import pytest

from card_plans import planned
from examples_here import case_from
from panelmend.derive import Figure, Source
from panelmend.derive.figure import Origin
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.bench import bench_data
from panelmend.render.card import card_data
from panelmend.render.workings import measured, workings_of
from panelmend.units import show
from strange_units import strings, turned

LENGTH = r"(?<![\d/.])(\d+\.\d+) in\b"
SQUARE = "4.000 in"
"""Side of the check square, told to what a caliper reads."""
LEFT_OVER = ("too far out", "over its whole")
"""Words of a finding of the cure stage on what is short of a typed size."""


@cache
def _plan(kind: str) -> Plan:
    return make_plan(case_from(turned(kind, "in"))) if kind == "gear_door" else planned(kind)


@pytest.mark.parametrize("kind", ["gear_door", "root_fairing", "flap_rib_bay"])
def test_the_cut_out_is_drawn_in_the_words_of_its_step(kind: str) -> None:
    """6 13/32 in stood in the text and 6.417 in at the drawing."""
    plan = _plan(kind)
    assert plan.work is not None
    opening = plan.work.cutout.opening
    bench = bench_data(plan, workings_of(plan))
    assert bench is not None
    drawn = {i["words"] for i in bench["cutout"]["drawing"]["items"] if " in" in i.get("words", "")}
    assert drawn == {measured(f, "in", "") for f in (opening.length, opening.width)}


@pytest.mark.parametrize("kind", ["gear_door", "root_fairing", "flap_rib_bay", "insert"])
def test_a_length_in_decimals_is_a_typed_one_or_the_size_of_a_damage(kind: str) -> None:
    plan = _plan(kind)
    kept = {SQUARE}
    for figure in plan.ledger:
        sized = figure.origin is not Origin.COMPUTED or figure.key.startswith("limits.")
        if figure.kind == "length" and sized and isinstance(figure.value, float):
            kept |= {show(figure.value, "length", "in", limit=rounded) for rounded in ("", "most", "least")}
    for number, unit in re.findall(r"(\d+(?:\.\d+)?) (mm|in)\b", plan.case.text):
        metres = float(number) * {"mm": 1e-3, "in": 0.0254}[unit]
        kept |= {show(metres, "length", "in", limit=rounded) for rounded in ("", "most", "least")}
    looked = 0
    for said in strings(card_data(plan)):
        for number in re.findall(LENGTH, said):
            if float(number) >= 1.0 and not any(words in said for words in LEFT_OVER):
                looked += 1
                assert f"{number} in" in kept, said
    assert looked


def test_what_was_typed_in_millimetres_is_told_by_a_rule_s_marks() -> None:
    """1.969 in stood for 50 mm: what is asked at least goes up to the next mark, a limit of the most down."""
    plan = _plan("flap_rib_bay")
    tape = plan.ledger["bag.tape_distance"]
    assert (tape.value, tape.limit) == (0.05, "least")
    assert measured(tape, "in", tape.limit) == "1 31/32 in"
    assert measured(tape, "in", "most") == "1 15/16 in"
    assert measured(tape, "mm", "least") == ""
    sizes = {
        show(f.value, "length", "in", limit=f.limit)
        for f in plan.ledger
        if f.kind == "length" and isinstance(f.value, float) and f.key.startswith("limits.")
    }
    for said in strings(card_data(plan)):
        for number in re.findall(LENGTH, said):
            if float(number) >= 1.0 and not any(words in said for words in LEFT_OVER):
                assert f"{number} in" in sizes | {SQUARE}, said


def _typed(metres: float, key: str) -> Figure:
    return Figure(key, metres, "length", Origin.TYPED, Source("a document"), "", ())


def test_a_thousandth_of_an_inch_was_typed_in_inches_and_a_gap_is_gauged() -> None:
    for inches, key, words in (
        (3.3, "plies.first_margin", ""),  # typed in inches: its own digits
        (0.02 / 0.0254, "plies.first_margin", "25/32 in"),  # 20 mm, a ruler is laid to it
        (0.02 / 0.0254, "core.splice_gap", ""),  # a gap is gauged
        (0.0031 / 0.0254, "plies.first_margin", ""),  # 3.1 mm: a mark is too coarse a step
        (0.0032 / 0.0254, "plies.first_margin", "1/8 in"),
    ):
        assert measured(_typed(inches * 0.0254, key), "in", "") == words, (inches, key)
