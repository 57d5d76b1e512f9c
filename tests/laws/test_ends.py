"""What a test waits for has an end: it is told and killed when it does not come, and let be when it does."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import warnings
from collections.abc import Callable

import pytest

from ends import all_ended, at_most, ended

SLEEPS = [sys.executable, "-c", "import time; time.sleep(300)"]


def _copy(act: Callable[[], object]) -> int:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)
        child = os.fork()
    if child == 0:
        act()
        os._exit(3)
    return child


@pytest.mark.skipif(os.name != "posix", reason="no copies of a process elsewhere")
def test_a_copy_that_does_not_end_is_killed_and_told() -> None:
    assert os.waitstatus_to_exitcode(ended(_copy(lambda: None), "one")) == 3
    hangs = _copy(signal.pause)
    with pytest.raises(AssertionError, match=r"the writer had not ended after 0\.1 s"):
        ended(hangs, "the writer", 0.1)
    with pytest.raises(ChildProcessError):
        os.waitpid(hangs, os.WNOHANG)


def test_words_that_do_not_come_are_not_waited_for() -> None:
    with subprocess.Popen([sys.executable, "-c", "print(1)"], stdout=subprocess.PIPE) as one:
        assert one.stdout is not None
        with at_most(one, "a line"):
            assert one.stdout.readline().strip() == b"1"
        assert one.wait(60.0) == 0
    with subprocess.Popen(SLEEPS, stdout=subprocess.PIPE) as one:
        assert one.stdout is not None
        with (
            pytest.raises(AssertionError, match=r"a line: nothing came within 0\.1 s"),
            at_most(one, "a line", 0.1),
        ):
            one.stdout.readline()


def test_a_thread_that_goes_on_is_told() -> None:
    go_on = threading.Event()
    threads = [threading.Thread(target=go_on.wait), threading.Thread(target=lambda: None)]
    for thread in threads:
        thread.start()
    with pytest.raises(AssertionError, match=r"writers: 1 of 2 still ran after 0\.1 s"):
        all_ended(threads, "writers", 0.1)
    go_on.set()
    all_ended(threads, "writers")
