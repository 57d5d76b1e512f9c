"""What a verb says and cannot print: one line and its own exit code, never those of another end."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from typing import IO

import click

from panelmend.app.exits import Exit

_NAMES = (("stdout", "standard output"), ("stderr", "the error stream"))


@contextmanager
def printed() -> Iterator[None]:
    """Leave as not written where standard output, or the error stream, takes no more of what is said within.

    A reader who went away (``| head``) is told nothing. Every other error of the system goes on as it is.
    """
    try:
        try:
            yield
        finally:
            if sys.stdout is not None:
                sys.stdout.flush()
    except OSError as error:
        failed = [
            (stream, words, why)
            for stream, words in _streams()
            if (why := _refused(stream) or _said_into(stream, error)) is not None
        ]
        if not failed:
            raise
        for stream, _, _ in failed:
            _given_up(stream)
        _, words, why = failed[0]
        if why.errno != errno.EPIPE:
            with suppress(OSError):
                print(f"Not printed: {words} takes nothing more: {why.strerror or why}", file=sys.stderr)
        sys.exit(Exit.NOT_WRITTEN)


def _streams() -> Iterator[tuple[IO[str], str]]:
    for name, words in _NAMES:
        stream = getattr(sys, name)
        if stream is not None:
            yield stream, words


def _refused(stream: IO[str]) -> OSError | None:
    """Why a stream does not take what still waits in it; None where it does."""
    try:
        stream.flush()
    except OSError as error:
        return error
    except ValueError:  # closed
        return None
    return None


def _said_into(stream: IO[str], error: OSError) -> OSError | None:
    """The error, where it came of saying something into a stream; of much at once nothing waits in it."""
    trace = error.__traceback__
    while trace is not None and trace.tb_next is not None:
        trace = trace.tb_next
    if trace is None or trace.tb_frame.f_code is not click.echo.__code__:
        return None
    with suppress(OSError, ValueError, AttributeError):
        into: IO[str] = trace.tb_frame.f_locals["file"]
        return error if into is stream or into.fileno() == stream.fileno() else None
    return None


def _given_up(stream: IO[str]) -> None:
    """Let what waits in a stream go nowhere, or it would fail once more when Python ends."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
        stream.flush()
