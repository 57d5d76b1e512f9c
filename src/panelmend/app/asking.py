"""Making a new document by asking, on the terminal."""

from __future__ import annotations

import json
from pathlib import Path

import click

from panelmend.document.interview import Question, accept, next_question
from panelmend.document.interview_text import write
from panelmend.errors import DocumentError, InputError, OutputError


def ask_all(target: Path) -> bool:
    """Ask every question of the interview and write the document.

    An answer that cannot be read is asked again with the reason. When the asking is stopped, or the answers
    do not fit together, they are kept beside the target and the next call goes on from there.

    Returns:
        Whether the document came out sound.

    Raises:
        OutputError: the file exists already or cannot be written.
    """
    if target.exists():
        raise OutputError(f"{target} exists already: give another name")
    kept = target.with_suffix(".answers.json")
    answers = _kept_answers(kept)
    if answers:
        click.echo(f"Going on from {kept} ({len(answers)} answers); delete it to begin anew.")
    try:
        while (question := next_question(answers)) is not None:
            answers[question.path] = _ask(question)
    except (click.Abort, KeyboardInterrupt):
        if answers:
            _put(kept, json.dumps(answers, indent=1, ensure_ascii=False) + "\n")
            click.echo(f"\nStopped. What you answered is kept in {kept}.", err=True)
        raise
    try:
        text = write(answers)
    except DocumentError as error:
        _put(kept, json.dumps(answers, indent=1, ensure_ascii=False) + "\n")
        click.echo(f"\nThe answers do not fit together; correct them in {kept} and call again:", err=True)
        for fault in error.faults:
            click.echo(f"  {fault.sentence()}", err=True)
        return False
    _put(target, text)
    kept.unlink(missing_ok=True)
    click.echo(f"\nWritten: {target}. Read its remarks, add what is missing, then: panelmend check {target}")
    return True


def _ask(question: Question) -> str:
    click.echo(f"\n{question.words}")
    if question.why:
        click.echo(f"  {question.why}")
    hints = [" / ".join(question.choices)] if question.choices else []
    if question.example and not question.choices:
        hints.append(f"such as {question.example}")
    if not question.needed:
        hints.append("leave empty for none")
    label = f"  {question.path}" + (f" ({'; '.join(hints)})" if hints else "")
    while True:
        typed = click.prompt(label, default="", show_default=False)
        try:
            return accept(question, typed.strip())
        except InputError as error:
            click.echo(f"  {error}")


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


def _put(target: Path, text: str) -> None:
    try:
        target.write_text(text, "utf8")
    except OSError as error:
        raise OutputError(f"{target} cannot be written: {error.strerror}") from None
