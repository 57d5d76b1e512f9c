"""What every verb of the records shares: where they are, who acts, a fresh secret each time."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from panelmend.app.refusing import refusals

if TYPE_CHECKING:
    from panelmend.records.book import Book, When, Who
    from panelmend.records.state import Job

PATH = click.Path(path_type=Path)
ROLES = ("technician", "planner", "engineer", "inspector", "storekeeper", "keeper of accounts")
SCOPES = ("planning", "bonding", "inspection", "engineering", "release", "stores")
AT = click.option("--at", default="", metavar="TIME", help='When it really was: "2026-11-26 14:05".')
LATE = click.option("--late", default="", metavar="WHY", help="Why it is entered late.")
BY = click.option("--by", required=True, metavar="PERSON", help="Staff number of who acts.")


class Desk:
    """Where the records are, and where a secret is read from; opened when a verb needs it."""

    def __init__(self, where: str, secret_file: Path | None) -> None:
        self.where, self.secret_file = where, secret_file
        self._book: Book | None = None

    @property
    def book(self) -> Book:
        """The records."""
        from panelmend.records.book import Book

        if self._book is None:
            self._book = Book.open(self.where)
        return self._book

    def who(self, person: str) -> Who:
        """A person with the secret they type now."""
        from panelmend.records.book import Who

        return Who(person, self.secret(f"Secret of {person}"))

    def when(self, at: str, late: str) -> When:
        """When it really was, as typed with --at and --late."""
        from panelmend.app.records import when

        return when(self.book.state, at, late)

    def step(self, job: str, step: str) -> tuple[Job, str]:
        """A job by its number, and the key of its step by its number on the card. Raises Refused."""
        from panelmend.app.records import step_named
        from panelmend.records.book import job_of

        held = job_of(self.book.state, job)
        return held, step_named(held, step)

    def secret(self, prompt: str, *, twice: bool = False) -> str:
        """A secret: typed unseen, or the first line of the file given with --secret-file."""
        from panelmend.errors import InputError

        if self.secret_file is None:
            return str(click.prompt(prompt, hide_input=True, confirmation_prompt=twice))
        try:
            return self.secret_file.read_text("utf8").split("\n")[0]
        except (OSError, UnicodeDecodeError) as error:
            raise InputError("the file of the secret cannot be read", where=str(self.secret_file)) from error

    def done(self, words: str = "Entered.") -> None:
        """Say that it is on the disk, and the head to write on paper."""
        from panelmend.app.records import head_of

        click.echo(f"{words} Head: {head_of(self.book)}")


def verb(
    group: click.Group, name: str, *options: Callable[..., Any]
) -> Callable[[Callable[..., None]], click.Command]:
    """A verb of the records: refusals become words and exit codes."""

    def made(act: Callable[..., None]) -> click.Command:
        @click.pass_obj
        def run(desk: Desk, /, **given: Any) -> None:
            from panelmend.records.store.refused import noted

            how = " ".join(click.get_current_context().command_path.split()[1:])
            with refusals(), noted(desk.where, how, str(given.get("by") or "")):
                act(desk, **given)

        run.__doc__ = act.__doc__
        wrapped: Callable[..., Any] = run
        for option in reversed(options):
            wrapped = option(wrapped)
        return group.command(name, help=act.__doc__)(wrapped)

    return made
