"""Records of an earlier release, as kept in tests/unchanged, written into a log of their own."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path

import sqlalchemy as sa

from panelmend.records.canonical import link, sha256
from panelmend.records.store import moves
from panelmend.records.store.log import Log
from panelmend.records.store.tables import ENTRIES, PAPERS, SECRETS
from records_made import Shop, Time, quick_folder


def write_rows(
    log: Log, texts: list[str], papers: list[tuple[str, bytes]], kept: list[tuple[str, str]]
) -> None:
    """Write texts of entries with their chain, papers and secrets by digest, past every rule."""
    with log._writing() as connection:
        moves.move_up(connection)
        before = "0" * 64
        for n, text in enumerate(texts, 1):
            hashed = link(n, before, sha256(text))
            connection.execute(sa.insert(ENTRIES).values(number=n, before=before, hash=hashed, text=text))
            before = hashed
        for digest, data in papers:
            connection.execute(sa.insert(PAPERS).values(digest=digest, data=data))
        for digest, row in kept:
            connection.execute(sa.insert(SECRETS).values(digest=digest, hash=row))


def kept_shop(kept: Path) -> Shop:
    """The records of a file in tests/unchanged, a minute after their last entry."""
    held = json.loads(kept.read_text("utf8"))
    target = quick_folder() / "old.sqlite"
    papers = [(sha256(x.encode()), x.encode()) for x in held["papers"]]
    write_rows(
        Log.open(str(target), make=True), held["entries"], papers, [(sha256(x), x) for x in held["secrets"]]
    )
    latest = datetime.fromisoformat(json.loads(held["entries"][-1])["entered"])
    return Shop(str(target), Time(latest + timedelta(minutes=1)))
