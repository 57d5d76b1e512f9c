"""What the screen shows, as text: pages and parts of pages without a browser, at one moment."""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, date, datetime, tzinfo
from functools import cache
from html.parser import HTMLParser
from importlib import import_module
from pathlib import Path
from types import ModuleType
from typing import Any
from unittest.mock import patch

import panelmend
from kept_packs import EXAMPLES, Lines
from kept_text import LINE, NUMBER, beside, lines_of, places
from panelmend.app import cure_watch, log_reading
from panelmend.app.cure_watch import CureWatch
from panelmend.screen import cure_seen
from panelmend.screen.words import for_scripts
from panelmend.screen.workshop import DEMO
from screen_made import REPAIR, Desk, desk, thinned
from screen_walk import STEPS, job, sign, typed_in, who

MOMENT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
NAMES = """
p div section article header footer main nav ul ol li table thead tbody tr form fieldset legend label button
details summary dl dt dd h1 h2 h3 h4 figure figcaption pre select option input textarea svg dialog
template aside output text;
path line circle rect ellipse polyline polygon use g;
d x y x1 y1 x2 y2 cx cy r rx ry width height points transform viewbox"""
BLOCKS, DRAWN, GEOMETRY = (frozenset(part.split()) for part in NAMES.split(";"))
SHORT = (  # what stands on every page again and again
    (f"class=figure data-why href=/repairs/{DEMO}/why?key=", "why="),
    ("<button class=button type=button", "<button"),
    ("<td class=n>", "|"),
    ("<td>", "|"),
    ("<th scope=row>", "|"),
    (" font-size=", " "),
    (" text-anchor=", " "),
    (" fill-rule=evenodd", ""),
)
MUCH = 300  # characters of an attribute up to which it is written out
FINE = re.compile(r"-?\d+\.\d{5,}")  # more digits than anybody sees
UNSEEN = frozenset(("data-words", "data-machine-time", "src"))  # words: kept by themselves


class _At(datetime):
    """The date and time of one moment."""

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> Any:
        return MOMENT.astimezone(tz or UTC)


class _On(date):
    @classmethod
    def today(cls) -> Any:
        return MOMENT.date()


SRC = Path(panelmend.__file__).parent
WITH_HEAD = ("/", "REPAIR")  # pages of which what stands on every page is kept too


@cache
def _clocks() -> tuple[tuple[ModuleType, str, type], ...]:
    """What of ours asks the time or the day, wherever that stands now, and what answers instead."""
    found = list[tuple[ModuleType, str, type]]()
    for file in sorted(p for part in ("app", "records", "screen") for p in (SRC / part).rglob("*.py")):
        source = file.read_text("utf8")
        name = ".".join(file.relative_to(SRC.parent).with_suffix("").parts).removesuffix(".__init__")
        asked = (("datetime", "datetime.now(", _At), ("date", "date.today(", _On))
        found += [(import_module(name), what, by) for what, words, by in asked if words in source]
    return tuple(row for row in found if hasattr(row[0], row[1]))  # else imported where it is asked


@contextmanager
def at_one_moment() -> Iterator[None]:
    """Every clock of ours that a page shows stands still."""
    with ExitStack() as held:
        for module, what, by in _clocks():
            held.enter_context(patch.object(module, what, by))
        yield


class _Page(HTMLParser):
    """A page as lines: words where they stand, what carries them, drawings as their words and places."""

    def __init__(self) -> None:
        super().__init__()
        self.lines: Lines = []
        self._now: list[str] = []
        self._drawn: dict[str, list[float]] = {}
        self._svg = self._silent = 0
        self._icon = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in ("script", "style"):
            self._silent += 1
        if tag in BLOCKS:
            self._end()
        if tag == "svg":
            self._svg += 1
            self._icon = dict(attrs).get("focusable") == "false"  # its words stand beside it
        if self._svg and self._icon:
            return
        if self._svg and tag in DRAWN:
            of = " ".join(f"{k}={v}" for k, v in attrs if k not in GEOMETRY)
            numbers = self._drawn.setdefault(f"{tag} {of}".strip(), [])
            numbers += [float(n) for k, v in attrs if k in GEOMETRY for n in NUMBER.findall(v or "")]
            return
        shown = [(k, v) for k, v in attrs if k not in UNSEEN and not (self._svg and k in GEOMETRY)]
        said = " ".join(k if v is None else f"{k}={_short(v)}" for k, v in shown)
        at = [float(n) for k, v in attrs if self._svg and k in GEOMETRY for n in NUMBER.findall(v or "")]
        self._now.append(f"<{tag} {said}".rstrip() + (f" at {places(at)}>" if at else ">"))
        if tag == "input":
            self._end()

    def handle_endtag(self, tag: str) -> None:
        if tag in ("script", "style"):
            self._silent -= 1
        if tag in BLOCKS:
            self._end()
        if tag == "svg":
            self._svg -= 1
            for of, numbers in sorted(self._drawn.items()):
                self.lines.append(f"{LINE}{of}: {places(numbers)}")
            self._drawn = {}

    def handle_data(self, data: str) -> None:
        if not self._silent and data.strip():
            self._now.append(" ".join(data.split()))

    def _end(self) -> None:
        line = " ".join(self._now)
        for long, short in SHORT:
            line = line.replace(long, short)
        if line:
            self.lines.append(f"{LINE if self._svg else ''}{line}")
        self._now = []


def _short(value: str) -> str:
    """An attribute; of a long one the words and what its numbers come to."""
    value = FINE.sub(lambda n: f"{float(n[0]):.3f}", value)
    if len(value) <= MUCH:
        return value
    words = " ".join(re.findall(r"[^\W\d_]{2,}", value))
    return f"{words[:MUCH]} {places([float(n) for n in NUMBER.findall(value)])}"


def html_lines(text: str) -> Lines:
    """The lines of a page, or of a part of one."""
    page = _Page()
    page.feed(re.sub(r"<!doctype[^>]*>", "", text))
    page.close()
    page._end()
    return page.lines


def got(at: Desk, path: str) -> Lines:
    """What an address answers: a page as text, an answer of the API line by line."""
    answer = at.get(path.replace("REPAIR", f"/repairs/{DEMO}"))
    head = [f"{path}: {answer.status}"]
    if not answer.body:
        return [*head, *(f"{k}: {v}" for k, v in sorted(answer.headers.items()) if k == "location")]
    if "json" in answer.headers.get("content-type", ""):
        return [*head, *told(answer.json)]
    lines = html_lines(answer.body.decode("utf8"))
    within = next((n for n, line in enumerate(lines) if line.startswith("<main")), 0)
    return [*head, *lines[0 if path in WITH_HEAD else within :]]


def told(value: Any, name: str = "") -> Lines:
    """An answer of the API; parts of pages in it as pages."""
    if isinstance(value, str) and value.lstrip().startswith("<"):
        return [
            f"{name}:",
            *(f"  {line}" if not line.startswith(LINE) else line for line in html_lines(value)),
        ]
    if isinstance(value, dict) and any(
        isinstance(v, str) and v.lstrip().startswith("<") for v in value.values()
    ):
        return [line for k, v in value.items() for line in told(v, k)]
    return lines_of(value, name)


SHOWN = {  # pages of the demonstration before anything is begun
    "shop": "/",
    "panel": "REPAIR",
    "card": "REPAIR/card",
    "compare": "REPAIR/compare",
    "history": "REPAIR/history",
    "cure": "REPAIR/cure/2",
    "heat": "REPAIR/heat",
    "inputs": "REPAIR/inputs",
    "kit": "REPAIR/kit",
    "logs": "REPAIR/logs",
    "nest": "REPAIR/nest",
    "pack": "REPAIR/pack",
    "stack": "REPAIR/stack",
    "strength": "REPAIR/strength",
    "why": "REPAIR/why?key=cure.1.coldest",
    "people": "/people",
    "stores": "/stores",
    "shelves": "/shelves",
    "shelf_entry": "/shelves/entry?shelf=materials&name=demo-glass-8h",
    "survey": "/apiREPAIR/survey?side=outside",
}


def before_the_job() -> dict[str, Lines]:
    """The pages of a desk with the demonstration, a survey and shelves."""
    with at_one_moment(), desk() as at:
        folder = at.workshop.repairs_folder
        shutil.copytree(EXAMPLES / "shelves", folder / "shelves")
        thinned(folder.parent)
        made = {page: got(at, path) for page, path in SHOWN.items()}
    made["survey"] = [line for line in made["survey"] if "seconds:" not in line]
    made["said_by_scripts"] = lines_of(dict(sorted(for_scripts().items())), "words")
    return made


def at_the_bench() -> dict[str, Lines]:
    """Steps of a job in work: one done, one in hand, one that waits, one of a cure, and who is here."""
    with at_one_moment(), desk() as at:
        begun = at.post(f"{REPAIR}/demonstration", {})
        assert begun.status == 200, begun.body
        at.post(f"{REPAIR}/job", who(at, "P1"))
        steps = job(at).opened.steps
        for step in steps[:2]:
            at.post("/api/hold", who(at, "T1"))
            for n, blank in enumerate(step.blanks, 1):
                at.post(f"{STEPS}/{step.number}/reading", {"blank": n, **typed_in(blank), "person": "T1"})
            for person, meaning in (("T1", "did"), ("P1", "accepted"), ("I1", "accepted")):
                sign(at, step.number, person, meaning)
        cure = next(s.number for s in steps if s.cure)
        wanted = {"done": 1, "in_hand": 2, "next": 3, "waits": 12, "cure": cure, "last": steps[-1].number}
        made = {f"step_{name}": got(at, f"REPAIR/card/{n}") for name, n in wanted.items()}
        done = made["step_done"]
        for page in ("in_hand", "next", "waits", "cure", "last"):
            made[f"step_{page}"] = beside(made[f"step_{page}"], done, "step done")
        made["card_in_work"] = got(at, "REPAIR/card")
        made["shop_in_work"] = got(at, "/")
        made["people_here"] = got(at, "/people")
        made["stores_here"] = got(at, "/stores")
    return made


def watched(folder: Path) -> dict[str, Lines]:
    """The cure watch while a log grows: heating, in the dwell, too hot with a wire lost, at the end."""
    whole = (EXAMPLES / "gear_door" / "cure-repair-plies.csv").read_text("utf8").splitlines(True)
    head, rows = whole[:2], whole[2:]
    hot = [",".join([r.split(",")[0], "97.4", "OL", *r.split(",")[3:]]) for r in rows[140:160]]
    grown = {"heating": rows[:70], "dwell": rows[:140], "too_hot": [*rows[:140], *hot], "end": rows}
    document = folder / "repair.toml"
    shutil.copy(EXAMPLES / "gear_door" / "repair.toml", document)
    made = {}
    for name, seen in grown.items():
        log = folder / f"{name}.csv"
        log.write_text("".join([*head, *seen]), "utf8")
        log_reading.confirm(log, {}, take_suggested=True, by="R. Osk")
        watch = CureWatch(document, "Repair plies", log, folder / "kept.csv", clock=lambda: 1000.0)
        with patch.object(cure_watch.time, "time", lambda: 0.0):  # the file has just been written
            watch.once()
            answer, charts = cure_seen.cure_answer(watch)
        made[f"watch_{name}"] = [*lines_of(answer.model_dump(mode="json"), "seen"), *told(charts)]
    return made
