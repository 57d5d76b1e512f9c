"""What is left out: one list for the report's first page and the method page."""

from __future__ import annotations

from pathlib import Path

from panelmend.job.strength.scope import NOT_COVERED

PAGE = Path(__file__).parents[2] / "docs" / "method" / "strength.md"


def test_the_method_page_holds_the_list_word_for_word() -> None:
    section = PAGE.read_text("utf8").split("## Not covered\n")[1]
    bullets = tuple(line[2:] for line in section.splitlines() if line.startswith("- "))
    assert bullets == NOT_COVERED
