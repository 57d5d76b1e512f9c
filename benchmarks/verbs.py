"""Processor time, wall clock and memory of the verbs, and how they grow.

Every row is a process of its own, as a user starts it, with what is kept beside the example. Processor time
is user and system of the process and its children, the median of the runs; "x" is that over the same of a
process that imports numpy alone, started in turn with the others, so that a busy machine slows both. "Warm"
rows are one process that has planned the document before: the same again, and with one margin edited.
"Standing by" rows (``--standing``) are verbs of a document that is changed before each, answered by a process
that stands by and, in turn with it, by a process of their own; wall clock, also of the yardstick.

    scripts/bench verbs [--runs 5] [--growth | --standing]
"""

from __future__ import annotations

import argparse
import math
import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from panelmend.machine import cores

ROOT = Path(__file__).parents[1]
DOOR = ROOT / "examples" / "gear_door"
CLI = ("-m", "panelmend.app.cli")
# Python keeps what it compiled, as for a user, whatever the session that measures says.
AS_INSTALLED = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
ANSWERS = "PANELMEND_ANSWERS"  # answers of verbs are kept unless it is empty
STAND_BY = "PANELMEND_STAND_BY"  # where the socket of a process that stands by is; "": none is asked
Cost = tuple[float, float, float]  # processor [s], wall [s], peak [MB]


def child(*words: str, answers: str = "") -> Cost:
    """What one process costs; it may end with any code that says it worked.

    Args:
        words: the arguments of Python.
        answers: where studies, plates and answers of verbs are kept, or "".
    """
    env = {**AS_INSTALLED, "PANELMEND_KEPT": answers}
    start = time.perf_counter()
    pid = os.fork()
    if pid == 0:
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        os.execve(sys.executable, [sys.executable, *words], env)
    _, status, used = os.wait4(pid, 0)
    code = os.waitstatus_to_exitcode(status)
    if code not in (0, 1, 6, 7, 8):
        raise SystemExit(f"{' '.join(words)} ended with {code}")
    return used.ru_utime + used.ru_stime, time.perf_counter() - start, used.ru_maxrss / 1024.0


def beside(folder: Path) -> Path:
    """A copy of the example with everything kept beside it."""
    for path in DOOR.iterdir():
        if path.is_file():
            (folder / path.name).write_bytes(path.read_bytes())
    return folder / "repair.toml"


def table(runs: int) -> None:
    """The verbs of the demonstration."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        document = str(beside(folder))
        verbs: dict[str, tuple[str, ...]] = {
            "nothing": ("-c", "pass"),
            "imports numpy": ("-c", "import numpy"),
            "--help": (*CLI, "--help"),
            "check": (*CLI, "check", document),
            "plan": (*CLI, "plan", document),
            "plan, surveyed": (*CLI, "plan", str(folder / "surveyed.toml")),
            "pack": (*CLI, "pack", document, "--to", str(folder / "pack")),
            "strength": (*CLI, "strength", document),
            "judge": (*CLI, "judge", document, str(folder / "cure-repair-plies.csv"), *JUDGE),
        }
        for verb in ("check", "plan", "pack"):
            verbs[f"{verb}, nothing changed"] = verbs[verb]
        found: dict[str, list[Cost]] = {verb: [] for verb in verbs}
        for number in range(runs + 1):
            for verb, words in verbs.items():
                cost = child(*words, answers=str(folder / "answers") if "nothing" in verb else "")
                if number:  # the first run of each leaves compiled files behind
                    found[verb].append(cost)
    middle = {v: tuple(statistics.median(c[n] for c in cs) for n in range(3)) for v, cs in found.items()}
    yard = middle["imports numpy"][0]
    print(f"gear_door, everything kept, {runs} runs, load {os.getloadavg()[0]:.1f}, {cores()} cores")
    print("| verb | processor s | x | wall s | peak MB |\n| --- | --- | --- | --- | --- |")
    for verb, (own, wall, peak) in middle.items():
        print(f"| {verb} | {own:.2f} | {own / yard:.1f} | {wall:.2f} | {peak:.0f} |")
    warm(4 * runs, yard)


JUDGE = ("--operation", "Repair plies", "--confirm", "--no-ask")


def warm(runs: int, yard: float) -> None:
    """Planning in a process that stays up."""
    from panelmend.app import service

    with tempfile.TemporaryDirectory() as name:
        document = beside(Path(name))
        text = document.read_text("utf8")
        service.plan(document)

        def edited(number: int) -> None:
            document.write_text(text.replace('"25.4 mm"', f'"{26 + 0.1 * number:.1f} mm"'), "utf8")
            service.plan(document)

        for what, action in (("again", lambda n: service.plan(document)), ("a margin edited", edited)):
            times = []
            for number in range(runs):
                start = time.process_time()
                action(number)
                times.append(time.process_time() - start)
            own = statistics.median(times)
            print(f"| warm plan, {what} | {own:.3f} | {own / yard:.1f} | | |")


def standing(runs: int) -> None:
    """Verbs of a changed document beside a process that stands by, and without."""
    with tempfile.TemporaryDirectory(dir="/tmp") as name:
        folder = Path(name)
        document = beside(folder)
        text, number = document.read_text("utf8"), 0
        AS_INSTALLED[STAND_BY], AS_INSTALLED[ANSWERS] = str(folder / "by"), ""
        (folder / "by").mkdir(mode=0o700)
        child("-m", "panelmend", "stand-by")
        found: dict[tuple[str, str], list[float]] = {}
        figure = (
            'clean_beyond = { value = "75 mm"'  # on card and kit list, and nothing to a cure or the strength
        )
        assert figure in text
        for _ in range(runs + 1):
            found.setdefault(("imports numpy", ""), []).append(child("-c", "import numpy")[1])
            for verb in ("check", "plan", "pack", "pack, a figure changed"):
                for how, by in (("standing by", str(folder / "by")), ("by itself", "")):
                    AS_INSTALLED[STAND_BY], number = by, number + 1
                    changed = (
                        text if "," not in verb else text.replace(figure, figure[:-6] + f'{75 + number} mm"')
                    )
                    document.write_text(f"{changed}\n# {number}\n", "utf8")
                    words = ("-m", "panelmend", verb.partition(",")[0], str(document))
                    found.setdefault((verb, how), []).append(child(*words, answers=str(folder / "kept"))[1])
        AS_INSTALLED[STAND_BY] = str(folder / "by")
        child("-m", "panelmend", "stand-by", "--end")
    yard = statistics.median(found["imports numpy", ""][1:])
    print(f"gear_door, changed before each, {runs} runs, load {os.getloadavg()[0]:.1f}, {cores()} cores")
    print("| verb | how | best wall s | median wall s | x |\n| --- | --- | --- | --- | --- |")
    for (verb, how), walls in found.items():
        middle = statistics.median(walls[1:])  # the first leaves compiled files behind
        print(f"| {verb} | {how} | {min(walls[1:]):.2f} | {middle:.2f} | {middle / yard:.1f} |")


def growth(runs: int, only: str = "") -> None:
    """Slopes: the power of the size that processor time grows with, from 4 to 16 times, less the start.

    ``only``: what a row's name must contain to be measured.
    """
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        text = beside(folder).read_text("utf8")
        log = (folder / "cure-repair-plies.csv").read_text("utf8").splitlines()
        survey = (folder / "surveyed.toml").read_text("utf8")
        taps = (folder / "taps.csv").read_text("utf8").splitlines()

        def plies(times: int) -> tuple[str, ...]:
            one = '{ cloth = "demo-glass-8h", warp = "45 deg" }'
            made = text.replace(f"value = [ {one} ]", f"value = [ {', '.join([one] * times)} ]")
            return plan(folder / f"plies{times}.toml", made)

        def in_a_row(name: str, table: str, ident: str, diameter: str, times: int) -> tuple[str, ...]:
            """Four times as many things of a kind along one edge of the panel."""
            rows = (
                f'[[panel.{table}]]\nid = "{ident}-{n}"\nat = "{40 + 1100 * n / (4 * times):.1f}, 20 mm"\n'
                f'diameter = "{diameter}"\nkeep_out = "2 mm"\n\n'
                for n in range(4 * times)
            )
            made = text.replace("[damage]\n", "".join(rows) + "[damage]\n", 1)
            return plan(folder / f"{name}{times}.toml", made)

        def holes(times: int) -> tuple[str, ...]:
            return in_a_row("holes", "fastener", "F", "4 mm", times)

        def rows_of(times: int) -> tuple[str, ...]:
            side = math.isqrt(times)
            lines: list[str] = []
            for line in survey.splitlines():
                if line.strip().startswith(('"s', '"d')):
                    wide = "".join(c * side for c in line.strip().strip('",'))
                    lines += [f'  "{wide}",'] * side
                else:
                    lines.append(line.replace('spacing = "15 mm"', f'spacing = "{15 / side} mm"'))
            return plan(folder / f"taps{times}.toml", "\n".join(lines))

        def readings(times: int) -> tuple[str, ...]:
            path = folder / f"log{times}.csv"
            path.write_text("\n".join(finer(log, times)) + "\n", "utf8")
            return (*CLI, "judge", str(folder / "repair.toml"), str(path), *JUDGE)

        def channels(times: int) -> tuple[str, ...]:
            path = folder / f"wide{times}.csv"
            path.write_text("\n".join(wider(log, times)) + "\n", "utf8")
            return (*CLI, "judge", str(folder / "repair.toml"), str(path), *JUDGE)

        def inserts(times: int) -> tuple[str, ...]:
            return in_a_row("inserts", "insert", "P", "8 mm", times)

        def tapped(times: int) -> tuple[str, ...]:
            path = folder / f"taps{times}.csv"
            path.write_text("\n".join(denser(taps, math.isqrt(times))) + "\n", "utf8")
            return (*CLI, "survey", str(path), "--yes")

        def plan(path: Path, made: str) -> tuple[str, ...]:
            path.write_text(made, "utf8")
            return (*CLI, "plan", str(path))

        def packed(document: str) -> tuple[str, ...]:
            return (*CLI, "pack", document, "--to", f"{document}-pack", "--no-heat", "--search", "0")

        print("| grows | 1x s | 4x s | 16x s | power 4 to 16 |\n| --- | --- | --- | --- | --- |")
        start = statistics.median(
            child("-c", "from panelmend.app import service, telling")[0] for _ in range(runs)
        )
        cases: dict[str, Callable[[int], tuple[str, ...]]] = {
            "plan, extra plies": plies,
            "plan, fasteners": holes,
            "plan, inserts": inserts,
            "plan, taps of the survey": rows_of,
            "judge, rows of the log": readings,
            "judge, thermocouples of the log": channels,
            "survey, taps of the table": tapped,
            "pack, extra plies": lambda n: packed(plies(n)[-1]),
            "pack, fasteners": lambda n: packed(holes(n)[-1]),
            "pack, taps of the survey": lambda n: packed(rows_of(n)[-1]),
        }
        for what, make in cases.items():
            if only not in what:
                continue
            own = [statistics.median(child(*make(n))[0] for _ in range(runs)) for n in (1, 4, 16)]
            low, high = max(own[1] - start, 1e-3), max(own[2] - start, 1e-3)
            print(f"| {what} | {own[0]:.2f} | {own[1]:.2f} | {own[2]:.2f} | {math.log(high / low, 4):.2f} |")


def finer(log: list[str], times: int) -> list[str]:
    """The log with rows between its rows, values in between."""
    from datetime import datetime, timedelta

    made, before = log[:2], log[2].split(",")
    for line in log[3:]:
        after = line.split(",")
        a, b = (datetime.fromisoformat(r[0]) for r in (before, after))
        for k in range(times):
            t = a + timedelta(seconds=(b - a).total_seconds() * k / times)
            values = (
                float(x) + (float(y) - float(x)) * k / times
                for x, y in zip(before[1:], after[1:], strict=True)
            )
            made.append(",".join([t.isoformat(" ")[:21], *(f"{v:.2f}" for v in values)]))
        before = after
    return [*made, log[-1]]


def wider(log: list[str], times: int) -> list[str]:
    """The log with every thermocouple ``times`` over, each a hundredth warmer than the one before."""
    names = log[1].split(",")
    hot = [n for n, name in enumerate(names) if name.startswith("T") and "C)" in name]
    again = [(k, n) for k in range(1, times) for n in hot]

    def row(line: str, more: list[str]) -> str:
        return ",".join([*line.split(","), *more])

    def warmer(line: str) -> str:
        values = line.split(",")
        return row(line, [f"{float(values[n]) + 0.01 * k:.2f}" for k, n in again])

    head = row(
        log[1], [f"T{len(hot) * k + i + 1} (\u00b0C)" for k in range(1, times) for i in range(len(hot))]
    )
    return [log[0], head, *map(warmer, log[2:])]


def denser(taps: list[str], side: int) -> list[str]:
    """The table with ``side`` squared places for each of its own, all of what the one was."""
    made = taps[:2]
    for line in taps[2:]:
        x, y, said = line.split(";")
        made += [
            f"{float(x) + 15.0 * a / side:.3f};{float(y) + 15.0 * b / side:.3f};{said}"
            for a in range(side)
            for b in range(side)
        ]
    return made


def main() -> None:
    """Measure and print the tables."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--growth", action="store_true", help="how they grow, instead")
    parser.add_argument("--only", default="", help="rows of --growth whose name contains this")
    parser.add_argument("--standing", action="store_true", help="beside a process that stands by, instead")
    chosen = parser.parse_args()
    if chosen.standing:
        standing(chosen.runs)
    elif not chosen.growth:
        table(chosen.runs)
    else:
        growth(max(1, chosen.runs // 2), chosen.only)


if __name__ == "__main__":
    main()
