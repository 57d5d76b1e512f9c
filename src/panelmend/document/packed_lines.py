"""The lines a pack writes below its job: which shelf entries it was planned with. No part of the job."""

from __future__ import annotations

import re

BEGIN = (
    "# Written by panelmend pack: the shelf entries this job was planned with. Leave these lines as they are."
)
END = "# End of what it was planned with."
KEY = "packed_with"
_LINES = re.compile(rf"\n?{re.escape(BEGIN)}\n.*?{re.escape(END)}(?:\n|$)", re.DOTALL)


def without_packed(text: str) -> str:
    """The text of a job as it was before it was packed; line ends are single line feeds."""
    return _LINES.sub("", text) if BEGIN in text else text


def below(text: str, lines: str) -> str:
    """The text of a job with such lines below it, in the place of those it had."""
    return f"{without_packed(text)}\n{BEGIN}\n{lines}{END}\n"
