"""What an engineer answers for in a job or a document, shown to a second person and signed off one by one."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

from panelmend.app.loading import damage_named, load_all, read_all
from panelmend.app.packed import refuse_in_pack
from panelmend.document.answer_check import answer_digest
from panelmend.document.model import Document
from panelmend.document.reader import dotted
from panelmend.document.shelved import Statement
from panelmend.document.written import written
from panelmend.errors import InputError
from panelmend.files import read_bytes, replace_whole
from panelmend.job.limits.answers import is_signed
from panelmend.long_work import Tell
from panelmend.shelves.referenced import refused

YES, NO, QUIT = ("y", "yes"), ("n", "no"), ("q", "quit")


def is_job(path: Path) -> bool:
    """Whether a file is there that is a job and no shelf entry."""
    file, _ = damage_named(path)
    if not file.is_file():
        return False
    try:
        return "panelmend" in tomllib.loads(read_bytes(file).decode("utf-8-sig"))
    except (ValueError, RecursionError, InputError):
        return False


def sign_statements(
    job: Path, by: str, against: str, on: date, read: Callable[[str], str], say: Tell
) -> tuple[str, ...]:
    """Go through what an engineer answers for in a job and nobody has held against the engineer's paper.

    Each is recorded in the job as soon as it is signed, with the digest of what was shown.

    Args:
        job: the job.
        by: who signs; "" only looks.
        against: the paper.
        on: the day.
        read: asks with a label.
        say: prints a line.

    Returns:
        What is still open, and why.

    Raises:
        InputError: who would sign typed it, answers for it or does the work; the job stands in a pack.
        DocumentError: with every fault of the job.
    """
    file, _ = damage_named(job)
    refuse_in_pack(file, "a check")
    for statement in _open(file):
        say("")
        for line in _lines(statement):
            say(line)
        if not by:
            continue
        why = refused(statement, by, load_all(file)[0].document.people.technician)
        if why:
            raise InputError(
                "this person cannot check it as the second person",
                where=f"{file.name}, {dotted(statement.at)}",
                read=why,
                expected="somebody who did not type it, is not the engineer and does not do the work",
            )
        while True:
            typed = read("  it agrees with the engineer's paper? y signs it, n leaves it open, q stops")
            typed = typed.strip().casefold()
            if typed in (*YES, *NO, *QUIT):
                break
            say("  y, n or q")
        if typed in QUIT:
            break
        if typed in YES:
            _sign(file, statement, by, against, on)
    return tuple(f"{dotted(s.at)}: {s.open}" for s in _open(file))


def _open(file: Path) -> tuple[Statement, ...]:
    read = load_all(file)
    found = [s for r in read if r.shelved is not None for s in r.shelved.statements if s.open]
    found += [s for r in read for s in _answers(r.document)]
    return tuple({s.at: s for s in found}.values())  # damages of one job have them in common


def _answers(document: Document) -> Iterator[Statement]:
    """What the engineering authority answered and nobody signed as it is now."""
    for i, answer in enumerate(document.answer):
        if not answer.stands or is_signed(document, answer):
            continue
        lines = (
            ("value", answer.of),
            ("answered", json.dumps(answer.value, ensure_ascii=False, default=str)),
            ("in place of", answer.was),
            ("conditions", answer.conditions or "none"),
            ("reference", f"{answer.reference}, {answer.by}, {answer.on}"),
        )
        digest = answer_digest(document, answer)
        yield Statement(
            ("answer", i), lines, answer.typed_by, answer.by, digest, "nobody signed what it says now"
        )


def _lines(statement: Statement) -> list[str]:
    wide = max(len(name) for name, _ in statement.lines)
    head = f"{dotted(statement.at)}, typed by {statement.typed_by or 'nobody who is named'}"
    return [head, *(f"  {name:<{wide}}  {text}" for name, text in statement.lines)]


def _sign(file: Path, statement: Statement, by: str, against: str, on: date) -> None:
    was = read_bytes(file)
    said = {"by": by, "on": on, "against": against, "digest": statement.digest}
    text = written(was.decode("utf-8-sig"), {(*statement.at, f"checked_{k}"): v for k, v in said.items()})
    read_all(text.encode("utf8"), file)  # refused before anything is written
    if read_bytes(file) != was:
        raise InputError(
            "somebody changed the job in the meantime; nothing was written",
            where=file.name,
            todo="look again",
        )
    replace_whole(file, text.encode("utf8"))
