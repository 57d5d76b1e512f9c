"""The name of an entry and the name of its file: no text that people type ever becomes a path."""

from __future__ import annotations

import unicodedata

ENDING = ".toml"
_LONGEST = 120
# File names that one system or another keeps for itself.
_TAKEN = {"con", "prn", "aux", "nul", *(f"{p}{i}" for p in ("com", "lpt") for i in range(1, 10))}


def file_name(name: str) -> str:
    """The file name of an entry: its name with a hyphen for whatever a file system might trip over."""
    plain = unicodedata.normalize("NFC", " ".join(name.split()))
    kept = "".join(c if c.isalnum() or c in " .,_-+()" else "-" for c in plain)
    stem = kept.strip(" .-")[:_LONGEST].rstrip(" .-") or "entry"
    return f"{stem}-{ENDING}" if stem.split(".")[0].casefold() in _TAKEN else stem + ENDING


def folded(name: str) -> str:
    """A file name as a file system sees it that does not tell small letters from large ones."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def tidy_name(name: str) -> str:
    """A name with single blanks and its accents in one spelling."""
    return unicodedata.normalize("NFC", " ".join(name.split()))


def bare(name: str) -> str:
    """The letters and digits of a name alone: what is left when blanks, marks and capitals are slips."""
    return "".join(c for c in unicodedata.normalize("NFKC", name).casefold() if c.isalnum())
