"""What a job was planned with, written below it when it is packed, and read again wherever it is opened.

A packed job that is taken out of its pack is planned on today's shelves. It carries digest and contents of
the entries it was packed with, so that it is told which values are others today. Like every digest on a
shelf this guards against slips and is no signature.
"""

from __future__ import annotations

import base64
import json
import textwrap
import tomllib
import zlib
from collections.abc import Mapping, Sequence

from panelmend.document.fault import Fault, fault_at
from panelmend.document.packed_lines import BEGIN, KEY, below, without_packed
from panelmend.document.shelved import Carried, PackedEntry
from panelmend.document.wording import shown
from panelmend.document.written import toml_string
from panelmend.errors import PanelmendError
from panelmend.shelves.entry import read_entry
from panelmend.shelves.model import SHELVES, JobHead, PackedWith
from panelmend.shelves.names import tidy_name

WIDTH = 118  # characters of contents in a line
LARGEST_ENTRIES = 8_000_000  # [bytes] entries of one job, unpacked
NUMBER = "repair"  # beside the files, so that the number above is bound to them
TOLD = tuple(s for s in SHELVES if s != "stores")  # stores are counted every day and not compared


def packed_text(text: str, repair: str, entries: Sequence[Carried]) -> str:
    """The text of a job with what it was planned with below it.

    Args:
        text: the job.
        repair: number of the repair.
        entries: what it took from shelves.
    """
    taken = [e for e in entries if e.taken and e.shelf in TOLD]
    if not taken:
        return without_packed(text)
    kept = {e.file: e.data.decode("utf-8-sig").replace("\r\n", "\n") for e in taken}
    whole = json.dumps({**kept, NUMBER: repair}, ensure_ascii=False, sort_keys=True).encode("utf8")
    contents = textwrap.wrap(base64.b64encode(zlib.compress(whole, 9)).decode("ascii"), WIDTH)
    rows = [f"[{KEY}]", f"repair = {toml_string(repair)}", "entries = ["]
    rows += [f"  {toml_string(f'{e.shelf}: {e.name}, {e.digest}')}," for e in taken]
    rows += ["]", "contents = [", *(f'  "{line}",' for line in contents), "]"]
    return below(text, "".join(f"{row}\n" for row in rows))


def number_in(text: str) -> str:
    """The number of the repair as a job has it, without the letter of a damage; "" where it has none."""
    try:
        repair = tomllib.loads(text).get("repair")
    except (ValueError, RecursionError):
        return ""
    return tidy_name(str(repair.get("number", ""))) if isinstance(repair, dict) else ""


def packed_entries(head: JobHead, text: str) -> tuple[tuple[PackedEntry, ...], list[Fault]]:
    """What a job says that it was planned with, and what is wrong with those lines; often nothing."""
    given = head.packed_with
    if given is None:
        return (), []
    try:
        if BEGIN not in text or KEY in without_packed(text):
            raise ValueError("other lines")
        kept = _contents(given)
        if kept.pop(NUMBER, "") != given.repair:
            raise ValueError("another repair")
        made = tuple(_entry(row, kept) for row in given.entries)
        if {e.file for e in made} != set(kept):
            raise ValueError("not every entry")
    except (ValueError, KeyError, zlib.error, PanelmendError):
        words = "what the job was packed with was changed: nothing would hold it to its pack"
        return (), [fault_at((KEY,), words, _short(given), "the lines as its pack has them", _AGAIN)]
    return made, []


_AGAIN = (
    "take the job out of its pack again; a job for another repair begins with panelmend new, or without "
    "any of these lines"
)


def _contents(given: PackedWith) -> dict[str, str]:
    reader = zlib.decompressobj()
    whole = reader.decompress(base64.b64decode("".join(given.contents), validate=True), LARGEST_ENTRIES)
    if not reader.eof:
        raise ValueError("too large, or cut off")
    read = json.loads(whole)
    if not isinstance(read, dict):
        raise ValueError("no entries")
    return {str(k): str(v) for k, v in read.items()}


def _entry(row: str, kept: Mapping[str, str]) -> PackedEntry:
    named, _, digest = row.rpartition(", ")
    shelf_name, _, name = named.partition(": ")
    shelf = next(s for s in SHELVES if s == shelf_name) if shelf_name in SHELVES else None
    for file, text in kept.items():
        if shelf is not None and file.partition("/")[0] == shelf:
            entry = read_entry(text.encode("utf8"), file, shelf)
            if entry.head.name == name and entry.digest == digest:
                return PackedEntry(shelf, name, entry.file, entry.data)
    raise KeyError(row)


def _short(given: PackedWith) -> str:
    return shown("; ".join(row[:60] for row in given.entries[:2]) or "no entries")
