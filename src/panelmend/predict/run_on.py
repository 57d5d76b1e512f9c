"""Where many cases are run: on this machine's cores, in processes of their own, or on a Dask cluster."""

from __future__ import annotations

import re
from dataclasses import dataclass

from panelmend.errors import InputError
from panelmend.machine import cores

FORMS = (
    'nothing (this machine), "threads:4", "processes:4", "local:4" (worker processes started for the job) '
    'or the address of a Dask scheduler such as "tcp://192.0.2.10:8786"'
)
_MOST = 1024
_OWN = {"threads": "threads", "processes": "processes", "local": "worker processes"}


@dataclass(frozen=True)
class RunOn:
    """``kind`` is "threads", "processes", "local" (Dask workers started here for the job) or "scheduler"
    (a running Dask cluster at ``address``); ``workers`` how many (0 at a scheduler: as many as it has)."""

    kind: str
    workers: int
    address: str = ""

    @property
    def words(self) -> str:
        """For the screen."""
        if self.kind == "scheduler":
            return f"the cluster at {self.address}"
        return f"{self.workers} {_OWN[self.kind]} of this machine"


def here() -> RunOn:
    """All cores of this machine: threads, because the compiled solver lets other threads run beside it."""
    return RunOn("threads", cores())


def run_on(setting: str) -> RunOn:
    """Read the setting of where to run.

    Args:
        setting: one of the forms listed in ``FORMS``.

    Returns:
        Where to run; nothing is started or called yet.

    Raises:
        InputError: none of the forms.
    """
    text = setting.strip()
    if not text:
        return here()
    own = re.fullmatch(r"(threads|processes|local)(?::(\d{1,5}))?", text)
    if own is not None:
        count = int(own[2]) if own[2] else cores()
        if not 1 <= count <= _MOST:
            raise InputError("no number of workers", read=text, expected=f"1 to {_MOST}")
        return RunOn(own[1], count)
    far = re.fullmatch(r"(tcp|tls)://(\[[0-9A-Fa-f:.]+\]|[^\s:/\[\]]+):(\d{1,5})/?", text)
    if far is None or not 0 < int(far[3]) < 65536:
        raise InputError("this says nothing about where to run the cases", read=text, expected=FORMS)
    return RunOn("scheduler", 0, text.rstrip("/"))
