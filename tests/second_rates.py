"""Rates of reading and judging on the second family."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from panelmend.curelog import Channel, ChannelRole, CureLog, propose, read_log
from panelmend.errors import PanelmendError, Severity
from panelmend.plan.judge import Outcome, judge, look
from panelmend.plan.judge import codes as c
from second_cases import CASES, RECIPE, Case
from second_curelog import Plan, Run, runs, sampled, text_of

# true of these logs, and no fault of the cure
TRUE_OF_IT = {
    c.BELOW_BAND.code,
    c.IRREGULAR.code,
    c.REPEATED.code,
    c.GAP.code,
    c.COARSE.code,
    c.NEAR.code,
    c.SLOW.code,
    c.MISSING.code,
}


@dataclass(frozen=True)
class Result:
    """What came of one log: ``read_log`` right without help, ``verdict`` right, planted fault ``named``,
    ``false`` findings (cautions and worse that name nothing planted), ``outcome``."""

    case: str
    seed: int
    read: bool
    verdict: bool
    named: bool
    false: tuple[str, ...]
    outcome: str
    words: str


def results(seeds: Sequence[int], folder: Path, cases: Sequence[Case] = CASES) -> list[Result]:
    """Make, write, read and judge a log of each case for each seed."""
    out = []
    wanted = [(case, seed) for case in cases for seed in seeds]
    made = runs([case.of(seed) for case, seed in wanted])  # side by side: far quicker than one by one
    for (case, seed), cure in zip(wanted, made, strict=True):
        if case.plant is not None:
            case.plant(cure)
        taken = sampled(cure, seed)
        if case.after is not None:
            case.after(taken)
        path = folder / f"{case.name} {seed}.txt"
        path.write_text(text_of(taken, seed), "utf8")
        out.append(_one(case, seed, path, taken.seen))
        path.unlink()
    return out


def false_stops(seeds: Sequence[int], every: float = 120.0) -> tuple[int, int, int, int]:
    """Looks at sound cures while they run; those with a false stop for heat (V301); and of as many cures in
    which the heat runs away, those that are told before the ceiling, and two minutes before."""
    looks = false = told = early = 0
    plans = [Plan(s, spread=2.0 + s % 4) for s in seeds]
    for seed, cure in zip(seeds, runs(plans), strict=True):
        log = _live(sampled(cure, seed))
        for t in np.arange(600.0, float(log.times[-1]), every):
            now = look(RECIPE, _until(log, t))
            looks += 1
            false += any(a.finding.code == c.TOP_SOON.code for a in now.alarms)
    for seed, cure in zip(seeds, runs(plans), strict=True):
        hot = np.flatnonzero(cure.true.min(axis=1) > 112.0)
        begin = cure.times[hot[int(0.4 * hot.size)]]
        cure.seen += (np.clip((cure.times - begin) / 1500.0, 0, 1) * 35.0)[:, None]
        log = _live(sampled(cure, seed))
        top = np.max([x.values for x in log.of_role(ChannelRole.THERMOCOUPLE)], axis=0)
        event = float(log.times[np.argmax(top > RECIPE.ceiling.value)])  # type: ignore[union-attr]
        first = next(
            (
                t
                for t in np.arange(begin, event, 30.0)
                if any(a.finding.code == c.TOP_SOON.code for a in look(RECIPE, _until(log, t)).alarms)
            ),
            np.inf,
        )
        told += first < event
        early += first <= event - 120.0
    return looks, false, told, early


def _live(r: Run) -> CureLog:
    couples = tuple(
        Channel(f"T{i + 1}", ChannelRole.THERMOCOUPLE, "temperature", r.seen[:, i] + 273.15)
        for i in range(r.seen.shape[1])
    )
    return CureLog(
        r.stamps - r.stamps[0], (*couples, Channel("Bag", ChannelRole.VACUUM, "pressure", r.vacuum.copy()))
    )


def _until(log: CureLog, time: float) -> CureLog:
    n = int(np.searchsorted(log.times, time, side="right"))
    channels = tuple(replace(x, values=x.values[:n].copy()) for x in log.channels)
    return replace(log, times=log.times[:n].copy(), lines=log.lines[:n].copy(), channels=channels)


def _one(case: Case, seed: int, path: Path, seen: np.ndarray) -> Result:
    try:
        made = propose(path)
        answers = {"zone": "local", "date order": ("dmy", "ymd", "ymd", "mdy", "ymd")[seed % 5]}
        given = {q.key: answers.get(q.key, q.suggested) for q in made.questions}
        for q in made.questions:
            if q.key.startswith("sense of"):
                given[q.key] = "below ambient"  # what the shop believes of its gauge
        log = read_log(path, made.confirm(given))
    except PanelmendError as error:
        return Result(case.name, seed, False, False, False, (), "refused", str(error))
    couples = log.of_role(ChannelRole.THERMOCOUPLE)
    read_right = (
        len(couples) == seen.shape[1] and len(log) == len(seen) and len(log.of_role(ChannelRole.VACUUM)) == 1
    )
    if read_right:
        got = np.column_stack([x.values for x in couples]) - 273.15
        read_right = bool(np.nanmax(np.abs(got - seen)) < 0.06)
    verdict = judge(RECIPE, log, ambient=101325.0)
    found = {f.code for f in verdict.findings}
    loud = {f.code for f in verdict.findings if f.severity is not Severity.NOTE}
    sound = case.right == (Outcome.CONFORMS,)
    false = tuple(sorted(loud - TRUE_OF_IT - {case.code})) if sound else ()
    return Result(
        case.name,
        seed,
        read_right,
        verdict.outcome in case.right,
        not case.code or case.code in found,
        false,
        verdict.outcome.value,
        "; ".join(r.words for r in verdict.against())[:300],
    )
