"""A child process that proves seals and spelling, asked by the process that started it alone."""

from __future__ import annotations

import contextlib
import pickle
import sys

from panelmend.records.store.proving import prove, receive, send


def main() -> None:
    """Answer until nothing more is asked: "1" for what holds, "0" for what does not."""
    with contextlib.suppress(KeyboardInterrupt, BrokenPipeError):
        while (asked := receive(sys.stdin.buffer)) is not None:
            held = prove(pickle.loads(asked))
            send(sys.stdout.buffer, b"".join(b"1" if good else b"0" for good in held))


if __name__ == "__main__":
    main()
