"""Leave out lines of the short jobs and of the shelf entries they use, and see what comes of each.

    .venv/bin/python scripts/left_out_shelves.py [--pairs N] [--seed S] [--pack SHARE]
                                                 [--seconds T] [--kept FILE]

As ``left_out.py`` does for documents in one file: every field of each short job of the examples and of the
entries it uses (panel, data, bay, stores, practice, materials), one at a time and pairs at random within a
job, in an order drawn by the seed. What is planned is studied for strength, a seeded share is packed. Entries
are checked by nobody after that. Inner messages are printed; then it ends with 1.
"""

from __future__ import annotations

import argparse
import collections
import json
import random
import shutil
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from left_out import EXAMPLES, INNER, Cut, cuts, predictions, without

from panelmend.app.loading import load_all
from panelmend.errors import PanelmendError
from panelmend.job.case import case_of
from panelmend.plan.make import make_plan
from panelmend.plan.strength_study import study_strength

Place = tuple[str, Cut]  # file below the example or the shelves, and what goes


def shelves_of(example: str) -> Path:
    """The shelves an example uses: its own, or those of the demonstration."""
    own = EXAMPLES / example / "shelves"
    return own if own.is_dir() else EXAMPLES / "shelves"


def files_of(example: str) -> dict[str, str]:
    """The short job of an example, and each entry it uses, as text; "" is the job."""
    job = EXAMPLES / example / "short.toml"
    read = load_all(job)[0]
    found = {"": job.read_text("utf8")}
    for entry in read.shelved.entries if read.shelved is not None else ():
        if entry.taken:
            found[entry.file] = entry.data.decode("utf8")
    return found


def jobs(example: str, pairs: int, seed: int) -> Iterator[tuple[str, tuple[Place, ...]]]:
    """What is left out of a job and its entries: each field, then pairs of them."""
    every = [
        (f"{file or 'job'}: {name}", (file, cut))
        for file, text in files_of(example).items()
        for name, cut in cuts(text)
    ]
    for name, place in every:
        yield f"{example}: {name}", (place,)
    dice = random.Random(f"{seed} {example} shelves")
    for _ in range(pairs):
        (a, x), (b, y) = dice.sample(every, 2)
        if x[0] != y[0] or x[1][1] <= y[1][0] or y[1][1] <= x[1][0]:
            yield f"{example}: {a} and {b}", (x, y)


def tried(example: str, places: tuple[Place, ...], folder: Path, *, packed: bool) -> tuple[str, str]:
    """What comes of a job with these left out: planned, refused, or inner, and the words."""
    root = folder / "shelves"
    job = folder / "short.toml"
    texts = {"": (EXAMPLES / example / "short.toml").read_text("utf8")}
    for file, _ in places:
        texts.setdefault(file, (shelves_of(example) / file).read_text("utf8") if file else "")
    texts = {f: without(t, *(cut for of, cut in places if of == f)) for f, t in texts.items()}
    for text in texts.values():
        try:
            tomllib.loads(text)
        except tomllib.TOMLDecodeError as error:
            return "no TOML", str(error)
    for file, text in texts.items():
        (root / file if file else job).write_text(text, "utf8")
    done = "planned"
    try:
        said = []
        for loaded in load_all(job):
            plan = make_plan(case_of(loaded), {}, lambda _: None, predictions(EXAMPLES / example))
            said += [f"{f.place} {f.words}" for f in plan.findings]
            done = f"planned {plan.standing.value}"
            if plan.work is not None:
                study_strength(plan)
                done = "studied"
            if packed:
                from panelmend.render.files import pack_files

                pack_files(plan, plan.case.text)
                done = "packed"
        words = " ".join(said)
    except PanelmendError as error:
        done, words = "refused", str(error)
    except Exception as error:  # whatever it is: that is what is looked for
        done, words = "inner", f"{type(error).__name__}: {error}"
    finally:
        for file in texts:
            if file:
                shutil.copy(shelves_of(example) / file, root / file)
    if done == "inner":
        return done, words
    inner = INNER.search(words.replace(str(folder), ""))
    return ("inner", f"{inner[0]!r} in {words[:300]}") if inner else (done, words[:200])


def main() -> int:
    """Run what is asked; 1 where an inner message was met."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--pairs", type=int, default=60, help="random pairs for each job")
    ask.add_argument("--seed", type=int, default=4711)
    ask.add_argument("--pack", type=float, default=0.1, help="share that is packed")
    ask.add_argument("--seconds", type=float, default=300.0, help="processor time after which to stop")
    ask.add_argument("--kept", type=Path, default=Path("left-out-shelves.jsonl"))
    given = ask.parse_args()
    known: dict[str, list[str]] = {}
    if given.kept.exists():
        known = dict(json.loads(line) for line in given.kept.read_text("utf8").splitlines())
    every = [
        (p.parent.name, name, places)
        for p in sorted(EXAMPLES.glob("*/short.toml"))
        for name, places in jobs(p.parent.name, given.pairs, given.seed)
    ]
    random.Random(given.seed).shuffle(every)
    begun, whole = time.process_time(), True
    with tempfile.TemporaryDirectory() as made, given.kept.open("a", encoding="utf8") as kept:
        for example in {e for e, _, _ in every}:
            shutil.copytree(shelves_of(example), Path(made) / example / "shelves")
        for example, name, places in every:
            if name in known:
                continue
            if time.process_time() - begun > given.seconds:
                whole = False
                break
            packed = random.Random(f"{given.seed} {name}").random() < given.pack
            known[name] = list(tried(example, places, Path(made) / example, packed=packed))
            kept.write(json.dumps([name, known[name]], ensure_ascii=False) + "\n")
            kept.flush()
    counts = collections.Counter(v[0] for v in known.values())
    print(f"of {len(every)}: " + "  ".join(f"{k} {n}" for k, n in sorted(counts.items())))
    print("" if whole else "(more to do: run it again)")
    inner = {k: v[1] for k, v in known.items() if v[0] == "inner"}
    for key, words in inner.items():
        print(f"inner message: {key} left out: {words}")
    return 1 if inner else 0


if __name__ == "__main__":
    sys.exit(main())
