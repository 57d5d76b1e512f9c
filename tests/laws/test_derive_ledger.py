"""The ledger: a key is given once, nothing unusable gets in, every figure replays and explains itself."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelmend.derive import Figure, Ledger, Origin, Source, all_formulas, formula
from panelmend.derive.figure import PRACTICE
from panelmend.errors import MissingError, RangeError

SETTINGS = settings(derandomize=True, database=None, deadline=None, max_examples=60)
TYPED = Source("repair.toml", "damage.shape")
DATA = Source("M3-SRM", "fig 204")
BOOK = Source("a handbook", "eq. 3")


@formula("d = a + 2 m", source=BOOK, kind="length", within={"m": (0.0, 0.05)})
def outside_diameter(a: float, m: float) -> float:
    """Diameter of a ply.

    a: diameter of the cut-out [m]
    m: margin on each side [m]
    return: diameter of the ply [m]
    """
    return a + 2 * m


@formula("r = a / m", source=BOOK)
def quotient(a: float, m: float) -> float:
    """A quotient that may have none.

    a: numerator [m]
    m: denominator [m]
    return: quotient [1]
    """
    return a / m if m else math.nan


@dataclass(frozen=True)
class Blob:
    """A thing that is no number."""

    words: str

    def digest(self) -> str:
        return self.words[0]

    def summary(self, view: str = "mm") -> str:
        return f"a blob, {self.words}"


def filled(a: float = 0.1, m: float = 0.0254) -> Ledger:
    ledger = Ledger()
    cutout = ledger.typed("cutout.diameter", a, "length", source=TYPED)
    margin = ledger.approved("plies.margin", m, "length", source=DATA)
    first = ledger.derive("plies.1.diameter", outside_diameter, a=cutout, m=margin)
    step = ledger.default("plies.step", 0.01905, "length", source=PRACTICE)
    ledger.derive("plies.2.diameter", outside_diameter, a=first, m=step)
    return ledger


@SETTINGS
@given(a=st.floats(1e-3, 10.0), m=st.floats(0.0, 0.5))
def test_every_computed_figure_replays(a: float, m: float) -> None:
    ledger = filled(a, m)
    assert float(ledger["plies.2.diameter"]) == a + 2 * m + 2 * 0.01905
    assert ledger.replay() == []


def test_a_changed_figure_is_named_by_the_replay() -> None:
    ledger = filled()
    wrong = replace(ledger["plies.1.diameter"], value=0.2)
    ledger._figures["plies.1.diameter"] = wrong
    said = ledger.replay()
    assert [line.split(":")[0] for line in said] == ["plies.1.diameter", "plies.2.diameter"]
    assert "was 0.2" in said[0]


def test_a_formula_that_is_gone_is_named_by_the_replay() -> None:
    ledger = Ledger()
    ledger.add(Figure("x", 1.0, "", Origin.COMPUTED, BOOK, "job.gone.formula"))
    assert ledger.replay() == ["x: formula job.gone.formula no longer exists"]


def test_a_key_is_given_once() -> None:
    ledger = filled()
    same = ledger.typed("cutout.diameter", 0.1, "length", source=TYPED)
    assert same is ledger["cutout.diameter"]
    with pytest.raises(RangeError, match=r"cutout\.diameter already has a value"):
        ledger.typed("cutout.diameter", 0.2, "length", source=TYPED)
    with pytest.raises(RangeError, match="already has a value"):
        ledger.approved("cutout.diameter", 0.1, "length", source=DATA)
    assert len(ledger) == 5


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_never_gets_in(value: float) -> None:
    ledger = Ledger()
    with pytest.raises(RangeError, match="not a number anyone can use"):
        ledger.typed("x", value, source=TYPED)
    assert "x" not in ledger


def test_a_formula_that_fails_gives_no_figure() -> None:
    ledger = Ledger()
    a = ledger.typed("a", 1.0, "length", source=TYPED)
    zero = ledger.typed("m", 0.0, "length", source=TYPED)
    with pytest.raises(RangeError, match="r came out as nan"):
        ledger.derive("r", quotient, a=a, m=zero)
    assert "r" not in ledger


def test_inputs_must_be_of_this_ledger() -> None:
    other = filled()
    ledger = Ledger()
    with pytest.raises(RangeError, match="is not in this ledger"):
        ledger.derive("x", outside_diameter, a=other["cutout.diameter"], m=other["plies.margin"])


@SETTINGS
@given(m=st.floats(0.0, 1.0))
def test_a_left_range_is_a_flag(m: float) -> None:
    flags = filled(m=m)["plies.1.diameter"].flags
    assert bool(flags) == (m > 0.05)
    if flags:
        assert flags == (f"m = {m:g} is outside 0 to 0.05 m",)


def test_defaults_are_listed_in_order() -> None:
    ledger = filled()
    assert [f.key for f in ledger.defaults()] == ["plies.step"]
    assert ledger["plies.step"].source == PRACTICE
    assert [f.key for f in ledger][:2] == ["cutout.diameter", "plies.margin"]


def test_the_explanation_goes_down_to_what_was_typed() -> None:
    text = filled(m=0.06).explain("plies.2.diameter")
    lines = text.splitlines()
    assert lines[0] == "plies.2.diameter = 258.1 mm   [computed]"
    assert lines[1] == "  d = a + 2 m"
    assert lines[2] == "  with a = 220.0 mm, m = 19.1 mm"
    assert lines[3] == "  source: a handbook, eq. 3"
    assert "  plies.1.diameter = 220.0 mm   [computed]" in lines
    assert "    mind: m = 0.06 is outside 0 to 0.05 m" in lines
    assert "    cutout.diameter = 100.0 mm   [typed]" in lines
    assert "    plies.margin = 60.0 mm   [approved data]" in lines
    assert "      source: M3-SRM, fig 204" in lines
    assert "  plies.step = 19.1 mm   [default practice]" in lines
    assert "    source: common practice, no source" in lines


def test_the_explanation_is_shown_in_the_readers_units_and_once() -> None:
    ledger = filled()
    assert "plies.margin = 1 in" in ledger.explain("plies.1.diameter", "in")
    again = ledger.derive(
        "both", outside_diameter, a=ledger["plies.1.diameter"], m=ledger["plies.1.diameter"]
    )
    text = ledger.explain(again.key)
    assert text.count("plies.1.diameter = 150.8 mm") == 2
    assert text.count("cutout.diameter = ") == 1
    assert "(shown above)" in text


def test_a_key_nobody_gave_is_refused_with_its_neighbours() -> None:
    with pytest.raises(
        MissingError, match=r"no figure is called 'plies.9.diameter'; near .*plies.1.diameter"
    ):
        filled()["plies.9.diameter"]


def test_things_are_kept_by_digest() -> None:
    ledger = Ledger()
    figure = ledger.typed("blob", Blob("grey"), source=TYPED)
    assert "a blob, grey" in ledger.explain("blob")
    with pytest.raises(TypeError, match="is no number"):
        float(figure)


def test_a_formula_says_its_units_or_is_none() -> None:
    made = all_formulas()[outside_diameter.name]
    assert made.units == {"a": "m", "m": "m", "return": "m"}
    assert made.words["m"] == "margin on each side"
    assert made(a=1.0, m=0.5) == 2.0
    with pytest.raises(RuntimeError, match=r"docstring lacks .* for b, return"):

        @formula("a + b", source=BOOK)
        def nameless(a: float, b: float) -> float:
            """a: something [m]"""
            return a + b


def test_a_name_is_one_formula() -> None:
    def twice(a: float) -> float:
        """
        a: a length [m]
        return: the same [m]
        """
        return a

    formula("a", source=BOOK)(twice)
    with pytest.raises(RuntimeError, match="is defined twice"):
        formula("a", source=BOOK)(twice)
