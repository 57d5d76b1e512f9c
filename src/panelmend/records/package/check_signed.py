"""What each signature at a job covered, made again from the entries that a package shows.

The second part of check_package.py; needs Python 3.9 and nothing else. An entry of the job that was left out
of the package, or put under another signature, makes the next signature over it another one. What came after
the last signature of a job is covered by none.
"""

from __future__ import annotations

import hashlib
import json
from typing import Any


def sha(data: bytes) -> str:
    """SHA-256 as hex."""
    return hashlib.sha256(data).hexdigest()


def canon(value: Any) -> str:
    """SHA-256 of the one text that stands for a value."""
    text = json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return sha(text.encode("utf8"))


LISTS = ("replaced", "files", "lots", "verdicts", "signed", "mixed", "labels", "coupons")
IN_FORCE = ("document", "plan", "pages", "steps", "clocks")


class SignedWork:
    """What the entries of a job come to, as far as its signatures cover it."""

    def __init__(self, records: str) -> None:
        self.records, self.rules, self.job = records, 1, ""
        self.plan: dict[str, Any] = {}
        self.steps: dict[str, Any] = {}
        self.tries: dict[str, list[Any]] = {}
        self.left: list[Any] = []
        self.revisions: list[int] = []
        self.deviations: dict[str, Any] = {}
        self.coupons: dict[str, list[int]] = {}

    def anew(self) -> dict[str, Any]:
        """A step that nothing was done at yet."""
        return {"filled": {}, "paper": None, "rejected": 0, **{x: [] for x in LISTS}}

    def begun(self, key: str, held: list[Any]) -> bool:
        """Whether anything hangs on the last attempt at a step."""
        last = held[-1]
        raised = any(d["step"] == key and d["attempt"] == len(held) for d in self.deviations.values())
        if self.rules >= 3 and (last["paper"] or raised):
            return True
        return any(last[x] for x in ("filled", *LISTS) if x != "replaced")

    def written(self, key: str, blank: int) -> int:
        """The entry in which a blank stands now, 0 for none."""
        return int(self.tries[key][-1]["filled"].get(blank, [0, 0, 0])[2])

    def seen(self, key: str, item: str) -> list[int]:
        """The entries that something a deviation covers stands on now."""
        last = self.tries[key][-1]
        if item[0] == "b":
            return [self.written(key, int(item[1:]))]
        if item[0] == "c":
            c = self.plan["clocks"][int(item[1:])]
            ends = [x for x in ("start", "end", "until") if c[x] is not None]
            return [self.written(c[x], c[x + "_blank"]) for x in ends]
        if item[0] == "k":
            return [int(item[1:])]
        if item[0] == "v":
            return [last["verdicts"][-1][1] if last["verdicts"] else 0]
        return [last["rejected"]]

    def covered(self, key: str) -> list[str]:
        """What an engineer has let stand at a step."""
        found = set()
        clocks = self.plan["clocks"]
        for d in self.deviations.values():
            decided = d["decided"]
            if d["step"] != key or d["attempt"] != len(self.tries[key]) or decided is None:
                continue
            for x in d["raised"]["covers"] if decided["decision"] == "may stand" else ():
                if x[0] == "c" and int(x[1:]) >= len(clocks):
                    continue
                if x in d["clocks"] and d["clocks"][x] != clocks[int(x[1:])]:
                    continue
                if d["seen"][x] == self.seen(key, x):
                    found.add(x)
        return sorted(found)

    def content(self, key: str) -> str:
        """What a signature at a step covers."""
        last = self.tries[key][-1]
        held = {x: last[x] for x in LISTS if last[x] or x not in LISTS[-3:]}
        if last["paper"]:
            held["transcript"] = last["paper"]
        devs = [[d["number"], d["decided"]] for d in self.deviations.values() if d["step"] == key]
        whole = {"records": self.records, "job": self.job, "step": self.steps[key], "deviations": devs}
        whole.update({x: self.plan[x] for x in ("document", "plan", "pages")})
        filled = {str(i): row for i, row in last["filled"].items()}
        attempt, covered = len(self.tries[key]), self.covered(key)
        return canon({**held, **whole, "attempt": attempt, "filled": filled, "covered": covered})

    def shown(self, what: dict[str, Any]) -> str:
        """What the signature of an entry must have covered."""
        if what["kind"] in ("job opened", "job revised"):
            return canon(
                {"records": self.records, "opened": {k: v for k, v in what.items() if k != "signature"}}
            )
        if what["kind"] == "deviation decided":
            d = self.deviations[what["deviation"]]
            return canon({"raised": d["raised"], "number": d["number"], "step": self.content(d["step"])})
        if what["kind"] != "released":
            return self.content(what["step"])
        whole: dict[str, Any] = {"steps": {k: self.content(k) for k in self.steps}}
        whole["deviations"] = [[d["number"], d["decided"]] for d in self.deviations.values()]
        whole["attempts"] = {k: len(v) for k, v in self.tries.items()}
        if self.revisions:
            whole["revisions"], whole["left"] = self.revisions, [[k, len(v)] for k, v in self.left]
        fields = repr([[k, what[k]] for k in sorted(what) if k != "signature"])
        return sha((canon(whole) + sha(fields.encode("utf8"))).encode())

    def after(self, key: str) -> set[str]:
        """A step and all that must come after it."""
        found = {key}
        for k, step in self.steps.items():
            if found & set(step["needs"]):
                found.add(k)
        return found

    def planned(self, number: int, what: dict[str, Any]) -> None:
        """A plan in force: work stands where the new card asks and prints the same."""
        old, steps = self.steps, {x["key"]: x for x in what["steps"]}
        tries, back, first = {}, dict(self.left), what["steps"][0]["key"]
        stands = {first}
        for k, x in steps.items():
            same = k != first and k in old and old[k].get("printed") and _asks(old[k]) == _asks(x)
            ends = [[c for c in p["clocks"] if c["end"] == k] for p in (self.plan or what, what)]
            if same and ends[0] == ends[1] and set(x["needs"]) <= stands:
                stands.add(k)
        for k in steps:
            held = self.tries.get(k) or back.get(k, [])
            again = held and (k == first or k not in stands) and self.begun(k, held)
            tries[k] = [*held, self.anew()] if again or not held else held
        self.left = [x for x in self.left if x[0] not in steps]
        self.left += [(k, self.tries[k]) for k in old if k not in steps]
        self.plan, self.steps, self.tries = {x: what[x] for x in IN_FORCE}, steps, tries
        if old:
            self.revisions.append(number)

    def take(self, number: int, entry: dict[str, Any]) -> None:
        """Take an entry of the job."""
        what, kind, by = entry["what"], entry["what"]["kind"], entry["by"]
        if kind in ("job opened", "job revised"):
            self.job = what["job"]
            self.planned(number, what)
            return
        if kind == "deviation raised":
            covers, clocks = what["covers"], self.plan["clocks"]
            seen = {x: self.seen(what["step"], x) for x in covers}
            kept = {x: clocks[int(x[1:])] for x in covers if x[0] == "c" and self.rules >= 3}
            tried = len(self.tries[what["step"]])
            self.deviations[what["deviation"]] = {"raised": what, "number": number, "decided": None,
                "step": what["step"], "attempt": tried, "seen": seen, "clocks": kept}  # fmt: skip
        elif kind == "deviation decided":
            self.deviations[what["deviation"]]["decided"] = what
            for k in self.after(what["again_from"]) if what["decision"] == "do again" else ():
                if self.begun(k, self.tries[k]):
                    self.tries[k].append(self.anew())
        elif kind == "coupon tested":
            self.coupons[what["coupon"]].append(number)
        if what.get("step") not in self.tries:
            return
        last = self.tries[what["step"]][-1]
        if kind == "readings":
            for r in what["readings"]:
                last["replaced"] += [last["filled"][r["blank"]][2]] if r["blank"] in last["filled"] else []
                last["filled"][r["blank"]] = [r, by, number, entry["at"]]
        elif kind == "paper transcribed":
            last["paper"] = [what, by, number]
            last["replaced"] += [row[2] for row in last["filled"].values()]
            rows = {r["blank"]: [r, what["did"], number, what["did_at"]] for r in what["readings"]}
            last["filled"] = rows
        elif kind == "step signed":
            last["signed"].append(number)
            last["rejected"] = number if what["signature"]["meaning"] == "rejected" else last["rejected"]
        elif kind == "coupon made":
            self.coupons[what["coupon"]] = []
            last["coupons"].append([what["coupon"], number, self.coupons[what["coupon"]]])
        elif kind in ROWS:
            name, row = ROWS[kind]
            last[name].append(row(what, number, entry["at"]))


ROWS: dict[str, Any] = {
    "file kept": ("files", lambda w, n, at: [w["name"], w["digest"], n]),
    "verdict kept": ("verdicts", lambda w, n, at: [w, n]),
    "lot issued": ("lots", lambda w, n, at: [w["lot"], w["amount"], at]),
    "batch mixed": ("mixed", lambda w, n, at: [w["batch"], n]),
    "label seen": ("labels", lambda w, n, at: [w["piece"], n]),
}


def _asks(step: dict[str, Any]) -> dict[str, Any]:
    """A step but for its number on the card."""
    return {**step, "number": 0}


def covers(shown: dict[int, Any], records: str, job: str) -> list[str]:
    """Whether each signature of a job covered what is shown before it: an entry left out is found by it."""
    faults: list[str] = []
    work = SignedWork(records)
    for number in sorted(shown):
        what = shown[number]["what"]
        if what["kind"] == "rules taken on":
            work.rules = what["rules"]
        if what.get("job") != job:
            continue
        try:
            if "signature" in what and work.shown(what) != what["signature"]["content"]:
                faults.append(f"entry {number}: it was signed over something else than what is shown")
            work.take(number, shown[number])
        except (LookupError, TypeError, ValueError):
            return [*faults, f"entry {number}: what it follows is not shown"]
    return faults
