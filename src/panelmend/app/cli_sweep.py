"""The verb that sweeps the cures of several documents over changes."""

from __future__ import annotations

from pathlib import Path

import click

from panelmend.app.progress import ProgressLine
from panelmend.app.refusing import refusals

DOCUMENT = click.Path(path_type=Path)


@click.command()
@click.argument("documents", type=DOCUMENT, nargs=-1, required=True)
@click.option(
    "--change",
    "changes",
    multiple=True,
    help='A variant to compare, such as "set point by +3 C", "ramp to 1 C/min; air to 5 C", '
    '"blanket to HB-20", "insulation over to none"; may be given again. Names: set point, ramp, dwell, air, '
    "voltage, blanket, blanket behind, insulation over, insulation behind.",
)
@click.option("--operation", default="", help="Only the cure of this name.")
@click.option(
    "--cases",
    type=click.IntRange(0, 1_000_000),
    default=200,
    show_default=True,
    help="Cases to try over the values nobody measured, for each row; 0 for none.",
)
@click.option("--full", is_flag=True, help="Run every case in full, not coarse runs with a correction.")
@click.option(
    "--cluster",
    envvar="PANELMEND_CLUSTER",
    default="",
    help="Where the cases run: threads:N, processes:N, local:N or the address of a Dask scheduler.",
)
@click.option("--to", "target", type=DOCUMENT, help="Write the table here: a .csv or an .xlsx.")
def sweep(
    documents: tuple[Path, ...],
    changes: tuple[str, ...],
    operation: str,
    cases: int,
    full: bool,
    cluster: str,
    target: Path | None,
) -> None:
    """Predict the cures of DOCUMENTS as planned and with changes, and how likely each holds.

    Nothing is kept beside the documents. Stopped, nothing is written.
    """
    with refusals(watched=True) as stop, ProgressLine() as progress:
        from panelmend.app import sweep as service  # here, so that Ctrl-C is obeyed while it loads
        from panelmend.app.sweep_words import sweep_words

        if target is not None:
            service.check_target(target)
        rows, view = service.sweep(
            documents,
            changes,
            operation=operation,
            cases=cases,
            full=full,
            cluster=cluster,
            tell=progress.tell,
            stop=stop,
        )
        progress.clear()
        click.echo(sweep_words(rows, view))
        if target is not None:
            service.write_sweep(rows, view, target)
            click.echo(f"Table: {target}")
