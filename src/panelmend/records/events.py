"""The kinds of entry. Each is small, frozen, and holds only text, whole numbers and lists of them."""

from __future__ import annotations

import json
from datetime import date
from enum import StrEnum
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    TypeAdapter,
    ValidationError,
)
from pydantic_core import from_json, to_json

from panelmend.records.canonical import amount, canonical, read_moment
from panelmend.records.refusals import MALFORMED, UNKNOWN_KIND


class Role(StrEnum):
    """What a person is at the shop."""

    TECHNICIAN = "technician"
    PLANNER = "planner"
    ENGINEER = "engineer"
    INSPECTOR = "inspector"
    STOREKEEPER = "storekeeper"
    KEEPER = "keeper of accounts"


class Scope(StrEnum):
    """What a paper says somebody is trained and authorised for."""

    PLANNING = "planning"
    BONDING = "bonding"
    INSPECTION = "inspection"
    ENGINEERING = "engineering"
    RELEASE = "release"
    STORES = "stores"


class Meaning(StrEnum):
    """What a signature means; ``job/card/holds.py`` has the sentences."""

    DID = "did"
    CHECKED = "checked"
    ACCEPTED = "accepted"
    REJECTED = "rejected"


class Decision(StrEnum):
    """What an engineer decides on a deviation."""

    STANDS = "may stand"
    AGAIN = "do again"
    STOP = "stop"


class Judged(StrEnum):
    """What the verdict on a cure came to."""

    CONFORMS = "conforms"
    DOES_NOT = "does not conform"
    UNKNOWN = "cannot be judged"


class EntryKind(StrEnum):
    """How a blank is filled in."""

    NUMBER = "number"
    TIME = "time"
    TICK = "tick"
    TEXT = "text"


def _decimal(text: str) -> str:
    amount(text)
    return text


def _moment(text: str) -> str:
    read_moment(text)
    return text


_SIGNS = r"[A-Za-z0-9./()+&#_-]"
Id = Annotated[str, StringConstraints(pattern=rf"^[A-Za-z0-9(]{_SIGNS}*( {_SIGNS}+)*$", max_length=80)]
"""A number people give things: plain letters, so that no two look alike and are not."""


def _day(text: str) -> str:
    date.fromisoformat(text)
    return text


Words = Annotated[str, StringConstraints(min_length=1, max_length=2000, strip_whitespace=False)]
Said = Annotated[str, StringConstraints(max_length=2000)]
Seal = Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{128})?$")]
Key = Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{64})?$")]
Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Amount = Annotated[str, AfterValidator(_decimal)]
Moment = Annotated[str, AfterValidator(_moment)]
Day = Annotated[str, StringConstraints(pattern=r"^[0-9]{4}-[0-9]{2}-[0-9]{2}$"), AfterValidator(_day)]
_Near = Annotated[int, Field(ge=-(10**8), le=10**8)]
Vertex = tuple[_Near, _Near, _Near]
"""A corner as seen from the outside, from the panel's own origin: x and y in micrometres, and the bulge of
the side that leaves it in millionths."""
Count = Annotated[int, Field(ge=0, le=10**9)]


class _Frozen(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=False)


def _later(default: Any) -> Any:
    """A field that a later release brought: left out of the text where it is not used, so that entries made
    before keep their spelling and their hash."""
    return Field(default=default, exclude_if=lambda value: value == default)


# --- the card's steps as they are filled in


class Blank(_Frozen):
    """A blank: limits are decimals in its unit, as the card prints them; ``ask`` says who judges a number;
    ``ahead`` marks a time by which something must be done, which may still lie ahead; ``names`` that the
    answer names lots or instruments of the records."""

    what: Words
    entry: EntryKind
    unit: Said = ""
    low: Amount | None = None
    high: Amount | None = None
    said: Said = ""
    ask: Literal["figures", "person", "record"] = "record"
    ahead: bool = False
    names: Literal["", "lots", "instruments"] = _later("")


class Step(_Frozen):
    """A step: ``key`` is "id/operation/batch"; ``needs`` the keys of the steps directly before it,
    ``printed`` one digest of all that the card prints at it."""

    key: Id
    id: Id
    operation: Count
    number: Count
    title: Words
    needs: tuple[Id, ...]
    blanks: tuple[Blank, ...]
    hold: Id | None = None
    hold_by: Role | Literal["certificate holder"] | None = None
    accepted: Said = ""
    cure: Said = ""
    printed: Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{64})?$")] = _later("")


class Clock(_Frozen):
    """A clock between two time blanks; ``most`` seconds, or until a third one."""

    name: Words
    start: Id
    start_blank: Count
    end: Id
    end_blank: Count
    most: Count | None = None
    until: Id | None = None
    until_blank: Count = 0


class Need(_Frozen):
    """What a plan takes from the stores: how much of a material, from which lot of them where it says so
    ("" where it does not), and how wide it must be [m]."""

    material: Words
    store: Said = ""
    amount: Amount
    unit: Literal["m", "m2", "m3", "kg", "pieces"]
    width: Amount | None = None


class Part(_Frozen):
    """What of one lot went into a batch, in the lot's own unit."""

    lot: Id
    amount: Amount


class Signature(_Frozen):
    """A signature: what was shown (``content``), the sentence it means, and who under which name.

    ``seal`` is made with the person's own key over all of it and its place in the log (``seals.py``).
    """

    meaning: Meaning
    words: Words
    name: Words
    content: Digest
    document: Digest
    plan: Digest
    ticket: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
    seal: Seal = _later("")


class Reading(_Frozen):
    """One blank filled in: what was typed, its value, for limits in words whether it meets them, and the lots
    or instruments that the answer names."""

    blank: Count
    typed: Said
    value: Amount | None = None
    at: Moment | None = None
    yes: bool | None = None
    meets: bool | None = None
    limit: Said = ""
    instrument: Id | None = None
    why: Said = ""
    names: Annotated[tuple[Id, ...], Field(max_length=20)] = _later(())


# --- kinds of entry


class Begun(_Frozen):
    """The records begin, with their first keeper of accounts."""

    kind: Literal["records begun"] = "records begun"
    records: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
    zone: Id
    person: Id
    name: Words
    secret: Digest
    invented: bool
    key: Key = _later("")


class RulesTaken(_Frozen):
    """The rules in force from here on, written when a release with newer ones first adds an entry: older
    entries are checked by those of their time."""

    kind: Literal["rules taken on"] = "rules taken on"
    rules: Annotated[int, Field(ge=2, le=1000)]


class PersonAdded(_Frozen):
    kind: Literal["person added"] = "person added"
    person: Id
    name: Words
    roles: tuple[Role, ...]
    code: Digest
    code_until: Moment


class CodeIssued(_Frozen):
    kind: Literal["code issued"] = "code issued"
    person: Id
    code: Digest
    code_until: Moment
    why: Words


class Enrolled(_Frozen):
    """The person sets a secret with the code, which is used up by standing here.

    ``secret`` is the digest of its argon2id hash, which stands apart; ``key`` the public half of the key that
    is made from the secret.
    """

    kind: Literal["person enrolled"] = "person enrolled"
    person: Id
    code: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
    secret: Digest
    key: Key = _later("")


class Failed(_Frozen):
    """A wrong secret or code."""

    kind: Literal["secret failed"] = "secret failed"
    person: Id


class RolesSet(_Frozen):
    kind: Literal["roles set"] = "roles set"
    person: Id
    roles: tuple[Role, ...]
    why: Words


class PersonRemoved(_Frozen):
    kind: Literal["person removed"] = "person removed"
    person: Id
    why: Words


class Authorised(_Frozen):
    kind: Literal["person authorised"] = "person authorised"
    person: Id
    scope: Scope
    until: Day
    paper: Words


class AuthorisationEnded(_Frozen):
    kind: Literal["authorisation ended"] = "authorisation ended"
    person: Id
    scope: Scope
    why: Words


class StockLeast(_Frozen):
    """The least of a material that the shop wants to have; 0 for none."""

    kind: Literal["least stock set"] = "least stock set"
    material: Words
    amount: Amount
    unit: Id


class ClockWrong(_Frozen):
    """The machine's clock was ahead in the entries from one number to another: when a second person has said
    the same, they no longer say what time it is."""

    kind: Literal["clock was wrong"] = "clock was wrong"
    first: Count
    last: Count
    why: Words


class CopyGoverns(_Frozen):
    """From here on the copy governs that has the token of this digest: handed over, or, where the one that
    governed is ``lost``, when a second person has said the same."""

    kind: Literal["copy governs"] = "copy governs"
    token: Digest
    lost: bool
    why: Words


class JobOpened(_Frozen):
    """Work begins from a plan, signed by its planner; ``pages`` are the printed files by digest, ``outline``
    that of the largest ply, ``earlier`` the numbers of earlier repairs that the document names, ``kit`` what
    it takes from the stores, ``pieces`` the names on the labels of what is cut."""

    kind: Literal["job opened"] = "job opened"
    job: Id
    document: Digest
    plan: Digest
    pages: dict[str, Digest]
    panel: Words
    serial: Said
    standing: Literal["READY", "DRAFT", "STOP"]
    follows: Id | None = None
    steps: Annotated[tuple[Step, ...], Field(min_length=1, max_length=2000)]
    clocks: tuple[Clock, ...] = ()
    signature: Signature
    outline: Annotated[tuple[Vertex, ...], Field(max_length=2000)] = _later(())
    earlier: Annotated[tuple[Said, ...], Field(max_length=100)] = _later(())
    kit: Annotated[tuple[Need, ...], Field(max_length=500)] = _later(())
    pieces: Annotated[tuple[Id, ...], Field(max_length=2000)] = _later(())


class JobRevised(_Frozen):
    """A new revision of the plan of a job in work, signed by its planner. What is done stands where the card
    asks the same for it; all else is done again, and what was done stays."""

    kind: Literal["job revised"] = "job revised"
    job: Id
    document: Digest
    plan: Digest
    pages: dict[str, Digest]
    panel: Words
    serial: Said
    standing: Literal["READY", "DRAFT", "STOP"]
    why: Words
    steps: Annotated[tuple[Step, ...], Field(min_length=1, max_length=2000)]
    clocks: tuple[Clock, ...] = ()
    signature: Signature
    outline: Annotated[tuple[Vertex, ...], Field(max_length=2000)] = _later(())
    earlier: Annotated[tuple[Said, ...], Field(max_length=100)] = _later(())
    kit: Annotated[tuple[Need, ...], Field(max_length=500)] = _later(())
    pieces: Annotated[tuple[Id, ...], Field(max_length=2000)] = _later(())


class Readings(_Frozen):
    kind: Literal["readings"] = "readings"
    job: Id
    step: Id
    readings: Annotated[tuple[Reading, ...], Field(min_length=1, max_length=100)]


class Transcribed(_Frozen):
    """A step as it stands on signed paper, where no machine was at the panel: readings, who did it and who
    accepted it and when, with the scan. It counts when a second person has checked it against the scan."""

    kind: Literal["paper transcribed"] = "paper transcribed"
    job: Id
    step: Id
    scan: Digest
    readings: Annotated[tuple[Reading, ...], Field(max_length=100)]
    did: Id
    did_at: Moment
    accepted: Id | None = None
    accepted_at: Moment | None = None
    why: Words


class PaperChecked(_Frozen):
    """A second person has compared a typed paper, by its entry, with the scan; it counts from here on."""

    kind: Literal["transcript checked"] = "transcript checked"  # the log's own word stays: old logs hold it
    job: Id
    step: Id
    transcript: Count
    signature: Signature


class FileKept(_Frozen):
    kind: Literal["file kept"] = "file kept"
    job: Id
    step: Id
    name: Id
    digest: Digest
    size: Count
    what: Words


class VerdictKept(_Frozen):
    """The verdict on a cure, at the step that opens the bag; ``measured`` is one digest of what the log
    holds, however its file is spelled."""

    kind: Literal["verdict kept"] = "verdict kept"
    job: Id
    step: Id
    cure: Words
    outcome: Judged
    log: Digest
    report: Digest
    measured: Annotated[str, StringConstraints(pattern=r"^([0-9a-f]{64})?$")] = _later("")


class StepSigned(_Frozen):
    kind: Literal["step signed"] = "step signed"
    job: Id
    step: Id
    signature: Signature
    why: Said = ""


class DeviationRaised(_Frozen):
    """``covers`` names blanks by number ("b3"), clocks ("c0"), the verdict ("v") or the rejection ("r")."""

    kind: Literal["deviation raised"] = "deviation raised"
    job: Id
    step: Id
    deviation: Id
    covers: tuple[Annotated[str, StringConstraints(pattern=r"^(b\d{1,3}|c\d{1,3}|v|r)$")], ...]
    words: Words


class DeviationDecided(_Frozen):
    """``again_from`` is the step from which work is done again; ``ground`` its place in the approved data."""

    kind: Literal["deviation decided"] = "deviation decided"
    job: Id
    deviation: Id
    decision: Decision
    ground: Words
    words: Words
    again_from: Id | None = None
    paper: Digest | None = None
    signature: Signature


class Released(_Frozen):
    """The release entry with the fields of 14 CFR 43.9(a); an empty one is refused with its name."""

    kind: Literal["released"] = "released"
    job: Id
    description: Said
    completed: Said
    performed_by: tuple[Words, ...]
    certificate_number: Said
    certificate_kind: Said
    signature: Signature


class JobStopped(_Frozen):
    kind: Literal["job stopped"] = "job stopped"
    job: Id
    why: Words


class LotReceived(_Frozen):
    """A lot comes in. Times in seconds; ``out_time`` is what its paper says it has been out already. A roll
    or a remnant has its ``width`` [m], a remnant its ``outline`` [micrometres, warp along x]
    where it is no rectangle."""

    kind: Literal["lot received"] = "lot received"
    lot: Id
    material: Words
    batch: Words
    certificate: Words
    amount: Amount
    unit: Id
    expires: Day
    out_life: Count | None = None
    out_time: Count = 0
    opened_life: Count | None = None
    frozen: bool = False
    width: Amount | None = _later(None)
    outline: Annotated[tuple[Vertex, ...], Field(max_length=2000)] = _later(())


class LotMoved(_Frozen):
    """Into the freezer or out of it."""

    kind: Literal["lot moved"] = "lot moved"
    lot: Id
    frozen: bool
    place: Words


class LotOpened(_Frozen):
    kind: Literal["lot opened"] = "lot opened"
    lot: Id


class LotIssued(_Frozen):
    kind: Literal["lot issued"] = "lot issued"
    lot: Id
    job: Id
    step: Id
    amount: Amount


class LotReturned(_Frozen):
    """What comes back is a lot of its own, no younger than the one it came from."""

    kind: Literal["lot returned"] = "lot returned"
    lot: Id
    back: Id
    job: Id
    amount: Amount
    frozen: bool
    width: Amount | None = _later(None)
    outline: Annotated[tuple[Vertex, ...], Field(max_length=2000)] = _later(())


class LotReserved(_Frozen):
    """An amount of a lot kept for a job in all, so that no other draws it; 0 frees it."""

    kind: Literal["lot reserved"] = "lot reserved"
    lot: Id
    job: Id
    amount: Amount


class BatchMixed(_Frozen):
    """A batch of resin mixed at a step: from which lots, how much of each, how long it may be used [s]."""

    kind: Literal["batch mixed"] = "batch mixed"
    job: Id
    step: Id
    batch: Id
    parts: Annotated[tuple[Part, ...], Field(min_length=1, max_length=10)]
    life: Count


class LabelSeen(_Frozen):
    """The code of a piece's label, scanned or typed at a step: repair, piece and the plan's digest in it."""

    kind: Literal["label seen"] = "label seen"
    job: Id
    step: Id
    repair: Words
    piece: Id
    digest: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{8,64}$")]


class LotScrapped(_Frozen):
    kind: Literal["lot scrapped"] = "lot scrapped"
    lot: Id
    amount: Amount
    why: Words


class LotCorrected(_Frozen):
    """What a count found; it sets the balance and never dates or out-time."""

    kind: Literal["lot corrected"] = "lot corrected"
    lot: Id
    amount: Amount
    why: Words


class RetestReported(_Frozen):
    """A documented re-test or extension; it sets nothing until a second person takes it on."""

    kind: Literal["re-test reported"] = "re-test reported"
    lot: Id
    until: Day
    paper: Digest
    ground: Words


class RetestTaken(_Frozen):
    kind: Literal["re-test taken on"] = "re-test taken on"
    lot: Id
    report: Count
    until: Day


class InstrumentKnown(_Frozen):
    kind: Literal["instrument known"] = "instrument known"
    instrument: Id
    what: Words
    certificate: Words
    due: Day


Event = (
    Begun
    | RulesTaken
    | PersonAdded
    | CodeIssued
    | Enrolled
    | Failed
    | RolesSet
    | PersonRemoved
    | Authorised
    | AuthorisationEnded
    | ClockWrong
    | CopyGoverns
    | StockLeast
    | JobOpened
    | JobRevised
    | Readings
    | Transcribed
    | PaperChecked
    | FileKept
    | VerdictKept
    | StepSigned
    | DeviationRaised
    | DeviationDecided
    | Released
    | JobStopped
    | LotReceived
    | LotMoved
    | LotOpened
    | LotIssued
    | LotReturned
    | LotReserved
    | BatchMixed
    | LabelSeen
    | LotScrapped
    | LotCorrected
    | RetestReported
    | RetestTaken
    | InstrumentKnown
)
_READ: TypeAdapter[Event] = TypeAdapter(Annotated[Event, Field(discriminator="kind")])
KINDS: dict[str, type[BaseModel]] = {str(t.model_fields["kind"].default): t for t in Event.__args__}
"""Every kind of entry by its name."""


class Entry(_Frozen):
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
        held = self.held()
        held["what"]["signature"].pop("seal", None)
        return canonical(held)

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
    if kind not in KINDS:
        raise UNKNOWN_KIND(repr(kind)[:60])
    try:
        made = Entry(number=number, before=before, **data)
    except (ValidationError, TypeError) as error:
        raise MALFORMED(_first(error)) from error
    if not _one_spelling(made, text):
        raise MALFORMED("fields in another spelling than the one they must have")
    return made


_HEAD = ["at", "behind", "by", "entered", "late", "what"]
_WHAT = '"what":'


def _read_fast(number: int, before: str, text: str) -> Entry | None:
    """Read an entry in plain letters that is as it must be; None for every other, which is looked at closely.

    Its content is parsed without any coercion, so that the text is the entry's own where it is compact and in
    order, and no field is left out or said needlessly.
    """
    if not (text.isascii() and text.isprintable() and "\\u" not in text):
        return None
    try:
        data = from_json(text)
        if list(data) != _HEAD or type(data["behind"]) is not int or not _in_order(data["what"]):
            return None
        if to_json(data).decode() != text:
            return None
        kind = KINDS[data["what"]["kind"]]
        said = text[text.index(_WHAT) + len(_WHAT) : -1]
        what = kind.__pydantic_validator__.validate_json(said, strict=True)
        if not _all_said(what):
            return None
        return Entry(number=number, before=before, **{**data, "what": what})
    except (ValueError, TypeError, KeyError, AttributeError):
        return None


def _in_order(value: Any) -> bool:
    """Whether the keys of everything in a value are in order."""
    if isinstance(value, dict):
        keys = list(value)
        return keys == sorted(keys) and all(_in_order(v) for v in value.values() if type(v) in (dict, list))
    return all(_in_order(v) for v in value if type(v) in (dict, list))


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
    if not (text.isascii() and text.isprintable() and "\\u" not in text):
        return made.text() == text
    return json.dumps(made.held(), ensure_ascii=False, sort_keys=True, separators=(",", ":")) == text


def event_of(data: dict[str, Any]) -> Event:
    """An event from plain data. Raises Refused."""
    if data.get("kind") not in KINDS:
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
