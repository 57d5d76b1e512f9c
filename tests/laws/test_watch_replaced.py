"""A growing file that is cut, emptied, written anew, kept to its newest lines, rotated or taken away."""

from __future__ import annotations

from collections.abc import Iterator
from io import StringIO
from pathlib import Path
from types import SimpleNamespace

import pytest

from made_curelog import made_cure, written
from panelmend.app.watching import Keeper
from panelmend.curelog import ReadAs, propose
from panelmend.curelog.live import Buffer, GrowingFile, Point, Sample, follow
from panelmend.curelog.live.frame import follow_samples
from panelmend.errors import InputError, OutputError, ReadingError
from panelmend.plan.judge import ChannelRole, look
from recipe_curelog import RECIPE

LINES = written(made_cure(3, step=30.0)).splitlines(keepends=True)
READ = 250


@pytest.fixture(scope="module")
def how(tmp_path_factory: pytest.TempPathFactory) -> ReadAs:
    path = tmp_path_factory.mktemp("how") / "log.csv"
    path.write_text("".join(LINES), "utf8")
    made = propose(path)
    return made.confirm(made.suggested())


@pytest.fixture
def growing(tmp_path: Path, how: ReadAs) -> GrowingFile:
    made = GrowingFile(tmp_path / "log.csv", how)
    write(made, 1, READ)
    assert made.poll() == READ - 1
    return made


def write(growing: GrowingFile, begin: int, end: int, head: str = LINES[0]) -> None:
    growing.path.write_text(head + "".join(LINES[begin:end]), "utf8")


@pytest.mark.parametrize(
    "steps",
    [
        [(1, 100), (1, 260)],  # caught while it is written anew
        [(1, 1), (1, 260)],
        [(61, 255), (71, 260)],  # a logger that keeps its newest lines only
        [(250, 260)],  # rotated
    ],
)
def test_samples_of_a_file_written_anew_are_not_taken_twice(
    growing: GrowingFile, steps: list[tuple[int, int]]
) -> None:
    """They were: the clock was said to be set back and time held in the band was lost."""
    for begin, end in steps:
        growing.path.unlink()
        write(growing, begin, end)
        growing.poll()
    log = growing.log()
    assert len(log) == 259
    assert "replaced or cut" in " ".join(log.notes)
    now = look(RECIPE, log)
    whole = GrowingFile(growing.path.with_name("whole.csv"), growing.read_as)
    write(whole, 1, 260)
    whole.poll()
    assert log.ends_twice.size == whole.log().ends_twice.size > 0, "a note drops nothing else of the log"
    beside = look(RECIPE, whole.log())
    assert (now.clock, now.held, [a.finding for a in now.alarms]) == (
        beside.clock,
        beside.held,
        [a.finding for a in beside.alarms],
    )


def test_the_same_reading_twice_in_a_file_that_only_grows_is_two_samples(growing: GrowingFile) -> None:
    with growing.path.open("a", encoding="utf8") as file:
        file.write(LINES[READ - 1] + LINES[READ])
    assert growing.poll() == 2


def test_another_head_is_a_stop_with_every_picture(growing: GrowingFile) -> None:
    growing.path.unlink()
    write(growing, 250, 255, LINES[0].replace("°C", "°F"))
    for _ in range(2):
        with pytest.raises(InputError, match="not the one that was confirmed"):
            growing.poll()
    assert len(growing) == READ - 1


def test_a_share_that_goes_away_does_not_end_the_watch(
    growing: GrowingFile, monkeypatch: pytest.MonkeyPatch
) -> None:
    def gone(*_: object) -> None:
        raise OSError(116, "Stale file handle")

    monkeypatch.setattr("panelmend.curelog.live.growing.os", SimpleNamespace(stat=gone))
    with pytest.raises(ReadingError, match="Stale file handle"):
        growing.poll()
    out, looks = StringIO(), [True, True, False]
    follow(growing, RECIPE, out, period=0.0, clear=False, go_on=lambda: looks.pop(0))
    assert out.getvalue().count("! STOP, NOW: nothing new can be read") == 2


POINTS = [Point("T1", ChannelRole.THERMOCOUPLE, "C"), Point("T2", ChannelRole.THERMOCOUPLE, "C")]


def test_a_watch_that_goes_on_reads_its_own_file_as_it_was_written(tmp_path: Path) -> None:
    """Tenths of a degree, hundredths of a kPa from the instrument: the scale counts once, then and later."""
    points = [
        Point("T1", ChannelRole.THERMOCOUPLE, "C", scale=0.1),
        Point("V", ChannelRole.VACUUM, "kPa", scale=0.01, sense="below ambient, negative"),
    ]
    path, first = tmp_path / "kept.csv", Buffer(points)
    keeper = Keeper(path, points, first)
    for i, values in enumerate(((1214.0, -8000.0), (1220.0, float("nan")))):
        first.add(Sample(1.795e9 + 5.0 * i, values))
        keeper.keep(Sample(1.795e9 + 5.0 * i, values))
    again = Buffer(points)
    assert Keeper(path, points, again).again() == 2
    for made in (first, again):
        heat, vacuum = (c.values for c in made.log().channels)
        assert heat == pytest.approx([394.55, 395.15])
        assert vacuum == pytest.approx([80e3, float("nan")], nan_ok=True)


def test_a_full_disk_does_not_end_the_watch_and_loses_no_reading(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import asyncio

    buffer = Buffer(POINTS)
    path = tmp_path / "kept.csv"
    keeper = Keeper(path, POINTS, buffer)
    full = True
    real = Path.open

    def opened(self: Path, mode: str = "r", *rest: object, **more: object) -> object:
        if full and mode == "a":
            raise OSError(28, "No space left on device")
        return real(self, mode, *rest, **more)  # type: ignore[arg-type, call-overload]

    monkeypatch.setattr(Path, "open", opened)
    samples = [Sample(1.795e9 + 5.0 * i, (20.0 + i, 21.0 + i)) for i in range(6)]
    asked = iter(samples)

    async def given() -> object:
        nonlocal full
        for i, sample in enumerate(asked):
            full = 1 <= i < 3
            yield sample
            await asyncio.sleep(0)
        while True:
            await asyncio.sleep(0)

    out = StringIO()
    looks: Iterator[bool] = iter([True] * 8 + [False])
    asyncio.run(
        follow_samples(
            given(),  # type: ignore[arg-type]
            buffer,
            RECIPE,
            out,
            period=0.0,
            clear=False,
            go_on=lambda: next(looks),
            kept=keeper.keep,
        )
    )
    assert "! STOP, NOW: readings are not kept" in out.getvalue()
    rows = path.read_text("utf8").splitlines()
    assert [float(r.split(",")[1]) for r in rows[1:]] == [20.0 + i for i in range(6)]
    full = True
    buffer.add(Sample(1.7951e9, (1.0, 2.0)))
    with pytest.raises(OutputError, match="No space left"):
        keeper.keep(Sample(1.7951e9, (1.0, 2.0)))
