"""Slip at every typed quantity of the examples, one at a time, and see what comes of each.

    .venv/bin/python scripts/slips.py [--example NAME] [--family NAME] [--share S] [--seed S] [--plan]
                                      [--kept FILE] [--list] [--doubted]

Families: another unit of the same kind, a decimal point moved, two digits changed about, a digit lost or
doubled, two fields of a table that are of one kind swapped, the value of the line above or below typed
in its place. What comes of a slip: refused, asked (J150 and what else waits for somebody), found by the
limits, or, with --plan, found by the whole plan. What no check finds is shown to a second person, to be
compared with the paper; what is not even shown is silent. --doubted prints the module that names the
fields in which every slip tried was found (panelmend.document.doubted): the others are compared first.
Processor time: 20 ms a slip (300 ms where the panel is curved), and about 1 s more for each planned.
"""

from __future__ import annotations

import argparse
import collections
import json
import random
import re
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from panelmend.derive import Ledger
from panelmend.document import parse
from panelmend.document.typed_out import typed_out
from panelmend.errors import PanelmendError, Severity
from panelmend.job import limits
from panelmend.job.case import Case, case_of
from panelmend.plan.asked import check_asked
from panelmend.plan.make import make_plan

EXAMPLES = Path(__file__).parents[1] / "examples"
FAMILIES = ("unit", "decimal", "digits", "swapped", "line above", "line below", "lost digit", "doubled digit")
# Units that are taken for each other: what people read off another column, scale or sheet.
TAKEN = (
    ("mm", "in", "cm", "m"),
    ("mm2", "in2", "cm2", "m2", "ft2"),
    ("C", "F"),
    ("C/min", "F/min"),
    ("g", "oz", "kg", "lb"),
    ("g/m2", "oz/yd2", "kg/m2"),
    ("kg/m3", "lb/ft3"),
    ("s", "min", "h", "days"),
    ("inHg", "psi", "kPa", "mbar"),
    ("hPa", "kPa", "inHg", "psi"),
    ("MPa", "psi", "ksi", "GPa", "kPa"),
    ("W/m2", "W/in2"),
    ("W/mK", "W/m2K"),
    ("J/kgK", "kJ/kgK"),
    ("kJ/mol", "J/mol", "kcal/mol"),
    ("kJ/kg", "J/kg"),
    ("N/mm", "lb/in"),
    ("deg", "rad"),
    ("mm2/s", "m2/s"),
    ("1/K", "1/F"),
)
TYPED = re.compile(
    r'(?P<key>\w+) = (?P<lead>\{ (?:value|place = "[^"]*", value) = )?'
    r'(?:"(?P<number>[-+]?\d[\d./ ]*?)(?: (?P<unit>[A-Za-z%][\w/%]*))?"'
    r"|(?P<bare>-?\d+(?:\.\d+)?)(?=[\s,}\]]|$))"
)
LEAST = 8  # slips in a field before it counts as doubted
NO_SLIP = {"panelmend", "number", "serial", "revision", "part_number", "dated", "date", "lot", "id"}


@dataclass(frozen=True)
class Spot:
    """A typed quantity of a document: where its number and unit stand, and in which table."""

    table: str
    key: str
    start: int
    end: int
    number: str
    unit: str
    quoted: bool

    def typed(self, number: str, unit: str) -> str:
        """The text in its place."""
        return f'"{number} {unit}"' if self.quoted and unit else f'"{number}"' if self.quoted else number


@dataclass(frozen=True)
class Slip:
    """One slip: what it is, and the document with it."""

    family: str
    words: str
    text: str


def spots(text: str) -> list[Spot]:
    """Every quantity of a document; dates, numbers of documents and angles in lists are none."""
    found, table, at = [], "", 0
    for line in text.splitlines(keepends=True):
        head = re.match(r"\[+([\w.]+)\]+", line)
        table = head[1] if head else table
        if not line.lstrip().startswith("#"):
            for m in TYPED.finditer(line):
                quoted = m["number"] is not None
                if m["key"] in NO_SLIP or re.match(r"\d{4}-\d\d-\d\d", line[m.start("bare") :][:10]):
                    continue
                a, b = (m.start("number") - 1, 0) if quoted else m.span("bare")
                b = line.index('"', a + 1) + 1 if quoted else b
                inside = line[: m.start()].rstrip()
                inner = f"{table}{{" + (re.findall(r"(\w+) = \{(?=[^}]*$)", inside) or [""])[-1]
                found.append(
                    Spot(inner, m["key"], at + a, at + b, m["number"] or m["bare"], m["unit"] or "", quoted)
                )
        at += len(line)
    return found


def _value(number: str) -> float | None:
    parts = [n.split("/") for n in number.split()]
    try:
        return sum(float(p[0]) / (float(p[1]) if len(p) > 1 else 1.0) for p in parts)
    except (ValueError, ZeroDivisionError):
        return None


def slips(text: str) -> Iterator[Slip]:
    """Every slip of every family."""
    every = spots(text)
    for i, s in enumerate(every):
        line = text.count("\n", 0, s.start) + 1
        of = f"{s.table.rstrip('{')}.{s.key} (line {line}) {s.number} {s.unit}".rstrip()

        def put(family: str, number: str, unit: str, s: Spot = s, of: str = of) -> Slip:
            new = s.typed(number, unit)
            return Slip(family, f"{of} -> {new}", text[: s.start] + new + text[s.end :])

        for group in TAKEN:
            if s.unit in group and (_value(s.number) or s.unit in ("C", "F")):  # nothing is nothing in any
                yield from (put("unit", s.number, u) for u in group if u != s.unit)
        if s.unit == "%":
            yield put("unit", s.number, "")
        value = _value(s.number)
        if value:
            yield from (put("decimal", f"{value * f:.10g}", s.unit) for f in (10.0, 0.1))
        for a in range(len(s.number) - 1):
            if s.number[a : a + 2].isdigit() and s.number[a] != s.number[a + 1]:
                yield put("digits", s.number[:a] + s.number[a + 1] + s.number[a] + s.number[a + 2 :], s.unit)
                break
        near = next((o for o in every[i + 1 : i + 9] if o.table == s.table and _kin(o, s)), None)
        if near is not None and (near.number, near.unit) != (s.number, s.unit):
            new = text[: s.start] + near.typed(near.number, near.unit) + text[s.end : near.start]
            new += s.typed(s.number, s.unit) + text[near.end :]
            yield Slip("swapped", f"{of} <-> {near.key} {near.number} {near.unit}", new)
        above = next(
            (o for o in reversed(every[max(0, i - 4) : i]) if o.table == s.table and _kin(o, s)), None
        )
        if above is not None and (above.number, above.unit) != (s.number, s.unit):
            yield put("line above", above.number, above.unit)
        below = next((o for o in every[i + 1 : i + 5] if o.table == s.table and _kin(o, s)), None)
        if below is not None and (below.number, below.unit) != (s.number, s.unit):
            yield put("line below", below.number, below.unit)
        digits = [a for a, c in enumerate(s.number) if c.isdigit()]
        if len(digits) > 1:
            at = digits[random.Random(of).randrange(len(digits))]
            lost = s.number[:at] + s.number[at + 1 :]
            if _value(lost) not in (None, _value(s.number)) and lost.strip("0 ./-"):  # .95 is 0.95
                yield put("lost digit", lost, s.unit)
            doubled = s.number[:at] + s.number[at] + s.number[at:]
            if _value(doubled) != _value(s.number):
                yield put("doubled digit", doubled, s.unit)


def _kin(a: Spot, b: Spot) -> bool:
    if not a.unit and not b.unit:
        return a.quoted == b.quoted
    return any(a.unit in g and b.unit in g for g in TAKEN) or (a.unit == b.unit == "%")


def outcome(slip: str, sound: Case, *, whole: bool) -> tuple[str, str]:
    """Refused, asked, limits, plan, or silent; and the words."""
    try:
        case = case_of(parse(slip.encode("utf8"), "repair.toml"))
        asked = _new(check_asked(case, Ledger()), check_asked(sound, Ledger()))
        if asked:
            return "asked", asked
        before, after = Ledger(), Ledger()
        found = _new(
            limits.check(case, after, limits.make(case, after)),
            limits.check(sound, before, limits.make(sound, before)),
        )
        if found:
            return "limits", found
        if whole:
            found = _new(make_plan(case).findings, _PLANS.setdefault(id(sound), make_plan(sound)).findings)
            if found:
                return "plan", found
    except PanelmendError as error:
        return "refused", str(error)[:300]
    return ("shown" if touched(slip, sound.text) else "silent"), ""


def touched(slip: str, sound: str) -> set[str]:
    """The fields that a slip changed, as they are named where typed figures are shown."""
    try:
        before, after = (
            {(f.path, f.words): f.field for f in typed_out(tomllib.loads(t))} for t in (sound, slip)
        )
    except tomllib.TOMLDecodeError:
        return set()
    return {before.get(k) or after[k] for k in before.keys() ^ after.keys()}


_PLANS: dict[int, object] = {}


def _new(found: object, before: object) -> str:
    """What waits for somebody now and did not before, by code and place; notes and cautions are not read."""
    hard = (Severity.STOP, Severity.CONFIRM)
    was = {(f.code, f.place) for f in before if f.severity in hard}  # type: ignore[attr-defined]
    new = [f for f in found if f.severity in hard and (f.code, f.place) not in was]  # type: ignore[attr-defined]
    return "; ".join(f"{f.code} {f.place} {f.words}" for f in new)[:300]


def module_of(fields: set[str]) -> str:
    """The module that names the fields in which every slip was found."""
    rows = "\n".join(f'        "{f}",' for f in sorted(fields))
    return f'''"""Fields in which every slip that was tried in the examples was refused, asked about or found.

Made by scripts/slips.py --doubted. Compared with the paper, figures of other fields come first;
a digit read for another one is no slip that was tried, and passes here, too.
"""

DOUBTED = frozenset(
    {{
{rows}
    }}
)'''


def main() -> int:
    """Run what is asked."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    names = sorted(p.parent.name for p in EXAMPLES.glob("*/repair.toml"))
    ask.add_argument("--example", choices=names, action="append")
    ask.add_argument("--family", choices=FAMILIES, action="append")
    ask.add_argument("--share", type=float, default=1.0, help="of the slips, drawn by the seed")
    ask.add_argument("--seed", type=int, default=0)
    ask.add_argument("--plan", action="store_true", help="plan what is silent so far")
    ask.add_argument("--list", action="store_true", help="list what no check finds")
    ask.add_argument("--kept", type=Path, help="write every slip and what came of it")
    ask.add_argument("--doubted", action="store_true", help="print which fields are always doubted")
    given = ask.parse_args()
    tried: collections.Counter[str] = collections.Counter()
    passed: set[str] = set()
    counts: collections.Counter[tuple[str, str]] = collections.Counter()
    rows = []
    for example in given.example or names:
        text = (EXAMPLES / example / "repair.toml").read_text("utf8")
        sound = case_of(parse(text.encode("utf8"), "repair.toml"))
        for slip in slips(text):
            if given.family and slip.family not in given.family:
                continue
            if random.Random(f"{given.seed} {example} {slip.words}").random() >= given.share:
                continue
            came, words = outcome(slip.text, sound, whole=given.plan)
            counts[slip.family, came] += 1
            fields = touched(slip.text, text) if given.doubted or given.kept else set()
            rows.append([example, slip.family, slip.words, came, words, sorted(fields)])
            tried.update(fields)
            passed |= fields if came in ("silent", "shown") else set()
            if came in ("shown", "silent") and given.list:
                print(f"{example}: {came}: {slip.family}: {slip.words}")
    if given.kept:
        given.kept.write_text("".join(json.dumps(r, ensure_ascii=False) + "\n" for r in rows), "utf8")
    if given.doubted:
        print(module_of({f for f, n in tried.items() if n >= LEAST and f not in passed}))
        return 0
    for family in FAMILIES:
        row = {c: n for (f, c), n in sorted(counts.items()) if f == family}
        if row:
            print(f"{family}: {sum(row.values())} slips, " + ", ".join(f"{c} {n}" for c, n in row.items()))
    return 0


if __name__ == "__main__":
    sys.exit(main())
