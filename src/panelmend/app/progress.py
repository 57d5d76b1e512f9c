"""Progress on the terminal's error stream: one line that is rewritten, nothing where there is no terminal."""

from __future__ import annotations

import sys
from types import TracebackType


class ProgressLine:
    """Tells what is being done; silent where the error stream is no terminal."""

    def __init__(self) -> None:
        self._live = sys.stderr.isatty()
        self._width = 0

    def __enter__(self) -> ProgressLine:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.clear()

    def tell(self, words: str) -> None:
        """Show what is being done now."""
        if not self._live:
            return
        line = words[:100]
        sys.stderr.write("\r" + line.ljust(self._width))
        sys.stderr.flush()
        self._width = max(self._width, len(line))

    def clear(self) -> None:
        """Take the line away."""
        if self._live and self._width:
            sys.stderr.write("\r" + " " * self._width + "\r")
            sys.stderr.flush()
            self._width = 0
