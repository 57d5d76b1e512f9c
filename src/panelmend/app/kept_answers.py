"""What a verb printed, kept until anything that it looked at is otherwise.

While a verb runs, every file that it opens, every folder that it lists and every name that it asks the system
for is written down together with what stood there. Asked the same again, it prints the kept words only where
all of that still stands as it did, to the byte, for the same code, settings, folder and day. Whatever cannot
be followed (another process, a socket, a database, a file that is written) is never kept. Nothing here
decides on what is printed: what is kept is what a whole run printed, and a refusal is never kept.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from stat import S_ISLNK, S_ISREG
from typing import Any

import click

from panelmend import __version__
from panelmend.keeping import kept_folder, read_sealed, write_kept
from panelmend.unwatched import is_unwatched, unwatched

SETTING = "PANELMEND_ANSWERS"  # an environment variable: none are kept where it is empty
VERSION = 1
_FOLLOWED = os.name == "posix"  # elsewhere the system is asked for files by ways that are not followed
_PACKAGE = Path(__file__).parents[1]
_LOOKED_AT = (
    "PANELMEND_",
    "XDG_",
    "HOME",
    "LANG",
    "LC_",
    "TZ",
    "PYTHON",
    "OMP_",
    "MKL_",
    "OPENBLAS_",
    "NO_COLOR",
)
_LOADERS = ("importlib._bootstrap_external", "importlib._bootstrap", "zipimport")
_READS = {"open": "file", "os.listdir": "names", "os.scandir": "names"}
# Ways out of the process, or changes to what is on the disk: what does that is run every time.
_BEYOND = ("socket.connect", "socket.bind", "sqlite3.connect", "subprocess.Popen", "os.", "shutil.")
_HARMLESS = ("os.listdir", "os.scandir", "os.putenv", "os.unsetenv", "os.walk", "os.fwalk")


@contextmanager
def kept_answer(verb: str, document: Path, options: str = "") -> Iterator[Said]:
    """Print what is kept of a verb and leave with its exit code; else run what stands within, and keep it.

    Args:
        verb: the verb.
        document: what it is asked about, as it was typed.
        options: everything else that its words or its exit code depend on.
    """
    answers = Answers(verb, document, options)
    kept = answers.found()
    if kept is not None:
        click.echo(kept[0], nl=False)
        sys.exit(kept[1])
    said = Said()
    with answers.watching():
        yield said
    if said.code is not None:
        answers.keep("".join(said.words), said.code, said.folders)
        sys.exit(said.code)


class Said:
    """What a verb says while it runs, and how it ends."""

    def __init__(self) -> None:
        self.words: list[str] = []
        self.code: int | None = None
        self.folders: list[Path] = []

    def __call__(self, words: str) -> None:
        """Print a line or several."""
        click.echo(words)
        self.words.append(f"{words}\n")

    def ended(self, code: int) -> None:
        """The exit code; nothing is said after it."""
        self.code = int(code)

    def wrote(self, folder: Path) -> None:
        """A folder that the verb wrote as a whole: its words are kept as long as all in it stays as it is."""
        self.folders.append(folder)


_HEARD = ("open", "os.", "socket.", "sqlite3.", "subprocess.", "shutil.")
_STAT, _READLINK = os.stat, os.readlink
LARGEST_LOOKED_AT = 64 * 2**20  # bytes of a file that is looked at
UNFOLLOWED = "no plain file"

Fact = tuple[str, str]  # how it was looked at, where


class Answers:
    """One call of a verb: what is kept of it, and what it looks at while it runs.

    Args:
        verb: the verb.
        document: what it is asked about, as it was typed.
        options: everything else that its words or its exit code depend on.
    """

    def __init__(self, verb: str, document: Path, options: str = "") -> None:
        self._asked = (verb, str(document), options)
        self._folder = kept_folder() if _FOLLOWED and os.environ.get(SETTING) != "" else None
        self._state = _state() if self._folder else ""
        self._facts: dict[Fact, str] = {}
        self._sound = True

    def found(self) -> tuple[str, int] | None:
        """The words and the exit code that are kept, where everything stands as it did; None where not."""
        if not self._state:
            return None
        kept = _read(self._file())
        if kept is None or kept.get("asked") != [*self._asked, self._state]:
            return None
        if any(_stands(kind, where) != said for kind, where, said in kept["facts"]):
            return None
        return kept["words"], kept["code"]

    @contextmanager
    def watching(self) -> Iterator[None]:
        """Write down everything that is looked at within."""
        if not self._state:
            yield
            return
        import shutil  # noqa: F401 - it asks at its import which calls of the system are those of ``os``

        real, lreal, towards = os.stat, os.lstat, os.readlink

        def stat(path: Any, *given: Any, **named: Any) -> os.stat_result:
            follow = named.get("follow_symlinks", True)
            self._note("what" if follow else "itself", path)
            return real(path, *given, **named)

        def lstat(path: Any, *given: Any, **named: Any) -> os.stat_result:
            self._note("itself", path)
            return lreal(path, *given, **named)

        def readlink(path: Any, *given: Any, **named: Any) -> Any:
            self._note("itself", path)
            return towards(path, *given, **named)

        os.stat, os.lstat, os.readlink = stat, lstat, readlink
        _watch(self._heard)
        try:
            yield
        finally:
            _watch(None)
            os.stat, os.lstat, os.readlink = real, lreal, towards

    def keep(self, words: str, code: int, wrote: Sequence[Path] = ()) -> None:
        """Keep what was printed, where nothing that was looked at has changed since it was.

        Args:
            words: what was printed.
            code: the exit code.
            wrote: folders that were written whole; where one was another before, nothing is kept yet.
        """
        if not (self._state and self._sound and self._state == _state()):
            return
        for folder in wrote:
            self._note_all(str(folder))
        facts = [(kind, where, said) for (kind, where), said in self._facts.items()]
        if any(_stands(kind, where) != said for kind, where, said in facts):
            return
        body = {"asked": [*self._asked, self._state], "facts": facts, "words": words, "code": int(code)}
        write_kept(self._file(), json.dumps(body).encode("utf8"))

    def _file(self) -> Path:
        assert self._folder is not None, "nothing is kept"
        named = json.dumps([*self._asked, os.getcwd(), str(_PACKAGE)])
        return (
            self._folder / f"answer-{hashlib.sha256(named.encode('utf8', 'surrogatepass')).hexdigest()[:40]}"
        )

    def _heard(self, event: str, given: tuple[Any, ...]) -> None:
        """One event of the interpreter."""
        kind = _READS.get(event)
        if kind is None:
            if event.startswith(_BEYOND) and event not in _HARMLESS and not _loading():
                self._sound = False
            return
        if _loading():
            return  # code: its edition is part of what was asked
        if event == "open" and _writes(given[1], given[2]):
            self._sound = False
        self._note(kind, given[0])

    def _note_all(self, folder: str) -> None:
        self._note("names", folder)
        for at in sorted(os.scandir(folder), key=lambda e: e.name):
            if at.is_dir(follow_symlinks=False):
                self._note_all(at.path)
            else:
                self._note("file", at.path)

    def _note(self, kind: str, where: Any) -> None:
        if isinstance(where, int) or is_unwatched():
            return  # opened before by its name; or looked at by this module itself
        try:
            path = os.fsdecode(where)
        except TypeError:
            self._sound = False
            return
        if (kind, path) not in self._facts:
            self._facts[kind, path] = said = _stands(kind, path)
            self._sound = self._sound and said != UNFOLLOWED


_listener: Callable[[str, tuple[Any, ...]], None] | None = None
_hooked = False


def _watch(listener: Callable[[str, tuple[Any, ...]], None] | None) -> None:
    """Hear the interpreter's events, or hear them no longer; a hook can never be taken away again."""
    global _listener, _hooked
    _listener = listener
    if listener is not None and not _hooked:
        _hooked = True
        sys.addaudithook(_hook)


def _hook(event: str, given: tuple[Any, ...]) -> None:
    listener = _listener
    if listener is None or not event.startswith(_HEARD) or is_unwatched():
        return
    listener(event, given)


def _loading() -> bool:
    """Whether the interpreter looks for a module, not the verb for a file."""
    frame = sys._getframe(3)
    return frame.f_globals.get("__name__") in _LOADERS


def _writes(mode: Any, flags: Any) -> bool:
    if isinstance(mode, str):
        return any(c in mode for c in "wax+")
    return bool(isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))


def _stands(kind: str, where: str) -> str:
    """What stands at a place now: a file's bytes, the names in a folder, or what kind of thing is there.

    What is no plain file is never opened: a pipe would be emptied, or waited for.
    """
    with unwatched():
        try:
            if kind == "names":
                with os.scandir(where) as found:
                    rows = sorted((e.name, e.is_dir(), e.is_symlink()) for e in found)
                return hashlib.sha256(repr(rows).encode("utf8", "surrogatepass")).hexdigest()
            there = _STAT(where, follow_symlinks=kind != "itself")
            plain = S_ISREG(there.st_mode)
            if kind == "file":
                return _content(where) if plain and there.st_size <= LARGEST_LOOKED_AT else UNFOLLOWED
            towards = os.fsdecode(_READLINK(where)) if S_ISLNK(there.st_mode) else ""
            return f"{there.st_mode} {there.st_size if plain else 0} {towards}"
        except OSError as error:
            return f"not: {error.errno}"


def _content(where: str) -> str:
    with open(where, "rb", buffering=0) as file:
        return hashlib.sha256(file.read()).hexdigest()


def _state() -> str:
    """The code, the libraries, the settings, the folder and the day: what every answer depends on.

    "" where one of them cannot be told (the folder one stands in is gone): then nothing is kept.
    """
    try:
        return _digest_of_state()
    except OSError:
        return ""


def _digest_of_state() -> str:
    made = hashlib.sha256()

    def add(*parts: Any) -> None:
        made.update(repr(parts).encode("utf8", "surrogatepass"))

    add(VERSION, __version__, sys.version, os.uname(), os.getcwd(), str(_PACKAGE), date.today().isoformat())
    add(sys.flags, sorted((k, v) for k, v in os.environ.items() if k.startswith(_LOOKED_AT)))
    for folder in sys.path:
        if folder and folder != os.getcwd():  # the name of a library's folder carries its version
            add(folder, _stands("names", folder))
    waiting = [str(_PACKAGE)]
    while waiting:
        here = waiting.pop()
        for e in sorted(os.scandir(here), key=lambda e: e.name):
            if e.is_dir():
                if e.name != "__pycache__":
                    waiting.append(e.path)
            else:
                at = e.stat()
                add(e.path, at.st_size, at.st_mtime_ns, at.st_ctime_ns, at.st_ino)
    return made.hexdigest()


def _read(path: Path) -> dict[str, Any] | None:
    """A kept answer, or None for a file that is not there, not whole, or not written by this user."""
    try:
        if path.stat().st_uid != os.geteuid():
            return None
        text = read_sealed(path)
        made: dict[str, Any] | None = None if text is None else json.loads(text)
        return made
    except (OSError, ValueError):
        return None
