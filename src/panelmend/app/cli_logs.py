"""The verbs for cure logs."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import click

from panelmend.app.exits import Exit
from panelmend.app.refusing import refusals
from panelmend.errors import InputError

PATH = click.Path(path_type=Path)


def _answers(given: tuple[str, ...]) -> dict[str, str]:
    answers = {}
    for text in given:
        key, mark, answer = text.partition("=")
        if not mark or not key.strip():
            raise InputError("not an answer", read=repr(text), expected='"question=answer"')
        answers[key.strip()] = answer.strip()
    return answers


@click.command()
@click.argument("log", type=PATH)
@click.option(
    "--answer", "answers", multiple=True, metavar="QUESTION=ANSWER", help="Answer a question; repeatable."
)
@click.option(
    "--confirm", is_flag=True, help="Keep this reading; open questions take their suggested answer."
)
@click.option("--by", default="", help="Who confirms it; printed in the cure report.")
def log(log: Path, answers: tuple[str, ...], confirm: bool, by: str) -> None:
    """Show how a cure LOG would be read; --confirm keeps the reading beside it."""
    from panelmend.app import log_reading

    with refusals():
        made = log_reading.proposal_of(log)
        columns = made.read_as
        click.echo(f"{made.file}: {made.rows} samples, SHA-256 {made.digest[:12]}")
        click.echo("Read as:")
        for reason in made.reasons:
            click.echo(f"  {reason}")
        ranges = {r.name: r for r in made.ranges}
        for c in columns.columns:
            r = ranges.get(c.name)
            seen = f"{r.least:g} to {r.most:g}, {r.missing} missing" if r is not None else ""
            click.echo(f"  {c.name:<20} {c.role.value:<14} {c.unit:<6} {c.sense:<22} {seen}")
        for label, rows in (("First", made.first_rows), ("Last", made.last_rows)):
            for row in rows:
                click.echo(f"  {label:<6} {' | '.join(row)}")
        if made.questions:
            click.echo("Questions that the file does not settle:")
        for q in made.questions:
            click.echo(f"  {q.key}: {q.words}")
            for answer, meaning in q.choices:
                mark = "*" if answer == q.suggested else " "
                click.echo(f"   {mark} {q.key}={answer}   {meaning}")
            if q.why:
                click.echo(f"     {q.why}")
        if not confirm:
            click.echo(
                "If that is right, add --confirm (a star marks what is suggested); --answer changes it."
            )
            return
        log_reading.confirm(log, _answers(answers), take_suggested=True, by=by)
        click.echo(f"Kept: {log_reading.read_as_path(log)}")


@click.command()
@click.argument("document", type=PATH)
@click.argument("log", type=PATH)
@click.option("--operation", default="", help="Cure operation of the document, by its name.")
@click.option(
    "--leak",
    default="",
    help='Leak test: "24.6 inHg; 24.2 inHg; 1 min; below ambient; 2026-11-25 08:25" (how the gauge counts, '
    "or absolute; when the pump was shut off, by the log's clock).",
)
@click.option(
    "--vacuum-on", default="", help='When the vacuum came on, by the log\'s clock: "2026-11-25 08:10".'
)
@click.option("--bag-opened", default="", help="When the bag was opened, by the log's clock.")
@click.option("--began", default="", help="When a log without dates began.")
@click.option("--by", default="", help="Who answers for what is typed here.")
@click.option("--logger", default="", help="Logger and its calibration, for the report.")
@click.option(
    "--longest-gap",
    default="",
    help="Count only readings closer together than this as unbroken; longer than a minute only where the "
    'cure in the document has a longest_gap. Such as "30 s".',
)
@click.option(
    "--seen",
    multiple=True,
    metavar="STATEMENT",
    help='What an inspector or engineer states: "T3; lead cut; A. Reyes; inspector"; printed, '
    "with the verdict with and without it; it never makes a cure conform.",
)
@click.option(
    "--gauge-seen",
    multiple=True,
    metavar="STATEMENT",
    help='How a vacuum gauge counts, from its certificate, where no reading shows the open bag: "Vac; '
    'below ambient; certificate 4711; A. Reyes; inspector".',
)
@click.option(
    "--ran",
    default="",
    help="Who ran the cure; asked with --seen and --gauge-seen, which must be from another.",
)
@click.option(
    "--dwell-watch",
    "watch",
    multiple=True,
    metavar="TIMES",
    help="By a clock on the wall, not by the logger: when the slowest was in the band; when the dwell was "
    'ended: "10:02; 12:06", with the name of the dwell before them where the cure has several.',
)
@click.option("--set-to", default="", help='The time between readings that the logger was set to, "30 s".')
@click.option("--confirm", is_flag=True, help="Confirm how the log is read, open questions as suggested.")
@click.option(
    "--answer", "answers", multiple=True, metavar="QUESTION=ANSWER", help="Answer a question about the log."
)
@click.option("--ask/--no-ask", default=None, help="Ask for what is missing; by default only at a terminal.")
@click.option("--report", type=PATH, help="Write the cure report here: a .pdf, or a .json.")
@click.option("--strict", is_flag=True, help="No difference here: the exit code always tells the verdict.")
def judge(
    document: Path,
    log: Path,
    confirm: bool,
    answers: tuple[str, ...],
    ask: bool | None,
    report: Path | None,
    strict: bool,
    **asked: Any,
) -> None:
    """Judge a cure LOG against an operation of a repair DOCUMENT."""
    from panelmend.app import log_answers, log_reading, logs
    from panelmend.app.report_file import CURE_REPORT, check_report
    from panelmend.plan.judge import Outcome

    codes = {
        Outcome.CONFORMS: Exit.CONFORMS,
        Outcome.DOES_NOT: Exit.DOES_NOT_CONFORM,
        Outcome.UNKNOWN: Exit.CANNOT_BE_JUDGED,
    }
    with refusals():
        if report is not None:
            check_report(report, CURE_REPORT)
        request = log_answers.Request(**asked)
        if confirm or answers:
            log_reading.confirm(log, _answers(answers), take_suggested=confirm, by=request.by)
        if sys.stdin.isatty() if ask is None else ask:
            from panelmend.app.asking_cure import ask_cure

            request = ask_cure(document, log, request)
        judged = logs.judge_log(document, log, request)
        verdict = judged.report.verdict
        rests = "".join(f"; rests on {x}" for x in verdict.rests_on())
        click.echo(f"{judged.report.title}: {verdict.outcome.value}{rests}")
        for reason in verdict.against():
            when = f" at {reason.clock}" if reason.clock else ""
            usual = ", a default" if reason.default else ""
            click.echo(
                f"  {reason.code or '':<5} {reason.rule}: {reason.words}{when} ({reason.place}{usual})"
            )
        for finding in verdict.findings:
            click.echo(f"  {finding.code:<5} {finding.severity.value}: {finding.words}")
        if not verdict.against():
            click.echo(f"  every rule was met ({len(verdict.reasons)} applied)")
        for words in judged.report.notes:
            click.echo(f"  of the log: {words}")
        for words in judged.report.not_judged:
            click.echo(f"  not judged: {words}")
        for words in log_answers.missing_of(judged.document, log, request)[1]:
            click.echo(f"  missing: {words}")
        if report is not None:
            logs.write_report(judged, report)
            click.echo(f"Report: {report}")
        sys.exit(codes[verdict.outcome])


@click.command()
@click.argument("document", type=PATH)
@click.argument("source", type=PATH)
@click.option("--operation", default="", help="Cure operation of the document, by its name.")
@click.option(
    "--seconds", type=click.FloatRange(0, 864000), default=0.0, help="Stop after this long; 0 for never."
)
@click.option(
    "--every", type=click.FloatRange(0.2, 600), default=2.0, show_default=True, help="Seconds between looks."
)
@click.option("--keep", type=PATH, help="Live instrument: append every reading to this CSV file.")
@click.option(
    "--plain", is_flag=True, help="Print one picture under the other instead of clearing the screen."
)
def watch(
    document: Path, source: Path, operation: str, seconds: float, every: float, keep: Path | None, plain: bool
) -> None:
    """Follow a running cure: state, time left, alarms before a limit is reached.

    SOURCE is a growing log file, read as somebody confirmed, or a .toml that names a live instrument
    (Modbus TCP or MQTT).
    """
    from panelmend.app import watching

    with refusals(watched=True) as stop:
        watching.watch(document, source, operation, seconds, every, keep, not plain, sys.stdout, stop)
