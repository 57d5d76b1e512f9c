"""What is printed and said of a job from the records, as text."""

from __future__ import annotations

from typing import Any
from unittest.mock import patch

from kept_packs import Lines, data_of
from kept_text import lines_of
from panelmend.app.records import head_of
from panelmend.app.records_shop import release_pdf
from panelmend.app.records_words import job_words
from panelmend.render.typesetting import Sheets
from records_made import JOB, KEYS, shop


def printed() -> dict[str, Lines]:
    """The release entry of a whole job and how its steps stand."""
    made = shop()
    made.begin_job()
    made.do(*KEYS)
    made.release()
    taken = list[Any]()

    def pdf(sheets: Sheets) -> bytes:
        taken.append(data_of(sheets))
        return b""

    with patch.object(Sheets, "pdf", pdf):
        release_pdf(made.state, JOB, head_of(made.book))
    return {"release": lines_of(taken[0], "release"), "job": [*job_words(made.state, JOB)]}
