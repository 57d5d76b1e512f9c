"""Linux, macOS and Windows: nothing in src needs a module or a call that one of them does not have."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

import pytest

from ends import at_most
from panelmend import files, machine
from panelmend.records.store import disk
from panelmend.render.pack import check_pack, write_pack
from records_made import refused, shop
from source_trees import trees

SRC = Path(__file__).parents[2] / "src" / "panelmend"
NOT_ON_WINDOWS = frozenset(
    [
        "fcntl",
        "pwd",
        "grp",
        "resource",
        "termios",
        "tty",
        "pty",
        "syslog",
        "crypt",
        "spwd",
        "nis",
        "posix",
        "curses",
        "readline",
        "_posixsubprocess",
    ]
)
NOT_ON_POSIX = frozenset({"msvcrt", "winreg", "winsound", "_winapi", "nt"})
CALLS = {
    "os": frozenset(
        [
            "fork",
            "forkpty",
            "pread",
            "pwrite",
            "preadv",
            "pwritev",
            "O_CLOEXEC",
            "O_NOFOLLOW",
            "O_NONBLOCK",
            "O_DIRECTORY",
            "O_SYNC",
            "killpg",
            "setsid",
            "getpgid",
            "getuid",
            "geteuid",
            "getgid",
            "chown",
            "fchown",
            "fchmod",
            "fchdir",
            "mkfifo",
            "mknod",
            "nice",
            "getloadavg",
            "sched_getaffinity",
            "statvfs",
            "fstatvfs",
            "uname",
            "wait",
            "wait3",
            "wait4",
            "WIFEXITED",
            "sync",
            "fdatasync",
            "lockf",
            "openpty",
            "posix_spawn",
            "sendfile",
            "setpriority",
            "getpriority",
        ]
    ),
    "signal": frozenset(
        [
            "SIGKILL",
            "SIGHUP",
            "SIGQUIT",
            "SIGALRM",
            "SIGCHLD",
            "SIGUSR1",
            "SIGUSR2",
            "alarm",
            "setitimer",
            "pthread_kill",
            "pause",
        ]
    ),
    "select": frozenset({"poll", "epoll", "kqueue"}),
    "socket": frozenset({"AF_UNIX", "socketpair"}),
}
GUARDED = {
    ("app/entry.py", "os.getuid"),
    ("app/page_setters.py", "os.getuid"),
    ("app/page_setters.py", "socket.AF_UNIX"),
    ("app/stand_by.py", "os.fork"),
    ("app/stand_by.py", "signal.SIGHUP"),
    ("app/stand_by.py", "signal.SIGQUIT"),
    ("app/stand_by.py", "socket.AF_UNIX"),
    ("app/standing_ask.py", "os.getuid"),
    ("app/standing_ask.py", "signal.SIGHUP"),
    ("app/standing_ask.py", "signal.SIGQUIT"),
    ("app/standing_ask.py", "socket.AF_UNIX"),
    ("app/kept_answers.py", "os.uname"),
    ("app/kept_answers.py", "os.geteuid"),
    ("app/refusing.py", "signal.pthread_kill"),
    ("curelog/sheet_child.py", "resource"),
    ("keeping.py", "os.getuid"),
    ("render/beside.py", "os.fork"),
    ("render/beside.py", "signal.SIGKILL"),
    ("machine.py", "os.sched_getaffinity"),
}
"""Used only where the system has it: each stands under ``hasattr``, or in a ``try`` that takes its lack."""


def _used(tree: ast.AST) -> list[tuple[int, str]]:
    """Every module and call of one system alone, with its line."""
    found = []
    for node in ast.walk(tree):
        names: list[str] = []
        if isinstance(node, ast.Import):
            names = [alias.name.partition(".")[0] for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            top = node.module.partition(".")[0]
            names = [top]
            found += [
                (node.lineno, f"{top}.{a.name}") for a in node.names if a.name in CALLS.get(top, frozenset())
            ]
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            of = node.value.id
            found += [(node.lineno, f"{of}.{node.attr}")] if node.attr in CALLS.get(of, frozenset()) else []
        found += [(node.lineno, n) for n in names if n in NOT_ON_WINDOWS | NOT_ON_POSIX]
    return found


def test_nothing_in_src_is_of_one_system_alone() -> None:
    met = set()
    for name, tree in trees().items():
        for line, what in _used(tree):
            met.add((name, what))
            assert (name, what) in GUARDED, f"{name}:{line}: {what} is not there on every system"
    assert met == GUARDED, "a guard outlived what it guards"


@pytest.mark.parametrize(
    "line",
    [
        "import fcntl",
        "from resource import setrlimit",
        "x = os.O_CLOEXEC",
        "from os import fork",
        "import msvcrt",
    ],
)
def test_the_walk_sees_each_way_to_name_one(line: str) -> None:
    assert _used(ast.parse(f"def f():\n    {line}\n")), line
    assert not _used(ast.parse("import os\nos.replace('a', 'b')\n"))


def test_records_are_written_and_backed_up_without_what_windows_does_not_have(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    made = shop()
    for name in CALLS["os"]:
        monkeypatch.delattr(os, name, raising=False)
    plain = os.open

    def opens_no_folders(path: str | Path, flags: int, mode: int = 0o777, **more: int | None) -> int:
        if os.path.isdir(path):
            raise PermissionError(13, "Permission denied")
        return plain(path, flags, mode, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(os, "open", opens_no_folders)
    monkeypatch.setattr(files, "_FOLDERS_OPEN", False)
    before = made.state.number
    made.receive("L1")
    assert made.state.number == before + 1
    path = Path(made.where)
    assert path.with_name(path.name + ".last").read_text("ascii").startswith(f"{before + 1:012d} ")
    assert made.book.log.backup(path.with_name("copy.sqlite")).holds
    write_pack(path.with_name("pack"), {"a.txt": b"a"}, {})
    assert check_pack(path.with_name("pack")) == []


def test_the_lock_goes_with_the_process_that_held_it(tmp_path: Path) -> None:
    path = tmp_path / "a.sqlite"
    code = (
        "import sys, os, pathlib; from panelmend.records.store.disk import one_writer\n"
        "with one_writer(pathlib.Path(sys.argv[1])):\n    print('held', flush=True); sys.stdin.read()\n"
    )
    env = {**os.environ, "PYTHONPATH": str(SRC.parent)}
    with subprocess.Popen(
        [sys.executable, "-c", code, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, env=env
    ) as other:
        assert other.stdout is not None
        with at_most(other, "the word of one that holds the lock"):
            assert other.stdout.readline() == b"held\n"
        refused("R106", lambda: disk.one_writer(path, wait=0.02).__enter__())
        other.kill()
        other.wait()
    with disk.one_writer(path, wait=5.0):
        pass


@pytest.mark.parametrize(
    ("system", "disks", "good"),
    [
        ("win32", [("/", "NTFS", "rw,fixed")], True),
        ("win32", [("/", "ReFS", "rw,fixed")], True),
        ("win32", [("/", "NTFS", "rw,remote")], False),
        ("win32", [("/", "NTFS", "rw,removable")], False),
        ("win32", [("/", "FAT32", "rw,fixed")], False),
        ("win32", [("/", "NTFS", "rw,fixed"), ("here", "NTFS", "rw,remote")], False),
        ("win32", [("/elsewhere", "NTFS", "rw,fixed")], False),
        ("darwin", [("/", "apfs", "ro,local,rootfs,journaled")], True),
        ("darwin", [("/", "apfs", "rw,local"), ("here", "smbfs", "rw,nodev")], False),
        ("darwin", [("/", "apfs", "rw,local"), ("beside", "smbfs", "rw")], True),
        ("darwin", [], False),
    ],
)
def test_disks_of_windows_and_macos(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    system: str,
    disks: list[tuple[str, str, str]],
    good: bool,
) -> None:
    at = {"here": str(tmp_path), "beside": str(tmp_path) + "2"}
    rows = [SimpleNamespace(mountpoint=at.get(m, m), fstype=k, opts=o) for m, k, o in disks]
    monkeypatch.setattr(disk.psutil, "disk_partitions", lambda all: rows)
    monkeypatch.setattr(disk.sys, "platform", system)
    if good:
        assert disk.local_disk(tmp_path / "a.sqlite") == rows[0].fstype.lower()
    else:
        refused("R102", lambda: disk.local_disk(tmp_path / "a.sqlite"))


def test_cores_are_counted_where_a_system_does_not_say_which_a_process_may_use(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delattr(os, "sched_getaffinity", raising=False)
    for count, told in ((6, 6), (None, 1)):
        monkeypatch.setattr(os, "cpu_count", lambda count=count: count)
        assert machine.cores() == told
