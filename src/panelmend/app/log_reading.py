"""How a cure log is read: seen, confirmed by a person, kept beside the log."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from pathlib import Path

from panelmend.curelog import Proposal, ReadAs, propose
from panelmend.errors import InputError, OutputError


def read_as_path(log: Path) -> Path:
    """Where the confirmed reading of a log is kept: beside it."""
    return log.with_name(log.name + ".read.json")


def proposal_of(log: Path) -> Proposal:
    """How a log would be read, with the questions it leaves open."""
    return propose(log)


def confirm(log: Path, answers: Mapping[str, str], *, take_suggested: bool = False, by: str = "") -> ReadAs:
    """Keep how a log is read, once a person (``by``) has answered what the file leaves open.

    Raises:
        InputError: a question is open or an answer is none of its choices.
        OutputError: it could not be kept.
    """
    made = propose(log)
    given = {**(made.suggested() if take_suggested else {}), **answers}
    asked = [q.key for q in made.open(given) if q.key not in answers]
    read_as = dataclasses.replace(made.confirm(given), by=by, suggested=tuple(asked))
    target = read_as_path(log)
    try:
        target.write_text(read_as.to_json(), "utf8")
    except OSError as error:
        raise OutputError(f"{target} cannot be written: {error.strerror}") from None
    return read_as


def kept_read_as(log: Path) -> ReadAs:
    """The confirmed reading of a log.

    Raises:
        InputError: nobody has confirmed how it is read.
    """
    target = read_as_path(log)
    try:
        kept = ReadAs.from_json(target.read_text("utf8", "replace"))
        if not kept.head:
            raise InputError(
                "the kept reading does not say to which file it belongs",
                where=target.name,
                todo=f"look at the log and confirm again: panelmend log {log.name}",
            )
        return kept
    except FileNotFoundError:
        raise InputError(
            "nobody has confirmed how this log is read",
            where=log.name,
            expected=f"{target.name} beside it",
            todo=f"look at it and confirm: panelmend log {log.name}",
        ) from None
