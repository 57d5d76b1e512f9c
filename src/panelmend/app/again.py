"""A later revision of a repair, held against the plan it was begun by."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from panelmend.app.planning import plan
from panelmend.app.report_file import REVISION, as_json, check_report
from panelmend.errors import InputError
from panelmend.files import replace_whole
from panelmend.long_work import Stop, Tell, silent
from panelmend.plan.again import Again, again, done_steps
from panelmend.plan.make import with_more
from panelmend.plan.plan import Plan


def held_against(
    before: Path, after: Path, done: str, tell: Tell = silent, stop: Stop | None = None
) -> Again:
    """Plan both documents and hold the later one against the earlier one and what is done by it.

    Args:
        before: the document (or the one in its pack) that was worked by.
        after: the document with the damage as it is now known.
        done: numbers of the steps of the earlier card that were done, or a file of them.
        tell: told about progress.
        stop: set to stop.

    Raises:
        InputError: another number, or no later revision; a step the card does not have.
    """
    old, new = plan(before, tell, stop), plan(after, tell, stop)
    return revised(old, new, done_steps(old, _text(done)))


def revised(old: Plan, new: Plan, done: Iterable[object]) -> Again:
    """The same of two plans; the new plan carries what was found.

    Args:
        old: the plan that was worked by.
        new: the plan that takes its place.
        done: places of the steps that were done (:class:`panelmend.job.card.order.Place`).
    """
    was, now = old.case.document.repair, new.case.document.repair
    if now.base != was.base or now.revision <= was.revision:
        raise InputError(
            "this is not a later revision of that repair",
            where=f"{new.case.name}, repair",
            read=f"{was.number}, then {now.number}",
            expected=f"number {was.base!r} with revision = {was.revision + 1}",
        )
    made = again(old, new, done)  # type: ignore[arg-type]
    return replace(made, new=with_more(new, made.findings))


def revised_files(old: Plan, new: Plan, done: str) -> tuple[Plan, dict[str, bytes]]:
    """The new plan with what was found, and the files its pack begins with."""
    from panelmend.render.again import again_json, again_sheets

    made = revised(old, new, done_steps(old, _text(done)))
    plain = json.dumps(again_json(made), indent=1, ensure_ascii=False) + "\n"
    return made.new, {"revision.pdf": again_sheets(made).pdf(), "revision.json": plain.encode("utf8")}


def write_again(made: Again, target: Path) -> None:
    """Write the first page of the revision as PDF, or the whole as JSON where the name says so.

    Raises:
        InputError: the name ends in neither or is that of another file.
        OutputError: it could not be written; nothing was left half written.
    """
    from panelmend.render.again import again_json, again_sheets

    check_report(target, REVISION, "--to")
    if as_json(target):
        replace_whole(
            target, (json.dumps(again_json(made), indent=1, ensure_ascii=False) + "\n").encode("utf8")
        )
    else:
        replace_whole(target, again_sheets(made).pdf())


def _text(done: str) -> str:
    """What is done: typed, or the text of a file of that name."""
    if done and not set(done) <= set("0123456789-, "):
        path = Path(done)
        try:
            return path.read_text("utf8")
        except (OSError, UnicodeDecodeError):
            raise InputError(
                "these are neither step numbers nor a file of them",
                read=done[:80],
                expected='numbers such as "1-42, 45", or a file with them',
            ) from None
    return done
