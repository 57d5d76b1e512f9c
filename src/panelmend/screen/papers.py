"""Papers that wait on this machine until a decision is signed that rests on them, by their digest.

What was never signed for is thrown out, the oldest first.
"""

from __future__ import annotations

from pathlib import Path

from fastapi import Request

from panelmend.errors import InputError
from panelmend.files import replace_whole
from panelmend.records.canonical import sha256

WAITING = "papers-waiting"
MOST = 8  # papers that wait for a signature


def keep_paper(request: Request, digest: str, data: bytes) -> None:
    """Keep a paper until a decision takes it."""
    folder = _folder(request)
    folder.mkdir(exist_ok=True, mode=0o700)
    replace_whole(folder / digest, data)
    there = sorted(folder.iterdir(), key=lambda p: p.stat().st_mtime_ns, reverse=True)
    for old in there[MOST:]:
        old.unlink(missing_ok=True)


def waiting_paper(request: Request, digest: str | None) -> bytes | None:
    """The paper a decision names; None where it names none. Raises InputError where it is not there whole."""
    if digest is None:
        return None
    path = _folder(request) / digest
    data = path.read_bytes() if path.is_file() else b""
    if not data or sha256(data) != digest:
        raise InputError(
            "the paper that this names is not here",
            read=digest[:12],
            expected="a file that was put in before",
            todo="choose the file again, then enter it again",
        )
    return data


def signed(request: Request, digest: str | None) -> None:
    """A paper that is in the records now waits no longer."""
    if digest is not None:
        (_folder(request) / digest).unlink(missing_ok=True)


def _folder(request: Request) -> Path:
    found: Path = request.app.state.workshop.folder / WAITING
    return found
