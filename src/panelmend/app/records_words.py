"""What stands in the records in words, for the command line and the screen."""

from __future__ import annotations

from collections.abc import Callable
from zoneinfo import ZoneInfo

from panelmend.records import events as e
from panelmend.records.book import Book, job_of
from panelmend.records.canonical import amount_text, read_moment
from panelmend.records.doing.again import repeated_steps
from panelmend.records.doing.bench import beside_plan, not_entered
from panelmend.records.doing.judged import coupon_items, items
from panelmend.records.doing.reported import stated_in
from panelmend.records.doing.standing import standing
from panelmend.records.refusals import NO_SUCH, Refused
from panelmend.records.rights import said
from panelmend.records.rules.stock import require_usable
from panelmend.records.state import Attempt, Coupon, Filled, HeldLot, Job, State, lots_of_batch


def local(state: State, at: str) -> str:
    """A moment by the shop's clock, with its zone."""
    return read_moment(at).astimezone(ZoneInfo(state.zone)).strftime("%Y-%m-%d %H:%M %Z")


def step_words(state: State, job: Job, key: str, paper: Callable[[str], bytes] | None = None) -> list[str]:
    """A step as it stands: its blanks with limits and how each stands, what waits."""
    step, at = job.steps[key], standing(job, key)
    number = len(job.attempts[key])
    again = f", attempt {number}" if number > 1 else ""
    lines = [
        f"Step {step.number} ({step.id}){again}: {step.title}",
        f"{at.at.value}{': ' if at.words else ''}{at.words}",
    ]
    held = job.now(key).filled
    for i, item in enumerate(items(job, key)):
        if i < len(step.blanks):
            lines.append(f"  {i + 1}  {step.blanks[i].what} [{_limits(step.blanks[i])}]: {item.met.value}")
            if i in held:
                lines.append(f"     {_written(state, held[i])}")
            continue
        lines.append(f"  clock {int(item.key[1:]) + 1}  {item.what}: {item.words} {item.met.value}")
    for filled in job.now(key).replaced:
        lines.append(f"  before, blank {filled.reading.blank + 1}: {_written(state, filled)}")
    for d in job.deviations.values():
        if d.raised.step == key:
            decided = f"{d.decided.decision.value}, {d.decided.ground}" if d.decided else "open"
            lines.append(f"  deviation {d.raised.deviation}: {d.raised.words} ({decided})")
    lines += _drawn(state, job, key)
    missing = not_entered(job, key)
    if missing:
        lines.append(f"  not entered: {', '.join(missing)}")
    told = job.now(key).on_paper
    if told is not None:
        t = told[0]
        done = f"did {t.did}, {local(state, t.did_at)}"
        done += (
            f"; accepted {t.accepted}, {local(state, t.accepted_at)}" if t.accepted and t.accepted_at else ""
        )
        counts = "checked" if job.now(key).did else "not checked yet"
        lines.append(f"  TRANSCRIBED from paper by {told[1]}, entry {told[2]}, {counts}: {done}")
    lines += [f"  verdict on {x}" for x in verdict_words(job.now(key), paper)]
    for signed, by, n in job.now(key).signed:
        s = signed.signature
        lines.append(f"  {s.meaning.value}: {s.name} ({by}), entry {n} {signed.why}".rstrip())
    if step.hold:
        lines.append(f"  {step.hold}, {step.hold_by}: accepted means {step.accepted}")
    return lines


def _drawn(state: State, job: Job, key: str) -> list[str]:
    """Lots drawn for a step and files kept with it: a signature covers them too."""
    attempt = job.now(key)
    lots = [
        f"  lot {w.lot}, {state.lots[w.lot].received.material}: {w.amount} "
        f"{state.lots[w.lot].received.unit}, drawn {local(state, at)}"
        f"{', THE PLAN TAKES NONE OF IT' if beside_plan(job, state.lots[w.lot].received.material) else ''}"
        for w, at, _ in attempt.issued
    ]
    lots += [
        f"  batch {m.batch}, {', '.join(f'{p.amount} of {p.lot}' for p in m.parts)}, life {m.life} s"
        for m, _ in attempt.mixed
    ]
    if attempt.labels:
        lots.append(f"  labels seen: {', '.join(x.piece for x, _ in attempt.labels)}")
    lots += [f"  {line}" for x in attempt.coupons for line in coupon_words(x)]
    return [*lots, *(f"  file {w.name}, {w.digest[:12]}: {w.what}" for w, _ in attempt.files)]


def coupon_words(coupon: Coupon) -> list[str]:
    """A witness coupon and what it showed; a result by its entry, as deviations cover it."""
    made = coupon.made
    lines = [f"coupon {made.coupon}, {made.what}, of {', '.join(made.lots)}: made by {coupon.by}"]
    lines += [] if coupon.results else ["  NOT TESTED YET"]
    for item, (told, by, number) in zip(coupon_items(Attempt(coupons=[coupon])), coupon.results, strict=True):
        limits = [f"at least {told.least}"] if told.least is not None else []
        limits += [f"at most {told.most}"] if told.most is not None else []
        lines.append(
            f"  {item.words}, {' and '.join(limits)} by {told.ground}: {item.met.value}, {told.broke}, "
            f"on {told.instrument}, {by}, entry {number} (k{number})"
        )
    return lines


def _limits(blank: e.CardBlank) -> str:
    figures = {
        (True, True): f"{blank.low} to {blank.high}",
        (True, False): f"at least {blank.low}",
        (False, True): f"at most {blank.high}",
        (False, False): "",
    }[blank.low is not None, blank.high is not None]
    return ", ".join(x for x in (" ".join(y for y in (figures, blank.unit) if y), blank.said) if x)


def _written(state: State, filled: Filled) -> str:
    """What was written in a blank, by whom and when, the limit they read, why it was written again."""
    r = filled.reading
    more = [f"limit read: {r.limit}"] if r.limit else []
    more += [f"on {r.instrument}"] if r.instrument else []
    more += [f"written again: {r.why}"] if r.why else []
    return "; ".join([f"{r.typed!r}, {filled.by}, {local(state, filled.at)}, entry {filled.number}", *more])


def job_words(state: State, name: str) -> list[str]:
    """A job: where every step stands, what is open."""
    job = job_of(state, name)
    o = job.opened
    ends = job.closed or "in work"
    lines = [f"Job {o.job}, {o.panel} serial {o.serial or 'not given'}, plan {o.plan[:12]}: {ends}"]
    for step in o.steps:
        at = standing(job, step.key)
        waits = f": {at.words}" if at.words else ""
        lines.append(f"  {step.number:>3}  {step.id:<4} {at.at.value:<9} {step.title}{waits}")
    for x in repeated_steps(state, job):
        drawn = "; ".join(f"{amount} {unit} of lot {lot}" for lot, amount, unit in x.drawn)
        where = "no longer on the card" if x.left else "done again"
        lines.append(
            f"  {x.attempts} time(s) {where}: {x.step.id} {x.step.title}{f', drew {drawn}' if drawn else ''}"
        )
    return lines


def lot_words(state: State, name: str) -> str:
    """A lot in a line: what is left, its date, its out-time."""
    lot = state.lots.get(name)
    if lot is None:
        raise NO_SUCH(f"lot {name}")
    r = lot.received
    out = ""
    if r.out_life is not None:
        gone, most = hours_out(lot.out_at(state.now), r.out_life)
        out = f", out {gone} h of {most} h"
        out += " and still out" if lot.out_since else ", in the freezer"
    why = why_not_usable(state, lot)
    past = f" BLOCKED, {why.removeprefix('the lot is ').upper()}" if why else ""
    left = f"{amount_text(lot.left)} {r.unit} left"
    return f"lot {name}, {r.material}: {left}, last day of use {lot.expires}{past}{out}"


def hours_out(gone: int, most: int) -> tuple[str, str]:
    """Out-time [s] and out-life [s] in hours: what is gone is rounded up, what is allowed down."""
    tenth = 360  # s
    return f"{-(-gone // tenth) / 10:.1f}", f"{most // tenth / 10:.1f}"


def why_not_usable(state: State, lot: HeldLot) -> str:
    """Why a lot may not be used now, by the title of the rule; "" where it may."""
    try:
        require_usable(state, lot, state.now)
    except Refused as refused:
        return refused.ground.title
    return ""


_OF_THINGS = ("job", "step", "lot", "back", "batch", "person", "instrument", "certificate", "due")
_ABOUT = (*_OF_THINGS, "amount", "place", "decision")
"""What a line of a history names of its entry."""


def history_words(book: Book, thing: str, after: int = 0, most: int | None = None) -> list[str]:
    """Every entry that touched something, a line each; where more are there than were asked for, the last
    line says how many. Raises Refused where there is no such thing, or nothing after that entry."""
    state = book.state
    lines = []
    found = book.history(thing, after=after, most=most)
    rest = len(book.touched(thing, found[-1].number)) if found else 0
    if not found:
        known = [*state.of, *(f"person {p}" for p in state.people), *(f"panel {p}" for p in state.panels)]
        near = sorted({x for x in known if x.casefold() == thing.casefold()})
        later = f" after entry {after}" if after and book.touched(thing) else ""
        raise NO_SUCH(f"{thing}{later}{f'; there is {near[0]}' if near and not later else ''}")
    kind, _, name = thing.partition(" ")
    if kind == "batch" and (lots := lots_of_batch(state, name)):
        lines.append(f"maker's batch {name}: {', '.join(f'lot {x}' for x in sorted(lots))}")
    for n in found:
        what = n.what.model_dump(mode="json")
        about = [f"{k} {what[k]}" for k in _ABOUT if what.get(k)]
        if isinstance(n.what, e.LotMoved):
            about.append("into the freezer" if n.what.frozen else "out of the freezer")
        if isinstance(n.what, e.CouponMade | e.CouponTested):
            about.append(f"coupon {n.what.coupon}")
        if isinstance(n.what, e.CouponTested):
            about.append(f"{n.what.value} {n.what.unit}")
        if isinstance(n.what, e.StepSigned):
            about.append(n.what.signature.meaning.value)
        late = f" (entered {local(state, n.entered)}: {n.late})" if n.late else ""
        back = f" (the clock stood {n.behind} s behind)" if n.behind else ""
        kind = said(n.what.kind)
        lines.append(f"{n.number:>6}  {local(state, n.at)}  {n.by:<8} {kind}: {', '.join(about)}{late}{back}")
    if rest:
        lines.append(f"{rest} MORE ENTRIES: ask again with --after {found[-1].number}")
    return lines


def verdict_words(attempt: Attempt, paper: Callable[[str], bytes] | None) -> tuple[str, ...]:
    """The verdicts kept with a step, each with what people state that it rests on, as its report (``paper``
    gives it by its digest) says."""
    out = []
    for kept in attempt.verdicts:
        v = kept.verdict
        stated = stated_in(paper(v.report)) if paper is not None else ()
        rests = "".join(f"; rests on: {x}" for x in stated)
        out.append(f"{v.cure}: {v.outcome.value}, log {v.log[:12]}{rests}")
    return tuple(out)
