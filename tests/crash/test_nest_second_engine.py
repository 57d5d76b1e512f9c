"""The second engine by a stand-in with its names and its way of turning: found, asked, read back, missed.

The stand-in lays pieces in one row, each in the last way it is allowed to lie: mirrored in x, then turned,
then moved, as the real one does.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from panelmend.job.nest.legality import faults
from panelmend.job.nest.part import Nest, NestProblem, Piece, Strip
from panelmend.job.nest.shelf import shelf_nest
from panelmend.nesting import port

STAND_IN = """
import math
from types import SimpleNamespace as N

class Objective: OpenDimensionX = 1
class OptimizeParameters: pass

def build_shape(points): return points
def build_rectangle(x, y): return (x, y)

class InstanceBuilder:
    def __init__(self): self.items = []
    def set_objective(self, objective): assert objective == Objective.OpenDimensionX
    def set_item_item_minimum_spacing(self, gap): self.gap = gap
    def add_bin_type(self, rectangle): self.bin = rectangle
    def add_item_type(self, shape, copies, allowed_rotations):
        self.items.append((shape, copies, allowed_rotations))
    def build(self): return self

def optimize(asked, parameters):
    assert 0.0 < parameters.time_limit <= 60.0
    at, rows = 0.0, []
    for kind, (shape, copies, ways) in enumerate(asked.items):
        angle, end, mirror = ways[-1]
        c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
        lies = [((-x if mirror else x), y) for x, y in shape]
        lies = [(c * x - s * y, s * x + c * y) for x, y in lies]
        x0, y0 = min(x for x, y in lies), min(y for x, y in lies)
        for _ in range(copies):
            corner = N(x=at - x0, y=-y0)
            rows.append(N(item_type_id=kind, bl_corner=corner, angle=angle, mirror=mirror))
            at += max(x for x, y in lies) - x0 + asked.gap
    found = N(
        number_of_bins=lambda: 1, number_of_items=lambda: len(rows), bin=lambda i: N(items=rows),
        x_max=lambda: at - asked.gap, full=lambda: True,
    )
    parameters.new_solution_callback(N(solution=found))
    return N(solution=found)
"""
HOOK = ((0, 0), (0.4, 0), (0.4, 0.1), (0.1, 0.1), (0.1, 0.3), (0, 0.3))
SCALENE = ((0.02, 0.01), (0.41, 0.03), (0.1, 0.22))
STRIP = Strip("roll", 0.9, None, 0.01, 0.004)
WAYS = [(False, False), (True, False), (False, True), (True, True)]


def installed(monkeypatch: pytest.MonkeyPatch, folder: Path, text: str) -> None:
    """As if the engine had been installed, for this process and for its children."""
    (folder / "packingsolver").mkdir()
    (folder / "packingsolver" / "__init__.py").write_text("", "utf8")
    (folder / "packingsolver" / "irregular.py").write_text(text, "utf8")
    monkeypatch.syspath_prepend(str(folder))
    monkeypatch.setenv("PYTHONPATH", str(folder))


@pytest.mark.parametrize(("half", "over"), WAYS)
@pytest.mark.parametrize("outline", [HOOK, SCALENE])
def test_what_it_lays_in_its_own_way_is_read_as_it_lies(
    outline: tuple[tuple[float, float], ...],
    half: bool,
    over: bool,
    monkeypatch: pytest.MonkeyPatch,
    tmp_path: Path,
) -> None:
    installed(monkeypatch, tmp_path, STAND_IN)
    piece = Piece("P", outline, 0.4, half, over, 3)
    problem = NestProblem("c", (piece,), (STRIP,))
    (task,) = port.roll_tasks(problem, [shelf_nest(problem)])
    scale = 1000.0
    answer = port.run_child(port.request_for(task, "packingsolver", 5.0, 1, scale), 20.0)
    assert answer.notes == ()
    said = port.said_by("packingsolver", 0, answer.layouts)
    (rows,) = {str(one.rows) for one in said}
    nest, engine, words = port.best_of(problem, _longer(task), said, scale, 0.0)
    assert (engine, words) == ("packingsolver", ()), rows
    assert nest is not None
    assert faults(problem, nest) == ()
    (layout,) = nest.layouts
    assert all(p.mirrored == over for p in layout.placements)
    along, _ = piece.extents()
    assert layout.used_length == pytest.approx(0.02 + 3 * along + 2 * 0.004, abs=1e-6), "one row"


def _longer(task: port.Task) -> port.Task:
    """The same task with room for one row, which is longer than shelves."""
    return port.Task(task.strip, task.items, task.kept, task.left, 10.0, task.bound)


def test_it_is_chosen_where_it_is_installed_and_the_better_layout_of_both_counts(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    assert port.engines_here()[-1] == "spyrrow"
    installed(monkeypatch, tmp_path, STAND_IN)
    assert port.engines_here() == ("packingsolver", "spyrrow")
    problem = NestProblem("c", (Piece("P", HOOK, 0.0, True, False, 6),), (STRIP,))
    result = port.search(problem, 2.0, 1)
    assert faults(problem, result.nest) == ()
    assert result.nest.roll_length <= shelf_nest(problem).roll_length


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("raise ImportError('made for another Python')", "another Python"),
        ("import os; os._exit(9)", "code 9"),
    ],
)
def test_one_that_cannot_be_loaded_is_a_note_and_the_other_engine_searches(
    text: str, words: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    installed(monkeypatch, tmp_path, text)
    problem = NestProblem("c", (Piece("P", HOOK, 0.0, True, False, 6),), (STRIP,))
    found: Nest | None = None
    for budget in (1.5, 5.0, 20.0):  # a busy machine only takes longer
        result = port.search(problem, budget, 1)
        assert any("packingsolver" in note and words in note for note in result.notes)
        found = result.nest
        if result.engine == "spyrrow":
            break
    assert found is not None
    assert faults(problem, found) == ()
    assert result.engine == "spyrrow"
