"""Whether two names are one person's, however they were typed."""

from __future__ import annotations

import unicodedata

# Small letters of other scripts that look like a Latin one (from memory, of the commonest): a name typed with
# one of them is the same name.
_ALIKE = str.maketrans("авекмнорстухіјѕԁԛԝαεικνορτυχγ", "abekmhopctyxijsdqwaeiknoptuxy")


def same_person(a: str, b: str) -> bool:
    """One person by name: case, blanks, points and "Hale, J." for "J. Hale" do not matter."""
    first, second = _parts(a), _parts(b)
    return bool(first) and (sorted(first) == sorted(second) or "".join(first) == "".join(second))


def maybe_same(a: str, b: str) -> bool:
    """Whether two names may be one person's: every part of the shorter one stands in the other, whole or as
    its first letter, and one of them whole ("J. Hale", "John Hale", "Mr J. Hale", "Hale")."""
    short, long = sorted((_parts(a), _parts(b)), key=len)
    left, whole = list(long), False
    for part in sorted(short, key=len, reverse=True):
        found = next((x for x in left if x == part), None) or next(
            (x for x in left if x[0] == part[0] and 1 in (len(x), len(part))), None
        )
        if found is None:
            return False
        left.remove(found)
        whole = whole or (found == part and len(part) > 1)
    return whole


def answers_for(people: object) -> str:
    """The engineer named under people, who may answer for a departure; "" where that is who does the work or
    accepts it: nobody accepts what they allowed."""
    if not isinstance(people, dict):
        return ""
    engineer, *others = (str(people.get(k) or "") for k in ("engineer", "technician", "inspector"))
    return "" if any(same_person(engineer, other) for other in others) else engineer


# Typed as a whole where a name is asked for and none is given.
_NOBODY = frozenset(
    [
        "none",
        "nobody",
        "noone",
        "unknown",
        "notknown",
        "tbd",
        "tba",
        "tbc",
        "na",
        "same",
        "self",
        "me",
        "yes",
        "no",
    ]
)
_SIDES = frozenset(("outside", "inside"))  # the answer to another question


def says_something(text: str) -> bool:
    """Whether there is a letter in it at all."""
    return any(c.isalpha() for c in text)


def is_name(text: str) -> bool:
    """Whether it can name a person: a letter in it, no word for nobody, no side of the panel."""
    parts = _parts(text)
    return says_something(text) and "".join(parts) not in _NOBODY and not _SIDES.intersection(parts)


def is_plain_name(text: str) -> bool:
    """The same of a name as it is typed where one is asked for: no figure, and no sign of another answer."""
    return is_name(text) and not any(c.isdigit() or c in ":=@" for c in text)


def _parts(name: str) -> list[str]:
    plain = unicodedata.normalize("NFKC", name).casefold().translate(_ALIKE)
    return "".join(c if c.isalnum() else " " for c in plain).split()
