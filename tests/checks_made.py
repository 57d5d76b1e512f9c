"""Parts made for one check each: no more of a case, a bag or a figure than the check reads."""

from __future__ import annotations

from types import SimpleNamespace as Made
from typing import Any

from panelmend.job.bag.part import ByHand
from panelmend.shapes import rectangle

HALF_INCH = 0.0127  # [m] width of sealing tape, of what a support reaches past, from a tip to metal
HOT = 394.0  # [K] of the cure cycle
SEGMENTS = (Made(to=350.0, high=None), Made(to=HOT, high=400.0), Made(to=320.0, high=None))
PATCH = rectangle((0.0, 0.0), 0.30, 0.20)


class Number(float):
    """A figure with the key that a finding names."""

    key = "figure"
    kind = "length"

    @property
    def value(self) -> float:
        """The number [its own unit]."""
        return float(self)


def codes(found: Any) -> list[str]:
    return [f.code for f in found]


def case(**more: Any) -> Any:
    document = Made(
        panel=Made(limit=more.pop("limit", None), structure=more.pop("structure", ())),
        bay=Made(**({"blanket": (), "barometer": None, "elevation": None} | more.pop("bay", {}))),
        choice=Made(
            blankets=lambda name: more.get("wanted", ("HB",)),
            heat=(),
            heat_for=lambda name: more.get("chosen"),
        ),
        data=Made(bag=Made(leak_drop=more.pop("drop", None), leak_time=more.pop("time", None))),
    )
    return Made(
        view="mm", document=document, **{k: v for k, v in more.items() if k not in ("wanted", "chosen")}
    )


def bag(**more: Any) -> Any:
    cure = {"heated_by": "blanket", "segment": SEGMENTS, "ceiling": None, "cut_out_room": None}
    cure |= {"thermocouples_least": None} | more.pop("cure", {})
    given = {"name": "cure 1", "number": 1, "on_panel": True, "bagged": True, "blanket": "HB", "sensors": ()}
    given |= {"needed_length": 0.5, "needed_width": 0.3, "layers": (), "all_layers": (), "cure": Made(**cure)}
    given["hand"] = ByHand()
    return Made(**(given | more))


def blanket(length: float, width: float, limit: float | None = None) -> Any:
    return Made(id="HB", length=length, width=width, border=0.02, limit=limit)
