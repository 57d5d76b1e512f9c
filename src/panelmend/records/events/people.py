"""Entries about the records themselves, people and their rights."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from panelmend.records.events.fields import (
    Count,
    Day,
    Digest,
    Frozen,
    Id,
    Key,
    Moment,
    Role,
    Scope,
    Words,
    later,
)


class Begun(Frozen):
    """The records begin, with their first keeper of accounts."""

    kind: Literal["records begun"] = "records begun"
    records: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
    zone: Id
    person: Id
    name: Words
    secret: Digest
    invented: bool
    key: Key = later("")


class RulesTaken(Frozen):
    """The rules in force from here on, written when a release with newer ones first adds an entry: older
    entries are checked by those of their time."""

    kind: Literal["rules taken on"] = "rules taken on"
    rules: Annotated[int, Field(ge=2, le=1000)]


class PersonAdded(Frozen):
    kind: Literal["person added"] = "person added"
    person: Id
    name: Words
    roles: tuple[Role, ...]
    code: Digest
    code_until: Moment


class CodeIssued(Frozen):
    kind: Literal["code issued"] = "code issued"
    person: Id
    code: Digest
    code_until: Moment
    why: Words


class Enrolled(Frozen):
    """The person sets a secret with the code, which is used up by standing here.

    ``secret`` is the digest of its argon2id hash, which stands apart; ``key`` the public half of the key that
    is made from the secret.
    """

    kind: Literal["person enrolled"] = "person enrolled"
    person: Id
    code: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
    secret: Digest
    key: Key = later("")


class Failed(Frozen):
    """A wrong secret or code."""

    kind: Literal["secret failed"] = "secret failed"
    person: Id


class RolesSet(Frozen):
    kind: Literal["roles set"] = "roles set"
    person: Id
    roles: tuple[Role, ...]
    why: Words


class PersonRemoved(Frozen):
    kind: Literal["person removed"] = "person removed"
    person: Id
    why: Words


class Authorised(Frozen):
    kind: Literal["person authorised"] = "person authorised"
    person: Id
    scope: Scope
    until: Day
    paper: Words


class AuthorisationEnded(Frozen):
    kind: Literal["authorisation ended"] = "authorisation ended"
    person: Id
    scope: Scope
    why: Words


class ClockWrong(Frozen):
    """The machine's clock was ahead in the entries from one number to another: when a second person has said
    the same, they no longer say what time it is."""

    kind: Literal["clock was wrong"] = "clock was wrong"
    first: Count
    last: Count
    why: Words


class CopyGoverns(Frozen):
    """From here on the copy governs that has the token of this digest: handed over, or, where the one that
    governed is ``lost``, when a second person has said the same."""

    kind: Literal["copy governs"] = "copy governs"
    token: Digest
    lost: bool
    why: Words


PeopleEvent = (
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
)
