"""Making a new document by asking, on the terminal."""

from __future__ import annotations

from pathlib import Path

import click

from panelmend.document.interview import Answers, next_question, written
from panelmend.errors import InputError, OutputError


def ask_all(target: Path) -> None:
    """Ask every question of the interview and write the document.

    An answer that cannot be read is asked again with the reason; an empty one takes the example shown in
    brackets or leaves an optional field out.

    Raises:
        OutputError: the file exists already or cannot be written.
    """
    if target.exists():
        raise OutputError(f"{target} exists already: give another name")
    answers: Answers = {}
    while (question := next_question(answers)) is not None:
        click.echo()
        click.echo(question.words)
        if question.why:
            click.echo(f"  {question.why}")
        hint = f" ({' / '.join(question.choices)})" if question.choices else f" (such as {question.example})"
        while True:
            typed = click.prompt(f"  {question.path}{hint}", default="", show_default=False).strip()
            try:
                answers[question.path] = question.read(typed)
                break
            except InputError as error:
                click.echo(f"  {error}")
    try:
        target.write_text(written(answers), "utf8")
    except OSError as error:
        raise OutputError(f"{target} cannot be written: {error.strerror}") from None
    click.echo(f"\nWritten: {target}. Read it through, add what is missing, then: panelmend check {target}")
