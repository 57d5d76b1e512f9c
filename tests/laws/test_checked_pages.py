"""The pages that say which test shows what: every test they name is there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PAGES = {
    "card-check.md": "tests/laws",
    "records-check.md": "tests/laws/records",
    "heat-check.md": "tests/laws",
}
NAMED = re.compile(r"`(tests/[a-z_/]+|test_[a-z0-9_]+|card/[a-z_0-9]+|scripts/[a-z_.]+|benchmarks/[a-z_.]+)`")


def _there(name: str, folder: Path) -> bool:
    if name.startswith(("scripts/", "benchmarks/")):
        return (ROOT / name).is_file()
    if name.startswith("card/"):
        rest = name.removeprefix("card/")
        return any((ROOT / "tests/laws/card" / f"test_{x}{rest}.py").is_file() for x in ("card_", ""))
    path = ROOT / name if name.startswith("tests/") else folder / name
    return path.is_dir() or path.with_name(f"{path.name}.py").is_file()


@pytest.mark.parametrize("page", PAGES)
def test_every_test_that_a_page_of_checks_names_is_there(page: str) -> None:
    named = set(NAMED.findall((ROOT / "docs/method" / page).read_text("utf8")))
    assert len(named) > 15
    missing = sorted(n for n in named if not _there(n, ROOT / PAGES[page]))
    assert not missing, f"{page} names {missing}"
    assert not _there("test_that_nobody_wrote", ROOT / PAGES[page])
