"""What the machine gives this process."""

from __future__ import annotations

import os


def cores() -> int:
    """How many cores this process may use, 1 where the system does not say."""
    try:
        return len(os.sched_getaffinity(0))
    except AttributeError:  # not on every system
        return os.cpu_count() or 1
