"""Repair data chosen by measured damage: one row holds, edges are in one, overlap and gap are refused."""

from __future__ import annotations

import itertools
import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from panelmend.errors import DocumentError
from panelmend.shelves.choose import DamageMeasured, choose_rows, placed
from panelmend.shelves.model import Shelf
from shelf_files import Shop, entry, head

DATA: Shelf = "data"
BASE = """[data]
repair = "Repair 1"
manual = { title = "Manual", number = "M", revision = "1", dated = 2026-01-01 }

[[choose]]
title = "Plies by size"
place = "table 201"
by = [%s]
"""


def text(by: str, *rows: str) -> str:
    return head("data", "d") + BASE % by + "".join(f"\n[[choose.row]]\n{r}\n" for r in rows)


def row(edges: str, margin: int, more: str = "") -> str:
    return f'{edges}\n{more}\ndata.plies.first_margin = "{margin} mm"'


def measured(
    largest: float = 0.05, depth: str = "skin", zone: str = "", plies: int | None = None
) -> DamageMeasured:
    return DamageMeasured(depth, "outside", zone, plies, largest, largest**2, None)


def chosen(document: str, damage: DamageMeasured) -> int | None:
    made, _ = choose_rows(entry(document, DATA, "d").typed, damage, "mm", (0,))
    return made[0].row if made else None


TWO = (row('up_to = "50 mm"', 10), row('over = "50 mm"\nup_to = "3 in"', 20))
BELOW = (row('below = "50 mm"', 10), row('at_least = "50 mm"\nbelow = "76.2 mm"', 20))
NANO = 1e-9


@pytest.mark.parametrize(
    ("rows", "size", "holds"),
    [
        (TWO, 0.0, 0),
        (TWO, 0.05 - NANO, 0),
        (TWO, 0.05, 0),
        (TWO, math.nextafter(0.05, 1.0), 0),  # noise of the last digit is no size
        (TWO, 0.05 + NANO, 1),
        (TWO, 0.0762 - NANO, 1),
        (TWO, 0.0762, 1),
        (TWO, 0.0762 + NANO, None),
        (BELOW, 0.05 - NANO, 0),
        (BELOW, 0.05, 1),
        (BELOW, math.nextafter(0.05, 0.0), 1),
        (BELOW, 0.0762 - NANO, 1),
        (BELOW, 0.0762, None),
    ],
)
def test_an_edge_belongs_to_one_row(rows: tuple[str, ...], size: float, holds: int | None) -> None:
    assert chosen(text('"largest"', *rows), measured(size)) == holds


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        ('up_to = "50 mm"', 'over = "50 mm"', None),
        ('below = "50 mm"', 'at_least = "50 mm"', None),
        ('up_to = "2 in"', 'over = "50.8 mm"', None),
        ('up_to = "50 mm"', 'at_least = "50 mm"', "overlap"),
        ('below = "50 mm"', 'over = "50 mm"', "leave a gap"),
        ('up_to = "50 mm"', 'over = "50.000001 mm"', "leave a gap"),
        ('up_to = "50.000001 mm"', 'over = "50 mm"', "overlap"),
        ('up_to = "50 mm"', "", "overlap"),
        ('up_to = "50 mm"', 'over = "90 mm"', "holds nothing"),
    ],
)
def test_rows_that_overlap_or_leave_a_gap_are_refused(first: str, second: str, words: str | None) -> None:
    document = text('"largest"', row(first, 10), row(f'{second}\nup_to = "80 mm"', 20))
    if words is None:
        entry(document, DATA, "d")
        return
    with pytest.raises(DocumentError, match=words):
        entry(document, DATA, "d")


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.lists(st.integers(1, 60), min_size=1, max_size=5, unique=True), st.integers(0, 70))
def test_of_rows_that_meet_exactly_one_holds_each_size(edges: list[int], size: int) -> None:
    edges = sorted(edges)
    rows = [
        row((f'over = "{a} mm"\n' if a else "") + f'up_to = "{b} mm"', 1)
        for a, b in itertools.pairwise([0, *edges])
    ]
    expected = next((i for i, e in enumerate(edges) if size <= e), None)
    assert chosen(text('"largest"', *rows), measured(size / 1000)) == expected


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.lists(st.tuples(st.integers(0, 12), st.integers(1, 12)), min_size=1, max_size=4))
def test_overlap_and_gap_are_what_counting_finds(spans: list[tuple[int, int]]) -> None:
    """Against a count: each half millimetre of the range lies in one row, or the table is refused."""
    rows = [row(f'over = "{a} mm"\nup_to = "{a + n} mm"', 1) for a, n in spans]
    held = [sum(2 * a < at <= 2 * (a + n) for a, n in spans) for at in range(1, 50)]
    first, last = min(2 * a for a, _ in spans), max(2 * (a + n) for a, n in spans)
    fine = all(h == 1 for at, h in enumerate(held, 1) if first < at <= last)
    try:
        entry(text('"largest"', *rows), DATA, "d")
    except DocumentError:
        assert not fine
    else:
        assert fine


def test_plies_are_counted() -> None:
    rows = (row("up_to = 2", 10), row("over = 2\nup_to = 4", 20))
    for plies, holds in ((1, 0), (2, 0), (3, 1), (4, 1), (5, None)):
        assert chosen(text('"plies"', *rows), measured(plies=plies)) == holds
    entry(text('"plies"', row("below = 3", 10), row("at_least = 3\nbelow = 5", 20)), DATA, "d")
    entry(text('"plies"', row("up_to = 2", 10), row("at_least = 3\nup_to = 4", 20)), DATA, "d")
    with pytest.raises(DocumentError, match="leave a gap"):
        entry(text('"plies"', row("up_to = 2", 10), row("at_least = 4\nup_to = 5", 20)), DATA, "d")
    with pytest.raises(DocumentError, match="not a count of plies"):
        entry(text('"plies"', row('up_to = "2"', 10)), DATA, "d")


def test_words_and_sizes_together() -> None:
    rows = (
        row('up_to = "50 mm"', 10, 'depth = ["skin", "plies"]'),
        row('over = "50 mm"\nup_to = "90 mm"', 20, 'depth = ["skin"]'),
        row('up_to = "70 mm"', 30, 'depth = ["skin and core"]'),
    )
    document = text('"depth", "largest"', *rows)
    assert chosen(document, measured(0.05, "plies")) == 0
    assert chosen(document, measured(0.051, "plies")) is None
    assert chosen(document, measured(0.06, "skin")) == 1
    assert chosen(document, measured(0.06, "skin and core")) == 2
    assert chosen(document, measured(0.06, "through")) is None
    with pytest.raises(DocumentError, match="rows 1 and 2 overlap for skin"):
        entry(text('"depth", "largest"', rows[0], row('up_to = "60 mm"', 9, 'depth = ["skin"]')), DATA, "d")


@pytest.mark.parametrize(
    ("document", "words"),
    [
        (text('"largest", "area"', row('up_to = "5 mm"', 1)), "one size or count at most"),
        (text('"largest", "largest"', row('up_to = "5 mm"', 1)), "one size or count at most"),
        (text('"largest"', row('over = "5 mm"', 1)), "no upper edge"),
        (text('"largest"', row('up_to = "5 mm"\nbelow = "6 mm"', 1)), "an edge is given twice"),
        (text('"largest"', row('up_to = "5"', 1)), "without its unit|its unit"),
        (text('"largest"', row("up_to = 5", 1)), "its unit"),
        (text('"largest"', row('up_to = "-5 mm"', 1)), "must not be negative"),
        (text('"largest"', row('up_to = "5 kg"', 1)), "kg"),
        (text('"largest"', row('up_to = "1e300 mm"', 1)), "too large for any length"),
        (text('"depth"', row("", 1, 'depth = ["skni"]')), "did you mean 'skin'"),
        (text('"depth"', row("", 1)), "no depth in this row"),
        (text('"depth"', row("", 1, 'depth = ["skin", "skin"]')), "given twice"),
        (text('"largest"', row('up_to = "5 mm"', 1, 'zone = ["A"]')), "a zone in this row"),
        (text('"depth"', row('up_to = "5 mm"', 1, 'depth = ["skin"]')), "chosen by no size"),
        (text('"colour"', row("", 1)), "not one of the permitted words"),
        (text('"largest"', 'up_to = "5 mm"'), "'data' is missing"),
        (text('"largest"', 'up_to = "5 mm"\ndata.limits.resolution = "1 mm"'), "how sizes are measured"),
        (
            text('"largest"', row('up_to = "5 mm"', 1)).replace(
                "[[choose]]", 'plies.first_margin = "1 mm"\n[[choose]]'
            ),
            "in a row and outside of it",
        ),
    ],
)
def test_tables_that_cannot_be_are_refused(document: str, words: str) -> None:
    with pytest.raises(DocumentError, match=words):
        entry(document, DATA, "d")


def test_a_row_takes_the_place_of_its_table() -> None:
    made = placed({"plies": {"first_margin": "1 mm", "order": {"value": "smallest first"}}}, "table 201")
    assert made["plies"]["first_margin"] == {"value": "1 mm", "place": "table 201"}
    assert made["plies"]["order"] == {"value": "smallest first", "place": "table 201"}


def test_a_value_of_a_row_keeps_the_place_that_was_typed_with_it() -> None:
    """Note 3 of the figure stays note 3; only what has no place of its own takes the table's."""
    typed = {
        "first_margin": {"value": "1 mm", "place": "fig 2 note 3"},
        "film_adhesive": {"value": "film"},
        "order": "x",
    }
    made = placed({"plies": typed}, "table 201")["plies"]
    assert {k: v["place"] for k, v in made.items()} == {
        "first_margin": "fig 2 note 3",
        "film_adhesive": "table 201",
        "order": "table 201",
    }
    assert [v["value"] for v in made.values()] == ["1 mm", "film", "x"]


REPAIR_7 = "M3-SRM rev 11 / Repair 7"
PLIES = """
[[choose]]
title = "Plies by size"
place = "52-10-17 table 201"
by = ["depth", "largest"]

[[choose.row]]
depth = ["skin", "skin and core"]
up_to = "150 mm"
data.plies.outside.extra = []
[[choose.row]]
depth = ["skin", "skin and core"]
over = "150 mm"
up_to = "200 mm"
place = "52-10-17 table 201 line 2"
data.plies.outside.extra = [ { cloth = "demo-glass-8h", warp = "45 deg" } ]

[[choose]]
title = "Tape by zone"
place = "52-10-17 fig 1"
by = ["zone"]

[[choose.row]]
zone = ["A"]
data.plies.tape_width = "50.8 mm"
[[choose.row]]
zone = ["B"]
data.plies.tape_width = "40 mm"
"""


def shop_with(tmp_path: Path, edge: str = "150 mm") -> Shop:
    shop = Shop(tmp_path)
    old = shop.read("data", REPAIR_7)
    lines = [
        x for x in old.split("\n[entry.check]")[0].split("\n") if not x.startswith(("extra", "tape_width"))
    ]
    shop.put("data", REPAIR_7, "\n".join(lines) + "\n" + PLIES.replace("150 mm", edge))
    shop.text = shop.text.replace('bay = "door cell"', 'bay = "door cell", zone = "A"')
    return shop


@pytest.mark.parametrize(
    ("edge", "plies"), [("150 mm", 0), ("149.000001 mm", 1), ("149 mm", 1), ("153 mm", 0)]
)
def test_a_job_never_types_what_the_damage_chooses(tmp_path: Path, edge: str, plies: int) -> None:
    """The damage measures 149.7 mm and counts as 150 mm: the data rounds it up to whole millimetres."""
    shop = shop_with(tmp_path, edge)
    loaded = shop.load()
    outside = loaded.document.data.plies.outside
    assert outside is not None
    assert outside.extra is not None
    assert len(outside.extra.value) == plies
    assert outside.extra.place == ("52-10-17 table 201 line 2" if plies else "52-10-17 table 201")
    assert loaded.document.data.plies.tape_width.value == pytest.approx(0.0508)
    assert loaded.shelved is not None
    words = [f.words for f in loaded.shelved.findings if f.code == "X112"]
    assert len(words) == 2
    assert any("largest dimension 150" in w for w in words)
    (told,) = [f.words for f in loaded.shelved.findings if f.code == "X581"]
    assert told.startswith("zone A of A, B (52-10-17 fig 1); "), "nothing holds what is only typed"
    line = loaded.shelved.stands.at(("data", "plies", "outside", "extra", "value"))
    assert line.startswith("data/M3-SRM rev 11 - Repair 7.toml, line ")


def test_what_no_row_holds_is_beyond_the_data(tmp_path: Path) -> None:
    shop = shop_with(tmp_path)
    with pytest.raises(DocumentError, match=r"beyond the approved data.*depth through"):
        shop.load(('depth = "skin and core"', 'depth = "through"'))
    with pytest.raises(DocumentError, match=r"no row of 'Tape by zone' holds this damage.*zone C"):
        shop.load(('zone = "A"', 'zone = "C"'))
    with pytest.raises(DocumentError, match=r"the zone is not known.*\"A\" or \"B\""):
        shop.load((', zone = "A"', ""))


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('data.plies.tape_width = "40 mm"', 'data.plies.tape_width = "40"', r"row\[2\].*tape_width"),
        ('data.plies.tape_width = "40 mm"', 'data.plies.tape_widht = "40 mm"', r"row\[2\].*tape_widht"),
        ('"45 deg" } ]\n\n[[choose]]', '"45" } ]\n\n[[choose]]', r"row\[2\].*warp"),
    ],
)
def test_a_slip_in_a_row_that_another_damage_would_choose_is_told(
    tmp_path: Path, old: str, new: str, words: str
) -> None:
    """Before anybody signs: it passed until a damage chose that row."""
    shop = shop_with(tmp_path)
    shop.edit("data", REPAIR_7, (old, new), check=False)
    with pytest.raises(DocumentError, match=words):
        shop.load()
    shop.edit("data", REPAIR_7, (new, old), check=False)
    assert shop.load().document.data.plies.tape_width is not None


def test_two_tables_never_say_the_same(tmp_path: Path) -> None:
    shop = shop_with(tmp_path)
    more = PLIES[PLIES.index('\n[[choose]]\ntitle = "Tape') :].replace("Tape by zone", "Tape again")
    text_now = shop.read("data", REPAIR_7).split("\n[entry.check]")[0] + more
    with pytest.raises(DocumentError, match="two tables say this"):
        entry(text_now, "data", REPAIR_7)
