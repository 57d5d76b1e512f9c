"""Verbs that are given a job in its pack say first what no longer holds of it today."""

from __future__ import annotations

from collections.abc import Iterator
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from panelmend.app.packed import in_pack
from panelmend.long_work import Tell

if TYPE_CHECKING:
    from panelmend.document import Loaded
    from panelmend.job.case import Case


ANNOUNCED = (
    "strength", "why", "compare", "heat", "sweep", "label", "judge", "watch", "again", "request",
)  # fmt: skip


def moved_on(document: Path, of: Loaded | Case, say: Tell = click.echo) -> bool:
    """Say what shelves hold otherwise than a pack that is opened or stands beside; whether it stops."""
    if of.shelved is None:
        return False
    from panelmend.app.pack_beside import unlike_its_pack
    from panelmend.app.pack_today import moved_lines

    repair = of.document.repair
    stops = moved_lines(document, of.shelved, repair.work_date)
    beside = unlike_its_pack(document, of.shelved)
    for line in (*stops, *beside.lines):
        say(line)
    return bool(stops) or beside.stops


def announce_all(main: click.Group) -> None:
    """Let every other verb that plans by a pack say so."""
    for name in ANNOUNCED:
        announced(main.commands[name])


def announced(verb: click.Command) -> None:
    """Let a verb print, on the error stream, what of a pack that it is given no longer holds."""
    inner = verb.callback
    assert inner is not None, "a verb that does nothing"

    @wraps(inner)
    def told(*args: Any, **given: Any) -> Any:
        for document in _documents(given.values()):
            for line in _moved_on_shelves(document):
                click.echo(line, err=True)
        return inner(*args, **given)

    verb.callback = told


def _documents(values: Any) -> Iterator[Path]:
    for value in values:
        if isinstance(value, Path):
            if in_pack(value):
                yield value
        elif isinstance(value, tuple):
            yield from _documents(value)


def _moved_on_shelves(document: Path) -> tuple[str, ...]:
    from panelmend.app.loading import load_all
    from panelmend.app.shelf_hold import moved_since
    from panelmend.errors import PanelmendError

    try:
        read = load_all(document)[0]
    except PanelmendError:
        return ()  # the verb itself refuses it
    from datetime import date

    return moved_since(document, read.shelved, read.document.repair.work_date, date.today())
