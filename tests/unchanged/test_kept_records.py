"""What is printed and said of a job from the records, kept as text."""

from __future__ import annotations

from kept_records import printed
from kept_text import hold


def test_of_a_job_is_printed_what_was_printed() -> None:
    hold("records", printed())
