"""The example repairs, loaded."""

from __future__ import annotations

from pathlib import Path

from panelmend.document import parse
from panelmend.job.case import Case, case_of

FOLDER = Path(__file__).parents[1] / "examples"


def text(name: str) -> str:
    """The document of an example."""
    return (FOLDER / name / "repair.toml").read_text("utf8")


def sound() -> str:
    """A plain document without faults: the demo with one socket and no constants of blankets or bagging."""
    return (Path(__file__).parent / "crash" / "document_sound.toml").read_text("utf8")


def names() -> tuple[str, ...]:
    """Every example."""
    return tuple(sorted(p.parent.name for p in FOLDER.glob("*/repair.toml")))


def case_from(document: str, name: str = "repair.toml") -> Case:
    """The case of a document given as text."""
    return case_of(parse(document.encode(), name))


def case(name: str) -> Case:
    """The case of an example."""
    return case_from(text(name), f"{name}/repair.toml")
