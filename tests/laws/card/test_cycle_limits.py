"""Limits of a cure cycle in the other units: each lies on its safe side, the same on every page."""

from __future__ import annotations

import pytest

from card_plans import DOOR, said
from examples_here import case_from
from panelmend.derive.ledger import words_of
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.units import read


@pytest.fixture(scope="module")
def inches() -> Plan:
    return make_plan(case_from(DOOR.replace('units = "mm"', 'units = "in"')))


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("cure.1.s2.low", "140 F"),  # 60 C, as printed
        ("cure.1.s2.high", "170 F"),  # 77 C are 170.6 F
        ("cure.2.s2.low", "171 F"),  # the same as the bottom of a band
        ("cure.2.s2.high", "190 F"),  # 88 C are 190.4 F
        ("cure.1.ceiling", "199 F"),  # 93 C are 199.4 F
        ("cure.1.release_below", "125 F"),  # 52 C are 125.6 F
        ("cure.blanket_placed", "0.314 in"),  # 8 mm are 0.31496 in
        ("cure.thermocouple_placed", "0.157 in"),  # 4 mm are 0.15748 in
    ],
)
def test_a_limit_of_a_cycle_is_printed_on_its_safe_side(inches: Plan, key: str, words: str) -> None:
    figure = inches.ledger[key]
    assert words_of(figure, "in") == words
    back = read(words, figure.kind)
    slack = 1e-9 * abs(float(figure))
    if figure.limit == "most":
        assert back <= float(figure) + slack
    else:
        assert figure.limit == "least"
        assert back >= float(figure) - slack


def test_the_step_says_the_band_that_its_blanks_say(inches: Plan) -> None:
    told = [said(inches, step) for step in inches.card.steps if step.title.endswith(": heat on")]
    bands = [words.split(", every thermocouple ")[1] for words in told]
    assert [b.split(",")[0] for b in bands] == ["between 140 F and 170 F", "between 171 F and 190 F"]
