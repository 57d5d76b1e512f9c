"""The verbs of what happens when more is found: a later revision, a request to who owns the data."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from panelmend.app.refusing import refusals

DOCUMENT = click.Path(path_type=Path)


@click.command()
@click.argument("before", type=DOCUMENT)
@click.argument("after", type=DOCUMENT)
@click.option("--done", required=True, help='Steps of the earlier card that are done: "1-42, 45", or a file.')
@click.option("--to", "target", type=DOCUMENT, help="Write the revision's first page here (.pdf or .json).")
def again(before: Path, after: Path, done: str, target: Path | None) -> None:
    """More damage was found: compare the document AFTER with BEFORE and with the work already done.

    Says what stays, what is scrapped, what is cut again, and where work goes on. AFTER has the number of
    BEFORE and a later revision.
    """
    from panelmend.app.again import held_against, write_again
    from panelmend.app.exits import of_plan
    from panelmend.app.progress import ProgressLine
    from panelmend.app.report_file import REVISION, check_report
    from panelmend.render.again import again_words

    with refusals(watched=True) as stop, ProgressLine() as progress:
        if target is not None:
            check_report(target, REVISION, "--to")
        made = held_against(before, after, done, progress.tell, stop)
        progress.clear()
        click.echo(again_words(made))
        if target is not None:
            write_again(made, target)
            click.echo(f"Written: {target}")
        sys.exit(of_plan(made.new.standing, strict=False))


@click.command()
@click.argument("document", type=DOCUMENT)
@click.option("--to", "folder", type=DOCUMENT, help="Folder for it; by default beside the document.")
@click.option("--photo", "photos", type=DOCUMENT, multiple=True, help="A photograph that goes with it.")
@click.option(
    "--ask", "asks", multiple=True, help="A question of your own, beside the limits that are passed."
)
def request(document: Path, folder: Path | None, photos: tuple[Path, ...], asks: tuple[str, ...]) -> None:
    """Beyond the data: make one request to the engineering authority, with drawing, sizes, limits passed and
    what is asked. Its answer is typed under [[answer]]; the plan is a draft until its reference stands."""
    from panelmend.app.progress import ProgressLine
    from panelmend.app.request import request as write

    target = folder or document.with_name(f"{document.stem}-request")
    with refusals(watched=True) as stop, ProgressLine() as progress:
        where = write(document, target, photos, asks, progress.tell, stop)
        progress.clear()
        click.echo(f"Request: {where / 'request.pdf'}")
        if (where / "answer.toml").is_file():
            click.echo(f"Answers: {where / 'answer.toml'}  <- into the document when they are there")
