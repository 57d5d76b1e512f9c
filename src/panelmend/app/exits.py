"""The exit codes of every verb, in one table: scripts and people read them from here."""

from __future__ import annotations

from enum import IntEnum
from typing import assert_never

from panelmend.plan.standing import Standing


class Exit(IntEnum):
    """How a verb ended. Codes of a plan's state that is not sound yet come only with ``--strict``; a STOP
    and a verdict come with and without it."""

    DONE = 0
    DRAFT = 1
    USAGE = 2
    REFUSED = 3
    NOT_WRITTEN = 4
    STOPPED = 5
    STOP_PLAN = 6
    DOES_NOT_CONFORM = 7
    CANNOT_BE_JUDGED = 8
    NOT_INSTALLED = 9
    FAULT = 70
    CONFORMS = 0  # another name of DONE: a verdict that a script may go on with


WORDS = {
    Exit.DONE: "done; for a verdict: the cure conforms",
    Exit.DRAFT: "done, but the plan is a draft (only with --strict)",
    Exit.USAGE: "the command line was not understood",
    Exit.REFUSED: "the document or another input was refused",
    Exit.NOT_WRITTEN: "the output could not be written; nothing was left half written",
    Exit.STOPPED: "stopped by the user",
    Exit.STOP_PLAN: "done, but the plan has a STOP: do not work by it",
    Exit.DOES_NOT_CONFORM: "judged: the cure does not conform",
    Exit.CANNOT_BE_JUDGED: "judged: the cure cannot be judged, evidence is missing",
    Exit.NOT_INSTALLED: "an optional part of the install is missing",
    Exit.FAULT: "a fault of panelmend itself",
}


def of_plan(standing: Standing, *, strict: bool) -> Exit:
    """How a verb on a plan ends: a STOP always tells, a draft only where it is asked for.

    Raises:
        AssertionError: a standing that nobody knows; it must not pass for done.
    """
    match standing:
        case Standing.STOP:
            return Exit.STOP_PLAN
        case Standing.DRAFT:
            return Exit.DRAFT if strict else Exit.DONE
        case Standing.READY:
            return Exit.DONE
        case _:
            assert_never(standing)


def exit_table() -> str:
    """The codes as lines for the command line's help."""
    return "\n".join(f"  {code.value:<3} {words}" for code, words in WORDS.items())
