"""Plans of many kinds for the tests of the card: the examples, and the gear door with changes."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from examples_here import case, case_from, edited, names, text
from panelmend.derive.ledger import words_of
from panelmend.job.card.order import Operations, Place
from panelmend.job.card.part import Step, Words
from panelmend.plan.make import make_plan
from panelmend.plan.plan import Plan

DOOR = text("gear_door")
_CAP_FIRST = """[[data.cure]]
name = "Cap"
lays = ["cap"]
cured_on = "plate"
place = "51-30-04 fig 2, cure C"
ceiling = "93 C"
release_below = "52 C"
segment = [
  { kind = "ramp", to = "66 C", rate_most = "3 C/min" },
  { kind = "dwell", to = "66 C", low = "60 C", high = "77 C", least = "60 min" },
  { kind = "cool", to = "49 C", rate_most = "3 C/min" },
]

[[data.cure]]
name = "Core and cap\""""
_SECOND = DOOR[DOOR.index('ceiling = "93 C"', DOOR.index("cure B")) : DOOR.index("\n[bay]")]
CHANGES: dict[str, tuple[tuple[str, str], ...]] = {
    "one skin": (('depth = "skin and core"', 'depth = "skin"'),),
    "dry": (('moisture = "found"\nwet_area = "40 cm2"', 'moisture = "none found"'),),
    "nobody looked": (('moisture = "found"\nwet_area = "40 cm2"', 'moisture = "not checked"'),),
    "hinge": (
        (
            "[damage]\n",
            '[panel.hinge]\nstart = "0, 800 mm"\nend = "1200, 800 mm"\nmoment_limit = "2 N m"\n'
            'place = "52-10-17 para 9"\n\n[damage]\n',
        ),
    ),
    "lightning": (
        (
            "[data.preparation]\n",
            '[data.preparation]\nconductive_layer = { value = "lap the mesh", place = "51-30-07" }\n'
            'metal_treatment = { value = "etch and prime", place = "51-30-08" }\n',
        ),
    ),
    "water break": (
        ("[data.surface]\n", '[data.surface]\nwater_break = { value = true, place = "52-10-17 para 3E" }\n'),
    ),
    "part of the core": (('side = "outside"\nmoisture', 'side = "outside"\ncore_depth = "8 mm"\nmoisture'),),
    "cap on a plate": (('[[data.cure]]\nname = "Core and cap"', _CAP_FIRST),),
    "cut then wet": (('value = "wet then cut"', 'value = "cut then wet"'),),
    "room temperature": (
        (
            _SECOND,
            'heated_by = "room temperature"\nsand_after = "24 h"\n'
            'segment = [ { kind = "dwell", to = "21 C", low = "18 C", high = "30 C", least = "8 h" } ]',
        ),
        ('[[choice.heat]]\ncure = "Repair plies"\nset_point = "79 C"\nrate = "0.55 C/min"\n', ""),
    ),
}
CHANGES["limits of all"] = (
    *CHANGES["hinge"],
    *CHANGES["lightning"],
    (
        "[data.finishing]\n",
        '[data.finishing]\nweight_most = { value = "9 kg", place = "x 1" }\n'
        'moment_most = { value = "6 N m", place = "x 1" }\n'
        'conductive_overlap = { value = "20 mm", place = "x 1" }\n'
        'conductive_resistance = { value = "10 milliohm", place = "x 1" }\n'
        'static_resistance = { value = "0.1 ohm", place = "x 1" }\n',
    ),
)
OWN = ("dent", "insert", "edge")  # written from nothing: they share no line with the examples
KINDS = (*names(), *CHANGES, *OWN)


def changed(name: str, *changes: tuple[str, str], more: str = "") -> Plan:
    """An example with pieces of its document replaced, and ``more`` at its end."""
    of = edited(text(name), *changes)
    return make_plan(case_from(of + more))


def door(*changes: tuple[str, str]) -> Plan:
    """The gear door with pieces of its document replaced."""
    return changed("gear_door", *changes)


@cache
def planned(kind: str) -> Plan:
    """A plan of a kind."""
    if kind in OWN:
        return make_plan(case_from(own(kind), f"{kind}.toml"))
    return door(*CHANGES[kind]) if kind in CHANGES else make_plan(case(kind))


def own(kind: str) -> str:
    """One of the documents that were written from nothing."""
    return (Path(__file__).parent / "card_documents" / f"{kind}.toml").read_text("utf8")


def in_the_air(held: str = "", *, bagged: bool = False, more: str = "") -> Plan:
    """A repair of an edge band that cures in the air of the room, without a bag, sealed at its edge."""
    text = own("edge")
    start, end = text.index("ceiling = "), text.index("]\n[bay]")
    cure = (
        f'heated_by = "room temperature"\nbagged = {str(bagged).lower()}\n'
        f'sand_after = "24 h"\n{held}segment = [\n'
        ' { kind = "dwell", to = "21 C", low = "18 C", high = "30 C", least = "8 h" },\n' + more
    )
    return make_plan(case_from(text[:start] + cure + text[end:], "edge.toml"))


def operations(plan: Plan) -> Operations:
    """The bonding operations of a plan."""
    assert plan.work is not None
    bags = plan.work.bag.operations
    return Operations(
        tuple(b.number for b in bags), frozenset(b.number for b in bags if b.cure.cured_on == "plate")
    )


def places(plan: Plan) -> list[Place]:
    """Every step's place in the order it is printed."""
    return [s.place for s in plan.card.steps]


def steps(plan: Plan, ident: str, operation: int | None = None) -> list[Step]:
    """The steps of an id, of one operation or of all."""
    return [s for s in plan.card.steps if s.id == ident and operation in (None, s.operation)]


def said(plan: Plan, step: Step) -> str:
    """A step's words."""
    return " ".join(_words(plan, w) for w in step.words)


def _words(plan: Plan, words: Words) -> str:
    return "".join(w if isinstance(w, str) else words_of(w, plan.case.view) for w in words)
