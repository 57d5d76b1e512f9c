"""An issue that supersedes the one that superseded ours is told too, and kept against by itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from panelmend.app import service
from panelmend.errors import Severity
from panelmend.plan.plan import Standing
from shelf_files import Shop

OURS = "M3-SRM rev 11 / Repair 7"


def name(revision: int) -> str:
    return f"M3-SRM rev {revision} / Repair 7"


def issue(shop: Shop, revision: int, of: int, *more: str) -> None:
    """A later issue with its own margin in the first ply."""
    text = shop.read("data", OURS).split("[entry.check]")[0]
    for old, new in (
        (f'name = "{OURS}"', "\n".join((f'name = "{name(revision)}"', f'supersedes = "{name(of)}"', *more))),
        ('revision = "11"', f'revision = "{revision}"'),
        ('"25.4 mm"', f'"{revision + 14} mm"'),
    ):
        assert old in text
        text = text.replace(old, new, 1)
    shop.put("data", name(revision), text)


def keep(revision: int) -> str:
    return f"""
[[keep]]
entry = "{OURS}"
instead_of = "{name(revision)}"
values = ["data.manual.revision", "data.plies.first_margin.value"]
by = "D. Aune"
on = 2026-11-24
reference = "ED-0417"
typed_by = "J. Hale"
"""


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    made = Shop(tmp_path)
    issue(made, 12, of=11)
    issue(made, 13, of=12)
    return made


@pytest.mark.parametrize(
    ("kept", "codes"),
    [((), ["X103", "X103"]), ((12,), ["X111", "X103"]), ((13,), ["X103", "X111"]), ((12, 13), ["X111"] * 2)],
)
def test_every_issue_of_a_chain_is_answered_for(shop: Shop, kept: tuple[int, ...], codes: list[str]) -> None:
    shop.text += "".join(map(keep, kept))
    shop.load()
    shop.seen()
    shelved = shop.load().shelved
    assert shelved is not None
    found = [f for f in shelved.findings if f.code in ("X103", "X111")]
    assert [f.code for f in found] == codes
    assert '"25.4 mm" -> "26 mm"' in found[0].words
    assert '"25.4 mm" -> "27 mm"' in found[1].words


def test_the_plan_stops_until_the_last_issue_is_answered_for(shop: Shop) -> None:
    plain = shop.text
    shop.text = plain + keep(12)
    shop.load()
    plan = service.plan(shop.job)
    assert plan.standing is Standing.STOP
    assert [f.code for f in plan.findings if f.severity is Severity.STOP] == ["X103"]
    shop.text = plain + keep(12) + keep(13)
    shop.load()
    assert service.plan(shop.job).standing is not Standing.STOP


def test_a_last_issue_of_tomorrow_is_not_told_today(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    issue(shop, 12, of=11)
    issue(shop, 13, 12, "valid_from = 2026-11-26")
    assert shop.codes().count("X103") == 1
    assert shop.codes(("work_date = 2026-11-25", "work_date = 2026-11-26")).count("X103") == 2


def test_a_ring_of_issues_ends(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    issue(shop, 12, of=13)
    issue(shop, 13, of=12)
    shop.edit("data", OURS, (f'name = "{OURS}"', f'name = "{OURS}"\nsupersedes = "{name(13)}"'))
    assert shop.codes().count("X103") == 0
    shop.text = shop.text.replace(OURS, name(12))
    assert shop.codes().count("X103") == 2
