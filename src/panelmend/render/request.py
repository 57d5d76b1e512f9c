"""One request to who owns the approved data: what was found, limits passed, what is asked, room to answer."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from panelmend.derive import Figure
from panelmend.derive.ledger import words_of
from panelmend.errors import Finding, all_codes
from panelmend.job.limits.part import LimitReason
from panelmend.plan.plan import Plan
from panelmend.plan.several import CARRIED
from panelmend.render.letter import (
    Block,
    answer_lines,
    head,
    item_list,
    letter_sheets,
    picture,
    table_block,
    text,
)
from panelmend.render.typesetting import Sheets
from panelmend.render.views import panel_view
from panelmend.units import show

SAID = (
    "This is a request; it approves nothing. Do no work until the answer is there in writing, with "
    "its reference, "
    "the name of the person who gives it, and the day. Type it under [[answer]]; until then the "
    "plan stays a draft."
)
# Which value of the data an answer to a passed limit would stand in the place of.
FIELDS = {
    "repairable size": "data.limits.repairable",
    "repairable area": "data.limits.repairable_area",
    "depth": "data.limits.depths",
    "number of repairs": "data.limits.per_panel",
    "distance to a repair": "data.limits.repair_distance",
}
HOLDS = {True: "holds", False: "PASSED", None: "not checked"}


@dataclass(frozen=True)
class Photo:
    """A photograph that goes with the request: its name, and what makes it that file and no other."""

    name: str
    sha256: str
    size: int
    data: bytes = b""


def beyond(plan: Plan) -> tuple[str, ...]:
    """Why somebody has to be asked: limits passed, and what stops the work; empty where nothing does."""
    titles = {c.code: c.title for c in all_codes()}
    passed = [f"{r.what}: {r.words}" for r in plan.limits.reasons if r.holds is False and r.kind in FIELDS]
    stops = [f"{titles[f.code]}: {f.words}" for f in _stops(plan) if f.code not in ("L101", "L106")]
    return (*passed, *stops)


def _stops(plan: Plan) -> tuple[Finding, ...]:
    """What stops the plan; where the data holds no such damage (X538) no more than what the damage says, as
    plies, bag and times are those of another one. Of another damage its own request asks."""
    found = tuple(f for f in plan.stop_reasons if f.code not in CARRIED)
    if not any(f.code == "X538" for f in found):
        return found
    return tuple(f for f in found if f.code[0] in "LX")


def request_sheets(plan: Plan, photos: tuple[Photo, ...], asks: tuple[str, ...]) -> Sheets:
    """Its pages, ready to be set.

    Args:
        plan: of the repair.
        photos: photographs that go with it.
        asks: what is asked beside the limits, in the planner's words.
    """
    return letter_sheets(
        plan, "Request to the engineering authority", SAID, _blocks(plan, photos, asks), mark=""
    )


def questions_asked(plan: Plan, asks: tuple[str, ...]) -> list[str]:
    """What is asked, one question for each limit that is passed."""
    name = plan.case.document.data.repair
    rows = []
    for r in plan.limits.reasons:
        if r.holds is False and r.kind in FIELDS:
            rows.append(f"May {_reason_words(r, plan)} be repaired by {name}, and up to which limit?")
    if plan.limits.elsewhere:
        rows.append(
            "The far skin is damaged at another place: is each repaired by itself, and how do they count?"
        )
    for f in _stops(plan):
        if f.code not in ("L101", "L106", "L109"):
            rows.append(f"{f.words[:1].upper()}{f.words[1:]}: what must be done?")
    return [*dict.fromkeys(rows), *asks, "Which inspections and which limits of use follow from it?"]


def _reason_words(reason: LimitReason, plan: Plan) -> str:
    value = words_of(reason.figure, plan.case.view)
    kind = {"repairable size": "length", "repairable area": "area"}.get(reason.kind, "")
    if kind:  # never less than it is: 250.04 cm2 is not 250.0 cm2
        value = show(float(reason.figure), kind, plan.case.view, limit="least")
    return {
        "repairable size": f"damage of {value} in its largest direction",
        "repairable area": f"damage of {value}",
        "depth": f"damage of the depth {value}",
        "number of repairs": f"a panel with {value} repairs",
        "distance to a repair": f"damage {value} from another repair",
    }[reason.kind]


def _at_least(figure: Figure, view: str) -> str:
    """A length of the damage, never less than it is."""
    return show(float(figure), "length", view, limit="least")


def _blocks(plan: Plan, photos: tuple[Photo, ...], asks: tuple[str, ...]) -> list[Block]:
    case, view = plan.case, plan.case.view
    document = case.document
    panel, damage, people, repair = document.panel, document.damage, document.people, document.repair
    manual = document.data.manual
    blocks: list[Block] = [
        table_block(
            ("", ""),
            [
                ["repair", f"{repair.number}, plan {plan.short_digest}"],
                ["aircraft", f"{repair.aircraft} {repair.registration}".strip()],
                ["panel", f"{panel.name}, part number {panel.part_number}"],
                ["serial number", panel.serial or "not given"],
                ["approved data", f"{manual.title}, {manual.number} rev {manual.revision} of {manual.dated}"],
                ["repair in the data", document.data.repair],
                ["asked by", f"{people.planner or 'not named'}, for {repair.operator}"],
                ["asked of", people.engineer or "not named"],
            ],
            (1, 4),
        ),
        head("What was found"),
    ]
    rows = [
        [
            "size",
            f"{_at_least(plan.limits.along, view)} along 0°, {_at_least(plan.limits.across, view)} across",
        ],
        ["largest dimension", show(float(plan.limits.largest), "length", view, limit="least")],
        ["area", show(float(plan.limits.area), "area", view, limit="least")],
        ["depth and side", f"{damage.depth}, from the {damage.side}"],
        ["water in the core", damage.moisture + _wet(plan)],
        ["how it was found", damage.how_found or "not said"],
    ]
    if plan.limits.far is not None:
        far = plan.limits.far
        rows.insert(1, ["far skin", f"{_at_least(far.along, view)} by {_at_least(far.across, view)}"])
    if damage.core_depth is not None:
        rows.append(["depth of core damage", show(damage.core_depth, "length", view, limit="least")])
    if damage.notes:
        rows.append(["notes", damage.notes])
    blocks.append(table_block(("", ""), rows, (1, 4)))
    blocks.append(picture(panel_view(case, None, damage.side, (165.0, 92.0))))
    blocks.append(head("Limits of the data"))
    blocks.append(
        table_block(
            ("limit", "this damage", "place in the data", ""),
            [
                [r.what, r.words, r.limit.source.place if r.limit else "none typed", HOLDS[r.holds]]
                for r in plan.limits.reasons
                if r.kind != "allowable size"
            ],
            (2, 4, 2, 0),
        )
    )
    why = beyond(plan)
    if why:
        blocks += [head("Why we ask"), item_list(why)]
    blocks += [head("What we ask"), item_list(questions_asked(plan, asks))]
    blocks.append(head("Photographs"))
    if photos:
        blocks.append(
            table_block(
                ("file", "size", "SHA-256"),
                [[p.name, f"{p.size:,} bytes", f"{p.sha256[:32]} {p.sha256[32:]}"] for p in photos],
                (2, 1, 4),
            )
        )
    else:
        blocks.append(text("none go with this request"))
    for field in dict.fromkeys(
        FIELDS[r.kind] for r in plan.limits.reasons if r.holds is False and r.kind in FIELDS
    ):
        blocks.append(answer_lines(f"Answer, instead of {field}", ROOM))
    blocks.append(
        answer_lines(
            "Answers to the other questions", ("answer", "conditions", "reference", "name, day, signature")
        )
    )
    return blocks


ROOM = ("value, with its unit", "conditions", "reference", "name, day, signature")


def _wet(plan: Plan) -> str:
    area = plan.case.document.damage.wet_area
    return "" if area is None else f", {show(area, 'area', plan.case.view)} wet"


def snippet(plan: Plan) -> str:
    """What is typed for the answers, ready to be filled in."""
    rows = []
    for field in dict.fromkeys(
        FIELDS[r.kind] for r in plan.limits.reasons if r.holds is False and r.kind in FIELDS
    ):
        rows.append(
            f'[[answer]]\nof = "{field}"\nvalue = "..."       # the answer, with its unit\n'
            'reference = ""      # the authority\'s; the plan is a draft until it stands\nby = ""\n'
            '# on = 2026-01-31\nconditions = ""\n'
            'typed_by = ""       # one person types it, another checks it against the letter; '
            "neither does the work\n"
            '# then: panelmend shelf check DOCUMENT --by NAME --against "the letter": it writes checked_by\n'
        )
    return "\n".join(rows)


def request_json(plan: Plan, photos: tuple[Photo, ...], asks: tuple[str, ...]) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "repair": plan.case.document.repair.number,
        "plan": plan.digest,
        "why": list(beyond(plan)),
        "asked": questions_asked(plan, asks),
        "photographs": [{"file": p.name, "bytes": p.size, "sha256": p.sha256} for p in photos],
    }
