"""Every ground for refusing stands on the method page, and some test here sees it refuse."""

from __future__ import annotations

import re
from pathlib import Path

from panelmend.records.refusals import all_grounds

ROOT = Path(__file__).parents[3]


def test_the_method_page_lists_every_ground_as_it_is() -> None:
    page = (ROOT / "docs" / "method" / "records.md").read_text("utf8")
    shown = re.findall(r"(?m)^\| (R\d+) \| (.+) \| (.+) \|$", page)
    assert shown == [(g.code, g.title, g.todo) for g in all_grounds()]


def test_every_ground_is_seen_to_refuse() -> None:
    tests = "".join(p.read_text("utf8") for p in sorted((ROOT / "tests").rglob("*.py")) if "record" in str(p))
    for g in all_grounds():
        assert re.search(rf'(?:refused\(\s*|== )"{g.code}"', tests), f"no test sees {g.code} {g.title}"
