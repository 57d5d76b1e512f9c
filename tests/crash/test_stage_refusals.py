"""Documents the stages refuse in words: no damage outline, a traced pin, a gap that leaves no plug."""

from __future__ import annotations

import pytest

from examples_here import case_from, text
from panelmend.derive import Ledger
from panelmend.errors import InputError
from panelmend.job import core, cutout, limits, plies


def _run(document: str) -> None:
    case, ledger = case_from(document), Ledger()
    sizes = limits.make(case, ledger)
    opening = cutout.make(case, ledger, sizes)
    core.make(case, ledger, opening, plies.make(case, ledger, opening))


PIN = 'cutout = { circle = { centre = "266, 222 mm", diameter = "76 mm" } }'
TRACED = 'cutout = { outline = { unit = "mm", points = [[220, 180], [310, 180], [260, 270]] } }'


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (
            'shape = { circle = { centre = "262, 222 mm", diameter = "52 mm" } }\n',
            "",
            "no outline of the damage",
        ),
        (PIN, TRACED, "one of the four forms"),
    ],
)
def test_refused_with_what_was_expected(old: str, new: str, words: str) -> None:
    document = text("access_door_no_fit")
    assert old in document
    with pytest.raises(InputError, match=words) as caught:
        _run(document.replace(old, new))
    assert caught.value.where.startswith("repair.toml")
    assert caught.value.expected
