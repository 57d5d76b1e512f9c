"""A job's package from the records, and a package read and compared with them."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zipfile import BadZipFile, ZipFile

from panelmend.errors import InputError
from panelmend.records import events as e
from panelmend.records import seals
from panelmend.records.canonical import NOTHING, link, sha256
from panelmend.records.package.check_signed import covers
from panelmend.records.package.form import LARGEST, archive_of, unpack
from panelmend.records.refusals import BROKEN, NO_SUCH, PACKAGE, Refused
from panelmend.records.state import State
from panelmend.records.store.log import Log, named, printed_head

KIND = "panelmend record package"
LARGEST_MANIFEST = 16 * 2**20  # bytes that are looked at before a file is replaced
CHECKER = Path(__file__).with_name("check_package.py")
SIGNED = Path(__file__).with_name("check_signed.py")
_ENTRY = re.compile(r"entries/[0-9]{7,9}\.json")
_NAME = re.compile(r"[^A-Za-z0-9._-]+")
READ_ME = """\
Record package of one bonded repair
===================================

job      {job}
records  {records}
head     {head}

What is in it
  entries/     what was entered for this job, its lots, instruments and people: plain JSON, one file an entry
  papers/      the document, plan, printed pages, cure logs, verdicts and photographs that the entries name
  chain.txt    one digest for every entry of the shop's log up to the head: {hidden} of {number} entries are
               not shown, being of other jobs; their digests prove that nothing was changed or taken out
  manifest.json, seal.txt   every file with its SHA-256, and the manifest's own

How to check it, with Python 3.9 and nothing else
  python3 check_package.py PACKAGE.zip {head}

The checker inside (check_package.py, with check_signed.py beside it) is a copy. Use one that you have from
elsewhere: whoever forges a package can forge the checker in it. The head above must be the one on paper, or
lie on the chain after it.

What no check can see: whether what people wrote is true, and whether somebody who had the shop's disk wrote
the whole log anew, unless a head on paper says otherwise. What this one does not look at: dates, out-time and
balances of lots, calibration, rights of people, entries about these that were left out, and what came after
the last signature of the job. The shop's own records look at all of it.

Signatures mean did, checked, accepted or rejected. Nothing in this package is approved data.
"""


@dataclass(frozen=True)
class Package:
    """A package that was read: its manifest, the entries it shows by number, its papers by digest."""

    manifest: Mapping[str, Any]
    entries: Mapping[int, e.Entry]
    papers: Mapping[str, bytes]


def shown_for(state: State, job: str) -> list[int]:
    """Numbers of the entries a job's package shows: its own, of its lots and what they came from, of the
    instruments and people in any of these."""
    if job not in state.jobs:
        raise NO_SUCH(f"job {job}")
    numbers = {1, *state.of.get("rules", []), *state.of.get(f"job {job}", [])}
    lots = {x for x, lot in state.lots.items() if job in lot.by_job}
    lots |= {state.lots[x].parent for x in lots if state.lots[x].parent}
    for lot in _family(state, lots):
        numbers |= set(state.of.get(f"lot {lot}", []))
    for name, batch in state.mixed.items():
        if batch.mixed.job == job:
            numbers |= set(state.of.get(f"batch {name}", []))
    for name in state.instruments:
        mine = state.of.get(f"instrument {name}", [])
        if numbers & set(mine):
            numbers |= set(mine)
    people = {p for p, done in state.by.items() if numbers & set(done)}
    while True:
        for p in people:
            numbers |= set(state.of.get(f"person {p}", []))
        more = {p for p, done in state.by.items() if numbers & set(done)}
        if more <= people:
            return sorted(numbers)
        people |= more


def _family(state: State, lots: set[str]) -> set[str]:
    """Lots with those they came from."""
    found = set(lots)
    for lot in lots:
        parent = state.lots[lot].parent
        while parent and parent not in found:
            found.add(parent)
            parent = state.lots[parent].parent
    return found


def job_packaged(path: Path) -> str | None:
    """The job that a file says it is a package of, without a look at anything else; None where it is none."""
    try:
        with ZipFile(path) as archive, archive.open("manifest.json") as file:
            manifest = json.loads(file.read(LARGEST_MANIFEST))
    except (OSError, BadZipFile, KeyError, ValueError, RecursionError, RuntimeError):
        return None
    if not isinstance(manifest, dict) or manifest.get("kind") != KIND:
        return None
    return str(manifest.get("job"))


def make_package(log: Log, job: str) -> bytes:
    """The package of a job at the head of the log; the same log gives the same bytes.

    Raises:
        Refused: no such job, or the log does not hold.
    """
    log.check().must_hold()
    state = log.anew()
    shown = set(shown_for(state, job))
    rows = log.entries(last=state.number)
    files: dict[str, bytes] = {}
    names: dict[str, str] = {}
    for number, before, _, text in rows:
        if number in shown:
            files[f"entries/{number:07d}.json"] = text.encode("utf8")
            names |= _names(e.entry_of(number, before, text).what, job)
    for digest, name in names.items():
        files[f"papers/{digest[:16]}-{_slug(name)}"] = log.paper(digest)
    files["chain.txt"] = "".join(sha256(text) + "\n" for *_, text in rows).encode()
    files["check_package.py"], files["check_signed.py"] = CHECKER.read_bytes(), SIGNED.read_bytes()
    files["READ-ME.txt"] = READ_ME.format(
        job=job,
        records=state.records,
        head=printed_head(state.number, state.head),
        number=state.number,
        hidden=state.number - len(shown),
    ).encode("utf8")
    manifest = {
        "kind": KIND,
        "version": 1,
        "job": job,
        "records": state.records,
        "invented": state.invented,
        "number": state.number,
        "head": state.head,
        "shown": len(shown),
        "files": [{"file": n, "size": len(files[n]), "sha256": sha256(files[n])} for n in sorted(files)],
    }
    files["manifest.json"] = (json.dumps(manifest, ensure_ascii=False, indent=1) + "\n").encode("utf8")
    files["seal.txt"] = (sha256(files["manifest.json"]) + "\n").encode()
    return archive_of(files)


def _names(event: e.Event, job: str) -> dict[str, str]:
    """Papers of an event with names people know; those of other jobs stay out."""
    if getattr(event, "job", job) != job:
        return {}
    held: dict[str, str] = dict.fromkeys(named(event), str(event.kind))
    if isinstance(event, e.SignedPlan):
        held |= {d: n for n, d in event.pages.items()} | {event.document: "document.toml"}
    elif isinstance(event, e.FileKept):
        held[event.digest] = event.name
    elif isinstance(event, e.VerdictKept):
        held |= {event.log: "cure-log", event.report: "verdict"}
    return held


def _slug(name: str) -> str:
    return _NAME.sub("-", name).strip("-.")[:60] or "paper"


def read_package(whole: bytes, head: str = "") -> Package:
    """Read a package, strictly.

    Args:
        whole: its bytes.
        head: a head printed on paper, which its chain must reach.

    Raises:
        Refused: anything in it is not as it was made.
    """
    files = unpack(whole)
    try:
        manifest = json.loads(files["manifest.json"])
        rows = {str(r["file"]): str(r["sha256"]) for r in manifest["files"]}
        bodies = files["chain.txt"].decode("ascii").split("\n")
        number, last, kind = int(manifest["number"]), str(manifest["head"]), manifest["kind"]
        job, records = str(manifest["job"]), str(manifest["records"])
        sealed = files["seal.txt"].decode("ascii").strip() == sha256(files["manifest.json"])
    except (KeyError, TypeError, ValueError, RecursionError) as error:
        raise PACKAGE(f"no manifest, chain or seal as a package has them: {error}") from None
    if kind != KIND or not sealed or bodies.pop() != "":
        raise PACKAGE("another kind of file, or its seal is of another manifest")
    held = {n: sha256(d) for n, d in files.items() if n not in ("manifest.json", "seal.txt")}
    if rows != held:
        wrong = sorted(n for n in {*rows, *held} if rows.get(n) != held.get(n))
        raise PACKAGE(f"{wrong[0]} is not what the manifest says")
    before, hashes = NOTHING, [NOTHING]
    for n, body in enumerate(bodies, 1):
        before = link(n, before, body)
        hashes.append(before)
    if len(bodies) != number or before != last:
        raise PACKAGE("its chain does not end at the head it names")
    _on_paper(head, hashes)
    entries = {}
    for name, data in files.items():
        if not name.startswith("entries/"):
            continue
        n = int(name[8:-5]) if _ENTRY.fullmatch(name) else 0
        if not 1 <= n <= number or sha256(data) != bodies[n - 1]:
            raise PACKAGE(f"entry {n} is not the one in the chain")
        try:
            entries[n] = e.entry_of(n, hashes[n - 1], data.decode("utf8"))
        except (Refused, InputError, UnicodeDecodeError, RecursionError) as error:
            raise PACKAGE(f"entry {n}: {error}") from error
    papers = {held[n]: d for n, d in files.items() if n.startswith("papers/")}
    _sealed(entries, records)
    if not any(isinstance(x.what, e.JobOpened) and x.what.job == manifest["job"] for x in entries.values()):
        raise PACKAGE(f"it does not show job {job[:40]} being opened")
    faults = covers({n: x.held() for n, x in entries.items()}, records, job)
    if faults:
        raise PACKAGE(faults[0])
    for n, entry in sorted(entries.items()):
        if getattr(entry.what, "job", job) == job:
            missing = [d for d in named(entry.what) if d not in papers]
            if missing:
                raise PACKAGE(f"entry {n}: paper {missing[0][:12]} is not there")
    return Package(manifest, entries, papers)


def _sealed(entries: Mapping[int, e.Entry], records: str) -> None:
    """See that every signature is sealed with the key its person had then.

    Raises:
        Refused: one is not; also one of the first rules, which had no seals, as anybody could write them.
    """
    keys: dict[str, str] = {}
    for n, entry in sorted(entries.items()):
        what = entry.what
        if isinstance(what, e.Begun | e.Enrolled):
            keys[what.person] = what.key
        elif isinstance(what, e.CodeIssued):
            keys[what.person] = ""
        signature = getattr(what, "signature", None)
        if signature is None:
            continue
        if not signature.seal:  # of the first rules, or taken away with the entry that took newer ones on
            raise PACKAGE(f"entry {n}: its signature bears no seal, so that nothing shows who signed")
        text = seals.text_of(records, n, entry.before, entry.bare())
        if not seals.sealed(keys.get(entry.by, ""), text, signature.seal):
            raise PACKAGE(f"entry {n}: not sealed with the key of {entry.by}")


def _on_paper(head: str, hashes: list[str]) -> None:
    """See that a chain reaches a head printed on paper. Raises Refused."""
    if not head:
        return
    number, _, start = head.strip().partition("-")
    if not number.isdecimal() or len(start) < 16:
        raise InputError("not a head", read=head[:40], expected="number-16 characters, as printed")
    if not 1 <= int(number) < len(hashes) or not hashes[int(number)].startswith(start.lower()):
        raise PACKAGE(f"it does not reach the head on paper, {head}")


def compare_package(log: Log, package: Package) -> None:
    """See that a package is of these records: every entry it shows stands in the log. Raises Refused."""
    if package.manifest["records"] != log.state.records:
        raise PACKAGE("it is of other records")
    held = {n: (h, t) for n, _, h, t in log.entries()}
    for n, entry in package.entries.items():
        if held.get(n, ("", ""))[1] != entry.text():
            raise BROKEN(f"entry {n} of the package is another than in the log")
    number = int(package.manifest["number"])
    if held.get(number, ("", ""))[0] != package.manifest["head"]:
        raise BROKEN(f"entry {number}, the package's head, is another in the log, or was cut off")


__all__ = ["LARGEST", "Package", "compare_package", "make_package", "read_package", "shown_for"]
