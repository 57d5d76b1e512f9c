"""What the fields of entries are made of: small vocabularies, texts, numbers and moments."""

from __future__ import annotations

from datetime import date
from enum import StrEnum
from typing import Annotated, Any

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, StringConstraints

from panelmend.records.canonical import canonical_amount, read_moment


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
    canonical_amount(text)
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
_STROKE = r"M[0-5]?\d?\d 1?\d?\d(L[0-5]?\d?\d 1?\d?\d)+"
Strokes = Annotated[str, StringConstraints(pattern=rf"^({_STROKE})*$", max_length=6000)]
"""A name as it was written with finger or pen: open lines of an SVG path, whole numbers, x 0 to 599, y 0 to
199. It stands beside the seal, which is what proves who signed; the seal covers it."""
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


class Frozen(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True, strict=False)


def later(default: Any) -> Any:
    """A field that a later release brought: left out of the text where it is not used, so that entries made
    before keep their spelling and their hash."""
    return Field(default=default, exclude_if=lambda value: value == default)
