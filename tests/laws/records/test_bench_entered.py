"""What is laid and mixed at a step is entered there, or the signature says why it was not; what scanners and
people type in other ways is read as it is meant, or refused in words."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
from pydantic import TypeAdapter, ValidationError

from panelmend.app.records_shop import release_pdf
from panelmend.app.records_stores import label_typed, stores_toml
from panelmend.app.records_words import history_words, step_words
from panelmend.document.bay import Stores
from panelmend.errors import ReadingError
from panelmend.records import events as e
from panelmend.records.canonical import sha256
from panelmend.records.doing.bench import not_entered
from panelmend.records.events.fields import Strokes
from panelmend.records.package.make import make_package, read_package
from records_made import A1, A3, JOB, KEYS, O11, O20, Shop, decide, refused, shop, steps, who
from render_pages import page_words

PLAN = sha256("the plan")


def _card(**more: Any) -> tuple[e.CardStep, ...]:
    return tuple(x.model_copy(update=more) if x.key == O11 else x for x in steps())


def _label(made: Shop, *pieces: str) -> None:
    for piece in pieces:
        made.book.see_label(who("T1"), JOB, O11, *label_typed(f"panelmend:{JOB}/{piece}/{PLAN[:12]}"))


def test_a_step_that_lays_pieces_waits_for_their_labels_or_says_why() -> None:
    made = shop()
    made.begin_job(pieces=("P1", "P2"), steps=_card(pieces=("P1", "P2")))
    made.do(A1, A3)
    made.fill(O11)
    _label(made, "P2")
    assert "label of P1" in refused("R305", lambda: made.sign(O11, "did", "T1"))
    job = made.state.jobs[JOB]
    assert not_entered(job, O11) == ("label of P1",)
    assert any("not entered: label of P1" in x for x in step_words(made.state, job, O11))
    refused("R305", lambda: made.sign(O11, "did", "T1", why="  "))
    _label(made, "P1")
    made.sign(O11, "did", "T1")
    assert made.book.log.check().holds


def test_work_done_again_lays_other_pieces_whose_labels_are_seen_anew() -> None:
    made = shop()
    made.begin_job(pieces=("P1",), steps=_card(pieces=("P1",)))
    made.do(A1, A3)
    made.fill(O11)
    _label(made, "P1")
    made.sign(O11, "did", "T1")
    made.book.raise_deviation(who("T1"), JOB, O11, "D1", [], "spoilt")
    decide(made, "D1", "do again", again=O11)
    made.fill(O11)
    refused("R305", lambda: made.sign(O11, "did", "T1"))


def test_why_it_was_not_entered_stays_to_the_release_page() -> None:
    made = shop()
    made.begin_job(pieces=("P1",), steps=_card(pieces=("P1",), pots=1))
    made.do(A1, A3)
    made.fill(O11)
    made.book.sign(
        who("T1"), JOB, O11, e.Meaning.DID, made.book.show(JOB, O11), "the label was soaked in resin",
        strokes="M10 150L300 20L580 150",
    )  # fmt: skip
    made.do(*KEYS[3:])
    made.release()
    job = made.state.jobs[JOB]
    assert not_entered(job, O11) == ("label of P1", "batch 1 of 1")
    said = _text(release_pdf(made.state, JOB, "x"))
    assert "label of P1" in said
    assert "soaked in resin" in said
    assert "Written by hand, beside the seal Step" in said
    assert "M10 150L300 20L580 150" in str(read_package(make_package(made.book.log, JOB)).entries), (
        "and sealed"
    )


@pytest.mark.parametrize(
    ("strokes", "taken"),
    [
        ("M0 0L599 199", True),
        ("M0 0L600 199", False),
        ("M0 0L599 200", False),
        ("M1 1L2 2M3 3L4 4L5 5", True),
        ("M1 1", False),
        ("M1 1L2 2z", False),
        ('M1 1L2 2" onload="x', False),
        ("M1 1" + "L2 2" * 1499, True),
        ("M1 1" + "L2 2" * 1500, False),
    ],
)
def test_what_is_written_by_hand_is_lines_and_nothing_else(strokes: str, taken: bool) -> None:
    given: TypeAdapter[str] = TypeAdapter(Strokes)
    if taken:
        assert given.validate_python(strokes) == strokes
    else:
        with pytest.raises(ValidationError):
            given.validate_python(strokes)


def _text(pdf: bytes) -> str:
    return " ".join(" ".join(page_words(pdf)).split())


def test_a_step_that_mixes_waits_for_each_of_its_batches() -> None:
    made = shop()
    for lot in ("LR", "LH"):
        made.receive(lot, frozen=False, out_life=None, unit="g", amount="100")
    made.begin_job(steps=_card(pots=2))
    made.do(A1, A3)
    for lot in ("LR", "LH"):
        made.book.issue(who("S1"), lot, JOB, O11, "50")
    made.fill(O11)
    made.book.mix(who("T1"), JOB, O11, "M-1", {"LR": "20", "LH": "6"}, 2400)
    assert "batch 2 of 2" in refused("R305", lambda: made.sign(O11, "did", "T1"))
    made.book.mix(who("T1"), JOB, O11, "M-2", {"LR": "20", "LH": "6"}, 2400)
    made.sign(O11, "did", "T1")
    assert not_entered(made.state.jobs[JOB], O20) == ()


@pytest.mark.parametrize("pieces", [("P3",), ("P1", "P1")])
def test_a_card_asks_for_pieces_of_its_plan_alone(pieces: tuple[str, ...]) -> None:
    made = shop()
    refused("R108", lambda: made.begin_job(pieces=("P1",), steps=_card(pieces=pieces)))


def test_a_code_that_a_scanner_gives_in_capitals_is_the_same_code() -> None:
    found = (JOB, "OUT-R1", "0123456789ab")
    assert label_typed(f"panelmend:{JOB}/OUT-R1/0123456789ab") == found
    assert label_typed(f"PANELMEND:{JOB}/OUT-R1/0123456789AB\n") == found


@pytest.mark.parametrize("digest", ["0123456789xz", "0123", "a" * 65])
def test_a_code_whose_digest_is_none_is_no_code(digest: str) -> None:
    with pytest.raises(ReadingError):
        label_typed(f"panelmend:{JOB}/OUT-R1/{digest}")


@pytest.mark.parametrize(
    "thing", ["lot NONE", "job nothing", "person T9", "instrument X", "batch B", "panel a 1"]
)
def test_the_history_of_what_the_records_do_not_know_is_refused(thing: str) -> None:
    refused("R122", lambda: history_words(shop().book, thing))


def test_the_history_of_what_is_spelled_otherwise_names_the_right_spelling() -> None:
    made = shop()
    made.receive("L1")
    assert "lot L1" in refused("R122", lambda: history_words(made.book, "lot l1"))
    assert history_words(made.book, "lot L1")


def test_core_has_its_thickness_and_the_next_document_names_it() -> None:
    made = shop()
    core: dict[str, Any] = {
        "frozen": False,
        "out_life": None,
        "material": "core",
        "unit": "m2",
        "amount": "1",
    }
    made.receive("C-1", **core, thickness="0.02")
    made.receive("C-2", **core)
    refused("R108", lambda: made.receive("C-3", **core, thickness="0"))
    made.begin_job()
    made.book.issue(who("S1"), "C-1", JOB, O11, "0.5")
    made.book.take_back(who("S1"), "C-1", "C-1/a", JOB, "0.25")
    held = Stores.model_validate(tomllib.loads("\n".join(stores_toml(made.state)))["stores"])
    assert {x.id: x.thickness for x in held.lot} == {"C-1": 0.02, "C-1/a": 0.02, "C-2": None}


@pytest.mark.parametrize(("thickness", "code"), [("0.02", ""), ("0.019", "R304"), (None, "")])
def test_a_plan_takes_no_thinner_core_than_it_needs(thickness: str | None, code: str) -> None:
    made = shop()
    more = {} if thickness is None else {"thickness": thickness}
    made.receive("C-1", frozen=False, out_life=None, material="core", unit="m2", amount="1", **more)
    need = e.Need(material="core", store="C-1", amount="0.1", unit="m2", thickness="0.02")
    if code:
        refused(code, lambda: made.begin_job(kit=[need]))
    else:
        made.begin_job(kit=[need])
