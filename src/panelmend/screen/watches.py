"""The watches of the workshop: each goes on in the server when no page looks, and is there again when the
server was ended or killed. Logs and descriptions of instruments stand in one folder; names in it are no
paths."""

from __future__ import annotations

import contextlib
import json
import re
import threading
from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from panelmend.app.cure_watch import CureWatch
from panelmend.errors import InputError, MissingError, OutputError, PanelmendError
from panelmend.files import replace_whole

NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._()+-]{0,119}")
BESIDE = (".read.json", ".cures.json", ".part")  # kept beside logs, no logs themselves
KEPT, SAID = "watches.json", "watch-said.jsonl"
MOST = 16  # watches at a time


@dataclass(frozen=True)
class WatchBegun:
    """A watch as it is kept: of which repair, of which cure by its place in the document from 1, which
    source; ``kept`` the file to which an instrument's readings are written, as they go on after the server
    was killed."""

    repair: str
    cure: int
    operation: str
    source: str
    on: str
    kept: str = ""


@dataclass
class Watches:
    """The watches, and the folder with what they read."""

    folder: Path
    logs: Path

    def __post_init__(self) -> None:
        self._there: dict[tuple[str, int], tuple[WatchBegun, CureWatch | None, str]] = {}
        self._lock = threading.RLock()
        try:
            self.logs.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise OutputError(f"{self.logs} could not be made: {error.strerror}") from None

    def sources(self) -> tuple[str, ...]:
        """Logs and instruments that are there, the newest first."""
        found = [
            p
            for p in self.logs.iterdir()
            if NAME.fullmatch(p.name) and not p.name.endswith(BESIDE) and p.is_file()
        ]
        return tuple(p.name for p in sorted(found, key=lambda p: -p.stat().st_mtime))

    def path(self, name: str) -> Path:
        """A log or an instrument by its name. Raises MissingError."""
        path = self.logs / name
        if not NAME.fullmatch(name) or name.endswith(BESIDE) or not path.is_file():
            raise MissingError(f"no log or instrument {name[:80]!r} in {self.logs.name}")
        return path

    def begin(self, repair: str, cure: int, operation: str, document: Path, source: str) -> CureWatch:
        """Watch a cure from now on; what was watched of it before is let go.

        Raises:
            MissingError: no such source.
            InputError: nobody confirmed how the log is read, or there are too many watches.
        """
        path = self.path(source)
        with self._lock:
            self.end(repair, cure)
            if len(self._there) >= MOST:
                raise InputError("too many cures are watched", expected=f"{MOST} at most")
            on = datetime.now(UTC)
            kept = self._new(source, on)
            watch = CureWatch(document, operation, path, kept).start()
            begun = WatchBegun(repair, cure, operation, source, on.isoformat(), kept.name)
            self._there[repair, cure] = (begun, watch, "")
            self._write()
            self.say(repair, cure, "begun", source)
            return watch

    def _new(self, source: str, on: datetime) -> Path:
        """A file of its own for the readings of an instrument: none that is there is gone on with."""
        stem = f"{Path(source).stem}-{on.strftime('%Y%m%d-%H%M%S')}"
        tried = (self.logs / f"{stem}{again}.csv" for again in ("", *(f"-{n}" for n in range(2, 100))))
        return next(p for p in tried if not p.exists())

    def end(self, repair: str, cure: int) -> None:
        """Watch it no more."""
        with self._lock:
            found = self._there.pop((repair, cure), None)
            if found is None:
                return
            if found[1] is not None:
                found[1].close()
            self._write()
            self.say(repair, cure, "ended", found[0].source)

    def of(self, repair: str, cure: int) -> tuple[WatchBegun, CureWatch | None, str] | None:
        """The watch of a cure, why it could not go on ("" where it does); None where nobody began one."""
        with self._lock:
            return self._there.get((repair, cure))

    def all_of(self, repair: str) -> tuple[WatchBegun, ...]:
        """The watches of a repair."""
        with self._lock:
            return tuple(b for (name, _), (b, _, _) in self._there.items() if name == repair)

    def go_on(self, document: Callable[[str], Path]) -> None:
        """Begin again what was watched when the server ended."""
        try:
            rows = json.loads((self.folder / KEPT).read_text("utf8"))
            kept = [WatchBegun(**row) for row in rows]
        except (OSError, ValueError, TypeError):
            return
        for b in kept:
            watch, fault = None, ""
            try:
                target = (
                    self.logs / b.kept if NAME.fullmatch(b.kept) else self._new(b.source, datetime.now(UTC))
                )
                watch = CureWatch(document(b.repair), b.operation, self.path(b.source), target).start()
            except PanelmendError as error:  # said on its page, and alarmed there
                fault = str(error)
            self._there[b.repair, b.cure] = (b, watch, fault)

    def close(self) -> None:
        """End all; they go on when the server is there again."""
        with self._lock:
            for _, watch, _ in self._there.values():
                if watch is not None:
                    watch.close()

    def say(self, repair: str, cure: int, what: str, words: str, by: str = "") -> None:
        """Write down what was done about a watch: begun, heard, heeded, ended; who and when."""
        row = {
            "on": datetime.now(UTC).isoformat(),
            "repair": repair,
            "cure": cure,
            "what": what,
            "words": words,
        }
        with contextlib.suppress(OSError), (self.folder / SAID).open("a", encoding="utf8") as file:
            file.write(json.dumps({**row, "by": by}, sort_keys=True) + "\n")

    def _write(self) -> None:
        rows = [asdict(b) for b, _, _ in self._there.values()]
        replace_whole(self.folder / KEPT, json.dumps(rows, indent=1).encode("utf8"))
