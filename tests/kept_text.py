"""What a reader gets, as plain text beside the tests, kept and compared whole: a net under the tests by hand.

It notices every change of what is printed, handed on or shown, and says nothing about who is right. A change
that was meant is accepted with ``NEW_DIGITS=1`` before the test: the text is written again, and ``git diff``
shows it to the author.
"""

from __future__ import annotations

import math
import os
import re
from collections.abc import Iterable, Mapping
from difflib import SequenceMatcher
from itertools import groupby, zip_longest
from pathlib import Path
from typing import Any

from panelmend import __version__

HOME = Path(__file__).parent / "unchanged" / "kept"
MOST = 8  # differing lines that a failure shows of a file
WIDE = 400  # characters of each
LONG = 150  # characters up to which a row stands in one line
MANY = 30  # runs of strokes up to which a drawing is written run by run
FEW = 12  # numbers of a path that are written out
LINE = "~ "  # begins a line of places on paper: its last digit may differ by one
CLOSE = 1.5  # of that last digit
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
OF_THE_RUN = (  # the one place for what differs from run to run, or with every change of whatever else
    (
        re.compile(r"(?<![0-9A-Za-z])(?:[0-9a-f]{64}|[0-9a-f]{32}|[0-9a-f]{16}|[0-9a-f]{12})(?![0-9A-Za-z])"),
        "(digest)",
    ),
    (re.compile(r"/[^\s;:<>|]*/records[^\s/]+/tmp[^\s/;:<>|]+"), "(folder)"),  # of a desk
    (re.compile(r"(?:[0-9a-f]{4}-){3}[0-9a-f]{4}"), "(secret)"),  # of an invented person
    (re.compile(r"planned in \d+\.\d+ s"), "planned in (seconds)"),
    (re.compile(rf"panelmend {re.escape(__version__)}"), "panelmend (version)"),
)


def steady(text: str) -> str:
    """The text without what differs from run to run."""
    for pattern, instead in OF_THE_RUN:
        text = pattern.sub(instead, text)
    return text


def lines_of(value: Any, name: str = "", depth: int = 0) -> list[str]:
    """Nested data of a page as lines; what is empty is left out, drawings are words and places.

    Args:
        value: dicts, lists, texts, numbers [any unit], figures as ``{text, n, mark}``.
        name: what it is called in what holds it.
        depth: steps of indent.
    """
    ahead = " " * depth
    head = f"{ahead}{name}: " if name else f"{ahead}- "
    if _empty(value):
        return []
    said = _inline(value)
    if said is not None and (len(said) <= LONG or _is_words(value) or not isinstance(value, dict | list)):
        return [head + said.replace("\n", " / ")]
    if isinstance(value, Mapping):
        inner = drawing_lines(value, depth + 1) if _is_drawing(value) else []
        for key, part in value.items():
            if not (_is_drawing(value) and key == "items"):
                inner += lines_of(part, key, depth + 1)
        if name or not inner or inner[0].startswith(LINE):
            return [head.rstrip(), *inner]
        return [f"{head}{inner[0].lstrip()}", *inner[1:]]
    return [head.rstrip(), *(line for part in value for line in lines_of(part, "", depth + 1))]


def _empty(value: Any) -> bool:
    if isinstance(value, str | list | tuple | dict) or value is None:
        return not value
    return False


def _is_figure(value: Any) -> bool:
    return isinstance(value, Mapping) and set(value) == {"text", "n", "mark"}


def _is_words(value: Any) -> bool:
    """Whether a list is a sentence: texts and figures one after the other."""
    return isinstance(value, list) and any(map(_is_figure, value)) and all(
        isinstance(v, str) or _is_figure(v) for v in value
    )  # fmt: skip


def _is_drawing(value: Mapping[str, Any]) -> bool:
    return {"items", "width", "height"} <= set(value)


def _inline(value: Any) -> str | None:
    """What fits one line, or None."""
    if _is_figure(value):
        return str(value["text"]) + str(value["mark"])
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.6g}"
    if isinstance(value, str | int) or value is None:
        return "" if value is None else str(value)
    if _is_words(value):
        return "".join(v if isinstance(v, str) else str(_inline(v)) for v in value)
    if isinstance(value, Mapping):
        if _is_drawing(value):
            return None
        parts = [(k, _inline(v)) for k, v in value.items() if not _empty(v)]
        if any(said is None for _, said in parts):
            return None
        return "; ".join(f"{k} {said}" for k, said in parts)
    cells = [_inline(v) for v in value]
    return None if any(c is None for c in cells) else " | ".join(map(str, cells))


def drawing_lines(drawing: Mapping[str, Any], depth: int = 0) -> list[str]:
    """Words and strokes of a drawing [mm on paper]; strokes of one pen in a row are one line, in a drawing
    of very many (a map) all of one pen.
    """
    ahead, made = " " * depth, list[str]()
    runs = [(pen, list(run)) for pen, run in groupby(drawing["items"], _pen)]
    if len(runs) > MANY:
        pens = dict.fromkeys(pen for pen, _ in runs)
        runs = [(pen, [i for other, items in runs if other == pen for i in items]) for pen in pens]
    for pen, items in runs:
        if pen is None:
            made += [f"{LINE}{ahead}{_label(item)}" for item in items]
        else:
            count = f"{len(items)} of " if len(items) > 1 else ""
            made.append(f"{LINE}{ahead}{count}{pen}: {places([i['path'] for i in items])}")
    return made


def _label(item: Mapping[str, Any]) -> str:
    more = [_inline(v) for k, v in item.items() if k not in ("words", "at", "turn", "bold")]
    turned = f" turned {item['turn']:.6g}" if item["turn"] else ""
    bold = " bold" if item["bold"] else ""
    return f"{item['words']!r} at {places(item['at'])} {' '.join(map(str, more))}{turned}{bold}"


def _pen(item: Mapping[str, Any]) -> str | None:
    if "path" not in item:
        return None
    pen = " ".join(str(_inline(v)) for v in item["pen"] if not _empty(v))
    return f"pen {pen} {item['fill'] and 'fill ' + item['fill']}".replace("pen  ", "").strip()


def _flat(value: Any) -> Iterable[Any]:
    for part in value if isinstance(value, list | tuple) else (value,):
        if isinstance(part, list | tuple):
            yield from _flat(part)
        else:
            yield part


def places(value: Any) -> str:
    """Numbers [mm]: a few as they are, of many their count, ends, and sums that every one of them moves."""
    every = [float(v) for v in _flat(value) if isinstance(v, int | float)]
    if len(every) <= FEW:
        return " ".join(f"{v:.2f}" for v in every)
    sums = [math.fsum(v * math.cos(1.7 * n + k) for n, v in enumerate(every)) for k in range(2)]
    said = [min(every[::2]), max(every[::2]), min(every[1::2]), max(every[1::2]), *sums]
    return f"{len(every)} numbers " + " ".join(f"{v:.2f}" for v in said)


def differing(now: list[str], kept: list[str]) -> list[int]:
    """Which lines differ, counted from one; places on paper may by one of their last digit."""
    pairs = enumerate(zip_longest(now, kept), 1)
    return [n for n, (a, b) in pairs if a != b and not (a and b and _close(a, b))]


def _close(one: str, two: str) -> bool:
    if not (one.startswith(LINE) and two.startswith(LINE)) or NUMBER.sub("#", one) != NUMBER.sub("#", two):
        return False
    for a, b in zip(NUMBER.findall(one), NUMBER.findall(two), strict=True):
        last = 10.0 ** -len(a.partition(".")[2])
        if a != b and ("." not in a or abs(float(a) - float(b)) > CLOSE * last):
            return False
    return True


def beside(lines: list[str], like: list[str], name: str) -> list[str]:
    """Only what differs from another document's page, which is kept whole: the rest stands there."""
    made = list[str]()
    for what, a, b, c, d in SequenceMatcher(None, like, lines, autojunk=False).get_opcodes():
        if what == "equal":
            made.append(f"= {name}")
        else:
            made += [*lines[c:d], *([f"= without {b - a} lines there"] if b > a else [])]
    return made


def hold(place: str, pages: Mapping[str, Iterable[str]]) -> None:
    """Hold pages against what is kept of them; with ``NEW_DIGITS=1`` write them again.

    Args:
        place: the folder below ``unchanged/kept`` that holds these pages and nothing else.
        pages: the lines of each by its name.
    """
    folder = HOME / place
    now = {f"{name}.txt": steady("\n".join(lines)).split("\n") for name, lines in pages.items()}
    kept = {p.name: p.read_text("utf8").removesuffix("\n").split("\n") for p in sorted(folder.glob("*.txt"))}
    wrong = [name for name in sorted({*now, *kept}) if differing(now.get(name, []), kept.get(name, []))]
    if os.environ.get("NEW_DIGITS") == "1":
        folder.mkdir(parents=True, exist_ok=True)
        for name in wrong:
            if name in now:
                (folder / name).write_text("\n".join(now[name]) + "\n", "utf8")
            else:
                (folder / name).unlink()
        return
    said = [line for name in wrong for line in _told(name, now.get(name, []), kept.get(name, []))]
    assert not wrong, "\n".join(
        [
            f"tests/unchanged/kept/{place}:",
            *said,
            "A change, not who is right: read it, then accept with NEW_DIGITS=1",
        ]
    )


def _told(name: str, now: list[str], kept: list[str]) -> list[str]:
    if not now or not kept:
        return [f"{name}: {'was not kept before' if now else 'is no longer made'}"]
    said = list[str]()
    for what, a, b, c, d in SequenceMatcher(None, kept, now, autojunk=False).get_opcodes():
        if what == "equal" or not differing(now[c:d], kept[a:b]):
            continue
        said += [f"  {n} was: {kept[n - 1][:WIDE]}" for n in range(a + 1, b + 1)]
        said += [f"  {n} now: {now[n - 1][:WIDE]}" for n in range(c + 1, d + 1)]
    return [f"{name}: {len(said)} lines", *said[: 2 * MOST]]
