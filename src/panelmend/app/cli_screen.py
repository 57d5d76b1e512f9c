"""The verb that opens the workshop screen."""

from __future__ import annotations

from pathlib import Path

import click

from panelmend.app.refusing import refusals


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
@click.option(
    "--lan",
    metavar="ADDRESS",
    help="For other machines too, at this address of this machine: https alone, for people of the records.",
)
@click.option("--name", multiple=True, help="With --lan: a name by which other machines reach it too.")
@click.option(
    "--certificate",
    type=click.Path(path_type=Path, dir_okay=False),
    help="With --lan: the certificate, PEM; without one, one is made and kept in the workshop's folder.",
)
@click.option("--key", type=click.Path(path_type=Path, dir_okay=False), help="With --certificate: its key.")
def screen(
    folder: Path | None,
    port: int | None,
    logs: Path | None,
    no_browser: bool,
    lan: str | None,
    name: tuple[str, ...],
    certificate: Path | None,
    key: Path | None,
) -> None:
    """Open the workshop screen in the browser of this machine; `panelmend` alone does the same."""
    from panelmend.errors import InputError

    with refusals() as stop:
        from panelmend.screen import server
        from panelmend.screen.workshop import Workshop, workshop_folder

        if lan is None and (name or certificate or key):
            raise InputError("--name, --certificate and --key go with --lan")
        if (certificate is None) != (key is None):
            raise InputError("a certificate and its key go together", expected="--certificate and --key")
        workshop = Workshop(folder or workshop_folder(), logs=logs).with_demo()
        if lan is None:
            running = server.ready(workshop, port or 0)
            click.echo(f"The workshop screen is at {running.printed}")
            click.echo("Whoever has this address can use it. Ctrl+C ends it; what was saved stays.")
        else:
            files = (certificate, key) if certificate is not None and key is not None else None
            running = server.ready_for_others(workshop, lan, name, port or 0, files)
            click.echo(f"The workshop screen is at {running.printed} for whoever signs in.")
            whose = "given" if files else f"self-made, kept in {workshop.folder}"
            click.echo(f"Its certificate ({whose}) has the SHA-256 fingerprint")
            click.echo(f"  {running.fingerprint}")
            click.echo("Compare it on each device before anybody types a secret there. Ctrl+C ends it.")
        stop.at_once = False
        if not no_browser:
            server.open_browser(running)
        running.serve()
