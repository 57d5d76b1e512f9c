"""A proposal for reading a file: shown with its reasons, its questions, first and last rows and extremes."""

from __future__ import annotations

import re
from collections import Counter, deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from panelmend.curelog.cells import (
    Block,
    Hashing,
    rows_as_text,
    sheet_blocks,
    split_line,
    text_blocks,
)
from panelmend.curelog.clocks import LogQuestion, ProposedClock, find_clock
from panelmend.curelog.head import head_digest, rows_head
from panelmend.curelog.longform import Long, Widener
from panelmend.curelog.numerals import numbers, plain_table
from panelmend.curelog.questions import ambient_question, questions_of, read_as_answered
from panelmend.curelog.readas import FRACTIONS, SEPARATORS, ColumnAs, ReadAs
from panelmend.curelog.roles import Guess, guess, unit_in_name
from panelmend.curelog.rows import RowFormat, row_format
from panelmend.curelog.short_head import check_commas
from panelmend.curelog.sniff import (
    ROWS_OF_HEAD,
    TableLayout,
    encoding_and_head,
    find_long,
    layout_of,
    separator_of,
    with_channels,
)
from panelmend.curelog.stamps import looks_like
from panelmend.curelog.written import lettered_names, unit_above, unit_of_cells
from panelmend.errors import InputError, ReadingError
from panelmend.plan.judge.log import ChannelRole, FloatArray
from panelmend.units import KINDS

_GROUPED = re.compile(r"[+-]?\d{1,3}(,\d{3})+", re.ASCII)


@dataclass(frozen=True)
class Range:
    """The extremes of a column as read (in the file's unit) and how many readings are missing."""

    name: str
    least: float
    most: float
    missing: int


@dataclass(frozen=True)
class Proposal:
    """How a file would be read. ``read_as`` is a draft until :meth:`confirm`; rows are cells as text."""

    file: str
    digest: str
    read_as: ReadAs
    reasons: tuple[str, ...]
    questions: tuple[LogQuestion, ...]
    above: tuple[str, ...]
    first_rows: tuple[tuple[str, ...], ...]
    last_rows: tuple[tuple[str, ...], ...]
    ranges: tuple[Range, ...]
    rows: int

    def suggested(self) -> dict[str, str]:
        """The likelier answer to each question that has one, for a person to accept or change."""
        return {q.key: q.suggested for q in self.questions if q.suggested}

    def confirm(self, answers: Mapping[str, str]) -> ReadAs:
        """The description with every question answered.

        Besides the questions, ``role of NAME``, ``unit of NAME``, ``sense of NAME`` and ``name of NAME`` may
        be set.

        Raises:
            InputError: a question is open, or an answer is not among its choices.
        """
        open_keys = [q for q in self.open(answers) if not answers.get(q.key)]
        if open_keys:
            raise InputError(
                "the file does not settle: " + "; ".join(f"{q.key} ({q.words})" for q in open_keys),
                where=self.file,
                todo="answer these before the log is read",
            )
        return read_as_answered(self.read_as, self.open(answers), answers, self.file)

    def open(self, answers: Mapping[str, str]) -> tuple[LogQuestion, ...]:
        """The questions that are asked at all: the air pressure only where a vacuum is counted as absolute;
        the sense of a gauge with a unit that is given another role, too: the verdict weighs it."""
        other = {
            c.name
            for c in self.read_as.columns
            if answers.get(f"role of {c.name}", c.role.value) != ChannelRole.VACUUM.value
        }
        written = KINDS["pressure"].units  # a name alone may be anything
        gauges = {c.name for c in self.read_as.columns if c.role is ChannelRole.VACUUM and c.unit in written}
        told = {f"{what} of {name}" for name in other - gauges for what in ("unit", "sense")}
        if answers.get("elapsed or clock") == "time of day":
            told.add("time unit")  # of a clock two parts are hours and minutes
        absolute = any(
            answers.get(f"sense of {c.name}", c.sense) == "absolute"
            and (c.name not in other or c.role is ChannelRole.VACUUM)
            for c in self.read_as.columns
        )
        asked = tuple(q for q in self.questions if q.key not in told and q.key != "ambient")
        return (*asked, ambient_question()) if absolute else asked


def propose(path: str | Path) -> Proposal:
    """Propose how to read a log file (text or workbook).

    Args:
        path: the file.

    Raises:
        MissingError: no such file.
        ReadingError: no table of readings in it, or not a file that can be read.
    """
    path = Path(path)
    found = row_format(path)
    return _of_text(path) if found is None else _of_rows(path, found)


def _of_text(path: Path) -> Proposal:
    encoding, lines = encoding_and_head(path)
    separator, decimal = separator_of(lines)
    layout = layout_of([split_line(x, separator) for x in lines], decimal, lines)
    if separator == ",":
        above = lines[max(0, layout.lines_above - ROWS_OF_HEAD) : layout.lines_above]
        check_commas([split_line(x, separator) for x in above], layout.rows[:200])
    named = {v: k for k, v in SEPARATORS.items()}[separator]
    reasons = [f"encoding {encoding}", f"separator {named}", f"decimal mark {decimal!r}"]
    file = Hashing(path)

    def blocks(source: Hashing) -> Iterable[Block]:
        return text_blocks(source, path.name, encoding, separator, layout.width, layout.lines_above)

    long = find_long(layout.rows, decimal)
    if long is not None:
        before = Hashing(path)
        long = _with_late(long, blocks(before))
        before.close()
    survey = _surveyed(layout, decimal, long, blocks(file))
    file.close()
    head = head_digest(lines[: layout.lines_above + 1])
    draft = {"form": "text", "encoding": encoding, "separator": separator, "head": head}
    return _made(path, file.hash.hexdigest(), layout, decimal, draft, reasons, survey, long)


def _with_late(long: Long, blocks: Iterable[Block]) -> Long:
    """The same with the channels that first come behind the head of the file."""
    for block in blocks:
        if block.numbers:
            known = set(long.channels)
            names = block.column(long.name)
            late = block.rows([i for i, x in enumerate(names) if x.strip() not in known])
            late = [row for row in late if long.of_channel(row)]
            long = with_channels(long, late) if late else long
    return long


def _surveyed(layout: TableLayout, decimal: str, long: Long | None, blocks: Iterable[Block]) -> _Survey:
    """One pass over the blocks; those of a long table are made wide."""
    more = 0 if long is None else len(long.channels) - len(long.taken)
    survey = _Survey(layout.width + more, decimal)
    widener = Widener(long) if long is not None else None
    for block in blocks:
        survey.take(block if widener is None else widener.take(block))
    if widener is not None:
        survey.take(widener.rest())
    return survey


def _of_rows(path: Path, form: RowFormat) -> Proposal:
    names = form.sheets(path)
    for name in names:
        rows = form.rows(path, name)
        decimal = _decimal_of_texts(rows[:2000])
        head = rows_as_text(rows[:2000], decimal)
        try:
            layout = layout_of(head, decimal, [" ".join(r).strip() for r in head])
            break
        except ReadingError:
            if name == names[-1]:
                raise

    def blocks() -> Iterable[Block]:
        return sheet_blocks(rows, layout.width, layout.lines_above, decimal)

    long = find_long(layout.rows, decimal)
    long = _with_late(long, blocks()) if long is not None else None
    survey = _surveyed(layout, decimal, long, blocks())
    file = Hashing(path)
    while file.read(1 << 20):
        pass
    file.close()
    reasons = [f"sheet {name!r}" + (f" of {', '.join(names)}" if len(names) > 1 else "")]
    draft = {"form": "sheet", "sheet": name, "head": rows_head(rows, layout.lines_above)}
    return _made(path, file.hash.hexdigest(), layout, decimal, draft, reasons, survey, long)


def _decimal_of_texts(rows: list[list[object]]) -> str:
    texts = [c for r in rows for c in r if isinstance(c, str) and re.fullmatch(r"[+-]?\d+[.,]\d+", c.strip())]
    return "," if texts and all("," in t for t in texts) else "."


class _Survey:
    """One pass over the whole file: extremes, missing readings, first and last rows, and a sample."""

    def __init__(self, width: int, decimal: str) -> None:
        self.width, self.decimal = width, decimal
        self.least = np.full(width, np.inf)
        self.most = np.full(width, -np.inf)
        self.missing = np.zeros(width, np.int64)
        self.rows = 0
        self.first: list[tuple[str, ...]] = []
        self.last: deque[tuple[str, ...]] = deque(maxlen=3)
        self.sample: list[list[str]] = [[] for _ in range(width)]
        self.grouped = self.plain = 0

    def take(self, block: Block) -> None:
        count = len(block.numbers)
        if not count:
            return
        self.rows += count
        if len(self.first) < 3:
            self.first += block.rows(range(min(3 - len(self.first), count)))
        self.last.extend(block.rows(range(max(0, count - 3), count)))
        picked: Sequence[int] = range(count)
        if count > 200:
            picked = [*range(200), *range(200, count, max(1, count // 400)), count - 1]
        rows = block.rows(picked)
        stamps = [bool(looks_like(c.strip())) for c in rows[0]]
        for i in range(self.width):
            if len(self.sample[i]) < 4000:
                self.sample[i].extend(r[i] for r in rows)
        used = [i for i in range(self.width) if not stamps[i]]  # a time stamp has no extremes to show
        table = plain_table(block, used, self.decimal) if used else None
        for at, i in enumerate(used):
            values = numbers(block.columns[i], self.decimal, "", Counter()) if table is None else table[:, at]
            good = np.isfinite(values)
            self.missing[i] += count - int(good.sum())
            if good.any():
                self.least[i] = min(self.least[i], float(values[good].min()))
                self.most[i] = max(self.most[i], float(values[good].max()))

    def values(self, column: int) -> FloatArray:
        """Sampled values of a column as read."""
        return numbers(self.sample[column], self.decimal, "", Counter())


def _made(
    path: Path,
    digest: str,
    layout: TableLayout,
    decimal: str,
    draft: dict[str, str],
    reasons: list[str],
    survey: _Survey,
    long: Long | None,
) -> Proposal:
    if not survey.rows:
        raise InputError("no samples below the header", where=path.name)
    width = layout.width
    if long is not None:
        reasons = [*reasons, f"one reading per row: {len(long.channels)} channels are put side by side"]
        layout = _wide(layout, long)
    clock: ProposedClock = find_clock(survey.sample, layout.names, layout.units, decimal)
    clock = _with_fraction(clock, layout, survey)
    columns, why = _columns(layout, clock, survey)
    read_as = ReadAs(
        time=clock.time,
        columns=columns,
        width=width,
        long=long,
        lines_above=layout.lines_above,
        decimal=decimal,
        form=draft["form"],
        encoding=draft.get("encoding", "utf-8"),
        separator=draft.get("separator", ","),
        sheet=draft.get("sheet", ""),
        head=draft["head"],
    )
    samples = {c.name: survey.values(c.index) for c in columns}
    grouped = _grouped_cells(survey, columns)
    hot = any("," in x for c in columns if c.role is ChannelRole.THERMOCOUPLE for x in survey.sample[c.index])
    asked = questions_of(columns, samples, grouped, bool(grouped) and hot, unit_above(layout.above))
    ranges = tuple(
        Range(c.name, *_finite(survey.least[c.index], survey.most[c.index]), int(survey.missing[c.index]))
        for c in columns
    )
    return Proposal(
        path.name,
        digest,
        read_as,
        (*reasons, *clock.reasons, *why),
        (*clock.questions, *asked),
        layout.above,
        tuple(survey.first),
        tuple(survey.last),
        ranges,
        survey.rows,
    )


def _wide(layout: TableLayout, long: Long) -> TableLayout:
    """The layout of the wide table: the other columns, then the channels in the unit of the readings."""
    others = [i for i in range(layout.width) if i not in long.taken]
    unit = layout.units[long.value] or unit_in_name(layout.names[long.value])
    return replace(
        layout,
        width=len(others) + len(long.channels),
        names=(*(layout.names[i] for i in others), *long.channels),
        units=(*(layout.units[i] for i in others), *(long.units or [unit] * len(long.channels))),
    )


_FRACTION = (
    ("us", re.compile(r"(?i)\bus(ec)?\b|µs|microsec")),
    ("ms", re.compile(r"(?i)\bms(ec)?\b|millisec")),
)


def _with_fraction(clock: ProposedClock, layout: TableLayout, survey: _Survey) -> ProposedClock:
    """A column that counts parts of a second beside stamps of whole seconds belongs to the time."""
    if clock.time.form not in ("clock", "time of day"):
        return clock
    stamps = [c for i in clock.time.columns for c in survey.sample[i][:200]]
    if any(re.search(r"\d[.,]\d", c.rsplit(":", 1)[-1]) for c in stamps if ":" in c):
        return clock
    for index in range(layout.width):
        words = f"{layout.names[index]} {layout.units[index]}".replace("_", " ")
        values = survey.values(index)
        for unit, pattern in _FRACTION:
            if index in clock.time.columns or not pattern.search(words) or not np.isfinite(values).all():
                continue
            if values.min() >= 0.0 and values.max() * FRACTIONS[unit] < 1.0:
                time = replace(clock.time, fraction=index, fraction_unit=unit)
                why = f"{layout.names[index]} counts parts of a second ({unit})"
                return replace(clock, time=time, reasons=(*clock.reasons, why))
    return clock


def _finite(least: float, most: float) -> tuple[float, float]:
    return (least, most) if least <= most else (float("nan"), float("nan"))


def _grouped_cells(survey: _Survey, columns: tuple[ColumnAs, ...]) -> str:
    """A number such as 1,234 whose comma may mark thousands or decimals, "" when there is none."""
    commas = [x for c in columns for x in survey.sample[c.index] if "," in x]
    if commas and all(_GROUPED.fullmatch(x.strip()) for x in commas):
        dotted = any("." in x for c in columns for x in survey.sample[c.index])
        return "" if dotted else commas[0].strip()
    return ""


def _sense_of(g: Guess, role: ChannelRole) -> tuple[str, bool]:
    return (g.sense, g.sense_written) if role is ChannelRole.VACUUM else ("", False)


def _columns(
    layout: TableLayout, clock: ProposedClock, survey: _Survey
) -> tuple[tuple[ColumnAs, ...], list[str]]:
    columns, reasons = [], []
    taken: Counter[str] = Counter()
    letters = lettered_names(layout.names)
    for index in range(layout.width):
        if index in clock.time.columns or index == clock.time.fraction:
            continue
        values = survey.values(index)
        name = layout.names[index] or f"column {index + 1}"
        if not np.isfinite(values).any() and not layout.names[index]:
            continue
        taken[name] += 1
        if taken[name] > 1:
            name = f"{name} ({taken[name]})"
        lettered = layout.names[index] in letters
        unit = unit_of_cells(name, layout.units[index], survey.sample[index], survey.decimal, lettered)
        g = guess(name, layout.units[index], values, unit)
        role = (
            g.role if np.isfinite(values).any() or g.role is ChannelRole.THERMOCOUPLE else ChannelRole.OTHER
        )
        columns.append(ColumnAs(index, name, role, g.unit, *_sense_of(g, role)))
        reasons.append(f"{name}: {role.value}, by its {g.why}" + (f", in {g.unit}" if g.unit else ""))
    if not columns:
        raise InputError("no column besides the time holds readings")
    return tuple(columns), reasons


__all__ = ["LogQuestion", "Proposal", "Range", "propose"]
