"""Asking for everything a judgement needs, in one sitting."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import click

from panelmend.app import log_answers, log_reading
from panelmend.app.log_watch import dwell_names, watched_of
from panelmend.app.service import load
from panelmend.document import Document
from panelmend.errors import InputError


def ask_cure(document: Path, log: Path, request: log_answers.Request) -> log_answers.Request:
    """Ask for the operation, how the log is read, the leak test, the times of the job and who answers; what
    was given as a flag is not asked again. An answer that cannot be read is asked again with the reason.

    Raises:
        InputError, MissingError: document or log cannot be read.
    """
    loaded = load(document).document
    by = request.by or click.prompt("Who answers these questions", default="", show_default=False).strip()
    names = [c.name for c in loaded.data.cure]
    operation = request.operation
    if operation not in names and (operation or len(names) != 1):
        for i, name in enumerate(names, 1):
            click.echo(f"  {i}  {name}")
        number = click.prompt("Which cure operation", type=click.IntRange(1, len(names)))
        operation = names[number - 1]
    _ask_reading(log, by)
    how = log_reading.kept_read_as(log)
    whose = "the log's clock"
    clock = None
    if how.time.zone != "local":  # a shop that reads another clock can say so
        clock = timedelta(0)
        told = (
            "UTC"
            if how.time.zone == "Z"
            else "as its stamps show"
            if how.time.zone == "stamped"
            else how.time.zone
        )
        whose = f"the log's clock ({told}; or with your own offset, such as 2026-11-25 08:10+02:00)"
    bag = loaded.data.bag
    leak = request.leak
    air = log_answers.air_pressure(loaded)
    bagged = log_answers.bagged_in(loaded, operation)
    if bagged and not leak and bag is not None and bag.leak_drop is not None:
        leak = _until_read(
            'Leak test: start; end; time; gauge counts "below ambient" or "absolute"; when, by '
            f"{whose} (empty: none recorded)",
            lambda x: log_answers.leak_of(x, air, clock),
        )
    on = request.vacuum_on or _until_read(
        f"{'Vacuum on' if bagged else 'Covered and held'}, by {whose} (2026-11-25 08:10)",
        lambda x: log_answers.moment_of(x, "vacuum-on", clock),
    )
    opened = request.bag_opened or _until_read(
        f"{'Bag opened' if bagged else 'What held it taken off'}, by {whose}",
        lambda x: log_answers.moment_of(x, "bag opening", clock),
    )
    began = request.began
    if not began and how.time.form in log_answers.UNDATED:
        began = _until_read(
            "The log carries no date: when did it begin",
            lambda x: log_answers.moment_of(x, "begin of the log"),
        )
    watch = request.watch or _ask_watch(loaded, operation)
    return dataclasses.replace(
        request,
        operation=operation,
        leak=leak,
        vacuum_on=on,
        bag_opened=opened,
        began=began,
        by=by,
        watch=watch,
    )


def _ask_watch(loaded: Document, operation: str) -> tuple[str, ...]:
    """Each dwell by a watch on the wall; what is left empty nobody compared."""
    cure = log_answers.cure_named(loaded, operation)
    names = dwell_names(loaded.data, cure)
    typed = []
    for name in names:
        said = _until_read(
            f"By a clock on the wall, not by the logger, {name}: slowest in the band; ended (10:02; 12:06; "
            "empty: nobody compared)",
            lambda x, name=name: watched_of(f"{name}; {x}", names) if x else None,  # type: ignore[misc]
        )
        typed += [f"{name}; {said}"] if said else []
    return tuple(typed)


def _ask_reading(log: Path, by: str) -> None:
    """Walk through what the file leaves open and keep the answers, unless a fitting reading is kept
    already."""
    made = log_reading.proposal_of(log)
    try:
        if log_reading.kept_read_as(log).head == made.read_as.head:
            return
    except InputError:
        pass
    click.echo(f"{made.file}: {made.rows} samples. Read as:")
    for c in made.read_as.columns:
        click.echo(f"  {c.name:<24} {c.role.value:<14} {c.unit:<6} {c.sense}")
    answers: dict[str, str] = {}
    for q in made.questions:
        if q not in made.open(answers):
            continue
        click.echo(f"\n{q.words}")
        for answer, meaning in q.choices:
            click.echo(f"  {answer:<24} {meaning}")
        if q.why:
            click.echo(f"  {q.why}")
        choice = click.Choice([a for a, _ in q.choices]) if q.choices else str
        answers[q.key] = click.prompt(f"  {q.key}", default=q.suggested or None, type=choice)
    log_reading.confirm(log, answers, by=by)


def _until_read(words: str, check: Callable[[str], object]) -> str:
    while True:
        typed = str(click.prompt(words, default="", show_default=False)).strip()
        try:
            check(typed)
            return typed
        except InputError as error:
            click.echo(f"  {error}")
