"""Making a job by asking: only what the shelves do not hold, and the text of the job.

Like :mod:`panelmend.document.interview` nothing is read or printed here. What is not on a shelf (the answer
:data:`TYPED`) is asked for as in a document of one file.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from panelmend.document import panel as of_panel
from panelmend.document.fields import choices
from panelmend.document.interview import (
    SAME,
    Answers,
    Question,
    accept,
    asks_of,
    data_questions,
    material_questions,
    panel_questions,
)
from panelmend.document.interview_text import Day, material_lines, raw_of, table_lines, toml_value
from panelmend.document.model import People, Repair
from panelmend.document.raw import clean
from panelmend.document.several import MOST_DAMAGES
from panelmend.errors import InputError
from panelmend.shelves.entry import ShelfEntry
from panelmend.shelves.job import JOB_VERSION
from panelmend.shelves.model import Shelf
from panelmend.shelves.one_line import check_person, lacking, left_to_choose
from panelmend.shelves.outlines import EXAMPLE, TRACED, outline_value
from panelmend.shelves.stock import Stock

_PLATE = "and, behind a comma, its serial number, both from its data plate (as: PART OR NAME, SERIAL)"
_SIDE = "and, behind a comma, on which side: skin, outside"
_ACCEPTS = "and, behind a semicolon, who accepts it, another person"
TYPED = "-"  # the answer that something stands on no shelf
NONE = "none"
_SHELF: dict[str, Shelf] = {"use.panel": "panels", "use.data": "data", "use.bay": "bays"}
_DEPTHS = {
    "surface": "the finish only",
    "plies": "some plies of one skin",
    "skin": "one whole skin",
    "skin and core": "one skin and the core",
    "through": "both skins and the core",
}
_MOST_EARLIER = 40
_WHERE = "The damage after clean-up: form, size, where"


class JobInterview:
    """The questions of a job on shelves, what their answers may be, and the job they make."""

    def __init__(self, stock: Stock) -> None:
        self.stock = stock

    def questions(self, answers: Answers) -> Iterator[Question]:
        """Every question in order that the answers so far call for, answered ones too."""
        yield self._shelf("use.panel", "Which panel is damaged", _PLATE)
        if answers.get("use.panel") == TYPED:
            yield from panel_questions(answers)
        else:
            yield from self._serial(answers)
        yield self._data(answers)
        yield from self._zone(answers)
        if self.stock.choices("bays"):
            yield self._shelf("use.bay", "In which bay is it done")
        yield from self._repair(answers)
        yield from self._people(answers)
        yield from self._earlier(answers)
        yield from self._damage(answers)
        if answers.get("use.data") == TYPED:
            yield from data_questions(answers)
        if TYPED in (answers.get("use.panel"), answers.get("use.data")):
            yield from material_questions(answers, self._materials())
        yield from self._quiet(answers)

    def accept(self, question: Question, text: str, answers: Answers) -> str:
        """The answer as it is kept.

        Raises:
            InputError: it cannot be used.
        """
        text = " ".join(text.split())
        _, hidden = clean(text)
        if hidden:
            raise hidden[0][1]
        if question.kind == "choice" and (text or question.needed):
            if text not in question.choices:
                raise InputError("not one of these", read=repr(text[:60]), expected="one that is listed")
            return text
        if not text and not question.needed:
            return ""
        if question.kind == "outline":
            return _outline(question, text)
        if question.kind == "earlier":
            return _earlier(text)
        if question.path.startswith("use."):
            return text
        made = accept(replace(question, path=re.sub(r"^damage\d+", "damage", question.path)), text)
        if question.path in ("people.technician", "people.inspector"):
            check_person(question, made, answers)
        return made

    def draft(self, answers: Answers) -> str:
        """The job as TOML text.

        Raises:
            InputError: a question that has no answer yet.
        """
        asked = list(self.questions(answers))
        for q in asked:
            if q.path not in answers:
                raise InputError("a question has no answer yet", read=q.path, expected=q.words)
        typed = tuple(k for k in ("panel", "data") if answers.get(f"use.{k}") == TYPED)
        plain = [q for q in asked if q.path.split(".")[0] in (*typed, "materials")]
        raw, _ = raw_of((q for q in plain if not q.path.startswith("panel.earlier")), answers)
        damages = _damage_tables(answers, asked)
        lines = [f"panelmend = {JOB_VERSION}"]
        rows = {name: self._table(name, answers, asked) for name in ("repair", "people", "choice")}
        rows["use"] = self._use(answers)
        if len(damages) > 1:  # each has a table of its own: the rest in a line each
            lines += [f"{name} = {toml_value(rows.pop(name))}" for name in ("people", "use") if rows[name]]
        for name, fields in rows.items():
            if fields:
                lines += ["", *table_lines(name, fields)]
        panel = raw.get("panel", {}) | _earlier_table(answers)
        if panel:
            lines += ["", *table_lines("panel", panel)]
        for damage in damages:
            head, *fields_ = table_lines("damage", damage)
            lines += ["", "[[damage]]" if len(damages) > 1 else head, *fields_]
        if "data" in typed:
            lines += ["", *table_lines("data", raw.get("data", {}))]
        return "\n".join([*lines, *material_lines(raw)]) + "\n"

    def _shelf(self, path: str, words: str, why: str = "") -> Question:
        found = self.stock.choices(_SHELF[path])
        values = tuple(c.value for c in found)
        said = tuple(c.words for c in found)
        usual = values[0] if path == "use.bay" and len(values) == 1 else ""
        other = "it stands on no shelf: type it here"
        if path == "use.bay":
            other = "none of these: put it on its shelf, then name it in the job"
        values, said = (*values, TYPED), (*said, other)
        return Question(path, words, "choice", "", values, why, said=said, usual=usual)

    def _data(self, answers: Answers) -> Question:
        """The repairs of this panel first; those of other panels last, and said to be."""
        question = self._shelf("use.data", "Which approved repair", "manual and revision stand on every page")
        part = answers.get("use.panel", "")
        part = answers.get("panel.part_number", "") if part == TYPED else part
        fits = {c.value: c.is_for(part) for c in self.stock.choices("data")} if part else {}
        rows = sorted(
            zip(question.choices, question.said, strict=True),
            key=lambda row: (row[0] == TYPED, {True: 0, None: 1, False: 2}[fits.get(row[0])]),
        )
        without = {c.value: lacking(c.entry) for c in self.stock.choices("data")}
        said = tuple(
            s
            + (f"; ITS ENTRY SAYS NOTHING OF {', '.join(without[v])}" if without.get(v) else "")
            + ("; NOT FOR THIS PANEL" if fits.get(v) is False else "")
            for v, s in rows
        )
        return replace(question, choices=tuple(v for v, _ in rows), said=said, usual="")

    def _entry(self, path: str, answers: Answers) -> ShelfEntry | None:
        choice = self.stock.choice(_SHELF[path], answers.get(path, ""))
        return choice.entry if choice is not None else None

    def _serial(self, answers: Answers) -> Iterator[Question]:
        if "use.panel" in answers:
            yield Question("use.serial", "Serial number of this panel", "text", "0088", needed=False)

    def _zone(self, answers: Answers) -> Iterator[Question]:
        data = self._entry("use.data", answers)
        if data is None:
            return
        tables = [t for t in data.typed.choose if "zone" in t.by]
        zones = tuple(sorted({z for t in tables for row in t.row for z in row.zone}))
        if zones:
            why = f"{', '.join(dict.fromkeys(t.place for t in tables))}: look it up, nobody works it out"
            words = "In which zone of the panel the damage lies"
            if data.typed.zone:  # the outline of the damage says it; asked for only where it lies in two
                yield Question("use.zone", words, "choice", "", zones, why, needed=False, quiet=True)
            else:
                yield Question("use.zone", words, "choice", "", zones, why)

    def _repair(self, answers: Answers) -> Iterator[Question]:
        names = ["number"]
        given: dict[str, Any] = {}
        for path in ("use.panel", "use.bay"):
            entry = self._entry(path, answers)
            given |= entry.raw.get("repair", {}) if entry is not None else {}
        names += [n for n in ("operator", "aircraft", "units") if n not in given]
        yield from asks_of(Repair, "repair", tuple(names))

    def _people(self, answers: Answers) -> Iterator[Question]:
        bay = self._entry("use.bay", answers)
        given = bay.raw.get("people", {}) if bay is not None else {}
        for q in asks_of(People, "people", ("technician", "inspector")):
            if q.path.rpartition(".")[2] in given:
                continue
            if q.path == "people.inspector":  # another person: the example is one too
                yield replace(q, needed=True, example="M. Verrin")
            elif "inspector" in given:
                yield replace(q, needed=True, example="R. Osk")
            else:
                yield replace(q, needed=True, example="R. Osk; M. Verrin", why=_ACCEPTS)

    def _earlier(self, answers: Answers) -> Iterator[Question]:
        for i in range(1, _MOST_EARLIER):
            path = f"panel.earlier.{i}"
            yield Question(
                path,
                "Repairs already in this panel, from its record"
                if i == 1
                else "Another repair in this panel",
                "earlier",
                f"{NONE}; or TAS-24-0092 circle 160 mm at 350, 240 mm",
                why="its number and the outline of its largest ply" if i == 1 else "",
            )
            if answers.get(path, NONE) == NONE:
                return

    def _damage(self, answers: Answers) -> Iterator[Question]:
        yield from self._one_damage(answers, "damage")
        for n in range(2, MOST_DAMAGES + 1):
            here = f"damage{n}"
            if not answers.get(f"{here}.outline"):
                return
            yield from self._one_damage(answers, here)

    def _one_damage(self, answers: Answers, here: str) -> Iterator[Question]:
        """The questions of one damage; what is said of a further one begins with its letter."""
        data = self._entry("use.data", answers)
        letter = "" if here == "damage" else f"Damage {_letter(here)}. "
        depths = choices(of_panel.Damage.model_fields["depth"].annotation)
        held = _held_depths(data)
        said = tuple(_DEPTHS[d] + ("" if not held or d in held else "; NOT IN THIS DATA") for d in depths)
        yield Question(
            f"{here}.depth", f"{letter}How deep, after clean-up", "choice", "", depths, _SIDE, said=said
        )
        depth = answers.get(f"{here}.depth", "")
        if depth == "plies":
            yield Question(f"{here}.plies", f"{letter}How many plies are damaged", "count", "2")
        through = depth == "through"
        words = "Worked from which side first" if through else "On which side"
        yield Question(f"{here}.side", f"{letter}{words}", "choice", "", ("outside", "inside"))
        if not letter:
            why = f"in the axes of the panel's drawing; traced: {TRACED}"
            panel = self.stock.choice("panels", answers.get("use.panel", ""))
            if panel is not None and panel.hand:
                drawn = panel.entry.head.hand.upper()
                why = f"THE DRAWING IS OF THE {drawn} HAND: here y and angles have the other sign; {why}"
            yield Question(f"{here}.outline", _WHERE, "outline", EXAMPLE, why=why)
        if through:
            words = f"{letter}The damage in the other skin, in the same axes"
            yield Question(f"{here}.far_outline", words, "outline", f"{SAME}, or {EXAMPLE}")
        if depth == "skin and core" and data is not None and _goes_by(data, "core_depth"):
            why = "the data goes by it; empty: the whole depth"
            yield from _named(letter, asks_of(of_panel.Damage, here, ("core_depth",), why))
        moisture = choices(of_panel.Damage.model_fields["moisture"].annotation)
        yield Question(f"{here}.moisture", f"{letter}Water in the core", "choice", "", moisture)
        if answers.get(f"{here}.moisture") == "found":
            yield from _named(letter, asks_of(of_panel.Damage, here, ("wet_area",)))

    def _more(self, answers: Answers) -> Iterator[Question]:
        """Further damages of the panel: not asked for, given by a correction."""
        for n in range(2, MOST_DAMAGES + 1):
            path = f"damage{n}.outline"
            words = f"Damage {_letter(path)} of this panel, in the same job: form, size, where"
            yield Question(path, words, "outline", EXAMPLE, needed=False, quiet=True)
            if not answers.get(path):
                return

    def _quiet(self, answers: Answers) -> Iterator[Question]:
        """What is not asked: shown with the answers, to be corrected."""
        panel = self.stock.choice("panels", answers.get("use.panel", ""))
        name = panel.title if panel is not None else answers.get("panel.name", "")
        title = f"{name}: {answers.get('damage.depth', '')}, {answers.get('damage.side', '')}"
        if answers.get("damage2.outline"):  # stands over each of them
            title = f"{name}: several damages"
        bay = self._entry("use.bay", answers)
        given = bay.raw.get("people", {}) if bay is not None else {}
        usual = {"title": title[:200], "work_date": self.stock.day.isoformat()}
        for q in asks_of(Repair, "repair", ("title", "work_date", "registration")):
            yield replace(q, quiet=True, usual=usual.get(q.path.rpartition(".")[2], ""), needed=False)
        for q in asks_of(People, "people", ("planner", "engineer")):
            if q.path.rpartition(".")[2] not in given:
                yield replace(q, quiet=True, needed=False)
        for q in asks_of(of_panel.Damage, "damage", ("how_found", "notes")):
            yield replace(q, quiet=True, needed=False)
        yield from self._more(answers)
        yield from left_to_choose(self._entry("use.data", answers))

    def _materials(self) -> frozenset[str]:
        found = set()
        for choice in self.stock.choices("materials"):
            for rows in choice.entry.raw.get("materials", {}).values():
                found |= {str(r["id"]) for r in rows if isinstance(r, dict) and "id" in r}
        return frozenset(found)

    def _table(self, name: str, answers: Answers, asked: list[Question]) -> dict[str, Any]:
        rows = {}
        for q in asked:
            text = answers[q.path]
            if q.path.startswith(f"{name}.") and text:
                rows[q.path.rpartition(".")[2]] = Day(text) if q.kind == "day" else text
        return rows

    def _use(self, answers: Answers) -> dict[str, Any]:
        made: dict[str, Any] = {}
        panel = self.stock.choice("panels", answers.get("use.panel", ""))
        if panel is not None:
            made["panel"] = panel.entry.head.name
            if panel.hand:
                made["hand"] = panel.hand
            if answers.get("use.serial"):
                made["serial"] = answers["use.serial"]
        for key in ("data", "zone", "bay"):
            if answers.get(f"use.{key}", TYPED) not in (TYPED, "") and (key != "zone" or "data" in made):
                made[key] = answers[f"use.{key}"]
        return made


def _held_depths(data: ShelfEntry | None) -> tuple[str, ...]:
    limits = data.raw.get("data", {}).get("limits", {}) if data is not None else {}
    given = limits.get("depths", {}) if isinstance(limits, dict) else {}
    value = given.get("value") if isinstance(given, dict) else None
    return tuple(value) if isinstance(value, list) else ()


def _goes_by(data: ShelfEntry, what: str) -> bool:
    return any(what in t.by for t in data.typed.choose)


def _outline(question: Question, text: str) -> str:
    if question.path.endswith(".far_outline") and text.casefold() == SAME:
        return SAME
    outline_value(text)
    return text


def _earlier(text: str) -> str:
    if text.casefold() in (NONE, "no"):
        return NONE
    number, _, rest = text.partition(" ")
    if not rest:
        raise InputError(
            "an earlier repair needs its number and its outline",
            read=repr(text[:60]),
            expected=f"{NONE}, or TAS-24-0092 circle 160 mm at 350, 240 mm",
        )
    outline_value(rest)
    return f"{number} {rest}"


def _earlier_table(answers: Answers) -> dict[str, Any]:
    rows = []
    for i in range(1, _MOST_EARLIER):
        text = answers.get(f"panel.earlier.{i}", NONE)
        if text == NONE:
            break
        number, _, rest = text.partition(" ")
        rows.append({"id": number, "shape": outline_value(rest)})
    return {"earlier_repair": rows} if rows else {}


def _damage_tables(answers: Answers, asked: list[Question]) -> list[dict[str, Any]]:
    heres = dict.fromkeys(q.path.split(".")[0] for q in asked if q.path.startswith("damage"))
    return [_damage_table(h, answers, asked) for h in heres if answers.get(f"{h}.outline")]


def _damage_table(here: str, answers: Answers, asked: list[Question]) -> dict[str, Any]:
    made: dict[str, Any] = {"shape": outline_value(answers[f"{here}.outline"])}
    far = answers.get(f"{here}.far_outline", SAME)
    paths = {q.path for q in asked}
    if f"{here}.far_outline" in paths and far != SAME:
        made["far_shape"] = outline_value(far)
    for q in asked:
        name = q.path.removeprefix(f"{here}.")
        if name == q.path or q.kind == "outline" or not answers[q.path]:
            continue
        made[name] = int(answers[q.path]) if q.kind == "count" else answers[q.path]
    return made


def _letter(path: str) -> str:
    """The letter that a further damage has in the job: the second one is B."""
    return chr(ord("A") + int(re.sub(r"\D", "", path.split(".")[0])) - 1)


def _named(letter: str, asked: Iterator[Question]) -> Iterator[Question]:
    return (replace(q, words=f"{letter}{q.words}") for q in asked)
