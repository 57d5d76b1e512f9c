"""The state kept in a file beside the log, so that not every verb reads the whole log.

The file names the entry and the hash it was computed at, what it was made by (the sources of state and
entries), and its own digest. It is a saving of time and no record: whatever does not fit is left aside and
the log is read from its beginning. Closed jobs stand in it one by one and are read when they are asked for.

Whoever can write the file can make it say something else than the log does, as they could put another
program in this one's place; :func:`panelmend.records.store.checking.check_log` compares it with what the log
comes to, and a release, a package and a drill do not use it.
"""

from __future__ import annotations

import contextlib
import io
import json
import os
import pickle
import platform
import sys
import threading
import time
import weakref
from dataclasses import dataclass, fields, is_dataclass
from enum import Enum
from functools import cache
from pathlib import Path
from typing import Any, BinaryIO, cast

import pydantic

from panelmend.errors import OutputError
from panelmend.records.canonical import sha256
from panelmend.records.state.held import Job
from panelmend.records.state.shelf import JobShelf, Place
from panelmend.records.state.whole import State
from panelmend.records.store.undisturbed import undisturbed

EVERY = 2000
"""After so many entries the state is kept anew: as many are read in a tenth of a second."""
USUAL = ".state"
CHECKED = ".checked"
ENDS = (USUAL, CHECKED)
"""Ends of the names beside the log: the last state, and the one at the end of the last check that held."""
_KIND = "panelmend kept state 1"
_HEADER = 1024
_STALE_S = 600.0  # what a process that died was writing
_WINDOWS = hasattr(os, "O_BINARY")
_PLAIN = frozenset({("decimal", "Decimal"), ("datetime", "date")})
_OURS = ("panelmend.records.events.", "panelmend.records.state.")


@dataclass
class KeptState:
    """A state that was kept, and the entry at whose hash it was computed."""

    number: int
    head: str
    state: State
    file: Path

    def same(self, state: State) -> bool:
        """Whether another way of reaching the same entry came to the same; reads every job."""
        with undisturbed():
            return self.state == state and self.state.keeping == state.keeping

    def drop(self) -> str:
        """Take the file away; its name."""
        with contextlib.suppress(OSError):
            self.file.unlink()
        return self.file.name


def state_path(path: Path, end: str = USUAL) -> Path:
    """Where the state of a log lies."""
    return path.with_name(path.name + end)


@cache
def made_by() -> str:
    """A digest of all that the form of a state depends on: its sources, Python's and pydantic's release."""
    root = Path(__file__).parents[1]
    sources = sorted([*root.glob("state/*.py"), *root.glob("events/*.py"), root / "canonical.py"])
    told = [sha256(p.read_bytes()) for p in sources]
    return sha256(json.dumps([_KIND, told, platform.python_version(), pydantic.VERSION]))


# --- reading


def load_state(path: Path, end: str = USUAL) -> KeptState | None:
    """The state kept beside a log; None where there is none that can be used.

    Args:
        path: the log.
        end: which of the two.
    """
    try:
        file: BinaryIO = state_path(path, end).open("rb")
    except OSError:
        return None
    try:
        head = json.loads(file.read(_HEADER))
        if not isinstance(head, dict) or head.get("made by") != made_by():
            raise ValueError("of another release")
        file.seek(head["at"])
        body = file.read(head["bytes"])
        if sha256(body) != head["sum"]:
            raise ValueError("not what was written")
        if _WINDOWS:  # there a file that is open cannot be replaced
            file.seek(0)
            whole = io.BytesIO(file.read())
            file.close()
            file = whole
        with undisturbed():
            state = _state(body, _Reader(file, state_path(path, end)))
        if (state.number, state.head) != (head["number"], head["head"]):
            raise ValueError("of another entry")
        return KeptState(state.number, state.head, state, state_path(path, end))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, EOFError, pickle.PickleError):
        file.close()
        return None


class _Reader:
    """Reads closed jobs of one file, which stays open: it may be replaced meanwhile."""

    def __init__(self, file: BinaryIO, path: Path) -> None:
        self._file, self._path, self._lock = file, path, threading.Lock()
        weakref.finalize(self, file.close)

    def raw(self, place: Place) -> bytes:
        """The bytes of a job. Raises OutputError where they are not what was written."""
        at, length, digest = place
        try:
            with self._lock:
                self._file.seek(at)
                data = self._file.read(length)
        except OSError:
            data = b""
        if sha256(data) != digest:
            with contextlib.suppress(OSError):
                self._path.unlink()
            raise OutputError(
                f"{self._path.name}, the state kept beside the log, was damaged; it is gone now and the log"
                " itself is read: try again"
            )
        return data

    def __call__(self, place: Place) -> Job:
        return cast(Job, _plain_load(self.raw(place)))


class _OurKinds(pickle.Unpickler):
    """Makes what a state is made of and nothing else, so that a file runs nothing."""

    def find_class(self, module: str, name: str) -> Any:
        if (module, name) in _PLAIN:
            return super().find_class(module, name)
        if module.startswith(_OURS) and module in sys.modules and name.isidentifier():
            found = getattr(sys.modules[module], name, None)
            if isinstance(found, type) and found.__module__ == module and _is_record_class(found):
                return found
        raise pickle.UnpicklingError(f"a state holds no {module}.{name}"[:120])


def _is_record_class(kind: type) -> bool:
    return issubclass(kind, pydantic.BaseModel | Enum) or is_dataclass(kind)


def _plain_load(data: bytes) -> Any:
    return _OurKinds(io.BytesIO(data)).load()


def _state(body: bytes, read: _Reader) -> State:
    held, jobs = _plain_load(body)
    state = State()
    if set(held) != _names():
        raise ValueError("of another release")
    for name, value in held.items():
        setattr(state, name, value)
    state.jobs = JobShelf(jobs, read)
    return state


def _names() -> set[str]:
    """What a state holds but for its jobs and for what is only looked up twice."""
    return {f.name for f in fields(State)} - {"jobs"} | {"keeping"}


# --- writing


def keep_state(path: Path, state: State, end: str = USUAL) -> bool:
    """Keep a state beside its log; closed jobs lie there from then on. What fails harms nothing.

    Args:
        path: the log.
        state: computed from it.
        end: which of the two.

    Returns:
        Whether it was written.
    """
    target = state_path(path, end)
    part = target.with_name(target.name + ".part")
    try:
        with contextlib.suppress(FileNotFoundError):
            if time.time() - part.stat().st_mtime > _STALE_S:
                part.unlink()
        rights = path.stat().st_mode & 0o666  # who may read the log may read this, and nobody else
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), rights)
    except OSError:
        return False  # somebody else is at it, or nothing may be written here
    try:
        with os.fdopen(handle, "wb") as file, undisturbed():
            jobs = _write(file, state)
        os.replace(part, target)
    except OSError:
        with contextlib.suppress(OSError):
            part.unlink()
        return False
    if not _WINDOWS:
        with contextlib.suppress(OSError):
            state.jobs = JobShelf(jobs, _Reader(target.open("rb"), target))
    return True


def _write(file: BinaryIO, state: State) -> dict[str, Job | Place]:
    file.write(b" " * _HEADER)
    at, jobs = _HEADER, {}
    for name, job in state.jobs.held.items():
        data = _bytes_of(state.jobs, job)
        if data is None:
            jobs[name] = job
            continue
        file.write(data)
        jobs[name] = (at, len(data), sha256(data))
        at += len(data)
    held = {name: getattr(state, name) for name in sorted(_names())}
    body = pickle.dumps((held, jobs), pickle.HIGHEST_PROTOCOL)
    file.write(body)
    file.seek(0)
    header = {"at": at, "bytes": len(body), "sum": sha256(body), "made by": made_by()}
    header |= {"number": state.number, "head": state.head}
    file.write(json.dumps(header).encode().ljust(_HEADER))
    return jobs


def _bytes_of(jobs: JobShelf, job: Job | Place) -> bytes | None:
    """A closed job by itself; None where it is in work, or holds what other things hold too (a coupon may get
    its result later, and must be one thing in both places)."""
    if isinstance(job, tuple):
        return jobs.raw(job)
    together = [a for held in job.attempts.values() for a in held]
    together += [a for _, held in job.left for a in held]
    if not job.closed or any(a.coupons for a in together):
        return None
    return pickle.dumps(job, pickle.HIGHEST_PROTOCOL)
