"""What the drying and bag stages say: each finding by its cause, the card, vacuum in other words, leaks."""

from __future__ import annotations

import re

import pytest

from drying_plans import DOOR, card_text, codes, part, plan, step, tables, value, words
from examples_here import case, names
from panelmend.derive import Figure
from panelmend.derive.ledger import words_of
from panelmend.plan.make import make_plan

# ---- What is said when


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('content = { value = "50 %", place = "51-30-01 para 2 note 1" }\n', "", "D006"),
        ('content = { value = "50 %"', 'content = { value = "2 %"', "D007"),
        ('bond = "demo-film" }', 'bond = "demo-film" }\nlimit = "65 C"', "D008"),
        ('temperature = { value = "71 C"', 'temperature = { value = "104 C"', "D009"),
        ('temperature = { value = "71 C", place = "51-30-01 para 2" }\n', "", "D010"),
        ('moisture = "found"', 'moisture = "found"', "D011"),
        ('moisture = "found"', 'moisture = "found"', "D012"),
        ('temperature = { value = "71 C"', 'temperature = { value = "15 C"', "D013"),
        ('depth = "skin and core"', 'depth = "skin"', "D014"),
        ('depth = "skin and core"', 'depth = "surface"', "D014"),
        (
            'rate_most = { value = "3 C/min", place = "51-30-01',
            'rate_most = { value = "6 C/min", place = "51-30-01',
            "D015",
        ),
        ('moisture = "found"', 'moisture = "found"', "D016"),
    ],
)
def test_each_finding_is_raised_by_its_cause(old: str, new: str, code: str) -> None:
    made = plan((old, new))
    assert code in codes(made)
    if old != new:
        assert code not in codes(plan())
    for finding in made.findings:
        if finding.code == code:
            assert finding.todo


def test_structure_behind_bounds_the_drying() -> None:
    made = plan(('metal = "aluminium"\n', 'metal = "aluminium"\nlimit = "60 C"\n'))
    assert any("rib 2" in x.words for x in made.findings if x.code == "D008")
    assert "rib 2 is rated to no more" in card_text(made)


def _trips(ident: str, *pairs: tuple[str, str]) -> list[list[str]]:
    """What a step's cut-outs are set to, as printed."""
    blanks = [b for b in step(plan(*pairs), ident).blanks if b.what.startswith("Cut-out")]
    return [[words_of(x) if x is not None else "" for x in (b.low, b.high)] for b in blanks]


def test_wet_core_has_a_cut_out_setting_of_its_own_and_each_cure_sets_it_again() -> None:
    """That of the cures, to 93 C, was the only one: closed cells lift with 48 kPa at 71 C, 101 at 93."""
    assert _trips("C3") == [["74 C", "79 C"]]  # 71 C, and 3 and 8 K over it
    assert _trips("D5") == [["88 C", "93 C"]]
    assert "Drying has a lower setting" in words(step(plan(), "D5").words)
    assert "over-temperature cut-out" in step(plan(), "C4").tools
    assert _trips("O22")[0] == ["88 C", "93 C"]
    dry = ('moisture = "found"\nwet_area = "40 cm2"', 'moisture = "none found"')
    assert _trips("O22", dry) == []
    assert "Drying has" not in words(step(plan(dry), "D5").words)
    for limit, expected in (("76 C", ["74 C", "76 C"]), ("73.9 C", ["", "73 C"])):
        rated = ('bond = "demo-film" }', f'bond = "demo-film" }}\nlimit = "{limit}"')
        assert _trips("C3", rated) == [expected]
    unknown = ('temperature = { value = "71 C", place = "51-30-01 para 2" }\n', "")
    assert _trips("C3", unknown) == [["", ""]]


def test_none_found_is_short_and_says_that_somebody_looked() -> None:
    made = plan(('moisture = "found"\nwet_area = "40 cm2"', 'moisture = "none found"'))
    assert "A moisture check came first" in words(step(made, "C5").words)
    assert not [n for n in made.card.notes if n.place.id == "C4"], "no note of a step that the card has not"
    assert not {"C1", "C3", "C4", "C6"} & {s.id for s in made.card.steps}
    assert not {"D001", "D003", "D009", "D010", "D011", "D012", "D014", "D016"} & codes(made)
    assert not any("closed cell" in words(s.words) for s in made.card.steps)
    wet = step(plan(), "C5").hold
    assert len(tables(plan())) == 3
    assert wet is not None
    assert wet.by == "inspector"


def test_closed_core_leaves_one_face() -> None:
    """Where the repair opens no core nothing is promised for two open faces."""
    made = plan(('depth = "skin and core"', 'depth = "skin"'))
    assert len(tables(made)[-1].rows) == 2
    assert "ask engineering" in words(step(made, "C1").words)
    assert not any("with both" in f.words for f in made.findings if f.code == "D005")
    assert any("with both" in f.words for f in plan().findings if f.code == "D005")


def test_not_checked_is_told_once() -> None:
    for depth in ("skin and core", "skin"):
        made = plan(
            ('moisture = "found"\nwet_area = "40 cm2"', 'moisture = "not checked"'),
            ('depth = "skin and core"', f'depth = "{depth}"'),
        )
        told = [x for x in made.findings if "checked" in x.words or "looked" in x.words]
        assert [x.code for x in told] == ["L108"]


def test_where_nobody_looked_water_is_looked_for_before_heat_and_stops_the_work() -> None:
    """It was said where the drying is set up, without a stop; without values nothing stopped it."""
    unseen = ('moisture = "found"\nwet_area = "40 cm2"', 'moisture = "not checked"')
    bare = ('temperature = { value = "71 C", place = "51-30-01 para 2" }\n', "")
    made = plan(unseen)
    look = step(made, "C1")
    assert "If you find water: STOP, no heat, back to the planner" in words(look.words)
    assert {"No water found", "Moisture reading"} <= {b.what for b in look.blanks}
    assert "do it now" not in words(step(made, "C3").words)
    ids = [s.id for s in made.card.steps]
    assert ids.index("C1") < ids.index("C3") < ids.index("C4")
    assert "D010" not in codes(made)
    assert "D010" in codes(plan(unseen, bare))
    dry = ('moisture = "found"\nwet_area = "40 cm2"', 'moisture = "none found"')
    assert "D010" not in codes(plan(dry, bare))
    assert "C1" not in {s.id for s in plan(dry).card.steps}


def test_the_cure_step_warns_where_the_water_would_burst() -> None:
    for moisture_, warned in (("found", True), ("none found", False)):
        made = plan(('moisture = "found"\nwet_area = "40 cm2"', f'moisture = "{moisture_}"'))
        for at in made.card.steps:
            if at.id == "O22":
                assert ("lifts the skin" in words(at.words)) is warned
                assert ("pressure" in {c.hazard for c in at.cautions}) is warned


def test_without_a_barometer_no_pressure_is_given() -> None:
    made = plan(('elevation = "240 m"\nbarometer = "985 hPa"\n', ""))
    assert part(made).heatings == ()
    assert "B007" in codes(made)
    assert "D003" not in codes(made), "the bag stage has said it"
    warm = plan(('air_temperature = "18 C"\n', ""))
    assert part(warm).heatings == ()
    assert [x.place for x in warm.findings if x.code == "D003"] == ["bay.air_temperature"]


@pytest.mark.parametrize("name", names())
def test_every_number_of_the_tables_can_be_explained(name: str) -> None:
    made = make_plan(case(name))
    shown = [
        w
        for s in (*made.card.steps, *made.card.notes)
        for t in s.tables
        for row in t.rows
        for cell in row
        for w in cell
        if isinstance(w, Figure)
    ]
    assert shown or name == "flap_rib_bay" or "NOT PREDICTED" in card_text(made)
    for figure in shown:
        assert "source:" in made.ledger.explain(figure.key, made.case.view)
    for at in (*made.card.steps, *made.card.notes):
        for table in at.tables:
            assert all(len(row) == len(table.heads) for row in table.rows)


# ---- Bag


def test_difference_and_what_is_left_add_up_to_the_air() -> None:
    for name in names():
        made = make_plan(case(name))
        assert made.work is not None
        for bag in made.work.bag.operations:
            assert bag.vacuum.absolute is not None
            total = float(bag.vacuum.difference) + float(bag.vacuum.absolute)
            assert total == pytest.approx(value(made, "bay.barometer"))


def test_a_vacuum_that_cannot_exist_leaves_nothing_to_tell() -> None:
    high = plan(('elevation = "240 m"\nbarometer = "985 hPa"\n', 'elevation = "9000 ft"\n'))
    assert high.work is not None
    first = high.work.bag.operations[0]
    assert first.vacuum.absolute is None
    assert first.vacuum.boiling is None
    assert any("2519 m" in x.words for x in high.findings if x.code == "B002")


def test_leak_flow_follows_room_and_rate() -> None:
    """Q = V dp / dt with V from the sealing line and the breather; the limits themselves stay as they are."""
    known = plan()
    assert known.work is not None
    for bag in known.work.bag.operations:
        room = (
            value(known, f"bag.{bag.number}.seal_length")
            * value(known, f"bag.{bag.number}.seal_width")
            * 2.5e-3
        )
        assert bag.leak.flow is not None
        assert float(bag.leak.flow) == pytest.approx(room * 3386.389 / 60.0)
    slow = plan(('leak_time = { value = "1 min"', 'leak_time = { value = "5 min"'))
    assert value(slow, "bag.1.leak_flow") == pytest.approx(value(known, "bag.1.leak_flow") / 5)
    assert value(slow, "bag.leak_drop") == pytest.approx(3386.389)
    assert "B015" not in codes(known)
    assert "Pa m3/s" in card_text(known)
    bare = re.sub(r"(?s)\[\[materials\.bagging\]\]\nid = \"[^\"]*breather.*?\n\n", "", DOOR)
    unknown = plan(of=bare)
    assert [x.code for x in unknown.findings].count("B015") == 1
    assert "bag.1.leak_flow" not in unknown.ledger


@pytest.mark.parametrize(
    ("elevation", "barometer", "told"),
    [
        ("240 m", "985 hPa", False),
        ("240 m", "960 hPa", False),
        ("240 m", "1013 hPa", False),
        ("1500 m", "1013 hPa", True),
        ("1500 m", "850 hPa", False),
        ("2400 ft", "850 hPa", True),
    ],
)
def test_weather_explains_a_difference_and_altitude_does_not(
    elevation: str, barometer: str, told: bool
) -> None:
    made = plan(
        (
            'elevation = "240 m"\nbarometer = "985 hPa"',
            f'elevation = "{elevation}"\nbarometer = "{barometer}"',
        )
    )
    assert ("B014" in codes(made)) is told
