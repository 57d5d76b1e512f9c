"""A deviation that changes what the damage measures never leaves the row that was chosen without it."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelmend.errors import DocumentError
from shelf_files import Shop, short

REPAIR = "M3-SRM rev 11 / Repair 7"
TYPED = 'per_panel = { value = 3, place = "52-10-17 table 101 note 4" }\n'
TABLE = """[[choose]]
title = "Number by size"
place = "table 201"
by = ["largest"]
[[choose.row]]
up_to = "75 mm"
data.limits.per_panel = 5
[[choose.row]]
over = "75 mm"
up_to = "160 mm"
data.limits.per_panel = 2

[entry.check]"""


def shop_with(folder: Path, resolution: str, *, table: bool) -> Shop:
    """A damage of 72 mm, the fineness of its sizes departed from by the engineer."""
    shop = Shop(folder)
    if table:
        shop.edit("data", REPAIR, (TYPED, ""), ("[entry.check]", TABLE))
    text = short()
    outline = text[text.index("shape.outline") : text.index("depth =")]
    shop.text = text.replace(outline, 'shape.circle = { centre = "400, 400 mm", diameter = "72 mm" }\n')
    shop.text += f"""
[[deviation]]
of = "data.limits.resolution"
value = "{resolution}"
reason = "measured with a coarse scale"
by = "D. Aune"
on = 2026-11-25
reference = "ED-0417"
"""
    return shop


def test_a_size_that_would_choose_another_row_is_refused_with_both_sizes(tmp_path: Path) -> None:
    with pytest.raises(DocumentError) as refused:
        shop_with(tmp_path, "10 mm", table=True).load()
    assert "deviation[1].value: with its deviations this damage measures otherwise" in str(refused.value)
    assert "72.0 mm, 40.7 cm2 without, 80.0 mm, 40.7 cm2 with them" in str(refused.value)


def test_the_same_size_with_and_without_is_taken(tmp_path: Path) -> None:
    loaded = shop_with(tmp_path, "2 mm", table=True).load()
    assert loaded.document.data.limits.per_panel is not None
    assert loaded.document.data.limits.per_panel.value == 5


def test_where_no_table_goes_by_size_nothing_is_asked(tmp_path: Path) -> None:
    loaded = shop_with(tmp_path, "10 mm", table=False).load()
    assert loaded.document.data.limits.resolution is not None
    assert loaded.document.data.limits.resolution.value == pytest.approx(0.01)
