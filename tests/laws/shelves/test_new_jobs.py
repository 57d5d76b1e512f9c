"""Jobs made by asking on shelves: few questions, taken back and corrected, as people write, drawn."""

from __future__ import annotations

import shutil
from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from examples_here import FOLDER
from new_jobs import DAY, KINDS, Kind, made_by, typing
from panelmend.app.asking import ask_all
from panelmend.app.dialogue import Dialogue, found_in
from panelmend.app.loading import read_all, read_text
from panelmend.app.shelf_move import move
from panelmend.derive.ledger import same_value
from panelmend.document.interview import Question
from panelmend.errors import InputError, OutputError, Severity
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan
from panelmend.render.sketch import sketch_lines, sketch_svg
from panelmend.shelves.folder import Folder
from panelmend.shelves.interview import JobInterview
from panelmend.shelves.one_line import beside
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


def test_what_is_asked_in_one_line_is_said_so() -> None:
    said = dialogue_of(*KINDS[0].as_asked)[1]
    for words in ("behind a comma, its serial number", "who accepts it, another person", "on which side"):
        assert words in said


@pytest.mark.parametrize(
    ("path", "typed", "answer", "more"),
    [
        ("use.panel", "gear left, 0088", "gear left", {"use.serial": "0088"}),
        ("use.panel", "gear left s/n A-12", "gear left", {"use.serial": "A-12"}),
        ("use.panel", "gear left; serial number 7", "gear left", {"use.serial": "7"}),
        ("use.panel", "Access door, hydraulic bay", "Access door, hydraulic bay", {}),
        ("use.panel", "gear 0088", "gear 0088", {}),
        ("damage.depth", "skin and core, Outside", "skin and core", {"damage.side": "outside"}),
        ("damage.depth", "plies, 2 plies; inside", "plies", {"damage.plies": "2", "damage.side": "inside"}),
        ("damage2.depth", "c, inside", "c", {"damage2.side": "inside"}),
        ("damage.depth", "skin outside", "skin outside", {}),
        ("damage.depth", "skin, outside and inside", "skin, outside and inside", {}),
        ("people.technician", "R. Osk, 7", "R. Osk, 7", {}),
        ("people.technician", "R. Osk; M. Verrin", "R. Osk", {"people.inspector": "M. Verrin"}),
        ("people.technician", "Osk, R. and Verrin, M.", "Osk, R.", {"people.inspector": "Verrin, M."}),
        ("people.technician", "R. Anders", "R. Anders", {}),
        ("people.technician", "R. Osk / M. Verrin / J. Hale", "R. Osk / M. Verrin / J. Hale", {}),
        ("people.inspector", "R. Osk; M. Verrin", "R. Osk; M. Verrin", {}),
    ],
)
def test_what_a_line_says_beside_its_answer(path: str, typed: str, answer: str, more: dict[str, str]) -> None:
    assert beside(Question(path, "", "choice", ""), typed) == (answer, more)


def dialogue_of(*typed: str, answers: dict[str, str] | None = None, root: Path = SHELVES) -> Any:
    """A dialogue that was typed into until the lines ran out, what it said, and what it kept after each."""
    said: list[str] = []
    kept: list[dict[str, str]] = []
    script = JobInterview(Stock(Folder(root), DAY))
    made = Dialogue(script, typing(iter(typed)), said.append, lambda a: kept.append(dict(a)), answers, beside)
    with suppress(StopIteration):
        made.run()
    return made, "\n".join(said), kept


def test_every_answer_is_kept_as_soon_as_it_is_given() -> None:
    _, _, kept = dialogue_of(*DENT)
    assert [len(k) for k in kept] == list(range(1, len(DENT) + 1)), "each line an answer"
    for n in range(len(kept)):  # stopped after any answer, it goes on with the next one
        again, _, _ = dialogue_of(*DENT[n + 1 :], answers=kept[n])
        assert again.answers == kept[-1]
        assert again.asked == len(DENT) - n - 1


def test_an_answer_is_taken_back_and_corrected() -> None:
    made, said, kept = dialogue_of(
        "access", "0377", "potted", "<", "<", "9", "one skin", "=1", "flap", "=2", ""
    )
    assert made.answers["use.panel"] == "M3-5753-08-2"
    assert made.answers["use.serial"] == "9", "Enter keeps what was there"
    assert made.answers["use.data"] == "M3-SRM rev 11 / Repair 1"
    assert "So far: M3-5244-09-1" in said
    assert kept[3] == {k: v for k, v in kept[2].items() if k != "use.data"}
    assert dialogue_of("<")[1].count("This is the first question.") == 1


def test_what_is_not_asked_is_shown_and_can_be_corrected() -> None:
    made, _, _ = dialogue_of(*DENT)
    made.show()
    whole = made.whole()
    assert whole["repair.title"] == "Access door, hydraulic bay: skin, outside"
    assert whole["repair.work_date"] == DAY.isoformat()
    numbers = {q.path: i for i, q in enumerate(made._answered(), 1)}
    made._read = typing(iter(["QT-MLA", "skin and core"]))
    made.correct(numbers["repair.registration"])
    made.correct(numbers["damage.depth"])
    assert made.whole()["repair.registration"] == "QT-MLA"
    assert made.whole()["repair.title"].endswith("skin and core, outside"), "the usual one follows"
    assert 'registration = "QT-MLA"' in made.script.draft(made.whole())


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


def test_a_choice_is_found_by_its_words_by_a_letter_and_by_no_number_in_a_list() -> None:
    made, said, _ = dialogue_of("gear", "right", "", "7")
    assert made.answers["use.panel"] == "M3-5201-17-2"
    assert made.answers["use.data"] == "M3-SRM rev 11 / Repair 7", "the number of the repair, not of the list"
    assert "2 of them" in said
    asked = dialogue_of("gear right", "", "7", *DENT[3:8], "skin", "outside")[1]
    assert "THE DRAWING IS OF THE LEFT HAND: here y and angles have the other sign" in asked
    assert "DRAWING IS OF" not in dialogue_of("gear left", "", "7", *DENT[3:8], "skin", "outside")[1]
    assert 'hand = "right"' in made_by(("gear right", "", "7", *DENT[3:]))[1]
    assert dialogue_of("b")[0].answers["use.panel"] == "M3-5201-17-2"
    assert "expected one that is listed" in dialogue_of("zzz")[1]
    assert dialogue_of(*DENT[:8], "skin")[0].answers["damage.depth"] == "skin", "a whole word before a part"


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


def test_nobody_inspects_their_own_work_and_a_name_is_one() -> None:
    _, said, _ = dialogue_of(*DENT[:5], "-", "R. Osk", "Osk, R.", "M. Verrin")
    assert "this is no name" in said
    assert "nobody inspects their own work" in said


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("R. Osk, M. Verrin", "more than one person"),
        ("R. Osk; M. Verrin; J. Hale", "more than one person"),
        ("R. Osk; R. Osk", "nobody inspects their own work"),
        ("R. Osk; 7", "this is no name"),
    ],
)
def test_who_works_and_who_accepts_are_never_guessed(typed: str, said: str) -> None:
    made, words, _ = dialogue_of(*DENT[:5], typed)
    assert said in words
    assert "people.inspector" not in made.answers


@pytest.mark.parametrize("name", ["Osk, R.", "van Dam, J. P.", "R. Osk"])
def test_a_name_may_have_a_comma(name: str) -> None:
    assert dialogue_of(*DENT[:5], name)[0].answers["people.technician"] == name


@pytest.mark.parametrize("word", ["q", "Quit", "exit", "stop"])
def test_a_word_that_leaves_is_no_answer(word: str) -> None:
    """As the serial number, the number of the repair or a name it stood on the card."""
    for before in (DENT[:1], DENT[:4], DENT[:5], DENT[:10]):
        kept: list[dict[str, str]] = []
        script = JobInterview(Stock(Folder(SHELVES), DAY))
        made = Dialogue(script, typing(iter((*before, word))), str, lambda a, k=kept: k.append(dict(a)), None)
        with pytest.raises(KeyboardInterrupt):
            made.run()
        assert word not in made.answers.values()
        assert kept[-1] == made.answers


def test_back_takes_back_and_help_lists() -> None:
    made, said, _ = dialogue_of("help", "access", "back", "access", "back", "gear left", "0088")
    assert made.answers["use.panel"] == "M3-5201-17-1"
    assert made.answers["use.serial"] == "0088"
    assert said.count("Which panel is damaged") == 3


def test_keys_that_are_no_letters_are_refused() -> None:
    _, said, _ = dialogue_of("access", "\x1b[A0377", "03\x0877")
    assert said.count("hidden character") == 2
    assert (
        made_by(("access", "0377", *DENT[2:10], "CIRCLE 32 MM AT 180, 240 MM", "none"))[1]
        == made_by(("access", "0377", *DENT[2:10], "circle 32 mm at 180, 240 mm", "none"))[1]
    )


def test_an_answer_that_the_shelves_no_longer_hold_is_asked_again() -> None:
    _, said, _ = dialogue_of(answers={"use.panel": "M3-9999", "use.serial": "1"})
    assert "'M3-9999' can no longer be used" in said
    assert "Which panel is damaged" in said


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


def test_of_many_choices_none_is_taken_because_it_happens_to_be_shown() -> None:
    many = tuple(f"P-{i:02}" for i in range(30))
    titles = tuple("door" if i in (3, 20, 21) else "cover" for i in range(30))
    asked = Question("use.panel", "Panel", "choice", "", many, said=titles)
    assert found_in(asked, "door", many[:12]) == ("P-03", "P-20", "P-21")
    assert found_in(asked, "2", many[:12], ("P-03", "P-20", "P-21")) == ("P-20", "P-21")
    assert found_in(asked, "d", many[:12]) == ("P-03",), "the letter of the list, which says P-03"
    assert found_in(asked, "z", many[:12]) == ()


def test_a_question_with_one_choice_is_answered_by_enter() -> None:
    class One:
        def questions(self, answers: Any) -> list[Question]:
            return [Question("use.bay", "Bay", "choice", "", ("cell",), usual="cell")]

        def accept(self, question: Question, text: str, answers: Any) -> str:
            return text

        def draft(self, answers: Any) -> str:
            return ""

    made = Dialogue(One(), lambda label: "", lambda words: None, lambda a: None)
    assert made.run() == {"use.bay": "cell"}


def never(label: str) -> str:
    raise AssertionError(f"it asked {label}")


def test_what_cannot_be_written_is_told_before_the_first_question(tmp_path: Path) -> None:
    for target in (tmp_path / "nothere" / "my.toml", tmp_path / "a.file" / "my.toml"):
        (tmp_path / "a.file").write_text("")
        with pytest.raises(OutputError, match=r"not there|nothing can be written"):
            ask_all(target, read=never)


def test_a_document_is_asked_for_in_one_terminal_at_a_time(tmp_path: Path, monkeypatch: Any) -> None:
    """The second one is told, and takes no answer of the first; afterwards nothing is left that holds it."""
    monkeypatch.setenv("PANELMEND_SHELVES", str(SHELVES))
    target = tmp_path / "my.toml"

    def first(label: str) -> str:
        with pytest.raises(OutputError, match="in another terminal"):
            ask_all(target, read=never)
        raise KeyboardInterrupt

    for _ in range(2):
        with pytest.raises(KeyboardInterrupt):
            ask_all(target, read=first)
    assert list(tmp_path.iterdir()) == []


def test_answers_given_on_shelves_are_not_taken_for_a_document_alone(
    tmp_path: Path, monkeypatch: Any
) -> None:
    monkeypatch.setenv("PANELMEND_SHELVES", str(SHELVES))
    (tmp_path / "my.answers.json").write_text('{".asked": "on shelves", "use.panel": "M3-5244-09-1"}')
    with pytest.raises(InputError, match="given on shelves"):
        ask_all(tmp_path / "my.toml", alone=True, read=never)


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
