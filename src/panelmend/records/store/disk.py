"""Where the file lies: only disks of this machine, since locks of shared ones cannot be trusted."""

from __future__ import annotations

import contextlib
import errno
import fcntl
import os
import time
from collections.abc import Iterator
from pathlib import Path

from panelmend.errors import OutputError
from panelmend.records.refusals import BUSY, NOT_LOCAL

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
IN_MEMORY = frozenset({"tmpfs"})
_MOUNTS = Path("/proc/self/mountinfo")
WAIT = 30.0  # [s] for another writer


def kind_of_disk(path: Path, mounts: str | None = None) -> str:
    """The kind of file system a path lies on, "" where it cannot be told.

    Args:
        path: a file or where it will be.
        mounts: the kernel's list of mounts; read from /proc where it is not given.
    """
    if mounts is None:
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


def local_disk(path: Path, mounts: str | None = None) -> str:
    """The kind of disk, known to be local. Raises Refused for shared and unknown ones."""
    kind = kind_of_disk(path, mounts)
    if kind not in LOCAL:
        raise NOT_LOCAL(f"{path} lies on {kind or 'a kind of disk that cannot be told'}")
    return kind


@contextlib.contextmanager
def one_writer(path: Path, wait: float = WAIT) -> Iterator[None]:
    """Hold the lock beside a file while writing; it goes when the process ends, however it ends.

    Raises:
        Refused: another writer holds it for longer than ``wait`` [s].
        OutputError: the lock cannot be made.
    """
    try:
        handle = os.open(path.with_name(path.name + ".lock"), os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError as error:
        raise OutputError(f"the lock beside {path} cannot be made: {error.strerror}") from error
    try:
        until = time.monotonic() + wait
        while True:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except OSError as error:
                if error.errno not in (errno.EAGAIN, errno.EACCES, errno.EINTR):
                    raise OutputError(f"the lock beside {path} cannot be taken: {error.strerror}") from error
                if time.monotonic() >= until:
                    raise BUSY(str(path)) from None
                time.sleep(0.01)
        yield
    finally:
        os.close(handle)
