"""Engines that crash, hang, lie or talk nonsense, and input no engine may see: the result stays legal."""

from __future__ import annotations

import json
import math
import queue
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from ends import at_most
from panelmend.errors import Cancelled, InputError, ShapeError
from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import NestProblem, Piece, Strip
from panelmend.job.nest.shelf import shelf_nest, why_left
from panelmend.nesting import child, compaction, port, worker

WEDGE = Piece("W", ((0, 0), (0.6, 0), (0, 0.4)), 0.0, True, False, 4)
PROBLEM = NestProblem("glass", (WEDGE,), (Strip("roll", 0.9, None, 0.01, 0.005),))
START = "import json, os, sys, time\nr = json.loads(sys.stdin.readline())\n"
SAY = "def say(**d): print(json.dumps(d), flush=True)\n"

LAYOUT = "say(layout={}, length=1.0, phase='x'); say(done=True)"
BAD = {
    "exit": ("os._exit(3)", "code 3"),
    "killed": ("os.kill(os.getpid(), 9)", "code -9"),
    "refuses to start": ("raise SystemExit('no library here')", "no library here"),
    "nonsense": ("print('thread panicked', flush=True); print('[1]', flush=True)", "unreadable"),
    "stranger": (LAYOUT.format("[[99, 0, 0, False, False]]"), "cannot be read"),
    "rows of another shape": (LAYOUT.format("[[0, 1]]"), "cannot be read"),
    "no number": (LAYOUT.format("[[0, 'a', 0, False, False]]"), "cannot be read"),
    "all on one place": (LAYOUT.format("[[0, 0, 0, False, False]] * 4"), "discarded"),
    "a piece forgotten": (LAYOUT.format("[[0, 0, 0, False, False]]"), "discarded"),
    "a stretch that is none": ("say(stretch='x'); say(stretch=1e400); os._exit(3)", "code 3"),
    "off the roll": (LAYOUT.format("[[0, 700 * k, 900, False, False] for k in range(4)]"), "discarded"),
}


def planted(monkeypatch: pytest.MonkeyPatch, folder: Path, body: str) -> None:
    script = folder / "worker.py"
    script.write_text(START + SAY + body + "\n", "utf8")
    monkeypatch.setattr(child, "WORKER", script)


@pytest.mark.parametrize("name", BAD)
def test_a_bad_engine_leaves_the_shelf_layout_and_a_note(
    name: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    body, words = BAD[name]
    planted(monkeypatch, tmp_path, body)
    result = port.search(PROBLEM, 3.0, engines=("planted",))
    assert result.engine == "shelves"
    assert result.nest == shelf_nest(PROBLEM)
    assert any(words in note for note in result.notes), result.notes


# the wedges in pairs, one half turned: 608 mm long pairs beside each other, in engine units
PAIRS = (
    "s = r['width'] / 0.88\n"
    "rows = [[0, 0, 0, False, False], [0, 0.608 * s, 0.42 * s, True, False]]\n"
    "rows += [[i, x, y + 0.43 * s, h, o] for i, x, y, h, o in rows]\n"
    "say(layout=rows, length=0.608 * s, phase='x')\n"
    "time.sleep(60)"
)


def test_a_search_ends_as_soon_as_nothing_shorter_is_possible(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Pushed together the pairs are as long as the longest piece, while the engine would go on."""
    planted(monkeypatch, tmp_path, PAIRS)
    started = time.monotonic()
    result = port.search(PROBLEM, 200.0, engines=("planted",))
    assert time.monotonic() - started < 40.0
    assert (result.engine, result.notes) == ("planted", ())
    assert faults(PROBLEM, result.nest) == ()
    assert result.nest.roll_length == pytest.approx(result.nest.layouts[0].bound, abs=1e-5)


def test_a_remnant_that_takes_everything_is_enough(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Where nothing is cut from the roll no shorter layout is looked for, and no other strip."""
    planted(monkeypatch, tmp_path, PAIRS)
    bit = Strip("bit", 0.9, 0.7, 0.01, 0.005, remnant=True)
    problem = NestProblem("glass", (WEDGE,), (*PROBLEM.strips, bit))
    assert shelf_nest(problem).roll_length > 0.0
    started = time.monotonic()
    result = port.search(problem, 200.0, engines=("planted",))
    assert time.monotonic() - started < 40.0
    assert result.nest.roll_length == 0.0
    assert [layout.strip.id for layout in result.nest.layouts] == ["bit"]
    assert faults(problem, result.nest) == ()


def test_a_lie_about_a_length_ends_no_search(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    lie = "say(layout=[[0, 0, 0, False, False]] * 4, length=1.0, phase='x'); time.sleep(0.3)\n"
    planted(monkeypatch, tmp_path, lie + PAIRS)
    started = time.monotonic()
    result = port.search(PROBLEM, 200.0, engines=("planted",))
    assert time.monotonic() - started < 40.0, "what comes after it still does"
    assert result.engine == "planted"
    assert faults(PROBLEM, result.nest) == ()


def test_an_engine_that_hangs_is_ended_and_what_it_found_counts(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    planted(monkeypatch, tmp_path, PAIRS)
    monkeypatch.setattr(port, "_NEAR", 0.0)  # no layout is good enough to end it
    started = time.monotonic()
    result = port.search(PROBLEM, 1.6, engines=("planted",))  # long enough to start beside other work
    assert time.monotonic() - started < 40.0, "it hangs for 60 s"
    assert any("was ended after" in note for note in result.notes)
    assert result.engine == "planted"
    assert faults(PROBLEM, result.nest) == ()
    assert result.nest.roll_length == pytest.approx(0.62, abs=1e-6), "pushed together"


def test_a_busy_machine_gets_the_time_it_needs(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A budget of 0.6 s is over after 1.35 s of the clock, with all grace; here one second takes three."""
    body = (
        "say(stretch=3.0); time.sleep(1.7)\n"
        "s = r['width'] / 0.88\n"
        "rows = [[0, 0, 0, False, False], [0, 0.608 * s, 0.42 * s, True, False]]\n"
        "rows += [[i, x, y + 0.43 * s, h, o] for i, x, y, h, o in rows]\n"
        "say(layout=rows, length=0.608 * s, phase='x'); say(done=True)"
    )
    planted(monkeypatch, tmp_path, body)
    result = port.search(PROBLEM, 0.6, engines=("planted",))
    assert result.engine == "planted"
    assert not any("was ended" in note for note in result.notes)
    assert result.seconds < 1.7, "what it waited for others is not counted"


def test_a_child_that_is_slow_to_begin_gets_its_whole_time(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """Where others take the processor a child needs seconds to start; it was ended before it had begun."""
    body = "time.sleep(2.0); say(stretch=1.0); time.sleep(0.3)\n"
    planted(monkeypatch, tmp_path, body + PAIRS.replace("time.sleep(60)", "say(done=True)"))
    result = port.search(PROBLEM, 0.8, engines=("planted",))
    assert result.engine == "planted"
    assert result.notes == ()
    assert result.seconds < 1.9, "what it waited to begin is not counted"


def test_what_came_before_the_end_counts_though_it_was_read_late() -> None:
    lines: queue.Queue[str | None] = queue.Queue()
    for k in range(3):
        lines.put(json.dumps({"layout": [], "length": 1.0 - k}) + "\n")
    # an engine that goes on talking does not go on for ever
    heard = child._Heard(lines, 1.0, time.monotonic() - 100.0, lambda _: lines.put('{"note": "more"}\n'))
    heard.begun = True
    assert heard.listen(None, None) is False
    assert [said["length"] for said in heard.layouts] == [1.0, 0.0, -1.0]


def test_how_much_slower_the_clock_is_than_the_processor() -> None:
    assert worker.clock_stretch(0.05, 0.05) == worker.clock_stretch(0.06, 0.05) == 1.0
    assert worker.clock_stretch(0.13, 0.05) == pytest.approx(2.6)
    assert worker.clock_stretch(1.0, 0.05) == worker.clock_stretch(0.2, 0.0) == worker.MOST_STRETCH


def test_engines_share_the_cores_there_are() -> None:
    assert port.engine_turns(("spyrrow",), 2) == [("spyrrow", "spyrrow")]
    assert port.engine_turns(("packingsolver", "spyrrow"), 2) == [("packingsolver", "spyrrow")]
    assert port.engine_turns(("packingsolver", "spyrrow"), 1) == [("packingsolver",), ("spyrrow",)]
    assert port.engine_turns(("packingsolver",), 8) == [("packingsolver",)]
    assert port.engine_turns(("packingsolver", "spyrrow"), 8) == [("packingsolver", *["spyrrow"] * 3)]
    assert port.engine_turns((), 2) == []


def test_cancel_ends_a_search_at_once(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    note = tmp_path / "pid"
    body = f"open({str(note)!r} + '.new', 'w').write(str(os.getpid()))\n"
    body += f"os.rename({str(note)!r} + '.new', {str(note)!r}); time.sleep(600)"
    planted(monkeypatch, tmp_path, body)
    at: list[float] = []

    class Cancel:
        """Set as soon as the engine runs."""

        def is_set(self) -> bool:
            if note.exists() and not at:
                at.append(time.monotonic())
            return bool(at)

    with pytest.raises(Cancelled):
        port.search(PROBLEM, 300.0, engines=("planted",), cancel=Cancel())
    assert time.monotonic() - at[0] < 40.0, "it would go on for minutes"
    assert not Path(f"/proc/{note.read_text('utf8')}").exists()


@pytest.mark.parametrize("sayer", ["a", "b"])
def test_an_interrupt_ends_every_engine_at_once(
    sayer: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """The pool waits for its threads: an engine that says nothing held an interrupted search to its end."""
    body = f"open({str(tmp_path)!r} + '/pid' + str(os.getpid()), 'w').close()\n"
    body += f"say(layout=[], length=5000.0, phase='x') if r['engine'] == '{sayer}' else None; time.sleep(600)"
    planted(monkeypatch, tmp_path, body)
    monkeypatch.setattr(port, "cores", lambda: 2)

    def progress(_: port.SearchProgress) -> None:
        while len(list(tmp_path.glob("pid*"))) < 2:
            time.sleep(0.05)
        raise KeyboardInterrupt

    started = time.monotonic()
    with pytest.raises(KeyboardInterrupt):
        port.search(PROBLEM, 300.0, engines=("a", "b"), progress=progress)
    assert time.monotonic() - started < 60.0, "it would go on for minutes"
    assert not any(Path(f"/proc/{p.name[3:]}").exists() for p in tmp_path.glob("pid*"))


def test_cancelled_while_layouts_are_pushed_together(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    cancel = threading.Event()
    rounds: list[int] = []
    real = compaction._round

    def round_then_cancel(*given: Any) -> Any:
        rounds.append(1)
        cancel.set()
        return real(*given)

    planted(monkeypatch, tmp_path, PAIRS.replace("time.sleep(60)", "say(done=True)"))
    monkeypatch.setattr(port, "_NEAR", 0.0)
    monkeypatch.setattr(compaction, "_round", round_then_cancel)
    with pytest.raises(Cancelled):
        port.search(PROBLEM, 300.0, engines=("planted",), cancel=cancel)
    assert rounds == [1]


def test_cancelled_before_it_starts() -> None:
    cancel = threading.Event()
    cancel.set()
    with pytest.raises(Cancelled):
        port.search(PROBLEM, 5.0, engines=("spyrrow",), cancel=cancel)


def test_the_child_leaves_when_its_parent_is_gone() -> None:
    process = subprocess.Popen(
        [sys.executable, "-P", str(child.WORKER)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )
    scale = 1000.0
    task = port.roll_tasks(PROBLEM, [shelf_nest(PROBLEM)])[0]
    assert process.stdin is not None
    assert process.stdout is not None
    process.stdin.write(json.dumps(port.request_for(task, "spyrrow", 60.0, 1, scale)) + "\n")
    process.stdin.flush()
    with at_most(process, "the first layout of an engine"):
        assert "stretch" in process.stdout.readline()
        assert "layout" in process.stdout.readline()
    process.stdin.close()
    assert process.wait(60.0) == 4
    process.stdout.close()


def test_the_real_engine_panics_on_a_piece_too_wide_and_the_panic_is_a_note() -> None:
    request = {
        "engine": "spyrrow",
        "width": 10.0,
        "gap": 0.0,
        "seconds": 1.0,
        "seed": 1,
        "reach": 10.0,
        "items": [{"shape": [[0, 0], [1, 0], [1, 12], [0, 12]], "copies": 1, "half": False, "over": False}],
    }
    answer = child.run_child(request, 5.0)
    assert answer.layouts == ()
    assert any("does not seem to fit" in note for note in answer.notes)


def test_an_engine_that_is_not_installed_is_a_note() -> None:
    result = port.search(PROBLEM, 2.0, engines=("no such engine",))
    assert result.engine == "shelves"
    assert any("no such engine" in note for note in result.notes)
    assert port.search(PROBLEM, 2.0, engines=()).notes == (
        "no search engine is installed; this is the shelf layout",
    )


def test_a_piece_too_big_is_left_over_and_the_rest_is_searched() -> None:
    big = Piece("B", ((0, 0), (0.5, 0), (0.5, 1.0), (0, 1.0)), 0.0, True, False, 1)
    problem = NestProblem("glass", (WEDGE, big), PROBLEM.strips)
    result = port.search(problem, 1.2, engines=("spyrrow",))
    assert [(u.piece, u.copies) for u in result.nest.unplaced] == [("B", 1)]
    assert "120.0 mm too wide" in why_left(big, problem.strips)
    assert faults(problem, result.nest) == ()
    alone = port.search(NestProblem("glass", (big,), PROBLEM.strips), 1.2)
    assert alone.nest.layouts == ()


@pytest.mark.parametrize("budget", [math.nan, math.inf, -1.0])
def test_a_budget_that_is_no_time_is_refused(budget: float) -> None:
    with pytest.raises(InputError, match="time budget"):
        port.search(PROBLEM, budget)


@pytest.mark.parametrize(
    "points",
    [
        (),
        ((0, 0), (1, 0)),
        ((0, 0), (1, 0), (math.nan, 1)),
        ((0, 0), (1, 0), (math.inf, 1)),
        ((0, 0), (1, 0), (2, 0)),
        ((0, 0), (0, 0), (0, 0)),
        ((0, 0), (2, 0), (0, 1), (2, 1)),
        ((0, 0), (1, 1), (0, 1), (1, 0), (2, 0.5)),
    ],
)
def test_an_outline_no_one_can_cut_never_becomes_a_piece(points: tuple[tuple[float, float], ...]) -> None:
    with pytest.raises(ShapeError, match="piece bad"):
        Piece("bad", points, 0.0, True, False, 1)


@pytest.mark.parametrize(
    "make",
    [
        lambda: Piece("P", WEDGE.boundary, math.nan, True, False, 1),
        lambda: Piece("P", WEDGE.boundary, 0.0, True, False, 0),
        lambda: Strip("s", math.nan, None, 0.0, 0.0),
        lambda: Strip("s", 1.0, -1.0, 0.0, 0.0),
        lambda: Strip("s", 1.0, None, 0.5, 0.0),
        lambda: Strip("s", 1.0, None, 0.0, -0.1),
        lambda: Strip("s", 1.0, None, 0.0, 0.0, remnant=True),
        lambda: NestProblem("c", (), PROBLEM.strips),
        lambda: NestProblem("c", (WEDGE,), ()),
        lambda: NestProblem("c", (WEDGE, WEDGE), PROBLEM.strips),
    ],
)
def test_input_that_cannot_be_nested_is_refused(make: object) -> None:
    assert callable(make)
    with pytest.raises(InputError):
        make()
