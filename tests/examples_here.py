"""The example repairs, loaded."""

from __future__ import annotations

from pathlib import Path

from panelmend.document import parse
from panelmend.job.case import Case, case_of
from panelmend.plan.make import make_plan

FOLDER = Path(__file__).parents[1] / "examples"


def text(name: str) -> str:
    """The document of an example."""
    return (FOLDER / name / "repair.toml").read_text("utf8")


def sound() -> str:
    """A plain document without faults: the demo with one socket and no constants of blankets or bagging."""
    return (Path(__file__).parent / "crash" / "document_sound.toml").read_text("utf8")


def edited(document: str, *changes: tuple[str, str]) -> str:
    """A document with pieces of it replaced, each of which stands in it."""
    for old, new in changes:
        assert old in document, old
        document = document.replace(old, new)
    return document


PARTS = ("preparation", "inspection", "finishing", "interruption")


def nothing_of_its_parts() -> str:
    """What a plain document says at its end, so that it waits for no part of the data that it lacks."""
    row = '\n[[data.nothing_of]]\npart = "{}"\nplace = "52-10-17, list of contents"\n'
    return "".join(row.format(part) for part in PARTS)


def heat_taken_on(document: str) -> str:
    """A document with all heat of which something is not predicted taken on by its engineer."""
    plan = make_plan(case_from(document))
    keys = [f.todo.split('"')[1] for f in plan.findings if f.code in {"H140", "H602"}]
    who = plan.case.document.people.engineer
    row = '\n[[confirm]]\nfigure = "{}"\nby = "{}"\non = 2026-11-24\nreason = "trial cured"\n'
    return document + "".join(row.format(key, who) for key in keys)


def names() -> tuple[str, ...]:
    """Every example."""
    return tuple(sorted(p.parent.name for p in FOLDER.glob("*/repair.toml")))


def case_from(document: str, name: str = "repair.toml") -> Case:
    """The case of a document given as text."""
    return case_of(parse(document.encode(), name))


def case(name: str) -> Case:
    """The case of an example."""
    return case_from(text(name), f"{name}/repair.toml")
