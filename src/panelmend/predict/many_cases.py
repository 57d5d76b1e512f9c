"""Run a function over many cases at once: on this machine's cores or on a cluster, with progress and stop.

The results stand in the order of the cases and do not depend on where they were made: each case is a call of
its own, numerical libraries run on one thread, and workers that run other code are refused.
"""

from __future__ import annotations

import ctypes
import math
import multiprocessing
import queue
import time
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from typing import Any, TypeVar

from threadpoolctl import threadpool_limits

from panelmend.errors import Cancelled, SolverError
from panelmend.long_work import Stop, Tell, silent
from panelmend.predict import chunk as on_worker
from panelmend.predict.chunk import Done, Failure, run_chunk
from panelmend.predict.run_on import RunOn

T = TypeVar("T")
R = TypeVar("R")
_POLL = 0.1  # [s]
_LARGEST = {"threads": 2, "processes": 16, "local": 32, "scheduler": 32}  # cases in a chunk
_SHARES = 8  # at least so many chunks for each worker, so that none waits long for the last
_DEATHS = 3  # of a worker process with the same work, before it is given up


class Workers(ABC):
    """Workers that are ready. Made by :func:`workers`; used again for one set of cases after another."""

    def __init__(self, on: RunOn, count: int) -> None:
        self.on, self.count = on, count

    def spread(
        self, function: Callable[[T], R], cases: Sequence[T], *, tell: Tell = silent, stop: Stop | None = None
    ) -> list[R]:
        """Run a function over many cases.

        Args:
            function: of one case; it and the cases must be picklable unless ``on`` says threads.
            cases: what it is run on.
            tell: told how far it is.
            stop: set to stop; no later than a case of each worker afterwards all is quiet.

        Returns:
            What the function gave, in the order of the cases.

        Raises:
            Cancelled: ``stop`` was set.
            SolverError: the function refused a case (the case is named); workers died again and again.
            RuntimeError: the function broke on a case: a fault of the function, named with its case.
            InputError: no such cluster, or none of its workers will do.
        """
        size = min(_LARGEST[self.on.kind], max(1, math.ceil(len(cases) / (_SHARES * self.count))))
        todo = {first: cases[first : first + size] for first in range(0, len(cases), size)}
        return self._listen(function, cases, todo, tell, stop)

    @abstractmethod
    def submit(self, function: Callable[[T], R], first: int, cases: Sequence[T]) -> Future[Done]:
        """Hand a chunk over."""

    def check(self) -> bool:
        """Whether what has not come is to be handed over once more; raises where workers are gone."""
        return False

    def again(self, error: Exception) -> bool:
        """Whether chunks lost by this error may be handed over once more; raises where it is hopeless."""
        raise error

    def ask_to_stop(self) -> None:  # noqa: B027
        """Ask workers to stop after their present case."""

    def _listen(
        self,
        function: Callable[[T], R],
        cases: Sequence[T],
        todo: dict[int, Sequence[T]],
        tell: Tell,
        stop: Stop | None,
    ) -> list[R]:
        answers: queue.Queue[tuple[int, Future[Done]]] = queue.Queue()
        pending: dict[int, Future[Done]] = {}

        def hand_over(first: int) -> None:
            pending[first] = self.submit(function, first, todo[first])
            pending[first].add_done_callback(lambda future: answers.put((first, future)))

        def hand_over_again() -> None:
            for first in [n for n in todo if n not in made]:
                hand_over(first)

        made: dict[int, list[R]] = {}
        count, started = 0, time.monotonic()
        try:
            for first in todo:
                hand_over(first)
            while len(made) < len(todo):
                if stop is not None and stop.is_set():
                    raise Cancelled(f"stopped after {count} of {len(cases)} cases")
                try:
                    first, future = answers.get(timeout=_POLL)
                except queue.Empty:
                    if self.check():
                        hand_over_again()
                    continue
                if first in made or pending[first] is not future:
                    continue  # the answer of a pool that has been replaced
                try:
                    done = future.result()
                except Exception as error:
                    if self.again(error):
                        hand_over_again()
                    continue
                if done.failure is not None:
                    if isinstance(done.failure.error, Cancelled):
                        raise done.failure.error
                    raise _failed(done.failure, cases) from done.failure.error
                if len(done.results) != len(todo[first]):
                    raise RuntimeError(f"a worker left out cases after case {first + len(done.results)}")
                made[first] = done.results
                count += len(done.results)
                tell(_words(count, len(cases), time.monotonic() - started))
        except BaseException:
            self.ask_to_stop()
            for future in pending.values():
                future.cancel()
            raise
        return [result for first in todo for result in made[first]]


@contextmanager
def workers(on: RunOn, tell: Tell = silent) -> Iterator[Workers]:
    """Workers for several sets of cases; ended on leaving, whatever happened.

    Raises:
        InputError: no such cluster, or none of its workers will do.
    """
    if on.kind == "threads":
        with threadpool_limits(limits=1), ThreadPoolExecutor(on.workers) as executor:
            yield _Threads(on, executor)
    elif on.kind == "processes":
        ready = _Processes(on, tell)
        try:
            yield ready
        finally:
            ready.end()
    else:
        from panelmend.predict.cluster import cluster

        tell(f"reaching {on.words}" if on.kind == "scheduler" else f"starting {on.words}")
        with threadpool_limits(limits=1), cluster(on) as found:
            yield _Dask(on, found)


class _Threads(Workers):
    """Threads of this process: the function may be anything, errors keep their traceback."""

    def __init__(self, on: RunOn, executor: ThreadPoolExecutor) -> None:
        super().__init__(on, on.workers)
        self._executor, self._asked = executor, False

    def spread(
        self, function: Callable[[T], R], cases: Sequence[T], *, tell: Tell = silent, stop: Stop | None = None
    ) -> list[R]:
        self._asked = False
        return super().spread(function, cases, tell=tell, stop=stop)

    def submit(self, function: Callable[[T], R], first: int, cases: Sequence[T]) -> Future[Done]:
        def stoppable(case: T) -> R:
            if self._asked:
                raise Cancelled("stopped")
            return function(case)

        return self._executor.submit(run_chunk, stoppable, first, cases, True)

    def ask_to_stop(self) -> None:
        self._asked = True


class _Processes(Workers):
    """Processes of this machine, started anew so that they share nothing."""

    def __init__(self, on: RunOn, tell: Tell) -> None:
        self._context = multiprocessing.get_context("spawn")
        # a byte without a lock: a worker that is ended while it looks at an event keeps its lock for good
        self._asked = self._context.RawValue(ctypes.c_bool, False)
        self._deaths = 0
        tell(f"starting {on.words}")
        super().__init__(on, on.workers)
        self._executor = self._pool(on.workers)

    def _pool(self, count: int) -> ProcessPoolExecutor:
        return ProcessPoolExecutor(
            count, mp_context=self._context, initializer=on_worker.start_worker, initargs=(self._asked,)
        )

    def spread(
        self, function: Callable[[T], R], cases: Sequence[T], *, tell: Tell = silent, stop: Stop | None = None
    ) -> list[R]:
        self._asked.value = False
        self._deaths = 0
        return super().spread(function, cases, tell=tell, stop=stop)

    def submit(self, function: Callable[[T], R], first: int, cases: Sequence[T]) -> Future[Done]:
        try:
            return self._executor.submit(run_chunk, function, first, cases)
        except BrokenProcessPool as error:  # it died between two chunks: told like any other death
            return _lost(error)
        except (OSError, ValueError) as error:
            # the next process could not be started: memory or processes ran out, or another one died at that
            # moment and the pool has closed the pipe that the new one was to be given
            broken = BrokenProcessPool(f"a worker process could not be started: {error}")
            broken.__cause__ = error
            return _lost(broken)

    def again(self, error: Exception) -> bool:
        if not isinstance(error, BrokenProcessPool):
            raise error
        self._deaths += 1
        if self._deaths >= _DEATHS:
            raise SolverError(
                f"a worker process died or could not be started {_DEATHS} times: it was ended from outside, "
                "or memory ran out; try fewer workers"
            ) from error.__cause__
        self._executor.shutdown(wait=True, cancel_futures=True)
        self._executor = self._pool(self.count)
        return True

    def ask_to_stop(self) -> None:
        self._asked.value = True

    def end(self) -> None:
        """End the processes after their present case."""
        self._asked.value = True
        self._executor.shutdown(wait=True, cancel_futures=True)


def _lost(error: BrokenProcessPool) -> Future[Done]:
    lost: Future[Done] = Future()
    lost.set_exception(error)
    return lost


class _Dask(Workers):
    """Workers of a Dask cluster."""

    def __init__(self, on: RunOn, found: Any) -> None:
        super().__init__(on, found.workers)
        self._cluster, self._losses = found, 0

    def spread(
        self, function: Callable[[T], R], cases: Sequence[T], *, tell: Tell = silent, stop: Stop | None = None
    ) -> list[R]:
        self._losses = 0
        try:
            return super().spread(function, cases, tell=tell, stop=stop)
        finally:
            self._cluster.forget()

    def submit(self, function: Callable[[T], R], first: int, cases: Sequence[T]) -> Future[Done]:
        made: Future[Done] = self._cluster.submit(run_chunk, function, first, cases)
        return made

    def check(self) -> bool:
        """A scheduler can lose work when workers die; after some times it is given up."""
        if not self._cluster.check():
            return False
        self._losses += 1
        if self._losses >= _DEATHS:
            raise SolverError(
                f"what was handed to {self.on.words} did not come back {_DEATHS} times, with its workers "
                "idle: look whether they are sound, and try again"
            )
        return True

    def again(self, error: Exception) -> bool:
        raise self._cluster.trouble(error) from None


def _failed(failure: Failure, cases: Sequence[object]) -> Exception:
    where = f"case {failure.case + 1} of {len(cases)} ({str(cases[failure.case])[:300]})"
    if failure.trace:
        return RuntimeError(f"{where} broke: {failure.words}\n{failure.trace}")
    return SolverError(f"{where}: {failure.words}")


def _words(done: int, cases: int, seconds: float) -> str:
    left = seconds * (cases - done) / done
    return f"{done} of {cases} cases" + (f", about {left:.0f} s left" if seconds > 2.0 and left > 0.5 else "")
