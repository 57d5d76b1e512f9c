"""A plan in the terminal's words."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from panelmend.derive.ledger import words_of
from panelmend.errors import Code, Finding, Severity, all_codes
from panelmend.plan.lay_number import lay_number
from panelmend.plan.plan import Plan
from panelmend.units import show

if TYPE_CHECKING:
    from panelmend.document.shelved import Shelved
    from panelmend.job.strength.part import Reserve
    from panelmend.plan.strength_study import StrengthStudy

MANY = 3  # findings of one code on the screen


def summaries(plans: Sequence[Plan]) -> str:
    """The plan of each damage of a job on one screen each; what is found of all of them stands once, last."""
    common = common_findings(plans)
    told = [summary(p, common) for p in plans]
    return "\n\n".join([*told, *([common_words(plans, common)] if common else [])])


def common_findings(plans: Sequence[Plan]) -> tuple[Finding, ...]:
    """Findings that stand word for word at every damage of a job; none for a single damage."""
    if len(plans) < 2:
        return ()
    others = [{(f.code, f.words) for f in p.findings} for p in plans[1:]]
    return tuple(f for f in plans[0].findings if all((f.code, f.words) in o for o in others))


def common_words(plans: Sequence[Plan], common: Sequence[Finding]) -> str:
    """What is found of every damage alike, under a line that says so."""
    names = ", ".join(p.case.document.damage.id for p in plans)
    return f"Of every damage ({names}):\n{_told(common)}"


def summary(plan: Plan, common: Sequence[Finding] = ()) -> str:
    """The plan on one screen: disposition, cut-out, plies, cloth, mixes, bags, findings.

    What is in ``common`` is told elsewhere.
    """
    case, work = plan.case, plan.work

    def v(figure: object) -> str:
        return words_of(figure, case.view)  # type: ignore[arg-type]

    repair = case.document.repair
    lines = [
        f"{repair.number}  {repair.title}",
        f"Plan {plan.short_digest}{f'   {plan.mark}' if plan.mark else ''}",
        "",
        f"Damage   {v(plan.limits.along)} along, {v(plan.limits.across)} across, "
        f"largest {v(plan.limits.largest)}: {plan.limits.disposition}",
    ]
    if work is not None:
        o = work.cutout.opening
        turn = f"turned {v(o.angle)} seen from the outside"
        lines.append(f"Cut-out  {o.form}, {v(o.length)} by {v(o.width)}, {turn}")
        for layup in work.plies.sides:
            lines.append(f"Plies on the {layup.side} (angles as seen from there)")
            for p in sorted(layup.plies, key=lambda p: p.lay_order):
                counted = lay_number(plan, p.id)[1] or "-"
                lines.append(
                    f"  {counted:>2} {p.id:<8} {p.role:<14} {p.cloth:<22} warp {v(p.warp_seen):>7}  "
                    f"+{v(p.margin)}  least overlap {v(p.overlap)}"
                )
        lines.append(f"Core     {work.core.words}")
        for item in work.nest.cloths:
            taken = show(
                item.nest.roll_length, "length", case.view, limit="least"
            )  # never less than it takes
            lines.append(
                f"Cloth    {item.problem.name}: {taken} of roll "
                f"({item.made_by}; never below {show(item.bound, 'length', case.view)})"
            )
        for mix in work.kit.mixes:
            batches = "one batch" if len(mix.pots) == 1 else f"in {len(mix.pots)} batches"
            lines.append(f"Mix      {mix.id}: {v(mix.resin)} resin, {v(mix.hardener)} hardener, {batches}")
        for bag in work.bag.operations:
            lines.append(
                f"Bag      {bag.name}: blanket {bag.blanket or 'none large enough'}, {len(bag.layers)} layers"
            )
    if case.shelved is not None and case.shelved.entries:
        lines.append(f"Shelves  {case.shelved.root}")
    lines.append("")
    lines.append(findings_words(plan, common))
    return "\n".join(lines)


def findings_words(plan: Plan, common: Sequence[Finding] = ()) -> str:
    """Every finding, the gravest first, usual values gathered at the end; without what is ``common``."""
    if not plan.findings:
        return "No findings."
    elsewhere = {(f.code, f.words) for f in common}
    own = [f for f in plan.findings if (f.code, f.words) not in elsewhere]
    return _told(own) if own else "No findings but those of every damage, below."


def _told(findings: Sequence[Finding]) -> str:
    codes = {c.code: c for c in all_codes()}
    lines = []
    groups: dict[str, list[Finding]] = {}
    for f in findings:
        groups.setdefault(f.code, []).append(f)
    for code, found in groups.items():
        if code == "J001":
            continue
        lines += grouped(codes[code], found)
    defaults = groups.get("J001", [])
    if defaults:
        lines.append(f"J001 confirm  {len(defaults)} defaults wait for a named person:")
        lines += [f"              {f.words}" for f in defaults]
    return "\n".join(lines)


def grouped(code: Code, found: Sequence[Finding]) -> list[str]:
    """Findings of one code: its title and what to do once, however many there are."""
    head = f"{code.code} {found[0].severity.value:<8} {code.title}: "
    if len(found) == 1:
        return [head + found[0].words, f"              {found[0].todo}"]
    todo = list(dict.fromkeys(f.todo for f in found))
    return [
        f"{head}{len(found)} times",
        *(f"            - {f.words}" for f in found),
        *(f"              {t}" for t in todo),
    ]


def shelved_words(shelved: Shelved) -> tuple[str, bool]:
    """What stands against a job's entries, in words; whether something of it is a STOP."""
    codes = {c.code: c for c in all_codes()}
    grave = [f for f in shelved.findings if f.severity in (Severity.STOP, Severity.CONFIRM, Severity.CAUTION)]
    lines = [f"{len([e for e in shelved.entries if e.taken])} entries from {shelved.root or 'no shelves'}"]
    for code in dict.fromkeys(f.code for f in grave):
        lines += grouped(codes[code], [f for f in grave if f.code == code])
    return "\n".join(lines), any(f.severity is Severity.STOP for f in grave)


def strength_words(study: StrengthStudy) -> str:
    """The strength study on one screen: what is least and what it rests on first, then what is left out."""
    # late: a plan has no study, and the pages' own modules load the typesetter
    from panelmend.job.strength.reserves import three_digits
    from panelmend.job.strength.scope import NOT_COVERED
    from panelmend.render.strength_report import given_least, least_of_each
    from panelmend.render.strength_tables import resolved_words

    part = study.part

    def line(row: Reserve) -> str:
        unsure = "" if row.resolved else "NOT RESOLVED, "
        return f"{three_digits(float(row.value))}  {unsure}{row.words}"

    lines = [
        f"Strength of {study.plan.case.document.repair.number}: it informs the engineer and approves nothing"
    ]
    each = least_of_each(study)
    if each:
        lines.append(f"Least of all that was computed: {line(each[0])}")
        lines += [f"Least that rests on given values alone: {line(r)}" for r in given_least(study)]
        lines += [f"  least of its kind: {line(r)}" for r in each[1:]]
    else:
        lines.append("Nothing could be computed: see what was not checked.")
    for side in dict.fromkeys(r.side for r in part.membrane):
        r = min((r for r in part.membrane if r.side == side), key=lambda r: float(r.ratio))
        angle = show(float(r.direction), "angle", decimals=0)
        lines.append(
            f"  stiffness, {side} skin, least along {angle}: {three_digits(float(r.ratio))} of the sound one"
        )
    for s in part.hot_spots:
        sure = resolved_words(s.resolved, s.before, s.error)
        lines.append(f"  largest {s.what} ratio, {s.case}: {float(s.value):.2f} ({sure}) at {s.near}")
    lines += [f"NOT CHECKED  {words}" for words in part.not_checked]
    lines += [f"NOT COVERED  {words}" for words in NOT_COVERED]
    told = [f for f in study.findings if f.code != "T101"]
    for code in dict.fromkeys(f.code for f in told):
        rows = [f for f in told if f.code == code]
        lines += [f"{f.code} {f.severity.value}: {f.words}" for f in rows[:MANY]]
        if len(rows) > MANY:
            lines.append(f"{code}: {len(rows) - MANY} more; a report written to a .json lists them all")
    return "\n".join(lines)
