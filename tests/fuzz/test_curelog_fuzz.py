"""Broken and hostile log files, messages and descriptions: a refusal in words or a log, never a traceback.

In the test run each reader gets a second or two. ``python tests/fuzz/test_curelog_fuzz.py 600`` gives each of
them ten minutes. Time of one file and memory of the whole are capped.
"""

from __future__ import annotations

import io
import json
import random
import resource
import sys
import tempfile
import time
import zipfile
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

import pytest
import xlsxwriter

from made_curelog import made_cure, written
from panelmend.curelog import ChannelRole, ReadAs, propose, read_log
from panelmend.curelog.live import GrowingFile, Point
from panelmend.curelog.live.mqtt import parse_message
from panelmend.errors import PanelmendError
from panelmend.plan.judge import judge
from recipe_curelog import RECIPE

SLOWEST = 5.0  # s for one small file
MEMORY = 600e6  # bytes more than at the start
MADE = made_cure(1, step=300.0)
WORDS = [
    x.encode("utf-8", "surrogateescape")
    for x in (
        *',;\t"\n\r\0-| _Z',
        "nan",
        "1e999",
        "12:00",
        "31/02/2026",
        "\udcff",
        "9" * 20,
        "\u2028",
        "=1+1",
        "1,234",
        "1.234,5",
        "TC1",
        "°C",
        "AM",
        "+99:99",
        "2026-11-25 08:00:00",
        "0000-00-00",
        "25:61:61",
    )
]
SEEDS = [
    written(MADE).encode(),
    written(MADE, separator=";", decimal=",", stamp="%d.%m.%Y %H:%M").encode("utf-16"),
    written(MADE, stamp="%m/%d/%y %I:%M %p", header="unit row", quoted=True).encode("cp1252"),
    written(MADE, stamp="h:m:s", separator="\t", header="names").encode(),
    written(MADE, stamp="s", separator="|", header="none").encode(),
    b"Date,Time,TC\n" + b"\n".join(b"25-Nov-2026,08:%02d,%d" % (i, 20 + i) for i in range(60)),
]


def spoiled(raw: bytes, chance: random.Random) -> bytes:
    """A file with a few bytes or words changed, cut, doubled or moved."""
    data = bytearray(raw)
    for _ in range(chance.randint(1, 12)):
        at = chance.randrange(len(data) + 1)
        what = chance.randrange(6)
        if what == 0:
            data[at : at + chance.randint(1, 30)] = b""
        elif what == 1:
            data[at:at] = chance.choice(WORDS) * chance.choice((1, 1, 1, 40))
        elif what == 2 and at < len(data):
            data[at] = chance.randrange(256)
        elif what == 3:
            end = at + chance.randint(1, 400)
            data[at:at] = data[at:end]
        elif what == 4:
            del data[at + chance.randint(0, 2000) :]
        else:
            data[at : at + 4] = chance.choice(WORDS)
        if not data:
            data = bytearray(b"x")
    return bytes(data)


def answers(proposal: object, chance: random.Random) -> dict[str, str]:
    given = dict(proposal.suggested())  # type: ignore[attr-defined]
    for q in proposal.questions:  # type: ignore[attr-defined]
        if q.choices:
            given[q.key] = chance.choice(q.choices)[0]
        given.setdefault(q.key, "101.3 kPa" if q.key == "ambient" else "local")
    if any("sense" in k for k in given):
        given["ambient"] = "101.3 kPa"
    return given


def in_words(error: PanelmendError) -> None:
    """A refusal says something."""
    if len(str(error)) < 10:
        raise AssertionError(f"no words: {error!r}")


def one_text(chance: random.Random, folder: Path) -> None:
    file = folder / "log.csv"
    file.write_bytes(spoiled(chance.choice(SEEDS), chance))
    proposal = propose(file)
    how = proposal.confirm(answers(proposal, chance))
    log = read_log(file, ReadAs.from_json(how.to_json()))
    judge(RECIPE, log).to_json()


def book() -> bytes:
    out = io.BytesIO()
    made = xlsxwriter.Workbook(out, {"in_memory": True})
    sheet = made.add_worksheet("Log")
    sheet.write_row(0, 0, ["Elapsed [s]", "TC1 [C]", "TC2 [C]", "Vacuum gauge [inHg]"])
    for i in range(60):
        sheet.write_row(i + 1, 0, [i * 10, 20 + i, 21 + i, 24.0])
    made.close()
    return out.getvalue()


BOOK = book()


def one_sheet(chance: random.Random, folder: Path) -> None:
    file = folder / "log.xlsx"
    if chance.random() < 0.4:
        file.write_bytes(spoiled(BOOK, chance))
    else:
        out = io.BytesIO()
        with zipfile.ZipFile(io.BytesIO(BOOK)) as old, zipfile.ZipFile(out, "w") as new:
            for name in old.namelist():
                raw = old.read(name)
                new.writestr(name, spoiled(raw, chance) if "sheet1" in name or chance.random() < 0.1 else raw)
        file.write_bytes(out.getvalue())
    proposal = propose(file)
    read_log(file, proposal.confirm(answers(proposal, chance)))


def one_growing(chance: random.Random, folder: Path) -> None:
    good = folder / "good.csv"
    good.write_bytes(SEEDS[0])
    proposal = propose(good)
    growing = GrowingFile(folder / "live.csv", proposal.confirm(proposal.suggested()))
    raw = spoiled(SEEDS[0], chance)
    for end in sorted(chance.randrange(len(raw) + 1) for _ in range(4)):
        (folder / "live.csv").write_bytes(raw[:end])
        growing.poll()
    if len(growing) > 1:
        judge(RECIPE, growing.log())


def one_message(chance: random.Random, folder: Path) -> None:
    raw = b'{"time": 1800000000.5, "values": {"TC1": 121.4, "TC2": 120}}'
    points = [Point("TC1", ChannelRole.THERMOCOUPLE, "C"), Point("TC2", ChannelRole.THERMOCOUPLE, "C")]
    for _ in range(50):
        try:
            parse_message(spoiled(raw, chance), points)
        except PanelmendError as error:
            in_words(error)


def one_description(chance: random.Random, folder: Path) -> None:
    file = folder / "log.csv"
    file.write_bytes(SEEDS[0])
    proposal = propose(file)
    text = proposal.confirm(proposal.suggested()).to_json()
    for _ in range(20):
        try:
            if chance.random() < 0.5:
                ReadAs.from_json(spoiled(text.encode(), chance).decode("utf-8", "replace"))
            else:
                data = json.loads(text)
                place = chance.choice([data, data["time"], chance.choice(data["columns"])])
                place[chance.choice(sorted(place))] = chance.choice(
                    [None, -1, 0, 10**9, 1.5, "", "x", [], {}, [[]], True, "K", [0, 0], "thermocouple"]
                )
                read_log(file, ReadAs.from_json(json.dumps(data)))
        except PanelmendError as error:
            in_words(error)


READERS: dict[str, Callable[[random.Random, Path], None]] = {
    "text": one_text,
    "sheet": one_sheet,
    "growing file": one_growing,
    "message": one_message,
    "description": one_description,
}


def run(reader: str, seconds: float, least: int, first_seed: int = 0) -> tuple[int, int, float]:
    """Fuzz a reader; how many files, how many were refused, and the slowest [s]."""
    start, count, refused, slowest = time.monotonic(), 0, 0, 0.0
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024.0
    with tempfile.TemporaryDirectory() as name:
        while count < least or time.monotonic() - start < seconds:
            begin = time.monotonic()
            try:
                READERS[reader](random.Random(first_seed + count), Path(name))
            except PanelmendError as error:
                refused += 1
                in_words(error)
            except Exception as error:
                raise AssertionError(f"{reader}, seed {first_seed + count}: {error!r}") from error
            slowest = max(slowest, time.monotonic() - begin)
            count += 1
    more = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024.0 - memory
    assert more < MEMORY, f"{reader}: {more / 1e6:.0f} MB more"
    assert slowest < SLOWEST, f"{reader}: one file took {slowest:.1f} s"
    return count, refused, slowest


@pytest.mark.parametrize("reader", READERS)
def test_a_reader_lives_through_broken_input(reader: str) -> None:
    count, refused, _ = run(reader, 0.0, {"text": 120, "sheet": 80, "growing file": 60}.get(reader, 60))
    assert count >= 60
    assert refused < count or reader != "text"


if __name__ == "__main__":
    span = float(sys.argv[1]) if len(sys.argv) > 1 else 600.0
    for each in sys.argv[2:] or READERS:
        files, no, worst = run(each, span, 1, first_seed=1_000_000)
        print(f"{each}: {files} inputs, {no} refused in words, slowest {worst:.2f} s", flush=True)
