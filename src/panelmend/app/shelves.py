"""What users do with shelves: jobs that use them, and packs that carry what a job used."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from panelmend.app.packed import PACKED, in_pack, refuse_pack_shelves
from panelmend.derive import Ledger
from panelmend.document import Loaded, OpenedFile
from panelmend.errors import InputError
from panelmend.files import read_bytes
from panelmend.job import limits
from panelmend.job.case import Case, case_of
from panelmend.nesting.store import layouts_bytes, layouts_path, read_layouts
from panelmend.plan.plan import Plan
from panelmend.predict.kept_predictions import predictions_bytes
from panelmend.shapes import Outline
from panelmend.shelves.folder import FOLDER, Folder, find_shelves
from panelmend.shelves.packed_with import number_in, packed_text
from panelmend.shelves.resolve import resolved
from panelmend.shelves.rows import DamageSizes

KEPT = ("document.nest.json", "document.heat.json")
ENTRIES = "entries.json"  # of a job with several damages: the entries that any of them was planned with


def read_job(opened: OpenedFile, path: Path, *, beyond: bool = False) -> Loaded:
    """The document of a job that stands at a path, with the entries it names.

    A job in a pack is read with the entries that the pack carries and no others, so that it opens as it was
    planned, whatever the shelves say today. ``beyond`` as for ``load_all``.

    Raises:
        DocumentError: with every fault of the job and of its entries.
        InputError: something in its pack was changed.
    """
    if in_pack(path):
        name = refuse_changed_pack(path.parent)
        return resolved(
            replace(opened, name=name), Folder(path.parent / FOLDER), measured_damage, beyond=beyond
        )
    root = find_shelves(path)
    if root is not None:
        refuse_pack_shelves(path, root)
    return resolved(opened, None if root is None else Folder(root), measured_damage, beyond=beyond)


def measured_damage(loaded: Loaded) -> DamageSizes:
    """The sizes of a damage as the plan judges them, rounded as the data asks."""
    case = case_of(loaded)
    sizes = limits.make(case, Ledger())
    largest, area = float(sizes.largest), float(sizes.area)
    if sizes.far is not None:  # through both skins: the larger damage chooses
        largest, area = max(largest, float(sizes.far.largest)), max(area, float(sizes.far.area))
    return DamageSizes(largest, area, _outlines(case))


def _outlines(case: Case) -> tuple[Outline, ...]:
    """The outlines of the damage in the axes the panel is typed in; () where those do not run along it."""
    panel = case.document.panel
    if panel.curvature is not None and panel.curvature.coordinates == "plan":
        return ()
    found = (o for o in (case.geometry.damage, case.geometry.far_damage) if o is not None)
    return tuple(o if panel.seen_from == "outside" else o.mirrored_y() for o in found)


def carried_by_all(plans: Sequence[Plan], path: Path) -> dict[str, bytes]:
    """What a pack carries so that its job opens again as planned: entries, layouts, predictions.

    Args:
        plans: the plan of every damage of the job.
        path: where the job stands; its layouts are kept beside it.
    """
    files: dict[str, bytes] = {}
    for made in plans:
        if made.case.shelved is not None:
            files |= {f"{FOLDER}/{e.file}": e.data for e in made.case.shelved.entries}
    works = [made.work for made in plans if made.work is not None]
    used = {item.problem.digest() for work in works for item in work.nest.cloths}
    layouts = {d: row for d, row in read_layouts(layouts_path(path)).items() if d in used}
    if layouts:
        files[KEPT[0]] = layouts_bytes(layouts)
    heats = [p for work in works for _, p in work.cure.heats if p is not None]
    if heats:
        files[KEPT[1]] = predictions_bytes(heats)
    return files


def taken_by_all(plans: Sequence[Plan]) -> dict[str, bytes]:
    """What the records keep of a job with several damages: which entries of those carried are used.

    The plan of one damage names its own; {} where there is one alone, or nothing came from a shelf.
    """
    held = [p.case.shelved for p in plans if p.case.shelved is not None]
    if len(plans) < 2 or not held:
        return {}
    files = sorted({e.file for shelved in held for e in shelved.entries if e.taken})
    return {ENTRIES: json.dumps(files, indent=1, ensure_ascii=False).encode("utf8")}


def with_entries(case: Case) -> bytes:
    """The job as its pack keeps it: with the entries it was planned with below it."""
    entries = case.shelved.entries if case.shelved is not None else ()
    return packed_text(case.text, number_in(case.text), entries).encode("utf8")


def refuse_changed_pack(folder: Path) -> str:
    """The name a job had when it was packed.

    Raises:
        InputError: the job, an entry, a layout or a prediction in the pack is not what was packed.
    """
    from panelmend.render.pack import read_manifest

    about, rows = read_manifest(folder)
    known = {row.file: row.sha256 for row in rows}
    counted = [PACKED, *KEPT, *(f for f in known if f.startswith(f"{FOLDER}/"))]
    there = {p.relative_to(folder).as_posix() for p in (folder / FOLDER).rglob("*") if not p.is_dir()}
    strange = sorted(there - set(known)) + [k for k in KEPT if k not in known and (folder / k).exists()]
    if strange:
        raise InputError(
            "this was not in the pack when it was made", where=f"{folder.name}/{strange[0]}", todo=_AGAIN
        )
    for file in counted:
        if file in known and hashlib.sha256(read_bytes(folder / file)).hexdigest() != known[file]:
            raise InputError("changed after the pack was made", where=f"{folder.name}/{file}", todo=_AGAIN)
    return about.get("name", PACKED)


_AGAIN = "get the pack as it was made; to change the repair, change the job and pack it anew"
