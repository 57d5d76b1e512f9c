"""One log serves one operation once: what is kept beside the document and beside the log."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import numpy as np

from panelmend.files import read_kept, replace_whole
from panelmend.plan.judge import ChannelRole, CureLog
from panelmend.plan.judge.faults_replayed import stir
from panelmend.plan.judge.pieces import pieces


def cures_path(document: Path) -> Path:
    """Where it is noted which log served which operation: beside the document, ending in ``.cures.json``."""
    return document.with_suffix(".cures.json")


def served_path(log: Path) -> Path:
    """The same beside the log: a document in another folder finds it there."""
    return log.with_name(log.name + ".cures.json")


def kept_beside(document: Path, log: Path) -> tuple[Path, ...]:
    """Every such record in the folder of the document and in that of the log, those of their own names
    first: a copy of a log under another name, or another document of the same shop, is found by them."""
    own = (cures_path(document), served_path(log))
    others = {
        p for folder in {document.parent, log.parent} for p in folder.glob("*.cures.json") if p not in own
    }
    return (*own, *sorted(others))


def readings_digest(log: CureLog) -> str:
    """Digest of the thermocouples' readings alone: the same for a log whose dates or remarks were changed."""
    digest = hashlib.sha256()
    for c in log.of_role(ChannelRole.THERMOCOUPLE):
        digest.update(np.round(np.nan_to_num(c.values, nan=-1.0), 6).tobytes())
    return digest.hexdigest()


SKETCH, IN_A_ROW, SAME_LOG = 128, 8, 0.5


def readings_sketch(log: CureLog) -> list[str]:
    """A small sample of the thermocouples' readings, eight rows at a time: the 128 least hashes of all such
    runs. Logs that were cut, or in which single readings were changed, keep most of it."""
    row = np.full(len(log), 1469598103934665603, np.uint64)
    for channel in log.of_role(ChannelRole.THERMOCOUPLE):
        for part in pieces(0, len(row)):
            whole = np.round(np.nan_to_num(channel.values[part], nan=-1.0) * 100.0)
            row[part] ^= whole.astype(np.int64).view(np.uint64)
        stir(row)
    if len(row) < IN_A_ROW:
        return []
    run = np.full(len(row) - IN_A_ROW + 1, 1099511628211, np.uint64)
    for k in range(IN_A_ROW):
        run ^= row[k : len(row) - IN_A_ROW + 1 + k]
        stir(run)
    return [f"{x:016x}" for x in np.unique(run)[:SKETCH].tolist()]


def sketches_share(a: list[str], b: list[str]) -> float:
    """The share of runs of readings that two logs have in common, of both together, estimated [1]."""
    if not a or not b:
        return 0.0
    both = set(a) & set(b)
    least = sorted(set(a) | set(b))[: min(len(a), len(b), SKETCH)]
    return sum(x in both for x in least) / len(least)


def served_before(path: Path, log: CureLog, repair: str, operation: str) -> str:
    """Which other operation this log has served by the record at ``path``, in words; "" for none."""
    kept = read_kept(path, "cures", 1, "judge again").get("cures", {})
    readings, sketch = readings_digest(log), readings_sketch(log)
    for digest, row in kept.items():
        share = sketches_share(sketch, list(row.get("sketch", ())))
        if digest != log.digest and row.get("readings") != readings and share < SAME_LOG:
            continue
        if (row.get("repair"), row.get("operation")) == (repair, operation):
            if digest == log.digest:
                return ""
            if row.get("readings") == readings and _dated(log) and row.get("began") == log.started:
                continue  # the same cure again, written in another form
        same = "" if digest == log.digest else " (the same readings under other dates or remarks)"
        if digest != log.digest and row.get("readings") != readings:
            same = f" ({100 * share:.0f} % of its readings are the same, in the same order)"
        return f"{row.get('operation')!r} of repair {row.get('repair')} on {row.get('on')}{same}"
    return ""


def _dated(log: CureLog) -> bool:
    """Whether the log says the day it began."""
    return bool(log.started) and not log.started.startswith("T")


def note_served(path: Path, log: CureLog, name: str, repair: str, operation: str, day: str) -> None:
    """Note at ``path`` that a log has served an operation. Raises OutputError."""
    kept = read_kept(path, "cures", 1, "judge again").get("cures", {})
    if log.digest in kept:
        return
    row = {
        "file": name,
        "repair": repair,
        "operation": operation,
        "on": day,
        "readings": readings_digest(log),
        "sketch": readings_sketch(log),
        "began": log.started,
    }
    whole = {"version": 1, "cures": {**kept, log.digest: row}}
    text = json.dumps(whole, indent=1, sort_keys=True, ensure_ascii=False) + "\n"
    replace_whole(path, text.encode("utf8"))
