"""The command line: ``panelmend VERB``. Every verb only reads words, calls the service and prints."""

from __future__ import annotations

import gc
import sys
from pathlib import Path
from typing import Any

import click

from panelmend import __version__
from panelmend.app.cli_packed import announce_all, moved_on
from panelmend.app.exits import Exit, exit_table, of_plan
from panelmend.app.printed import printed
from panelmend.app.progress import ProgressLine
from panelmend.app.refusing import refusals
from panelmend.app.stopping import at_once

REFUSED, NOT_WRITTEN, STOPPED = Exit.REFUSED, Exit.NOT_WRITTEN, Exit.STOPPED
CODES = f"\b\nExit codes:\n{exit_table()}\n"
DOCUMENT = click.Path(path_type=Path)


# New objects after which Python looks for rubbish in cycles; at its own 700 that takes 7 to 10 % of a plan.
RUBBISH = 100_000


class Verbs(click.Group):
    """The verbs; stopped while one of them is still being read in, it says so like any other stop."""

    def main(self, *given: Any, **named: Any) -> Any:
        """Read what was typed, run the verb, and leave."""
        with printed():
            return super().main(*given, **named)

    def invoke(self, ctx: click.Context) -> object:
        """Run the verb that was named."""
        gc.set_threshold(RUBBISH, 20, 20)
        try:
            with printed():
                return super().invoke(ctx)
        except (KeyboardInterrupt, click.Abort):
            click.echo("Stopped. Nothing was written.", err=True)
            sys.exit(STOPPED)


@click.group(
    cls=Verbs,
    invoke_without_command=True,
    epilog=CODES,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, prog_name="panelmend")
@click.pass_context
def main(ctx: click.Context) -> None:
    """Plan the bonded repair of a honeycomb sandwich panel, and print what the bench needs.

    Without a verb the workshop screen opens in the browser of this machine.

    panelmend is not approved data: the panel's own manual, the authority's rules and licensed people decide.
    """
    if ctx.invoked_subcommand is None:
        from panelmend.app.cli_screen import screen

        ctx.invoke(screen)


@main.command()
@click.argument("document", type=DOCUMENT)
@click.option("--strict", is_flag=True, help="Exit with 1 when the plan is a draft.")
def plan(document: Path, strict: bool) -> None:
    """Plan a repair and print its cut-out, plies, quantities and findings."""
    from panelmend.app.kept_answers import kept_answer

    with (
        kept_answer("plan", document, "strict" if strict else "") as said,
        refusals(watched=True) as stop,
        ProgressLine() as progress,
    ):
        progress.tell("starting")
        with at_once(stop):
            from panelmend.app import service
            from panelmend.app.telling import summaries

        plans = service.plans(document, progress.tell, stop)
        progress.clear()
        stopped = moved_on(document, plans[0].case, said)  # first: the figures below hold no longer
        said(summaries(plans))
        ended = of_plan(service.gravest(plans), strict=strict)
        said.ended(Exit.STOP_PLAN if stopped else ended)


@main.command()
@click.argument("document", type=DOCUMENT)
@click.option("--to", "folder", type=DOCUMENT, help="Folder for the pack; by default beside the document.")
@click.option(
    "--search",
    "budget",
    type=click.FloatRange(0, 3600),
    default=3.0,
    show_default=True,
    help="Seconds to search shorter cut layouts where none was kept.",
)
@click.option("--no-heat", is_flag=True, help="Leave out predictions of heat that are not kept yet.")
@click.option("--over-another", is_flag=True, help="Replace the pack of another repair, if one is there.")
@click.option("--after", type=DOCUMENT, help="Of a later revision: the document that was worked by.")
@click.option(
    "--done", default="", help='With --after: the steps that are done by it, "1-42, 45", or a file.'
)
@click.option("--strict", is_flag=True, help="Exit with 1 when the plan is a draft.")
def pack(
    document: Path,
    folder: Path | None,
    budget: float,
    no_heat: bool,
    over_another: bool,
    after: Path | None,
    done: str,
    strict: bool,
) -> None:
    """Write everything the bench needs: job card, templates, cutter files, lists, labels, plan.json."""
    from panelmend.app.kept_answers import kept_answer

    target = folder or document.with_name(document.stem + "-pack")
    options = repr((str(target), budget, no_heat, over_another, str(after), done, strict))
    with (
        kept_answer("pack", document, options) as said,
        refusals(watched=True) as stop,
        ProgressLine() as progress,
    ):
        progress.tell("starting")
        with at_once(stop):
            from panelmend.app import service
            from panelmend.app.telling import common_findings, common_words, findings_words

        written = service.pack(
            document,
            target,
            budget,
            progress.tell,
            stop,
            heat=not no_heat,
            over_another=over_another,
            after=None if after is None else (after, done),
        )
        progress.clear()
        stopped = moved_on(document, written.plans[0].case, said)
        common = common_findings(written.plans)
        for made in written.plans:
            if len(written.plans) > 1:
                said(f"\n{made.case.document.repair.number}  {made.mark}".rstrip())
            said(findings_words(made, common))
        if common:
            said(f"\n{common_words(written.plans, common)}")
        for note in written.notes:
            said(f"note: {note}")
        said(f"\nPack: {written.folder}")
        said(f"      {written.folder / written.first}  <- start here")
        standing = service.gravest(written.plans)
        if standing is not standing.READY:
            said(f"The pack is marked {standing.value}: see the findings above.")
        ended = of_plan(standing, strict=strict)
        said.wrote(written.folder)
        said.ended(Exit.STOP_PLAN if stopped else ended)


@main.command()
@click.argument("document", type=DOCUMENT)
@click.option(
    "--seconds", type=click.FloatRange(0.5, 3600), default=20.0, show_default=True, help="Time to search."
)
def nest(document: Path, seconds: float) -> None:
    """Search shorter cut layouts and keep what is better beside the document."""
    from panelmend.app import service

    with refusals(watched=True) as stop, ProgressLine() as progress:
        made = service.plan(document, progress.tell, stop)
        better, notes = service.find_layouts(document, made, seconds, progress.tell, stop)
        after = service.plan(document)
        progress.clear()
        for note in notes:
            click.echo(f"note: {note}")
        for item in after.work.nest.cloths if after.work else ():
            length, bound, shelf = (
                f"{1e3 * v:.0f} mm" for v in (item.nest.roll_length, item.bound, item.shelf_length)
            )
            click.echo(
                f"{item.problem.name}: {length} of roll ({item.made_by}); "
                f"never below {bound}; shelves {shelf}"
            )
        unchanged = "Nothing shorter was found; the layouts stay as they are."
        click.echo("A shorter layout was kept." if better else unchanged)


@main.command()
@click.argument("document", type=DOCUMENT)
@click.option("--report", type=DOCUMENT, help="Write the report here: a .pdf, or a .json.")
def strength(document: Path, report: Path | None) -> None:
    """Compare the repaired panel with the sound one; it informs the engineer and approves nothing."""
    from panelmend.app import service
    from panelmend.app.report_file import STRENGTH, check_report
    from panelmend.app.telling import strength_words

    with refusals(watched=True) as stop, ProgressLine() as progress:
        if report is not None:
            check_report(report, STRENGTH)
        made = service.strength_study(document, progress.tell, stop)
        progress.clear()
        click.echo(strength_words(made))
        if report is not None:
            service.write_strength(made, report)
            click.echo(f"Report: {report}")


@main.command()
@click.argument("document", type=DOCUMENT)
@click.argument("figure", required=False)
@click.option("--like", default="", help="List the figures whose name contains this.")
def why(document: Path, figure: str | None, like: str) -> None:
    """Explain how a FIGURE was reached, down to what was typed; without one, list the figures."""
    from panelmend.app import service

    with refusals():
        if figure is not None:
            click.echo(service.explain_figure(document, figure))
            return
        for key, value, origin in service.figures(document, like):
            click.echo(f"{key} = {value}   [{origin}]")


@main.command()
@click.argument("before", type=DOCUMENT)
@click.argument("after", type=DOCUMENT)
def compare(before: Path, after: Path) -> None:
    """Show what differs between the plans of two documents."""
    from panelmend.app import service

    with refusals():
        found = service.compare_documents(before, after)
        for d in found:
            if not d.before:
                click.echo(f"+ {d.key} = {d.after}")
            elif not d.after:
                click.echo(f"- {d.key} = {d.before}")
            else:
                click.echo(f"  {d.key}: {d.before} -> {d.after}")
        click.echo(f"{len(found)} differences." if found else "The plans are the same.")


@main.command()
@click.argument("document", type=DOCUMENT)
@click.option("--alone", is_flag=True, help="Ask for everything and use no shelves.")
def new(document: Path, alone: bool) -> None:
    """Make a new repair DOCUMENT by asking what the shelves do not hold.

    Every answer is kept as soon as it is given: stopped, it goes on from there the next time.
    """
    from panelmend.app.asking import ask_all

    with refusals():
        try:
            written = ask_all(document, alone=alone)
        except (click.Abort, KeyboardInterrupt):  # it said what is kept
            sys.exit(STOPPED)
        if not written:
            sys.exit(REFUSED)


@main.command("schema")
def schema_() -> None:
    """Print the JSON Schema of repair documents."""
    from panelmend.app import service

    click.echo(service.document_schema(), nl=False)


def _add_log_verbs() -> None:
    from panelmend.app import (
        cli_again,
        cli_check,
        cli_heat,
        cli_label,
        cli_logs,
        cli_photo,
        cli_records,
        cli_screen,
        cli_shelf,
        cli_stand_by,
        cli_survey,
        cli_sweep,
    )

    for verb in (
        cli_again.again,
        cli_again.request,
        cli_heat.heat,
        cli_sweep.sweep,
        cli_label.label,
        cli_logs.log,
        cli_check.check,
        cli_logs.judge,
        cli_logs.watch,
        cli_survey.survey,
        cli_survey.taps,
        cli_photo.marks,
        cli_photo.photo,
        cli_shelf.shelf,
        cli_shelf.shelve,
        cli_records.records,
        cli_screen.screen,
        cli_stand_by.stand_by,
    ):
        main.add_command(verb)
    announce_all(main)


_add_log_verbs()

if __name__ == "__main__":
    main()
