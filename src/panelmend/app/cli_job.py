"""The verbs of jobs: begin, look, write, sign, deviate, release."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from panelmend.app import cli_desk as c


@click.group()
def job() -> None:
    """Jobs: begin, look, write down, sign, deviate, release."""


@c.verb(
    job,
    "begin",
    click.argument("document", type=c.PATH),
    click.option("--follows", help="A stopped job whose work this one goes on with."),
    c.BY,
)
def begin(desk: c.Desk, document: Path, follows: str | None, by: str) -> None:
    """Plan a repair DOCUMENT and start its job; the planner signs that people may work by it."""
    from panelmend.app.records import open_job

    number = open_job(desk.book, desk.who(by), document, follows)
    desk.done(f"Job {number} is begun.")


@c.verb(job, "revise", click.argument("document", type=c.PATH), click.argument("why"), c.BY)
def revise(desk: c.Desk, document: Path, why: str, by: str) -> None:
    """Plan a repair DOCUMENT again and continue its job by the new plan; WHY it is revised.

    What was done stands where the new card asks and prints the same; all else is done again, and what was
    done stays and is counted. The planner signs that work may go on by it."""
    from panelmend.app.records import revise_job

    for line in revise_job(desk.book, desk.who(by), document, why):
        click.echo(line)
    desk.done("Signed.")


@c.verb(
    job,
    "print",
    click.argument("number"),
    click.argument("target", type=c.PATH),
    click.option("--release", is_flag=True, help="The release entry instead of the job card."),
    click.option("--key", type=c.PATH, help="Sign the PDF with the certificate in a PKCS#12 file."),
)
def print_(desk: c.Desk, number: str, target: Path, release: bool, key: Path | None) -> None:
    """Write the job card in force to TARGET as it was signed, or the release entry; the records' head stands
    on the pages."""
    from panelmend.app.pdf_seal import seal_pdf
    from panelmend.app.records import head_of, kept_card
    from panelmend.app.records_shop import release_pdf
    from panelmend.files import replace_whole

    book = desk.book
    pages = release_pdf(book.state, number, head_of(book)) if release else kept_card(book, number)
    if key is not None:
        what = f"{'release entry' if release else 'job card'} of {number}, records {head_of(book)}"
        pages = seal_pdf(pages, key, desk.secret(f"Passphrase of {key.name}"), what)
    replace_whole(target, pages)
    click.echo(f"{'Release entry' if release else 'Card'}: {target}")


@c.verb(job, "show", click.argument("number"), click.argument("step", required=False))
def show(desk: c.Desk, number: str, step: str | None) -> None:
    """Where every step of a job stands; with a STEP (its number on the card) its blanks and what is
    written."""
    from panelmend.app.records import step_named
    from panelmend.app.records_words import job_words, step_words
    from panelmend.records.book import job_of

    state = desk.book.state
    if step is None:
        lines = job_words(state, number)
    else:
        held = job_of(state, number)
        lines = step_words(state, held, step_named(held, step), desk.book.log.paper)
    for line in lines:
        click.echo(line)


@c.verb(
    job,
    "write",
    click.argument("number"),
    click.argument("step"),
    click.argument("readings", nargs=-1, required=True, metavar="BLANK=ANSWER..."),
    click.option("--instrument", default="", help="The instrument the numbers were read on."),
    click.option("--why", default="", help="Why a blank is written again."),
    c.AT,
    c.LATE,
    c.BY,
)
def write(
    desk: c.Desk,
    number: str,
    step: str,
    readings: tuple[str, ...],
    instrument: str,
    why: str,
    at: str,
    late: str,
    by: str,
) -> None:
    """Fill in blanks of a STEP: "1=yes" "2=24.6" "3=2026-11-26 14:05" "4=1.2; 1.5 mm, 51-30-04; yes"."""
    from panelmend.app.records import readings_typed
    from panelmend.app.records_words import step_words

    held, key = desk.step(number, step)
    made = readings_typed(desk.book.state, held, key, readings, instrument, why)
    desk.book.read(desk.who(by), number, key, made, desk.when(at, late))
    state = desk.book.state
    for line in step_words(state, state.jobs[number], key):
        click.echo(line)
    desk.done()


@c.verb(
    job,
    "sign",
    click.argument("number"),
    click.argument("step"),
    click.argument("meaning", type=click.Choice(["did", "checked", "accepted", "rejected"])),
    click.option("--why", default="", help="What was rejected and why, or what was seen."),
    c.AT,
    c.LATE,
    c.BY,
)
def sign(desk: c.Desk, number: str, step: str, meaning: str, why: str, at: str, late: str, by: str) -> None:
    """Sign a STEP; first it shows exactly what you sign and what that means."""
    from panelmend.app.records_words import step_words
    from panelmend.app.shelf_hold import hold_job
    from panelmend.records.doing.standing import statements
    from panelmend.records.events import Meaning

    held, key = desk.step(number, step)
    shown = desk.book.show(number, key)
    for line in step_words(desk.book.state, held, key):
        click.echo(line)
    click.echo(f"{meaning}: {statements()[Meaning(meaning)]}")
    click.echo(f"Job {number}, document {held.opened.document[:12]}, plan {held.opened.plan[:12]}.")
    if meaning != "rejected":
        hold_job(desk.book, held, Path.cwd() / "job.toml")
    desk.book.sign(desk.who(by), number, key, Meaning(meaning), shown, why, desk.when(at, late))
    desk.done("Signed.")


@c.verb(
    job,
    "file",
    click.argument("number"),
    click.argument("step"),
    click.argument("file", type=c.PATH),
    click.argument("what"),
    c.AT,
    c.LATE,
    c.BY,
)
def file(desk: c.Desk, number: str, step: str, file: Path, what: str, at: str, late: str, by: str) -> None:
    """Keep a photograph or another FILE with a STEP."""
    from panelmend.app.records import keep_file

    _, key = desk.step(number, step)
    keep_file(desk.book, desk.who(by), number, key, file, what, desk.when(at, late))
    desk.done()


@c.verb(
    job,
    "verdict",
    click.argument("number"),
    click.argument("step"),
    click.argument("document", type=c.PATH),
    click.argument("log", type=c.PATH),
    click.option("--leak", default="", help="As for judge."),
    click.option("--vacuum-on", default="", help="As for judge."),
    click.option("--bag-opened", default="", help="As for judge."),
    click.option("--ran", default="", help="As for judge."),
    click.option("--dwell-watch", "watch", multiple=True, metavar="TIMES", help="As for judge."),
    click.option("--set-to", default="", help="As for judge."),
    click.option(
        "--gauge-seen",
        multiple=True,
        metavar="STATEMENT",
        help="As for judge; by an inspector or engineer of the records, who gives their own secret.",
    ),
    click.option(
        "--second",
        multiple=True,
        metavar="NUMBER",
        help="Staff number of who states it with --gauge-seen: their own secret is asked for.",
    ),
    click.option("--second-secret-file", type=c.PATH, help="Read that secret from the first line of a file."),
    c.BY,
)
def verdict(
    desk: c.Desk,
    number: str,
    step: str,
    document: Path,
    log: Path,
    second: tuple[str, ...],
    second_secret_file: Path | None,
    by: str,
    **asked: Any,
) -> None:
    """Judge a cure LOG by the job's own DOCUMENT and keep the verdict with the STEP that opens the bag."""
    from panelmend.app.log_answers import Request
    from panelmend.app.records import judge_at

    _, key = desk.step(number, step)
    who = desk.who(by)
    beside = c.Desk(desk.where, second_secret_file)  # another person's secret is never that of the first
    seconds = tuple(beside.who(x) for x in second)
    made = judge_at(desk.book, who, number, key, document, log, Request(**asked), seconds)
    click.echo(made.outcome.value + "".join(f"; rests on {x}" for x in made.rests))
    for line in made.against:
        click.echo(f"  {line}")
    desk.done()


@c.verb(
    job,
    "deviate",
    click.argument("number"),
    click.argument("step"),
    click.argument("deviation"),
    click.argument("words"),
    click.option(
        "--covers",
        multiple=True,
        metavar="ITEM",
        help='Blank "b1", clock "c1", verdict "v", rejection "r", coupon\'s result "k" with its entry.',
    ),
    c.BY,
)
def deviate(
    desk: c.Desk, number: str, step: str, deviation: str, words: str, covers: tuple[str, ...], by: str
) -> None:
    """Raise a DEVIATION at a STEP. Blanks and clocks are counted from 1, as shown."""
    _, key = desk.step(number, step)
    counted = [x[:1] in ("b", "c") and x[1:].isdecimal() and int(x[1:]) > 0 for x in covers]
    items = [f"{x[0]}{int(x[1:]) - 1}" if n else x for x, n in zip(covers, counted, strict=True)]
    desk.book.raise_deviation(desk.who(by), number, key, deviation, items, words)
    desk.done()


@c.verb(
    job,
    "decide",
    click.argument("number"),
    click.argument("deviation"),
    click.argument("decision", type=click.Choice(["may stand", "do again", "stop"])),
    click.argument("ground"),
    click.argument("words"),
    click.option("--from", "again", help="The step from which work is done again."),
    click.option("--paper", type=c.PATH, help="The engineer's paper, kept with the decision."),
    c.BY,
)
def decide(
    desk: c.Desk,
    number: str,
    deviation: str,
    decision: str,
    ground: str,
    words: str,
    again: str | None,
    paper: Path | None,
    by: str,
) -> None:
    """Decide a DEVIATION; GROUND is its place in the approved data."""
    from panelmend.app import records as doing
    from panelmend.app.records_words import step_words
    from panelmend.records.book import job_of
    from panelmend.records.events import Decision

    held = job_of(desk.book.state, number)
    shown = desk.book.show_deviation(number, deviation)
    for line in step_words(desk.book.state, held, held.deviations[deviation].raised.step):
        click.echo(line)
    desk.book.decide(
        desk.who(by),
        number,
        deviation,
        Decision(decision),
        shown,
        ground=ground,
        words=words,
        again_from=doing.step_named(held, again) if again else None,
        paper=doing.file_bytes(paper) if paper else None,
    )
    desk.done("Signed.")


@c.verb(
    job,
    "release",
    click.argument("number"),
    click.option("--work", "description", default="", help="The work performed, or the data it was done by."),
    click.option("--completed", default="", help="The day it was completed, such as 2026-11-26."),
    click.option("--certificate", default="", help="Number of the certificate held."),
    click.option("--kind", default="", help="Kind of the certificate held."),
    c.BY,
)
def release(
    desk: c.Desk, number: str, description: str, completed: str, certificate: str, kind: str, by: str
) -> None:
    """Make the release entry (14 CFR 43.9(a)); who performed the work is taken from the log."""
    from panelmend.app.records_words import job_words

    shown = desk.book.show_release(number)
    for line in job_words(desk.book.state, number):
        click.echo(line)
    click.echo("The signature is for the work performed, and that work only.")
    desk.book.release(
        desk.who(by),
        number,
        shown,
        description=description,
        completed=completed,
        certificate_number=certificate,
        certificate_kind=kind,
    )
    desk.done("Signed.")


@c.verb(job, "stop", click.argument("number"), click.argument("why"), c.BY)
def stop(desk: c.Desk, number: str, why: str, by: str) -> None:
    """Stop a job for good; you can start a new one after it."""
    desk.book.stop_job(desk.who(by), number, why)
    desk.done()
