"""A log checked from end to end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import sqlalchemy as sa

from panelmend.errors import InputError
from panelmend.records import events as e
from panelmend.records.canonical import NOTHING, link, sha256
from panelmend.records.refusals import BROKEN, CUT, NOT_THEIR_KEY, Refused
from panelmend.records.rules import check as look
from panelmend.records.state import State
from panelmend.records.state.taking import take_entry
from panelmend.records.state.whole import proved_now
from panelmend.records.store import copies, kept
from panelmend.records.store.heads import HEAD_CHARACTERS, printed_head
from panelmend.records.store.moves.versions import m0001_log as first_move
from panelmend.records.store.papers import look_at_papers, named
from panelmend.records.store.proving import Proving
from panelmend.records.store.tables import ENTRIES, PAPERS, SECRETS
from panelmend.records.store.undisturbed import undisturbed

if TYPE_CHECKING:
    from panelmend.records.store.log import Log


@dataclass
class CheckedLog:
    """What checking a whole log found.

    ``faults`` by entry number (0 for the file itself); ``unsealed`` signatures, of the first rules.
    """

    number: int = 0
    head: str = NOTHING
    faults: list[tuple[int, str]] = field(default_factory=list)
    cut: bool = False
    unsealed: int = 0

    def must_hold(self) -> None:
        """See that nothing was found. Raises Refused with the first fault."""
        if self.faults:
            number, words = self.faults[0]
            raise (CUT if self.cut else BROKEN)(f"entry {number}: {words}" if number else words)

    @property
    def holds(self) -> bool:
        """Whether nothing was found."""
        return not self.faults

    @property
    def printed(self) -> str:
        """The head as it is printed on paper."""
        return printed_head(self.number, self.head)


def check_log(log: Log, head: str = "", *, rules: bool = True, since: str = "") -> CheckedLog:
    """Check the whole log: every link, every spelling, every rule, every paper, the triggers.

    Args:
        head: a head printed on paper ("number-16 characters"), which the log must reach.
        rules: every rule and paper again too; without it the links alone, which show every edit, removal and
            swap of whoever did not make all later hashes anew.
        since: a head at which an earlier whole check ended. The links prove that what stands before it is
            what was checked then; seals and rules are looked at from there on. What was so there is what that
            check kept beside the log, where it did, and else computed from it.
    """
    with undisturbed():  # until all of it is let go
        return _checked(log, head, rules, since)


def _checked(log: Log, head: str, rules: bool, since: str) -> CheckedLog:
    found = CheckedLog()
    noted = copies.last_noted(log.path) if log.path is not None else (0, "")  # before others write more
    with log.reading() as connection:
        _check_file(connection, log.path is None, found)
        rows = connection.execute(sa.select(ENTRIES).order_by(ENTRIES.c.number)).all()
        papers = _digests(connection, PAPERS, "data", found)
        _digests(connection, SECRETS, "hash", found)
        hashes, sound = _links(rows, found)
        if since:
            _reaches(since, hashes, found)
        state = _by_rules(log.path, connection, rows[:sound], papers, since, found) if rules else None
    found.faults.sort(key=lambda fault: fault[0])
    if head:
        _reaches(head, hashes, found)
    _as_noted(*noted, hashes, found)
    if state is not None and found.holds and log.path is not None and found.number >= kept.EVERY:
        kept.keep_state(log.path, state, kept.CHECKED)
    return found


def _links(rows: Sequence[Any], found: CheckedLog) -> tuple[dict[int, str], int]:
    """See that each row follows the one before it and is what its hash was made of; the hashes by number, and
    how many rows there are before the first fault."""
    hashes: dict[int, str] = {}
    sound, before_it, last = -1, NOTHING, 0
    for place, (number, before, hashed, text) in enumerate(rows):
        told = len(found.faults)
        if number != last + 1:
            found.faults.append((number, f"follows entry {last}: something is missing or swapped"))
        if before != before_it:
            found.faults.append((number, "does not follow the entry before it"))
        if hashed != link(number, before, sha256(text)):
            found.faults.append((number, "its content is not what its hash was made of"))
        last, before_it = number, hashed
        hashes[number] = hashed
        if sound < 0 and len(found.faults) != told:
            sound = place
    found.number, found.head = last, before_it
    return hashes, len(rows) if sound < 0 else sound


def _by_rules(
    path: Path | None,
    connection: sa.Connection,
    rows: Sequence[Any],
    papers: AbstractSet[str],
    since: str,
    found: CheckedLog,
) -> State:
    """See that rows whose links hold keep to every rule, from the head of an earlier check on; the state."""
    known = int(since.partition("-")[0]) if since and found.holds else 0
    state = _state_at(path, rows, known) if known else State()
    beside = [x for x in (kept.load_state(path, n) for n in kept.ENDS) if x] if path and not known else []
    own = CheckedLog()
    with Proving() as proving:
        state.prove = proving.ask
        ended = _rule_by_rule(connection, rows, papers, known, state, beside, own, proving)
        proving.end()
        state.prove = proved_now
    for number, words in _proved_false(rows, proving, ended):
        own.faults = [f for f in own.faults if f[0] < number] + [
            (number, words)
        ]  # what is behind says nothing
    found.faults += own.faults
    found.unsealed += own.unsealed
    return state


def _proved_false(rows: Sequence[Any], proving: Proving, ended: int) -> Iterator[tuple[int, str]]:
    """The first entry whose spelling or seal does not hold, if it is not behind one that broke a rule."""
    for n in sorted({*proving.false, *proving.spelled_otherwise}):
        if ended and n > ended:
            return
        number, before, _, text = next(row for row in rows if row[0] == n)
        try:
            by = e.entry_of(number, before, text).by
            if n in proving.false:
                raise NOT_THEIR_KEY(f"{by}, entry {number}")
        except (Refused, InputError) as error:
            yield n, str(error)[:200]
            return


def _rule_by_rule(
    connection: sa.Connection,
    rows: Sequence[Any],
    papers: AbstractSet[str],
    known: int,
    state: State,
    beside: Sequence[kept.KeptState],
    found: CheckedLog,
    proving: Proving,
) -> int:
    """Take the rows into a state, each by every rule; the number at which one was broken, 0 for none."""
    for number, before, hashed, text in rows[state.number :]:
        try:
            if number <= known:
                take_entry(state, e.entry_kept(number, before, text), hashed)
                continue
            found_fast = e.entry_beside(number, before, text) if e.plain_letters(text) else None
            if found_fast is not None:
                proving.ask(number, text)
            entry = found_fast or e.entry_of(number, before, text)
            look(state, entry)
            signature = getattr(entry.what, "signature", None)
            found.unsealed += signature is not None and not signature.seal
            missing = [d for d in named(entry.what) if d not in papers]
            if missing:
                found.faults.append((number, f"paper {missing[0][:12]} is not there"))
            elif state.rules >= 2:
                look_at_papers(connection, entry.what)
            take_entry(state, entry, hashed)
        except (Refused, InputError, KeyError, IndexError, ValueError) as error:
            found.faults.append((number, str(error)[:200]))
            return int(number)
        for other in beside:
            if (other.number, other.head) == (number, hashed) and not other.same(state):
                found.faults.append(
                    (0, f"{other.drop()}, kept beside the log, says something else than the log")
                )
    return 0


def _state_at(path: Path | None, rows: Sequence[Any], known: int) -> State:
    """What the earlier check kept, where it ended at or before an entry."""
    was = kept.load_state(path, kept.CHECKED) if path is not None else None
    fits = was is not None and was.number <= known and rows[was.number - 1][2] == was.head
    return was.state if was is not None and fits else State()


def _as_noted(number: int, head: str, hashes: Mapping[int, str], found: CheckedLog) -> None:
    """See that a file is not older or another than the note beside it says; no note says nothing."""
    if not number or hashes.get(number) == head:
        return
    found.cut = found.cut or not found.faults
    words = f"{head[:HEAD_CHARACTERS]} was written in this file by the note beside it"
    there = hashes.get(number, "")[:HEAD_CHARACTERS] or f"nothing, it ends at {found.number}"
    found.faults.append((number, f"{words}; there is {there}"))


def _check_file(connection: sa.Connection, postgresql: bool, found: CheckedLog) -> None:
    if postgresql:
        names = {
            str(n) for n in connection.execute(sa.text(_TRIGGERS)).scalars()
        }  # fmt: skip
        wanted = {"entries_follow", *(f"{t}_no_{x}" for t in ("entries", "papers", "secrets")
                  for x in ("change", "truncate"))}  # fmt: skip
        if not wanted <= names:
            found.faults.append((0, f"triggers are missing: {', '.join(sorted(wanted - names))}"))
        return
    said = [str(r) for r in connection.exec_driver_sql("PRAGMA integrity_check(5)").scalars()]
    if said != ["ok"]:
        found.faults.append((0, f"the database is damaged: {said[0][:160]}"))
    there = {str(s) for s in connection.exec_driver_sql(
        "SELECT sql FROM sqlite_master WHERE type = 'trigger'").scalars()}  # fmt: skip
    gone = [s for s in first_move._sqlite() if s not in there]
    if gone:
        found.faults.append((0, f"a trigger is missing or changed: {gone[0].split()[2]}"))


_TRIGGERS = "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal AND tgenabled = 'O'"


def _digests(connection: sa.Connection, table: sa.Table, column: str, found: CheckedLog) -> set[str]:
    """Digests of a table whose contents are what they say; the others are faults."""
    good = set()
    for digest, data in connection.execute(sa.select(table.c.digest, table.c[column])):
        whole = bytes(data) if column == "data" else str(data)
        if sha256(whole) == digest:
            good.add(str(digest))
        else:
            found.faults.append((0, f"{table.name}: {str(digest)[:12]} holds something else"))
    return good


def _reaches(head: str, hashes: Mapping[int, str], found: CheckedLog) -> None:
    """See that the log holds a head printed on paper."""
    number, mark, start = head.strip().partition("-")
    if not mark or not number.isdecimal() or len(start) < HEAD_CHARACTERS:
        raise InputError(
            "not a head", read=head[:40], expected="number-16 characters, as printed on card and package"
        )
    held = hashes.get(int(number))
    if held is None:
        found.cut = not found.faults
        found.faults.append(
            (int(number), f"{CUT.title}: the paper says {head}, the log ends at {found.number}")
        )
    elif not held.startswith(start.lower()):
        found.faults.append(
            (int(number), f"another entry than on the paper: {head}, here {held[:HEAD_CHARACTERS]}")
        )
