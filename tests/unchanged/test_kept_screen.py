"""The screen kept as text: its pages before a job, the steps at the bench, and the cure watch."""

from __future__ import annotations

from pathlib import Path

from kept_screen import at_the_bench, before_the_job, watched
from kept_text import hold


def test_pages_before_a_job_show_what_they_showed() -> None:
    hold("screen/before", before_the_job())


def test_steps_at_the_bench_show_what_they_showed() -> None:
    hold("screen/bench", at_the_bench())


def test_the_cure_watch_shows_what_it_showed(tmp_path: Path) -> None:
    hold("screen/watch", watched(tmp_path))
