"""Secrets of people: argon2id, no default, and the codes with which people set their own."""

from __future__ import annotations

import secrets as random
import unicodedata
from dataclasses import dataclass
from datetime import timedelta

import argon2
import argon2.low_level

from panelmend.records import seals
from panelmend.records.canonical import moment, read_moment, sha256
from panelmend.records.refusals import BACK_OFF, WEAK_SECRET
from panelmend.records.state import Person

SHORTEST_SECRET, LONGEST_SECRET = 12, 200
FREE_TRIES = 5
FIRST_WAIT, LONGEST_WAIT = 30, 3600  # [s]
CODE_LIFE = timedelta(days=3)


@dataclass(frozen=True)
class Cost:
    """What a hash costs: passes, memory [KiB], lanes."""

    time: int = 3
    memory: int = 65536
    lanes: int = 4


FULL = Cost()
"""The second recommended setting of RFC 9106 (64 MiB, three passes, four lanes)."""


class Hashes:
    """Makes and tries what is kept of secrets, at one cost; a cheaper one in the records is not believed.

    Kept is a row: the cost, a random salt, and the public half of the key that argon2id makes of the secret
    with them. The row stands apart from the log, so that no package lets anybody try secrets.
    """

    def __init__(self, cost: Cost = FULL) -> None:
        self.cost = cost

    def make(self, secret: str) -> str:
        """The row of a secret."""
        salt = random.token_bytes(16)
        public = seals.public_of(_seed(secret, salt, self.cost))
        return f"{_ROW} {self.cost.time} {self.cost.memory} {self.cost.lanes} {salt.hex()} {public}"

    def seed(self, row: str, secret: str) -> bytes | None:
        """The person's key, if the secret is the row's; None if it is not."""
        name, _, rest = row.partition(" ")
        parts = rest.split(" ")
        if name != _ROW or len(parts) != 5 or len(secret) > LONGEST_SECRET:
            return None
        held = Cost(*(int(x) for x in parts[:3]))
        if held.time < self.cost.time or held.memory < self.cost.memory:
            return None
        seed = _seed(secret, bytes.fromhex(parts[3]), held)
        return seed if random.compare_digest(seals.public_of(seed), parts[4]) else None

    def right(self, row: str, secret: str) -> bool:
        """Whether a secret is the one a row was made of; rows of the first release, without a key, too."""
        if row.startswith(_ROW + " "):
            return self.seed(row, secret) is not None
        try:
            held = argon2.extract_parameters(row)
        except argon2.exceptions.InvalidHashError:
            return False
        cheap = held.time_cost < self.cost.time or held.memory_cost < self.cost.memory
        if held.type is not argon2.Type.ID or cheap or len(secret) > LONGEST_SECRET:
            return False
        try:
            return argon2.PasswordHasher().verify(row, _bytes(secret))
        except argon2.exceptions.VerificationError:
            return False


_ROW = "argon2id-ed25519"


def public_in(row: str) -> str:
    """The public half of the key in a row; "" for a row of the first release."""
    return row.rsplit(" ", 1)[-1] if row.startswith(_ROW + " ") else ""


def _seed(secret: str, salt: bytes, cost: Cost) -> bytes:
    return argon2.low_level.hash_secret_raw(
        _bytes(secret), salt, cost.time, cost.memory, cost.lanes, 32, argon2.Type.ID
    )


def _bytes(secret: str) -> bytes:
    return unicodedata.normalize("NFC", secret).encode("utf8", "surrogatepass")


def strong(secret: str, person: str, name: str) -> None:
    """See that a secret may be used. Raises Refused."""
    plain = unicodedata.normalize("NFC", secret)
    if not SHORTEST_SECRET <= len(plain) <= LONGEST_SECRET:
        raise WEAK_SECRET(f"{len(plain)} characters, {SHORTEST_SECRET} to {LONGEST_SECRET}")
    if len(set(plain)) < 5:
        raise WEAK_SECRET("fewer than five different characters")
    if plain.casefold().replace(" ", "") in {
        x.casefold().replace(" ", "") for x in (person, name, person + name)
    }:
        raise WEAK_SECRET("it is the name or the staff number")


def waits_until(person: Person) -> str:
    """The moment until which no secret is tried for a person; "" for none."""
    over = person.failures - FREE_TRIES
    if over < 0:
        return ""
    wait = min(LONGEST_WAIT, FIRST_WAIT * 2 ** min(over, 20))
    return moment(read_moment(person.failed_at) + timedelta(seconds=wait))


def not_backed_off(person: Person, now: str) -> None:
    """See that a secret may be tried now. Raises Refused."""
    until = waits_until(person)
    if until and now < until:
        raise BACK_OFF(f"{person.failures} wrong secrets for {person.id}; wait until {until}")


def new_code() -> tuple[str, str]:
    """A code to enrol with, and its digest; 128 random bits in groups that can be read out."""
    raw = random.token_hex(16)
    return "-".join(raw[i : i + 4] for i in range(0, 32, 4)), sha256(raw)


def plain_code(typed: str) -> str:
    """A code as typed, without its groups."""
    return "".join(typed.split()).replace("-", "").lower()


def new_ticket() -> str:
    """A number for one signature; a signature with a used one is refused."""
    return random.token_hex(16)
