"""A fault of the log says in its words which channel it is, in the units of whoever reads it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from judge_case import APART
from judge_lines import made, recipe
from panelmend.app import log_reading
from panelmend.errors import InputError
from panelmend.plan.judge import judge


def test_a_missing_reading_names_its_channel() -> None:
    m = made()
    m.temps[400:403, 1] = np.nan
    words = [f.words for f in judge(recipe(), m.log()).findings if f.code == "V115"]
    assert len(words) == 1
    assert "T2" in words[0]


@pytest.mark.parametrize(("view", "other"), [("mm", " F"), ("in", " K")])
def test_how_far_a_thermocouple_lies_off_is_told_in_the_reader_s_units(view: str, other: str) -> None:
    m = made()
    m.temps += APART
    m.temps[:, 2] -= 9.0
    found = judge(recipe(), m.log(), view=view).findings
    words = next(f.words for f in found if f.code == "V127" and f.place.startswith("T3"))
    assert "T3: " in words
    assert ("-9 K" if view == "mm" else "-16 F") in words
    assert other not in words


def test_a_kept_reading_of_other_bytes_is_refused_in_words(tmp_path: Path) -> None:
    log = tmp_path / "log.csv"
    log_reading.read_as_path(log).write_bytes(b"\xff\xfe\x00 no text")
    with pytest.raises(InputError, match="not a description"):
        log_reading.kept_read_as(log)
