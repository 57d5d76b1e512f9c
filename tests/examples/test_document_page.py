"""The example and the messages on docs/document.md are what the reader takes and says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from panelmend.document import parse
from panelmend.errors import DocumentError

PAGE = (Path(__file__).parents[2] / "docs" / "document.md").read_text("utf8")
EXAMPLE = re.search(r"```toml\n(.*?)```", PAGE, re.DOTALL)


def test_the_example_is_read_without_faults() -> None:
    assert EXAMPLE
    document = parse(EXAMPLE[1].encode()).document
    assert document.panel.core.thickness == pytest.approx(0.0127)
    assert document.data.plies.first_margin is not None
    assert document.data.plies.first_margin.place == "fig 204"


def test_the_messages_are_the_readers_own() -> None:
    assert EXAMPLE
    text = EXAMPLE[1].replace('zero = "forward"', 'zero = "forward"\nedge_band = "35"')
    text = text.replace("[data.plies]\n", '[data.cutout]\nmargin = "6 mm"\n\n[data.plies]\n')
    with pytest.raises(DocumentError) as caught:
        parse(text.encode(), "repair.toml")
    said = [re.sub(r"line \d+", "line N", f.sentence()) for f in caught.value.faults]
    shown = re.sub(r"line \d+", "line N", " ".join(PAGE.split()))
    assert len(said) == 2
    for sentence in said:
        assert sentence in shown
