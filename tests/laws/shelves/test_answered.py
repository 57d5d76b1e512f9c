"""Answers of engineering and deviations on shelves: hands, tables by size, practice, materials."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from examples_here import text as example
from panelmend.app import service
from panelmend.app.loading import load_all
from panelmend.document import parse
from panelmend.errors import DocumentError, InputError
from panelmend.job.case import case_of
from panelmend.job.limits.answers import check_answers
from shelf_files import Shop

REPAIR_7 = "M3-SRM rev 11 / Repair 7"
SAID = 'by = "D. Aune"\non = 2026-11-24\nreference = "ED-1"\n'
WHY = 'reason = "none left"\n'
BY_SIZE = """
[[choose]]
title = "Number by size"
place = "table 201"
by = ["largest"]
[[choose.row]]
up_to = "150 mm"
data.limits.per_panel = 5
[[choose.row]]
over = "150 mm"
up_to = "200 mm"
data.limits.per_panel = 1

[entry.check]"""


def said(kind: str, of: str, value: str) -> tuple[str, str]:
    """An answer, or a deviation, at the end of the job."""
    more = f'\n[[{kind}]]\nof = "{of}"\nvalue = {value}\n{SAID}{WHY if kind == "deviation" else ""}'
    return '\n[[confirm]]\nfigure = "cure', f'{more}\n[[confirm]]\nfigure = "cure'


def second(shop: Shop, ident: str, of: str) -> None:
    """The same material once more, by another id."""
    text = shop.read("materials", of).split("\n[entry.check]")[0] + "\n"
    shop.put("materials", ident, text.replace(of, ident))


@pytest.mark.parametrize("hand", ["left", "right"])
def test_an_answered_ply_lies_as_engineering_said_on_either_hand(tmp_path: Path, hand: str) -> None:
    shop = Shop(tmp_path)
    use = ('serial = "0088"', f'serial = "0088", hand = "{hand}"')
    outline = shop.text[shop.text.index("shape.outline") : shop.text.index("depth =")]
    y = "386" if hand == "left" else "-386"
    damage = (outline, f'shape.circle = {{ centre = "476, {y} mm", diameter = "90 mm" }}\n')
    plies = said("answer", "data.plies.outside.extra", '[{ cloth = "demo-glass-8h", warp = "30 deg" }]')
    loaded = shop.load(use, damage, plies)
    side = loaded.document.data.plies.outside
    assert side is not None
    assert side.extra is not None
    assert side.repair is not None
    assert [round(math.degrees(p.warp)) for p in side.extra.value] == [30]
    turned = 45 if hand == "left" else -45
    assert [round(math.degrees(p.warp)) for p in side.repair.value] == [0, turned, 0]
    assert loaded.shelved is not None
    told = [f.words for f in loaded.shelved.findings if f.code == "X113"]
    assert ["stands as it was typed" in w for w in told] == ([] if hand == "left" else [True])


def test_an_answer_never_leaves_a_row_that_another_size_chose(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.edit(
        "data",
        REPAIR_7,
        ('per_panel = { value = 3, place = "52-10-17 table 101 note 4" }\n', ""),
        ("\n[entry.check]", BY_SIZE),
    )
    shop.load(said("answer", "data.limits.resolution", '"5 mm"'))  # 150 mm either way
    with pytest.raises(DocumentError, match=r"answer\[1\].value: with its answers this damage measures"):
        shop.load(said("answer", "data.limits.resolution", '"20 mm"'))


@pytest.mark.parametrize("kind", ["deviation", "answer"])
def test_practice_for_one_resin_is_left_out_where_another_takes_its_place(tmp_path: Path, kind: str) -> None:
    shop = Shop(tmp_path)
    second(shop, "resin-b", "demo-laminating-resin")
    assert "X390" not in shop.codes()
    assert "X390" in shop.codes(said(kind, "data.resin.system", '"resin-b"'))
    confirmed = {c.figure for c in shop.load(said(kind, "data.resin.system", '"resin-b"')).document.confirm}
    assert "bag.film_allowance" in confirmed
    assert "kit.allowance" not in confirmed


@pytest.mark.parametrize("kind", ["deviation", "answer"])
def test_a_material_that_takes_the_place_of_another_is_brought_from_the_shelf(
    tmp_path: Path, kind: str
) -> None:
    shop = Shop(tmp_path)
    second(shop, "cloth-b", "demo-glass-8h")
    loaded = shop.load(said(kind, "data.plies.outside.extra", '[{ cloth = "cloth-b", warp = "45 deg" }]'))
    assert "cloth-b" in {c.id for c in loaded.document.materials.cloth}
    assert loaded.shelved is not None
    assert any("cloth-b" in e.name for e in loaded.shelved.entries)


def test_a_fault_of_an_answer_is_told_where_the_answer_stands(tmp_path: Path) -> None:
    """It was told at the line of the data's own value, in the entry that two people checked."""
    shop = Shop(tmp_path)
    with pytest.raises(
        DocumentError, match=r"job.toml, line \d+ \(engineering's answer\).*read '6 mn'"
    ) as refused:
        shop.load(said("answer", "data.cutout.margin", '"6 mn"'))
    line = int(str(refused.value).split("job.toml, line ")[1].split()[0])
    assert "6 mn" in shop.job.read_text("utf8").splitlines()[line - 1]


def test_the_same_in_one_file() -> None:
    answer = said("answer", "data.cutout.margin", '"6 mn"')[1].split("\n[[confirm]]")[0]
    whole = example("gear_door") + answer
    with pytest.raises(DocumentError, match="unknown unit") as refused:
        parse(whole.encode(), "r.toml")
    line = int(str(refused.value).split("r.toml, line ")[1].split(",")[0])
    assert "6 mn" in whole.splitlines()[line - 1]


@pytest.mark.parametrize("shelved", [True, False])
def test_a_second_person_signs_an_answer_as_it_stands(tmp_path: Path, shelved: bool) -> None:
    """In a job on shelves and in a document in one file; an edit afterwards voids it."""
    shop = Shop(tmp_path)
    answer = said("answer", "data.limits.repairable", '"400 mm"')
    typed = (answer[1].replace('by = "D. Aune"', 'by = "S. Brand"\ntyped_by = "J. Hale"')).split(
        "\n[[confirm]]"
    )[0]
    text = (shop.text if shelved else example("gear_door")) + typed

    def codes(now: str) -> set[str]:
        shop.job.write_text(now, "utf8")
        return {f.code for f in check_answers(case_of(service.load(shop.job)))}

    assert codes(text + 'checked_by = "P. Lind"\n') == {"L221", "X584"}, "typed text alone"
    assert codes(text) == {"L221", "L390"}
    with pytest.raises(InputError, match="cannot check it as the second person"):
        shop.seen("S. Brand")
    assert shop.seen() == ()
    assert codes(shop.text) == {"L221"}
    assert codes(shop.text.replace('"400 mm"', '"401 mm"')) == {"L221", "X584"}
    assert codes(shop.text.replace("TAS-26-0417", "TAS-26-0418")) == {"L221", "X584"}
    assert codes(shop.text.replace("[damage]", "[[damage]]")) == {"L221"}


def test_one_check_speaks_for_every_damage_of_a_job(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    typed = said("deviation", "data.limits.repairable", '"400 mm"')[1].split("\n[[confirm]]")[0]
    shop.text = shop.text.replace("[damage]", "[[damage]]", 1) + typed + 'typed_by = "J. Hale"\n' + SECOND
    shop.job.write_text(shop.text, "utf8")
    assert shop.seen() == ()
    for each in load_all(shop.job):
        assert each.shelved is not None
        assert {"X108"} <= {f.code for f in each.shelved.findings}
        assert "X582" not in {f.code for f in each.shelved.findings}


SECOND = """
[[damage]]
shape.circle = { centre = "950, 200 mm", diameter = "40 mm" }
depth = "skin and core"
side = "outside"
moisture = "none found"
"""
