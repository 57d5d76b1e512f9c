"""Kept words of a verb: the bytes of a whole run while all that it looked at stands, and no longer."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from panelmend import keeping
from panelmend.app import kept_answers, service
from panelmend.app.cli import main
from panelmend.app.kept_answers import SETTING, Answers
from panelmend.keeping import FOLDER
from panelmend.plan.plan import Plan
from panelmend.render.beside import Beside

EXAMPLES = Path(__file__).parents[2] / "examples"
DOCUMENTS = sorted(p for p in EXAMPLES.glob("*/*.toml") if b"panelmend = " in p.read_bytes()[:4000])
DOCUMENTS = [p for p in DOCUMENTS if p.parent.name != "shelves"]


@pytest.fixture(autouse=True)
def kept_in(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "kept"
    monkeypatch.delenv(SETTING)
    monkeypatch.setenv(FOLDER, str(folder))
    return folder


@pytest.fixture
def runs(monkeypatch: pytest.MonkeyPatch) -> list[Path]:
    """Every plan that is really made."""
    made: list[Path] = []
    whole = service.plans

    def plans(path: Path, *given: object) -> object:
        made.append(path)
        return whole(path, *given)  # type: ignore[arg-type]

    monkeypatch.setattr(service, "plans", plans)
    return made


def _ask(*words: str | Path) -> Result:
    return CliRunner().invoke(main, [str(w) for w in words])


def test_every_example_is_answered_with_the_bytes_of_its_whole_run(runs: list[Path]) -> None:
    assert len(DOCUMENTS) >= 7
    for document in DOCUMENTS:
        whole, kept = _ask("plan", document), _ask("plan", document)
        assert (kept.stdout_bytes, kept.exit_code) == (whole.stdout_bytes, whole.exit_code), document
        assert whole.stdout_bytes or whole.exit_code == 3
        assert runs.count(document) == (2 if whole.exit_code == 3 else 1), document  # no refusal is kept


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job on shelves of its own, with its kept heat and layouts."""
    folder = tmp_path_factory.mktemp("job")
    shutil.copytree(EXAMPLES / "shelves", folder / "shelves")
    for name in ("short.toml", "repair.heat.json", "repair.nest.json"):
        shutil.copy(EXAMPLES / "gear_door" / name, folder / name.replace("repair", "short"))
    return folder / "short.toml"


def _edit(name: str, old: bytes, new: bytes) -> Callable[[Path], None]:
    def change(folder: Path) -> None:
        data = (folder / name).read_bytes()
        assert old in data
        (folder / name).write_bytes(data.replace(old, new, 1))

    return change


def _add(name: str, words: str = "") -> Callable[[Path], None]:
    def change(folder: Path) -> None:
        (folder / name).write_text(words, "utf8")

    return change


def _remove(name: str) -> Callable[[Path], None]:
    return lambda folder: (folder / name).unlink()


def _turned(name: str) -> Callable[[Path], None]:
    """The same bytes behind a link: a shelf refuses links."""

    def change(folder: Path) -> None:
        (folder / name).rename(folder / "elsewhere")
        (folder / name).symlink_to(folder / "elsewhere")

    return change


CHANGES: dict[str, Callable[[Path], None]] = {
    "document edited": _edit("short.toml", b"TAS-26-0417", b"TAS-26-0418"),
    "a space in the document": _edit("short.toml", b" = ", b"  = "),
    "shelf edited": _edit("shelves/bays/door cell.toml", b" = ", b"  = "),
    "another entry of the shelf edited": _edit("shelves/bays/engine cell.toml", b" = ", b"  = "),
    "an accepted value edited": _edit("shelves/practice/practice 2026.toml", b"until", b"Until"),
    "an entry more": _add("shelves/data/M3-SRM rev 12 - Repair 7.toml", "x"),
    "an entry less": _remove("shelves/bays/clean room 2.toml"),
    "an entry that is a link": _turned("shelves/bays/door cell.toml"),
    "kept heat renewed": _edit("short.heat.json", b"0", b"1"),
    "kept heat gone": _remove("short.heat.json"),
    "kept layouts renewed": _edit("short.nest.json", b"0", b"1"),
    "a page of a pack beside it": _add("plan.json"),
    "a pack beside it": lambda folder: (folder / "short-pack").mkdir(),
    "shelves nearer": lambda folder: (folder / "shelves" / "shelves").mkdir(),
}
NEARER = {"shelves nearer"}  # below the shelves: changes nothing for this job


@pytest.fixture(scope="module")
def planned(job: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("answers")
    with pytest.MonkeyPatch.context() as m:
        m.delenv(SETTING)
        m.setenv(FOLDER, str(folder))
        assert _ask("plan", job).exit_code in (0, 6)
    return folder


@pytest.mark.parametrize("name", CHANGES)
def test_whatever_a_plan_looked_at_is_looked_at_again(
    name: str, job: Path, planned: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(FOLDER, str(planned))
    assert Answers("plan", job).found() is not None
    saved = tmp_path / "saved"
    shutil.copytree(job.parent, saved)
    try:
        CHANGES[name](job.parent)
        assert (Answers("plan", job).found() is None) != (name in NEARER)
    finally:
        shutil.rmtree(job.parent)
        shutil.copytree(saved, job.parent)
    assert Answers("plan", job).found() is not None


def test_another_day_setting_folder_option_or_code_is_another_question(
    job: Path, planned: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(FOLDER, str(planned))

    def kept(options: str = "") -> bool:
        return Answers("plan", job, options).found() is not None

    assert kept()
    assert not kept("strict")
    with monkeypatch.context() as m:
        m.setenv("XDG_DATA_HOME", str(tmp_path))
        assert not kept()
    with monkeypatch.context() as m:
        m.chdir(tmp_path)
        assert not kept()
    with monkeypatch.context() as m:

        class Tomorrow(date):
            @classmethod
            def today(cls) -> Tomorrow:
                day = date.today() + timedelta(days=1)
                return cls(day.year, day.month, day.day)

        m.setattr(kept_answers, "date", Tomorrow)
        assert not kept()
    assert kept()


def test_another_file_of_the_code_is_another_question(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    code = tmp_path / "code" / "room"
    code.mkdir(parents=True)
    (code / "limits.py").write_text("LEAST = 25.4\n", "utf8")
    monkeypatch.setattr(kept_answers, "_PACKAGE", code.parent)
    before = kept_answers._state()
    assert kept_answers._state() == before
    at = (code / "limits.py").stat()
    (code / "limits.py").write_text("LEAST = 25.5\n", "utf8")  # as long, and dated as before
    os.utime(code / "limits.py", ns=(at.st_atime_ns, at.st_mtime_ns))
    assert kept_answers._state() != before


def _keep(document: Path, during: Callable[[], object] = lambda: None) -> bool:
    """Whether an answer is kept that reads the document and does something besides."""
    made = Answers("try", document)
    with made.watching():
        document.read_bytes()
        during()
    made.keep("words\n", 0)
    return Answers("try", document).found() == ("words\n", 0)


@pytest.mark.parametrize(
    ("during", "holds"),
    [
        (lambda p: (p / "a").stat(), True),
        (lambda p: (p / "none").exists(), True),
        (lambda p: list(p.iterdir()), True),
        (lambda p: keeping.keep_object("one", "a", 1), True),
        (lambda p: keeping.read_kept_object("one", "b"), True),
        (lambda p: Beside(os.getpid).result(), True),
        (lambda p: (p / "a").resolve(), True),
        (lambda p: (p / "a").write_text("otherwise", "utf8"), False),
        (lambda p: (p / "b").mkdir(), False),
        (lambda p: (p / "a").unlink(), False),
        (lambda p: subprocess.run(["true"], check=True), False),
        (lambda p: os.listdir(), False),
    ],
    ids=[
        *(
            "asked",
            "asked in vain",
            "listed",
            "computed and kept",
            "looked for",
            "done beside",
            "its real name",
        ),
        *("written", "made", "taken away", "another process", "no name"),
    ],
)
def test_what_cannot_be_followed_is_never_kept(
    tmp_path: Path, during: Callable[[Path], object], holds: bool
) -> None:
    (tmp_path / "a").write_text("a", "utf8")
    if holds:
        (tmp_path / "kept").mkdir()
    (tmp_path / "d").write_text("d", "utf8")
    assert _keep(tmp_path / "a", lambda: during(tmp_path)) is holds


def test_a_pipe_is_neither_emptied_nor_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert kept_answers._stands("file", str(tmp_path / "pipe")) == kept_answers.UNFOLLOWED
    (tmp_path / "a").write_text("a", "utf8")
    assert not _keep(
        tmp_path / "a", lambda: os.close(os.open(tmp_path / "pipe", os.O_RDONLY | os.O_NONBLOCK))
    )


@pytest.mark.parametrize("look", [os.path.realpath, lambda p: os.readlink(p), Path.lstat])
def test_a_link_that_is_turned_to_the_same_bytes_elsewhere_is_another_place(
    tmp_path: Path, look: Callable[[Path], object]
) -> None:
    for name in ("a", "b"):
        (tmp_path / name).write_text("the same", "utf8")
    link = tmp_path / "link"
    link.symlink_to("a")
    assert _keep(link, lambda: look(link))
    link.unlink()
    link.symlink_to("b")
    assert Answers("try", link).found() is None
    link.unlink()
    link.symlink_to("a")
    assert Answers("try", link).found() is not None


def test_whoever_stands_in_a_folder_that_is_gone_is_answered(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a").write_text("a", "utf8")
    (tmp_path / "gone").mkdir()
    monkeypatch.chdir(tmp_path / "gone")
    (tmp_path / "gone").rmdir()
    assert not _keep(tmp_path / "a")


def test_a_file_changed_while_it_was_read_is_not_kept(tmp_path: Path) -> None:
    document = tmp_path / "a"
    document.write_text("a", "utf8")
    assert _keep(document)
    made = Answers("other", document)
    with made.watching():
        document.read_bytes()
    document.write_text("b", "utf8")
    made.keep("words of a\n", 0)
    assert Answers("other", document).found() is None


@pytest.mark.parametrize(
    "harm", [lambda b: b[:-1], lambda b: b.replace(b"words", b"swords"), lambda b: b"", lambda b: b"{}"]
)
def test_a_damaged_answer_is_none(tmp_path: Path, kept_in: Path, harm: Callable[[bytes], bytes]) -> None:
    document = tmp_path / "a"
    document.write_text("a", "utf8")
    assert _keep(document)
    (file,) = kept_in.iterdir()
    file.write_bytes(harm(file.read_bytes()))
    assert Answers("try", document).found() is None
    assert _keep(document)  # and is written over


def test_tests_that_patch_the_code_are_answered_by_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    document = tmp_path / "a"
    document.write_text("a", "utf8")
    assert _keep(document)
    monkeypatch.setenv(SETTING, "")
    assert Answers("try", document).found() is None
    assert not _keep(document)


def test_somebody_elses_answer_is_none(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    document = tmp_path / "a"
    document.write_text("a", "utf8")
    assert _keep(document)
    me = os.geteuid()
    monkeypatch.setattr(os, "geteuid", lambda: me + 1)
    assert Answers("try", document).found() is None


def test_where_nothing_can_be_written_the_words_are_printed_all_the_same(
    kept_in: Path, runs: list[Path]
) -> None:
    kept_in.write_text("a file where the folder would be", "utf8")
    document = EXAMPLES / "gear_door" / "repair.toml"
    first, second = _ask("plan", document), _ask("plan", document)
    assert first.stdout_bytes == second.stdout_bytes != b""
    assert len(runs) == 2


def test_no_more_than_so_many_are_kept(
    tmp_path: Path, kept_in: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(keeping, "MOST_FILES", 2)
    for name in "abc":
        (tmp_path / name).write_text(name, "utf8")
        assert _keep(tmp_path / name)
    assert len(list(kept_in.iterdir())) == 2
    assert Answers("try", tmp_path / "a").found() is None


def test_two_at_once_and_a_kept_answer_loads_no_numbers(job: Path, planned: Path) -> None:
    code = (
        "import sys, atexit; from panelmend.app.cli import main\n"
        "heavy = {'numpy', 'pydantic', 'shapely', 'tomllib'}\n"
        "atexit.register(lambda: print(*heavy.intersection(sys.modules), file=sys.stderr))\n"
        f"main(['plan', {str(job)!r}])"
    )
    env = {**os.environ, FOLDER: str(planned.parent / "fresh")}
    command = [sys.executable, "-c", code]
    both = [subprocess.Popen(command, stdout=-1, stderr=-1, env=env) for _ in range(2)]
    said = [p.communicate(timeout=300) for p in both]
    assert said[0][0] == said[1][0] != b""
    assert b"numpy" in said[0][1]
    third = subprocess.run(command, capture_output=True, env=env, check=False, timeout=300)
    assert (third.stdout, third.stderr.strip()) == (said[0][0], b"")


def test_a_pack_is_kept_once_it_stands_as_it_is_and_until_a_byte_of_it_is_touched(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    shutil.copy(EXAMPLES / "gear_door" / "repair.toml", tmp_path)
    made: list[Path] = []

    def files(plan: Plan, document: str, tell: object) -> dict[str, bytes]:  # the real ones take seconds
        made.append(tmp_path)
        return {"document.toml": document.encode(), "cut/a.dxf": b"0\nEOF\n", "plan.json": b"{}"}

    monkeypatch.setattr("panelmend.render.files.pack_files", files)
    words = ("pack", tmp_path / "repair.toml", "--no-heat", "--search", "0")
    pack = tmp_path / "repair-pack"
    first = _ask(*words)
    assert first.exit_code == 0
    assert len(made) == 1
    assert _ask(*words).stdout_bytes == first.stdout_bytes  # before the first nothing was there: made again
    assert len(made) == 2
    assert _ask(*words).stdout_bytes == first.stdout_bytes
    assert len(made) == 2
    assert _ask(*words, "--to", tmp_path / "other").exit_code == 0
    assert len(made) == 3
    for harm in (
        lambda: (pack / "cut" / "a.dxf").write_bytes(b"0\nEOX\n"),
        lambda: (pack / "plan.json").unlink(),
        lambda: shutil.rmtree(pack),
    ):
        harm()
        before = len(made)
        _ask(*words)
        assert len(made) == before + 1
        _ask(*words)  # where it was gone, the second time sees it stand
        shutil.copy(EXAMPLES / "gear_door" / "repair.toml", tmp_path)
        before = len(made)
        assert _ask(*words).stdout_bytes == first.stdout_bytes
        assert len(made) == before
    (pack / "mine.txt").write_text("a stranger", "utf8")
    assert _ask(*words).exit_code == 4
