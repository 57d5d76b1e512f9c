"""A log file that grows while it is read."""

from __future__ import annotations

import codecs
import hashlib
import os
from dataclasses import replace
from pathlib import Path

from panelmend.curelog.build import Builder
from panelmend.curelog.cells import block_of, open_unbuffered
from panelmend.curelog.head import head_digest, same_names
from panelmend.curelog.readas import ReadAs
from panelmend.errors import InputError, ReadingError
from panelmend.plan.judge.log import CureLog

PIECE = 1 << 20
_FOREIGN = "the head of the file is not the one that was confirmed: nothing of it is read"


class GrowingFile:
    """Reads the new part of a text file at each :meth:`poll`; an unfinished line waits until it is complete.

    A file that became shorter or was replaced is read from its start again; the samples read before are kept,
    repeated ones are not taken twice, and the change is noted.
    """

    def __init__(self, path: str | Path, read_as: ReadAs) -> None:
        if not read_as.confirmed or read_as.form != "text":
            raise InputError("a growing file must be text, read by a confirmed description", where=str(path))
        self.path, self.read_as = Path(path), read_as
        self._builder = Builder(read_as, self.path.name)
        self.notes: list[str] = []
        self._digest = hashlib.sha256()
        self._beginning = b""
        self._head: list[str] = []
        self._foreign = False
        self._seen: set[int] = set()  # lines of samples, to know them again in a file that was written anew
        self._again = False
        self._restart()

    def _restart(self) -> None:
        decoder = codecs.getincrementaldecoder(self.read_as.encoding)(errors="replace")
        self._decoder = decoder
        self._at = 0
        self._line = 0
        self._rest = ""
        self._id: tuple[int, int] | None = None
        self._digest = hashlib.sha256()
        self._beginning = b""
        self._head = []
        self._foreign = False

    def _goes_on(self, size: int) -> bool:
        """Whether the present file begins with all that was read before: rewritten as a whole, and longer."""
        if size < self._at:
            return False
        digest, left = hashlib.sha256(), self._at
        with open_unbuffered(self.path) as file:
            while left and (piece := file.read(min(PIECE, left))):
                digest.update(piece)
                left -= len(piece)
        return not left and digest.digest() == self._digest.digest()

    def _changed(self) -> bool:
        """Whether the first bytes have changed: the file was overwritten in place."""
        with open_unbuffered(self.path) as file:
            return (file.read(len(self._beginning)) or b"") != self._beginning

    def poll(self) -> int:
        """Read what is new; the number of new samples. A file that is not there yet gives none.

        Raises:
            ReadingError: it cannot be read now.
            InputError: its header is not the one confirmed; raised at each call.
        """
        try:
            return self._polled()
        except OSError as error:  # a share that went away, a lock
            words = error.strerror or str(error)
            raise ReadingError("cannot be read now", where=self.path.name, read=words[:80]) from None

    def _polled(self) -> int:
        try:
            state = os.stat(self.path)
        except FileNotFoundError:
            return 0
        mark = (state.st_dev, state.st_ino)
        moved = mark != self._id or state.st_size < self._at or self._changed()
        if self._id is not None and moved and not self._goes_on(state.st_size):
            self.notes.append(
                f"the file was replaced or cut after {self._builder.count} samples; it is followed"
            )
            self._restart()
            self._again = True
        self._id = mark
        before = self._builder.count
        with open_unbuffered(self.path) as file:
            file.seek(self._at)
            while piece := file.read(PIECE):
                if len(self._beginning) < 4096:
                    self._beginning += piece[: 4096 - len(self._beginning)]
                self._at += len(piece)
                self._digest.update(piece)
                self._take(self._decoder.decode(piece))
        if self._foreign:
            raise InputError(_FOREIGN, where=self.path.name, todo="confirm it again")
        return self._builder.count - before

    def _take(self, text: str) -> None:
        text = self._rest + text
        held = "\r" if text.endswith("\r") else ""  # its \n may still come
        text = text[: len(text) - len(held)].replace("\r\n", "\n").replace("\r", "\n")
        lines = text.split("\n")
        self._rest = lines.pop() + held
        self._see_head(lines)
        if self._foreign:
            return
        skip = max(0, self.read_as.lines_above - self._line)
        first = self._line + min(skip, len(lines)) + 1
        self._line += len(lines)
        kept = lines[skip:]
        known = [hash(x) for x in kept]
        if self._again:
            new = next((i for i, x in enumerate(known) if x not in self._seen and kept[i].strip()), len(kept))
            kept, known, first = kept[new:], known[new:], first + new
            self._again = not kept
        self._seen.update(known)
        if kept:
            self._builder.take(block_of(kept, first, self.read_as.separator, self.read_as.width))

    def _see_head(self, lines: list[str]) -> None:
        """Compare the head with the one that was confirmed, once it is whole; another one is not read."""
        wanted = self.read_as.lines_above + 1
        if not self.read_as.head or len(self._head) >= wanted:
            return
        self._head += lines[: wanted - len(self._head)]
        if len(self._head) == wanted:
            shown = [self._head[0].removeprefix("\ufeff"), *self._head[1:]]
            first = self._builder.count == 0  # a file that replaces another begins with another sample
            found = head_digest(shown)
            same = found == self.read_as.head if first else same_names(found, self.read_as.head)
            if not same:
                self._foreign = True
                self.notes.append(f"{_FOREIGN}; confirm it again")

    def __len__(self) -> int:
        return self._builder.count

    def log(self) -> CureLog:
        """The log so far; ReadingError before the first sample."""
        made = self._builder.finish(self._digest.hexdigest(), whole=False)
        return replace(made, notes=(*made.notes, *self.notes)) if self.notes else made
