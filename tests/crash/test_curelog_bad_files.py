"""Files that are no logs, or broken ones: refused in words, never a traceback."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

from panelmend.curelog import ReadAs, propose, read_log
from panelmend.errors import InputError, MissingError, PanelmendError, ReadingError

BAD: dict[str, bytes] = {
    "empty": b"",
    "blanks": b" \n\n \n",
    "one word": b"hello",
    "prose": b"This is a letter.\nIt has lines, and commas.\nBut no readings, at all.\n",
    "binary": bytes(range(256)) * 20,
    "zeros": bytes(5000),
    "a picture": b"\x89PNG\r\n\x1a\n" + bytes(range(200)) * 9,
    "header only": b"Time,TC1,TC2\n",
    "no times": b"a,b\nx,1.0\ny,2.0\nz,1.5\nx,1.5\n",
    "a broken workbook": b"PK\x03\x04" + b"rubbish" * 50,
    "an old broken workbook": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"x" * 600,
    "one long line": b"1,2," * 600_000,
    "dates that do not exist": b"Time,TC1\n" + b"\n".join(b"45/45/2026 10:00,%d" % i for i in range(30)),
    "only numbers that fall": b"a,b\n" + b"\n".join(b"%d,3" % (100 - i) for i in range(50)),
}


@pytest.mark.parametrize("raw", BAD.values(), ids=BAD)
def test_refused_in_words(raw: bytes, tmp_path: Path) -> None:
    file = tmp_path / "log.csv"
    file.write_bytes(raw)
    with pytest.raises(ReadingError) as caught:
        propose(file)
    assert len(str(caught.value)) > 15


def test_no_file_and_a_folder(tmp_path: Path) -> None:
    with pytest.raises(MissingError, match=r"no file nothing\.csv"):
        propose(tmp_path / "nothing.csv")
    with pytest.raises(ReadingError, match="cannot be opened"):
        propose(tmp_path)


def test_another_file_does_not_fit_the_description(tmp_path: Path) -> None:
    good, other = tmp_path / "a.csv", tmp_path / "b.csv"
    good.write_text("Elapsed [s],TC1 [C]\n" + "\n".join(f"{i},{20 + i}.0" for i in range(40)))
    other.write_text("no;table\nhere;at all\n")
    proposal = propose(good)
    how = proposal.confirm(proposal.suggested())
    with pytest.raises(InputError, match="beginning of this file"):
        read_log(other, how)
    with pytest.raises(ReadingError, match="no line could be read as a sample"):
        read_log(other, dataclasses.replace(how, head=""))


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{}",
        "[]",
        "null",
        "[" * 100_000,
        '{"time": {}, "columns": []}',
        '{"time": {"columns": [0], "form": "clock"}, "columns": [{"index": 1, "name": "a", "role": "x"}]}',
        '{"time": 3, "columns": 4}',
    ],
)
def test_a_description_that_is_none(text: str) -> None:
    with pytest.raises(InputError, match="read as"):
        ReadAs.from_json(text)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("width", 0),
        ("width", "3"),
        ("separator", "ab"),
        ("decimal", "x"),
        ("confirmed", "yes"),
        ("lines_above", -1),
        ("form", "pdf"),
        ("thousands", "."),
        ("encoding", "no such code"),
    ],
)
def test_a_spoiled_description_is_refused(field: str, value: object, tmp_path: Path) -> None:
    import json

    file = tmp_path / "a.csv"
    file.write_text("Elapsed [s],TC1 [C]\n" + "\n".join(f"{i},{20 + i}.0" for i in range(40)))
    proposal = propose(file)
    data = json.loads(proposal.confirm(proposal.suggested()).to_json())
    data[field] = value
    with pytest.raises(PanelmendError):
        read_log(file, ReadAs.from_json(json.dumps(data)))


def test_a_workbook_with_a_cell_at_the_far_corner_is_refused(tmp_path: Path) -> None:
    """Its reader would ask for half a terabyte and stop the process."""
    import zipfile

    import xlsxwriter

    plain, far = tmp_path / "plain.xlsx", tmp_path / "far.xlsx"
    book = xlsxwriter.Workbook(str(plain))
    book.add_worksheet("Log").write_row(0, 0, ["Time", "TC1"])
    book.close()
    with zipfile.ZipFile(plain) as old, zipfile.ZipFile(far, "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name).replace(b'r="B1"', b'r="XFD1048576"'))
    with pytest.raises(ReadingError, match="memory"):
        propose(far)


def test_a_workbook_of_an_unknown_zip_version_is_refused(tmp_path: Path) -> None:
    """Found by fuzzing: the zip reader refuses version 21.3 in a way of its own."""
    import io
    import zipfile

    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as pack:
        pack.writestr("xl/workbook.xml", "<workbook/>")
    data = bytearray(stream.getvalue())
    at = data.index(b"PK\x01\x02")
    data[at + 6] = 213  # version needed to extract, in the central directory
    path = tmp_path / "log.xlsx"
    path.write_bytes(bytes(data))
    with pytest.raises(ReadingError):
        propose(path)
