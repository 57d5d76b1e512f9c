"""Packs kept as text: what changes on a page, a list or a file for a knife is seen by whoever changed it."""

from __future__ import annotations

import pytest

from kept_packs import PLANS, kept_pages, pages_of_several
from kept_text import hold


@pytest.mark.parametrize("name", PLANS)
def test_a_pack_says_what_it_said(name: str) -> None:
    hold(name, kept_pages(name))


def test_the_pack_of_two_damages_says_what_it_said() -> None:
    hold("two_damages", pages_of_several())
