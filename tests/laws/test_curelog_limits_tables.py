"""Tables, long rows and plain bytes of cure logs at their very limits, and the next step on either side.

No file is read here; each row gives a small question and what the rule in its words answers.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from panelmend.curelog import build, cells, longform, plain, sniff
from panelmend.curelog.readas import TimeAs
from panelmend.errors import PanelmendError


def row(*values: float) -> np.ndarray:
    return np.array(values, float)


def test_which_bytes_are_text() -> None:
    zero = b"\x00"
    assert sniff.encoding_of(b"a" * 192 + zero * 8)[0] == "utf-8"
    assert sniff.encoding_of(b"a" * 191 + zero * 9)[0] == ""
    assert sniff.encoding_of(b"a" * 490 + zero * 10)[0] == "utf-8"  # two in a hundred are no more
    assert sniff.encoding_of(b"a" * 489 + zero * 11)[0] == ""
    assert sniff.encoding_of(b"a" * 95 + b"\x01" * 5)[0] == "utf-8"
    assert sniff.encoding_of(b"a" * 94 + b"\x01" * 6)[0] == ""
    for kept in (9, 10, 13):
        assert sniff.encoding_of(b"a" * 50 + bytes([kept]) * 50)[0] == "utf-8"
    for other in (8, 14, 31):
        assert sniff.encoding_of(b"a" * 50 + bytes([other]) * 50)[0] == ""
    assert sniff.encoding_of(b"a" * 50 + b" " * 50)[0] == "utf-8"
    assert sniff.encoding_of("20 °C".encode("cp1252"))[0] == "cp1252"
    text = "time;T1\n" * 40
    assert sniff.encoding_of(text.encode("utf-16-le"))[0] == "utf-16-le"
    assert sniff.encoding_of(text.encode("utf-16-be"))[0] == "utf-16-be"


def test_separators_and_decimal_marks() -> None:
    assert sniff.separator_of(["1,5;2,5"] * 4) == (";", ",")
    assert sniff.separator_of(["1.5;2.5"] * 4) == (";", ".")
    assert sniff.separator_of(["1.5\t2.5\t3"] * 4) == ("\t", ".")
    with pytest.raises(PanelmendError):
        sniff.separator_of(["words and more words"] * 4)
    # seven cells of ten are words: 0.3 is read; of eleven with eight words less is
    assert sniff.separator_of([";".join(["1"] * 3 + ["w"] * 7)] * 4)[0] == ";"
    with pytest.raises(PanelmendError):
        sniff.separator_of([";".join(["1"] * 3 + ["w"] * 8)] * 4)


def test_rows_that_are_samples() -> None:
    def sample(cell: str, width: int) -> bool:
        return sniff._is_sample([c if c != "_" else "" for c in cell.split()], width, ".")

    assert sample("1 2 3", 5)
    assert not sample("1 2", 5)
    assert sample("1 2 3 4 5 6", 5)
    assert not sample("1 2 3 4 5 6 7", 5)
    assert not sample("1", 2)
    assert sample("1 2", 2)
    assert not sample("1 _ _", 3)  # one cell that is filled
    assert sample("1 2 _", 3)
    assert sample("1 2 3 zz zz", 5)  # six of ten
    assert not sample("1 2 zz zz", 4)
    assert not sample("zz zz zz 4 5 6 7 8", 8)  # no time in the first three
    assert sample("zz zz 3 4 5 6 7 8", 8)


def test_names_that_say_the_same() -> None:
    assert not sniff._repeats(["avg", "avg"])
    assert sniff._repeats(["avg", "avg", "avg"])
    assert sniff._repeats(["a", "b", "c", "a", "b"])  # three of five
    assert not sniff._repeats(["a", "b", "c", "d", "a"])
    assert sniff._repeats(["A", "a", "a", ""])


def test_columns_that_name_channels() -> None:
    assert sniff._named(["a", "b"] * 3, ".")
    assert not sniff._named(["a", "b"] * 2 + ["a"], ".")  # two names in five cells
    assert not sniff._named(["a"] * 6, ".")
    assert not sniff._named(["1", "b"] * 3, ".")
    assert not sniff._named(["08:00", "b"] * 3, ".")
    many = [f"c{k}" for k in range(sniff.MOST_CHANNELS)]
    assert sniff._named(many * 3, ".")
    assert not sniff._named([*many, "one more"] * 4, ".")
    assert sniff._read(["1"] * 9 + ["w"], ".")
    assert not sniff._read(["1"] * 8 + ["w", "w"], ".")
    assert sniff._stamped(["08:00"] * 9 + ["w"])
    assert not sniff._stamped(["08:00"] * 8 + ["w", "w"])


def long_rows(count: int, width: int = 3, together: float = 1.0) -> list[list[str]]:
    times = [k // 2 if k < together * count else k for k in range(count)]
    return [
        [f"08:00:{t:02d}", "TA" if k % 2 else "TB", f"{20 + k}.5", *["1"] * (width - 3)][:width]
        for k, t in enumerate(times)
    ]


def test_one_reading_in_a_row() -> None:
    assert sniff.find_long(long_rows(11), ".") is None
    found = sniff.find_long(long_rows(12), ".")
    assert found is not None
    assert (found.name, found.value, found.unit, found.channels) == (1, 2, -1, ("TB", "TA"))
    assert sniff.find_long([r[:2] for r in long_rows(12)], ".") is None
    assert sniff.find_long(long_rows(12, 7), ".") is None
    with pytest.raises(PanelmendError):
        sniff.find_long(long_rows(20, together=0.1), ".")


def test_channels_and_their_units() -> None:
    one = longform.Long(1, 2, ("TA",), 3)
    told = sniff.with_channels(one, [["0", "TA", "1", "C"], ["0", "V", "2", "kPa"]])
    assert told.channels == ("TA", "V")
    assert told.units == ("C", "kPa")
    assert told.taken == (1, 2, 3)
    assert longform.Long(0, 2, ("TA",)).taken == (0, 2)
    with pytest.raises(PanelmendError):
        sniff.with_channels(one, [["0", "TA", "1", "C"], ["0", "TA", "2", "F"]])
    names = [["0", f"c{k}", "1", "C"] for k in range(sniff.MOST_CHANNELS)]
    assert len(sniff.with_channels(longform.Long(1, 2, (), 3), names).channels) == sniff.MOST_CHANNELS
    with pytest.raises(PanelmendError):
        sniff.with_channels(longform.Long(1, 2, (), 3), [*names, ["0", "more", "1", "C"]])


def widened(*rows: str, long: longform.Long | None = None) -> tuple[list[Any], list[int], longform.Widener]:
    """Rows of words, each a block of its own, as wide rows with their numbers."""
    wide = longform.Widener(long or longform.Long(1, 2, ("A", "B")))
    found, numbers = list[Any](), list[int]()
    for k, r in enumerate(rows, 1):
        block = wide.take(cells.block_of_rows([r.split()], k, len(r.split())))
        found += list(zip(*block.cells, strict=True)) if block.numbers else []
        numbers += list(block.numbers)
    rest = wide.rest()
    found += list(zip(*rest.cells, strict=True)) if rest.numbers else []
    return found, numbers + list(rest.numbers), wide


def test_long_rows_made_wide() -> None:
    assert widened("0 A 1", "0 B 2", "1 A 3")[:2] == ([("0", "1", "2"), ("1", "3", "")], [1, 3])
    assert widened("0 A 1", "0 A 2")[0] == [("0", "1", ""), ("0", "2", "")]  # a channel that comes again
    assert widened("0 B 1", "0 A 2")[0] == [("0", "2", "1")]
    assert widened()[:2] == ([], [])
    found, _, wide = widened("0 A 1", "0 X 2", "0 X 3", "0 B 4")
    assert found == [("0", "1", "4")]
    assert wide.strangers == {"X": 2}
    unit = longform.Long(1, 2, ("A", "B"), 3, ("C", "F"))
    assert widened("0 A 1 C", "0 B 2 C", "0 B 3 F", long=unit)[0] == [("0", "1", "3")]
    many = [f"0 S{k} 1" for k in range(longform.MOST_NAMED + 1)]
    assert len(widened(*many)[2].strangers) == longform.MOST_NAMED


def plainly(
    lines: list[str], width: int, columns: list[int], decimal: str = ".", separator: str = ";"
) -> Any:
    made = plain.PlainBytes.of(lines, "\n".join(lines), separator, width)
    return None if made is None else made.numbers(columns, decimal)


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("1", 1.0),
        ("-1.5", -1.5),
        ("+1.5", 1.5),
        (" 1.5", 1.5),
        ("  -1", -1.0),
        ("1 5", None),
        ("1-5", None),
        ("--1", None),
        ("-", None),
        ("1.", None),
        (".5", 0.5),
        ("1.2.3", None),
        ("1e5", None),
        ("1/2", None),
        ("1:2", None),
        ("", None),
        ("123456789012345", 123456789012345.0),
        ("1234567890123456", None),  # sixteen digits are not whole in a double
        ("12345678901234.5", 12345678901234.5),
        ("00000000000000001", None),  # seventeen characters
        ("9", 9.0),
        ("0", 0.0),
        ("-0.25", -0.25),
    ],
)
def test_plain_numbers_from_bytes(cell: str, value: float | None) -> None:
    for beside in ("7", "-7.25", "0.125", "12345"):
        lines = [f"{cell};{beside}", f"{beside};{cell}"]
        told = plainly(lines, 2, [0, 1])
        if value is None:
            assert told is None
        else:
            assert told is not None
            assert told.tolist() == [[value, float(beside)], [float(beside), value]]
    comma = plainly([f"{cell.replace('.', ',')};1"], 2, [0], ",")
    assert (None if comma is None else comma[0, 0]) == value


def test_plain_bytes_ask_for_rows_of_one_width() -> None:
    assert plainly(["1;2", "3;4"], 2, [1])[:, 0].tolist() == [2.0, 4.0]
    assert plainly(["1;2", "3"], 2, [0]) is None
    assert plainly(["1;2;3", "3"], 2, [0]) is None
    assert plainly(["1;2"], 3, [0]) is None
    assert plainly(["1,5;2.5"], 2, [0, 1], ",") is None
    assert plainly(["1;é"], 2, [0]) is None
    assert plain.PlainBytes.of(["1;2"], "1;2", ";;", 2) is None
    made = plain.PlainBytes.of(["ab;c", "de;f"], "ab;c\nde;f", ";", 2)
    assert made is not None
    assert made.texts(0).tobytes() == b"abde"  # type: ignore[union-attr]
    assert made.texts(1).tobytes() == b"cf"  # type: ignore[union-attr]
    odd = plain.PlainBytes.of(["ab;c", "d;f"], "ab;c\nd;f", ";", 2)
    assert odd is not None
    assert odd.texts(0) is None


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('"a";"b"\n"c";"d"', "a;b\nc;d"),
        ('"a";b\n"c";d', "a;b\nc;d"),
        ('a;"b"', "a;b"),
        ('"a;b"', None),
        ('"a\nb"', None),
        ('a"b";c', None),
        ('"a"b;c', None),
        ('"a";"b', None),
        ('"a";"b"\n"c";d', "a;b\nc;d"),
        ("a;b", "a;b"),
    ],
)
def test_quotes_about_cells(text: str, told: str | None) -> None:
    assert plain.unquoted(text, ";") == told


@pytest.mark.parametrize(
    ("times", "step"),
    [
        ([0.0, 60.0, 120.0], 60.0),
        ([0.0, 60.0, 121.0], 1.0),
        ([0.0, 60.0, 120.5], 0.001),
        ([1.0, 2.0], 1.0),
        ([0.25], 0.001),
        ([59.9999999], 60.0),
    ],
)
def test_the_step_that_stamps_can_show(times: list[float], step: float) -> None:
    assert build._step(row(*times)) == step


def how(form: str, zone: str = "local") -> Any:
    class How:
        time = TimeAs((0,), form, zone=zone)  # type: ignore[arg-type]

    return How()


@pytest.mark.parametrize(
    ("first", "form", "zone", "offset", "told"),
    [
        (5.0, "elapsed", "local", 0, ""),
        (3723.4, "time of day", "local", 0, "T01:02:03"),
        (86400.0 + 60.0, "time of day", "local", 0, "T00:01:00"),
        (86399.0, "time of day", "local", 0, "T23:59:59"),
        (0.25, "clock", "local", 0, "1970-01-01T00:00:00.250000"),
        (0.0, "clock", "Z", 0, "1970-01-01T00:00:00+00:00"),
        (0.0, "clock", "UTC", 0, "1970-01-01T00:00:00+00:00"),
        (0.0, "clock", "+02:00", 0, "1970-01-01T00:00:00+02:00"),
        (0.0, "clock", "stamped", 7200, "1970-01-01T02:00:00+02:00"),
        (0.0, "clock", "stamped", -3600, "1969-12-31T23:00:00-01:00"),
        (1.0, "epoch", "Z", 0, "1970-01-01T00:00:01+00:00"),
    ],
)
def test_when_a_log_began(first: float, form: str, zone: str, offset: int, told: str) -> None:
    assert build._started(first, how(form, zone), offset) == told


def test_numbers_kept_in_pieces() -> None:
    whole = build.ARENA // 8
    for counts in ((3, 4), (whole, 1), (whole - 1, 2), (whole + 1, whole), (2 * whole + 5,)):
        one, other = (build.NumberColumn(np.dtype(np.float64)) for _ in range(2))
        every = np.arange(sum(counts), dtype=float)
        begin = 0
        for count in counts:
            one.add(every[begin : begin + count])
            other.add(np.where(every % 2 == 0, every, -1.0)[begin : begin + count])
            begin += count
        alike = one.same(other, every.size)
        assert alike.size == every.size
        assert np.array_equal(alike, every % 2 == 0)
        assert np.array_equal(one.taken(np.empty(every.size), False), every)
        assert np.array_equal(one.taken(np.empty(every.size - 2), True), every[:-2])
    assert (
        build.NumberColumn(np.dtype(np.float64)).same(build.NumberColumn(np.dtype(np.float64)), 0).size == 0
    )
