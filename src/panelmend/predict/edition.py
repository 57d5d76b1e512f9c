"""Which model made a prediction: a number raised by hand, and a digest of every source that computes one.

An edit of the solver that nobody raised the number for would otherwise leave old numbers on the pages.
"""

from __future__ import annotations

import hashlib
from functools import cache
from pathlib import Path

# Raised by hand when the same problem would give other numbers or places for a reason outside of the sources
# below (outlines, units, a library). To 10: of places alike the last digit chose which is named hottest or
# has the check; now the first. To 11: the heat of paste round a plug counts in the bond line over it.
EDITION_NUMBER = 11
_HERE = Path(__file__).resolve().parent
_PHYSICS = _HERE.parent / "physics"
KEYED = (_HERE, _PHYSICS / "heat", _PHYSICS / "cure_chemistry", _PHYSICS / "thermocouple")
KEYED_FILES = tuple(_PHYSICS / f"{n}.py" for n in ("film", "fin", "reduced", "root"))
NOT_KEYED = ("kept_predictions.py", "edition.py")  # they keep numbers and compute none


@cache
def edition() -> str:
    """The model's edition: its number and a digest of its sources, whatever their line ends."""
    made = hashlib.sha256()
    for path in sorted(edition_sources()):
        text = path.read_bytes().replace(b"\r\n", b"\n")
        made.update(path.name.encode("utf8") + b"\0" + text + b"\0")
    return f"{EDITION_NUMBER}-{made.hexdigest()[:16]}"


def edition_sources() -> list[Path]:
    """Every file that a predicted number is computed in."""
    own = [path for folder in KEYED for path in folder.glob("*.py") if path.name not in NOT_KEYED]
    return [*own, *KEYED_FILES]
