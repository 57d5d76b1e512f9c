"""What a second person states of a vacuum gauge in the records: with their own secret, kept with the step."""

from __future__ import annotations

from pathlib import Path

from panelmend.app.log_reading import kept_read_as
from panelmend.document.people import same_person
from panelmend.errors import InputError
from panelmend.records.book import Book, Who, job_of
from panelmend.records.canonical import sha256
from panelmend.records.state import State


def check_stating(
    book: Book, gauge_seen: tuple[str, ...], seconds: tuple[Who, ...], keeps: str, ran: str, log: Path
) -> tuple[str, ...]:
    """See that statements of gauges as typed are by people of the records, who have the role they are said to
    have, give their own secret here (``seconds``) and are second: not who keeps the verdict (``keeps``, a
    staff number), nor who ran the cure (``ran``) or answered how the ``log`` is read, by name or number.

    Returns:
        Their names.

    Raises:
        InputError: one is by nobody of the records with that role, without the own secret, or by no second.
        Refused: a wrong secret, which is entered like any other.
    """
    proved = tuple(_second(book.state, text, seconds) for text in gauge_seen)
    answered = kept_read_as(log).by if proved else ""
    for who in dict.fromkeys(proved):
        first = {
            "keeps the verdict": who.person == keeps,
            "ran the cure": _is_person(book.state, who.person, ran),
            "answered how the log is read": _is_person(book.state, who.person, answered),
        }
        for did in (x for x, same in first.items() if same):
            raise InputError(
                f"who {did} is no second person for the gauge",
                read=f"{book.state.people[who.person].name} ({who.person})",
                expected="another inspector or engineer, with their own secret",
            )
        book.tried(who)
    return tuple(book.state.people[who.person].name for who in proved)


def _is_person(state: State, person: str, text: str) -> bool:
    """Whether a text names a person of the records, by name, staff number or both."""
    name = state.people[person].name
    return any(same_person(x, text) for x in (person, name, name + person, person + name))


def _second(state: State, text: str, seconds: tuple[Who, ...]) -> Who:
    *_, name, capacity = ["", "", *(p.strip() for p in text.split(";"))]
    here = {
        number
        for number, p in state.people.items()
        if not p.removed
        and same_person(p.name, name)
        and any(role.value == capacity.lower() for role in p.roles)
    }
    if not here:
        raise InputError(
            "who states how a gauge counts is not in the records with that role",
            read=f"{name}, {capacity}",
            expected="an inspector or engineer of the records, by the name written there",
        )
    for who in seconds:
        if who.person in here:
            return who
    raise InputError(
        "who states how a gauge counts has not given their own secret",
        read=f"{name}, {capacity}",
        expected="their staff number and secret, typed by themselves",
        todo="--second NUMBER at the command line; on the page, below the verdict",
    )


def keep_statements(
    book: Book, job: str, step: str, log: bytes, gauge_seen: tuple[str, ...], seconds: tuple[Who, ...]
) -> None:
    """Keep each statement with the step, once, entered and sealed by the person who makes it.

    Raises:
        Refused: any rule, such as a wrong secret.
    """
    digest = sha256(log)
    for text in gauge_seen:
        who = _second(book.state, text, seconds)
        data = f"Of the vacuum gauge of log {digest}: {text.strip()}\n".encode()
        if any(f.digest == sha256(data) for f, _ in job_of(book.state, job).now(step).files):
            continue
        name = f"gauge-statement-{digest[:12]}.txt"
        book.keep_file(who, job, step, name, data, f"stated of the vacuum gauge: {text.strip()}")
