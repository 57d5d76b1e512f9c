"""The verbs of the shelves: ``panelmend shelf ...`` and ``panelmend shelve``."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click

from panelmend.app.exits import Exit
from panelmend.app.refusing import refusals

PATH = click.Path(path_type=Path)
AT = click.option(
    "--at", "folder", type=PATH, help="Folder of the shelves; by default those found from here."
)
SHELF = click.option(
    "--shelf", default="", help="Which shelf: panels, data, materials, bays, practice or stores."
)


@click.group()
def shelf() -> None:
    """Shelves: panels, approved data, materials, bays, practice, typed once and checked by two people."""


@shelf.command("list")
@click.argument("only", required=False, default="", metavar="[SHELF]")
@click.option("--like", default="", help="Only entries whose name or state contains this.")
@AT
def list_(only: str, like: str, folder: Path | None) -> None:
    """List what is on the shelves, and its state."""
    from panelmend.app import shelf_verbs
    from panelmend.document.wording import not_a_choice
    from panelmend.shelves.model import SHELVES

    with refusals():
        if only and only not in SHELVES:
            raise not_a_choice(only, list(SHELVES))
        shelves = shelf_verbs.shelves_at(folder)
        rows = shelf_verbs.listed(shelves, only, like)
        click.echo(f"Shelves: {shelves.root}")
        last = ""
        for row in rows:
            if row.shelf != last:
                click.echo(f"\n{row.shelf}")
                last = row.shelf
            click.echo(f"  {row.name:<34} {row.state}")
        if not rows:
            click.echo("Nothing stands there." if not (only or like) else "Nothing of that kind.")
        if any(row.faulty for row in rows):
            sys.exit(Exit.REFUSED)


@shelf.command()
@click.argument("name")
@SHELF
@click.option(
    "--jobs", type=PATH, help="Folder in which jobs are looked for; by default that of the shelves."
)
@AT
def show(name: str, shelf: str, jobs: Path | None, folder: Path | None) -> None:
    """Show an entry: its text, who typed and checked it, where it is used."""
    from panelmend.app import shelf_verbs

    with refusals():
        shelves = shelf_verbs.shelves_at(folder)
        entry = shelf_verbs.find_entry(shelves, name, shelf)
        click.echo(entry.text.rstrip("\n"))
        click.echo(f"\n{entry.words}: {shelf_verbs.state_of(entry)}")
        click.echo(f"Typed by {entry.head.typed_by} on {entry.head.typed_on} from {entry.head.against}.")
        click.echo(f"Digest {entry.digest}")
        used = list(shelf_verbs.used_by(shelves, entry, jobs or shelves.root.parent))
        click.echo("Used in: " + ("; ".join(used) if used else "nothing that was found"))


@shelf.command()
@click.argument("file", type=PATH)
@AT
def add(file: Path, folder: Path | None) -> None:
    """Put an entry on its shelf; an entry that is there is never overwritten."""
    from panelmend.app import shelf_verbs

    with refusals():
        root = folder if folder is not None else shelf_verbs.shelves_at(None).root
        entry = shelf_verbs.add(root, file)
        click.echo(f"{root / entry.file}: {shelf_verbs.state_of(entry)}")
        for line in shelf_verbs.supersedes_nobody(shelf_verbs.shelves_at(root), entry):
            click.echo(line)


@shelf.command()
@click.argument("name")
@click.option("--repair", prompt="Which repair of the manual, in its words", help="The repair, in its words.")
@click.option("--title", prompt="Title of the manual", help="Title of the manual.")
@click.option("--number", prompt="Number of the manual", help="Number of the manual.")
@click.option("--revision", prompt="Its revision", help="Its revision.")
@click.option("--dated", prompt="Date of the revision, such as 2026-03-02", help="Date of the revision.")
@click.option(
    "--panels",
    prompt="Part numbers it is for, with semicolons between",
    help="Part numbers it is for, with semicolons between; each hand by its own.",
)
@click.option("--by", prompt="Who types it", help="Who types it; somebody else signs it off.")
@AT
def begin(
    name: str,
    repair: str,
    title: str,
    number: str,
    revision: str,
    dated: str,
    panels: str,
    by: str,
    folder: Path | None,
) -> None:
    """Begin a data entry NAME for one repair of one manual; its tables follow with shelf table."""
    from panelmend.app import shelf_authoring, shelf_verbs
    from panelmend.errors import InputError
    from panelmend.shelves.folder import Folder

    with refusals():
        try:
            date.fromisoformat(dated)
        except ValueError:
            raise InputError("not a day", read=dated[:40], expected="2026-03-02", where="--dated") from None
        root = Folder(folder) if folder is not None else shelf_verbs.shelves_at(None)
        about = {"repair": repair, "title": title, "number": number, "revision": revision, "dated": dated}
        against = f"{number} revision {revision}, {dated}"
        parts = tuple(p.strip() for p in panels.split(";") if p.strip())
        made = shelf_authoring.begun(root, name, about, parts, by.strip(), date.today(), against)
        click.echo(f"{root.root / made.file}: {shelf_verbs.state_of(made)}")
        click.echo("Type its tables: panelmend shelf table NAME limits --place ... --by ...")


@shelf.command()
@click.argument("name")
@click.argument("table")
@click.argument("file", type=PATH, required=False)
@click.option("--place", required=True, help="Place of the table in the manual, asked once for all its rows.")
@click.option("--by", default="", help="Who typed it; somebody else signs it off.")
@click.option(
    "--replace", is_flag=True, help="Replace the table that the entry has, after what differs was shown."
)
@click.option("--yes", is_flag=True, help="Do not ask before a table is replaced.")
@AT
def table(
    name: str,
    table: str,
    file: Path | None,
    place: str,
    by: str,
    replace: bool,
    yes: bool,
    folder: Path | None,
) -> None:
    """Put one TABLE of the manual into the data entry NAME: from a CSV FILE, or typed here without one.

    \b
    limits, cutout, core, bag, ...   columns: field, value, place
    plies                            columns: side, role, cloth, warp, place; and for a table that the
                                     damage chooses from: depth, zone, by, over, at_least, up_to, below
    cure                             columns: cure, kind, to, low, high, least, rate_most, ... and once
                                     for each cure: lays, place, ceiling, control, release_below, ...
    """
    from panelmend.app import shelf_authoring, shelf_verbs
    from panelmend.document.wording import not_a_choice
    from panelmend.errors import InputError
    from panelmend.files import read_bytes
    from panelmend.shelves.csv_table import TABLES, csv_rows

    with refusals():
        if table not in TABLES:
            raise not_a_choice(table, list(TABLES))
        if not by.strip():
            raise InputError("a table names who typed it", expected='--by "J. Hale"')
        shelves = shelf_verbs.shelves_at(folder)
        before = shelf_verbs.find_entry(shelves, name, "data")
        if file is not None:
            rows = csv_rows(read_bytes(file), file.name)
        else:
            rows = shelf_authoring.typed_rows(table, place, _prompt, click.echo)
        made, changed = shelf_verbs.import_table(
            shelves, name, table, rows, place, by.strip(), date.today(), replace=replace
        )
        for d in changed:
            click.echo(f"  {d.words}")
        if not changed:
            click.echo("The entry says this already: nothing was written.")
            return
        gone = sum(1 for d in changed if d.before)
        if (
            gone
            and not yes
            and not click.confirm(f"{gone} values that stand there change. Write it?", default=False)
        ):
            click.echo("Nothing was written.")
            return
        entry = shelf_authoring.write_over(shelves, before, made.text)
        click.echo(f"{entry.file}: {len(changed)} values differ; {shelf_verbs.state_of(entry)}")
        click.echo("Have a second person sign it off beside the manual: panelmend shelf check")


def _prompt(label: str) -> str:
    return str(click.prompt(label or "", prompt_suffix=": " if label else "", default="", show_default=False))


@shelf.command()
@click.argument("name")
@SHELF
@click.option("--by", default="", help="Who checked it: somebody else than who typed it.")
@click.option("--against", default="", help="Against which paper: number, issue, sheet.")
@click.option("--on", default="", help="Day of the check as year-month-day; today by default.")
@click.option("--table", default="", help="Sign off this table alone.")
@click.option(
    "--whole", is_flag=True, help="All of it was checked on paper, in one signature; every value is printed."
)
@AT
def check(
    name: str, shelf: str, by: str, against: str, on: str, table: str, whole: bool, folder: Path | None
) -> None:
    """Look through an entry for faults; with --by and --against, record that a second person checked it.

    It is shown table by table, what was typed beside its place in the manual, and each table is signed off by
    itself; what was signed before and did not change is not asked again. Of a job (a file) the
    second person is shown each value that departs under the engineer's reference.
    """
    from panelmend.app import shelf_authoring, shelf_statements, shelf_verbs
    from panelmend.errors import InputError
    from panelmend.shelves.contents import refuse_contents
    from panelmend.shelves.parts import open_parts, parts_of, typists_of

    with refusals():
        if bool(by.strip()) != bool(against.strip()):
            raise InputError(
                "a check names who made it and against which paper",
                read="--by alone" if by.strip() else "--against alone",
                expected='--by "D. Aune" --against "M3-SRM rev 11"',
            )
        if shelf_statements.is_job(Path(name)):
            _check_job(Path(name), by.strip(), against.strip(), on)
            return
        shelves = shelf_verbs.shelves_at(folder)
        found = shelf_verbs.find_entry(shelves, name, shelf)
        for line in shelf_verbs.supersedes_nobody(shelves, found):
            click.echo(line)
        if not by.strip():
            refuse_contents(found)
            click.echo(f"{found.words}: no faults. {shelf_verbs.state_of(found)}.")
            if found.head.shelf != "stores" and not found.is_checked:
                click.echo(f"Not signed off: {'; '.join(p.name for p in open_parts(found))}")
            return
        day = shelf_verbs.day_of_check(on, date.today())
        if not whole:
            try:
                entry, left = shelf_authoring.sign_off(
                    shelves,
                    name,
                    by.strip(),
                    against.strip(),
                    day,
                    _prompt,
                    click.echo,
                    only=table,
                    shelf=found.head.shelf,
                )
            except (click.Abort, KeyboardInterrupt):
                click.echo("\nStopped. What was signed off so far is kept.", err=True)
                sys.exit(Exit.STOPPED)
            click.echo(f"\n{entry.words}: {shelf_verbs.state_of(entry)}.")
            if left:
                click.echo(f"Not signed off yet, so it stays a draft: {'; '.join(left)}")
            return
        entry = shelf_verbs.check(shelves, name, shelf, by, against, day)
        for part in parts_of(entry):
            click.echo("")
            for line in shelf_authoring.typed_beside_source(part, " and ".join(typists_of(entry, part))):
                click.echo(line)
        click.echo("")
        for line in shelf_verbs.manual_named(entry):
            click.echo(line)
        click.echo(f"{entry.words}: {shelf_verbs.state_of(entry)}, against {against}.")
        click.echo("It holds for what the entry says now: an edit voids it.")


def _check_job(job: Path, by: str, against: str, on: str) -> None:
    """What an engineer answers for in a job, shown to a second person one by one."""
    from panelmend.app import shelf_statements, shelf_verbs

    day = shelf_verbs.day_of_check(on, date.today())
    try:
        left = shelf_statements.sign_statements(job, by, against, day, _prompt, click.echo)
    except (click.Abort, KeyboardInterrupt):
        click.echo("\nStopped. What was signed off so far is kept.", err=True)
        sys.exit(Exit.STOPPED)
    for line in left:
        click.echo(f"Not held against the engineer's paper, so the plan is a draft: {line}")


@shelf.command()
@click.argument("before")
@click.argument("after", required=False)
@SHELF
@AT
def compare(before: str, after: str | None, shelf: str, folder: Path | None) -> None:
    """Show what differs between two entries (names or files); of one job: between its entries and today's."""
    from panelmend.app import shelf_verbs
    from panelmend.app.shelf_today import newer_entries
    from panelmend.shelves.differ import differing

    with refusals():
        if after is not None:
            shelves = shelf_verbs.shelves_at(folder)
            old, new = (shelf_verbs.find_entry(shelves, n, shelf) for n in (before, after))
            found = differing(old.raw, new.raw)
            for d in found:
                click.echo(f"  {d.words}")
            click.echo(f"{len(found)} values differ." if found else "They say the same.")
            return
        rows, plan = newer_entries(Path(before))
        for name, now, changed in rows:
            if not now:
                click.echo(f"{name}: stands on no shelf today")
                continue
            click.echo(f"{name} -> {now}: {len(changed)} values differ")
            for d in changed:
                click.echo(f"  {d.words}")
        if plan:
            click.echo("In the plan:")
            for p in plan:
                click.echo(f"  {p.key}: {p.before or 'nothing'} -> {p.after or 'nothing'}")
        if not rows:
            click.echo("The shelves say today what the job uses.")


@click.command()
@click.argument("document", type=PATH)
@click.option(
    "--to", "job", type=PATH, help="The short job; by default beside the document, as NAME-short.toml."
)
@click.option("--by", default="", help="Who typed it and answers for it; somebody else checks it.")
@click.option("--panel", default="", help="Name of the panel's entry; by default its part number.")
@click.option("--data", default="", help="Name of the data's entry; by default manual, revision and repair.")
@click.option("--bay", default="", help="Name of the bay's entry.")
@click.option("--stores", default="", help="Name of the stores' entry.")
@AT
def shelve(
    document: Path,
    job: Path | None,
    by: str,
    panel: str,
    data: str,
    bay: str,
    stores: str,
    folder: Path | None,
) -> None:
    """Split a repair DOCUMENT in one file into shelf entries and a short job, and show what was done.

    The document stays as it is. Nothing is written unless job and entries give the very same document.
    """
    from panelmend.app.shelf_move import move
    from panelmend.errors import InputError
    from panelmend.shelves.folder import FOLDER, find_shelves

    with refusals():
        if not by.strip():
            raise InputError("an entry names who typed it", expected='--by "J. Hale"')
        root = folder or find_shelves(document) or document.parent / FOLDER
        target = job or document.with_name(f"{document.stem}-short.toml")
        names = {"panel": panel, "data": data, "bay": bay, "stores": stores}
        moved = move(document, root, target, by.strip(), date.today(), names)
        click.echo(f"Shelves: {root}")
        for file, fresh in moved.entries:
            click.echo(
                f"  {file:<48} {'written, NOT CHECKED yet' if fresh else 'stood there and says the same'}"
            )
        click.echo(f"Job: {moved.job}, {moved.lines[1]} lines where the document has {moved.lines[0]}")
        click.echo(
            "It gives the very same document. Have a second person check each entry: panelmend shelf check"
        )
