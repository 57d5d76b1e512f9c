"""A Dask cluster: workers on other machines, or worker processes started here for the job.

Dask is an optional extra and is imported only here. It gives a chunk of cases to another worker by itself
when the first one dies.
"""

from __future__ import annotations

import asyncio
import importlib
import logging
import time
from collections.abc import Callable, Iterator
from concurrent.futures import CancelledError, Future, InvalidStateError
from contextlib import ExitStack, contextmanager, suppress
from typing import Any

from panelmend.errors import InputError, SolverError
from panelmend.predict.chunk import build
from panelmend.predict.run_on import RunOn

REACHED_WITHIN = 5.0  # [s] for the scheduler to answer
FIRST_WORKER_WITHIN = 10.0  # [s] for a worker to be there
_ALONE = 60.0  # [s] without any worker after which the work is given up
_IDLE = 60.0  # [s] with nothing for its workers to do after which what has not come is taken for lost
_LOOK = 2.0  # [s] between looks at the cluster
_QUIET = ("distributed", "tornado", "asyncio")
_LOCAL: dict[str, Any] = {
    "threads_per_worker": 1,
    "processes": True,
    "dashboard_address": "127.0.0.1:0",  # any free port, this machine alone
    "memory_limit": 0,
    "silence_logs": logging.CRITICAL,
    "preload": ["panelmend.predict.own_worker"],
}


class Cluster:
    """A client's work, and how the cluster is doing."""

    def __init__(self, client: Any, on: RunOn, workers: int) -> None:
        self.client, self.on, self.workers = client, on, workers
        self._handed: list[Any] = []
        self._looked = self._seen = self._busy = time.monotonic()

    def submit(self, function: Callable[..., Any], *args: Any) -> Future[Any]:
        """Hand a call over. Dask's own executor takes a result for an error when its worker dies while it is
        brought; a gather asks for the work again."""
        theirs, mine = self.client.submit(function, *args, pure=False), Future[Any]()
        self._busy = time.monotonic()
        self._handed.append(theirs)

        async def bring() -> None:
            try:
                result = await self.client.gather(theirs, asynchronous=True)
            except asyncio.CancelledError:
                _settle(mine.set_exception, CancelledError())
            except Exception as error:
                _settle(mine.set_exception, error)
            else:
                _settle(mine.set_result, result)

        self.client.loop.add_callback(bring)
        return mine

    def forget(self) -> None:
        """Take back what was handed over and is not done yet."""
        handed, self._handed = self._handed, []
        if handed and self.client.status == "running":
            self.client.cancel(handed)

    def check(self) -> bool:
        """See that somebody is still working.

        Returns:
            Whether what was handed over has been lost: for a minute no worker had any of it.

        Raises:
            SolverError: the scheduler is gone, or there has been no worker for a minute.
        """
        now = time.monotonic()
        if now - self._looked < _LOOK:
            return False
        self._looked = now
        try:
            if self.client.status != "running":
                raise OSError(f"the connection is {self.client.status}")
            if self.client.sync(self.client.scheduler.ncores, callback_timeout=REACHED_WITHIN):
                self._seen = time.monotonic()
            held = self.client.sync(self.client.scheduler.processing, callback_timeout=REACHED_WITHIN)
            if any(held.values()):
                self._busy = time.monotonic()
        except (OSError, TimeoutError) as error:
            raise self.gone(error) from None
        if time.monotonic() - self._seen > _ALONE:
            raise SolverError(
                f"for {_ALONE:.0f} s there was no worker ({self.on.words}): start workers and try again"
            )
        return time.monotonic() - self._busy > _IDLE

    def trouble(self, error: Exception) -> Exception:
        """An error that came instead of results, in words where it is the cluster's."""
        from distributed import KilledWorker

        if isinstance(error, KilledWorker):
            return SolverError(
                f"workers of {self.on.words} died again and again with the same cases: they were ended from "
                "outside, or memory ran out; try fewer workers on each machine"
            )
        return self.gone(error) if isinstance(error, CancelledError | OSError) else error

    def gone(self, error: BaseException | None = None) -> SolverError:
        """The cluster cannot be reached any more."""
        why = f" ({error})" if isinstance(error, OSError) and str(error) else ""
        return SolverError(
            f"{self.on.words} cannot be reached any more{why}; nothing of this work was kept. "
            "Look whether its scheduler still runs, and try again"
        )


def _settle(tell: Callable[[Any], None], answer: Any) -> None:
    with suppress(InvalidStateError):  # nobody waits for it any more
        tell(answer)


@contextmanager
def cluster(on: RunOn) -> Iterator[Cluster]:
    """Reach a scheduler, or start a scheduler and workers here; closed and ended on leaving.

    Args:
        on: a Where of kind "local" or "scheduler".

    Raises:
        InputError: Dask is not installed; no scheduler answers; it has no workers, or some with other code.
    """
    try:
        dask: Any = importlib.import_module("distributed")
    except ImportError:
        raise InputError(
            "the cases cannot be spread over a cluster: Dask is not installed",
            todo='install it with: pip install "panelmend[cluster]", or leave the setting empty',
        ) from None
    with ExitStack() as stack:
        stack.enter_context(_quiet())
        try:
            if on.kind == "local":
                address = stack.enter_context(dask.LocalCluster(n_workers=on.workers, **_LOCAL))
            else:
                address = on.address
                asyncio.run(_knock(address))
            client = stack.enter_context(
                dask.Client(address, timeout=REACHED_WITHIN, set_as_default=False, name="panelmend")
            )
        except Exception as error:  # whatever listens there may answer anything, and Dask raises as much
            raise _unreachable(on, error) from None
        yield Cluster(client, on, _workers(client, on))


def _unreachable(on: RunOn, error: Exception) -> InputError:
    said = (str(error).splitlines() or [type(error).__name__])[0]
    if on.kind == "local":
        return InputError("worker processes cannot be started here", read=said, todo='use "threads" instead')
    if "ssl_context" in said:
        return InputError(
            "a cluster with encryption needs its certificates",
            where=on.address,
            todo="name them in Dask's own settings (distributed.comm.tls)",
        )
    if isinstance(error, OSError | TimeoutError):
        words = f"no Dask scheduler answers within {REACHED_WITHIN:.0f} s"
    else:
        words = f"what answers there is no Dask scheduler of a fitting version ({said})"
    return InputError(
        words,
        where=on.address,
        todo="check address and port, and that the scheduler runs; without the setting the cores of this "
        "machine are used",
    )


async def _knock(address: str) -> None:
    """See that a scheduler answers: the client itself waits for ever where something listens in silence."""
    security: Any = importlib.import_module("distributed.security")
    comms: Any = importlib.import_module("distributed.comm")
    options = security.Security().get_connection_args("client")
    knocking = comms.connect(address, timeout=REACHED_WITHIN, **options)
    comm = await asyncio.wait_for(knocking, REACHED_WITHIN + 0.5)
    await comm.close()


def _workers(client: Any, on: RunOn) -> int:
    """How many cases can run at the same time; every worker is asked what it runs."""
    try:
        client.wait_for_workers(1, timeout=FIRST_WORKER_WITHIN)
    except TimeoutError:
        raise InputError(
            "the scheduler has no workers", where=on.address, todo="start workers on it and try again"
        ) from None
    try:
        builds: dict[str, str] = client.run(build)
    except (ImportError, AttributeError) as error:
        raise InputError(
            "the workers of the cluster cannot run panelmend",
            where=on.address,
            read=str(error),
            todo="install the same panelmend on every worker",
        ) from None
    except (OSError, TimeoutError, CancelledError) as error:
        raise InputError(
            "a worker of the cluster does not answer", where=on.address, read=str(error)
        ) from None
    for worker, theirs in sorted(builds.items()):
        if theirs != build():
            raise InputError(
                "a worker of the cluster runs other code, so its results could differ",
                where=f"{on.address}, worker {worker}",
                read=theirs,
                expected=build(),
                todo="install the same panelmend with the same pinned libraries on every worker",
            )
    return max(1, sum(int(n) for n in client.ncores().values()))


@contextmanager
def _quiet() -> Iterator[None]:
    """Our words are said by us: no log lines of the cluster's machinery on the user's screen."""
    names = [n for n in logging.root.manager.loggerDict if n.split(".")[0] in _QUIET]
    loggers = [logging.getLogger(name) for name in (*_QUIET, *names)]
    levels = [logger.level for logger in loggers]
    for logger in loggers:
        logger.setLevel(logging.CRITICAL + 1)
    try:
        yield
    finally:
        for logger, level in zip(loggers, levels, strict=True):
            logger.setLevel(level)
