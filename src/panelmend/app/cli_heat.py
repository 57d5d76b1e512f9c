"""The verb that predicts the heat of a repair's cures."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from panelmend.app.progress import ProgressLine
from panelmend.app.refusing import refusals
from panelmend.errors import InputError

DOCUMENT = click.Path(path_type=Path)


@click.command()
@click.argument("document", type=DOCUMENT)
@click.option("--again", is_flag=True, help="Predict also what was predicted and kept before.")
@click.option(
    "--cases",
    type=click.IntRange(0, 1_000_000),
    help="Cases to try over the values nobody measured; 0 for none. Left out: 200, if none are kept.",
)
@click.option("--full", is_flag=True, help="Run every case in full, not coarse runs with a correction.")
@click.option(
    "--cluster",
    envvar="PANELMEND_CLUSTER",
    default="",
    help="Where the cases run: threads:N, processes:N, local:N or the address of a Dask scheduler.",
)
@click.option(
    "--report", type=DOCUMENT, help="Write the cure plan here: a .pdf, or the predictions as .json."
)
@click.option(
    "--after",
    "log",
    type=DOCUMENT,
    help="The LOG of a cure that has run: print what it shows about the values nobody measured, for "
    "the next cure.",
)
@click.option("--operation", default="", help="The cure that the log of --after belongs to, by its name.")
@click.option("--strict", is_flag=True, help="Exit with 1 when the plan is a draft.")
def heat(
    document: Path,
    again: bool,
    cases: int | None,
    full: bool,
    cluster: str,
    report: Path | None,
    log: Path | None,
    operation: str,
    strict: bool,
) -> None:
    """Predict the temperatures of every cure of a DOCUMENT: hottest and coldest place, "
        "thermocouples, changes.

    What is predicted is kept beside the document and goes into its plan and its pack. With --after LOG
    nothing is predicted: the cases are held against the thermocouples of a cure that has run.
    """
    from panelmend.app.exits import of_plan

    with refusals(watched=True) as stop, ProgressLine() as progress:
        # imported here: they take a second, in which a stop must end in words too
        from panelmend.app import service
        from panelmend.app.heat import predict_heat, write_heat
        from panelmend.app.heat_words import heat_words
        from panelmend.app.report_file import CURE_PLAN, check_report

        if operation and log is None:
            raise InputError("--operation says to which cure a log belongs", todo="give the log: --after LOG")
        if log is not None:
            if again or full or report is not None:
                raise InputError(
                    "--after only reads a log: nothing is predicted and nothing is written",
                    todo="leave out --again, --full and --report",
                )
            from panelmend.app.learning import learn_from, learnt_words

            learnt = learn_from(document, log, operation, progress.tell, stop, cases=cases, cluster=cluster)
            progress.clear()
            click.echo(learnt_words(learnt))
            return
        if report is not None:
            check_report(report, CURE_PLAN)
        made = service.plan(document, progress.tell, stop)
        made = predict_heat(
            document, made, progress.tell, stop, again=again, cases=cases, full=full, cluster=cluster
        )
        progress.clear()
        click.echo(heat_words(made))
        if report is not None:
            write_heat(made, report)
            click.echo(f"\nReport: {report}")
        sys.exit(of_plan(made.standing, strict=strict))
