"""The door of quantities: round trips through every unit, forms of numbers, refusals."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from panelmend.errors import UnitError
from panelmend.units import KINDS, read, show, show_both, to_unit, unit_for

PAIRS = [(kind, unit) for kind in KINDS for unit in KINDS[kind].units]
SETTINGS = settings(derandomize=True, database=None, deadline=None, max_examples=60)
NUMBERS = st.floats(min_value=1e-9, max_value=1e9, allow_nan=False)


@SETTINGS
@given(pair=st.sampled_from(PAIRS), value=NUMBERS, negative=st.booleans())
def test_what_is_read_comes_back(pair: tuple[str, str], value: float, negative: bool) -> None:
    kind, unit = pair
    number = -value if negative and kind != "temperature" else value
    text = f"{number!r} {unit}"
    back = to_unit(read(text, kind), kind, unit)
    offset = abs(KINDS[kind].units[unit][1])
    # one rounding each way; an offset in kelvin loses what is small against it
    assert back == pytest.approx(number, rel=1e-12, abs=1e-12 * offset / KINDS[kind].units[unit][0])


@pytest.mark.parametrize(("kind", "unit"), PAIRS)
def test_every_unit_of_every_kind(kind: str, unit: str) -> None:
    scale, offset = KINDS[kind].units[unit]
    assert read(f"500 {unit}", kind) == pytest.approx(500 * scale + offset, rel=1e-15)
    assert read(f"  500   {unit}  ", kind) == read(f"500 {unit}", kind)
    if not unit[0].isdigit():
        assert read(f"500{unit}", kind) == read(f"500 {unit}", kind)
    assert scale > 0


@SETTINGS
@given(kind=st.sampled_from(sorted(KINDS)), view=st.sampled_from(["mm", "in"]), value=NUMBERS)
def test_what_is_shown_can_be_read_again(kind: str, view: str, value: float) -> None:
    assume(kind != "temperature" or value > 1.0)  # 0 K is -459.67 F: in whole degrees below it
    shown = show(value, kind, view)
    if kind == "length" and "/" in shown:  # a whole number of 32nds of an inch
        assert read(shown, kind) == pytest.approx(value, rel=1e-6)
        return
    number = re.match(r"-?\d+(?:\.(\d+))?(?:e([+-]\d+))?", shown)
    assert number is not None
    unit = shown[number.end() :].strip()
    last = int(number[2] or 0) - len(number[1] or "")  # place of the last digit shown
    half = 0.5 * 10.0**last * (KINDS[kind].units[unit][0] if unit else 1.0)
    assert abs(read(shown, kind) - value) <= half * (1 + 1e-9) + 1e-12 * value
    assert unit_for(kind, view) == (KINDS[kind].metric if view == "mm" else KINDS[kind].inch)[0]
    assert shown in show_both(value, kind, view)


def test_names_of_units_are_one_unit_each_within_a_kind() -> None:
    for kind in KINDS.values():
        folded = [u.casefold() for u in kind.units]
        doubles = {u for u in kind.units if folded.count(u.casefold()) > 1}
        assert doubles == set(), f"{kind.name}: {doubles} differ in case only"


@SETTINGS
@given(
    whole=st.integers(0, 99),
    top=st.integers(1, 63),
    power=st.integers(1, 6),
    between=st.sampled_from([" ", "-", "  "]),
    sign=st.sampled_from(["", "-", "+"]),
)
def test_fractions(whole: int, top: int, power: int, between: str, sign: str) -> None:
    bottom = 2**power
    text = f"{sign}{whole}{between}{top}/{bottom} in" if whole else f"{sign}{top}/{bottom} in"
    expected = (whole + top / bottom) * 0.0254 * (-1 if sign == "-" else 1)
    assert read(text, "length") == pytest.approx(expected, rel=1e-15)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("1/4 in", "length", 0.00635),
        ("1 1/2 in", "length", 0.0381),
        ("1-1/2 in", "length", 0.0381),
        ('1/4"', "length", 0.00635),
        ("6,35 mm", "length", 0.00635),
        ("0,125 in", "length", 0.003175),
        (".5 in", "length", 0.0127),
        ("5. mm", "length", 0.005),
        ("1e3 mm", "length", 1.0),
        ("-3 mm", "length", -0.003),
        ("\u22123 mm", "length", -0.003),
        ("45°", "angle", math.pi / 4),
        ("50 %", "ratio", 0.5),
        ("0.5", "ratio", 0.5),
        ("300 g/m²", "areal mass", 0.3),
        ("12 in^2", "area", 12 * 0.0254**2),
        ("25 µm", "length", 25e-6),
        ("0.5 N·m", "moment", 0.5),
        ("1\u00a0000 mm".replace("\u00a0", ""), "length", 1.0),
    ],
)
def test_forms_of_numbers(text: str, kind: str, value: float) -> None:
    assert read(text, kind) == pytest.approx(value, rel=1e-14)


def test_a_bare_number_is_read_as_a_ratio_only() -> None:
    assert read(0.25, "ratio") == 0.25
    assert read(3, "ratio") == 3.0
    for kind in set(KINDS) - {"ratio"}:
        for bare in (3, 3.0, "3", "-0.5", "1/2"):
            with pytest.raises(UnitError, match="without its unit"):
                read(bare, kind)


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("1,250 mm", "length", "thousands or decimals.*write 1.250 or 1250"),
        ("-12,500 mm", "length", "thousands or decimals"),
        ("1,250.5 mm", "length", "thousands or decimals|more than one number"),
        ("1.250,5 mm", "length", "more than one number"),
        ("1 2 mm", "length", "more than one number"),
        ("3 x 4 mm", "length", "unknown unit 'x 4 mm'"),
        ("3--4 mm", "length", "more than one number"),
        ("1/0 in", "length", "fraction over zero"),
        ("1e400 mm", "length", "not a finite number"),
        ("1e305 m", "length", "too large for any length"),
        ("1e-305 m", "length", "too small for any length"),
        (1e200, "ratio", "too large for any ratio"),
        ("2 7/8 mm", "length", "a fraction of 'mm'"),
        ("٢٠ mm", "length", "not a number with a unit"),
        ("nan mm", "length", "not a number with a unit"),
        ("inf mm", "length", "not a number with a unit"),
        ("", "length", "not a number with a unit"),
        ("mm", "length", "not a number with a unit"),
        ("twelve mm", "length", "not a number with a unit"),
        ("3 kg", "length", "'kg' is a unit of mass, not of length"),
        ("48 kg/m3", "length", "a unit of density, not of length"),
        ("3 furlong", "length", "unknown unit 'furlong'"),
        ("3 MM", "length", "did you mean 'mm'"),
        ("3 mpa", "pressure", "did you mean 'MPa'"),
        ("-300 C", "temperature", "below absolute zero"),
        ("9" * 200 + " mm", "length", "too long"),
        (True, "ratio", "not a quantity"),
        (None, "length", "not a quantity"),
        ([3], "length", "not a quantity"),
        (float("nan"), "ratio", "not a usable number"),
        (float("inf"), "ratio", "not a usable number"),
        (10**400, "ratio", "not a usable number"),
    ],
)
def test_refusals(text: object, kind: str, words: str) -> None:
    if not words:  # large, but a number
        assert math.isfinite(read(text, kind))
        return
    with pytest.raises(UnitError, match=words) as caught:
        read(text, kind)
    assert caught.value.expected
    assert caught.value.read


def test_no_minus_zero_is_shown() -> None:
    assert show(-1e-9, "length") == "0.0 mm"
    assert show(-0.0, "angle") == "0.0°"


def test_a_difference_is_no_temperature() -> None:
    assert read("10 F", "temperature difference") == pytest.approx(10 / 1.8)
    assert read("10 F", "temperature") == pytest.approx(260.928, abs=1e-3)
    assert show(10 / 1.8, "temperature difference", "in") == "10.0 F"
    assert show(394.15, "temperature", "in") == "250 F"
