"""Which columns hold the time, how it is written, and the questions about it."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

import numpy as np

from panelmend.curelog.numerals import joined_times, numbers, read_times, two_parts
from panelmend.curelog.readas import ORDERS, TimeAs
from panelmend.curelog.roles import unit_in_name, unit_word
from panelmend.curelog.stamps import BOTH, DATE, halves, looks_like, plain_months
from panelmend.errors import ReadingError
from panelmend.plan.judge.log import FloatArray

TIME_NAME = re.compile(
    r"(?i)\btime|elapsed|zeit|seconds?\b|minutes?\b|\bmin\b|\bsec\b|date|stamp|epoch|hours?\b"
)


_FROM_START = re.compile(r"(?i)elapsed|run|since|dauer|duration|laufzeit")
_MINUTES_FIRST = re.compile(r"(?i)\bm{1,2}:ss?\b|\bmin\w*[:/]s")
_HOURS_FIRST = re.compile(r"(?i)\bh{1,2}:mm?\b|\bh(ou)?rs?[:/]m")
LONGEST_CURE = (
    48 * 3600.0
)  # s; longer than any cure here, so that minutes are likelier (our choice, no source)


@dataclass(frozen=True)
class LogQuestion:
    """A question that the file does not settle. ``choices`` pairs an answer with its meaning; empty for a
    free answer. ``suggested`` is the likelier answer, "" when nothing favours one; ``why`` says why."""

    key: str
    words: str
    choices: tuple[tuple[str, str], ...]
    suggested: str
    why: str


@dataclass(frozen=True)
class ProposedClock:
    """The proposed reading of time, its reasons, and the questions about it."""

    time: TimeAs
    reasons: tuple[str, ...]
    questions: tuple[LogQuestion, ...]


def find_clock(
    columns: Sequence[Sequence[str]], names: Sequence[str], units: Sequence[str], decimal: str
) -> ProposedClock:
    """Find the time in the columns of the head (and tail) of a file."""
    kinds = [_kind(c) for c in columns]
    half = tuple(i for i, c in enumerate(columns) if halves(c))[:1]
    if "clock" in kinds:
        return _clock((kinds.index("clock"), *half), columns, "one column holds date and time")
    if "date" in kinds and "time" in kinds:
        times = [i for i, k in enumerate(kinds) if k == "time"]
        beside = next((i for i in times if not _FROM_START.search(names[i])), times[0])
        pair = (kinds.index("date"), beside, *half)
        return _clock(pair, columns, "date and time stand in two columns")
    if "time" in kinds:
        return _of_day(kinds.index("time"), columns, names, half)
    return _numeric(columns, names, units, decimal)


def _kind(cells: Sequence[str]) -> str:
    filled = [c.strip() for c in cells if c.strip()]
    if not filled:
        return ""
    room = len(filled) // 10  # cells of no kind that leave a column its kind
    kinds: list[str] = []
    for c in filled:
        kinds.append(looks_like(c))
        room -= not kinds[-1]
        if room < 0:
            return ""
    for kind in ("clock", "date", "time"):
        if kinds.count(kind) >= 0.9 * len(filled):
            if kind == "date" and all(c.isdigit() for c in filled):
                return "date" if len(set(filled)) <= 3 else ""
            return kind
    return ""


def _clock(pair: tuple[int, ...], columns: Sequence[Sequence[str]], why: str) -> ProposedClock:
    cells = [c for c in columns[pair[0]] if c.strip()]
    texts = cells
    if len(pair) > 1:
        parts = [columns[i] for i in pair]
        whole = zip(columns[pair[0]], joined_times(parts), strict=True)
        texts = [t for a, t in whole if a.strip()]
    order, reasons, questions = _order(cells, texts)
    zone = "local"
    stamped = [BOTH.match(plain_months(t)) for t in texts]
    if all(m is not None and m["zone"] for m in stamped):
        zone = "stamped"
        reasons.append("every stamp carries its offset from UTC")
    else:
        questions.append(zone_question())
    time = TimeAs(pair, "clock", order, zone=zone)
    return ProposedClock(time, (why, *reasons), tuple(questions))


def zone_question() -> LogQuestion:
    """The stamps carry no offset from UTC."""
    return LogQuestion(
        "zone",
        "which time zone is the logger's clock set to?",
        (),
        "local",
        "the stamps carry no offset; answer Z, an offset such as +02:00, or local (the shop's own clock)",
    )


def _order(cells: Sequence[str], texts: Sequence[str]) -> tuple[str, list[str], list[LogQuestion]]:
    plain = [plain_months(c) for c in cells]
    if plain != list(cells):
        return "ymd", ["the month is written in words"], []
    found = [m for m in (BOTH.match(c) or DATE.match(c) for c in plain) if m]
    if not found:
        return "ymd", ["the date is written without marks, year first"], []
    if all(len(m["a"]) == 4 for m in found):
        return "ymd", ["the year stands first"], []
    two_digit = all(len(m["c"]) <= 2 for m in found)
    spans = {}
    for order in ORDERS if two_digit else ORDERS[1:]:
        times = read_times([texts], TimeAs((0,), "clock", order), ".", "")
        if np.isfinite(times).mean() > 0.98:
            spans[order] = _span(times)
    if len(spans) == 1:
        order = next(iter(spans))
        return order, [f"only the order {_ORDER_WORDS[order]} gives dates that exist"], []
    if not spans:
        raise ReadingError("the dates exist in no order", read=repr(cells[0]), expected="day, month and year")
    steady = [o for o, s in spans.items() if s == min(spans.values())]
    best = steady[0] if len(steady) == 1 else ""
    why = "only this order keeps the samples close together" if best else "nothing in the file settles it"
    sample = cells[0]
    choices = tuple((o, f"{_ORDER_WORDS[o]}: {_as_date(texts[0], o)}") for o in spans)
    question = LogQuestion(
        "date order", f"in which order is the date {sample!r} written?", choices, best, why
    )
    return best or next(iter(spans)), [], [question]


_ORDER_WORDS = {"ymd": "year month day", "dmy": "day month year", "mdy": "month day year"}


def _as_date(text: str, order: str) -> str:
    at = read_times([[text]], TimeAs((0,), "clock", order), ".", "")[0]
    return str(np.datetime64(int(at), "s")).replace("T", " ") if np.isfinite(at) else "no date"


def _span(times: FloatArray) -> float:
    """The time the samples span, jumps back counted double [s]."""
    steps = np.diff(times[np.isfinite(times)])
    return float(np.round(np.abs(steps).sum() + np.abs(steps[steps < 0]).sum()))


def _of_day(
    at: int, columns: Sequence[Sequence[str]], names: Sequence[str], apart: tuple[int, ...] = ()
) -> ProposedClock:
    """``apart``: the column of am and pm, if there is one."""
    cells = [c for c in columns[at] if c.strip()]
    times = read_times([cells], TimeAs((0,), "elapsed", unit="h"), ".", "")
    good = times[np.isfinite(times)]
    called = names[at]
    half = bool(apart) or any(c.rstrip().lower().endswith("m") for c in cells[:20])
    time, first = _first_of_two(cells, called, float(good.max(initial=0.0)))
    time = replace(time, columns=(at,))
    if good.size and not half and (good.max() > 86400 or _FROM_START.search(called)):
        why = "the times pass 24 h" if good.max() > 86400 else f"the column is called {called!r}"
        return ProposedClock(time, (f"{why}: time from the start",), first)
    if half or (good.size and good[0] > 7200):
        why = "with am or pm" if half else f"the first is {cells[0]}"
        return ProposedClock(
            TimeAs((at, *apart), "time of day"), (f"times without a date, {why}",), (zone_question(),)
        )
    question = LogQuestion(
        "elapsed or clock",
        f"is {cells[0]!r} the time since the start, or the time of day?",
        (("elapsed", "time since the start"), ("time of day", "clock without a date; midnight adds a day")),
        "elapsed" if good.size and good[0] < 60 else "",
        "the first stamp is near zero",
    )
    return ProposedClock(time, (), (question, *first))


def _first_of_two(cells: Sequence[str], name: str, last: float) -> tuple[TimeAs, tuple[LogQuestion, ...]]:
    """How times from the start are written, and the question about them: whether two parts, ``last`` [s] when
    they are hours and minutes, are minutes and seconds. The answer that makes the cure long is never
    suggested."""
    short = [c for c in cells if two_parts(c)]
    if not short:
        return TimeAs((0,), "elapsed"), ()
    for unit, pattern in (("min", _MINUTES_FIRST), ("h", _HOURS_FIRST)):
        if pattern.search(name):
            return TimeAs((0,), "elapsed", unit=unit), ()
    mixed = len(short) < len(cells)
    question = LogQuestion(
        "time unit",
        f"is {short[-1].strip()!r} hours and minutes, or minutes and seconds?",
        (("min", "minutes and seconds"), ("h", "hours and minutes")),
        "min" if mixed or last > LONGEST_CURE else "",
        "other times of the file have three parts"
        if mixed
        else f"as hours and minutes the log would last {last / 3600:.0f} h",
    )
    return TimeAs((0,), "elapsed"), (question,)


def _numeric(
    columns: Sequence[Sequence[str]], names: Sequence[str], units: Sequence[str], decimal: str
) -> ProposedClock:
    rising = []
    for at, cells in enumerate(columns):
        values = numbers(cells, decimal, "", Counter())
        good = values[np.isfinite(values)]
        if good.size >= 2 and good.size >= 0.95 * len(cells) and (np.diff(good) > 0).mean() > 0.9:
            rising.append((at, good))
    named = [(a, v) for a, v in rising if TIME_NAME.search(names[a])]
    if not rising:
        raise ReadingError(
            "no column of times was found", read=", ".join(n for n in names if n)[:80] or "no names"
        )
    at, values = (named or rising)[0]
    reasons = [f"column {names[at] or at + 1!r} rises from row to row"]
    if 9e8 < values[0] < 4e9:
        return ProposedClock(
            TimeAs((at,), "epoch", unit="s", zone="Z"), (*reasons, _since(values[0], "seconds")), ()
        )
    if 9e11 < values[0] < 4e12:
        told = _since(values[0] / 1e3, "milliseconds")
        return ProposedClock(TimeAs((at,), "epoch", unit="ms", zone="Z"), (*reasons, told), ())
    if 30000 < values[0] < 80000 and np.median(np.diff(values)) < 0.1 and values[-1] - values[0] < 40:
        return ProposedClock(TimeAs((at,), "serial"), (*reasons, "days since 1899-12-30"), (zone_question(),))
    unit = unit_word(units[at]) or unit_in_name(names[at]) or _unit_word_in(names[at])
    if unit in ("s", "min", "h", "ms"):
        return ProposedClock(TimeAs((at,), "elapsed", unit=unit), (*reasons, f"its unit is {unit}"), ())
    step = float(np.median(np.diff(values)))
    question = LogQuestion(
        "time unit",
        f"in which unit is the time {values[0]:g}, {values[1]:g}, ...?",
        (("s", "seconds"), ("min", "minutes"), ("h", "hours"), ("ms", "milliseconds")),
        "",
        f"one step is {step:g}; the file does not name the unit",
    )
    if not named:
        reasons.append("no column is named as a time")
    return ProposedClock(TimeAs((at,), "elapsed", unit="s"), tuple(reasons), (question,))


def _since(first: float, unit: str) -> str:
    """Such a column is shown in UTC, so that a person sees whose clock it is."""
    return (
        f"{unit} since 1970, told in UTC: the first is {datetime.fromtimestamp(first, UTC):%Y-%m-%d %H:%M:%S}"
    )


def _unit_word_in(name: str) -> str:
    for word in re.split(r"[^a-zA-Z]+", name):
        unit = unit_word(word)
        if unit in ("s", "min", "h", "ms"):
            return unit
    return ""
