"""Seals and spellings proved beside: by children or here, every one, with the same outcome."""

from __future__ import annotations

import subprocess
import sys
from typing import Any

import pytest

from panelmend.records import events as e
from panelmend.records import seals
from panelmend.records.canonical import canonical
from panelmend.records.doing.standing import opening_content, opening_sum
from panelmend.records.store import proving as p
from panelmend.records.store.log import Log
from panelmend.records.store.tables import PAPERS, SECRETS
from records_kept import write_rows
from records_made import A1, A3, JOB, Time, job_shop, quick_folder

SEED = bytes(range(32))
PUBLIC = seals.public_of(SEED)
SOUND = '{"at":"","behind":0,"by":"","entered":"","late":"","what":{"a":"1","b":"2"}}'
OTHERWISE = [
    SOUND.replace("{", "{ ", 1),
    SOUND.replace('"a":"1","b":"2"', '"b":"2","a":"1"'),
    "{}",
    SOUND[:-1],
]
SOME = 3 * p.AT_ONCE


def asked(n: int) -> tuple[str, ...]:
    """A seal that holds but for each 97th, and between them texts, each 89th otherwise."""
    if n % 2:
        return (OTHERWISE[n % len(OTHERWISE)] if n % 89 == 0 else SOUND,)
    made = seals.seal(SEED, f"text {n}")
    return (PUBLIC, f"text {n}", made if n % 97 else made[:-2] + ("00" if made[-2:] != "00" else "11"))


def all_proved(children: int) -> tuple[list[int], list[int]]:
    """What is found of some."""
    with p.Proving(children) as proving:
        assert all(proving.ask(n, *asked(n)) for n in range(SOME))
        proving.end()
    return proving.false, proving.spelled_otherwise


@pytest.mark.parametrize("children", [0, 1, 3])
def test_every_one_is_proved_by_children_or_here(children: int) -> None:
    wrong = [n for n in range(0, SOME, 97) if n % 2 == 0]
    other = [n for n in range(0, SOME, 89) if n % 2]
    assert all_proved(children) == (wrong, other)


@pytest.mark.parametrize(
    "says",
    [
        "pass",
        "import sys; sys.stdout.buffer.write(b'x'); sys.stdout.flush()",
        "import sys,struct; sys.stdin.buffer.read(9); b=b'1'*3; "
        "sys.stdout.buffer.write(struct.pack('>I',3)+b); sys.stdout.flush()",
        "import sys,struct; sys.stdin.buffer.read(9); b=b'?'*500; "
        "sys.stdout.buffer.write(struct.pack('>I',500)+b); sys.stdout.flush()",
    ],
)
def test_a_child_that_ends_or_answers_something_else_is_not_believed(
    says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = subprocess.Popen
    began: list[Any] = []

    def other(command: list[str], **given: Any) -> Any:
        began.append(made([sys.executable, "-c", says], **given))
        return began[-1]

    monkeypatch.setattr(subprocess, "Popen", other)
    found = all_proved(1)
    assert began
    assert found == all_proved(0)


@pytest.mark.parametrize("reads", ["", "sys.stdin.buffer.read();"])
def test_a_child_that_hangs_is_left_and_what_it_had_is_proved_here(
    reads: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = subprocess.Popen

    def other(command: list[str], **given: Any) -> Any:
        return made([sys.executable, "-c", f"import sys, time;{reads}time.sleep(300)"], **given)

    monkeypatch.setattr(subprocess, "Popen", other)
    monkeypatch.setattr(p, "LONGEST", 0.3)
    assert all_proved(1) == all_proved(0)


def test_no_child_can_be_had(monkeypatch: pytest.MonkeyPatch) -> None:
    def none(*_: Any, **__: Any) -> Any:
        raise OSError("no")

    monkeypatch.setattr(subprocess, "Popen", none)
    assert all_proved(2)[0] == [n for n in range(0, SOME, 97) if n % 2 == 0]


@pytest.mark.parametrize("at_once", [1, 500])
def test_the_first_that_does_not_hold_is_told_and_nothing_behind_it(
    at_once: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = job_shop(A1, A3)
    texts = [t for *_, t in made.book.log.entries()]
    opened = next(n for n, t in enumerate(texts) if '"job opened"' in t)
    with made.book.log.reading() as connection:
        papers = [(str(d), bytes(x)) for d, x in connection.execute(PAPERS.select())]
        kept = [(str(d), str(x)) for d, x in connection.execute(SECRETS.select())]
    seal = texts[opened].partition('"seal":"')[2][:128]
    forged = texts[opened].replace(seal, ("0" if seal[0] != "0" else "1") + seal[1:])
    monkeypatch.setattr(p, "AT_ONCE", at_once)
    for change, told in ((texts[opened], []), (forged, [(opened + 1, "R235")])):
        log = Log.open(str(quick_folder() / "again.sqlite"), make=True, now=Time(made.time.at))
        write_rows(log, [*texts[:opened], change, *texts[opened + 1 :]], papers, kept)
        assert [(n, w[:4]) for n, w in log.check().faults] == told


def test_text_without_seal_and_signature_is_what_the_fields_say() -> None:
    made = job_shop()
    odd = ("80 °C ± 5 µm", '"seal":"', '"signature":{"a":"}"}', 'a } b , "what":{')
    for number, before, _, text in made.book.log.entries():
        entry = e.entry_of(number, before, text)
        if isinstance(entry.what, e.JobOpened):
            break
    else:
        raise AssertionError("no job")
    texts = [text]
    for pages in ({"seal": "a" * 64}, {"signature": "b" * 64}, {"what": "c" * 64}, {}):
        for words in odd:
            held = entry.held()
            held["late"] = words
            held["what"]["pages"] = pages
            held["what"]["signature"]["words"] = words
            held["what"]["signature"]["name"] = words
            texts.append(canonical(held))
    for text in texts:
        fast = e.entry_of(number, before, text)
        slow = e.Entry(**{n: getattr(fast, n) for n in e.Entry.model_fields})
        assert fast == slow
        assert (fast.bare(), fast.unsigned()) == (slow.bare(), slow.unsigned())
        assert '"seal":"' + fast.what.signature.seal not in fast.bare()  # type: ignore[union-attr]
        shown = opening_content(JOB, fast.what.model_dump(mode="json"))
        assert opening_sum(JOB, fast.unsigned()) == shown
