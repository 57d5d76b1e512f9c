"""Changes of a recipe or a bay in plain words, made to a document: "set point by +3 C", "air to 5 C"."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from panelmend.document import Document
from panelmend.document.faults import faults_of
from panelmend.document.model import HeatChoice
from panelmend.errors import InputError
from panelmend.job.cure.part import CureOperation
from panelmend.units import read

AS_PLANNED = "as planned"
# What may be changed: the kind of its value, and of a difference ("" for none); an id has no kind.
_KINDS = {
    "set point": ("temperature", "temperature difference"),
    "ramp": ("temperature rate", "temperature rate"),
    "dwell": ("time", "time"),
    "air": ("temperature", "temperature difference"),
    "voltage": ("voltage", "voltage"),
    "blanket": ("", ""),
    "blanket behind": ("", ""),
    "insulation over": ("", ""),
    "insulation behind": ("", ""),
}
NAMES = tuple(_KINDS)
_CHOSEN = {
    "set point": "set_point",
    "ramp": "rate",
    "blanket": "blanket",
    "blanket behind": "blanket_behind",
    "insulation over": "insulation_over",
    "insulation behind": "insulation_behind",
}
_FORM = (
    '"set point by +3 C", "ramp to 1 C/min", "blanket to HB-20", "insulation over to none"; several with ";"'
)


@dataclass(frozen=True)
class ChangeStep:
    """One thing that is changed: to ``value`` (SI, or an id; "" for none), or by it."""

    name: str
    by: bool
    value: float | str


@dataclass(frozen=True)
class VariantChange:
    """Everything that one variant changes, in the words it was asked for."""

    words: str
    steps: tuple[ChangeStep, ...] = ()


def read_change(text: str) -> VariantChange:
    """Read a change such as "set point by +3 C; air to 5 C".

    Args:
        text: one or more of NAME "to" VALUE, NAME "by" DIFFERENCE, joined by semicolons; "=" means "to".

    Returns:
        the change.

    Raises:
        InputError: an unknown name, or a form that is not understood.
        UnitError: a value without its unit, or with a wrong one.
    """
    steps = tuple(_change_read(part.strip()) for part in text.split(";") if part.strip())
    if not steps:
        raise InputError("a change says nothing", read=repr(text), expected=_FORM)
    names = [s.name for s in steps]
    twice = sorted({n for n in names if names.count(n) > 1})
    if twice:
        raise InputError(f"{twice[0]} is changed twice in one change", read=text)
    return VariantChange("; ".join(" ".join(part.split()) for part in text.split(";") if part.strip()), steps)


def _change_read(text: str) -> ChangeStep:
    found = re.fullmatch(r"([A-Za-z ]+?)\s*(?:=|\s(to|by)\s)\s*(\S.*)", text)
    name = " ".join(found[1].lower().split()) if found is not None else ""
    if found is None or name not in _KINDS:
        names = ", ".join(NAMES)
        raise InputError(
            "a change that is not understood", read=repr(text), expected=_FORM, todo=f"names: {names}"
        )
    by, value = found[2] == "by", found[3].strip()
    kind, difference = _KINDS[name]
    if not kind:
        if by:
            raise InputError(
                f"{name} is changed to another, not by an amount", read=repr(text), expected=_FORM
            )
        return ChangeStep(name, False, "" if value.lower() == "none" else value)
    if by:
        sign = -1.0 if value.startswith(("-", "\u2212")) else 1.0
        return ChangeStep(name, True, sign * read(value.lstrip("+-\u2212 "), difference))
    if value.startswith("+"):
        raise InputError("to or by?", read=repr(text), todo=f'write "{name} by {value}" for a difference')
    return ChangeStep(name, False, read(value, kind))


def changed(document: Document, operation: CureOperation, change: VariantChange) -> Document:
    """A document with a change for one of its cures; a change of the bay is one for all.

    Args:
        document: as it was read.
        operation: the cure as planned: what a difference is added to.
        change: what to change.

    Returns:
        the changed document, checked like one that was read.

    Raises:
        InputError: the change does not fit the document; the first fault is told.
    """
    made = document
    for step in change.steps:
        if step.name in _CHOSEN:
            made = _choose(made, operation, step)
        elif step.name == "dwell":
            made = _dwell(made, operation, step)
        else:
            made = _BAY[step.name](made, step)
    faults = faults_of(made) if change.steps else []
    if faults:
        raise faults[0][1]
    return made


def _choose(document: Document, operation: CureOperation, step: ChangeStep) -> Document:
    """The planner's choice for one cure, changed."""
    value = step.value
    if step.by and isinstance(value, float):
        now = operation.set_point if step.name == "set point" else operation.rate
        if now is None:
            raise InputError(f"{operation.name} has no {step.name} to change")
        value = float(now) + value
        if step.name == "ramp" and value <= 0.0:
            raise InputError(f"the ramp of {operation.name} would stand still")
    field: dict[str, Any] = {_CHOSEN[step.name]: value}
    own = document.choice.heat
    if any(h.cure == operation.name for h in own):
        heat = tuple(h.model_copy(update=field) if h.cure == operation.name else h for h in own)
    else:
        heat = (*own, HeatChoice.model_construct(cure=operation.name, **field))
    choice = document.choice.model_copy(update={"heat": heat})
    return document.model_copy(update={"choice": choice})


def _dwell(document: Document, operation: CureOperation, step: ChangeStep) -> Document:
    cures = []
    for cure in document.data.cure:
        if cure.name != operation.name:
            cures.append(cure)
            continue
        longest = cure.longest_dwell
        least = _value_changed(longest.least, step, f"the dwell of {cure.name}")
        if least <= 0.0:
            raise InputError(f"the dwell of {cure.name} would last no time")
        segments = tuple(s.model_copy(update={"least": least}) if s is longest else s for s in cure.segment)
        cures.append(cure.model_copy(update={"segment": segments}))
    data = document.data.model_copy(update={"cure": tuple(cures)})
    return document.model_copy(update={"data": data})


def _bay(field: str, words: str) -> Callable[[Document, ChangeStep], Document]:
    def move(document: Document, step: ChangeStep) -> Document:
        value = _value_changed(getattr(document.bay, field), step, words)
        if value <= 0.0:
            raise InputError(f"{words} would be no more than nothing")
        return document.model_copy(update={"bay": document.bay.model_copy(update={field: value})})

    return move


def _value_changed(now: float | None, step: ChangeStep, words: str) -> float:
    assert not isinstance(step.value, str), "ids are chosen, not moved"
    if not step.by:
        return step.value
    if now is None:
        raise InputError(f"{words} is not given, so it cannot be changed by an amount")
    return now + step.value


_BAY = {
    "air": _bay("air_temperature", "the air temperature of the bay"),
    "voltage": _bay("supply", "the supply voltage"),
}
