"""Where the file lies: only disks of this machine, since locks of shared ones cannot be trusted."""

from __future__ import annotations

import contextlib
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import portalocker
import psutil

from panelmend.errors import OutputError
from panelmend.records.refusals import BUSY, NOT_LOCAL, TWO_NAMES

LOCAL = frozenset(
    {
        "ext2",
        "ext3",
        "ext4",
        "xfs",
        "btrfs",
        "zfs",
        "f2fs",
        "jfs",
        "bcachefs",
        "overlay",
        "tmpfs",
        "apfs",
        "hfs",
    }
)
ELSEWHERE = {"win32": ("fixed", frozenset({"ntfs", "refs"})), "darwin": ("local", frozenset({"apfs", "hfs"}))}
"""On Windows and macOS: the system's word for a disk of its own, and the kinds that keep a sync."""
IN_MEMORY = frozenset({"tmpfs"})
_MOUNTS = Path("/proc/self/mountinfo")
WAIT = 30.0  # [s] for another writer


def kind_of_disk(path: Path, mounts: str | None = None) -> str:
    """The kind of file system a path lies on, "" where it cannot be told.

    Args:
        path: a file or where it will be.
        mounts: Linux's list of mounts; read from /proc where it is not given.
    """
    if mounts is None:
        if sys.platform in ELSEWHERE:
            return _kind_elsewhere(path, sys.platform)
        try:
            mounts = _MOUNTS.read_text("utf8", errors="replace")
        except OSError:
            return ""
    real, best, kind = os.path.realpath(path), "", ""
    for line in mounts.splitlines():
        left, mark, right = line.partition(" - ")
        parts = left.split()
        if not mark or len(parts) < 5:
            continue
        at = parts[4].replace("\\040", " ").replace("\\011", "\t").replace("\\134", "\\")
        inside = real == at or real.startswith(at.rstrip("/") + "/")
        if inside and len(at) >= len(best):
            best, kind = at, right.split()[0]
    return kind


def _kind_elsewhere(path: Path, system: str) -> str:
    """The kind of disk on Windows or macOS; "shared ..." for one that the system does not call its own."""
    own, kinds = ELSEWHERE[system]
    real, best, found = os.path.normcase(os.path.realpath(path)), "", ""
    for disk in psutil.disk_partitions(all=True):
        at = os.path.normcase(disk.mountpoint)
        inside = real == at or real.startswith(at.rstrip("/\\") + os.sep)
        if inside and len(at) >= len(best):
            kind = disk.fstype.lower()
            known = own in disk.opts.split(",") and kind in kinds
            best, found = at, kind if known else f"shared or unknown {kind}".rstrip()
    return found


def local_disk(path: Path, mounts: str | None = None) -> str:
    """The kind of disk, known to be local. Raises Refused for shared and unknown ones."""
    kind = kind_of_disk(path, mounts)
    known = ELSEWHERE[sys.platform][1] if mounts is None and sys.platform in ELSEWHERE else LOCAL
    if kind not in known:
        raise NOT_LOCAL(f"{path} lies on {kind or 'a kind of disk that cannot be told'}")
    return kind


def one_name(path: Path) -> None:
    """See that a file has no second name: each name would have a lock and a journal of its own beside it.

    Raises:
        Refused: it has a hard link.
        OutputError: it cannot be looked at.
    """
    try:
        names = path.stat().st_nlink if path.exists() else 1
    except OSError as error:
        raise OutputError(f"{path} cannot be looked at: {error.strerror}") from error
    if names > 1:
        raise TWO_NAMES(f"{path.name} has {names}")


@contextlib.contextmanager
def one_writer(path: Path, wait: float = WAIT) -> Iterator[None]:
    """Hold the lock beside a file while writing; it goes when the process ends, however it ends.

    Raises:
        Refused: another writer holds it for longer than ``wait`` [s].
        OutputError: the lock cannot be made.
    """
    try:
        handle = os.open(path.with_name(path.name + ".lock"), os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as error:
        raise OutputError(f"the lock beside {path} cannot be made: {error.strerror}") from error
    try:
        until = time.monotonic() + wait
        while True:
            try:
                portalocker.lock(handle, portalocker.LOCK_EX | portalocker.LOCK_NB)
                break
            except portalocker.AlreadyLocked:
                if time.monotonic() >= until:
                    raise BUSY(str(path)) from None
                time.sleep(0.01)
            except portalocker.LockException as error:
                raise OutputError(f"the lock beside {path} cannot be taken: {error}") from error
        try:
            yield
        finally:
            portalocker.unlock(handle)
    finally:
        os.close(handle)
