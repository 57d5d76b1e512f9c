"""Where the reader of cure logs sees a table, its names and its units: each limit from both sides."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelmend.curelog import sniff
from panelmend.errors import ReadingError

STAMPED, PLAIN, WORDS = ["10:00:00", "1", "2"], ["5", "1", "2"], ["end", "of", "run"]


def pairs(odd: int, even: int, both: int = 100) -> bytes:
    """Two bytes at a time: ``odd`` with the second zero, ``even`` with the first zero, the rest letters."""
    return b"a\0" * odd + b"\0a" * even + b"aa" * (both - odd - even)


@pytest.mark.parametrize(
    ("raw", "encoding"),
    [
        (pairs(31, 0), "utf-16-le"),
        (pairs(30, 0), ""),
        (pairs(31, 3), "utf-16-le"),
        (pairs(31, 4), ""),
        (pairs(0, 31), "utf-16-be"),
        (pairs(0, 30), ""),
        (pairs(3, 31), "utf-16-be"),
        (pairs(4, 31), ""),
        (pairs(4, 4), "utf-8"),  # a few zero bytes are a fault of the line
        (pairs(5, 4), ""),
        (pairs(10, 10, 500), "utf-8"),
        (pairs(11, 10, 500), ""),
        (b"\x08" * 5 + b"a" * 95, "utf-8"),
        (b"\x08" * 6 + b"a" * 94, ""),
        (b"\x0e" * 6 + b"a" * 94, ""),
        (b"\x1f" * 6 + b"a" * 94, ""),
        (b"\t\r\n " * 20 + b"a" * 20, "utf-8"),
    ],
)
def test_what_a_head_of_bytes_is_written_in(raw: bytes, encoding: str) -> None:
    assert sniff.encoding_of(raw)[0] == encoding


def test_the_head_ends_with_its_last_whole_line_and_has_two_thousand_at_most(tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    line = "x" * 1023
    file.write_text(f"{line}\n" * 300)
    lines = sniff.encoding_and_head(file)[1]
    assert set(lines[:-1]) == {line}
    assert len(lines) == sniff.HEAD // 1024
    file.write_text("1,2\n" * 20 + "cut off")
    assert sniff.encoding_and_head(file)[1][-1] == "cut off", "the whole file is the head: nothing is cut off"
    file.write_text("1\r\n" * 5000)
    assert len(sniff.encoding_and_head(file)[1]) == 2000
    file.write_bytes(b"1\r2\r3")
    assert sniff.encoding_and_head(file) == ("utf-8", ["1", "2", "3"])


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("a,b,c,d,e,f,g,1,2,3", (",", ".")),
        ("a,b,c,d,e,f,g,h,2,3", None),
        ("-;-;2026-01-01 10:00", None),  # nothing of it is a reading
        ("1 2", (" ", ".")),
        ("1", None),
        ("0|20.5|21.0", ("|", ".")),
        ('"0","20,5","21,0"', (",", ",")),
        ("1,234;2,5", (";", ",")),
    ],
)
def test_the_separator_and_the_mark_of_a_line(line: str, found: tuple[str, str] | None) -> None:
    lines = ["about this log"] * 8 + [line] * 9
    if found is None:
        with pytest.raises(ReadingError, match="no table of readings"):
            sniff.separator_of(lines)
    else:
        assert sniff.separator_of(lines) == found


@pytest.mark.parametrize(("columns", "fine"), [(2000, True), (2001, False)])
def test_a_table_has_two_thousand_columns_at_most(columns: int, fine: bool) -> None:
    lines = [";".join(["1"] * columns)] * 2
    if fine:
        assert sniff.separator_of(lines) == (";", ".")
    else:
        with pytest.raises(ReadingError):
            sniff.separator_of(lines)


@pytest.mark.parametrize(
    ("cells", "width", "is_one"),
    [
        ("1 2 3", 5, True),
        ("1 2", 5, False),
        ("1 2 3 4 5 6", 5, True),
        ("1 2 3 4 5 6 7", 5, False),
        ("1 2", 3, True),
        ("1", 3, False),
        ("1 _ _", 3, False),
        ("1 2 _", 3, True),
        ("1 2 3 x y", 5, True),
        ("1 2 x y z", 5, False),
        ("x y 1 2 3 4 5 z", 8, True),
        ("x y z 1 2 3 4 5", 8, False),
        ("0 1,234,567 1,234", 3, True),
        ("0 1,23 1,234,5", 3, False),
        ("10:00 C C C", 4, True),
    ],
)
def test_what_a_row_of_samples_is(cells: str, width: int, is_one: bool) -> None:
    row = [c.replace("_", "") for c in cells.split()]
    assert sniff._is_sample(row, width, ".") is is_one


@pytest.mark.parametrize(
    ("after", "begins"),
    [
        ([PLAIN] * 14 + [WORDS] * 6, True),
        ([PLAIN] * 13 + [WORDS] * 7, False),
        ([PLAIN] * 14 + [WORDS] * 7, True),  # twenty rows are looked at
        ([STAMPED] * 7 + [PLAIN] * 3, True),
        ([STAMPED] * 8 + [PLAIN] * 2, False),  # most carry a time where this one has none
        ([], True),
    ],
)
def test_samples_begin_where_most_of_what_follows_is_alike(after: list[list[str]], begins: bool) -> None:
    assert sniff._starts([WORDS, PLAIN, *after], 1, 3, ".") is begins


@pytest.mark.parametrize(("place", "begins"), [(0, False), (2, False), (3, True)])
def test_the_time_is_looked_for_in_three_columns(place: int, begins: bool) -> None:
    after = ["1", "2", "3", "4"]
    after[place] = "10:00:00"
    assert sniff._starts([["1", "2", "3", "4"], *[after] * 9], 0, 4, ".") is begins


def names_of(*rows: str, width: int = 3) -> tuple[str, str]:
    cells = [[c.replace("_", "") for c in r.split(" ")] for r in rows]
    names, units = sniff._header(cells, width, ".")
    return "|".join(names), "|".join(units)


def test_names_are_looked_for_in_six_rows_above_the_samples() -> None:
    assert names_of("t p q", *["_"] * 5) == ("t|p|q", "||")
    assert names_of("t p q", *["_"] * 6) == ("||", "||")
    assert names_of("u x y", "_", "t p q") == ("t|p|q", "||"), "those nearest to the samples"


@pytest.mark.parametrize(
    ("row", "width", "names"),
    [
        ("t p q", 4, "t|p|q|"),
        ("t p", 4, "|||"),
        ("t", 2, "|"),
        ("t p q _ _", 3, "t|p|q"),
        ("t p q d", 3, "||"),
        ("1 2 p", 3, "||"),
        ("1 p q", 3, "1|p|q"),
        ("1 2 p q", 4, "|||"),
        ("avg max min", 3, "||"),
        ("avg max TC1", 3, "avg|max|TC1"),
    ],
)
def test_which_row_names_the_columns(row: str, width: int, names: str) -> None:
    assert names_of(row, width=width)[0] == names


@pytest.mark.parametrize(
    ("row", "are_units"),
    [
        ("Time C C x y", True),
        ("Time C z x y", False),
        ("Time C C x 12345678901", True),
        ("Time C C x 123456789012", False),
        ("C _ _ _ _", True),
        ("s _ _ _ x", True),
        ("x _ _ _ y", False),
    ],
)
def test_which_row_holds_the_units(row: str, are_units: bool) -> None:
    assert any(names_of("t p q d e", row, width=5)[1].split("|")) is are_units


@pytest.mark.parametrize(
    ("cells", "repeats"),
    [
        ("a a", False),
        ("a a a", True),
        ("a a b", False),
        ("a a b b d", True),
        ("a a b d e", False),
        ("a a a a b d e f", False),
    ],
)
def test_a_row_that_says_the_same_again_and_again(cells: str, repeats: bool) -> None:
    assert sniff._repeats(cells.split()) is repeats
    assert names_of("t p q d e x y z"[: len(cells)], cells.replace("a", "Wert"), width=len(cells.split()))[
        0
    ] == (
        "|".join("t p q d e x y z"[: len(cells)].split())
        if repeats
        else cells.replace("a", "Wert").replace(" ", "|")
    )


def long_rows(pairs_of: int, alone: int = 0, *more: str) -> list[list[str]]:
    """Moments with two readings each and with one each, in turn of channel."""
    rows = [[f"10:00:{i:02d}", n, "20.5", *more] for i in range(pairs_of) for n in ("TC1", "TC2")]
    return rows + [[f"11:00:{i:02d}", f"TC{1 + i % 2}", "20.5", *more] for i in range(alone)]


def test_twelve_rows_of_three_to_six_cells_can_be_one_reading_each() -> None:
    found = sniff.find_long(long_rows(6), ".")
    assert found is not None
    assert (found.name, found.value, found.unit, found.channels) == (1, 2, -1, ("TC1", "TC2"))
    assert sniff.find_long(long_rows(6)[:-1], ".") is None
    with_unit = sniff.find_long(long_rows(6, 0, "C"), ".")
    assert with_unit is not None
    assert (with_unit.value, with_unit.unit, with_unit.units) == (2, 3, ("C", "C"))
    assert sniff.find_long(long_rows(6, 0, "C", "ok", "ok"), ".") is not None
    assert sniff.find_long(long_rows(6, 0, "C", "ok", "ok", "ok"), ".") is None
    assert sniff.find_long([r[1:] for r in long_rows(6)], ".") is None


def test_half_of_the_moments_of_a_long_table_hold_two_readings() -> None:
    assert sniff.find_long(long_rows(4, 4), ".") is not None
    with pytest.raises(ReadingError, match="each with a time of its own") as refused:
        sniff.find_long(long_rows(4, 5, "n" * 80), ".")
    assert len(refused.value.read) == 60


def test_a_long_table_has_sixty_four_channels_at_most() -> None:
    base = sniff.find_long(long_rows(6), ".")
    assert base is not None
    named = [["10:00", f"N{i}", "1"] for i in range(62)]
    assert len(sniff.with_channels(base, named).channels) == 64
    with pytest.raises(ReadingError, match="too many channels") as refused:
        sniff.with_channels(base, [*named, ["10:00", "M", "1"]])
    assert "65 names" in str(refused.value)


@pytest.mark.parametrize(("good", "fine"), [(9, True), (8, False)])
def test_nine_in_ten_of_a_column_are_readings_or_stamps(good: int, fine: bool) -> None:
    assert sniff._read(["1.5"] * good + ["x"] * (10 - good), ".") is fine
    assert sniff._read(["-"] * good + ["x"] * (10 - good), ".") is fine
    assert sniff._stamped(["10:00:00"] * good + ["x"] * (10 - good)) is fine
