"""The verbs ``survey`` and ``taps``: readings from a file to the outline, into a document; recorded taps."""

from __future__ import annotations

from pathlib import Path

import click

from panelmend.app.refusing import refusals
from panelmend.errors import InputError

FILE = click.Path(path_type=Path)


@click.command()
@click.argument("readings", type=FILE)
@click.option("--unit", type=click.Choice(("mm", "cm", "m", "in", "ft")), help="Unit of x and y.")
@click.option("--kind", type=click.Choice(("tap", "time", "ratio", "moisture")), help="What was read.")
@click.option("--confidence", type=click.Choice(("80 %", "90 %", "95 %", "99 %")), default="95 %")
@click.option("--reference", type=float, multiple=True, help="Reading on a sound place (repeat it).")
@click.option(
    "--dull-from",
    type=click.FloatRange(1.0, 10.0, min_open=True),
    default=None,
    help="Ratio to the sound place from which a reading counts as damage.",
)
@click.option("--origin", default="0 mm, 0 mm", help="Place of row 1, column 1 of a grid.")
@click.option("--spacing", help="Spacing of a grid, with its unit.")
@click.option("--yes", is_flag=True, help="Use the table as shown without asking.")
@click.option("--into", type=FILE, help="Repair document the readings belong to.")
@click.option("--to", "target", type=FILE, help="Document to write; by default beside it.")
@click.option("--side", type=click.Choice(("outside", "inside")), help="Side that was read (for --into).")
@click.option("--next", "following", type=FILE, help="Write the places to tap next here, as a table.")
@click.option(
    "--without", type=click.IntRange(0), default=0, help="How many lines to leave out (for --into)."
)
def survey(
    readings: Path,
    unit: str | None,
    kind: str | None,
    confidence: str,
    reference: tuple[float, ...],
    dull_from: float | None,
    origin: str,
    spacing: str | None,
    yes: bool,
    into: Path | None,
    target: Path | None,
    side: str | None,
    without: int,
    following: Path | None,
) -> None:
    """From a table of READINGS (CSV or text) to the outline of the damage, and what to tap next."""
    from panelmend.app import surveys
    from panelmend.survey import propose_table, read_table

    with refusals():
        table = read_table(propose_table(readings), unit or "", kind)  # type: ignore[arg-type]
        click.echo(table.proposal.shown())
        for fault in table.faults[:20]:
            click.echo(f"  not used: {fault}", err=True)
        click.echo(table.counted())
        if len(table.faults) > 20:
            click.echo(f"  not used: {len(table.faults) - 20} more lines", err=True)
        if into is not None and len(table.faults) != without:
            raise InputError(
                "some lines were not understood, and a document may not lose lines without a word",
                read=f"{len(table.faults)} of them, --without {without}",
                expected="a table all of whose lines can be read",
                todo="correct them, or give with --without how many to leave out",
            )
        if not yes and not click.confirm("Is this right?", default=True):
            raise InputError("not read", todo="say --unit and --kind, or name the columns in the file")
        grid = surveys.DrawnGrid(origin, spacing) if spacing else None
        placed = surveys.on_its_grid(table, grid) if grid is not None and table.proposal.on_grid else table
        if placed.proposal.kind != "moisture" or into is None:
            for line in surveys.doubts(placed, reference, dull_from):
                click.echo(line)
            traced = surveys.trace_survey(placed, confidence, reference, dull_from)
            click.echo(surveys.survey_told(traced))
            if following is not None:
                click.echo(
                    f"Written: {following}, {surveys.write_next(traced, following)} places to tap next"
                )
        if into is not None:
            if side is None:
                raise InputError("nothing says which side was read", expected="--side outside or inside")
            made = target or into.with_name(into.stem + "-surveyed.toml")
            surveys.into_document(table, into, made, side, grid, reference, dull_from)  # type: ignore[arg-type]
            click.echo(f"Written: {made}")


@click.command()
@click.argument("recording", type=click.Path(path_type=Path, allow_dash=True))
@click.option("--reference", type=FILE, required=True, help="Recording on a place known to be sound.")
@click.option("--columns", type=click.IntRange(1, 1000), help="Taps in a row of the grid.")
@click.option("--there-and-back", is_flag=True, help="Every second row was tapped backwards.")
@click.option("--to", "target", type=FILE, help="Write the taps here, to be read by survey.")
@click.option(
    "--listen", "running", is_flag=True, help="RECORDING is still growing: tell each tap as it comes."
)
@click.option("--rows", type=click.IntRange(1, 1000), help="Rows of the grid, for --listen.")
@click.option("--origin", default="0 mm, 0 mm", help="Place of row 1, column 1, for --listen.")
@click.option("--spacing", help="Spacing of the grid with its unit, for --listen: says where to tap next.")
@click.option(
    "--rate", type=click.IntRange(4000, 400_000), help="Samples a second of raw samples (RECORDING -)."
)
@click.option(
    "--quiet", type=click.FloatRange(0.0), default=30.0, help="Stop when nothing came for so long [s]."
)
def taps(
    recording: Path,
    reference: Path,
    columns: int | None,
    there_and_back: bool,
    target: Path | None,
    running: bool,
    rows: int | None,
    origin: str,
    spacing: str | None,
    rate: int | None,
    quiet: float,
) -> None:
    """Find the taps of a RECORDING (WAV) and tell dull from sound by those on a reference spot.

    With --listen the recording is still being made: a growing WAV file, or "-" for raw samples (16 bit, one
    channel) on standard input. No sound card is driven: any recorder will do.
    """
    from panelmend.app import listening, surveys
    from panelmend.survey.wav import TOLD

    with refusals():
        if running:
            guide = listening.guide_of(columns, rows, spacing, origin, there_and_back)
            click.echo(TOLD)
            listening.listen(
                str(recording), reference, click.echo, guide, rate, quiet, believed=target is not None
            )
            if target is not None:
                listening.write_places(guide, target)
                click.echo(f"Written: {target}; next: panelmend survey {target}")
            return
        found, dull, higher = surveys.recorded(recording, reference)
        for i, (t, d, h) in enumerate(zip(found, dull, higher, strict=True), 1):
            doubt = f", not to be trusted: {listening.why_not_told(t)}" if t.doubtful else ""
            doubt += ", well above the reference: stiffer ground?" if h else ""
            click.echo(
                f"{i:4d}  {t.onset:8.3f} s  {t.frequency:7.0f} Hz  decay {1e3 * t.decay:5.1f} ms  "
                f"{t.above:4.0f} dB over the noise  {'dull' if d else 'sound'}{doubt}"
            )
        click.echo(TOLD)
        why = surveys.reference_doubt(higher)
        if why and target is None:
            click.echo(f"Do not use this: {why}", err=True)
        if target is not None:
            if why:
                raise InputError(
                    "the reference cannot be trusted: nothing was written", read=why,
                    todo="record it again on a place that another method has shown to be sound",
                )  # fmt: skip
            doubtful = [i for i, t in enumerate(found, 1) if t.doubtful]
            if doubtful:
                raise InputError(
                    "some taps cannot be trusted: nothing was written",
                    read=f"taps {', '.join(map(str, doubtful[:20]))}",
                    todo="record these rows again, closer, in quiet and without speaking",
                )
            surveys.write_grid(dull, columns, there_and_back, target)
            click.echo(f"Written: {target}; next: panelmend survey {target} with --origin and --spacing")
