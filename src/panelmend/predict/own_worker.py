"""Loaded by each worker process that is started here for a job, before its first case."""

from __future__ import annotations

import logging
import signal
import threading

from panelmend.predict.chunk import calm


def dask_setup(worker: object) -> None:
    """Called by Dask: an interrupt from the keyboard is for the process that started the worker, log lines
    for nobody."""
    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    logging.disable(logging.CRITICAL)
    calm()
