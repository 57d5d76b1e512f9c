"""The first page of a later revision: what becomes of what was done, where work goes on, what differs."""

from __future__ import annotations

from typing import Any

from panelmend.derive.ledger import same_value, words_of
from panelmend.errors import all_codes
from panelmend.plan.again import Again, Fate, Made, StepFate
from panelmend.plan.plan import Plan
from panelmend.render.bench import runs_of
from panelmend.render.letter import Block, head, item_list, letter_sheets, loud, picture, table_block
from panelmend.render.typesetting import Sheets
from panelmend.render.views.again import again_view

SAID = (
    "This plan replaces an earlier one, because more damage was found. Take every page of the earlier "
    "one off the bench. The plan judges the work done only by the list of steps that were typed as done; "
    "what is on the panel decides: look before you go on."
)
TOLD = (
    "limits.along",
    "limits.across",
    "limits.largest",
    "limits.area",
    "limits.far_largest",
    "limits.disposition",
    "cutout.length",
    "cutout.width",
    "cutout.angle",
    "cutout.core_depth",
    "cutout.skin_depth",
)
ORDER = (Fate.MISFIT, Fate.OUT, Fate.SCRAP, Fate.AGAIN, Fate.SMALLER, Fate.NEW, Fate.STAYS)
WORDS = {
    Fate.STAYS: "stays",
    Fate.AGAIN: "CUT ON",
    Fate.SMALLER: "TRIM",
    Fate.SCRAP: "SCRAP",
    Fate.OUT: "COMES OUT",
    Fate.MISFIT: "NO FIT",
    Fate.NEW: "to do",
}

HOLDING = (
    "The least permitted form that holds what is cut and the new opening; under [choice] it is planned and "
    "checked like any pinned cut-out:"
)


def again_sheets(made: Again) -> Sheets:
    """Its pages, ready to be set."""
    repair = made.new.case.document.repair
    title = f"Revision {repair.revision}: what differs"
    return letter_sheets(made.new, title, SAID, _blocks(made), mark=made.new.mark)


def again_json(made: Again) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "old": made.old.digest,
        "new": made.new.digest,
        "made": [{"what": m.what, "fate": m.fate.value, "why": m.why} for m in _sorted(made)],
        "steps": [
            {"number": s.step.number, "id": s.step.id, "fate": s.fate.value, "why": s.why} for s in made.steps
        ],
        "next": None if made.next is None else made.next.number,
        "holding": made.holding,
        "differs": [list(row) for row in differences(made.old, made.new)],
    }


def again_words(made: Again) -> str:
    """The same on a screen."""
    lines = [f"{made.old.case.document.repair.number} -> {made.new.case.document.repair.number}"]
    lines += [f"  {WORDS[m.fate]:<10} {m.what}: {m.why}" for m in _sorted(made)]
    lines += [f"  {key}: {before} -> {after}" for key, before, after in differences(made.old, made.new)]
    lines += ["By the step numbers of the new card:", _next(made), *_step_lines(made)]
    titles = {c.code: c for c in all_codes()}
    for f in made.findings:
        lines.append(f"{f.code} {f.severity.value:<8} {titles[f.code].title}: {f.words}")
        lines.append(f"              {f.todo}")
    if made.holding:
        lines += [HOLDING, f"    {made.holding}"]
    return "\n".join(lines)


def differences(old: Plan, new: Plan) -> list[tuple[str, str, str]]:
    """Figures of damage and opening, plies, and findings that stop or wait, before and after."""
    view = new.case.view
    rows = []
    for key in TOLD:
        a = words_of(old.ledger[key], view) if key in old.ledger else "none"
        b = words_of(new.ledger[key], view) if key in new.ledger else "none"
        same = (
            key in old.ledger
            and key in new.ledger
            and same_value(old.ledger[key].value, new.ledger[key].value)
        )
        if not same and a != b:
            rows.append((key, a, b))
    for name, get in (("depth", _depth), ("pieces", _piece_names), ("form of the opening", _form)):
        if get(old) != get(new):
            rows.append((name, get(old), get(new)))
    was = {(f.code, f.place): f for f in old.draft_reasons}
    now = {(f.code, f.place): f for f in new.draft_reasons}
    rows += [(f"{c} {p}", "-", now[c, p].words) for c, p in now if (c, p) not in was]
    rows += [(f"{c} {p}", was[c, p].words, "-") for c, p in was if (c, p) not in now]
    return rows


def _depth(plan: Plan) -> str:
    damage = plan.case.document.damage
    return f"{damage.depth} from the {damage.side}"


def _piece_names(plan: Plan) -> str:
    if plan.work is None:
        return "none"
    every = [*plan.work.core.cap, *(p for layup in plan.work.plies.sides for p in layup.plies)]
    return ", ".join(p.id for p in every)


def _form(plan: Plan) -> str:
    return "none" if plan.work is None else plan.work.cutout.opening.form


def _sorted(made: Again) -> list[Made]:
    return sorted(made.made, key=lambda m: ORDER.index(m.fate))


def _next(made: Again) -> str:
    step = made.next
    return "Nothing is left to do." if step is None else f"Work goes on at step {step.number}: {step.title}."


def _step_lines(made: Again) -> list[str]:
    again = [s for s in made.steps if s.fate is Fate.AGAIN]
    stays = [s for s in made.steps if s.fate is Fate.STAYS]
    lines = [f"Stay as done: {_numbers(stays)}." if stays else "No step stays as done."]
    if again:
        lines.append(f"Done before; do again: {_numbers(again)}.")
    return lines


def _numbers(rows: list[StepFate]) -> str:
    return runs_of([s.step.number for s in rows], "-")


def _blocks(made: Again) -> list[Block]:
    titles = {c.code: c for c in all_codes()}
    blocks: list[Block] = [
        loud(titles[f.code].title, f"{f.words}. {f.todo[:1].upper()}{f.todo[1:]}.") for f in made.findings
    ]
    if made.holding:
        blocks.append(item_list([HOLDING, made.holding]))
    old, new = made.old, made.new
    blocks.append(
        table_block(
            ("", "earlier plan", "this plan"),
            [
                ["repair", old.case.document.repair.number, new.case.document.repair.number],
                ["plan", old.short_digest, new.short_digest],
            ],
            (1, 2, 2),
        )
    )
    rows = [[WORDS[m.fate], m.what, m.why] for m in _sorted(made)]
    blocks.append(head("What was made, and what becomes of it"))
    blocks.append(
        table_block(("", "what", "why"), rows, (0, 2, 3))
        if rows
        else item_list(["nothing was cut or laid yet"])
    )
    blocks.append(head("Steps of the new card"))
    blocks.append(item_list([_next(made), *_step_lines(made)]))
    again = [[str(s.step.number), s.step.title, s.why] for s in made.steps if s.fate is Fate.AGAIN]
    if again:
        blocks.append(table_block(("step", "to do again", "why"), again, (0, 3, 3)))
    if new.case.geometry.damage is not None:
        blocks.append(picture(again_view(old, new, (165.0, 90.0))))
    rows = [list(row) for row in differences(old, new)]
    if rows:
        blocks.append(head("What differs"))
        blocks.append(table_block(("", "before", "now"), rows, (2, 3, 3)))
    blocks.append(head("Not judged here"))
    blocks.append(item_list(NOT_JUDGED))
    return blocks


NOT_JUDGED = (
    "how to take out what is bonded and no longer fits, and what that does to the panel",
    "whether lots already drawn are still good: their times keep running, and the new kit list "
    "counts them again",
    "work that was done but is not on the list of what is done",
)
