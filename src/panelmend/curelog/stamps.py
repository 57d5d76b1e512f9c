"""Time stamps: recognised, and read fast when they all look alike."""

from __future__ import annotations

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from panelmend.plan.judge.log import FloatArray, IntArray
from panelmend.plan.judge.order import ODD_RUN

_DATE = r"(?P<a>\d{1,4})(?P<mark>[-/.])(?P<b>\d{1,2})(?P=mark)(?P<c>\d{1,4})"
_TIME = (
    r"(?P<h>\d{1,4}):(?P<m>\d{1,2})(?::(?P<s>\d{1,2})(?:[.,:](?P<f>\d{1,9}))?)?"
    r"(?:\s*(?P<half>[AaPp])\.?\s?[Mm]\.?)?"
)
_ZONE = r"\s*(?P<zone>Z|UTC|[+-]\d{2}:?\d{2})?"
BOTH = re.compile(rf"\s*{_DATE}(?:[T ]\s*|,\s*){_TIME}{_ZONE}\s*$", re.ASCII)
DATE = re.compile(rf"\s*{_DATE}\s*$", re.ASCII)
TIME = re.compile(rf"\s*{_TIME}{_ZONE}\s*$", re.ASCII)
COMPACT = re.compile(
    r"\s*(?P<a>(?:19|20)\d\d)(?P<b>\d\d)(?P<c>\d\d)(?:[T _-]?(?P<h>\d\d)(?P<m>\d\d)(?P<s>\d\d)?)?\s*$",
    re.ASCII,
)
_HALF = re.compile(r"(?i)[ap]\.?\s?m\.?")
_MONTH_NAMES = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTHS = {m: i + 1 for i, m in enumerate(_MONTH_NAMES)}
_NAMED = re.compile(
    r"(?i)(\d{1,2})[- ./](jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?[- ,./]+(\d{4})"
)
_NAMED_US = re.compile(
    r"(?i)(jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?[- ](\d{1,2}),?[- ]+(\d{4})"
)
_PATTERNS = {"clock": (BOTH, COMPACT, DATE), "date": (DATE, COMPACT), "time": (TIME,)}
_NONE = np.iinfo(np.int64).min
_MOST_FORMS = 40
HALF_DAY = 43200.0  # s
CharArray = NDArray[np.uint32] | NDArray[np.uint8]


def plain_months(text: str) -> str:
    """A date with its month in words as numbers, year first; other text unchanged."""
    if text.lower() == text.upper():  # no letter, so no name
        return text
    text = _NAMED.sub(lambda m: f"{m[3]}-{_MONTHS[m[2].lower()]:02d}-{int(m[1]):02d}", text)
    return _NAMED_US.sub(lambda m: f"{m[3]}-{_MONTHS[m[1].lower()]:02d}-{int(m[2]):02d}", text)


def looks_like(text: str) -> str:
    """ "clock" (date and time), "date", "time" or "" for a cell."""
    if len(text) > 40:
        return ""
    text = plain_months(text)
    compact = COMPACT.match(text)
    if compact is not None:
        return "clock" if compact["h"] else "date"
    for name, pattern in (("clock", BOTH), ("date", DATE), ("time", TIME)):
        if pattern.match(text):
            return name
    return ""


def halves(cells: Sequence[str]) -> bool:
    """A column of am and pm, which belongs to the time."""
    filled = [c.strip() for c in cells if c.strip()]
    return bool(filled) and all(_HALF.fullmatch(c) for c in filled)


def zone_seconds(zone: str) -> int:
    """Seconds east of UTC of "Z", "UTC", "+02:00"; 0 for "local" and ""."""
    if zone in ("", "Z", "UTC", "local"):
        return 0
    digits = zone[1:].replace(":", "")
    return (-1 if zone[0] == "-" else 1) * (int(digits[:2]) * 3600 + int(digits[2:4]) * 60)


def offset_of(text: str) -> int:
    """Seconds east of UTC that a time stamp carries; 0 for one without."""
    m = BOTH.match(plain_months(text))
    return zone_seconds(m["zone"]) if m is not None and m["zone"] else 0


def _digits(codes: CharArray, span: tuple[int, int]) -> IntArray:
    total = np.zeros(len(codes), np.int64)
    for at in range(*span):
        total = total * 10 + (codes[:, at].astype(np.int64) - 48)
    return total


def _days(a: IntArray, b: IntArray, c: IntArray, order: str, year_digits: int) -> IntArray:
    """Days since 1970 of three date parts; a date that does not exist gives the least integer."""
    year, month, day = {"ymd": (a, b, c), "dmy": (c, b, a), "mdy": (c, a, b)}[order]
    if year_digits <= 2:
        year = np.where(year < 70, year + 2000, year + 1900)
    good = (month >= 1) & (month <= 12) & (day >= 1) & (day <= 31) & (year >= 1900) & (year <= 2200)
    months = np.where(good, (year - 1970) * 12 + month - 1, 0)
    first = months.astype("datetime64[M]").astype("datetime64[D]")
    days = (first + (np.where(good, day, 1) - 1)).astype("datetime64[D]")
    good &= days.astype("datetime64[M]").astype(np.int64) == months
    return np.where(good, days.astype(np.int64), _NONE)


def _of_match(m: re.Match[str], codes: CharArray, order: str) -> FloatArray:
    """Seconds of all rows of ``codes``, which are written like the matched text."""
    groups = m.groupdict()
    total: FloatArray = np.zeros(len(codes))
    if groups.get("a"):
        parts = [_digits(codes, m.span(k)) for k in "abc"]
        first = m.end("a") - m.start("a")
        if first == 4:
            order = "ymd"
        year = {"ymd": "a", "dmy": "c", "mdy": "c"}[order]
        days: IntArray = _days(parts[0], parts[1], parts[2], order, m.end(year) - m.start(year))
        total = np.where(days == _NONE, np.nan, days * 86400.0).astype(np.float64)
    if groups.get("h"):
        hour, minute = _digits(codes, m.span("h")), _digits(codes, m.span("m"))
        second = _digits(codes, m.span("s")) if groups.get("s") else np.zeros(len(codes), np.int64)
        bad = (minute > 59) | (second > 60)
        if groups.get("a"):
            bad |= hour > 24
        if groups.get("half"):
            bad |= (hour < 1) | (hour > 12)
            hour = hour % 12 + (12 if groups["half"] in "Pp" else 0)
        clock: FloatArray = hour * 3600.0 + minute * 60.0 + second
        if groups.get("f"):
            start, end = m.span("f")
            clock = clock + _digits(codes, (start, end)) / 10.0 ** (end - start)
        total = total + np.where(bad, np.nan, clock)
    if groups.get("zone"):
        total = total - zone_seconds(str(groups["zone"]))
    return np.asarray(total, np.float64)


def _match(text: str, what: str) -> re.Match[str] | None:
    for pattern in _PATTERNS[what]:
        m = pattern.match(text)
        if m is not None:
            return m
    return None


def read_stamps(texts: Sequence[str], what: str, order: str) -> FloatArray:
    """Times (n,) [s] of time stamps: since 1970 (UTC where the stamp has its offset) for "clock" and
    "date", since
    midnight or the start for "time". A stamp that cannot be read is NaN. Shape (n,).

    Stamps written with the same digits in the same places are read together; a file whose stamps all differ
    in form is read one form at a time.
    """
    out = np.full(len(texts), np.nan)
    short = [t if len(t) <= 40 else "" for t in texts]
    if any(ch.isalpha() and ch not in "TZUCAPMapm" for ch in "".join(short[:20])):
        short = [plain_months(t) for t in short]
    array = np.array(short, dtype=np.str_)
    rest = np.arange(len(short))
    width = array.dtype.itemsize // 4
    for _ in range(_MOST_FORMS):
        if not rest.size or not width:
            return out
        sample = str(array[rest[0]])
        m = _match(sample, what)
        if m is None:
            rest = rest[1:]
            continue
        codes = np.ascontiguousarray(array[rest]).view(np.uint32).reshape(rest.size, width)
        zone = m.span("zone") if m.groupdict().get("zone") else (0, 0)
        alike = _alike(codes, sample, width, zone)
        out[rest[alike]] = _of_match(m, codes[alike], order)
        rest = rest[~alike]
    for at in rest:
        m = _match(str(array[at]), what)
        if m is not None:
            out[at] = _of_match(m, array[at : at + 1].view(np.uint32).reshape(1, width), order)[0]
    return out


def alike_stamps(codes: NDArray[np.uint8], what: str, order: str) -> FloatArray | None:
    """Times (n,) [s] of time stamps given as characters [1], shape (n, length), as :func:`read_stamps` gives
    them; None where they are not all written alike."""
    if not codes.size or codes.shape[1] > 40:
        return None
    sample = codes[0].tobytes().decode("ascii")
    m = _match(sample, what)
    if m is None:
        return None
    zone = m.span("zone") if m.groupdict().get("zone") else (0, 0)
    if not _alike(codes, sample, len(sample), zone).all():
        return None
    return _of_match(m, codes, order)


def _alike(codes: CharArray, sample: str, width: int, zone: tuple[int, int]) -> NDArray[np.bool_]:
    """Rows with digits where the sample has digits and the same characters elsewhere, and in its ``zone``:
    an offset from UTC that changes on the way is another time."""
    wanted = np.array([ord(ch) for ch in sample] + [0] * (width - len(sample)), np.uint32)
    digit = (wanted >= 48) & (wanted <= 57)
    digit[slice(*zone)] = False
    same = codes[:, ~digit] == wanted[~digit]
    inside = (codes[:, digit] >= 48) & (codes[:, digit] <= 57)
    return np.asarray(same.all(axis=1) & inside.all(axis=1))


def days_passed(times: FloatArray) -> IntArray:
    """How often midnight was passed before each time of day (n,) [s], in the order of the file. A jump ahead
    of half a day is a gap, unless there is a jump back within a few rows: then a stamp was odd, or rows about
    midnight changed places, and it goes back to the day before."""
    steps = np.diff(times)
    back, ahead = steps < -HALF_DAY, steps > HALF_DAY
    near = [bool(back[max(0, i - ODD_RUN) : i + ODD_RUN + 1].any()) for i in np.flatnonzero(ahead)]
    ahead[ahead] = near
    return np.concatenate([[0], np.cumsum(back.astype(np.int64) - ahead)])
