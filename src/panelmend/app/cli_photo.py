"""The verbs ``marks`` and ``photo``: sheets of marks for a panel, and points from photographs of it."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from panelmend.app.exits import Exit
from panelmend.app.refusing import refusals
from panelmend.errors import InputError

FILE = click.Path(path_type=Path)
COLOURS = ("red", "orange", "yellow", "green", "blue", "violet", "pink")


@click.command()
@click.argument("target", type=FILE)
@click.option(
    "--count", type=click.IntRange(4, 60), default=8, show_default=True, help="Marks for measured places."
)
@click.option("--first", type=click.IntRange(1, 99), default=1, show_default=True, help="Their first number.")
@click.option("--items", type=click.IntRange(0, 60), default=0, help="Marks that point at things (from 101).")
@click.option("--mark-side", default="40 mm", show_default=True, help="Side of a mark, with its unit.")
@click.option("--paper", type=click.Choice(("a4", "letter")), default="a4", show_default=True)
@click.option("--places", type=FILE, help="Write a file of places to fill in.")
def marks(
    target: Path, count: int, first: int, items: int, mark_side: str, paper: str, places: Path | None
) -> None:
    """Print reference marks to TARGET (PDF). Stick them round the damage before you photograph it."""
    with refusals():
        from panelmend.app import photos
        from panelmend.errors import OutputError
        from panelmend.photo import NoPhotoPartError, blank_places
        from panelmend.units import read

        numbers = list(range(first, first + count))
        try:
            side = read(mark_side, "length")
            if places is not None and places.exists():
                raise OutputError(f"{places.name} is there already: nothing was changed")
            photos.print_marks(target, numbers, list(range(101, 101 + items)), side, paper)
        except NoPhotoPartError as error:
            click.echo(f"Not installed: {error}", err=True)
            sys.exit(Exit.NOT_INSTALLED)
        if places is not None:
            from panelmend.files import replace_whole

            replace_whole(places, blank_places(numbers, side).encode("utf8"))
            click.echo(f"Written: {places}; fill in where each mark is stuck")
        click.echo(f"Written: {target}; print at 100 % and measure the check square")


@click.command()
@click.argument("pictures", type=FILE, nargs=-1, required=True)
@click.option("--marks", "places", type=FILE, required=True, help="File that says where each mark is stuck.")
@click.option(
    "--dull", type=click.Choice(COLOURS), help="Colour of the dull dots, where no card is in the picture."
)
@click.option("--sound", type=click.Choice(COLOURS), help="Colour of the sound dots.")
@click.option("--line", type=click.Choice(COLOURS), help="Colour of lines, if drawn with a third pen.")
@click.option("--items-only", is_flag=True, help="Only where marked things sit; no dots, no lines.")
@click.option(
    "--found", "folder", type=FILE, help="Folder for the picture laid flat and the table to correct."
)
@click.option("--corrected", type=FILE, help="The table, corrected.")
@click.option("--dull-dots", type=click.IntRange(0, 20_000), help="Dull dots counted on the panel.")
@click.option("--sound-dots", type=click.IntRange(0, 20_000), help="Sound dots counted on the panel.")
@click.option("--yes", is_flag=True, help="The picture laid flat was looked at and is right.")
@click.option("--by", "who", default="", help="Who looked at it.")
@click.option("--into", "document", type=FILE, help="Repair document the points belong to.")
@click.option("--to", "target", type=FILE, help="Document to write; by default beside it.")
@click.option("--outline", help="Id of the line that is the outline of the damage.")
@click.option("--confidence", type=click.Choice(("80 %", "90 %", "95 %", "99 %")), default="95 %")
def photo(
    pictures: tuple[Path, ...],
    places: Path,
    dull: str | None,
    sound: str | None,
    line: str | None,
    items_only: bool,
    folder: Path | None,
    corrected: Path | None,
    dull_dots: int | None,
    sound_dots: int | None,
    yes: bool,
    who: str,
    document: Path | None,
    target: Path | None,
    outline: str | None,
    confidence: str,
) -> None:
    """From PICTURES of a panel with marks to dots and lines in its axes: shown, confirmed, then used."""
    with refusals():
        from panelmend.app import photo_document, photo_rows, photos, surveys
        from panelmend.photo import NoPhotoPartError

        if document is not None:
            _answered(who, {"dull": dull_dots, "sound": sound_dots} if yes and not items_only else {})
        pens = {k: v for k, v in (("dull", dull), ("sound", sound), ("line", line)) if v}
        try:
            looked = photos.look_at_pictures(pictures, places, pens, not items_only)
        except NoPhotoPartError as error:
            click.echo(f"Not installed: {error}", err=True)
            sys.exit(Exit.NOT_INSTALLED)
        click.echo(photos.pictures_told(looked))
        shown = folder or places.with_name(places.stem + "-found")
        if corrected is None:
            made, table = photos.write_found(looked, shown, not items_only)
            todo = "" if items_only else f"; correct {table} where it is wrong"
            click.echo(f"Look at {', '.join(map(str, made))}{todo}")
        found = photo_rows.rows_to_use(looked.measured, corrected)
        if items_only:
            if document is not None:
                _asked_items(yes)
                for path in photo_document.keep_pictures(looked, found, document, who):
                    click.echo(f"Kept: {path}")
            return
        photo_rows.refuse_undecided(found)
        if document is not None:
            photo_rows.placed_lines(found, outline)
        _asked(found, dull_dots, sound_dots, yes)
        if any(r.use and not r.outline and r.meaning in ("dull", "sound") for r in found):
            try:
                click.echo(surveys.survey_told(surveys.trace_survey(photo_rows.taps_of(found), confidence)))
            except InputError as error:
                click.echo(f"no outline from the dots: {error}")
        if document is not None:
            named = target or document.with_name(document.stem + "-photographed.toml")
            for path in [*photo_document.into(looked, found, document, named, outline, who), named]:
                click.echo(f"Written: {path}")


def _answered(who: str, counted: dict[str, int | None]) -> None:
    """Nothing goes into a document that nobody answers for, or whose dots were not counted on the "
    "panel itself."""
    if not who.strip():
        raise InputError(
            "nobody is named who answers for these findings", read="no --by", expected="--by and a name"
        )
    for word, number in counted.items():
        if number is None:
            raise InputError(
                f"the {word} dots were not counted on the panel itself",
                expected=f"--{word}-dots and their number, 0 where there are none",
            )


def _asked(found, dull_dots: int | None, sound_dots: int | None, yes: bool) -> None:  # type: ignore[no-untyped-def]
    """Nothing is used that a person has not counted on the panel or said yes to."""
    for word, counted in (("dull", dull_dots), ("sound", sound_dots)):
        have = sum(1 for r in found if r.use and r.meaning == word and not r.outline)
        if counted is None and not yes:
            counted = click.prompt(
                f"How many {word} dots do you count on the panel?", type=click.IntRange(0, 20_000)
            )
        if counted is not None and counted != have:
            raise InputError(
                f"the {word} dots do not agree",
                read=f"{have} in the pictures, {counted} counted",
                todo="look at the picture laid flat, correct the table and give it with --corrected",
            )
    if not yes and not click.confirm("Is everything in the picture laid flat right?", default=False):
        raise InputError("not used", todo="correct the table and give it with --corrected")


def _asked_items(yes: bool) -> None:
    if not yes and not click.confirm(
        "Do the pointers touch what they name, in every picture?", default=False
    ):
        raise InputError("not kept")
