"""What a shop and a panel look like from the records: work, what falls due, what must be ordered, earlier
repairs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal

from panelmend.app.records_words import coupon_words, local, lot_words, why_not_usable
from panelmend.records import events as e
from panelmend.records.book import job_of
from panelmend.records.canonical import amount_text
from panelmend.records.doing.again import repeated_steps
from panelmend.records.doing.bench import not_entered
from panelmend.records.doing.standing import At, standing
from panelmend.records.refusals import NO_SUCH
from panelmend.records.state import Job, State, jobs_of_panel, panel_key
from panelmend.shapes import Outline, Vertex

SOON = timedelta(days=30)
_TO_MM = Decimal("0.001")


def shop_words(state: State) -> list[str]:
    """Jobs in work with what each waits for; what falls due; what must be ordered; lots."""
    lines = [_job_line(name, job) for name, job in sorted(state.jobs.in_work())]
    lines += due_words(state)
    lines += order_words(state)
    lines += short_words(state)
    lines += [lot_words(state, name) for name, lot in sorted(state.lots.items()) if lot.left > 0]
    return lines


@dataclass(frozen=True)
class JobInWork:
    """A job in work: how far it is, what waits for whom, which steps are ready."""

    job: str
    done: int
    steps: int
    waits: tuple[str, ...]
    ready: tuple[str, ...]


def in_work(name: str, job: Job) -> JobInWork:
    """How a job stands."""
    stands = [(s, standing(job, s.key)) for s in job.opened.steps]
    holds = [f"step {s.number} waits for the {s.hold_by}" for s, a in stands if a.at is At.HOLD]
    ready = tuple(str(s.number) for s, a in stands if a.at is At.READY)
    open_devs = [d.raised.deviation for d in job.deviations.values() if d.decided is None]
    devs = [f"deviation {d} waits for the engineer" for d in open_devs]
    done = sum(a.at is At.COMPLETE for _, a in stands)
    return JobInWork(name, done, len(stands), (*devs, *holds), ready)


def _job_line(name: str, job: Job) -> str:
    at = in_work(name, job)
    ready = [f"ready: {', '.join(f'step {n}' for n in at.ready)}"] if at.ready else []
    told = "; ".join([*at.waits, *ready])
    return f"{name}: {at.done} of {at.steps} steps complete; {told or 'the release entry is due'}"


@dataclass(frozen=True, order=True)
class Due:
    """Something with a last day (ISO 8601), which it may still be used on, and whether that day passed."""

    day: str
    what: str
    passed: bool


def due_rows(state: State) -> list[Due]:
    """Calibrations, authorisations and lots whose last day is within 30 days of today, or passed."""
    today = state.day(state.now)
    until = (today + SOON).isoformat()
    found = [(w.due, f"{n}, {w.what}, calibration") for n, w in state.instruments.items()]
    for p in state.people.values():
        if not p.removed:
            found += [(d, f"{p.name}, {s.value}") for s, d in p.authorised.items()]
    found += [(x.expires, f"lot {n}, {x.received.material}") for n, x in state.lots.items() if x.left > 0]
    return sorted(Due(day, what, day < today.isoformat()) for day, what in found if day <= until)


def due_words(state: State) -> list[str]:
    """The same, a line each."""
    return [f"due: {x.what}, last day {x.day}{' PASSED' if x.passed else ''}" for x in due_rows(state)]


def order_words(state: State) -> list[str]:
    """Materials of which less than the least is there, counting only lots that may be used now."""
    lines = []
    for material, least in sorted(state.least.items()):
        there = sum(
            (
                x.left
                for x in state.lots.values()
                if x.received.material == material
                and x.received.unit == least.unit
                and not why_not_usable(state, x)
            ),
            Decimal(0),
        )
        wanted = Decimal(least.amount)
        if there < wanted:
            unit = least.unit
            lines.append(
                f"order: {material}, {amount_text(wanted - there)} {unit} at least "
                f"({amount_text(there)} {unit} usable, {least.amount} {unit} wanted)"
            )
    return lines


def short_words(state: State) -> list[str]:
    """What jobs in work still draw by their plan and no lot of the stores has, a line each."""
    from panelmend.app.records_stores import draws

    return [
        f"order: {x.material}, {amount_text(x.amount)} {x.unit} for job {name} (no usable lot has it)"
        for name, job in sorted(state.jobs.in_work())
        for x in draws(state, job)
        if not x.lot
    ]


def panel_words(state: State, part: str, serial: str) -> list[str]:
    """Every repair of one panel: its job, how it stands, when it was released, its outline's area.

    Raises:
        Refused: the records know no such panel.
    """
    jobs = _jobs_of(state, part, serial)
    lines = [f"{part} serial {serial}: {len(jobs)} job(s)"]
    total = 0.0
    for job in jobs:
        area = vertices_area(job.opened.outline)
        ends = job.closed or "in work"
        when = local(state, state.entered[job.released[2] - 1]) if job.released else ""
        o = job.opened
        typed = "" if (o.panel, o.serial) == (part, serial) else f", typed as {o.panel} serial {o.serial}"
        lines.append(f"  {o.job}: {ends} {when}".rstrip() + f", largest ply {_cm2(area)}{typed}")
        lines += [f"    {x}" for x in weighed(job)]
        total += area if job.released else 0.0
    lines.append(f"  released repairs together {_cm2(total)} of largest ply, overlaps counted twice")
    lines.append(
        "  mass and balance as weighed in each job; changes are not added up: paint and dirt weigh too"
    )
    return lines


WEIGHED = ("A6", "E7")  # steps of the card that weigh the part, before and after


def weighed(job: Job) -> list[str]:
    """What a job weighed before and after it: mass, moment and their change, as it was written."""
    lines = []
    for step in job.opened.steps:
        held = job.now(step.key).filled if step.id in WEIGHED else {}
        said = [
            f"{b.what} {held[i].reading.typed} {b.unit}".strip()
            for i, b in enumerate(step.blanks)
            if i in held and b.entry is e.EntryKind.NUMBER
        ]
        if said:
            lines.append(f"{step.title}: {'; '.join(said)}")
    return lines


def earlier_toml(state: State, part: str, serial: str) -> list[str]:
    """The released repairs of a panel as the next document names them."""
    lines = [
        "# As seen from the outside, from the panel's own origin. Where the document looks from the inside,",
        "# turn the sign of the second and third number of every point. This is what was planned: look at",
        "# the panel itself.",
    ]
    for job in _jobs_of(state, part, serial):
        if not job.released:
            continue
        if not job.opened.outline:
            lines.append(f"# {job.opened.job}: its outline is not in the records; measure it on the panel")
            continue
        points = ", ".join(f"[{_mm(x)}, {_mm(y)}, {b / 1e6:.6f}]" for x, y, b in job.opened.outline)
        lines += [
            "[[panel.earlier_repair]]",
            f'id = "{job.opened.job}"',
            "[panel.earlier_repair.shape.outline]",
            'unit = "mm"',
            f"points = [{points}]",
        ]
    return lines


def coupons_of(job: Job) -> list[str]:
    """Witness coupons of work that counts, each with what it showed."""
    held = (x for s in job.opened.steps for x in job.now(s.key).coupons)
    return ["; ".join(line.strip() for line in coupon_words(x)) for x in held]


def release_pdf(state: State, name: str, head: str) -> bytes:
    """The release entry of a job as pages: the fields of 14 CFR 43.9(a), who did what, deviations, the head.

    Raises:
        Refused: the job is not released.
    """
    from panelmend.render.letter import head as title
    from panelmend.render.letter import item_list, strokes, table_block, text
    from panelmend.render.typesetting import Sheets

    job = job_of(state, name)
    if job.released is None:
        raise NO_SUCH(f"release of job {name}")
    entry, by, number = job.released
    s = entry.signature
    rows = [
        ["Part and serial number", f"{job.opened.panel}, {job.opened.serial or 'not given'}"],
        ["Work performed, or data it was done by", entry.description],
        ["Date of completion", entry.completed],
        ["Performed by", ", ".join(entry.performed_by)],
        ["Signed by", f"{s.name} ({by}), entry {number}, {local(state, state.entered[number - 1])}"],
        ["Certificate", f"{entry.certificate_number}, {entry.certificate_kind}"],
        ["What the signature covers", f"{s.content[:32]} {s.content[32:]}"],
        ["Document, plan", f"{s.document[:16]}, {s.plan[:16]}"],
    ]
    devs = [
        f"{d.raised.deviation}: {d.raised.words}. "
        f"{d.decided.decision.value if d.decided else 'open'}, {d.decided.ground if d.decided else ''}"
        for d in job.deviations.values()
    ]
    paper = [
        f"{job.steps[k].number} ({job.steps[k].id}): {_named(state, t[0].did)}, accepted "
        f"{_named(state, t[0].accepted) if t[0].accepted else 'nothing'}; typed by {_named(state, t[1])}"
        for k in job.steps
        if (t := job.now(k).on_paper) is not None
    ]
    missing = [
        f"{s.number} ({s.id}): {', '.join(not_entered(job, s.key))}; {_said_why(job, s.key)}"
        for s in job.opened.steps
        if not_entered(job, s.key)
    ]
    redone = [f"{x.step.id} {x.step.title}: {x.attempts} time(s)" for x in repeated_steps(state, job)]
    blocks = [table_block(["Field", "As entered"], rows, [0, 1])]
    blocks += [title("Deviations"), item_list(devs)] if devs else [text("No deviation was raised.")]
    blocks += (
        [title("Transcribed from signed paper; no key of theirs sealed it"), item_list(paper)]
        if paper
        else []
    )
    blocks += [title("Labels and batches that were not entered"), item_list(missing)] if missing else []
    coupons = coupons_of(job)
    blocks += [title("Witness coupons"), item_list(coupons)] if coupons else []
    blocks += [title("Mass and balance as weighed"), item_list(weighed(job))] if weighed(job) else []
    written = [strokes(*row) for row in _written(job, entry, number)]
    blocks += [title("Written by hand, beside the seal"), *written] if written else []
    blocks += [title("Done again, or no longer on the card"), item_list(redone)] if redone else []
    data = {
        "paper": "a4",
        "title": "Release entry",
        "said": "A print of what stands in the records. The signature is for the work performed, that work "
        "only; it is checked in the records or in the job's package, not on this page.",
        "mark": "",
        "repair": {"number": name, "title": f"Repair {name}", "operator": "", "invented": state.invented},
        "foot": f"Release entry of {name} · records {head} · nothing here is approved data",
        "blocks": blocks,
    }
    return Sheets("letter", data, state.day(state.entered[number - 1])).pdf()


def _written(job: Job, released: e.Released, number: int) -> list[tuple[str, str]]:
    """What was signed and by whom, with the strokes, for every signature that was written by hand too."""
    rows: list[tuple[int, str, str, str]] = []
    for k, attempts in job.attempts.items():
        what = f"Step {job.steps[k].number} ({job.steps[k].id})"
        for x, _, n in (row for attempt in attempts for row in attempt.signed):
            rows.append((n, f"{what}, {x.signature.meaning.value}, entry {n}", x.signature.name, x.strokes))
    for i, d in job.deviations.items():
        if (y := d.decided) is not None:
            rows.append((d.number, f"Deviation {i}, {y.decision.value}", y.signature.name, y.strokes))
    rows.append((number, f"Release, entry {number}", released.signature.name, released.strokes))
    return [(f"{what}: {name}", strokes) for _, what, name, strokes in sorted(rows) if strokes]


def _said_why(job: Job, key: str) -> str:
    said = [x.why for x, _, _ in job.now(key).signed if x.signature.meaning is e.Meaning.DID and x.why]
    return said[0] if said else "no reason given"


def _named(state: State, person: str) -> str:
    return f"{state.people[person].name} ({person})" if person in state.people else person


def _jobs_of(state: State, part: str, serial: str) -> list[Job]:
    names = jobs_of_panel(state, panel_key(part, serial))
    if not names:
        raise NO_SUCH(f"panel {part} serial {serial}")
    return [state.jobs[n] for n in names]


def vertices_area(outline: tuple[e.Vertex, ...]) -> float:
    """Area inside an outline [m2]; 0 for none."""
    if not outline:
        return 0.0
    return abs(Outline(tuple(Vertex(x * 1e-6, y * 1e-6, b * 1e-6) for x, y, b in outline)).area)


def _cm2(area: float) -> str:
    return f"{area * 1e4:.1f} cm2" if area else "outline not known"


def _mm(micrometres: int) -> str:
    return format(Decimal(micrometres) * _TO_MM, "f")
