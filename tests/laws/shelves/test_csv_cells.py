"""Cells of a pasted table that say less than was meant: a decimal comma between commas, a bare .9."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from panelmend.document.recipe import Cure
from panelmend.errors import InputError
from panelmend.shelves.csv_table import csv_rows, table_text


def made(table: str, text: str) -> object:
    """The table of a CSV as raw values."""
    return tomllib.loads(table_text(table, csv_rows(text.encode(), "t.csv"), "fig 3"))["data"][table]


@pytest.mark.parametrize("row", ["resin_to_cloth,1,05", "resin_to_cloth,0,6", "resin_to_cloth,48,5 %"])
def test_a_decimal_comma_between_commas_is_never_half_a_number(row: str) -> None:
    """A ratio of 1.05 was 1, at the place "05"."""
    with pytest.raises(InputError, match="decimal comma, cut in two") as refused:
        made("resin", f"field,value,place\n{row}\n")
    assert "t.csv, line 2" in str(refused.value)


@pytest.mark.parametrize(
    ("table", "row", "value"),
    [
        ("resin", 'resin_to_cloth,"1,05",fig 4', "1,05"),
        ("resin", "resin_to_cloth;1,05;4-2", "1,05"),
        ("resin", "resin_to_cloth,1,page 5", 1),
        ("resin", "resin_to_cloth,1.05,4-2", 1.05),
        ("resin", "resin_to_cloth,.9,", ".9"),
        ("limits", "per_panel,3,table 101", 3),
    ],
)
def test_what_is_meant_is_taken(table: str, row: str, value: object) -> None:
    apart = ";" if ";" in row else ","
    field = row.split(apart)[0]
    raw = made(table, f"{apart.join(('field', 'value', 'place'))}\n{row}\n")
    assert isinstance(raw, dict)
    assert raw[field]["value"] == value


def test_the_table_of_the_start_page_is_read() -> None:
    """Who follows the page pastes these lines."""
    page = (Path(__file__).parents[3] / "docs" / "start.md").read_text("utf8").split("\n")
    first = next(i for i, line in enumerate(page) if line.strip().startswith("cure,kind,"))
    (cure,) = made("cure", "\n".join(line.strip() for line in page[first : first + 4]) + "\n")  # type: ignore[misc]
    assert [s["kind"] for s in cure["segment"]] == ["ramp", "dwell", "cool"]
    assert cure["lays"] == ["plies"]
    assert cure["thermocouples_least"] == 3
    Cure.model_validate(cure)
