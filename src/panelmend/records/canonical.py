"""One way only to write an entry down: canonical text, digests, moments and amounts.

Floats are refused: amounts are decimal text, so that no reader's arithmetic changes what was signed.
"""

from __future__ import annotations

import hashlib
import json
import re
import unicodedata
from datetime import UTC, datetime, timedelta
from decimal import Decimal, InvalidOperation
from functools import lru_cache
from typing import Any

from panelmend.errors import InputError

_DEEP = 12
_AMOUNT = re.compile(r"-?(0|[1-9]\d{0,11})(\.\d{0,8}[1-9])?")
_MOMENT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")
_FIRST = "0" * 64
_SECOND = timedelta(seconds=1)
NOTHING = _FIRST
"""Stands where the first entry names the one before it."""


def canonical(value: Any) -> str:
    """A value as the one text that stands for it.

    Raises:
        InputError: a float, text that is not in Unicode's form NFC or holds control characters, a key
        that is no text, or nesting deeper than 12.
    """
    _look(value, 0)
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)


def of_entries(value: Any) -> str:
    """The same text of what is made of fields of entries alone, which were looked at when those were read."""
    return _WRITE(value)


_WRITE = json.JSONEncoder(ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False).encode


def read_canonical(text: str) -> Any:
    """Read what :func:`canonical` wrote; any other spelling of the same content is refused.

    Raises:
        InputError: not canonical text.
    """
    try:
        value = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError("not the text of an entry", read=text[:60], expected="canonical JSON") from error
    if canonical(value) != text:
        raise InputError("an entry in another spelling than the one it must have", read=text[:60])
    return value


def _look(value: Any, depth: int) -> None:
    """See that a value is one that entries hold; most are short plain texts, which are looked at in place."""
    if depth > _DEEP or (depth == _DEEP and value and isinstance(value, dict | list | tuple)):
        raise InputError("nested too deep for an entry", expected=f"{_DEEP} levels at most")
    if type(value) is dict:
        for key, held in value.items():
            if type(key) is not str or key not in _KEYS:
                _look_at_key(key)
            if type(held) is not str:
                _look(held, depth + 1)
            elif not (held.isascii() and held.isprintable()):
                _look_at_text(held)
        return
    if value is None or isinstance(value, bool):
        return
    if isinstance(value, int):
        if abs(value) > 2**53:
            raise InputError("a whole number too large for every reader", read=str(value)[:30])
        return
    if isinstance(value, str):
        _look_at_text(value)
    elif isinstance(value, dict):
        for key, held in value.items():
            _look_at_key(key)
            _look(held, depth + 1)
    elif isinstance(value, list | tuple):
        for held in value:
            _look(held, depth + 1)
    else:
        raise InputError("a kind of value that entries do not hold", read=type(value).__name__)


_KEYS: set[str] = set()  # looked at already; few, as entries have few fields


def _look_at_key(key: object) -> None:
    if not isinstance(key, str):
        raise InputError("a key that is no text", read=repr(key)[:40])
    _look_at_text(key)
    if type(key) is str and len(_KEYS) < 1000:
        _KEYS.add(key)


def _look_at_text(text: str) -> None:
    if text.isascii() and text.isprintable():
        return
    if not unicodedata.is_normalized("NFC", text):
        raise InputError("text not in Unicode's form NFC", read=ascii(text)[:60])
    for c in text:
        if unicodedata.category(c) in ("Cc", "Cs") or c in _UNSEEN:
            raise InputError("a character that cannot be seen", read=ascii(text)[:60])


_UNSEEN = frozenset("\u200b\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\ufeff")


def tidy_text(text: str) -> str:
    """Typed text in form NFC with single spaces, as it goes into an entry."""
    return " ".join(unicodedata.normalize("NFC", text).split())


def sha256(data: bytes | str) -> str:
    """SHA-256 as hex."""
    return hashlib.sha256(data.encode("utf8") if isinstance(data, str) else data).hexdigest()


def link(number: int, before: str, body: str) -> str:
    """The hash of an entry.

    Args:
        number: its place in the log, from 1.
        before: hash of the entry before it, or :data:`NOTHING`.
        body: SHA-256 of its canonical text; a package may hold that alone for entries it does not show.
    """
    return sha256(f"panelmend entry 1\n{number}\n{before}\n{body}\n")


def moment(at: datetime) -> str:
    """A moment as UTC text to the millisecond. Raises InputError where it has no zone."""
    if at.tzinfo is None:
        raise InputError(
            "a time without its zone", read=at.isoformat(), expected="such as 2026-11-26 14:05+01:00"
        )
    at = at.astimezone(UTC)
    return at.strftime("%Y-%m-%dT%H:%M:%S.") + f"{at.microsecond // 1000:03d}Z"


@lru_cache(4096)
def read_moment(text: str) -> datetime:
    """Read what :func:`moment` wrote. Raises InputError."""
    if _MOMENT.fullmatch(text):
        try:
            return datetime.fromisoformat(text)
        except ValueError:
            pass
    raise InputError("not a moment", read=text[:40], expected="UTC as 2026-11-26T13:05:00.000Z")


def seconds_between(start: str, end: str) -> int:
    """Whole seconds from one moment to another, rounded up: what ages is never made younger."""
    return 0 if start == end else -((read_moment(start) - read_moment(end)) // _SECOND)


def canonical_amount(text: str) -> Decimal:
    """A decimal number in its one spelling. Raises InputError."""
    if not _AMOUNT.fullmatch(text) or text in ("-0",):
        raise InputError("not an amount", read=text[:30], expected="a decimal number such as 12.5")
    return Decimal(text)


def amount_text(value: Decimal) -> str:
    """A decimal in its one spelling: no exponent, no zeros at the end."""
    text = format(value.quantize(Decimal("1e-9")), "f")
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


def typed_amount(text: str) -> Decimal:
    """A number as people type it, with a decimal point or comma.

    Raises:
        InputError: no plain number, or a comma that could mean thousands.
    """
    bare = text.strip()
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", bare):
        raise InputError(
            "the comma could mean thousands or decimals", read=bare, todo="write it with a point"
        )
    try:
        if not re.fullmatch(r"[+-]?(\d{1,12}([.,]\d{0,8})?|[.,]\d{1,8})", bare):
            raise InvalidOperation
        return Decimal(bare.replace(",", "."))
    except InvalidOperation:
        raise InputError("not a number", read=bare[:30], expected="a number such as 12.5") from None
