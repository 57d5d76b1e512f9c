"""Slips that passed without a word: plies in reverse, an engineer in two roles, a part left out whole."""

from __future__ import annotations

import re

import pytest

from examples_here import case_from, text
from panelmend.derive import Ledger
from panelmend.errors import Severity
from panelmend.plan.asked import check_asked
from panelmend.plan.left_open import check_left_open


def asked(document: str) -> dict[str, str]:
    found = check_asked(case_from(document), Ledger())
    return {c: " | ".join(f.words for f in found if f.code == c) for c in {f.code for f in found}}


def swapped(document: str, below: str, one: str, two: str) -> str:
    """Two lines of plies in each other's place, below a line."""
    head, _, rest = document.partition(below)
    assert rest.index(one) < rest.index(two)
    return head + below + rest.replace(one, "\0", 1).replace(two, one, 1).replace("\0", two, 1)


@pytest.mark.parametrize("example", ["cowling", "flap_rib_bay", "root_fairing", "access_door_no_fit"])
def test_sound_examples_are_laid_as_the_skin_lies(example: str) -> None:
    assert "in another order" not in asked(text(example)).get("J152", "")


@pytest.mark.parametrize(
    ("example", "below", "one", "two"),
    [
        ("access_door_no_fit", "fig 204 table", "0 deg", "45 deg"),
        ("cowling", "fig 206 table", "45 deg", "0 deg"),
        ("cowling", "fig 205 table", "demo-carbon-plain", "demo-glass-8h"),
    ],
)
def test_plies_in_reverse_are_asked_about_with_both_orders(
    example: str, below: str, one: str, two: str
) -> None:
    """J152: the stack is that of the skin from its other end, or its cloths have changed places."""
    said = asked(swapped(text(example), below, f'{one}"', f'{two}"'))["J152"]
    assert "in another order than those they replace: from the panel outwards" in said


@pytest.mark.parametrize(
    ("role", "code", "severity"),
    [("technician", "J587", Severity.CONFIRM), ("inspector", "J588", Severity.CAUTION)],
)
def test_an_engineer_in_a_second_role_is_told(role: str, code: str, severity: Severity) -> None:
    sound = text("gear_door")
    assert not {"J587", "J588"} & set(asked(sound))
    engineer = re.search(r'(?m)^engineer = "(\w)\. (\w+)"', sound)
    assert engineer is not None
    twice = re.sub(rf"(?m)^{role} = .*$", f'{role} = "{engineer[2]}, {engineer[1]}."', sound)
    assert twice != sound
    found = [f for f in check_asked(case_from(twice), Ledger()) if f.code in ("J587", "J588")]
    assert [(f.code, f.severity) for f in found] == [(code, severity)]
    assert engineer[2] in found[0].words


@pytest.mark.parametrize("part", ["preparation", "inspection", "finishing", "interruption", "category"])
def test_a_part_made_a_comment_whole_is_named_as_absent(part: str) -> None:
    """J391 says of the first line that is left that something of it is typed."""
    sound = text("gear_door")
    head = f"[data.{part}]\n"
    body = sound[sound.index(head) + len(head) :].split("\n[")[0]

    def told(document: str) -> str:
        found = [f.words for f in check_left_open(case_from(document)) if f.place == f"data.{part}"]
        return " | ".join(found)

    commented = "".join(f"# {line}\n" for line in (head + body).splitlines())
    assert "nothing of this part is typed" in told(sound.replace(head + body, commented))
    assert "nothing of this part is typed" not in told(sound)
