"""The words of the trade: one table, used by card, findings, cure plan, command line and docs.

Words are those of published practice: FAA AC 43.13-1B (AC), US Army TM 1-1500-204-23-11 (TM, s. is the scan's
page) and TM 1-1520-253-23, FAA-H-8083-31 (FH); CP is common practice, no source.
"""

from __future__ import annotations

import re
from dataclasses import dataclass


@dataclass(frozen=True)
class Term:
    """One word: what is said, what is not said for it, what it means, where it comes from."""

    say: str
    instead_of: tuple[str, ...]
    means: str
    source: str


TERMS = (
    Term(
        "release film, perforated",
        ("perforated film",),
        "lets resin and air through, comes off the cured part",
        "AC 3-4b, TM s.045",
    ),
    Term(
        "release film, non-porous (parting film)",
        ("parting film", "parting sheet", "plastic"),
        "lets nothing through, comes off the cured part; parting film in some shops",
        "AC 3-4b, TM 3-4a s.046",
    ),
    Term("pressure pad or caul", ("pressure aid", "block", "weight"), "presses into a recess", "FH"),
    Term(
        "caul sheet", ("heat spreader",), "a bare sheet of metal under the blanket: evens out the heat", "CP"
    ),
    Term("bleeder", ("cloth",), "takes up resin that is too much", "AC 3-4b, TM s.046"),
    Term("breather", ("felt",), "carries air to the vacuum base", "AC 3-4b, TM s.046"),
    Term("sealing tape", ("putty", "sealing line"), "closes the bag film on the panel", "AC 3-4b"),
    Term("vacuum base", ("nipple", "vacuum probe"), "where the hose joins the bag", "AC 3-4b(k), TM s.319"),
    Term("thermocouple", ("probe", "sensor"), "reads temperature; a probe is the vacuum's", "TM 6-19f s.196"),
    Term("cure cycle", ("recipe", "program"), "what is heated how fast, how hot and how long", "TM s.185"),
    Term("stage", ("segment",), "one part of a cure cycle: ramp, dwell or cooling", "CP"),
    Term("dwell", ("soak",), "the time at temperature, counted on the slowest", "TM s.196"),
    Term("maximum temperature", ("ceiling",), "what no thermocouple may ever pass", "CP"),
    Term("opposite side", ("far face",), "the face of the panel that is not worked on", "CP"),
    Term("far skin", ("bottom",), "the other skin, kept or cut as planned", "TM s.231"),
    Term("core edge chamfer", ("mouth",), "the bevel of the core opening", "CP"),
    Term("core plug", ("insert", "filler"), "replacement core", "AC 3-10, TM s.231"),
    Term("core-to-skin adhesive", ("floor adhesive",), "bonds the plug to the far skin", "CP"),
    Term("ribbon", ("grain",), "the direction of the core's ribbons", "AC 3-10"),
    Term("batch", ("pot", "dose"), "what is mixed in one cup", "TM 6-17c"),
    Term("pot life", ("working time",), "from first contact of the parts to vacuum on", "TM 6-17c s.169"),
    Term("accumulated out-time", ("age",), "all time out of the freezer, never reset", "CP"),
    Term("warp", ("grain of the cloth",), "along the roll", "CP"),
    Term("squeeze-out", ("flash",), "adhesive or resin pressed out at an edge", "TM s.223"),
    Term("void", ("defect", "bubble"), "any area unbonded that should be bonded", "TM 1-1520-253-23 4.2.2"),
    Term(
        "default", ("usual value", "recommended"), "stands where the data gives no value; not approved", "CP"
    ),
    Term("hold", ("check point",), "work stops until somebody accepts", "14 CFR 121.371(c)"),
)
_SAY = {old: term.say for term in TERMS for old in term.instead_of}


# What is never said anywhere: these have one meaning only, whatever stands round them.
NEVER = (
    "recipe",
    "ceiling",
    "far face",
    "pressure aid",
    "perforated film",
    "parting sheet",
    "floor adhesive",
    "soak",
)


def reworded(text: str) -> str:
    """A text that was kept in older words, in those of the table."""
    for word in NEVER:
        text = re.sub(rf"\b{word}(?=s?\b)", _SAY[word], text)
    return text


def trade_word(word: str) -> str:
    """What the trade says for a word; the word itself where the table has nothing better."""
    return _SAY.get(word, word)


def table() -> str:
    """The table for docs/words.md."""
    rows = [f"| {t.say} | {', '.join(t.instead_of)} | {t.means} | {t.source} |" for t in TERMS]
    return "\n".join(
        [
            "## Words of the trade",
            "",
            "The card says the first, not the second.",
            "",
            "| say | not | it means | source |",
            "| --- | --- | --- | --- |",
            *rows,
            "",
        ]
    )
