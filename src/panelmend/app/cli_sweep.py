"""The verb that sweeps the cures of several documents over changes."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from panelmend.app.progress import Progress
from panelmend.predict.fleet import Row
from panelmend.render.cure_rows import interval_words
from panelmend.units import show

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
    help="Cases tried over what nobody measured, for the likelihood of each row; 0 for none.",
)
@click.option("--full", is_flag=True, help="Run every case in full instead of coarse runs put right.")
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
    from panelmend.app.cli import refusals

    with refusals() as stop, Progress() as progress:
        from panelmend.app import sweep as service  # here, so that Ctrl-C is obeyed while it loads

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


def sweep_words(rows: Sequence[Row], view: str) -> str:
    """A sweep on the screen: each cure with its variants under it."""
    lines: list[str] = []
    head = ("", "")
    wide = max(len(r.variant.change) for r in rows)
    for row in rows:
        v = row.variant
        if (v.document, v.operation) != head:
            head = (v.document, v.operation)
            lines += ["", f"{v.document}: {v.operation}"]
        said = [_numbers(row, view)] if row.nominal is not None else []
        said += [f"NOT COMPUTED: {row.words}"] if row.words else []
        lines.append(f"  {v.change:<{wide}}  {'; '.join(said)}")
    errors = [
        r.likelihood for r in rows if r.likelihood is not None and r.likelihood.held_out_rms is not None
    ]
    if errors:
        rms = max(e.held_out_rms or 0.0 for e in errors)
        worst = max(e.held_out_worst or 0.0 for e in errors)
        kept, wrong = sum(e.held_out_cases for e in errors), sum(e.wrong for e in errors)
        lines += [
            "",
            f"Cases are coarse runs put right. On {kept} cases kept aside and run in full: "
            f"{_apart(rms, view)} root mean square and {_apart(worst, view)} at worst in the worst row; "
            f"{wrong} judged otherwise.",
        ]
    return "\n".join(
        [*lines, "", "It is computed from constants people typed, and approves nothing."]
    ).lstrip()


def _numbers(row: Row, view: str) -> str:
    run, found = row.nominal, row.likelihood
    assert run is not None, "told only where there are numbers"
    holds = "holds" if run.holds else "DOES NOT HOLD" if run.finished else "DOES NOT COME TO ITS END"
    parts = [
        f"bond line {_degrees(run.coldest, view)} to {_degrees(run.hottest, view)} in the dwell",
        f"least margin {_apart(run.worst, view)} ({run.limit})",
        f"{run.duration / 60.0:.0f} min",
        holds,
    ]
    if found is not None:
        parts.append(f"{found.everything} of {found.cases} cases hold ({interval_words(found)})")
    return ", ".join(parts)


def _degrees(kelvin: float, view: str) -> str:
    return show(kelvin, "temperature", view, decimals=1)


def _apart(kelvin: float, view: str) -> str:
    return show(kelvin, "temperature difference", view, decimals=2)
