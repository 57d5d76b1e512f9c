"""Invented logs that grow, are cut or exchanged while they are followed."""

from __future__ import annotations

from pathlib import Path

from panelmend.curelog import propose
from panelmend.curelog.live.growing import GrowingFile
from panelmend.curelog.readas import ReadAs

ABOVE = ["Invented oven 3", "time;TC1 [C];TC2 [C]"]


def rows(first: int, last: int, tenth: int = 0) -> list[str]:
    """Lines of samples, one every half minute."""
    return [
        f"2026-11-29 {8 + k // 120:02d}:{k // 2 % 60:02d}:{30 * (k % 2):02d};"
        f"{20 + 0.5 * k:.1f};{20.2 + 0.5 * k + 0.1 * tenth:.1f}"
        for k in range(first, last)
    ]


def put(path: Path, lines: list[str], *, more: bool = False) -> None:
    """Write a file in its place, or what comes after it."""
    with path.open("a" if more else "w", encoding="utf8", newline="") as file:
        file.write("".join(f"{x}\n" for x in lines))


CONFIRMED: list[ReadAs] = []  # as the first file was confirmed: all are written alike


def confirmed(path: Path) -> ReadAs:
    """How a file is read with the likelier answers."""
    found = propose(path)
    return found.confirm({q.key: q.suggested or q.choices[0] for q in found.questions})


def begun(folder: Path, count: int = 20) -> tuple[Path, GrowingFile]:
    """A file of so many samples and who follows it."""
    path = folder / "log.csv"
    put(path, [*ABOVE, *rows(0, count)])
    CONFIRMED[:] = CONFIRMED or [confirmed(path)]
    grown = GrowingFile(path, CONFIRMED[0])
    assert grown.poll() == count
    return path, grown
