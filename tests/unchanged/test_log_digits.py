"""Small cure logs written in many ways, with the dirt of loggers: how they would be read, what is asked, and
what is read with the likelier answers is what it was."""

from __future__ import annotations

import dataclasses
import hashlib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from digits_kept import numbers_of, plain, unchanged
from made_curelog import made_cure, written
from panelmend.curelog import CureLog, Proposal, propose, read_log
from panelmend.errors import PanelmendError

STAMPS = (
    "%Y-%m-%d %H:%M:%S",
    "%d.%m.%Y %H:%M:%S",
    "%m/%d/%Y %H:%M:%S",
    "%d/%m/%y %H:%M",
    "%Y-%m-%dT%H:%M:%S+02:00",
    "s",
    "min",
    "h:m:s",
    "%H:%M:%S",
    "%d-%b-%Y %I:%M:%S %p",
    "%Y%m%d %H%M%S",
    "%Y/%m/%d %H:%M:%S.500",
)
WAYS: tuple[dict[str, Any], ...] = (
    {},
    {"separator": ";", "decimal": ","},
    {"separator": "\t"},
    {"temperature": "F", "vacuum": "kPa"},
    {"header": "unit row", "vacuum": "mbar"},
    {"header": "names", "quoted": True},
    {"header": "none"},
    {"above": ("Invented oven 3", "Serial;17", ""), "separator": ";"},
    {"ends": "\r\n", "below": ("", "End of log")},
)


def dirt(rows: list[str], number: int, separator: str) -> list[str]:
    """A few things that loggers do, drawn by a number."""
    chance = np.random.default_rng(number)
    rows = list(rows)
    for what in chance.choice(13, 2, replace=False):
        at = int(chance.integers(len(rows) // 3, len(rows) - 4))
        cells = rows[at].split(separator)
        k = int(chance.integers(1, max(2, len(cells) - 1)))
        match int(what):
            case 0:
                rows[at] = separator.join([*cells[:k], "OL", *cells[k + 1 :]])
            case 1:
                rows[at] = separator.join([*cells[:k], "", *cells[k + 1 :]])
            case 2:
                rows.insert(at, rows[0])
            case 3:
                rows.insert(at, "")
            case 4:
                rows[at : at + 5] = []
            case 5:
                rows[at], rows[at + 1] = rows[at + 1], rows[at]
            case 6:
                rows.insert(at, rows[at])
            case 7:
                rows[at] = separator.join(cells[:-1])
            case 8:
                rows[-1] = rows[-1][: len(rows[-1]) // 2]
            case 9:
                for n in range(at, len(rows)):
                    changed = rows[n].split(separator)
                    if k < len(changed):
                        rows[n] = separator.join([*changed[:k], "-9999", *changed[k + 1 :]])
            case 10:
                rows[at] = separator.join([*cells[:k], cells[k] + " C", *cells[k + 1 :]])
            case 11:
                rows[at] = rows[at] + separator
            case _:
                rows.insert(at, "Alarm acknowledged")
    return rows


def made_text(number: int) -> bytes:
    """A log file by its number."""
    how = dict(WAYS[number % len(WAYS)])
    stamp = STAMPS[number % len(STAMPS)]
    step = (5.0, 30.0, 60.0, 90.0)[number % 4]
    cure = made_cure(
        number, step=step, sensors=2 + number % 3, dwell=300.0, hold=350.0, rate=0.2, cool=0.1, before=120.0
    )
    count = min(len(cure.times), 140)
    cure = dataclasses.replace(
        cure,
        times=cure.times[:count],
        temps=cure.temps[:count],
        vacuum=cure.vacuum[:count],
        set_point=cure.set_point[:count],
    )
    if number % 5 == 4:
        cure.vacuum[:] = 101325.0 - cure.vacuum
    text = written(cure, stamp=stamp, **how)
    ends = how.get("ends", "\n")
    rows = text.split(ends)[:-1]
    if number % 3:
        rows = dirt(rows, number, how.get("separator", ","))
    raw = ends.join(rows) + ends
    return raw.encode(("utf-8", "utf-8-sig", "cp1252", "utf-16")[number % 4])


def told(p: Proposal) -> list[Any]:
    """A proposal without its words; how each column is read and what is asked in eight letters."""
    how = dataclasses.asdict(p.read_as)
    how.pop("head")
    asked = [[q.key, list(q.choices), q.suggested, *numbers_of(q.words)] for q in p.questions]
    ranges = [[r.name, r.least, r.most, r.missing] for r in p.ranges]
    reasons = [len(p.reasons), *(x for r in p.reasons for x in numbers_of(r))]
    rows = hashlib.sha256(repr((p.first_rows, p.last_rows, p.above)).encode()).hexdigest()[:8]
    shape = hashlib.sha256(repr(plain([how, asked, [r[0] for r in ranges]])).encode()).hexdigest()[:8]
    return [shape, [r[1:] for r in ranges], reasons, rows, p.rows, len(asked)]


def log_told(log: CureLog) -> list[Any]:
    """A log as numbers."""
    channels = [[c.name, c.role, c.kind, c.values.copy()] for c in (*log.channels, *log.set_aside)]
    notes = [len(log.notes), *(x for n in log.notes for x in numbers_of(n))]
    return [
        log.times,
        channels,
        log.started,
        log.lines,
        log.stamp_step,
        log.ambient,
        notes,
        log.ends_twice.astype(float),
        log.sense_answered,
    ]


def tried(path: Path, answers: Any) -> list[Any]:
    try:
        p = propose(path)
    except PanelmendError as refusal:
        return [type(refusal).__name__, *numbers_of(str(refusal))]
    found = told(p)
    try:
        how = p.confirm({**{q.key: answers(q) for q in p.questions}, "ambient": "95 kPa"})
        found.append(log_told(read_log(path, how)))
    except PanelmendError as refusal:
        found.append([type(refusal).__name__, *numbers_of(str(refusal).replace(str(path.parent), ""))])
    return found


@pytest.mark.parametrize("number", range(1, 73))
def test_a_log_is_read_as_before(number: int, tmp_path: Path) -> None:
    path = tmp_path / "log.csv"
    path.write_bytes(made_text(number))
    likely = tried(path, lambda q: q.suggested or (q.choices[0][0] if q.choices else "1"))
    last = tried(path, lambda q: q.choices[-1][0] if q.choices else "Z")
    unchanged("log_digits", str(number), [likely, last[-1]])
