"""The verb that reads a document, or a pack, and names what is wrong with it."""

from __future__ import annotations

import hashlib
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import NoReturn

import click

from panelmend.app.cli_packed import moved_on
from panelmend.app.exits import Exit, of_plan
from panelmend.app.refusing import refusals
from panelmend.plan.standing import Standing

DOCUMENT = click.Path(path_type=Path)


@click.command()
@click.argument("document", type=DOCUMENT)
def check(document: Path) -> None:
    """Read a repair DOCUMENT and name every fault in it; of a job on shelves also what its entries lack.

    Of the folder of a pack: what it stands at, and whether every file is still the one that was packed."""
    if document.is_dir():
        return _check_folder(document)
    from panelmend.app.kept_answers import kept_answer

    with kept_answer("check", document) as said, refusals():
        from panelmend.app.loading import chosen, damage_named, load_all

        file, name = damage_named(document)
        stopped, read = False, load_all(file)
        own = chosen(read, name, file) if name else None  # first; what stops another stops it too
        for loaded in sorted(read, key=lambda each: each is not own):
            repair = loaded.document.repair
            said(f"{document.name}: no faults. Repair {repair.number}, {repair.title}.")
            if loaded.joined:
                said(f"  Planned as one: {loaded.joined}.")
            if loaded.shelved is not None:
                from panelmend.app.telling import shelved_words

                words, stop_of = shelved_words(loaded.shelved)
                said(words)
                stopped = stopped or stop_of or moved_on(document, loaded, said)
        said.ended(Exit.STOP_PLAN if stopped else Exit.DONE)


def _check_folder(folder: Path) -> None:
    """Say of a pack what it stands at and whether it is as it was packed; end as refused where it is not."""
    from panelmend.app.pack_agrees import disagreements, packed_plans, standing_of_pack
    from panelmend.errors import InputError, OutputError
    from panelmend.render.pack import MANIFEST, check_pack, lacks_of_pack, read_manifest

    name = folder.name if folder.name.strip(".") else folder.resolve().name  # of "." and ".." the real one
    with refusals():
        try:
            about, rows = read_manifest(folder)
        except OutputError:
            raise InputError(
                "this folder is no pack: it has no manifest that can be read",
                where=name,
                expected="a document, or the folder of a pack with its manifest.json",
                todo="name the document in it",
            ) from None
        sealed = hashlib.sha256((folder / MANIFEST).read_bytes()).hexdigest()
        faults = [*lacks_of_pack(folder), *check_pack(folder)]
        if faults:
            _not_as_packed(name, faults)
        try:
            plans = packed_plans(folder, rows)
        except OutputError as error:
            _not_as_packed(name, [str(error)])
        faults, refused = disagreements(folder, about, plans)
        if faults:
            _not_as_packed(name, faults)
        if refused:
            click.echo(f"{name}: NOT COMPARED with its plan, because its job is refused: {refused}", err=True)
            sys.exit(Exit.REFUSED)
        standing = standing_of_pack(plans)
        if standing is not standing.READY:
            click.echo(f"{name}: {standing.value}. {_BY[standing]}")
        click.echo(f"{name}: its {len(rows)} files are those of its manifest, and no other is there.")
        for each in plans:
            click.echo(f"  Repair {each.repair}, plan {each.digest[:12]}, {each.standing.value}.")
        click.echo(f"  SHA-256 of the manifest: {sealed}")
        click.echo(
            "  Not seen here: a manifest made anew with other pages, or a page taken out with its row.\n"
            "  Compare the plan with the foot of a page you trust, or the SHA-256 with one noted then."
        )
        sys.exit(of_plan(standing, strict=False))


_BY = {
    Standing.STOP: "Its pages say STOP: do not work by this pack.",
    Standing.DRAFT: "Its pages say DRAFT: do not work by it before what its plan leaves open is confirmed.",
}


def _not_as_packed(name: str, faults: Sequence[str]) -> NoReturn:
    for fault in faults:
        click.echo(f"{name}: {fault}", err=True)
    click.echo(f"{name}: NOT AS PACKED. Get the pack as it was made, or pack anew.", err=True)
    sys.exit(Exit.REFUSED)
