"""A request to who owns the approved data: one folder with page, photographs, and what to type later."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from panelmend.app.service import plan
from panelmend.errors import InputError
from panelmend.files import read_bytes
from panelmend.long_work import Stop, Tell, silent
from panelmend.plan.plan import Plan
from panelmend.render.request import Photo, beyond, request_json, request_sheets, snippet

LARGEST_PHOTOGRAPH = 30_000_000  # bytes of one photograph
KINDS = {b"\xff\xd8\xff": "JPEG", b"\x89PNG": "PNG"}


def request(
    path: Path,
    folder: Path,
    photos: tuple[Path, ...] = (),
    asks: tuple[str, ...] = (),
    tell: Tell = silent,
    stop: Stop | None = None,
) -> Path:
    """Write the request of a repair that passes its limits, or nothing.

    Args:
        path: the document.
        folder: where to; replaced only where it is the request or pack of this repair.
        photos: photographs, kept beside the page with their digests on it.
        asks: what is asked beside the limits.
        tell: told about progress.
        stop: set to stop.

    Raises:
        InputError: nothing passes a limit and nothing is asked; a photograph that is none.
        OutputError: it could not be written; what was there before is untouched.
    """
    from panelmend.render.pack import write_pack

    made = plan(path, tell, stop, beyond=True)
    taken = tuple(_photo(p) for p in photos)
    names = [p.name for p in taken]
    if len(set(names)) != len(names):
        raise InputError("two photographs have one name", read=", ".join(names), expected="a name for each")
    files = request_files(made, taken, asks)
    about = {"repair": made.case.document.repair.number, "plan": made.digest, "document": made.case.digest}
    return write_pack(folder, files, about)


def request_files(made: Plan, photos: tuple[Photo, ...], asks: tuple[str, ...]) -> dict[str, bytes]:
    """Contents of the folder by name.

    Raises:
        InputError: the plan is within the data, and nothing else is asked.
    """
    if not beyond(made) and not asks:
        raise InputError(
            "this repair exceeds no limit of the data",
            where=made.case.name,
            read=f"{made.limits.disposition}, nothing stops it",
            expected="a damage beyond the data, or a question of your own (--ask)",
        )
    plain = json.dumps(request_json(made, photos, asks), indent=1, ensure_ascii=False) + "\n"
    files = {"request.pdf": request_sheets(made, photos, asks).pdf(), "request.json": plain.encode("utf8")}
    typed = snippet(made)
    if typed:
        files["answer.toml"] = typed.encode("utf8")
    return files | {f"photographs/{p.name}": p.data for p in photos}


def _photo(path: Path) -> Photo:
    data = read_bytes(path)
    if not any(data.startswith(mark) for mark in KINDS):
        raise InputError("not a photograph", where=str(path), expected="a JPEG or PNG file")
    if len(data) > LARGEST_PHOTOGRAPH:
        raise InputError(
            "the photograph is too large",
            where=str(path),
            read=f"{len(data):,} bytes",
            expected=f"at most {LARGEST_PHOTOGRAPH:,}",
        )
    return Photo(path.name, hashlib.sha256(data).hexdigest(), len(data), data)
