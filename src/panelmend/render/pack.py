"""A pack on disk: a folder that is written whole or not at all, with a manifest of its files."""

from __future__ import annotations

import ctypes
import hashlib
import json
import os
import shutil
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any

from panelmend.errors import OutputError
from panelmend.files import folder_alone, sync_folder

MANIFEST = "manifest.json"
KIND = "panelmend pack"
PLAN = "plan.json"
DAMAGES = "damages.json"  # of a pack of several damages: its number, and the plan of each
IN_EVERY_PLAN = (PLAN, "job-card.pdf", "workings.pdf")  # of a pack of one damage, or of each of several
_EXCHANGE = 2  # renameat2: swap two names in one step
_AT_FDCWD = -100


@dataclass(frozen=True)
class PackEntry:
    """One file of a pack: path in it, size [bytes], SHA-256 (hex)."""

    file: str
    size: int
    sha256: str


def manifest_of(files: Mapping[str, bytes], about: Mapping[str, str]) -> bytes:
    """The manifest: what the pack is, and every file with size and SHA-256, in order of their names."""
    rows = [
        {"file": name, "size": len(files[name]), "sha256": hashlib.sha256(files[name]).hexdigest()}
        for name in sorted(files)
    ]
    whole = {"kind": KIND, "version": 1, "about": dict(sorted(about.items())), "files": rows}
    return (json.dumps(whole, ensure_ascii=False, indent=1) + "\n").encode("utf8")


def write_pack(
    folder: Path, files: Mapping[str, bytes], about: Mapping[str, str], *, over_another: bool = False
) -> Path:
    """Write a pack; afterwards the folder holds all of it, or what it held before.

    Args:
        folder: where; an existing pack there is replaced in one step, anything else is left alone.
        files: contents by path inside the pack, with / between folders.
        about: plain facts for the manifest (repair number, digest).
        over_another: whether the pack of another repair may be replaced.

    Returns:
        The folder, as an absolute path.

    Raises:
        OutputError: the folder holds something that is no pack, or another repair's; a file name that leaves
            it; or the disk refuses. Nothing is left half written.
    """
    target = Path(os.path.abspath(folder))
    _check_names(files)
    repair = "" if over_another else about.get("repair", "")
    _check_target(target, repair)
    whole = {**files, MANIFEST: manifest_of(files, about)}
    made: Path | None = None
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        made = Path(tempfile.mkdtemp(prefix=f".{target.name[:100]}.", dir=target.parent))
        _fill(made, whole)
        with folder_alone(target.parent):
            _check_target(target, repair)  # again: another pack may have come there meanwhile
            _put(made, target)
    except OSError as error:
        raise OutputError(f"the pack could not be written to {target}: {error.strerror or error}") from error
    finally:
        if made is not None and made.exists():
            shutil.rmtree(made, ignore_errors=True)
    return target


def read_manifest(folder: Path) -> tuple[dict[str, str], tuple[PackEntry, ...]]:
    """What a pack's manifest says: its facts and its files.

    Raises:
        OutputError: there is no manifest of a pack there.
    """
    try:
        data = (folder / MANIFEST).read_bytes()
    except OSError:
        raise OutputError(f"{folder} is no pack: it has no {MANIFEST} that can be read") from None
    return parsed_manifest(data, folder)


def parsed_manifest(data: bytes, folder: Path) -> tuple[dict[str, str], tuple[PackEntry, ...]]:
    """What the bytes of a manifest say: its facts and its files; ``folder`` is where they were read.

    Raises:
        OutputError: they are no manifest of a pack.
    """
    try:
        whole: Any = json.loads(data.decode("utf8"))
        if whole["kind"] != KIND:
            raise ValueError(whole["kind"])
        rows = tuple(PackEntry(str(r["file"]), int(r["size"]), str(r["sha256"])) for r in whole["files"])
        return {str(k): str(v) for k, v in whole["about"].items()}, rows
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise OutputError(f"{folder} is no pack: it has no {MANIFEST} that can be read") from None


def check_pack(folder: Path) -> list[str]:
    """One line for each file that is missing, changed, a link, or not in the manifest; none for a sound pack.

    Raises:
        OutputError: there is no manifest of a pack there.
    """
    _, rows = read_manifest(folder)
    faults = list[str]()
    for row in rows:
        fault = _fault_of(folder, row)
        faults += [f"{row.file} {fault}"] if fault else []
    try:
        links = [p.relative_to(folder).as_posix() for p in sorted(folder.rglob("*")) if p.is_symlink()]
        strange = [*_strangers(folder, rows), *_folders_without(folder, rows)]
    except OSError as error:
        return [*faults, f"the folder cannot be looked through: {error.strerror or error}"]
    faults += [f"{name} is a link: what it shows lies elsewhere" for name in links]
    return faults + [f"{name} is not in the manifest" for name in strange]


def lacks_of_pack(folder: Path) -> list[str]:
    """One line for each file that a pack of a repair always has and that its manifest does not name.

    Raises:
        OutputError: there is no manifest of a pack there.
    """
    named = {row.file for row in read_manifest(folder)[1]}
    plans = [PurePosixPath(name).parent for name in named if PurePosixPath(name).name in IN_EVERY_PLAN]
    asked = {"document.toml"} | {
        (at / name).as_posix() for at in (plans or [PurePosixPath()]) for name in IN_EVERY_PLAN
    }
    return [f"{name} is in every pack and not in this manifest" for name in sorted(asked - named)]


def is_plan(name: str) -> bool:
    """Whether a file of a pack is a plan: that of its repair, or of one of its damages."""
    return PurePosixPath(name).name == PLAN


def numbers_in_pack(folder: Path) -> set[str]:
    """The numbers of a repair that a pack gives itself: in its manifest, and in its plan or list of damages.

    A manifest can be edited; the pages are those of the plan. What cannot be read gives none.

    Raises:
        OutputError: there is no manifest of a pack there.
    """
    numbers = {read_manifest(folder)[0].get("repair", "")}
    for name, keys in ((PLAN, ("about", "repair")), (DAMAGES, ("number",))):
        try:
            said: Any = json.loads((folder / name).read_bytes())
            for key in keys:
                said = said[key]
        except (OSError, ValueError, KeyError, TypeError, RecursionError):
            continue
        numbers.add(str(said))
    return numbers


def _fault_of(folder: Path, row: PackEntry) -> str:
    """What is wrong with a file of the manifest, or ""."""
    if fault_of_name(row.file):
        return "is no file name for a pack"
    path = folder / row.file
    try:
        if not path.is_file():
            return "is missing"
        data = path.read_bytes()
    except OSError as error:
        return f"cannot be read: {error.strerror or error}"
    return "" if hashlib.sha256(data).hexdigest() == row.sha256 else "was changed after the pack was made"


def _strangers(folder: Path, rows: tuple[PackEntry, ...]) -> list[str]:
    known = {row.file for row in rows} | {MANIFEST}
    found = (p.relative_to(folder).as_posix() for p in folder.rglob("*") if not p.is_dir())
    return sorted(name for name in found if name not in known)


def _folders_without(folder: Path, rows: tuple[PackEntry, ...]) -> list[str]:
    """Folders in a pack that hold none of its files, and no other file either."""
    known = {above for row in rows for above in PurePosixPath(row.file).parents}
    found = (p for p in folder.rglob("*") if p.is_dir() and not p.is_symlink())
    there = [p.relative_to(folder).as_posix() for p in found if not any(q.is_file() for q in p.rglob("*"))]
    return sorted(f"{name}/" for name in there if PurePosixPath(name) not in known)


def fault_of_name(name: str) -> bool:
    """Whether a name is none for a file of a pack: it leaves the folder, or is the manifest's own."""
    path = PurePosixPath(name)
    plain = name and path.as_posix() == name and "\\" not in name and "\0" not in name
    return not plain or path.is_absolute() or ".." in path.parts or name == MANIFEST


def _check_names(files: Mapping[str, bytes]) -> None:
    for name in files:
        if fault_of_name(name):
            raise OutputError(f"{name!r} is no file name for a pack")


def ensure_own(folder: Path, repair: str) -> None:
    """See, before long work, that this repair's pack may be written there; OutputError where it may not."""
    _check_target(Path(os.path.abspath(folder)), repair)


def _check_target(target: Path, repair: str) -> None:
    """Only an empty folder or a pack without foreign files is replaced, of ``repair`` (or, "", of any)."""
    if target.is_symlink() or (target.exists() and not target.is_dir()):
        raise OutputError(f"{target} is there and is no folder; name another place for the pack")
    if not target.exists() or not any(target.iterdir()):
        return
    try:
        _, rows = read_manifest(target)
    except OutputError:
        raise OutputError(
            f"{target} holds files that are no pack; nothing was written. Name an empty or a new folder"
        ) from None
    others = sorted(numbers_in_pack(target) - {repair})
    if repair and others:
        there = others[0] or "without a number"
        raise OutputError(
            f"{target} holds the pack of another repair, {there}; nothing was written. "
            f"Name another folder for {repair}, or say --over-another if that pack is to be replaced"
        )
    strange = _strangers(target, rows)
    if strange:
        raise OutputError(
            f"{target} holds {strange[0]}, which is not part of the pack there; nothing was written. "
            "Move it away, or name another folder"
        )


def _fill(folder: Path, files: Mapping[str, bytes]) -> None:
    umask = os.umask(0)
    os.umask(umask)
    folder.chmod(0o777 & ~umask)
    for name in sorted(files):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("wb") as stream:
            stream.write(files[name])
            stream.flush()
            os.fsync(stream.fileno())
    for inner in [folder, *(p for p in folder.rglob("*") if p.is_dir())]:
        sync_folder(inner)


def _put(made: Path, target: Path) -> None:
    """Give the finished folder its name; an older one is swapped out and goes with the temporary name."""
    if not target.exists():
        os.rename(made, target)
    elif not _swap(made, target):
        old = Path(tempfile.mkdtemp(prefix=f".{target.name[:100]}.", dir=target.parent))
        os.rename(target, old)
        try:
            os.rename(made, target)
        except OSError:
            os.rename(old, target)
            raise
        shutil.rmtree(old, ignore_errors=True)
    sync_folder(target.parent)


def _swap(a: Path, b: Path) -> bool:
    """Swap two names in one step where the system can; whether it did."""
    try:
        call = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):
        return False
    done: int = call(_AT_FDCWD, os.fsencode(a), _AT_FDCWD, os.fsencode(b), _EXCHANGE)
    return done == 0
