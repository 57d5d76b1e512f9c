"""Plates and bonds that were solved before are given again for the very same numbers, and for no others."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from examples_here import case_from, text
from panelmend import keeping
from panelmend.job.strength import formulas, tips
from panelmend.job.strength.solved import kept_by, solved, values_digest
from panelmend.plan.make import make_plan
from panelmend.plan.strength_study import StrengthStudy, study_strength
from panelmend.render import kept_study
from panelmend.render.kept_study import SolvedBefore
from panelmend.render.strength_report import strength_json
from strength_made import coarse


@dataclass(frozen=True)
class One:
    a: float
    b: str = ""


@dataclass(frozen=True)
class Other:
    a: float
    b: str = ""


class Sense(Enum):
    UP = 1
    DOWN = -1


ALIKE: list[Any] = [
    0.0,
    -0.0,
    1,
    1.0,
    True,
    None,
    "1",
    "",
    (),
    [],
    (1.0, 2.0),
    [1.0, 2.0],
    ((1.0,), 2.0),
    (1.0, (2.0,)),
    ("ab", "c"),
    ("a", "bc"),
    One(1.0),
    Other(1.0),
    One(1.0, "b"),
    One(np.nextafter(1.0, 2.0)),
    {"a": 1.0, "b": 2.0},
    {"a": 2.0, "b": 1.0},
    {},
    Sense.UP,
    Sense.DOWN,
    np.zeros((2, 3)),
    np.zeros((3, 2)),
    np.zeros(6),
    np.zeros(6, np.float32),
    np.zeros(6, np.int64),
    np.array([0.0, 0.0, 0.0, 0.0, 0.0, -0.0]),
]


def test_no_two_contents_have_one_digest() -> None:
    """Numbers that are equal and not the same are told apart, and rows cut otherwise, and arrays."""
    assert len({values_digest(value) for value in ALIKE}) == len(ALIKE)
    assert values_digest(1.0, 2.0) != values_digest((1.0, 2.0))
    assert values_digest(One(1.0), np.arange(4.0)) == values_digest(One(1.0), np.arange(8.0)[:4])
    assert values_digest(np.arange(6.0).reshape(2, 3)) == values_digest(
        np.arange(6.0).reshape(3, 2).T.T.reshape(2, 3)
    )


@pytest.mark.parametrize("value", [{1, 2}, object(), lambda: 1, b"x", 1j, np.array([object(), None])])
def test_what_has_no_content_that_can_be_told_is_always_solved(value: Any) -> None:
    with pytest.raises(TypeError):
        values_digest((1.0, value))
    with kept_by(lambda digest, solve: pytest.fail("nobody can know it again")):
        assert solved(lambda v: 7, value) == 7


def test_without_a_keeper_it_is_solved_and_two_solvers_are_never_mixed_up() -> None:
    def double(x: float) -> float:
        return 2.0 * x

    def half(x: float) -> float:
        return 0.5 * x

    kept = dict[str, Any]()

    def keeper(digest: str, solve: Callable[[], Any]) -> Any:
        if digest not in kept:
            kept[digest] = solve()
        return kept[digest]

    assert solved(double, 3.0) == 6.0
    with kept_by(keeper):
        assert [solved(double, 3.0), solved(half, 3.0), solved(double, 3.0)] == [6.0, 1.5, 6.0]
    assert len(kept) == 2
    kept.clear()
    assert solved(double, 3.0) == 6.0
    assert kept == {}, "nobody keeps any longer"


def _study(document: str, before: SolvedBefore | None) -> tuple[StrengthStudy, int]:
    """A study on coarse grids with nothing in memory, and how much of it was solved anew."""
    for remembered in (tips._unit, formulas._held):
        remembered.cache_clear()
    anew = 0

    def keeper(digest: str, solve: Callable[[], Any]) -> Any:
        def counted() -> Any:
            nonlocal anew
            anew += 1
            return solve()

        return counted() if before is None else before.answer(digest, counted)

    plan = make_plan(case_from(document))
    with coarse(), kept_by(keeper):
        return study_strength(plan), anew


def test_a_study_of_an_edited_document_is_the_one_made_from_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What the edit does not touch is taken, what it touches is solved, the same to the last bit."""
    monkeypatch.setenv(keeping.FOLDER, str(tmp_path / "kept"))
    door = text("gear_door")
    edits = [
        (door, 0),
        (door.replace('clean_beyond = { value = "75 mm"', 'clean_beyond = { value = "76 mm"'), 0),
        (door.replace('first_margin = { value = "25.4 mm"', 'first_margin = { value = "25.5 mm"'), 1),
        (door, 0),
    ]
    from_nothing, whole = _study(door, None)
    alone = {door: from_nothing}
    first = SolvedBefore("R 1")
    assert _study(door, first)[1] > 0
    first.keep()
    for document, least in edits:
        before = SolvedBefore("R 1")
        made, anew = _study(document, before)
        before.keep()
        if document not in alone:
            alone[document] = _study(document, None)[0]
        assert strength_json(made) == strength_json(alone[document])
        assert made.digest == alone[document].digest
        assert (anew > 0) == (least > 0)
        assert anew < whole
    assert [p.name.partition("-")[0] for p in (tmp_path / "kept").iterdir()] == ["solved"]


def test_whatever_is_done_to_an_answer_it_is_kept_as_it_was_solved(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(keeping.FOLDER, str(tmp_path))
    tmp_path.chmod(0o700)
    one = SolvedBefore("R 1")
    for _ in range(3):
        made = one.answer("d", lambda: np.array([1.0, 2.0]))
        assert made.tolist() == [1.0, 2.0]
        made *= 5.0
    one.keep()
    assert SolvedBefore("R 1").answer("d", lambda: pytest.fail("it was kept")).tolist() == [1.0, 2.0]


def test_damaged_or_not_there_all_is_solved(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(keeping.FOLDER, str(tmp_path))
    tmp_path.chmod(0o700)
    one = SolvedBefore("R 1")
    assert one.answer("d", lambda: 1.5) == 1.5
    one.keep()
    assert SolvedBefore("R 1").answer("d", lambda: pytest.fail("it was kept")) == 1.5
    assert SolvedBefore("R 2").answer("d", lambda: 2.5) == 2.5, "another repair's"
    (file,) = tmp_path.iterdir()
    whole = file.read_bytes()
    for bad in (whole[:-1], whole[:40] + bytes([whole[40] ^ 1]) + whole[41:], b"", b"x" * 100):
        file.write_bytes(bad)
        assert SolvedBefore("R 1").answer("d", lambda: 3.5) == 3.5
    monkeypatch.setattr(kept_study, "read_kept_object", lambda kind, digest: ["no answers"])
    assert SolvedBefore("R 1").answer("d", lambda: 4.5) == 4.5
    monkeypatch.setenv(keeping.FOLDER, "")
    SolvedBefore("R 1").keep()


def test_so_many_repairs_and_answers_are_kept_and_no_more(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(keeping.FOLDER, str(tmp_path))
    tmp_path.chmod(0o700)
    keeping.keep_object("strength", "other", 1)
    for k in range(kept_study.REPAIRS + 2):
        one = SolvedBefore(f"R {k}")
        one.answer("d", lambda k=k: k)
        one.keep()
        for path in tmp_path.iterdir():  # in order, however coarse the clock of the disk
            os.utime(path, ns=(path.stat().st_atime_ns, path.stat().st_mtime_ns - 10**9))
    assert len([*tmp_path.glob("solved-*")]) == kept_study.REPAIRS
    assert len([*tmp_path.glob("strength-*")]) == 1, "another kind stays"
    assert SolvedBefore("R 0").answer("d", lambda: "gone") == "gone"
    last = f"R {kept_study.REPAIRS + 1}"
    assert SolvedBefore(last).answer("d", lambda: "gone") == kept_study.REPAIRS + 1

    monkeypatch.setattr(kept_study, "SPARE", 2)
    for round_ in range(3):  # each asks for one that nobody asked for before
        one = SolvedBefore("many")
        one.answer(f"d{round_}", lambda: 0)
        one.keep()
    one = SolvedBefore("many")
    assert sorted(one._was) == ["d0", "d1", "d2"]
    one.answer("d3", lambda: 0)
    one.keep()
    assert len(SolvedBefore("many")._was) == 3
    assert "d3" in SolvedBefore("many")._was
