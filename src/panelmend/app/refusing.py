"""What a verb says and how it ends where it is refused or stopped."""

from __future__ import annotations

import _thread
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

import click

from panelmend.app.exits import Exit
from panelmend.app.stopping import Stopper
from panelmend.errors import Cancelled, DocumentError, InputError, MissingError, OutputError, PanelmendError

GRACE = 1.0  # s for long work to put down what it holds; then it is left where it is


@contextmanager
def refusals(*, watched: bool = False) -> Iterator[Stopper]:
    """Turn refusals into words and exit codes; the event is set when the user stops.

    Args:
        watched: whether the work looks at the event by itself. It has a moment to come to an end; all other
            work is left at once.
    """
    stop = Stopper()
    stop.at_once = not watched
    late = threading.Timer(GRACE, _again)
    late.daemon = True

    def ask_to_stop(number: int, frame: object) -> None:
        stop.pressed()
        if late.ident is None:
            late.start()

    old = signal.signal(signal.SIGINT, ask_to_stop)
    try:
        yield stop
    except DocumentError as error:
        count = len(error.faults)
        click.echo(f"Refused: {count} fault{'s' if count != 1 else ''} in the document.", err=True)
        for fault in error.faults:
            click.echo(f"  {fault.sentence()}", err=True)
        sys.exit(Exit.REFUSED)
    except OutputError as error:
        click.echo(f"Not written: {error}", err=True)
        sys.exit(Exit.NOT_WRITTEN)
    except (Cancelled, KeyboardInterrupt, click.Abort):
        click.echo("Stopped. Nothing was written.", err=True)
        sys.exit(Exit.STOPPED)
    except (InputError, MissingError, PanelmendError) as error:
        click.echo(f"Refused: {error}", err=True)
        sys.exit(Exit.REFUSED)
    finally:
        late.cancel()
        signal.signal(signal.SIGINT, old)


def _again() -> None:
    """Stop once more, as the user would who sees nothing happen."""
    main_thread = threading.main_thread().ident
    if hasattr(signal, "pthread_kill") and main_thread is not None:
        signal.pthread_kill(main_thread, signal.SIGINT)  # wakes it where it waits
    else:
        _thread.interrupt_main()
