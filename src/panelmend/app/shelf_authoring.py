"""Approved data typed one table at a time, and signed off by a second person beside the manual."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date

from panelmend.app.dialogue import Dialogue
from panelmend.app.shelf_verbs import find_entry, write_entry
from panelmend.document.answer_lists import plies_of
from panelmend.document.approved import ApprovedData
from panelmend.document.fields import choices, inner_model, plain_kind, quantity_kind, wrapper
from panelmend.document.interview import Answers, Question
from panelmend.document.interview_text import Day, table_lines, toml_value
from panelmend.document.people import same_person
from panelmend.errors import InputError
from panelmend.long_work import Tell
from panelmend.materials.meanings import meaning_of
from panelmend.shelves.checking import checked_text, signed_text
from panelmend.shelves.contents import refuse_contents
from panelmend.shelves.csv_table import FLAT, ROLES, Cells, csv_rows, table_text
from panelmend.shelves.entry import ShelfEntry, read_entry
from panelmend.shelves.folder import Folder
from panelmend.shelves.parts import EntryPart, open_parts, parts_of, signed_off, typists_of
from panelmend.shelves.practice import refuse_rows_after
from panelmend.shelves.split import entry_file, head_text
from panelmend.units import KINDS
from panelmend.units.written import as_read

APART = "|"  # between a value and a place of its own
Read = Callable[[str], str]


class TableScript:
    """The questions of one table: its fields one after the other, left empty where the table has none."""

    def __init__(self, table: str, place: str) -> None:
        self.table, self.place = table, place

    def questions(self, answers: Answers) -> Iterable[Question]:
        del answers
        if self.table == "plies":
            for side in ("outside", "inside"):
                for role in ROLES:
                    yield Question(
                        f"{side} {role}", f"{role} plies on the {side}, first to last", "plies",
                        "demo-glass-8h: 0, 45, 0 deg", needed=False,
                    )  # fmt: skip
            return
        model = inner_model(ApprovedData.model_fields[self.table].annotation)[0]
        assert model is not None, "every flat table is one of its own"
        for name, field in model.model_fields.items():
            given = wrapper(field.annotation)
            if given is None or inner_model(given)[0] is not None:
                continue
            value = given.model_fields["value"]
            kind, permitted = quantity_kind(value), choices(value.annotation)
            example = KINDS[kind].example if kind in KINDS else ", ".join(permitted)
            words = (meaning_of(model, name) or name).rstrip(".")
            kind = kind or plain_kind(value.annotation) or "words"
            yield Question(name, words, kind, example, needed=False)

    def accept(self, question: Question, text: str, answers: Answers) -> str:
        del answers
        if question.kind in KINDS or question.kind == "plies":
            text = as_read(text)
        if text:
            try:
                table_text(self.table, self._rows(question.path, text), self.place)
            except InputError as error:
                raise InputError(
                    error.words, read=error.read, expected=error.expected, todo=error.todo
                ) from None
        return text

    def draft(self, answers: Answers) -> str:
        return table_text(self.table, self.rows(answers), self.place)

    def rows(self, answers: Answers) -> tuple[Cells, ...]:
        """The rows of the table, as a CSV of it would have them.

        Raises:
            InputError: nothing was typed.
        """
        made = [r for path, text in answers.items() if text for r in self._rows(path, text)]
        if not made:
            raise InputError("the table is empty", where=self.table, expected="one value at least")
        return tuple(made)

    def _rows(self, path: str, text: str) -> tuple[Cells, ...]:
        value, _, own = (x.strip() for x in text.partition(APART))
        place = {"place": own} if own else {}
        if self.table != "plies":
            return (Cells(0, {"field": path, "value": value, **place}, "typed"),)
        side, role = path.split()
        return tuple(
            Cells(0, {"side": side, "role": role, "cloth": cloth, "warp": warp, **place}, "typed")
            for cloth, warp in plies_of(value)
        )


def typed_rows(table: str, place: str, read: Read, say: Tell) -> tuple[Cells, ...]:
    """The rows of a table as somebody types them: field by field, or pasted with its columns.

    Raises:
        InputError: nothing was typed, or what was pasted cannot be read.
    """
    if table in FLAT or table == "plies":
        say(f"{table}, {place}. Enter: the table has none. With a place of its own: 12 mm {APART} para 2.")
        say("< takes the last answer back, = shows all.")
        script = TableScript(table, place)
        return script.rows(Dialogue(script, read, say, lambda answers: None).run())
    say("Paste the table with its heading, columns apart by comma, semicolon or TAB; end with an empty line.")
    lines: list[str] = []
    while line := read(""):
        lines.append(line)
    return csv_rows("\n".join(lines).encode("utf8"), "what was pasted")


def begun(
    root: Folder, name: str, about: dict[str, str], panels: tuple[str, ...], by: str, on: date, against: str
) -> ShelfEntry:
    """A new entry of approved data that says as yet which repair of which manual it is.

    Args:
        root: the shelves.
        name: what it is called.
        about: title, number, revision and dated of the manual, and the repair.
        panels: part numbers it is for.
        by: who types it.
        on: when.
        against: the paper.

    Raises:
        DocumentError: it has faults.
        InputError: an entry of this name already exists.
    """
    if root.has("data", name):
        raise InputError("an entry of this name already exists", read=name, expected="another name")
    manual = {k: about[k] for k in ("title", "number", "revision")} | {"dated": Day(about["dated"])}
    lines = table_lines("data", {"repair": about["repair"], "manual": manual})
    more = (f"panels = {toml_value(list(panels))}",) if panels else ()
    text = head_text("data", name, by, on, against, *more) + "\n" + "\n".join(lines) + "\n"
    made = read_entry(text.encode("utf8"), entry_file("data", name), "data")
    refuse_contents(made)
    write_entry(root.root, made.file, made.data, was=None)
    return made


def write_over(shelves: Folder, before: ShelfEntry, text: str) -> ShelfEntry:
    """Write the new text of an entry, unless its file was changed since it was read.

    Raises:
        InputError: the file is another than was shown.
    """
    made = read_entry(text.encode("utf8"), before.file, before.head.shelf)
    write_entry(shelves.root, made.file, made.data, was=before.data)
    return made


def typed_beside_source(part: EntryPart, typist: str) -> list[str]:
    """A table as it was typed beside the places it was typed from."""
    wide = min(44, max([len(x.place) for x in part.lines] + [8]))
    names = min(34, max([len(x.name) for x in part.lines] + [5]))
    made = [f"{part.name}, typed by {typist}", f"  {'place in the paper':<{wide}}  {'typed here':<{names}}"]
    for x in part.lines:
        back = f"   (reads {x.read})" if x.read and x.read != x.typed else ""
        made.append(f"  {x.place:<{wide}}  {x.name:<{names}}  {x.typed}{back}")
    return made


def sign_off(
    root: Folder,
    name: str,
    by: str,
    against: str,
    on: date,
    read: Read,
    say: Tell,
    *,
    only: str = "",
    shelf: str = "data",
) -> tuple[ShelfEntry, tuple[str, ...]]:
    """Go through the tables of an entry that nobody signed off as they are now.

    Each is shown beside its places, and recorded as soon as it is signed. When the last one is signed, the
    whole entry is recorded as checked.

    Args:
        root: the shelves.
        name: the entry.
        by: who signs: somebody else than who typed the table.
        against: the paper it is held against.
        on: the day.
        read: asks with a label.
        say: prints a line.
        only: one table, by its name.
        shelf: the shelf it stands on; "" for any.

    Returns:
        The entry as it stands, and the tables that are still open.

    Raises:
        InputError: whoever typed a table would sign it; the entry has faults.
    """
    entry = find_entry(root, name, shelf)
    refuse_contents(entry)
    if entry.head.shelf == "stores":
        raise InputError("stores are counted, not checked", where=entry.file)
    refuse_rows_after(entry.typed, entry.file, on)
    todo = [p for p in open_parts(entry) if not only or only in (p.name, p.table)]
    if only and not any(only in (p.name, p.table) for p in parts_of(entry)):
        raise InputError(
            "the entry has no such table",
            where=entry.file,
            read=only[:60],
            expected="; ".join(p.name for p in parts_of(entry)),
        )
    own = [p for p in todo if any(same_person(by, who) for who in typists_of(entry, p))]
    if own and len(own) == len(todo):
        signed_text(entry, own[0], by, on, against)  # refuses who typed all that is open
    for part in own:
        typists = " and ".join(typists_of(entry, part))
        say(f"{part.name}: typed by {typists}, so somebody else signs it off")
    for part in (p for p in todo if p not in own):
        say("")
        for line in typed_beside_source(part, " and ".join(typists_of(entry, part))):
            say(line)
        while True:
            typed = read("  every line agrees with the paper? y signs this table, n leaves it open, q stops")
            if typed.strip().casefold() in ("y", "yes", "n", "no", "q", "quit"):
                break
            say("  y, n or q")
        if typed.strip().casefold() in ("q", "quit"):
            break
        if typed.strip().casefold() in ("y", "yes"):
            entry = write_over(root, entry, signed_text(entry, part, by, on, against))
        else:
            say(
                "  It stays open: put it right where it stands, or type the table anew: panelmend shelf table"
            )
    left = open_parts(entry)
    if not left and (todo or not entry.is_checked):
        rows = [s for p in parts_of(entry) if (s := signed_off(entry, p)) is not None]
        people = " and ".join(dict.fromkeys([by, *(s.by for s in rows)]))
        entry = write_over(root, entry, checked_text(entry, people, on, against))
    return entry, tuple(p.name for p in left)
