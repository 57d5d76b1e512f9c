"""An entry as it stands in the log: read in its one spelling, or not at all."""

from __future__ import annotations

import json
from typing import Annotated, Any

from pydantic import BaseModel, Field, TypeAdapter, ValidationError
from pydantic_core import from_json

from panelmend.records.canonical import canonical
from panelmend.records.events.coupons import CouponEvent
from panelmend.records.events.fields import Count, Digest, Frozen, Id, Moment, Said
from panelmend.records.events.jobs import JobEvent
from panelmend.records.events.people import PeopleEvent
from panelmend.records.events.stock import StockEvent
from panelmend.records.refusals import MALFORMED, UNKNOWN_KIND

Event = PeopleEvent | JobEvent | StockEvent | CouponEvent
_READ: TypeAdapter[Event] = TypeAdapter(Annotated[Event, Field(discriminator="kind")])
KINDS: dict[str, type[BaseModel]] = {str(t.model_fields["kind"].default): t for t in Event.__args__}
"""Every kind of entry by its name."""


class Entry(Frozen):
    """An entry as it stands in the log: who, when it really was, when it was entered, what.

    ``behind`` are the seconds by which the machine's clock stood before the entry before it; 0 else.
    """

    number: int
    before: Digest
    by: Id
    at: Moment
    entered: Moment
    late: Said
    behind: Count
    what: Annotated[Event, Field(discriminator="kind")]

    def text(self) -> str:
        """Its canonical text; number and hash before are bound by the link."""
        return canonical(self.held())

    def bare(self) -> str:
        """Its text as it is sealed: without the seal."""
        proven: str | None = self.__dict__.get(_PROVEN)
        if proven is not None:  # only a key can stand there so: quotes in a text have a backslash before them
            seal = f'"seal":"{self.what.signature.seal}",'  # type: ignore[union-attr]
            before, found, behind = proven.partition(seal)
            if found and _SEAL not in before and _SEAL not in behind:
                return before + behind
        held = self.held()
        held["what"]["signature"].pop("seal", None)
        return canonical(held)

    def unsigned(self) -> str:
        """The text of what it tells, without the signature under it."""
        proven: str | None = self.__dict__.get(_PROVEN)
        if proven is not None:
            what = proven[proven.index(_WHAT) + len(_WHAT) - 1 : -1]
            before, found, behind = what.partition(_SIGNED)
            if found and _SIGNED not in behind:
                _, end = _DECODER.raw_decode(behind)
                rest = behind[end:]
                return before + rest[1:] if rest[0] == "," else before.removesuffix(",") + rest
        return canonical({k: v for k, v in self.held()["what"].items() if k != "signature"})

    def held(self) -> dict[str, Any]:
        """Its content as plain data."""
        return {
            "at": self.at,
            "behind": self.behind,
            "by": self.by,
            "entered": self.entered,
            "late": self.late,
            "what": self.what.model_dump(mode="json"),
        }


def entry_of(number: int, before: str, text: str) -> Entry:
    """Read an entry.

    Raises:
        Refused: a kind this release does not know, or content that is no such entry.
    """
    found = _read_fast(number, before, text)
    if found is not None:
        return found
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise MALFORMED(f"no entry: {text[:60]!r}") from error
    if not isinstance(data, dict) or not isinstance(data.get("what"), dict):
        raise MALFORMED(text[:60])
    kind = data["what"].get("kind")
    if not isinstance(kind, str) or kind not in KINDS:
        raise UNKNOWN_KIND(repr(kind)[:60])
    try:
        made = Entry(number=number, before=before, **data)
    except (ValidationError, TypeError) as error:
        raise MALFORMED(_first(error)) from error
    if not _one_spelling(made, text):
        raise MALFORMED("fields in another spelling than the one they must have")
    made.__dict__[_PROVEN] = text
    return made


def entry_kept(number: int, before: str, text: str) -> Entry:
    """Read an entry whose text a link of the log has proved: that it has its one spelling was seen when it
    was written, and is seen again by whoever checks the log, not here.

    Raises:
        Refused: a kind this release does not know, or content that is no such entry.
    """
    try:
        return _placed(number, before, text)
    except (ValueError, TypeError):
        return entry_of(number, before, text)  # which says why


def _placed(number: int, before: str, text: str) -> Entry:
    """Parse a text, with its place put in behind it, in one go and without any coercion."""
    made: Entry = _ENTRY.validate_json(f'{text[:-1]},"before":"{before}","number":{number}}}', strict=True)
    if made.number != number or made.before != before or text[-1:] != "}":
        raise ValueError("it says another place than it has")
    return made


_PROVEN = (
    "proven text"  # where an entry carries the text that it was read from, once that was seen to be its one
)
_WHAT, _SIGNED, _SEAL = '"what":{', '"signature":', '"seal":'
_DECODER = json.JSONDecoder()
_ENTRY = Entry.__pydantic_validator__
_HEAD = ["at", "behind", "by", "entered", "late", "what"]


def _read_fast(number: int, before: str, text: str) -> Entry | None:
    """Read an entry in plain letters that is as it must be; None for every other, which is looked at closely.

    Its content is parsed without any coercion, so that the text is the entry's own where it is compact and in
    order, and no field is left out or said needlessly.
    """
    return entry_beside(number, before, text) if plain_letters(text) and spelled(text) else None


def entry_beside(number: int, before: str, text: str) -> Entry | None:
    """Read an entry in plain letters while somebody else sees whether it is :func:`spelled` as it must be;
    None for one that must be looked at closely."""
    try:
        made = _placed(number, before, text)
    except (ValueError, TypeError):
        return None
    if not _all_said(made.what):
        return None
    made.__dict__[_PROVEN] = text
    return made


def plain_letters(text: str) -> bool:
    """Whether a text is of plain letters, which need no look at each."""
    return text.isascii() and text.isprintable() and "\\u" not in text


def spelled(text: str) -> bool:
    """Whether the text of an entry in plain letters is compact and in order, no key twice."""
    try:
        data = from_json(text)
        return list(data) == _HEAD and _DUMPED(data) == text
    except (ValueError, TypeError):
        return False


_DUMPED = json.JSONEncoder(
    ensure_ascii=False, check_circular=False, sort_keys=True, separators=(",", ":"), allow_nan=False
).encode


def _all_said(made: BaseModel) -> bool:
    """Whether every field was in the text, but for those of later releases at their default."""
    kind = type(made)
    if kind not in _LATER:
        later = {n: f.default for n, f in kind.model_fields.items() if f.exclude_if is not None}
        inner = [n for n, f in kind.model_fields.items() if "panelmend" in repr(f.annotation)]
        _LATER[kind] = (frozenset(kind.model_fields) - set(later), later, tuple(inner))
    always, later, nested = _LATER[kind]
    said = made.model_fields_set
    if not always <= said or any(getattr(made, n) == later[n] for n in said - always):
        return False
    for name in nested:
        held = getattr(made, name)
        for one in held if isinstance(held, tuple) else (held,):
            if isinstance(one, BaseModel) and not _all_said(one):
                return False
    return True


_LATER: dict[type[BaseModel], tuple[frozenset[str], dict[str, Any], tuple[str, ...]]] = {}


def _one_spelling(made: Entry, text: str) -> bool:
    """Whether a text is the one for an entry: a key twice, a space or another escape is another text. Plain
    letters need no second look at each, which makes reading several times faster."""
    if not plain_letters(text):
        return made.text() == text
    return json.dumps(made.held(), ensure_ascii=False, sort_keys=True, separators=(",", ":")) == text


def event_of(data: dict[str, Any]) -> Event:
    """An event from plain data. Raises Refused."""
    if str(data.get("kind")) not in KINDS:
        raise UNKNOWN_KIND(repr(data.get("kind"))[:60])
    try:
        return _READ.validate_python(data)
    except ValidationError as error:
        raise MALFORMED(_first(error)) from error


def made(kind: type[BaseModel], **fields: Any) -> Any:
    """Make an event; pydantic's fault becomes a refusal in words."""
    try:
        return kind(**fields)
    except ValidationError as error:
        raise MALFORMED(_first(error)) from error


def _first(error: Exception) -> str:
    if isinstance(error, ValidationError):
        fault = error.errors(include_url=False)[0]
        place = ".".join(str(p) for p in fault["loc"])
        return f"{place or 'entry'}: {str(fault['msg'])[:120]}, read {repr(fault.get('input'))[:60]}"
    return str(error)[:120]
