"""Jobs made by asking on shelves: few questions, planned, chosen, drawn; what the shelves say of them."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

import pytest

from examples_here import FOLDER
from new_jobs import DAY, KINDS, Kind, dialogue_of, made_by, typing
from panelmend.app.loading import read_all, read_text
from panelmend.app.shelf_move import move
from panelmend.derive.ledger import same_value
from panelmend.errors import Severity
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.sketch import sketch_lines, sketch_svg
from panelmend.shelves.folder import Folder
from panelmend.shelves.stock import Stock
from shelf_files import SHELVES, Shop

DENT = KINDS[0].typed
HERE = SHELVES.parent / "job.toml"


def plan_of(text: str) -> Plan:
    return make_plan(case_of(read_text(text.encode("utf8"), HERE)))


@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.name)
def test_a_job_is_made_by_few_questions_and_planned(kind: Kind) -> None:
    """Counted: questions put, answers refused, lines of the job; its plan stops at nothing."""
    dialogue, text = made_by(kind.typed)
    assert dialogue.asked == len(kind.typed) <= 13
    assert dialogue.refused == 0
    assert len(text.splitlines()) <= 25
    plan = plan_of(text)
    assert plan.work is not None
    stops = [f for f in plan.findings if f.severity is Severity.STOP]
    assert stops == []
    assert plan.case.document.damage.depth == kind.depth
    told = {
        "dent in one skin": plan.work.core.action == "none",
        "potted fill": plan.work.core.action == "pot",
        "edge band": "P108" in {f.code for f in plan.findings},
        "beside an insert": plan.work.core.action == "replace",
        "scarf at 121 C": plan.work.plies.scheme == "scarf",
    }
    assert told[kind.name], plan.work.core.action


@pytest.mark.parametrize("kind", KINDS, ids=lambda k: k.name)
def test_a_job_takes_nine_questions(kind: Kind) -> None:
    """Each answered as it is asked; who leaves out one half is asked for it, and the job is the same."""
    dialogue, text = made_by(kind.as_asked)
    assert dialogue.asked == len(kind.as_asked) == 9
    assert dialogue.refused == 0
    assert text == made_by(kind.typed)[1]


def test_what_the_data_leaves_to_choose_is_shown_and_chosen_by_a_correction() -> None:
    """Two forms of the cut-out; who says nothing gets the smallest, as before."""
    made, _ = made_by(DENT)
    assert made.whole()["choice.form"] == ""
    number = next(i for i, q in enumerate(made._answered(), 1) if q.path == "choice.form")
    made._read = typing(iter(["circle"]))
    made.correct(number)
    text = made.script.draft(made.whole())
    assert '[choice]\nform = "circle"' in text
    work = plan_of(text).work
    assert work is not None
    assert work.cutout.opening.form == "circle"


def test_data_of_another_panel_is_listed_last_and_stops_the_plan() -> None:
    """Repair 7 is for both hands of the gear door and for no other panel."""
    _, said, _ = dialogue_of("access", "")
    listed = [x for x in said.splitlines() if "M3-SRM" in x]
    assert [("NOT FOR THIS PANEL" in x) for x in listed] == [False] * 4 + [True] * 5
    cases = (
        ("flap", "Repair 3", ["X213"]),
        ("access", "Repair 3", []),
        ("gear left", "Repair 7", []),
        ("gear right", "Repair 7", []),
    )
    for panel, repair, codes in cases:
        place = "180 mm, -240 mm" if panel == "gear right" else "180 mm, 240 mm"
        damage = ("outside", f"circle 32 mm at {place}", "none")
        text = made_by((panel, "", repair, *DENT[3:8], "skin and core", *damage))[1]
        shelved = read_text(text.encode("utf8"), HERE).shelved
        assert shelved is not None
        found = [f for f in shelved.findings if f.code in ("X213", "X214")]
        assert [f.code for f in found] == codes
        assert all(f.severity is Severity.STOP for f in found)


def test_data_that_says_no_panel_is_a_caution(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    name = "M3-SRM rev 11 / Repair 7"
    shop.edit("data", name, ('panels = ["M3-5201-17-1", "M3-5201-17-2"]\n', ""))
    assert shop.codes() == ["X214"]
    shop.edit("data", name, ('hand = "left"\n', 'hand = "left"\npanels = [" M3-5201-17-1"]\n'))
    assert shop.codes() == [], "blanks do not matter"


def test_an_entry_says_its_state_where_it_is_chosen(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    shop.edit("bays", "door cell", ('"18 C"', '"19 C"'), check=False)
    newer = shop.read("data", "M3-SRM rev 11 / Repair 7").split("\n[entry.check]")[0]
    newer = newer.replace("rev 11", "rev 12").replace(
        "[data]\n", 'supersedes = "M3-SRM rev 11 / Repair 7"\n\n[data]\n', 1
    )
    newer = newer.replace(
        'hand = "left"\ninvented = true\n\nsupersedes', 'hand = "left"\ninvented = true\nsupersedes'
    )
    shop.put("data", "M3-SRM rev 12 / Repair 7", newer, check=False)
    (tmp_path / "shelves" / "panels" / "broken.toml").write_text("[entry")
    stock = Stock(Folder(tmp_path / "shelves"), DAY)
    bays = {c.value: c.state for c in stock.choices("bays")}
    assert bays == {
        "clean room 2": "",
        "door cell": "NOT CHECKED",
        "door cell, small kit": "",
        "engine cell": "",
    }
    data = {c.value: c.state for c in stock.choices("data")}
    assert data["M3-SRM rev 11 / Repair 7"] == "SUPERSEDED by M3-SRM rev 12 / Repair 7"
    assert data["M3-SRM rev 12 / Repair 7"] == "NOT CHECKED"
    assert len(stock.choices("panels")) == 5
    assert "panels/broken.toml" in stock.faulty[0]


THICKER = ('thickness = "20 mm"', 'thickness = "20.1 mm"')


def test_the_other_hand_of_a_panel_says_the_state_of_its_entry(tmp_path: Path) -> None:
    """Both hands are one entry: where nobody checked it, neither was checked."""
    shop = Shop(tmp_path)
    for change, one, other in (((), "", ""), ((THICKER,), "NOT CHECKED", ", NOT CHECKED")):
        shop.edit("panels", "M3-5201-17-1", *change, check=not change)
        panels = {c.value: c.state for c in Stock(Folder(tmp_path / "shelves"), DAY).choices("panels")}
        assert panels["M3-5201-17-1"] == one
        assert panels["M3-5201-17-2"] == f"mirror image of M3-5201-17-1{other}"


def test_what_stands_on_no_shelf_is_typed_into_the_job() -> None:
    panel = (
        "-", "Cover", "M3-1", "7", "rectangle", "300, 200 mm", "600 mm", "400 mm", "", "20 mm", "outside",
        "forward", "demo-glass-8h: 45, 0 deg", "demo-glass-8h: 0, 45 deg", "demo-aramid-48",
        "1/2 in", "0°", "25 mm", "flat",
    )  # fmt: skip
    made, text = made_by((*panel, "one skin", "small", "TAS-9", "Marlet 3", *DENT[5:]))
    assert made.refused == 0
    assert "[panel]" in text
    assert "panel =" not in text.split("[use]")[1].split("[panel]")[0]
    plan = plan_of(text)
    assert plan.case.document.panel.part_number == "M3-1"
    assert plan.case.document.panel.core.thickness == pytest.approx(0.0127)


def test_the_drawing_shows_the_damage_where_it_lies() -> None:
    text = made_by(DENT)[1]
    case = case_of(read_text(text.encode("utf8"), HERE))
    lines = sketch_lines([case])
    rows = lines[: lines.index("")]
    at = [(i, j) for j, row in enumerate(rows) for i, mark in enumerate(row) if mark == "X"]
    assert at, "32 mm on a panel of 560 mm is seen"
    # 180 of 560 mm from the left, 440 - 240 of 440 mm from the top
    assert sum(i + 0.5 for i, _ in at) / len(at) / len(rows[0]) == pytest.approx(180 / 560, abs=0.03)
    assert sum(j + 0.5 for _, j in at) / len(at) / len(rows) == pytest.approx(200 / 440, abs=0.05)
    said = "\n".join(lines)
    assert "32.0 mm at its longest" in said
    assert "Nearest to the panel's edge: 16" in said
    assert sketch_svg([case]).startswith(b"<?xml")


def test_the_drawing_says_what_the_damage_covers() -> None:
    text = made_by((*DENT[:10], "circle 32 mm at 395, 222 mm", "none"))[1]
    case = case_of(read_text(text.encode("utf8"), HERE))
    assert "covers insert latch 2" in "\n".join(sketch_lines([case]))
    assert "covers" not in "\n".join(
        sketch_lines([case_of(read_text(made_by(DENT)[1].encode("utf8"), HERE))])
    )


def test_two_damages_of_one_panel_are_one_job() -> None:
    """The second one is given by a correction of what is not asked, and is asked after like the first."""
    made, _ = made_by(DENT)
    number = next(i for i, q in enumerate(made._answered(), 1) if q.path == "damage2.outline")
    more = [f"={number}", "circle 24 mm at 448 mm, 330 mm"]
    made._read = typing(iter([more[1], "plies", "1", "outside", "none found"]))
    made.command(more[0])
    text = made.script.draft(made.run())
    assert made.refused == 0
    assert text.count("[[damage]]") == 2
    assert 'title = "Access door, hydraulic bay: several damages"' in text
    assert len(text.splitlines()) <= 25
    read = read_all(text.encode("utf8"), HERE)
    assert [r.document.damage.id for r in read] == ["A", "B"]
    assert [r.document.damage.depth for r in read] == ["skin", "plies"]
    cases = [case_of(r) for r in read]
    lines = sketch_lines(cases)
    drawn = "".join(lines[: lines.index("")])
    assert {"A", "B"} <= set(drawn)
    assert "Damage B: plies, outside, 24.0 mm at its longest" in "\n".join(lines)
    plans = [make_plan(c) for c in cases]
    assert [p.case.document.repair.number for p in plans] == ["TAS-26-0501-A", "TAS-26-0501-B"]
    assert all(f.severity is not Severity.STOP for p in plans for f in p.findings)


def test_a_tiny_damage_is_drawn_too() -> None:
    text = made_by((*DENT[:10], "circle 1 mm at 181,3 mm, 240,7 mm", "none"))[1]
    assert "X" in "".join(sketch_lines([case_of(read_text(text.encode("utf8"), HERE))])[:24])


def test_what_the_data_does_not_give_is_said_where_it_is_chosen(tmp_path: Path) -> None:
    """Drying, surface and cures are asked by nobody: they are the data's, or they are missing."""
    shop = Shop(tmp_path)
    name = "M3-SRM rev 11 / Repair 7"

    def said() -> str:
        lines = dialogue_of("gear left", "", root=tmp_path / "shelves")[1].splitlines()
        return next(x for x in lines if name in x)

    assert "drying" not in said()
    text = shop.read("data", name)
    start = text.index("[data.drying]")
    shop.put("data", name, text[:start] + text[text.index("[", start + 5) :])
    assert "ITS ENTRY SAYS NOTHING OF drying" in said()


def test_the_root_fairing_moved_onto_shelves_is_asked_for_like_any_other(tmp_path: Path) -> None:
    """A cap cured on its plate beforehand, in inches, a traced outline; the plan stops at nothing."""
    document = tmp_path / "repair.toml"
    shutil.copy(FOLDER / "root_fairing" / "repair.toml", document)
    move(document, tmp_path / "shelves", tmp_path / "short.toml", "J. Hale", DAY, {})
    traced = (
        "20.4 15.1; 21.3 14.4; 23.0 14.2; 24.6 14.6; 25.2 15.6; 24.7 16.7; 23.1 17.2; 21.2 16.9; 20.5 16.1"
    )
    typed = (
        *("S12-5340-06-2, 0141", "Repair 4", "", "ORL-26-0093", "Orrinlake Air Works", "Sandpiper 12", "in"),
        *("T. Wick", "K. Amble", "none", "skin and core, outside", f"outline in: {traced}", "none found"),
    )
    dialogue, text = made_by(typed, tmp_path / "shelves", date(2026, 11, 26))
    assert (dialogue.asked, dialogue.refused) == (13, 0)
    assert len(text.splitlines()) <= 30
    plan = make_plan(case_of(read_text(text.encode("utf8"), tmp_path / "job.toml")))
    assert plan.stop_reasons == ()
    long = make_plan(case_of(read_text(document.read_bytes(), document)))
    mine = {f.key: f.value for f in plan.ledger if f.key.startswith(("cutout.", "core.", "plies.OUT"))}
    assert len(mine) > 20
    assert all(same_value(v, long.ledger[k].value) for k, v in mine.items())
