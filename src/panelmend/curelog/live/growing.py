"""A log file that grows while it is read."""

from __future__ import annotations

import codecs
import hashlib
import os
from pathlib import Path

from panelmend.curelog.build import Builder
from panelmend.curelog.cells import block_of, open_file
from panelmend.curelog.readas import ReadAs
from panelmend.errors import InputError
from panelmend.plan.judge.log import CureLog

PIECE = 1 << 20


class GrowingFile:
    """Reads what is new in a text file at each :meth:`poll`; half a line waits until it is whole.

    A file that became shorter or was replaced is read from its start again; the samples read before are kept
    and the change is noted.
    """

    def __init__(self, path: str | Path, read_as: ReadAs) -> None:
        if not read_as.confirmed or read_as.form != "text":
            raise InputError("a growing file must be text, read by a confirmed description", where=str(path))
        self.path, self.read_as = Path(path), read_as
        self._builder = Builder(read_as, self.path.name)
        self._notes: list[str] = []
        self._digest = hashlib.sha256()
        self._restart()

    def _restart(self) -> None:
        decoder = codecs.getincrementaldecoder(self.read_as.encoding)(errors="replace")
        self._decoder = decoder
        self._at = 0
        self._line = 0
        self._rest = ""
        self._id: tuple[int, int] | None = None
        self._digest = hashlib.sha256()

    def poll(self) -> int:
        """Read what is new; the number of new samples. A file that is not there yet gives none."""
        try:
            state = os.stat(self.path)
        except FileNotFoundError:
            return 0
        mark = (state.st_dev, state.st_ino)
        if self._id is not None and (mark != self._id or state.st_size < self._at):
            self._notes.append(f"the file was replaced or cut after {self._builder.count} samples")
            self._restart()
        self._id = mark
        before = self._builder.count
        with open_file(self.path) as file:
            file.seek(self._at)
            while piece := file.read(PIECE):
                self._at += len(piece)
                self._digest.update(piece)
                self._take(self._decoder.decode(piece))
        return self._builder.count - before

    def _take(self, text: str) -> None:
        text = self._rest + text
        held = "\r" if text.endswith("\r") else ""  # its \n may still come
        text = text[: len(text) - len(held)].replace("\r\n", "\n").replace("\r", "\n")
        lines = text.split("\n")
        self._rest = lines.pop() + held
        skip = max(0, self.read_as.lines_above - self._line)
        first = self._line + min(skip, len(lines)) + 1
        self._line += len(lines)
        if lines[skip:]:
            self._builder.take(block_of(lines[skip:], first, self.read_as.separator, self.read_as.width))

    def __len__(self) -> int:
        return self._builder.count

    def log(self) -> CureLog:
        """The log so far; ReadingError before the first sample."""
        made = self._builder.finish(self._digest.hexdigest())
        if not self._notes:
            return made
        return CureLog(
            made.times,
            made.channels,
            made.started,
            made.digest,
            made.lines,
            made.stamp_step,
            made.ambient,
            (*made.notes, *self._notes),
        )
