"""Verdicts and reports of cure logs kept as text: what conforms, what does not, and what cannot be judged."""

from __future__ import annotations

from pathlib import Path

import pytest

from kept_logs import LOGS, in_inches, kept_verdict
from kept_text import hold


@pytest.mark.parametrize("name", LOGS)
def test_of_a_log_is_said_what_was_said(name: str, tmp_path: Path) -> None:
    hold(f"logs/{name}", {"report": kept_verdict(name, tmp_path)})


def test_of_a_log_in_fahrenheit_is_said_what_was_said(tmp_path: Path) -> None:
    hold("logs/in_fahrenheit", {"report": in_inches(tmp_path)})
