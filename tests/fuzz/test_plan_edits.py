"""A process that stays up and plans one edit after another says of each what a process without a past says.

Every value of a document is changed once, lines are left out, and earlier states come back, in random order.
"""

from __future__ import annotations

import json
import os
import random
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from ends import LONG, at_most
from examples_here import FOLDER, names, text
from panelmend.app.service import document_schema
from plan_said import said

EDITS = 7  # of each example here, which have some 700 to 1,100; 240 were planned once by hand, all alike
VALUE = re.compile(
    r'"(?:[^"\\\n]|\\.)*"|\b\d{4}-\d\d-\d\d\b|(?<![\w."-])-?\d+(?:\.\d+)?(?![\w."-])|\b(?:true|false)\b'
)
BACK = 0.15  # of the edits: the document as it was comes back between

pytestmark = pytest.mark.skipif(os.name != "posix", reason="no copies of a process elsewhere")


def choices() -> dict[str, str]:
    """The next word after each word that is chosen from a few."""
    found: dict[str, str] = {}

    def look(part: object) -> None:
        if isinstance(part, dict):
            words = part.get("enum")
            if isinstance(words, list):
                found.update(zip(words, [*words[1:], words[0]], strict=True))
            for value in part.values():
                look(value)
        elif isinstance(part, list):
            for value in part:
                look(value)

    look(json.loads(document_schema()))
    return found


def another(value: str, words: dict[str, str], dice: random.Random) -> str:
    """A value beside one that stands in a document."""
    if value in ("true", "false"):
        return "false" if value == "true" else "true"
    if re.fullmatch(r"\d{4}-\d\d-\d\d", value):
        return f"{value[:-2]}{int(value[-2:]) % 28 + 1:02d}"
    if not value.startswith('"'):
        return str(int(value) + 1) if "." not in value and value.lstrip("-").isdigit() else f"{value}1"
    inner = value[1:-1]
    if inner in words:
        return f'"{words[inner]}"'
    numbers = list(re.finditer(r"(?<![\w.])\d+(?:\.\d+)?(?!\w)", inner))
    if numbers:
        at = dice.choice(numbers)
        more = float(at.group()) * dice.choice((0.5, 0.97, 1.001, 1.04, 1.5))
        return f'"{inner[: at.start()]}{more:.6g}{inner[at.end() :]}"'
    return f'"{inner}x"'


def edits(base: str, dice: random.Random) -> list[str]:
    """The document with each of its values changed, and with each line that holds one left out."""
    words, made = choices(), list[str]()
    starts = [m.start() for m in re.finditer(r"(?m)^", base)]
    for start in starts:
        end = base.find("\n", start) + 1 or len(base)
        line = base[start:end]
        head, equals, rest = line.partition("=")
        if line.startswith(("#", "[")) or not line.strip():
            continue
        offset = start + (len(head) + 1 if equals else 0)
        for found in VALUE.finditer(rest if equals else line):
            a, b = offset + found.start(), offset + found.end()
            made.append(base[:a] + another(found.group(), words, dice) + base[b:])
        made.append(base[:start] + base[end:])
    return made


@contextmanager
def first_plans() -> Iterator[subprocess.Popen[str]]:
    """A process that answers each document from a copy of itself that planned nothing."""
    env = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    program = [sys.executable, str(FOLDER.parent / "tests" / "plan_said.py")]
    asked = subprocess.Popen(program, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, env=env)
    try:
        yield asked
    finally:
        asked.communicate(timeout=LONG)


def differing(name: str, folder: Path, edited: list[str], dice: random.Random) -> tuple[list[str], set[str]]:
    """Which edits a process that stays up plans otherwise than a new one, and all that was said."""
    shutil.copytree(FOLDER / name, folder, dirs_exist_ok=True)
    path, base = folder / "repair.toml", text(name)
    wrong, every = list[str](), set[str]()
    with first_plans() as fresh:
        assert fresh.stdin is not None
        assert fresh.stdout is not None
        for made in edited:
            for now in (base, made) if dice.random() < BACK else (made,):
                path.write_text(now, "utf8")
                fresh.stdin.write(json.dumps(str(path)) + "\n")
                fresh.stdin.flush()
                stays = said(path)
                with at_most(fresh, "a first plan"):
                    first = json.loads(fresh.stdout.readline())
                every.add(first)
                if stays != first:
                    wrong.append(f"{changed_lines(base, now)}\n  stays up: {stays}\n  first: {first}")
    return wrong, every


def changed_lines(base: str, made: str) -> str:
    """The lines of an edit."""
    old, new = base.splitlines(), made.splitlines()
    return " | ".join([*(n for n in new if n not in old), *(f"(gone) {o}" for o in old if o not in new)])


@pytest.mark.parametrize("name", names())
def test_an_edit_is_planned_as_if_nothing_had_been_planned_before(name: str, tmp_path: Path) -> None:
    dice = random.Random(f"edits {name}")
    edited = edits(text(name), dice)
    assert len(edited) > 100
    wrong, every = differing(name, tmp_path / "job", dice.sample(edited, EDITS), dice)
    assert wrong == []
    assert not [s for s in every if s.startswith("broken")]
    assert len({s for s in every if not s.startswith("refused")}) >= EDITS // 3, "hardly any was planned"
