"""Whether two names are one person's, however they were typed."""

from __future__ import annotations

import unicodedata


def same_person(a: str, b: str) -> bool:
    """One person by name: case, blanks, points and "Hale, J." for "J. Hale" do not matter."""
    first, second = _parts(a), _parts(b)
    return bool(first) and (sorted(first) == sorted(second) or "".join(first) == "".join(second))


def answers_for(people: object) -> str:
    """The engineer named under people, who may answer for a departure; "" where that is who does the work."""
    if not isinstance(people, dict):
        return ""
    engineer, technician = (str(people.get(k) or "") for k in ("engineer", "technician"))
    return "" if same_person(engineer, technician) else engineer


def is_name(text: str) -> bool:
    """Whether there is a letter in it at all."""
    return any(c.isalpha() for c in text)


def _parts(name: str) -> list[str]:
    plain = unicodedata.normalize("NFKC", name).casefold()
    return "".join(c if c.isalnum() else " " for c in plain).split()
