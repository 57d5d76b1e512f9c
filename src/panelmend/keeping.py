"""What was computed once is kept in a folder of one's own, so that it need not be computed again.

Whatever is kept stands under the digest of all it was made from, of every source of this program, and of the
libraries that compute. It is a convenience: where it cannot be written, read, or is damaged, it is made anew.
Objects are kept as Python writes them, and reading such a file may run what stands in it. So nothing is read
from beside a document, which may come from anybody, and on POSIX systems nothing from a folder that another
may write to.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import sys
from functools import cache
from pathlib import Path
from typing import Any

import click

from panelmend import _BEGAN
from panelmend.errors import OutputError
from panelmend.files import replace_whole
from panelmend.unwatched import unwatched

FOLDER = "PANELMEND_KEPT"  # an environment variable: another folder, or nothing at all where it is empty
MOST_FILES = 250  # files; the oldest go first
LARGEST_KEPT = 64 * 2**20  # bytes of one
_HERE = Path(__file__).resolve().parent
_SOURCES = (".py", ".toml", ".json")
_COMPUTE = ("numpy", "scipy", "numba", "shapely")
_SEAL = hashlib.sha256().digest_size
# Names of what is kept, whole or half written by a process that was ended: nothing else is touched.
_OURS = re.compile(r"[a-z]+-[0-9a-f]{40}(\w*\.part)?")


def kept_folder() -> Path | None:
    """The folder, made where it is not there; None where there is none to be trusted."""
    told = os.environ.get(FOLDER)
    if told == "":
        return None
    folder = Path(told) if told else Path(click.get_app_dir("panelmend")) / "kept"
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        held = folder.stat()
    except OSError:
        return None
    if hasattr(os, "getuid") and (held.st_uid != os.getuid() or held.st_mode & 0o022):
        return None
    return folder


def version(library: str) -> str:
    """The version of a library that is installed; "" where it is not."""
    from importlib import metadata  # late: an answer that was kept needs no library

    try:
        return metadata.version(library)
    except metadata.PackageNotFoundError:
        return ""


@cache
def program_edition() -> str:
    """Digest of every source of this program, of Python and of the libraries that compute.

    "" where a source was put there after this process began: it would name code that does not run.
    """
    made = hashlib.sha256(f"{sys.version} {sys.platform}".encode())
    for name in _COMPUTE:
        runs = getattr(sys.modules.get(name), "__version__", None)  # the disk may hold a later one by now
        made.update(f"{name} {runs or version(name)}".encode())
    for path in sorted(p for p in _HERE.rglob("*") if p.suffix in _SOURCES):
        text = path.read_bytes()
        if path.stat().st_ctime > _BEGAN:
            return ""
        made.update(f"{path.relative_to(_HERE).as_posix()} {len(text)}\0".encode() + text)
    return made.hexdigest()


def read_kept_object(kind: str, digest: str) -> Any:
    """What was kept; None where nothing is, or nothing that may be used.

    Args:
        kind: what it is, in letters: the beginning of the file's name.
        digest: of whatever it was made from.
    """
    import pickle  # late, as above

    with unwatched():
        place = _place(kind, digest)
        try:
            if place is None or place.stat().st_size > LARGEST_KEPT + _SEAL:
                return None
            data = read_sealed(place)
            return None if data is None else pickle.loads(data)
        except Exception:  # damaged, or of classes that are gone: it is made anew, whatever the reason
            return None


def keep_object(kind: str, digest: str, thing: Any, *, most: int | None = None) -> None:
    """Keep a thing under a digest. Where that fails, nothing is kept and nothing is said.

    ``most``: how many of its kind are kept; the oldest go first.
    """
    import pickle  # late, as above

    with unwatched():
        place = _place(kind, digest)
        if place is not None and len(data := pickle.dumps(thing, protocol=5)) <= LARGEST_KEPT:
            write_kept(place, data)
            if most is not None:
                with contextlib.suppress(OSError):
                    _prune(place.parent, f"{kind}-", most)


def write_kept(place: Path, data: bytes) -> None:
    """Write a file of the folder, after the digest of its name and of what it holds, or nothing where that
    fails."""
    with contextlib.suppress(OutputError, OSError):
        replace_whole(place, _seal(place, data) + data)
        _prune(place.parent)


def read_sealed(place: Path) -> bytes | None:
    """What such a file holds; None for one that is damaged or was kept under another name. Raises OSError."""
    whole = place.read_bytes()
    return whole[_SEAL:] if _seal(place, whole[_SEAL:]) == whole[:_SEAL] else None


def _seal(place: Path, data: bytes) -> bytes:
    return hashlib.sha256(place.name.encode("utf8", "surrogateescape") + b"\0" + data).digest()


def _place(kind: str, digest: str) -> Path | None:
    folder = kept_folder()
    if folder is None or not program_edition():
        return None
    key = hashlib.sha256(f"{program_edition()} {digest}".encode()).hexdigest()
    return folder / f"{kind}-{key[:40]}"


def _prune(folder: Path, kind: str = "", most: int | None = None) -> None:
    """Leave the newest of what is kept; another process may do the same, and other files stay."""
    dated = []
    for path in filter(lambda p: p.name.startswith(kind) and _OURS.fullmatch(p.name), folder.iterdir()):
        with contextlib.suppress(OSError):
            dated.append((path.stat().st_mtime_ns, path))
    for _, path in sorted(dated)[: -(MOST_FILES if most is None else most)]:
        path.unlink(missing_ok=True)
