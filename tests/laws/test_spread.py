"""Cases over threads, processes and a cluster: the same results in their order, stop, refusals, deaths."""

from __future__ import annotations

import asyncio
import socket
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import psutil
import pytest
from distributed import LocalCluster

import spread_work as work
from heat_problem import demo
from panelmend.errors import Cancelled, InputError, SolverError
from panelmend.machine import cores
from panelmend.predict import cluster
from panelmend.predict.ensemble import COARSE, Ask
from panelmend.predict.many_cases import Workers, workers
from panelmend.predict.model import SensorSpot
from panelmend.predict.reading import run_case
from panelmend.predict.run_on import RunOn, here, run_on

KINDS = ("threads:2", "processes:2", "local:2")


# stands first: later tests keep workers that come and go
def test_nothing_is_left_behind() -> None:
    def children() -> set[int]:
        return {
            p.pid for p in psutil.Process().children(recursive=True) if "resource_tracker" not in _line(p)
        }

    before = children()
    for kind in KINDS[1:]:
        stop = threading.Event()
        with pytest.raises(Cancelled):
            run_cases(work.slow, list(range(500)), on=run_on(kind), tell=_stopper(stop), stop=stop)
    assert children() <= before


def run_cases(function: Any, cases: Sequence[Any], *, on: RunOn | Workers, **rest: Any) -> list[Any]:
    """Run a function over cases with workers that are ready, or with new ones that end with it."""
    if isinstance(on, Workers):
        return on.spread(function, cases, **rest)
    with workers(on) as ready:
        return ready.spread(function, cases, **rest)


def _stopper(stop: threading.Event) -> Callable[[str], None]:
    """Stops once cases are counted; the words before that say that workers are starting."""
    return lambda words: stop.set() if " of " in words and "cases" in words else None


def _line(process: psutil.Process) -> str:
    try:
        return " ".join(process.cmdline())
    except psutil.NoSuchProcess:
        return ""


@pytest.fixture(scope="module")
def pools() -> Iterator[dict[str, Workers]]:
    with ExitStack() as stack:
        yield {kind: stack.enter_context(workers(run_on(kind))) for kind in KINDS}


@pytest.fixture(scope="module")
def address(pools: dict[str, Workers]) -> str:
    """A running scheduler whose workers are processes of their own."""
    return str(pools["local:2"]._cluster.client.scheduler.address)  # type: ignore[attr-defined]


def heat_cases(count: int) -> list[object]:
    problem = demo()
    short = tuple(replace(leg, dwell=min(leg.dwell, 300.0)) for leg in problem.legs if leg.kind == "heat")
    problem = replace(problem, legs=short)
    return list(Ask(problem, tuple(SensorSpot(n, at) for n, at in problem.sensors)).drawn(count, 3, COARSE))


def test_heat_runs_are_the_same_bit_for_bit_wherever_they_are_made(
    pools: dict[str, Workers], address: str
) -> None:
    cases = heat_cases(9)
    plain = [run_case(c) for c in cases]  # type: ignore[arg-type]
    assert len({r.kelvin for r in plain}) == len(plain), "cases that differ give numbers that differ"
    for kind, ready in pools.items():
        assert run_cases(run_case, cases, on=ready) == plain, kind
    assert run_cases(run_case, cases, on=run_on(address)) == plain


@pytest.mark.parametrize("kind", KINDS)
def test_results_stand_in_the_order_of_the_cases(pools: dict[str, Workers], kind: str) -> None:
    cases = list(range(203))
    assert run_cases(work.squared, cases, on=pools[kind]) == [n * n for n in cases]
    assert run_cases(work.squared, [], on=pools[kind]) == []
    assert run_cases(work.squared, [5], on=pools[kind]) == [25]


@pytest.mark.parametrize("kind", KINDS[1:])
def test_more_than_one_worker_takes_part(pools: dict[str, Workers], kind: str) -> None:
    assert len(set(run_cases(work.worker_of, list(range(60)), on=pools[kind]))) == 2


@pytest.mark.parametrize("kind", KINDS)
def test_progress_is_told_and_stop_is_obeyed(pools: dict[str, Workers], kind: str) -> None:
    told: list[str] = []
    run_cases(work.slow, list(range(40)), on=pools[kind], tell=told.append)
    assert told[-1].startswith("40 of 40 cases")
    assert len(told) > 4
    stop = threading.Event()
    with pytest.raises(Cancelled, match=r"stopped after \d+ of 2000 cases"):
        run_cases(work.slow, list(range(2000)), on=pools[kind], tell=lambda words: stop.set(), stop=stop)
    assert run_cases(work.squared, [3, 4], on=pools[kind]) == [9, 16], "the workers can be used again"


@pytest.mark.parametrize("kind", KINDS)
def test_a_case_that_raises_is_named(pools: dict[str, Workers], kind: str) -> None:
    with pytest.raises(SolverError, match=r"case 8 of 30 \(7\): seven is no case; expected anything else"):
        run_cases(work.refuses_seven, list(range(30)), on=pools[kind])
    with pytest.raises(RuntimeError, match=r"(?s)case 8 of 30 \(7\) broke: .*breaks_at_seven"):
        run_cases(work.breaks_at_seven, list(range(30)), on=pools[kind])


@pytest.mark.parametrize("kind", KINDS[1:])
def test_what_cannot_be_sent_is_refused_and_nothing_hangs(pools: dict[str, Workers], kind: str) -> None:
    with pytest.raises(TypeError, match=r"pickle|serialize"):
        run_cases(work.gives_a_lock, [1, 2], on=pools[kind])
    with pytest.raises(TypeError, match=r"pickle|serialize"):
        run_cases(work.squared, [threading.Lock()], on=pools[kind])  # type: ignore[list-item]
    assert run_cases(work.squared, [3], on=pools[kind]) == [9]


@pytest.mark.parametrize("kind", KINDS[1:])
def test_a_worker_that_dies_costs_no_case(pools: dict[str, Workers], kind: str, tmp_path: Path) -> None:
    mark = tmp_path / "died"
    cases = [(n, str(mark)) for n in range(40)]
    assert run_cases(work.dies_once, cases, on=pools[kind]) == list(range(40))
    assert mark.exists()


@pytest.mark.parametrize("kind", KINDS[1:])
def test_workers_that_die_again_and_again_are_given_up(pools: dict[str, Workers], kind: str) -> None:
    with pytest.raises(SolverError, match=r"died .*memory ran out"):
        run_cases(work.dies_always, list(range(40)), on=pools[kind])


def test_a_worker_that_dies_while_it_looks_whether_to_stop_holds_nobody_up() -> None:
    """Looking took a lock; a worker ended at that moment kept it, and asking for the next stop hung."""
    said: list[str] = []

    def tried() -> None:
        with workers(run_on("processes:1")) as ready:
            with pytest.raises(SolverError, match="died"):
                ready.spread(work.dies_while_it_looks, [7])
            said.append(str(ready.spread(work.squared, [3])))

    trying = threading.Thread(target=tried, daemon=True)
    trying.start()
    trying.join(120.0)
    assert said == ["[9]"]


@pytest.mark.parametrize(("lost", "given_up"), [(2, False), (3, True)])
def test_work_that_a_cluster_loses_is_handed_over_again(
    lost: int, given_up: bool, pools: dict[str, Workers], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The answer never comes: twice it is asked for again, then that is said."""
    ready = pools["local:2"]
    client = ready._cluster.client  # type: ignore[attr-defined]
    gather, asked, told = client.gather, list[int](), list[int]()

    async def loses(*args: Any, **named: Any) -> Any:
        asked.append(1)
        if len(asked) <= lost:
            await asyncio.Event().wait()
        return await gather(*args, **named)

    def found_idle() -> bool:
        if len(told) < len(asked) <= lost:
            told.append(1)
            return True
        return False

    monkeypatch.setattr(client, "gather", loses)
    monkeypatch.setattr(ready._cluster, "check", found_idle)  # type: ignore[attr-defined]
    if given_up:
        with pytest.raises(SolverError, match=r"did not come back 3 times, with its workers idle"):
            ready.spread(work.squared, [3])
    else:
        assert ready.spread(work.squared, [3]) == [9]
    assert len(asked) == 3


@pytest.mark.parametrize(
    ("busy_until", "looked", "lost"),
    [(0.0, 60.0, False), (0.0, 60.1, True), (50.0, 110.0, False), (50.0, 110.1, True)],
)
def test_a_minute_with_workers_that_have_nothing_to_do_is_a_loss(
    busy_until: float, looked: float, lost: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """However long a case takes: while a worker has it, it is not lost."""
    now = [0.0]
    monkeypatch.setattr(cluster.time, "monotonic", lambda: now[0])
    scheduler = SimpleNamespace(
        ncores=lambda: {"w": 1}, processing=lambda: {"w": ["case"] if now[0] <= busy_until else []}
    )
    client = SimpleNamespace(status="running", scheduler=scheduler, sync=lambda ask, callback_timeout: ask())
    looking = cluster.Cluster(client, run_on("local:1"), 1)
    for now[0] in (10.0, 50.0, 57.0):
        assert not looking.check()
    now[0] = looked
    assert looking.check() is lost


@pytest.mark.parametrize("broken", [ValueError("bad value(s) in fds_to_keep"), OSError(11, "try again")])
def test_a_process_that_cannot_be_started_is_a_death(
    broken: Exception, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked: list[int] = []
    submit = ProcessPoolExecutor.submit

    def starts_at(call: int) -> Callable[..., Any]:
        def tried(self: ProcessPoolExecutor, *args: Any) -> Any:
            asked.append(1)
            if len(asked) < call:
                raise broken
            return submit(self, *args)

        return tried

    with workers(run_on("processes:1")) as ready:
        monkeypatch.setattr(ProcessPoolExecutor, "submit", starts_at(2))
        assert ready.spread(work.squared, [3, 4]) == [9, 16]
        monkeypatch.setattr(ProcessPoolExecutor, "submit", starts_at(10**9))
        with pytest.raises(SolverError, match="could not be started 3 times") as told:
            ready.spread(work.squared, [3, 4])
        assert told.value.__cause__ is broken


def test_settings_are_read() -> None:
    assert run_on("") == here() == RunOn("threads", cores())
    assert run_on("local:3") == RunOn("local", 3)
    assert run_on("processes") == RunOn("processes", cores())
    assert run_on("tcp://10.0.0.7:8786/") == RunOn("scheduler", 0, "tcp://10.0.0.7:8786")
    assert run_on("tls://[2001:db8::1]:8786").address == "tls://[2001:db8::1]:8786"
    for wrong in (
        "10.0.0.7:8786",
        "http://a:1",
        "tcp://a",
        "tcp://a:99999",
        "local:0",
        "local:-1",
        "four",
        "tcp://:1",
    ):
        with pytest.raises(InputError) as refused:
            run_on(wrong)
        assert wrong in str(refused.value)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "REACHED_WITHIN", 0.4)
    monkeypatch.setattr(cluster, "FIRST_WORKER_WITHIN", 0.4)


def refused(setting: str) -> str:
    with pytest.raises(InputError) as error:
        run_cases(work.squared, [1, 2], on=run_on(setting))
    return str(error.value)


@pytest.mark.usefixtures("quick")
def test_a_scheduler_that_is_not_there_is_told_in_words() -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    assert "no Dask scheduler answers" in refused(f"tcp://127.0.0.1:{port}")
    with socket.socket() as silent:
        silent.bind(("127.0.0.1", 0))
        silent.listen()
        assert "no Dask scheduler answers" in refused(f"tcp://127.0.0.1:{silent.getsockname()[1]}")
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        other.settimeout(60.0)
        answering = threading.Thread(target=_answer_like_a_web_server, args=(other,))
        answering.start()
        assert "no Dask scheduler" in refused(f"tcp://127.0.0.1:{other.getsockname()[1]}")
        answering.join(5.0)
    assert "certificates" in refused(f"tls://127.0.0.1:{port}")


def _answer_like_a_web_server(listening: socket.socket) -> None:
    with listening.accept()[0] as line:
        line.sendall(b"HTTP/1.1 400 Bad Request\r\nContent-Length: 0\r\n\r\n")


@pytest.mark.usefixtures("quick")
def test_a_scheduler_without_workers_is_told_in_words() -> None:
    with LocalCluster(n_workers=0, dashboard_address="127.0.0.1:0") as empty:
        assert "no workers" in refused(empty.scheduler_address)


def test_workers_with_other_code_or_none_are_refused(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(cluster, "build", work.another_build)
    assert "runs other code" in refused(address)
    monkeypatch.setattr(cluster, "build", work.no_build)
    assert "cannot run panelmend" in refused(address)


def test_without_dask_the_words_say_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    assert 'pip install "panelmend[cluster]"' in refused("local:2")
