"""A file of typed lines, run through the command line by invented people at a turned clock.

examples/records/whole_repair.txt says how it is written.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import click
import pytest
from click.testing import CliRunner

from panelmend.app.cli import main
from panelmend.app.cli_records import records
from panelmend.records import book as room
from panelmend.records.secrets import Cost

LINE = timedelta(seconds=10)  # from one typed line to the next
_TYPED = re.compile(r"([A-Z]\d+)> (.*)")


def secret_of(person: str) -> str:
    """The secret of an invented person, told to everybody."""
    return f"{person} of the invented shop"


class Typed:
    """Lines typed one after another in one folder."""

    def __init__(self, folder: Path, cost: Cost, zone: str = "Europe/Lisbon") -> None:
        self.folder, self.cost, self.zone = folder, cost, ZoneInfo(zone)
        self.at = datetime(2026, 1, 1, tzinfo=self.zone)
        self.told: dict[str, str] = {}
        self.said = ""
        self.code = 0
        self.line = ""
        self.count = 0

    def run(self, text: str) -> None:
        """Type every line; a refusal that no line expects stops it. Raises AssertionError."""
        self.code = 0
        for line in text.splitlines():
            kind, rest = line[:2], line[2:].strip()
            if kind == "= ":
                at = datetime.fromisoformat(rest).replace(tzinfo=self.zone)
                assert at > self.at, f"{line}: the clock stands at {self.at}"
                self.at = at
            elif kind == "! ":
                assert self.code == 3, f"{self.line}\n{line}\n{self.said}"
                assert rest in self.said, f"{self.line}\n{line}\n{self.said}"
                self.code = 0
            elif kind == "~ ":
                assert rest in self.said, f"{self.line}\n{line}\n{self.said}"
            elif match := _TYPED.fullmatch(line):
                assert self.code == 0, f"{self.line}\n{self.said}"
                self.type(match[1], match[2])
        assert self.code == 0, f"{self.line}\n{self.said}"

    def type(self, person: str, words: str) -> None:
        """One line of one person."""
        self.at += LINE
        self.line, self.count = f"{self.at:%Y-%m-%d %H:%M} {person}> {words}", self.count + 1
        typed = [self._filled(x) for x in shlex.split(words)]
        secret = self.folder / "secret"
        secret.write_text(secret_of(person) + "\n", "utf8")
        whole = ["records", "--in", str(self.folder / "shop.sqlite"), "--secret-file", str(secret), *typed]
        with pytest.MonkeyPatch.context() as patch:
            for name in ("open", "begin"):
                made: Callable[..., Any] = getattr(room.Book, name)
                patch.setattr(room.Book, name, partial(made, cost=self.cost, now=lambda: self.at))
            patch.chdir(self.folder)
            done = CliRunner().invoke(main, [*whole, *(("--by", person) if _asks_who(typed) else ())])
        secret.unlink()
        self.said, self.code = done.output, done.exit_code
        for name, found in (("code", r"days: (\S+)"), ("head", r"Head: (\S+)"), ("digest", r", plan (\w+):")):
            if match := re.search(found, done.output):
                self.told[name] = match[1]
        if typed[:2] == ["job", "begin"] and not self.code:
            shown = CliRunner().invoke(main, [*whole[:5], "job", "show", typed_job(done.output)])
            self.told["digest"] = re.search(r", plan (\w+):", shown.output)[1]  # type: ignore[index]

    def _filled(self, word: str) -> str:
        return re.sub(r"\{(\w+)\}", lambda m: self.told[m[1]], word)


def typed_job(said: str) -> str:
    """The number of the job that was begun."""
    match = re.search(r"Job (\S+) is begun", said)
    assert match is not None, said
    return match[1]


def _asks_who(typed: list[str]) -> bool:
    """Whether a verb asks who acts."""
    verb: click.Command = records
    for word in typed:
        if not isinstance(verb, click.Group):
            break
        verb = verb.commands[word]
    return any(p.name == "by" for p in verb.params)
