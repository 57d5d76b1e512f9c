"""The verb that leaves a process standing by, so that check, plan and pack answer at once."""

from __future__ import annotations

import os
import sys
import time

import click

from panelmend.app.exits import Exit

PATIENCE = 5.0  # s for one that is told to end
READING_IN = 300.0  # s for one to read in all it needs, which takes a second or two; then it hangs


@click.command("stand-by")
@click.option(
    "--minutes",
    type=click.FloatRange(1, 24 * 60),
    default=30.0,
    show_default=True,
    help="How long it stays after the last question.",
)
@click.option("--end", is_flag=True, help="End the one that stands by.")
def stand_by(minutes: float, end: bool) -> None:
    """Keep panelmend ready in the background, so that check, plan and pack answer at once.

    It keeps the program in memory (some 200 MB), and what it set for packs in two processes beside it (50 MB
    each before the first pack, up to 600 MB each after many). It listens to nobody but you and to no network,
    and works on nothing until it is asked. It ends by itself some time after the last question.
    """
    if os.name != "posix":
        click.echo("Not here: this system has no copies of a process. Every verb works without.", err=True)
        sys.exit(Exit.NOT_INSTALLED)
    import select
    import subprocess

    from panelmend.app.entry import FOLDER, socket_place
    from panelmend.app.stand_by import READY, ask_standing

    place = socket_place()
    if place is None:
        click.echo(f"Not started: there is no place for it. Name a folder of yours in {FOLDER}.", err=True)
        sys.exit(Exit.NOT_WRITTEN)
    was = ask_standing(place, "end") is not None
    ended = time.monotonic() + PATIENCE
    while was and os.path.lexists(place) and time.monotonic() < ended:
        time.sleep(0.02)
    if end:
        click.echo("Ended." if was else "None stands by.")
        return
    started = subprocess.Popen(
        [sys.executable, "-m", "panelmend.app.stand_by", str(minutes)],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
    )
    assert started.stdout is not None
    assert started.stderr is not None
    there = select.select([started.stdout], [], [], READING_IN)[0]
    if not there:
        started.kill()
    if not there or started.stdout.readline() != READY:
        words = started.stderr.read().decode("utf8", "replace").strip().splitlines()
        why = "it ended at once" if there else f"it was not ready after {READING_IN:.0f} s"
        click.echo(f"Not started: {words[-1] if words else why}", err=True)
        sys.exit(Exit.NOT_WRITTEN)
    click.echo(f"Standing by until {minutes:g} minutes after the last question.")
    click.echo("End it with: panelmend stand-by --end")
