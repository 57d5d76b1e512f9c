"""Making a new document or job by asking, on the terminal."""

from __future__ import annotations

import json
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

import click

from panelmend.app.dialogue import Dialogue, Script
from panelmend.app.loading import read_all
from panelmend.document import Loaded
from panelmend.document.interview import Answers, Question, accept, questions
from panelmend.document.interview_text import draft
from panelmend.errors import DocumentError, InputError, OutputError, PanelmendError
from panelmend.files import remove_whole, replace_whole
from panelmend.shelves.folder import FOLDER, Folder, find_shelves
from panelmend.shelves.interview import JobInterview
from panelmend.shelves.one_line import beside
from panelmend.shelves.stock import Stock

FORM = ".asked"  # among the kept answers: which questions they answer
ON_SHELVES, ALONE = "on shelves", "alone"
HOW = (
    "At any question: < takes the last answer back, = shows all answers, =4 asks the fourth again, ? lists, "
    "q stops and keeps all."
)


class _Alone:
    """The questions of a document in one file."""

    def questions(self, answers: Answers) -> list[Question]:
        return list(questions(answers))

    def accept(self, question: Question, text: str, answers: Answers) -> str:
        del answers
        return accept(question, text)

    def draft(self, answers: Answers) -> str:
        return draft(answers)


def ask_all(target: Path, *, alone: bool = False, read: Callable[[str], str] | None = None) -> bool:
    """Ask what is not known yet and write the document.

    With shelves only what they do not hold is asked. Every answer is kept beside the target as soon as it is
    given, and the next call goes on from there, whatever ended this one.

    Args:
        target: the document to write.
        alone: ask for everything, though there are shelves.
        read: asks with a label; the terminal by default.

    Returns:
        Whether the document came out sound and was written.

    Raises:
        OutputError: the file exists already or cannot be written, or another asking for it runs.
    """
    if target.exists():
        raise OutputError(f"{target} exists already: give another name")
    with _asked_once(target):
        return _ask(target, alone, read)


def _ask(target: Path, alone: bool, read: Callable[[str], str] | None) -> bool:
    kept = target.with_suffix(".answers.json")
    answers = _kept_answers(kept)
    root = find_shelves(target)
    form = answers.pop(FORM, ALONE if alone or root is None or _is_old(answers) else ON_SHELVES)
    if form == ON_SHELVES and root is None:
        raise InputError("these answers need their shelves, and none were found", where=str(kept))
    if alone and form == ON_SHELVES:
        raise InputError(
            "the answers kept for this document were given on shelves",
            where=str(kept),
            expected="a document that is asked for with --alone from its first answer on",
            todo="call without --alone, or delete the kept answers",
        )
    script = _script(form, root, date.today())
    if answers:
        click.echo(f"Going on from {kept} ({len(answers)} answers); delete it to begin anew.")
    click.echo(HOW)

    def keep(given: dict[str, str]) -> None:
        rows = {FORM: form, **given}
        replace_whole(kept, (json.dumps(rows, indent=1, ensure_ascii=False) + "\n").encode("utf8"))

    def prompt(label: str) -> str:
        return str(click.prompt(label, default="", show_default=False))

    dialogue = Dialogue(script, read or prompt, click.echo, keep, answers, beside)
    try:
        text = _reviewed(dialogue, target, read or prompt)
    except (click.Abort, KeyboardInterrupt):
        there = f"What you answered is kept in {kept}." if dialogue.answers else "Nothing was answered."
        click.echo(f"\nStopped. {target} is not written. {there}", err=True)
        raise
    if text is None:
        click.echo(f"Not written. What you answered is kept in {kept}: call again to go on.")
        return False
    _create(target, text.encode("utf8"))
    remove_whole(kept)
    click.echo(f"\nWritten: {target}, after {dialogue.asked} questions.")
    if form == ALONE:
        click.echo("Read its remarks and add what is missing.")
        short = _offer_shelves(target, read or prompt)
        if short is not None:
            click.echo(
                f'Next: name your bay in {short} (bay = "..." under [use]); the plan stops until the data'
            )
            click.echo(f"has its cures (panelmend shelf table); then panelmend plan {short}")
            return True
    click.echo(f"Next: panelmend plan {target}")
    return True


@contextmanager
def _asked_once(target: Path) -> Iterator[None]:
    """Nobody else asks for this document meanwhile, and there is a folder that can be written to; said before
    the first question. The hold goes when the process ends, however it ends."""
    lock = target.with_name(f".{target.name}.asking")
    try:
        handle = os.open(lock, os.O_RDWR | os.O_CREAT, 0o600)
    except FileNotFoundError:
        raise OutputError(f"the folder {target.parent} is not there: make it first") from None
    except OSError as error:
        raise OutputError(f"nothing can be written in {target.parent}: {error.strerror}") from error
    import portalocker

    try:
        try:
            portalocker.lock(handle, portalocker.LOCK_EX | portalocker.LOCK_NB)
        except portalocker.LockException:
            raise OutputError(
                f"{target} is being asked for in another terminal: go on there, or give another name"
            ) from None
        try:
            yield
        finally:
            lock.unlink(missing_ok=True)
    finally:
        os.close(handle)


def _script(form: str, root: Path | None, day: date) -> Script:
    if form == ALONE or root is None:
        if root is None:
            click.echo("No shelves were found: everything is asked, and can be put on shelves at the end.")
        return _Alone()
    stock = Stock(Folder(root), day)
    click.echo(f"Shelves: {root}")
    made = JobInterview(stock)
    for shelf in ("panels", "data", "bays"):
        stock.choices(shelf)
    for line in stock.faulty:
        click.echo(f"  not offered, it has faults: {line}")
    return made


def _is_old(answers: Answers) -> bool:
    """Answers kept before shelves were asked by."""
    return bool(answers) and not any(k.startswith("use.") for k in answers)


def _reviewed(dialogue: Dialogue, target: Path, read: Callable[[str], str]) -> str | None:
    """Ask, show, let be corrected, until it is to be written; None where it is not."""
    while True:
        answers = dialogue.run()
        text = dialogue.script.draft(answers)
        click.echo("\nYour answers:")
        dialogue.show()
        try:
            loaded = read_all(text.encode("utf8"), target)
        except InputError as error:
            loaded = ()
            click.echo("\nThe answers do not fit together:")
            for fault in error.faults if isinstance(error, DocumentError) else [error]:
                click.echo(f"  {fault.sentence()}")
        if loaded:
            _show(loaded, target)
        while True:
            hint = "Enter writes it; " if loaded else ""
            typed = read(f"\n{hint}=4 corrects the fourth answer; q stops, all is kept").strip()
            if typed.casefold() in ("q", "quit", "stop"):
                return None
            if not typed and loaded:
                return text
            if typed.isdigit():
                typed = f"={typed}"
            if dialogue.command(typed):
                break
            click.echo("  Enter, =4 or q.")


def _show(loaded: tuple[Loaded, ...], target: Path) -> None:
    """The drawing, in the terminal and beside the document, and what the shelves have to say."""
    from panelmend.job.case import case_of
    from panelmend.render.sketch import sketch_lines, sketch_svg

    try:
        cases = [case_of(each) for each in loaded]
        lines, svg = sketch_lines(cases), sketch_svg(cases)
    except PanelmendError as error:
        click.echo(f"\nNo drawing: {error}")
        return
    click.echo("")
    for line in lines:
        click.echo(f"  {line}")
    picture = target.with_suffix(".panel.svg")
    replace_whole(picture, svg)
    click.echo(f"  The same as a drawing: {picture}")
    found = [f for each in loaded if each.shelved is not None for f in each.shelved.findings]
    for line in dict.fromkeys(f"  {f.code}: {f.words}" for f in found if f.code not in ("X105", "X114")):
        click.echo(line)


def _offer_shelves(target: Path, read: Callable[[str], str]) -> Path | None:
    """Put panel, data and the rest on shelves, so that the next job is short; the job that names them."""
    from panelmend.app.shelf_move import move

    root = find_shelves(target) or target.parent / FOLDER
    click.echo(f"\nPut panel and data on shelves, so that the next job asks for neither? ({root})")
    by = read("  who typed them, to have them checked by another (Enter: not now)").strip()
    if not by:
        return None
    try:
        moved = move(target, root, target.with_name(f"{target.stem}-short.toml"), by, date.today(), {})
    except PanelmendError as error:
        click.echo(f"  Not moved: {error}")
        click.echo(f"  {target} stands as it was written; panelmend shelve {target} tries again.")
        return None
    for file, fresh in moved.entries:
        click.echo(f"  {file}: {'written, NOT CHECKED yet' if fresh else 'stood there and says the same'}")
    click.echo(f"  The job that names them: {moved.job}")
    click.echo("  Have a second person check each entry: panelmend shelf check")
    return moved.job


def _kept_answers(path: Path) -> dict[str, str]:
    """Answers of an earlier asking; a file that holds none is left alone and nothing is taken from it."""
    try:
        kept = json.loads(path.read_text("utf8"))
    except FileNotFoundError:
        return {}
    except (OSError, ValueError) as error:
        raise InputError("the kept answers cannot be read", where=str(path), read=str(error)[:80]) from None
    if not isinstance(kept, dict) or not all(isinstance(v, str) for v in kept.values()):
        raise InputError("not a file of kept answers", where=str(path), expected="path and answer as text")
    return kept


def _create(target: Path, data: bytes) -> None:
    """Write a new file whole or not at all; one that came there meanwhile is left alone."""
    part = target.with_name(f".{target.name}.{os.getpid()}.part")
    replace_whole(part, data)
    try:
        os.link(part, target)
    except FileExistsError:
        raise OutputError(f"{target} exists already: give another name") from None
    except OSError:  # a file system without links
        if target.exists():
            raise OutputError(f"{target} exists already: give another name") from None
        os.replace(part, target)
    finally:
        part.unlink(missing_ok=True)
