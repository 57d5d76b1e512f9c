"""A number in a blank: what no instrument shows is never judged within its limit."""

from __future__ import annotations

import pytest

from panelmend.app.number_typed import number_typed
from panelmend.errors import InputError
from panelmend.records import events as e


def _blank(unit: str, low: str | None = None, high: str | None = None, ask: str = "figures") -> e.CardBlank:
    made: e.CardBlank = e.made(
        e.CardBlank, what="Read", entry=e.EntryKind.NUMBER, unit=unit, low=low, high=high, ask=ask
    )
    return made


@pytest.mark.parametrize(
    ("blank", "inside", "outside"),
    [
        (_blank("inHg", low="22"), "32.5", "32.51"),  # 75 of kPa, typed as inHg
        (_blank("inHg", ask="record"), "32.5", "75"),
        (_blank("kPa", low="75"), "110", "110.1"),
        (_blank("hPa", ask="record"), "1100", "1101"),
        (_blank("mbar", low="745"), "1100", "1100.5"),
        (_blank("mmHg", low="560"), "825", "826"),
        (_blank("inHg in the test", high="1"), "0", "-0.1"),
        (_blank("inHg", low="22"), "22", "-22"),
        (_blank("mm", high="150"), "0", "-5"),
        (_blank("°", high="5"), "5", "-10"),  # ten degrees off, to the other side
        (_blank("% of lower limit", high="10"), "0", "-1"),
        (_blank("%", high="65"), "0", "-0.01"),
    ],
)
def test_what_cannot_be_is_refused_and_what_just_can_is_read(
    blank: e.CardBlank, inside: str, outside: str
) -> None:
    assert number_typed(blank, inside)[0] == inside
    with pytest.raises(InputError):
        number_typed(blank, outside)


@pytest.mark.parametrize(
    ("blank", "typed"),
    [
        (_blank("°C", high="52"), "-40"),
        (_blank("°C/min", high="3"), "-1"),
        (_blank("mm", low="-0.5", high="0.5"), "-0.2"),
        (_blank("mm", ask="person"), "-0.2"),  # lower than the core by less than nothing: a person judges
        (_blank("psi", low="2000"), "2500"),  # a coupon's strength is no vacuum
        (_blank("mm", high="150"), "149,9 mm"),
    ],
)
def test_what_may_lie_below_zero_or_high_is_read(blank: e.CardBlank, typed: str) -> None:
    assert number_typed(blank, typed)[0] == typed.removesuffix("mm").strip()


@pytest.mark.parametrize(
    "typed", ["5.9 in", '5.9"', "5.9″", "15cm", "149 m", "70 F", "75°F", "5,9 in", "20 C"]
)
def test_another_unit_is_named_as_what_is_wrong(typed: str) -> None:
    with pytest.raises(InputError, match="takes a number in mm, not in another unit"):
        number_typed(_blank("mm", high="150"), typed)


@pytest.mark.parametrize("typed", ["٣", "１４９", "1e2", "149 or 151", "1,500", "<150"])
def test_what_is_no_number_stays_none(typed: str) -> None:
    with pytest.raises(InputError, match=r"not a number|thousands|another unit"):
        number_typed(_blank("mm", high="150"), typed)


def test_a_temperature_is_taken_with_its_letter_alone() -> None:
    for typed in ("20 C", "20°C", "20 °C", "20C", "20"):
        assert number_typed(_blank("°C", high="52"), typed)[0] == "20"
    with pytest.raises(InputError, match="another unit"):
        number_typed(_blank("°C", high="52"), "70 F")
