"""A short card of an invented shop: its steps and clocks."""

from __future__ import annotations

from typing import Any

from panelmend.records import events as e

A1, A3, O11, O20, O24, O25, E10 = (
    "A1/0/0",
    "A3/0/0",
    "O11/1/1",
    "O20/1/0",
    "O24/1/0",
    "O25/1/0",
    "E10/0/0",
)
KEYS = (A1, A3, O11, O20, O24, O25, E10)


def _blank(what: str, entry: str, **more: Any) -> e.CardBlank:
    return e.CardBlank(what=what, entry=e.EntryKind(entry), **more)


def steps() -> tuple[e.CardStep, ...]:
    """A short card: a hold of the planner, clocks, a bag accepted, a log judged, the record entry."""
    text, tick = (_blank("Revision", "text"),), _blank("Power off, grounded", "tick", said="yes")
    vapour = _blank("Fuel vapour", "number", unit="% of lower limit", high="10", ask="figures")
    gap = _blank("Gap", "number", unit="mm", said="limit: approved data", ask="person")
    mixed = (
        _blank("mixed at", "time"),
        _blank("vacuum on by", "time", ahead=True),
        _blank("Lots of both parts", "text"),
    )
    on = (
        _blank("Vacuum on at", "time"),
        _blank("Vacuum at the start", "number", unit="inHg", low="22", ask="figures"),
    )
    rows: tuple[tuple[str, tuple[str, ...], tuple[e.CardBlank, ...], str | None, str | None], ...] = (
        (A1, (), text, "H0", "planner"),
        (A3, (A1,), (tick, vapour, gap), None, None),
        (O11, (A3,), mixed, None, None),
        (O20, (O11,), on, "H8", "inspector"),
        (O24, (O20,), (), "H9", "inspector"),
        (O25, (O24,), (_blank("Pieces out", "number", unit="pieces"),), None, None),
        (E10, (O25,), (), "H14", "certificate holder"),
    )
    return tuple(
        e.CardStep(
            key=key,
            id=key.split("/")[0],
            operation=int(key.split("/")[1]),
            number=n,
            title=f"Step {n}",
            needs=needs,
            blanks=blanks,
            hold=hold,
            hold_by=by,  # type: ignore[arg-type]
            accepted="it is so" if hold else "",
            cure="Cure A" if key == O24 else "",
        )
        for n, (key, needs, blanks, hold, by) in enumerate(rows, 1)
    )


def clocks() -> tuple[e.CardClock, ...]:
    """Pot life, and vacuum on by what was written."""
    ends = {"start": O11, "start_blank": 0, "end": O20, "end_blank": 0}
    return (
        e.CardClock(name="pot life", most=2400, **ends),  # type: ignore[arg-type]
        e.CardClock(name="vacuum on by", until=O11, until_blank=1, **ends),  # type: ignore[arg-type]
    )
