"""Random slips in jobs and entries: read, or refused in words with a file; never an internal error."""

from __future__ import annotations

import random
import re
from pathlib import Path

import pytest

from panelmend.app import service
from panelmend.errors import PanelmendError
from shelf_files import Shop

MORE = """
hand = "left"
[[choose]]
title = "T"
place = "p"
by = ["depth", "largest"]
[[choose.row]]
depth = ["skin and core"]
up_to = "300 mm"
data.category = { kind = "permanent", place = "p" }
"""
ODD = (
    '""',
    "0",
    "-1",
    "true",
    "[]",
    "{}",
    '"x"',
    "1e300",
    '"1e300 mm"',
    "2026-01-01",
    '"../x"',
    "[[1]]",
    '"12"',
)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Shop:
    made = Shop(tmp_path_factory.mktemp("shop"))
    text = made.read("data", "M3-SRM rev 11 / Repair 7").split("\n[entry.check]")[0]
    text = re.sub(r"(?s)\[data\.category\].*?\n\n", "", text).replace('hand = "left"\n', "")
    made.put("data", "M3-SRM rev 11 / Repair 7", text.replace("\n[data]", '\nhand = "left"\n[data]', 1))
    made.put("data", "M3-SRM rev 11 / Repair 7", made.read("data", "M3-SRM rev 11 / Repair 7") + MORE[15:])
    return made


def slip(text: str, chance: random.Random) -> str:
    """One slip of a hand: a line lost, doubled or moved, another value, letters gone."""
    lines = text.split("\n")
    at = chance.randrange(len(lines))
    kind = chance.randrange(6)
    if kind == 0:
        del lines[at]
    elif kind == 1:
        lines.insert(at, lines[at])
    elif kind == 2:
        lines.insert(chance.randrange(len(lines)), lines.pop(at))
    elif kind == 3 and "=" in lines[at]:
        lines[at] = f"{lines[at].split('=')[0]}= {chance.choice(ODD)}"
    elif kind == 4:
        whole = "\n".join(lines)
        cut = chance.randrange(len(whole))
        return whole[:cut] + whole[cut + chance.randrange(1, 12) :]
    else:
        quoted = list(re.finditer(r'"[^"\n]*"', text))
        hit = chance.choice(quoted)
        return text[: hit.start()] + chance.choice(ODD) + text[hit.end() :]
    return "\n".join(lines)


def refusal(job: Path) -> str:
    """What is said against a job, "" where nothing is."""
    try:
        service.load(job)
    except PanelmendError as error:
        return str(error)
    return ""


@pytest.mark.parametrize("which", ["job", "panels", "data", "bays", "practice", "materials"])
def test_a_slip_is_read_or_refused_in_words(shop: Shop, which: str) -> None:
    names = {
        "panels": "M3-5201-17-1",
        "data": "M3-SRM rev 11 / Repair 7",
        "bays": "door cell",
        "practice": "practice 2026",
        "materials": "demo-paste",
    }
    shop.load()
    path: Path = shop.job if which == "job" else shop.path(which, names[which])
    whole = path.read_text("utf8")
    chance = random.Random(f"slips of {which}")
    refused = 0
    try:
        for _ in range(40):
            path.write_text(slip(whole, chance), "utf8")
            said = refusal(shop.job)
            refused += said != ""
            assert not said or ".toml" in said, said
    finally:
        path.write_text(whole, "utf8")
    assert refused > 5
