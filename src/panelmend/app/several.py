"""Packs of jobs with several damages: a folder for each, and one first page over all of them."""

from __future__ import annotations

import hashlib
import json
from functools import partial
from pathlib import Path

from panelmend.app.loading import refuse_changed
from panelmend.app.packed import PACKED
from panelmend.app.planning import plan_several
from panelmend.app.searching import WrittenPack, with_layouts_and_heat
from panelmend.app.stopping import at_once, told_unless_stopped, unbroken
from panelmend.document import Loaded
from panelmend.document.packed_lines import without_packed
from panelmend.long_work import Stop, Tell
from panelmend.plan.several import damage_name
from panelmend.unwatched import unwatched

FIRST = "damages.pdf"


def pack_several(
    path: Path,
    folder: Path,
    budget: float,
    tell: Tell,
    stop: Stop | None,
    read: tuple[Loaded, ...],
    *,
    heat: bool,
    over_another: bool,
) -> WrittenPack:
    """Write the pack of every damage below one folder, with a first page over all of them, or nothing.

    Raises:
        DocumentError, InputError, OutputError, Cancelled: as for the pack of one damage.
    """
    from panelmend.app.shelves import carried_by_all, with_entries
    from panelmend.render.files import pack_files
    from panelmend.render.pack import ensure_own, write_pack
    from panelmend.render.several import base_number, several_json, several_sheets, shared_files

    made = plan_several(path, tell, stop, read)
    number = base_number(made.plans[0])
    ensure_own(folder, "" if over_another else number)
    notes: list[str] = []
    for each in made.plans:
        name = damage_name(each)
        _, said = with_layouts_and_heat(
            path.with_name(f"{path.name}#{name}"), each, budget, tell, stop, heat=heat
        )
        notes += [f"{name}: {note}" for note in said]
    refuse_changed(path, read)
    made = plan_several(path, tell, stop, read)  # with the layouts and predictions that are kept now

    drawing = told_unless_stopped(tell, stop, "nothing was written")

    def told(name: str, words: str) -> None:
        drawing(f"damage {name}: {words}")

    files: dict[str, bytes] = {PACKED: made.plans[0].case.text.encode("utf8")}
    with at_once(stop):
        for each in made.plans:
            name = damage_name(each)
            own = pack_files(each, each.case.text, partial(told, name))
            files |= {f"damage-{name}/{file}": data for file, data in own.items() if file != PACKED}
        files |= shared_files(made)
        files[FIRST] = several_sheets(made).pdf()
        files["damages.json"] = (json.dumps(several_json(made), indent=1, ensure_ascii=False) + "\n").encode(
            "utf8"
        )
    drawing("writing the pack")
    digests = " ".join(p.digest for p in made.plans)
    about = {
        "repair": number,
        "plan": hashlib.sha256(digests.encode()).hexdigest(),
        "document": hashlib.sha256(without_packed(made.plans[0].case.text).encode("utf8")).hexdigest(),
    }
    if made.plans[0].case.shelved is not None:
        files |= carried_by_all(made.plans, path)
        files[PACKED] = with_entries(made.plans[0].case)
        about["name"] = made.plans[0].case.name
    with unbroken(stop), unwatched():
        where = write_pack(folder, files, about, over_another=over_another)
        return WrittenPack(where, made.plans[0], tuple(notes), made.plans, FIRST)
