"""The verb that reads the code of a label."""

from __future__ import annotations

from pathlib import Path

import click

from panelmend.app.refusing import refusals

DOCUMENT = click.Path(path_type=Path)


@click.command()
@click.argument("code")
@click.argument("document", type=DOCUMENT, required=False)
def label(code: str, document: Path | None) -> None:
    """Read the CODE of a label; with a DOCUMENT say what the piece is and whether its plan still holds."""
    with refusals():
        from panelmend.app.labels import label_words

        for line in label_words(code, document):
            click.echo(line)
