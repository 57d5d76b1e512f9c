"""Survey files that are not as they should be: told in words, nothing lost; taps of a plate model."""

from __future__ import annotations

import wave
from pathlib import Path

import numpy as np
import pytest

from panelmend.errors import MissingError, ReadingError
from panelmend.survey import dull_taps, propose_table, read_table, read_taps
from tap_plate import clamped_disc_frequency, plate_rigidity

RATE = 44_100


@pytest.mark.parametrize("mark", [",", ";", "\t", " "])
def test_separators_and_names_are_shown_and_read(mark: str) -> None:
    rows = ["x mm,y mm,tap", "0,10,sound", "20,10,dull", "40.5,10,s"]
    p = propose_table(
        "\n".join(r.replace(",", mark) for r in rows).replace("x mm", "x_mm").replace("y mm", "y_mm")
    )
    assert "x from" in p.shown()
    assert p.unit == "mm"
    t = read_table(p)
    assert t.rows == ((0.0, 10.0, 0.0), (20.0, 10.0, 1.0), (40.5, 10.0, 0.0))
    assert t.in_metres()[2][0] == pytest.approx(0.0405)
    assert not t.faults


def test_decimal_commas_with_semicolons() -> None:
    t = read_table(propose_table("x (in);y (in);ratio\n0,5;1,25;1,02\n1;2;1,4\n"))
    assert t.rows == ((0.5, 1.25, 1.02), (1.0, 2.0, 1.4))
    assert t.proposal.unit == "in"
    assert t.proposal.decimal == ","


def test_rows_and_columns_of_a_grid() -> None:
    t = read_table(propose_table("row,col,result\n1,1,s\n1,2,d\n"))
    assert t.proposal.on_grid
    assert t.rows[1] == (1.0, 2.0, 1.0)


def test_missing_cells_and_strange_words_keep_their_lines() -> None:
    t = read_table(propose_table("x mm,y mm,tap\n1,2,s\n3,,d\n5,6\n7,8,maybe\n9,9,d\n"))
    assert len(t.rows) == 2
    assert [f.split(":")[0] for f in t.faults] == ["line 3", "line 4", "line 5"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "nothing in it"),
        ("a;b\n1,2,3\n4 5 6\n7\t8\t9\n", "no separator"),
        ("time,place,who\n1,2,3\n", "cannot be told apart"),
        ("x mm,y mm,tap\n,,\n", "not one line"),
    ],
)
def test_tables_that_cannot_be_read(text: str, words: str) -> None:
    with pytest.raises(ReadingError, match=words):
        read_table(propose_table(text))


def test_no_unit_is_asked_for_and_no_file_is_said(tmp_path: Path) -> None:
    p = propose_table("1,2,s\n2,3,d\n3,4,s\n")
    assert p.kind == "tap"
    with pytest.raises(ReadingError, match="unit of x and y"):
        read_table(p)
    assert len(read_table(p, "mm").rows) == 3
    with pytest.raises(MissingError):
        propose_table(tmp_path / "none.csv")
    (tmp_path / "b.csv").write_bytes(b"\0\1\2" * 99)
    with pytest.raises(ReadingError, match="no text"):
        propose_table(tmp_path / "b.csv")


def test_a_million_rows() -> None:
    text = "x mm,y mm,tap\n" + "\n".join(f"{i % 1000},{i // 1000},s" for i in range(1_000_000))
    assert len(read_table(propose_table(text)).rows) == 1_000_000


def struck(frequencies: list[float], noise: float = 1e-3) -> np.ndarray:
    """Taps 0.4 s apart, each a decaying tone, with seeded noise."""
    rng = np.random.default_rng(7)
    t = np.arange(int(0.4 * RATE)) / RATE
    parts = [0.6 * np.exp(-t / 0.012) * np.sin(2 * np.pi * f * t) for f in frequencies]
    lead = np.zeros(int(0.1 * RATE))
    whole = np.concatenate([lead, *parts])
    return whole + noise * rng.standard_normal(len(whole))


def write(path: Path, samples: np.ndarray, width: int = 2, channels: int = 1) -> Path:
    clipped = np.clip(samples, -1, 1)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(RATE)
        if width == 1:
            data = (clipped * 127 + 128).astype(np.uint8)[:, None].repeat(channels, 1).tobytes()
        else:
            whole = np.round(clipped * (2.0 ** (8 * width - 1) - 1)).astype("<i4")
            raw = whole[:, None].repeat(channels, 1).copy().view(np.uint8).reshape(-1, 4)[:, :width]
            data = raw.tobytes()
        file.writeframes(data)
    return path


RIGIDITY = plate_rigidity(22e9, 0.9e-3, 0.15)
MASS = 1850.0 * 0.9e-3
LOOSE = [clamped_disc_frequency(r, RIGIDITY, MASS) for r in (0.03, 0.04)]
SOUND = 3200.0


@pytest.mark.parametrize("width", [1, 2, 3, 4])
@pytest.mark.parametrize("channels", [1, 2])
def test_taps_of_a_loose_skin_are_heard_at_the_plates_frequency(
    tmp_path: Path, width: int, channels: int
) -> None:
    true = [SOUND, LOOSE[0], SOUND, LOOSE[1]]
    taps = read_taps(write(tmp_path / "a.wav", struck(true), width, channels))
    assert len(taps) == 4
    # a tone that decays in 12 ms has a width of 1 / (2 pi 0.012) = 13 Hz: within that
    np.testing.assert_allclose([t.frequency for t in taps], true, atol=13.0)
    np.testing.assert_allclose([t.onset for t in taps], [0.1, 0.5, 0.9, 1.3], atol=0.004)
    np.testing.assert_allclose([t.decay for t in taps], 0.012, rtol=0.25)
    sound = read_taps(write(tmp_path / "r.wav", struck([SOUND] * 3)))
    assert dull_taps(taps, sound) == (False, True, False, True)


def test_clipped_silent_and_broken_recordings(tmp_path: Path) -> None:
    loud = read_taps(write(tmp_path / "c.wav", 4.0 * struck([900.0])))
    assert loud[0].clipped
    assert not read_taps(write(tmp_path / "d.wav", struck([900.0])))[0].clipped
    with pytest.raises(ReadingError, match="silent"):
        read_taps(write(tmp_path / "s.wav", np.zeros(RATE)))
    (tmp_path / "x.wav").write_bytes(b"RIFF no sound at all")
    with pytest.raises(ReadingError, match="not an uncompressed WAV"):
        read_taps(tmp_path / "x.wav")
    with pytest.raises(MissingError):
        read_taps(tmp_path / "none.wav")
    with pytest.raises(ReadingError, match="reference spot"):
        dull_taps(loud, ())
