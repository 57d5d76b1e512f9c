"""Leave out optional lines of the examples, one at a time and pairs at random, and see what comes of each.

    .venv/bin/python scripts/left_out.py [--example NAME] [--pairs N] [--seed S] [--study SHARE]
                                         [--pack SHARE] [--seconds T] [--kept FILE] [--sample SHARE]
                                         [--mixed]

Each document that comes out is planned, and a seeded share of them studied for strength and packed, in this
one process; or it is refused in the reader's words. Anything else is an inner message: printed, and the exit
code is 1. What was tried is kept in FILE and not tried again, so that a long run may be done in pieces.
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
from collections.abc import Iterator
from pathlib import Path

import tree_sitter_toml
from tree_sitter import Language, Node, Parser

from panelmend.document import parse
from panelmend.errors import PanelmendError
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.plan.strength_study import study_strength
from panelmend.predict.kept_predictions import heat_path, read_predictions

EXAMPLES = Path(__file__).parents[1] / "examples"
# What a message of the house's own parts looks like; none of it is a reader's word.
INNER = re.compile(
    r"already has a value|no figure is called|not in this ledger|Traceback|'\w+' object|\bNone\b|\w+Error\b"
    r"|not a number anyone can use|\bnan\b|\binf\b|tuple|float\(|list index"
)
Cut = tuple[int, int]
SEED = 4711  # of the pairs, here and in left_silent.py


def cuts(text: str) -> list[tuple[str, Cut]]:
    """Every field of a document, on a line of its own or inside a line, and every table of a list: its name
    and the bytes that go when it is left out."""
    data = text.encode("utf8")
    root = Parser(Language(tree_sitter_toml.language())).parse(data).root_node
    found: list[tuple[str, Cut]] = []

    def name(node: Node) -> str:
        return (node.children[0].text or b"").decode("utf8")

    def walk(node: Node, above: str) -> None:
        for child in node.children:
            here = above
            if child.type in ("table", "table_array_element"):
                here = (child.children[1].text or b"").decode("utf8")
                if child.type == "table_array_element":
                    whole = child.start_byte, child.end_byte
                    found.append((f"{here} (line {child.start_point[0] + 1})", whole))
            elif child.type == "pair":
                here = f"{above}.{name(child)}"
                found.append((f"{here} (line {child.start_point[0] + 1})", _with_comma(data, child)))
            walk(child, here)

    walk(root, "")
    return found


def _with_comma(data: bytes, node: Node) -> Cut:
    start, end = node.start_byte, node.end_byte
    if node.parent is not None and node.parent.type == "inline_table":
        after = re.match(rb"\s*,", data[end:])
        if after:
            return start, end + after.end()
        before = re.search(rb",\s*$", data[:start])
        return (before.start() if before else start), end
    return start, end


def without(text: str, *gone: Cut) -> str:
    """The text without some of its bytes; cuts that lie inside each other count once."""
    data = text.encode("utf8")
    for start, end in sorted(gone, reverse=True):
        data = data[:start] + data[end:]
    return data.decode("utf8", errors="replace")


def tried(text: str, folder: Path, *, studied: bool, packed: bool) -> tuple[str, str]:
    """What comes of a document: planned, refused, or inner, and the words."""
    done = "planned"
    try:
        case = case_of(parse(text.encode("utf8"), "repair.toml"))
        plan = make_plan(case, {}, lambda _: None, predictions(folder))
        words = " ".join(f"{f.place} {f.words}" for f in plan.findings)
        done = f"planned {plan.standing.value}"
        if studied and plan.work is not None:
            study_strength(plan)
            done = "studied"
        if packed:
            from panelmend.render.files import pack_files

            pack_files(plan, text)
            done = "packed"
    except PanelmendError as error:
        done, words = "refused", str(error)
    except Exception as error:  # whatever it is: that is what is looked for
        return "inner", f"{type(error).__name__}: {error}"
    said = INNER.search(words)
    return ("inner", f"{said[0]!r} in {words[:300]}") if said else (done, words[:200])


def predictions(folder: Path) -> dict[str, object]:
    """What is kept of the heat beside an example."""
    if folder not in _KEPT:
        _KEPT[folder] = read_predictions(heat_path(folder / "repair.toml"))
    return _KEPT[folder]  # type: ignore[return-value]


_KEPT: dict[Path, object] = {}


def jobs(examples: list[str], pairs: int, seed: int) -> Iterator[tuple[str, str, tuple[Cut, ...]]]:
    """Example, what is left out, and the cuts. The pairs of an example hang on the seed and on it alone, so
    that every script that calls this, for one example or all, tries the same ones."""
    for example in examples:
        dice = random.Random(f"{seed} {example}")
        text = (EXAMPLES / example / "repair.toml").read_text("utf8")
        every = cuts(text)
        for name, cut in every:
            yield example, name, (cut,)
        for _ in range(pairs):
            (a, x), (b, y) = dice.sample(every, 2)
            if x[1] <= y[0] or y[1] <= x[0]:
                yield example, f"{a} and {b}", (x, y)


def main() -> int:
    """Run what is asked; 1 where an inner message was met."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    names = sorted(p.parent.name for p in EXAMPLES.glob("*/repair.toml"))
    ask.add_argument("--example", choices=names)
    ask.add_argument("--pairs", type=int, default=100, help="random pairs for each example")
    ask.add_argument("--seed", type=int, default=SEED)
    ask.add_argument("--study", type=float, default=0.05, help="share that is studied for strength")
    ask.add_argument("--pack", type=float, default=0.01, help="share that is packed")
    ask.add_argument("--seconds", type=float, default=300.0, help="processor time after which to stop")
    ask.add_argument("--mixed", action="store_true", help="in an order drawn by the seed, not by example")
    ask.add_argument("--kept", type=Path, default=Path("left-out.jsonl"))
    ask.add_argument(
        "--sample", type=float, default=1.0, help="share of all that is tried, drawn by the seed"
    )
    given = ask.parse_args()
    known: dict[str, list[str]] = {}
    if given.kept.exists():
        known = dict(json.loads(line) for line in given.kept.read_text("utf8").splitlines())
    begun = time.process_time()
    whole = True
    with given.kept.open("a", encoding="utf8") as kept:
        examples = [given.example] if given.example else names
        every = list(jobs(examples, given.pairs, given.seed))
        if given.mixed:
            random.Random(given.seed).shuffle(every)
        for example, name, gone in every:
            key = f"{example}: {name}"
            if key in known or random.Random(f"sample {given.seed} {key}").random() >= given.sample:
                continue
            if time.process_time() - begun > given.seconds:
                whole = False
                break
            lot = random.Random(f"{given.seed} {key}").random()
            text = without((EXAMPLES / example / "repair.toml").read_text("utf8"), *gone)
            try:
                tomllib.loads(text)
            except tomllib.TOMLDecodeError as error:
                known[key] = ["no TOML", str(error)]
            else:
                known[key] = list(
                    tried(text, EXAMPLES / example, studied=lot < given.study, packed=lot < given.pack)
                )
            kept.write(json.dumps([key, known[key]], ensure_ascii=False) + "\n")
            kept.flush()
    counts = collections.Counter(v[0] for v in known.values())
    print(
        "  ".join(f"{k} {n}" for k, n in sorted(counts.items())),
        "" if whole else "(more to do: run it again)",
    )
    inner = {k: v[1] for k, v in known.items() if v[0] == "inner"}
    for key, words in inner.items():
        print(f"inner message: {key} left out: {words}")
    return 1 if inner else 0


if __name__ == "__main__":
    sys.exit(main())
