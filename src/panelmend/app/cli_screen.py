"""The verb that opens the workshop screen."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder of the workshop; by default one of your own.",
)
@click.option("--port", type=click.IntRange(1024, 65535), help="Port on this machine; a free one by default.")
@click.option(
    "--logs",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder where loggers write and instruments are described; by default logs/ of the workshop.",
)
@click.option("--no-browser", is_flag=True, help="Only print the address; open no browser.")
@click.option("--lan", is_flag=True, help="For other machines too: refused until accounts and TLS are there.")
def screen(folder: Path | None, port: int | None, logs: Path | None, no_browser: bool, lan: bool) -> None:
    """Open the workshop screen in the browser of this machine; `panelmend` alone does the same."""
    from panelmend.app.cli import refusals
    from panelmend.errors import InputError

    with refusals() as stop:
        if lan:
            raise InputError(
                "the screen is served to this machine alone",
                read="--lan",
                todo="other machines need accounts and TLS, which are not there yet; leave --lan out",
            )
        from panelmend.screen import server
        from panelmend.screen.workshop import Workshop, own_folder

        running = server.ready(Workshop(folder or own_folder(), logs=logs).with_demo(), port or 0)
        stop.at_once = False
        click.echo(f"The workshop screen is at {running.printed}")
        click.echo("Whoever has this address can use it. Ctrl+C ends it; what was saved stays.")
        if not no_browser:
            server.open_browser(running)
        running.serve()
