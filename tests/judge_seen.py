"""What the judge, the search for faults and the watch answered on the way of a case, to be held whole."""

from __future__ import annotations

import functools
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import judge_case
import judge_lost
from digits_kept import numbers_of, plain
from judge_cases import PARTS
from panelmend.errors import Finding
from panelmend.plan.judge import Now, Verdict
from panelmend.plan.judge.fault import Fault

ASKED = ("judge", "look", "find_faults")
Answer = Verdict | Now | tuple[Fault, ...]


@contextmanager
def seen(asked: list[Any] | None = None) -> Iterator[list[Answer]]:
    """Every answer given to the cases meanwhile; ``asked`` gets what each was asked with."""
    found: list[Answer] = []

    def told(real: Callable[..., Any]) -> Callable[..., Any]:
        @functools.wraps(real)
        def wrapped(*args: Any, **named: Any) -> Any:
            answer = real(*args, **named)
            found.append(answer)
            if asked is not None:
                asked.append((args, named))
            return answer

        return wrapped

    modules = (judge_case, judge_lost, *PARTS)
    real = [(m, n, getattr(m, n)) for m in modules for n in ASKED if hasattr(m, n)]
    for module, name, f in real:
        setattr(module, name, told(f))
    try:
        yield found
    finally:
        for module, name, f in real:
            setattr(module, name, f)


def told_of(answer: Answer) -> dict[str, str]:
    """An answer row by row without its words: what, and its numbers in one sum that each of them moves."""
    rows: list[tuple[str, list[Any]]] = []
    if isinstance(answer, Verdict):
        rows.append(
            (
                f"outcome {answer.outcome}",
                [answer.degree, answer.glass, answer.stood, *_flat(answer.stood_alone)],
            )
        )
        for r in answer.reasons:
            what = f"{r.rule}|{r.segment}|{r.sensor}|{r.outcome}|{r.code}|{r.default:d}|{bool(r.by):d}"
            rows.append((what, [r.time, r.line, r.value, r.limit, *numbers_of(r.words)]))
        rows += [
            (f"segment {s.name}|{s.slowest}|{s.fastest}|{s.outcome}", _flat(plain(s)))
            for s in answer.segments
        ]
        rows += [(f"lost {n}", [t]) for n, t in answer.lost_sensors]
        rows += [(f"interrupted {i.segment}", _flat(plain(i))) for i in answer.interruptions]
        rows += _findings(answer.findings)
    elif isinstance(answer, tuple):
        for f in answer:
            flags = f"{f.lost:d}{f.sensor_lost:d}{f.doubt:d}{f.reckoned:d}"
            rows.append(
                (
                    f"{f.finding.code} {f.channel} {flags}",
                    [f.time, f.until, f.shift, *numbers_of(f.finding.words)],
                )
            )
    else:
        rows.append(
            (
                f"now {answer.segment}|{answer.slowest}|{answer.fastest}|{answer.working}|{answer.judged}",
                _flat(plain(answer)),
            )
        )
        rows += [
            (f"{a.finding.code}|{a.finding.severity}", [a.within, *numbers_of(a.finding.words)])
            for a in answer.alarms
        ]
    count = Counter[str]()
    made: dict[str, Any] = {}
    for what, numbers in rows:
        count[what] += 1
        made[what if count[what] == 1 else f"{what} {count[what]}"] = _sum(numbers)
    return made


def _findings(findings: tuple[Finding, ...]) -> list[tuple[str, list[Any]]]:
    return [(f"{f.code}|{f.severity}", list(numbers_of(f.words))) for f in findings]


def _flat(value: Any) -> list[Any]:
    if isinstance(value, dict):
        return [x for v in value.values() for x in _flat(v)]
    if isinstance(value, list | tuple):
        return [x for v in value for x in _flat(v)]
    if isinstance(value, str):
        return list(numbers_of(value))
    return [value]


def _sum(numbers: list[Any]) -> Any:
    """One number that each of them moves; those that are not known count by their place."""
    known = [(k, float(n)) for k, n in enumerate(numbers) if n is not None and abs(float(n)) < 1e300]
    missing = len(numbers) - len(known)
    return plain(sum(n * (1.0 + 0.37 * k) ** 0.5 for k, n in known) + 1e-3 * missing)
