"""A damage that no row of a table or no zone holds: refused everywhere, and a request can be made of it."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from examples_here import text as example
from panelmend.app.cli import main
from panelmend.app.exits import Exit
from panelmend.app.service import plan
from panelmend.render.request import beyond, questions_asked
from shelf_files import Shop, short

REPAIR_7 = "M3-SRM rev 11 / Repair 7"
NUMBER = 'per_panel = { value = 3, place = "52-10-17 table 101 note 4" }\n'
BY_NONE = "\n[entry.check]"
BY_SIZE = """
[[choose]]
title = "Number by size"
place = "table 201"
by = ["depth", "largest"]
[[choose.row]]
depth = ["skin", "skin and core"]
up_to = "75 mm"
data.limits.per_panel = 5

[entry.check]"""
BY_ZONE = """
[[zone]]
name = "A"
place = "fig 101"
shape = { rectangle = { centre = "400, 400 mm", length = "100 mm", width = "100 mm" } }

[[choose]]
title = "Number by zone"
place = "table 202"
by = ["zone"]
[[choose.row]]
zone = ["A"]
data.limits.per_panel = 5

[entry.check]"""


def shop_with(folder: Path, table: str, diameter: str, x: str = "400") -> Shop:
    """A job with a round damage whose data has a table."""
    shop = Shop(folder)
    shop.edit("data", REPAIR_7, (NUMBER, ""), ("\n[entry.check]", table))
    text = short()
    outline = text[text.index("shape.outline") : text.index("depth =")]
    circle = f'shape.circle = {{ centre = "{x}, 400 mm", diameter = "{diameter} mm" }}\n'
    shop.text = text.replace(outline, circle)
    shop.job.write_text(shop.text, "utf8")
    return shop


@pytest.mark.parametrize(
    ("table", "at", "said"),
    [
        (
            BY_SIZE,
            ("75.5", "400"),
            "Number by size (table 201) is for skin, skin and core; largest dimension up",
        ),
        (BY_SIZE, ("74.5", "400"), ""),
        (BY_ZONE, ("60", "425"), "reaches out of zone A"),
        (BY_ZONE, ("60", "600"), "lies in no zone"),
        (BY_ZONE, ("60", "415"), ""),
    ],
)
def test_what_no_table_holds_is_refused_and_can_be_asked(
    tmp_path: Path, table: str, at: tuple[str, str], said: str
) -> None:
    shop = shop_with(tmp_path, table, *at)
    run = CliRunner().invoke(main, ["check", str(shop.job)])
    assert (run.exit_code == Exit.REFUSED) == bool(said)
    made = plan(shop.job, beyond=True)
    told = [f.words for f in made.findings if f.code == "X538"]
    assert len(told) == bool(said)
    assert all(said in w for w in told)
    assert any(said in w for w in beyond(made)) == bool(said)
    number = next(r for r in made.limits.reasons if r.kind == "number of repairs")
    assert (number.limit is None) == bool(said)  # by no row that does not hold it
    if said:
        assert any(said in q for q in questions_asked(made, ()))
        folder = tmp_path / "asked"
        run = CliRunner().invoke(main, ["request", str(shop.job), "--to", str(folder)])
        assert run.exit_code == 0, run.output
        assert (folder / "request.pdf").stat().st_size > 1000
        assert CliRunner().invoke(main, ["pack", str(shop.job)]).exit_code == Exit.REFUSED


@pytest.mark.parametrize("in_one", [False, True])
@pytest.mark.parametrize(
    ("depth", "side", "lacks"),
    [
        ("through", "outside", "inside"),
        ("through", "inside", "inside"),
        ("skin", "inside", "inside"),
        ("skin", "outside", ""),
    ],
)
def test_a_skin_that_the_data_has_no_plies_for_can_be_asked_about(
    tmp_path: Path, depth: str, side: str, lacks: str, in_one: bool
) -> None:
    shop = shop_with(tmp_path, BY_NONE, "60")
    text = example("gear_door") if in_one else shop.text
    text = text.replace('depth = "skin and core"', f'depth = "{depth}"')
    shop.job.write_text(text.replace('side = "outside"', f'side = "{side}"'), "utf8")
    run = CliRunner().invoke(main, ["check", str(shop.job)])
    assert (run.exit_code == Exit.REFUSED) == bool(lacks)
    made = plan(shop.job, beyond=True)
    assert [f.code for f in made.findings if f.code == "X538"] == (["X538"] if lacks else [])
    asked = questions_asked(made, ())
    assert any(f"no repair plies for the skin on the {lacks}" in q for q in asked) == bool(lacks)
    assert not any("pot life" in q for q in asked)  # plies that were lent say nothing of the bench
