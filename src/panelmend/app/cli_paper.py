"""The verbs of a job on signed paper: typed from its scan, compared by a second person."""

from __future__ import annotations

from pathlib import Path

import click

from panelmend.app import cli_desk as c

verbs = click.Group()
"""They stand under ``job``."""


@c.verb(
    verbs,
    "transcribe",
    click.argument("number"),
    click.argument("step"),
    click.argument("scan", type=c.PATH),
    click.argument("readings", nargs=-1, metavar="BLANK=ANSWER..."),
    click.option("--did", required=True, metavar="PERSON", help="Who signed on the paper that they did it."),
    click.option("--did-at", required=True, metavar="TIME", help="When, as it stands there."),
    click.option("--accepted", metavar="PERSON", help="Who accepted the hold on the paper."),
    click.option("--accepted-at", default="", metavar="TIME", help="When, as it stands there."),
    click.option("--why", required=True, help="Why the work was kept on paper."),
    c.BY,
)
def transcribe(
    desk: c.Desk,
    number: str,
    step: str,
    scan: Path,
    readings: tuple[str, ...],
    did: str,
    did_at: str,
    accepted: str | None,
    accepted_at: str,
    why: str,
    by: str,
) -> None:
    """Type a STEP from signed paper, with its SCAN; a second person checks it (`paper-checked`)."""
    from panelmend.app import records as doing

    held, key = desk.step(number, step)
    state = desk.book.state
    taken = desk.book.transcribe(
        desk.who(by),
        number,
        key,
        doing.file_bytes(scan),
        doing.readings_typed(state, held, key, readings, "", ""),
        did=did,
        did_at=doing.moment_typed(state, did_at),
        accepted=accepted,
        accepted_at=doing.moment_typed(state, accepted_at) if accepted_at else None,
        why=why,
    )
    desk.done(f"Transcribed in entry {taken.entry.number}: a second person checks it against the scan.")


@c.verb(
    verbs,
    "paper-checked",
    click.argument("number"),
    click.argument("step"),
    click.argument("entry", type=int),
    click.argument("target", type=c.PATH),
    c.BY,
)
def paper_checked(desk: c.Desk, number: str, step: str, entry: int, target: Path, by: str) -> None:
    """Write the scan of the typed paper in ENTRY to TARGET, show what was typed, sign that they agree."""
    from panelmend.app.records_words import step_words
    from panelmend.files import replace_whole
    from panelmend.records.doing.standing import statements
    from panelmend.records.events import Meaning
    from panelmend.records.refusals import NO_SUCH

    held, key = desk.step(number, step)
    told = held.now(key).on_paper
    if told is None:
        raise NO_SUCH(f"typed paper of step {step}")
    replace_whole(target, desk.book.log.paper(told[0].scan))
    shown = desk.book.show(number, key)
    for line in step_words(desk.book.state, held, key, desk.book.log.paper):
        click.echo(line)
    click.echo(f"Scan: {target}. checked: {statements()[Meaning.CHECKED]}")
    desk.book.check_paper(desk.who(by), number, key, entry, shown)
    desk.done("Signed.")
