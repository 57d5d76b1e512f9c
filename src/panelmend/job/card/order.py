"""The working order: what must come before what, and steps arranged so that all of it holds.

Every rule names its source; CP is common practice, no source; AD a matter of the approved data. Full titles stand
in ``SOURCES`` below and in docs/method/card.md.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise

from panelmend.errors import RangeError

SOURCES = {
    "AC": "FAA AC 43.13-1B",
    "TM": "US Army TM 1-1500-204-23-11 (s. = scan page)",
    "NAV": "NAVEDTRA 14018 chapter 14 and 14315 chapter 5",
    "CFR": "14 CFR",
    "CP": "common practice, no source",
    "AD": "the panel's approved data",
}
IDS = (
    *(f"A{i}" for i in range(1, 7)),
    *(f"B{i}" for i in range(1, 17)),
    *(f"C{i}" for i in range(1, 7)),
    *(f"D{i}" for i in range(1, 13)),
    *(f"O{i}" for i in range(1, 29)),
    *(f"E{i}" for i in range(1, 14)),
)
AGAIN = frozenset({"A5", "D3", "D4", "D6", "D7", "D8", *(f"O{i}" for i in range(1, 29))})
"""Steps done anew for each bonding operation."""


@dataclass(frozen=True)
class Rule:
    """Steps that must come before others ("A1<A2 B1<A2"), and why."""

    edges: str
    source: str

    @property
    def pairs(self) -> tuple[tuple[str, str], ...]:
        """Each pair: what comes first, what comes after."""
        found = re.findall(r"([A-E]\d+|O\d+)<([A-E]\d+|O\d+)", self.edges)
        return tuple((a, b) for a, b in found)


RULES = (
    Rule(
        "A1<A2 A1<B2 A1<A4 A1<A6 B1<A2 A2<B3 A2<B4 B4<B5 B5<B7 B3<B7 B7<B8 B8<B9",
        "core after the facing is open: NAV 14-11, AC 3-10d; the rest CP",
    ),
    Rule("A3<B2 B2<B1", "dirt and grease off, then inspected, then cut: TM s.128, s.261"),
    Rule("A3<B7 A3<C4 A3<O22", "vapour below its limit before and all through the work: CP, AD"),
    Rule("B9<B10 B10<B12 B9<B11 B11<B12 B12<B13 B13<B14", "inspected again after removal: TM s.128 e"),
    Rule(
        "B14<C1 C1<C2 C2<C3 C3<C4 C4<C5 C5<C6",
        "found wet, holes, joint machined, bagged, dried, proved, sealed: TM 6-6 s.134",
    ),
    Rule("C5<O8 C5<O18 C5<O22", "all moisture out before the repair: TM s.229; steam harms: TM 6-6b s.130"),
    Rule("B14<D2 D2<O5 D2<O11", "a dry fit makes dust and touches the bond: CP; TM s.128, s.285"),
    Rule("D2<D6", "the heat is tried with the plug dry in its opening: CP"),
    Rule("C5<D6", "no heat on wet core above its drying temperature: TM 6-6b s.130; the order CP"),
    Rule("D5<D6 D4<D6 D6<O11", "heat survey before the repair, thermocouples tried first: TM 6-18c, 6-18g"),
    Rule("D4<O11 D7<O11 O10<O11", "bag and blanket ready before mixing, rehearsed: TM 6-18c, s.169, s.170"),
    Rule("A5<D8 A5<O11 A5<O13", "frozen stock stays sealed until it is warm: TM s.026"),
    Rule("C5<A5 D6<A5", "out of the freezer last: drying and survey take hours of its out-time: CP"),
    Rule("A4<O11", "shelf life looked at before opening, stock at room temperature: TM 6-17c(a) s.169"),
    Rule(
        "O1<O2 O2<O3 O3<O5 O5<O7 O7<O8", "cleaned before sanding and after it; wait after solvent: TM s.129"
    ),
    Rule("O3<O4 O4<O5", "outlines drawn before sanding are sanded off: CP"),
    Rule("O5<O6 O6<O7", "water-break check, then dry: TM 6-18f s.183 (metal)"),
    Rule("O8<O11 O8<O13 O8<O14", "bonded within the time, or cleaned again: AD, CP"),
    Rule("O11<O14 O11<O15 O11<O12 O15<O16", "mixed, then spread, wetted, cut: TM 6-16a s.157; AC 3-2c"),
    Rule("O16<O18", "wet, cut, stack, bag: TM 6-16a s.157; AC 3-2c"),
    Rule("O14<O17", "adhesive on the core's edge before the plug goes in: AC 3-2c"),
    Rule("O13<O18 O14<O18 O17<O18", "core in, then facing: AC 3-2c, NAV 14-11"),
    Rule("O17<O21 O18<O21", "laid, then held and left, where no bag is over it: CP"),
    Rule("O12<O19", "the coupon sees the same cure: AC 3-1c"),
    Rule(
        "O18<O19 O17<O19 O19<O20 O20<O21 O21<O22 O22<O23",
        "AC 3-4b (a)-(o); the resin's own heat first: TM table 6-6",
    ),
    Rule("O23<O24 O24<O25", "faults of a cure may be invisible later: TM s.223; the hold itself CP"),
    Rule("O25<O26 O26<O27 O27<E1", "squeeze-out, then inspected, then sanded: TM s.223 (k)-(n)"),
    Rule(
        "E1<E2 E2<E3 E3<E4 E4<E5 E5<E7 E5<E8 E7<E9 E8<E9 E9<E10",
        "inspected before paint, weighed after it: CP; balance after refinishing: AC 1-38",
    ),
    Rule("O27<O28 O28<E1", "a cap cured in its opening is inspected, then cut back to it: CP; AC 3-2c"),
    Rule("B4<B16 B5<B16 B16<B7", "what comes out is measured first, with its datum marks: CP"),
    Rule(
        "B14<D11 B15<D11 C6<D11 D2<D11 D11<D12 D12<D6 D12<O1 E1<E11 E2<E11 E11<E12 E12<E3 "
        "E1<E13 E2<E13 E12<E13 E13<E3",
        "put back and inspected by the reference, dry before bonding or after the cure, before it is sealed: CP, AD",
    ),
    Rule("A6<B5", "a balance without its reading from before proves nothing: CP"),
    Rule(
        "A1<A3 A4<A5 A4<B2 A4<D5 A2<D1 B4<B6 B6<B5 B4<O4 B14<B15 B15<O1 B14<D6 B14<O1 C5<O1 C6<O1 D1<D2 D1<D4 "
        "D1<D8 D1<O16 D2<D3 D2<D7 D2<D10 D2<O1 D3<O10 D4<D7 D4<D9 D4<O10 D9<D6 D5<D9 D5<C3 D6<O1 D6<O10 D7<O1 D7<O10 "
        "D8<O11 D8<O15 D8<O18 D9<O11 D10<O1 O8<O9 O8<O10 O9<O10 E5<E6 E6<E9 O10<O13",
        "what a step uses must exist; nothing is made after the resin is mixed: CP",
    ),
)
BETWEEN = (
    Rule("O27<D10", "the cap is inspected before it is trimmed and bonded: AC 3-2c"),
    Rule("O28<O1", "the rim of a cap is off before plies go over it: CP"),
    Rule("O27<O1", "what is cured is inspected before it is plied over; sides one after the other: NAV 14-6"),
)
"""Across operations: a cap cured on a plate before it is trimmed; one operation before the next."""


@dataclass(frozen=True, order=True)
class Place:
    """A step's place in the order: its id, the bonding operation and the batch it belongs to (0 for none)."""

    id: str
    operation: int = 0
    batch: int = 0


@dataclass(frozen=True)
class Operations:
    """The bonding operations: their numbers in order, and which are cured on a plate away from the panel."""

    numbers: tuple[int, ...]
    on_plate: frozenset[int] = frozenset()

    @property
    def on_panel(self) -> tuple[int, ...]:
        """Those on the panel in order."""
        return tuple(i for i in self.numbers if i not in self.on_plate)


@cache
def _graph(operations: Operations) -> Mapping[tuple[str, int], frozenset[tuple[str, int]]]:
    """What must come directly after each step, over every step there may be."""
    after: dict[tuple[str, int], set[tuple[str, int]]] = {}
    every = operations.numbers or (0,)  # where nothing is bonded, what stands between still passes needs on

    def link(a: tuple[str, int], b: tuple[str, int]) -> None:
        after.setdefault(a, set()).add(b)

    for rule in RULES:
        for a, b in rule.pairs:
            if a in AGAIN and b in AGAIN:
                for k in every:
                    link((a, k), (b, k))
            elif a in AGAIN or b in AGAIN:
                for k in every:
                    if b == "O1" and k in operations.on_plate:
                        continue
                    if "D9" in (a, b) and k not in operations.on_plate:
                        continue
                    if a == "C5" and b == "D6" and k in operations.on_plate:
                        continue
                    if a == "D2" and k in operations.on_plate:
                        continue
                    link((a, k if a in AGAIN else 0), (b, k if b in AGAIN else 0))
            else:
                link((a, 0), (b, 0))
    panel = operations.on_panel
    for k in operations.on_plate:
        link(("O27", k), ("D10", 0))
    for k, following in pairwise(panel):
        link(("O27", k), ("O1", following))
        link(("O28", k), ("O1", following))
    return {a: frozenset(b) for a, b in after.items()}


Reach = Mapping[tuple[str, int], frozenset[tuple[str, int]]]


@cache
def _all_after(operations: Operations) -> Reach:
    """Everything that must come after each step; a step that does not apply passes its needs on."""
    graph = _graph(operations)
    found: dict[tuple[str, int], frozenset[tuple[str, int]]] = {}

    def walk(node: tuple[str, int], path: tuple[tuple[str, int], ...]) -> frozenset[tuple[str, int]]:
        if node in found:
            return found[node]
        if node in path:
            raise RangeError(f"the working order runs in a circle at {node[0]}")
        reach: set[tuple[str, int]] = set()
        for other in graph.get(node, ()):
            reach |= {other} | walk(other, (*path, node))
        found[node] = frozenset(reach)
        return found[node]

    for node in graph:
        walk(node, ())
    return found


def must_precede(a: Place, b: Place, operations: Operations) -> bool:
    """Whether one step must come before another.

    Within an operation one batch is laid before the next is mixed (TM 6-17c s.166); a batch's own steps follow
    the rules.
    """
    return _precedes(a, b, _all_after(operations))


def _precedes(a: Place, b: Place, reach: Reach) -> bool:
    if a.operation == b.operation and a.batch and b.batch and a.batch != b.batch:
        return a.batch < b.batch
    return (b.id, b.operation) in reach.get((a.id, a.operation), ())


def arranged(places: Iterable[Place], operations: Operations) -> list[int]:
    """The places' indices in working order: as they come, except where a rule asks otherwise.

    Raises:
        RangeError: no order satisfies the rules.
    """
    return list(_arranged(tuple(places), operations))


@lru_cache(maxsize=64)
def _arranged(left: tuple[Place, ...], operations: Operations) -> tuple[int, ...]:
    """The same of the same places, made once while it is kept."""
    todo = list[int]()
    reach = _all_after(operations)
    before = [
        {j for j, a in enumerate(left) if j != i and _precedes(a, b, reach)} for i, b in enumerate(left)
    ]
    waiting = list(range(len(left)))
    while waiting:
        ready = next((i for i in waiting if not before[i]), None)
        if ready is None:
            raise RangeError("no working order satisfies the rules")
        todo.append(ready)
        waiting.remove(ready)
        for i in waiting:
            before[i].discard(ready)
    return tuple(todo)
