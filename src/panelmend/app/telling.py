"""A plan in the terminal's words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from panelmend.derive.ledger import words_of
from panelmend.errors import all_codes
from panelmend.plan.plan import Plan
from panelmend.units import show

if TYPE_CHECKING:
    from panelmend.plan.study import Study


def summary(plan: Plan) -> str:
    """The plan on one screen: disposition, cut-out, plies, cloth, mixes, bags, findings."""
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
                lines.append(
                    f"  {p.lay_order:>2} {p.id:<8} {p.role:<14} {p.cloth:<22} warp {v(p.warp_seen):>7}  "
                    f"+{v(p.margin)}  least overlap {v(p.overlap)}"
                )
        lines.append(f"Core     {work.core.words}")
        for item in work.nest.cloths:
            lines.append(
                f"Cloth    {item.problem.name}: {show(item.nest.roll_length, 'length', case.view)} of roll "
                f"({item.made_by}; never below {show(item.bound, 'length', case.view)})"
            )
        for mix in work.kit.mixes:
            lines.append(
                f"Mix      {mix.id}: {v(mix.resin)} resin, {v(mix.hardener)} hardener, {len(mix.pots)} pot(s)"
            )
        for bag in work.bag.operations:
            lines.append(
                f"Bag      {bag.name}: blanket {bag.blanket or 'none large enough'}, {len(bag.layers)} layers"
            )
    lines.append("")
    lines.append(findings_words(plan))
    return "\n".join(lines)


def findings_words(plan: Plan) -> str:
    """Every finding, the gravest first, usual values gathered at the end."""
    codes = {c.code: c for c in all_codes()}
    if not plan.findings:
        return "No findings."
    lines = []
    defaults = [f for f in plan.findings if f.code == "J001"]
    confirmed = [f for f in plan.findings if f.code == "J002"]
    for f in plan.findings:
        if f.code in ("J001", "J002"):
            continue
        lines.append(f"{f.code} {f.severity.value:<8} {codes[f.code].title}: {f.words}")
        lines.append(f"              {f.todo}")
    if confirmed:
        lines.append(f"J002 note     {len(confirmed)} usual values of the trade were confirmed by name:")
        lines += [f"              {f.words}" for f in confirmed]
    if defaults:
        lines.append(f"J001 confirm  {len(defaults)} usual values of the trade wait for a named person:")
        lines += [f"              {f.words}" for f in defaults]
    return "\n".join(lines)


def strength_words(study: Study) -> str:
    """The strength study on one screen."""
    from panelmend.job.strength.part import Kind  # late: a plan has no study

    part = study.part
    lines = [
        f"Strength of {study.plan.case.document.repair.number}: it informs the engineer and approves nothing"
    ]
    for r in part.membrane:
        angle = show(float(r.direction), "angle", decimals=0)
        lines.append(f"  stiffness, {r.side} skin along {angle}: {float(r.ratio):.2f} of the sound one")
    for b in part.bonds:
        found = f"reserve {float(b.reserve):.2f}" if b.reserve is not None else f"NOT CHECKED: {b.reason}"
        lines.append(f"  bond, {b.side} skin along {b.direction}, {b.condition}: {found}")
    lines += [f"  {r.words}: {float(r.value):.2f}" for r in part.reserves if r.kind is not Kind.BOND]
    lines += [f"  largest {s.what} ratio, {s.case}: {float(s.value):.2f} at {s.near}" for s in part.hot_spots]
    if part.least is not None:
        lines.append(f"Least reserve computed: {float(part.least.value):.2f} ({part.least.words})")
    lines += [f"NOT CHECKED  {words}" for words in part.not_checked]
    lines += [f"{f.code} {f.severity.value}: {f.words}" for f in study.findings if f.code != "T101"]
    return "\n".join(lines)
