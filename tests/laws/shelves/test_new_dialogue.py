"""The dialogue that asks for a job: answers kept, taken back, corrected, found by a word, and names."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from new_jobs import DAY, KINDS, dialogue_of, made_by, typing
from panelmend.app.asking import ask_all
from panelmend.app.dialogue import Dialogue, found_in
from panelmend.document.interview import Question
from panelmend.errors import InputError, OutputError
from panelmend.shelves.folder import Folder
from panelmend.shelves.interview import JobInterview
from panelmend.shelves.one_line import beside
from panelmend.shelves.stock import Stock
from shelf_files import SHELVES

DENT = KINDS[0].typed


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


def test_nobody_inspects_their_own_work_and_a_name_is_one() -> None:
    _, said, _ = dialogue_of(*DENT[:5], "-", "R. Osk", "Osk, R.", "M. Verrin")
    assert "this is not a name" in said
    assert "nobody inspects their own work" in said


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("R. Osk, M. Verrin", "more than one person"),
        ("R. Osk; M. Verrin; J. Hale", "more than one person"),
        ("R. Osk; R. Osk", "nobody inspects their own work"),
        ("R. Osk; 7", "this is not a name"),
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
