"""How a log file is read: a description that is proposed, confirmed by a person, then used."""

from __future__ import annotations

import codecs
import json
import math
import re
from dataclasses import dataclass
from functools import cache
from operator import not_
from typing import TYPE_CHECKING, Annotated

from pydantic import BeforeValidator, Field, PlainSerializer, TypeAdapter, ValidationError

from panelmend.curelog.longform import Long
from panelmend.errors import InputError
from panelmend.plan.judge.log import KIND_OF, ChannelRole
from panelmend.units import KINDS

if TYPE_CHECKING:
    from pydantic_core import ErrorDetails

FRACTIONS = {"us": 1e-6, "ms": 1e-3}
SEPARATORS = {"tab": "\t", ";": ";", "|": "|", ",": ",", "space": " "}
FORMS = ("clock", "time of day", "elapsed", "epoch", "serial")
ORDERS = ("ymd", "dmy", "mdy")
SENSES = ("", "below ambient", "below ambient, negative", "absolute")


def _none_as_nan(value: object) -> object:
    return math.nan if value is None else value  # JSON has no number for what nobody said


def _nan_as_none(value: float) -> float | None:
    return None if math.isnan(value) else value


@dataclass(frozen=True)
class TimeAs:
    """The columns of the time and how it is written.

    ``columns``: one column, or date and time in two; behind them that of am and pm where it stands apart.
    ``form``: "clock" (date and time), "time of day" (passing midnight adds a day), "elapsed" (from the start;
    as h:mm:ss, as two parts of which the first counts ``unit``, or as a number of ``unit``), "epoch"
    (seconds since 1970 in ``unit``) or "serial" (days since 1899-12-30). ``order``: of the date's parts.
    ``zone``: offset such as "+02:00", "Z", or "local" when the file does not say. ``fraction``: the column
    that counts parts of a second beside stamps of whole ones, in ``fraction_unit``; -1 for none.
    """

    columns: tuple[int, ...]
    form: str
    order: str = "ymd"
    unit: str = "s"
    zone: str = "local"
    fraction: int = -1
    fraction_unit: str = ""


@dataclass(frozen=True)
class ColumnAs:
    """One column: ``index`` from 0; ``unit`` as written in :data:`panelmend.units.KINDS`; ``sense`` of a
    vacuum: "below ambient" (22 inHg is strong), "below ambient, negative" or "absolute"; ``sense_written``:
    the file says so itself, in its head or by numbers below nought; ``overruled``: what the file says of unit
    and sense of a vacuum where an answer says another, "" for nothing."""

    index: int
    name: str
    role: ChannelRole
    unit: str = ""
    sense: str = ""
    sense_written: bool = False
    overruled: Annotated[str, Field(exclude_if=not_)] = ""  # most descriptions stay as they were

    @property
    def kind(self) -> str:
        """The kind of quantity of the role, "" for none."""
        return KIND_OF[self.role] if self.role is not ChannelRole.POWER else ""


@dataclass(frozen=True)
class ReadAs:
    """The whole description. ``lines_above``: lines before the first sample; ``ambient`` [Pa]: the air
    pressure, needed for a vacuum written as absolute; ``confirmed``: a person has answered every question;
    ``head``: digest of the file's beginning (:mod:`panelmend.curelog.head`); ``by``: who answered.
    ``set_aside``: channels that look like thermocouples and that a person gave another role;
    ``gauges_aside``: those that look like vacuum gauges.
    ``suggested``: questions whose suggested answer was taken with the others and not given by itself.
    ``long``: one reading per row; ``columns`` and times are then those of the wide table made of it."""

    form: str  # "text" or "sheet"
    time: TimeAs
    columns: tuple[ColumnAs, ...]
    width: int
    lines_above: int = 0
    encoding: str = "utf-8"
    separator: str = ","
    decimal: str = "."
    thousands: str = ""
    sheet: str = ""
    ambient: Annotated[float, BeforeValidator(_none_as_nan), PlainSerializer(_nan_as_none)] = math.nan
    confirmed: bool = False
    head: str = ""
    by: str = ""
    long: Long | None = None
    set_aside: tuple[str, ...] = ()
    gauges_aside: tuple[str, ...] = ()
    suggested: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        faults = list(_faults(self))
        if faults:
            raise InputError("; ".join(faults), where="read as")

    def to_json(self) -> str:
        """As JSON text; the same description gives the same bytes."""
        data = _reader().dump_python(self, mode="json")
        return json.dumps(data, indent=2, sort_keys=True, ensure_ascii=False) + "\n"

    @staticmethod
    def from_json(text: str) -> ReadAs:
        """From JSON text.

        Raises:
            InputError: no whole, valid description.
        """
        try:
            return _reader().validate_json(text, strict=True, extra="forbid")
        except ValidationError as error:
            raise _refused(error.errors(include_url=False)[0]) from None


@cache
def _reader() -> TypeAdapter[ReadAs]:
    return TypeAdapter(ReadAs)


def _refused(first: ErrorDetails) -> InputError:
    """The first fault: what the description says itself, or a field that is missing, strange or wrong."""
    if isinstance(said := first.get("ctx", {}).get("error"), InputError):
        return said
    return InputError(
        "not a description of how to read a log",
        where=", ".join(["read as", *map(str, first["loc"])]),
        read=repr(first["input"])[:80],
        todo="propose it again from the file",
    )


def _whole(value: object, least: int, most: int) -> bool:
    return isinstance(value, int) and not isinstance(value, bool) and least <= value <= most


def _faults(r: ReadAs) -> list[str]:
    found = [
        f"{words}: {value!r}"
        for value, allowed, words in (
            (r.form, ("text", "sheet"), "form"),
            (r.separator, tuple(SEPARATORS.values()), "separator"),
            (r.decimal, (".", ","), "decimal mark"),
            (r.thousands, ("", ".", ",", " ", "'"), "thousands mark"),
            (r.time.form, FORMS, "form of time"),
            (r.time.order, ORDERS, "order of date"),
            (r.time.unit, ("ms", *KINDS["time"].units), "unit of time"),
        )
        if value not in allowed
    ]
    if found:
        return found
    if not (_whole(r.width, 1, MOST_COLUMNS) and _whole(r.lines_above, 0, 10**6)):
        return ["width or lines above are no usable counts"]
    try:
        codecs.lookup(r.encoding)
    except (LookupError, ValueError):
        return [f"unknown encoding {r.encoding!r}"]
    if not re.fullmatch(r"Z|UTC|local|stamped|[+-]([01]\d|2[0-3]):[0-5]\d", r.time.zone, re.ASCII):
        return [f"zone: {r.time.zone!r}"]
    used = [*r.time.columns, *(c.index for c in r.columns)]
    if r.time.fraction != -1 or r.time.fraction_unit:
        used.append(r.time.fraction)
        if r.time.fraction_unit not in FRACTIONS:
            return [f"unit of the fraction of time: {r.time.fraction_unit!r}"]
    width = r.width
    if r.long is not None:
        two = r.long.taken
        whole = _whole(r.long.unit, -1, r.width - 1) and all(_whole(i, 0, r.width - 1) for i in two)
        if not whole or len(set(two)) != len(two) or len(two) < 2 or r.width < len(two) + 1:
            return ["a long table needs a column of names and one of readings"]
        if not r.long.channels:
            return ["a long table without channels"]
        if r.long.unit >= 0 and len(r.long.units) != len(r.long.channels):
            return ["a long table whose units are not those of its channels"]
        width = r.width - len(two) + len(r.long.channels)
    if not all(_whole(i, 0, width - 1) for i in used):
        return ["a column outside the file's width"]
    if len(set(used)) != len(used):
        return ["a column used twice"]
    if not 1 <= len(r.time.columns) <= 3 or not r.columns:
        return ["one to three columns of time and at least one channel are needed"]
    if len({c.name for c in r.columns}) != len(r.columns):
        return ["two channels have the same name"]
    if r.decimal == r.thousands:
        return ["the same mark for decimals and thousands"]
    return [f for c in r.columns for f in _column_faults(c, r)]


def _column_faults(c: ColumnAs, r: ReadAs) -> list[str]:
    if c.sense not in SENSES:
        return [f"column {c.index}: {c.sense!r} is no sense of a vacuum"]
    if not r.confirmed:
        return []
    if c.kind and c.unit not in KINDS[c.kind].units:
        return [f"{c.name}: {c.unit!r} is no unit of {c.kind}; answer 'unit of {c.name}'"]
    if c.role is ChannelRole.VACUUM and not c.sense:
        return [f"{c.name}: a vacuum needs 'sense of {c.name}' (below ambient or absolute)"]
    if c.sense == "absolute" and not r.ambient > 0:
        return [f"{c.name}: an absolute pressure needs 'ambient', the air pressure"]
    return []


MOST_COLUMNS = 2000
