"""Leave out optional lines of the examples and see whether what changes in the plan is told.

    .venv/bin/python scripts/left_silent.py [--example NAME] [--pairs N] [--seed S] [--sample SHARE]
                                            [--seconds T] [--kept FILE]

Each document that comes out is planned and held against the plan of the whole example: every figure that
changed, came or went, and every line of the card. It is told where the plan has a finding that the whole one
has not (a default to be confirmed, a check that is NOT CHECKED, an order that was not typed). That figures
were compared by nobody (J350) is no telling, nor is anything that the whole example says too once its kept
heat is taken away (that a cure is not predicted, H602, or of another set-up, H021): any change brings that,
so it says nothing of the line left out. What is silent is printed, and the exit code is 1. What was tried is
kept in FILE and not tried again.
"""

from __future__ import annotations

import argparse
import collections
import json
import random
import re
import sys
import time
import tomllib
from functools import cache
from pathlib import Path

from left_out import EXAMPLES, INNER, SEED, jobs, predictions, without

from panelmend.document import parse
from panelmend.errors import PanelmendError
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan, plain_value

NO_TELLING = ("J350", "H021", "H140")
Said = set[tuple[str, str, str]]


def planned(text: str, folder: Path) -> Plan:
    """The plan of a document with the heat that is kept beside its example."""
    case = case_of(parse(text.encode("utf8"), "repair.toml"))
    return make_plan(case, {}, lambda _: None, predictions(folder))


def changed(whole: Plan, less: Plan) -> list[str]:
    """Keys of the figures that are not the same, and "card" where a line of the card is not."""
    rows = [{f.key: json.dumps(plain_value(f), sort_keys=True) for f in p.ledger} for p in (whole, less)]
    keys = sorted(k for k in rows[0].keys() | rows[1].keys() if rows[0].get(k) != rows[1].get(k))
    cards = [re.sub(r"line \d+", "line", repr(p.card.steps)) for p in (whole, less)]
    return keys + (["card"] if cards[0] != cards[1] else [])


def said(plan: Plan) -> Said:
    """What a plan finds: code, place and words without the numbers of lines."""
    return {
        (f.code, f.place, re.sub(r"line \d+", "line", f.words))
        for f in plan.findings
        if f.code not in NO_TELLING
    }


@cache
def unheated(text: str, folder: Path) -> frozenset[tuple[str, str, str]]:
    """What the plan of a whole example finds when none of its heat is kept."""
    case = case_of(parse(text.encode("utf8"), "repair.toml"))
    return frozenset(said(make_plan(case, {}, lambda _: None, {})))


def told(whole: Plan, less: Plan, folder: Path) -> list[str]:
    """What the plan finds of a document with less that it does not find of the whole one, with its kept heat
    or without."""
    anyway = said(whole) | unheated((folder / "repair.toml").read_text("utf8"), folder)
    return [" ".join(r) for r in sorted(said(less) - anyway)]


def held(whole: Plan, text: str, folder: Path) -> tuple[str, str]:
    """What comes of a document: refused, same, told, silent or inner, and the words."""
    try:
        less = planned(text, folder)
    except PanelmendError as error:
        return ("inner" if INNER.search(str(error)) else "refused"), str(error)[:200]
    except Exception as error:  # whatever it is: that is what is looked for
        return "inner", f"{type(error).__name__}: {error}"
    keys, new = changed(whole, less), told(whole, less, folder)
    words = "; ".join(new)
    if INNER.search(words):
        return "inner", words[:300]
    if not keys:
        return "same", words[:200]
    return ("told", words[:2000]) if new else ("silent", f"{len(keys)}: {', '.join(keys[:6])}")


def main() -> int:
    """Run what is asked; 1 where a change was silent or a message an inner one."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    names = sorted(p.parent.name for p in EXAMPLES.glob("*/repair.toml"))
    ask.add_argument("--example", choices=names)
    ask.add_argument("--pairs", type=int, default=100, help="random pairs for each example")
    ask.add_argument("--seed", type=int, default=SEED)
    ask.add_argument("--sample", type=float, default=1.0, help="share that is tried, drawn by the seed")
    ask.add_argument("--seconds", type=float, default=300.0, help="processor time after which to stop")
    ask.add_argument("--kept", type=Path, default=Path("left-silent.jsonl"))
    given = ask.parse_args()
    known: dict[str, list[str]] = {}
    if given.kept.exists():
        known = dict(json.loads(line) for line in given.kept.read_text("utf8").splitlines())
    begun, whole = time.process_time(), True
    with given.kept.open("a", encoding="utf8") as kept:
        for example in [given.example] if given.example else names:
            folder = EXAMPLES / example
            text = (folder / "repair.toml").read_text("utf8")
            plan: Plan | None = None
            for _, name, gone in jobs([example], given.pairs, given.seed):
                key = f"{example}: {name}"
                if key in known or random.Random(f"{given.seed} {key}").random() >= given.sample:
                    continue
                if time.process_time() - begun > given.seconds:
                    whole = False
                    break
                less = without(text, *gone)
                try:
                    tomllib.loads(less)
                except tomllib.TOMLDecodeError as error:
                    known[key] = ["no TOML", str(error)]
                else:
                    plan = plan or planned(text, folder)
                    known[key] = list(held(plan, less, folder))
                kept.write(json.dumps([key, known[key]], ensure_ascii=False) + "\n")
                kept.flush()
    counts = collections.Counter(v[0] for v in known.values())
    print(
        "  ".join(f"{k} {n}" for k, n in sorted(counts.items())),
        "" if whole else "(more to do: run it again)",
    )
    wrong = {k: v for k, v in known.items() if v[0] in ("inner", "silent")}
    for key, (what, words) in wrong.items():
        print(f"{what}: {key} left out: {words}")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
