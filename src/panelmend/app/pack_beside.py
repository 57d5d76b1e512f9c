"""Whether a job on shelves is still what it was packed as: the pack of its repair that stands beside it.

A shelf entry that was corrected and checked anew is sound, and a job packed before was planned with another
value. Whoever plans, packs or begins it again is told; where panel, data or materials differ it stops until
the engineer accepts each value that was changed ([[accept]]). Packs are looked for in the folder of the job;
a job that was taken out of its pack says itself what it was packed with. By a pack with a STOP nobody works:
it holds nothing fast, and is made anew as the shelves stand.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from panelmend.app.loading import damage_named
from panelmend.app.packed import ENTRIES, MANIFEST, PACKED, in_pack
from panelmend.document.shelved import PackedEntry, Shelved
from panelmend.errors import InputError, PanelmendError
from panelmend.files import read_bytes
from panelmend.plan.standing import Standing
from panelmend.shelves.differ import Differing, differing
from panelmend.shelves.entry import read_entry
from panelmend.shelves.model import SHELVES
from panelmend.shelves.names import tidy_name
from panelmend.shelves.packed_with import number_in

MANY = 12  # values in one message
PACKS = 200  # folders beside a job that are looked at
HELD = ("panels", "data", "materials")  # of bays and practice, the shop's own, it is told and stops nothing


@dataclass(frozen=True)
class PackUnlike:
    """Lines to print, and whether they stop."""

    lines: tuple[str, ...] = ()
    stops: bool = False


def unlike_its_pack(document: Path, shelved: Shelved | None, also: Path | None = None) -> PackUnlike:
    """Which entries a job was packed with, in a pack of the same repair beside it, that say otherwise now.

    ``also`` is a folder elsewhere where its pack may stand.
    """
    file, _ = damage_named(document)
    if shelved is None or in_pack(file):
        return PackUnlike()
    made: list[str] = []
    stops = False
    if _of_another(file, shelved):
        made.append(
            f"OUT OF THE PACK OF {shelved.packed_repair}: this job has another number, nothing is compared "
            "with that pack. Take the lines under [packed_with] out of a job of its own."
        )
    for name, how, packed in _packings(file, shelved, also):
        found = list(_unlike(packed, shelved))
        if not found:
            continue
        left = [
            d for shelf, name, d in found if shelf in HELD and (shelf, name, d.path) not in shelved.accepted
        ]
        stops = stops or bool(left)
        made.append(f"NOT AS PACKED: {name} with other shelf entries.")
        made += [f"  {name}: {d.words}" for _, name, d in found[:MANY]]
        made += [f"  and {len(found) - MANY} more"] if len(found) > MANY else []
        made.append(f"  What it changes in the plan: panelmend compare {how} {file.name}")
        if left:
            made.append(
                "  STOP until the engineer accepts each of them under [[accept]] (entry, values, by, on, "
                "reference) and a second person checks it (panelmend shelf check), or the shelf is mended: "
                + ", ".join(d.path for d in left[:MANY])
            )
    return PackUnlike(tuple(made), stops)


def refuse_unlike(document: Path, shelved: Shelved | None, also: Path | None = None) -> None:
    """Refuse to pack or begin a job whose pack was made with other entries that nobody accepted.

    Raises:
        InputError: with what differs.
    """
    found = unlike_its_pack(document, shelved, also)
    if found.stops:
        raise InputError(
            "the job has changed since it was packed; nothing was written",
            where=document.name,
            read="\n".join(found.lines),
            expected="the entries as they were, or the engineer's word for each value under [[accept]]",
        )


def _packings(
    file: Path, shelved: Shelved, also: Path | None
) -> Iterator[tuple[str, str, Sequence[PackedEntry]]]:
    """Every packing of a job that is known: how it is called, where its job stands, its entries."""
    for folder in _packs(file, also):
        if stopped(folder):
            continue
        there = [
            PackedEntry(e.shelf, e.name, e.file, read_bytes(folder / ENTRIES / e.file))
            for e in shelved.entries
            if e.taken and (folder / ENTRIES / e.file).is_file()
        ]
        yield f"{folder.name} of this repair was made", f"{folder.name}/{PACKED}", there
    if shelved.packed and not _of_another(file, shelved):
        yield "the pack that this job comes from was made", f"its pack/{PACKED}", shelved.packed


def stopped(folder: Path) -> bool:
    """Whether every page of a pack says STOP: one damage of a job that stops, stops them all."""
    for plan in sorted(folder.glob("plan.json")) + sorted(folder.glob("*/plan.json")):
        try:
            about = json.loads(read_bytes(plan)).get("about")
        except (PanelmendError, ValueError, AttributeError, RecursionError):
            return False
        if isinstance(about, dict) and about.get("standing") == Standing.STOP.value:
            return True
    return False


def _of_another(file: Path, shelved: Shelved) -> bool:
    """Whether a job that comes out of a pack has another number now: the pack says nothing of it."""
    return (
        bool(shelved.packed)
        and tidy_name(shelved.packed_repair).casefold() != _repair_number(file).casefold()
    )


def _packs(file: Path, also: Path | None) -> Iterator[Path]:
    """The packs of the same repair beside a job, whatever its revision and however many its damages."""
    number = _repair_number(file)
    there = sorted(p.parent for p in file.parent.glob(f"*/{MANIFEST}"))[:PACKS]
    if (
        also is not None
        and (also / MANIFEST).is_file()
        and also.resolve() not in (t.resolve() for t in there)
    ):
        there.append(also)
    yield from (folder for folder in there if number and _repair_number(folder / PACKED) == number)


def _repair_number(document: Path) -> str:
    try:
        return number_in(read_bytes(document).decode("utf-8-sig"))
    except (PanelmendError, ValueError):
        return ""


def _unlike(packed: Sequence[PackedEntry], shelved: Shelved) -> Iterator[tuple[str, str, Differing]]:
    now = {(e.shelf, tidy_name(e.name)): e for e in shelved.entries if e.taken and e.shelf != "stores"}
    for was in packed:
        entry = now.get((was.shelf, tidy_name(was.name)))
        if entry is None:
            continue
        shelf = next(s for s in SHELVES if s == was.shelf)
        try:
            old, new = (read_entry(d, entry.file, shelf) for d in (was.data, entry.data))
        except PanelmendError:
            continue
        for d in differing(old.raw, new.raw):
            yield entry.shelf, entry.name, d
